"""The house rules that a machine can see."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]


def run(*arguments: str) -> str:
    done = subprocess.run(arguments, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


def loaded_after(code: str) -> set[str]:
    """Modules in memory after running a line in a fresh interpreter."""
    out = run(sys.executable, "-c", f"{code}\nimport sys\nprint(*sorted(sys.modules), sep='\\n')")
    return set(out.split())


def test_imports_point_one_way() -> None:
    # by its function, so that the installed script's place does not matter
    assert "0 broken" in run(sys.executable, "-c", "from importlinter.cli import lint_imports_command as c; c(['--no-cache'])")


def test_a_planted_import_uphill_is_caught(tmp_path: Path) -> None:
    """The contracts bite: core importing the pipeline breaks them."""
    import shutil

    for name in ("detailgen", "pyproject.toml"):
        source = ROOT / name
        (shutil.copytree if source.is_dir() else shutil.copy)(source, tmp_path / name)
    (tmp_path / "detailgen" / "core" / "tolerance.py").write_text("import detailgen.pipeline\n")
    done = subprocess.run(
        [sys.executable, "-c", "import sys; sys.path.insert(0, '.'); from importlinter.cli import lint_imports_command as c; c(['--no-cache'])"],
        cwd=tmp_path, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode != 0
    assert re.search(r"[1-9]\d* broken", done.stdout)
    assert "detailgen.core is not allowed to import detailgen.pipeline" in done.stdout


def test_help_loads_only_click_and_core() -> None:
    ask = "from click.testing import CliRunner\nfrom detailgen.cli import main\nassert CliRunner().invoke(main, ['--help']).exit_code == 0"
    modules = loaded_after(ask)
    ours = {m for m in modules if m.startswith("detailgen")}
    assert ours <= {"detailgen", "detailgen.cli"} | {m for m in ours if m.startswith("detailgen.core")}
    assert not modules & {"scipy", "pydantic", "yaml", "ezdxf", "detailgen.core.clause", "numpy"}


def test_ruff_is_clean() -> None:
    run(sys.executable, "-m", "ruff", "check", "detailgen", "tests")


def test_mypy_strict_is_clean() -> None:
    run(sys.executable, "-m", "mypy", "--no-error-summary")


def test_top_level_holds_what_was_agreed() -> None:
    agreed = {
        "README.md", "DEVELOPERS.md", "CHANGELOG.md", "LICENSE", "pyproject.toml", "requirements.lock", "detailgen", "templates_src", "tests", "out",
        ".ci", ".gitignore",
    }  # fmt: skip
    assert {line.split("/")[0] for line in run("git", "ls-files").split("\n") if line} <= agreed


@pytest.mark.parametrize("folder", ["utils", "helpers", "common", "misc"])
def test_no_catch_all(folder: str) -> None:
    assert not [p for p in (ROOT / "detailgen").rglob("*") if p.stem == folder]


def test_every_folder_of_code_is_a_package() -> None:
    assert not [p for p in (ROOT / "detailgen").rglob("*.py") if not (p.parent / "__init__.py").exists()]
