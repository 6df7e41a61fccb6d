"""Write a folder whole or not at all: fill a hidden working folder, then swap it in."""

from __future__ import annotations

import contextlib
import errno
import os
import shutil
import tempfile
from collections.abc import Iterator
from pathlib import Path

from detailgen.core.errors import OutputError

_WORK = ".writing-"
_OLD = ".replaced-"
NO_ROOM = (errno.ENOSPC, errno.EFBIG, errno.EDQUOT, errno.EROFS, errno.EIO)
"""What a disk says that takes no more; any other error of the block is its own."""
_END = "~"
"""Stands after the folder's name, which never holds it: 'job' does not take the leftovers of 'job-assessment' for its own."""


def _recover(out: Path, name: str) -> None:
    """Mend what an interrupted run left: half-written folders go, a folder set aside without its successor comes back."""
    for leftover in sorted(out.glob(f"{_WORK}{name}{_END}*")):
        shutil.rmtree(leftover)
    for old in sorted(out.glob(f"{_OLD}{name}{_END}*")):
        if (out / name).exists():
            shutil.rmtree(old)
        else:
            old.rename(out / name)


@contextlib.contextmanager
def whole_folder(out: Path, name: str) -> Iterator[Path]:
    """A fresh folder to fill; it takes the place of ``out/name`` only if the block ends well.

    Raises: OutputError where ``out`` cannot be written
    """
    try:
        out.mkdir(parents=True, exist_ok=True)
        _recover(out, name)
        work = Path(tempfile.mkdtemp(prefix=f"{_WORK}{name}{_END}", dir=out))
        work.chmod(0o755)
    except OSError as error:
        raise OutputError(f"{out}: cannot be written ({error.strerror}). Choose another folder with --out.") from None
    try:
        yield work
        target, old = out / name, out / f"{_OLD}{name}{_END}{os.getpid()}"
        try:
            if target.exists():
                target.rename(old)
            work.rename(target)
        except OSError as error:
            raise OutputError(f"{target}: cannot be written ({error.strerror}).") from None
        shutil.rmtree(old, ignore_errors=True)
    except OSError as error:
        if error.errno in NO_ROOM:
            raise OutputError(f"{out}: cannot be written ({error.strerror}). Make room or choose another folder with --out.") from None
        raise
    finally:
        if work.exists():
            shutil.rmtree(work, ignore_errors=True)
