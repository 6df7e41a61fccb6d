"""Where the texts and styles are that a firm edits: in its own folder, else beside the package in a checkout, else inside it in a wheel."""

from __future__ import annotations

from pathlib import Path

from detailgen.core.errors import OutputError


def template_path(name: str, folder: str = "") -> Path:
    """The path of a template, for instance ``notes/cautions.txt``.

    folder: the firm's own templates; "" for those of the tool
    Raises: OutputError where the firm's folder lacks it; FileNotFoundError where neither the wheel nor the checkout has it
    """
    if folder:
        own = Path(folder) / name
        if not own.exists():
            raise OutputError(f"template {name} is missing in {folder}; copy it there from a fresh folder of: detailgen templates DIR")
        return own
    for base in _homes():
        if (base / name).exists():
            return base / name
    raise FileNotFoundError(f"template {name} is missing: neither detailgen/_templates nor templates_src has it")


def _homes() -> tuple[Path, Path]:
    package = Path(__file__).resolve().parent.parent
    return package / "_templates", package.parent / "templates_src"


def template_lines(name: str, folder: str = "") -> list[str]:
    """Lines of a text that a firm edits, empty ones left out. Raises OutputError where the text is missing or has nothing left."""
    try:
        text = template_path(name, folder).read_text(encoding="utf-8")
    except FileNotFoundError:
        raise OutputError(f"template {name}: the file is missing") from None
    except (OSError, UnicodeDecodeError) as error:
        raise OutputError(f"template {name}: it cannot be read as text in UTF-8 ({error})") from None
    lines = [line.strip() for line in text.splitlines() if line.strip()]
    if not lines:
        raise OutputError(f"template {name}: nothing is left in it; at least one line is needed")
    return lines


def template_value(name: str, folder: str, key: str, example: str) -> str:
    """What a text of lines ``key: value`` says of a key. Raises OutputError where no line does."""
    for line in template_lines(name, folder):
        found, _, value = line.partition(":")
        if found.strip() == key:
            return value.strip()
    raise OutputError(f"template {name}: no line says '{key}'; write '{key}: {example}'")


def copy_templates(folder: Path) -> list[Path]:
    """Copy all templates into a folder that is new or empty. Returns what was written.

    Raises: OutputError where the folder holds something or cannot be written
    """
    source = next(base for base in _homes() if base.exists())
    try:
        folder.mkdir(parents=True, exist_ok=True)
        if any(folder.iterdir()):
            raise OutputError(f"{folder}: the folder is not empty. Choose a new one; edited templates are never overwritten.")
        written = []
        for file in sorted(p for p in source.rglob("*") if p.is_file()):
            target = folder / file.relative_to(source)
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(file.read_bytes())
            written.append(target)
    except OSError as error:
        raise OutputError(f"{folder}: cannot be written ({error.strerror}). Choose another folder.") from None
    return written
