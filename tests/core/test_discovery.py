"""What plugs in is found, sorted, and a doubled or missing key is an error."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from detailgen.core.discovery import discover


def package(tmp_path: Path, name: str, modules: dict[str, str]) -> None:
    root = tmp_path / name
    root.mkdir()
    (root / "__init__.py").write_text("")
    for module, text in modules.items():
        (root / module).mkdir()
        (root / module / "__init__.py").write_text(text)


THING = "class T:\n    key = {key!r}\nTHING = T()\n"


def test_found_by_key_in_order(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    package(tmp_path, "plugs_good", {"b": THING.format(key="b"), "a": THING.format(key="a")})
    monkeypatch.syspath_prepend(str(tmp_path))
    import plugs_good  # type: ignore[import-not-found]

    assert list(discover(plugs_good, "THING")) == ["a", "b"]


@pytest.mark.parametrize(
    ("name", "modules", "said"),
    [("plugs_double", {"a": THING.format(key="x"), "b": THING.format(key="x")}, "use the key x"), ("plugs_none", {"a": ""}, "offers no THING")],
)
def test_faults(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str, modules: dict[str, str], said: str) -> None:
    package(tmp_path, name, modules)
    monkeypatch.syspath_prepend(str(tmp_path))
    __import__(name)
    with pytest.raises(LookupError, match=said):
        discover(sys.modules[name], "THING")
