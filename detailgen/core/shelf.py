"""Things that are seldom asked for, set aside in a file without a name: they take no room here meanwhile, and nothing is left behind."""

from __future__ import annotations

import os
import pickle
import tempfile
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Generic, TypeVar, cast

from detailgen.core.errors import OutputError

T = TypeVar("T")


class Shelf:
    """The file. It is gone when nobody holds anything of it any more; forked processes read it too, but only one writes."""

    def __init__(self) -> None:
        self._file = tempfile.TemporaryFile()  # noqa: SIM115 - closed below: things are fetched as long as somebody holds them
        self._end = 0

    def put(self, thing: T) -> Kept[T]:
        """Set a thing aside; it must be picklable. Raises: OutputError where the folder for temporary files takes no more"""
        data = pickle.dumps(thing, pickle.HIGHEST_PROTOCOL)
        try:
            self._file.write(data)
            self._file.flush()
        except OSError as error:
            place = tempfile.gettempdir()
            raise OutputError(f"{place}: cannot be written ({error.strerror}). Make room there or name another folder in TMPDIR.") from None
        self._end += len(data)
        return Kept(self, self._end - len(data), len(data))

    def read(self, at: int, size: int) -> bytes:
        """Without moving the place of writing, which forked processes share."""
        return os.pread(self._file.fileno(), size, at)

    def __del__(self) -> None:
        self._file.close()


@dataclass(frozen=True)
class Kept(Generic[T]):
    """Where a thing stands on its shelf."""

    shelf: Shelf
    at: int
    size: int

    def get(self) -> T:
        return cast(T, _fetched(self))


@lru_cache(maxsize=4)
def _fetched(kept: Kept[Any]) -> object:
    """What was asked for last is asked for again while one truss is written about."""
    return pickle.loads(kept.shelf.read(kept.at, kept.size))
