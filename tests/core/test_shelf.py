"""A shelf gives back what was put on it, to forked processes too, leaves no file, and says where there is no room."""

from __future__ import annotations

import tempfile
from pathlib import Path

import pytest

from detailgen.core.crew import in_order
from detailgen.core.errors import OutputError
from detailgen.core.shelf import Shelf


def test_things_come_back_as_they_were_put_and_no_file_is_seen(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    shelf = Shelf()
    things = [{"a": [1.5, k], "b": "x" * k} for k in range(20)]
    kept = [shelf.put(thing) for thing in things]
    assert [k.get() for k in reversed(kept)] == things[::-1]
    first = kept[3].get()
    assert kept[3].get() is first  # what was asked for last is not read again
    assert [k.get() for k in kept[10:]] == things[10:]
    assert kept[3].get() is not first  # what was asked for long ago takes no room
    later = shelf.put("after reading")
    assert (later.get(), kept[0].get()) == ("after reading", things[0])
    assert list(tmp_path.iterdir()) == []


def test_forked_processes_read_at_the_same_time() -> None:
    shelf = Shelf()
    kept = [shelf.put([k] * 5000) for k in range(60)]
    assert list(in_order(lambda n: [sum(k.get()) for k in kept[n::4]], 4, 4)) == [[5000 * k for k in range(n, 60, 4)] for n in range(4)]


def test_a_disk_without_room_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    full = Path("/dev/full")
    if not full.exists():
        pytest.skip("no /dev/full here")
    monkeypatch.setattr(tempfile, "TemporaryFile", lambda: full.open("wb", buffering=0))
    with pytest.raises(OutputError, match=r"cannot be written \(No space left on device\).*TMPDIR"):
        Shelf().put("something")
