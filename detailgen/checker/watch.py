"""Check drawings again whenever one is saved."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path

from detailgen.checker.check import check_paths, files_in
from detailgen.checker.report import check_lines
from detailgen.core.errors import InputError

EVERY = 0.5
"""Seconds between two looks."""


def _stamps(paths: Iterable[Path]) -> Mapping[Path, tuple[int, int]]:
    stamps = {}
    for _, path in files_in(paths):
        try:
            stat = path.stat()
        except OSError:
            continue  # saved anew at this very moment
        stamps[path] = stat.st_mtime_ns, stat.st_size
    return stamps


def watch(
    paths: Iterable[Path], tell: Callable[[str], None], *, facts: Path | None = None, looks: int | None = None, pause: float = EVERY,
) -> None:  # fmt: skip
    """Check all once, then each file that changes; a file that cannot be read is told and waited for.

    looks: how often to look; endless if None
    """
    paths = list(paths)
    known: Mapping[Path, tuple[int, int]] = {}
    while looks is None or looks > 0:
        now = _stamps(paths)
        changed = [p for p in now if known.get(p) != now[p]]
        for path in changed:
            try:
                tell("\n".join(check_lines(check_paths([path], facts))))
            except InputError as fault:
                tell(str(fault))
        if changed:
            tell(f"watching {len(now)} file{'s' if len(now) != 1 else ''}; stop with Ctrl-C")
        known = now
        looks = None if looks is None else looks - 1
        if looks != 0:
            time.sleep(pause)
