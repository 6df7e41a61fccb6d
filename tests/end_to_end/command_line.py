"""The tool as a user runs it: a process of its own, a folder of its own, edited copies of the samples."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

import detailgen

PACKAGE = Path(detailgen.__file__).parent
SAMPLES = PACKAGE / "samples"
ROOT = PACKAGE.parent


@dataclass(frozen=True)
class Answer:
    """Exit code and what was printed."""

    code: int
    out: str
    err: str


def environment(**more: str) -> dict[str, str]:
    """A plain environment in which this checkout is found from any folder."""
    kept = {k: v for k, v in os.environ.items() if k in ("PATH", "HOME", "LANG", "TMPDIR", "VIRTUAL_ENV")}
    return {**kept, "PYTHONPATH": str(ROOT), **more}


def detailgen_run(*words: str | Path, cwd: Path | None = None, **env: str) -> Answer:
    """Run ``detailgen`` with these words. Whatever happens, nobody may see a traceback."""
    done = subprocess.run(
        [sys.executable, "-m", "detailgen", *map(str, words)], cwd=cwd, env=environment(**env), capture_output=True, text=True, check=False,
        timeout=120,
    )  # fmt: skip
    assert "Traceback" not in done.stdout + done.stderr, done.stderr
    return Answer(done.returncode, done.stdout, done.stderr)


def copy_of(sample: str, folder: Path, *changes: tuple[str, str]) -> Path:
    """A copy of a sample in ``folder`` with texts of its project file replaced; each must be there."""
    shutil.copytree(SAMPLES / sample, folder)
    file = folder / "project.yaml"
    text = file.read_text(encoding="utf-8")
    for old, new in changes:
        assert old in text, f"the sample no longer holds {old!r}"
        text = text.replace(old, new)
    file.write_text(text, encoding="utf-8")
    return folder


def files_in(folder: Path) -> dict[str, bytes]:
    """Every file under a folder by its path, hidden ones too."""
    return {str(p.relative_to(folder)): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


def only_project(out: Path) -> Path:
    """The one folder that stands in ``out``."""
    (folder,) = out.iterdir()
    return folder
