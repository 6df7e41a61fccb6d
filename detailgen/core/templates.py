"""Where the texts are that a firm edits: beside the package in a checkout, inside it in a wheel."""

from __future__ import annotations

from pathlib import Path


def template_path(name: str) -> Path:
    """The path of a template, for instance ``new_project/project.yaml``.

    Raises: FileNotFoundError where neither the wheel nor the checkout has it
    """
    package = Path(__file__).resolve().parent.parent
    for folder in (package / "_templates", package.parent / "templates_src"):
        if (folder / name).exists():
            return folder / name
    raise FileNotFoundError(f"template {name} is missing: neither {package.name}/_templates nor templates_src has it")
