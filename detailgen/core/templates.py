"""Where the texts are that a firm edits: beside the package in a checkout, inside it in a wheel."""

from __future__ import annotations

from pathlib import Path

from detailgen.core.errors import OutputError


def template_path(name: str) -> Path:
    """The path of a template, for instance ``new_project/project.yaml``.

    Raises: FileNotFoundError where neither the wheel nor the checkout has it
    """
    package = Path(__file__).resolve().parent.parent
    for folder in (package / "_templates", package.parent / "templates_src"):
        if (folder / name).exists():
            return folder / name
    raise FileNotFoundError(f"template {name} is missing: neither {package.name}/_templates nor templates_src has it")


def template_lines(name: str) -> list[str]:
    """Lines of a text that a firm edits, empty ones left out. Raises OutputError where the text is missing or has nothing left."""
    try:
        lines = [line.strip() for line in template_path(name).read_text(encoding="utf-8").splitlines() if line.strip()]
    except FileNotFoundError:
        raise OutputError(f"template {name}: the file is missing") from None
    if not lines:
        raise OutputError(f"template {name}: nothing is left in it; at least one line is needed")
    return lines
