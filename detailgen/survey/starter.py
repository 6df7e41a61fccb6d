"""A new project's folder: a survey to overwrite, and the schema by which editors complete it."""

from __future__ import annotations

import json
from pathlib import Path

from detailgen.core.errors import InputError, InputProblem, OutputError
from detailgen.core.templates import template_path
from detailgen.survey.schema import schema


def write_starter(folder: Path) -> list[Path]:
    """Write project.yaml and project.schema.json.

    folder: made if it does not exist
    Raises: InputError where project.yaml exists, OutputError where the folder cannot be written
    """
    project, editor = folder / "project.yaml", folder / "project.schema.json"
    text = template_path("new_project/project.yaml").read_text(encoding="utf-8")
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with project.open("x", encoding="utf-8", newline="\n") as stream:
            stream.write(text)
        editor.write_text(json.dumps(schema(), indent=1, ensure_ascii=False) + "\n", encoding="utf-8", newline="\n")
    except FileExistsError:
        found = "a project file that exists already" if project.exists() else "a file where the folder should be"
        raise InputError([InputProblem(str(project), 0, "", found, "a folder without project.yaml", "Choose another folder.")]) from None
    except OSError as error:
        raise OutputError(f"{folder}: cannot be written ({error.strerror}). Choose another folder.") from None
    return [project, editor]
