"""Tables of what varies: letters stand for lengths of one drawing, and each row of the table for another part; held against their face views."""

from __future__ import annotations

import itertools
import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from detailgen.checker.alike import SAME, as_known, off_shape, shape_of
from detailgen.checker.drawing import Drawing, Face, FaceHole, Stretch, Writing
from detailgen.checker.geometry import Outline, Point
from detailgen.checker.sheet_tables import SheetTable, one_line, table_below
from detailgen.checker.statements import WRITTEN, Told
from detailgen.core.result import CheckResult, State

TITLE = "WHAT VARIES, "
_LETTER = re.compile(r"[A-Z]{1,2}")
_CHAIN = re.compile(r"(?P<count>\d+) SPA @ (?P<step>.+) = (?P<total>.+)")
AT = 1 / 64
"""A dimension's point nearer than this (in) to a corner or hole belongs to it."""


@dataclass(frozen=True)
class _Lettered:
    """A letter of the drawing: from one feature to another, counted along (0) or across (1) the part; ``share`` of that length."""

    letter: str
    axis: int
    first: int
    second: int
    share: float


def judge_varied(drawing: Drawing, known: Mapping[str, tuple[str, Face, float | None]]) -> list[CheckResult]:
    """``known``: by mark, the file, the face view and its thickness (in)."""
    told = Told(replace(drawing, faces=()))
    for table in _tables(drawing.texts):
        marks = [row["Mark"] for row in table.rows]
        where = f"table {table.title}"
        missing = [m for m in marks if m not in known]
        if missing or not marks:
            told.unread(where, f"face views of {', '.join(missing)} in the files that are checked together" if marks else "rows")
            continue
        letters = [c for c in next(iter(table.rows)) if _LETTER.fullmatch(c)]
        view = _view(drawing, known[marks[0]][1], letters)
        if view is None:
            told.unread(where, f"a view of {marks[0]} whose dimensions have the letters {', '.join(letters)}")
            continue
        for row in table.rows:
            _row(told, f"{where}, row {row['Mark']}", row, known[row["Mark"]][1], view)
    if told.sound and not told.results:
        nan = math.nan
        check = f"{told.sound} lengths in place of letters agree with the face views"
        told.results.append(CheckResult("what varies", check, nan, nan, "", nan, State.PASSES, "", "", nan, WRITTEN))
    return told.results


def _tables(texts: Sequence[Writing]) -> list[SheetTable]:
    found = []
    for heading in sorted(texts, key=lambda t: (t.layout, -t.at[1], t.at[0])):
        title = one_line(heading.text)
        if not title.startswith(TITLE):
            continue
        below = [t for t in texts if t.layout == heading.layout and t is not heading and t.at[1] < heading.at[1]]
        start = max((t for t in below if one_line(t.text) == "Mark" and abs(t.at[0] - heading.at[0]) < t.height), key=lambda t: t.at[1], default=None)
        if start is None:
            continue
        level = [t for t in below if abs(t.at[1] - start.at[1]) < 0.3 * start.height and t.at[0] >= start.at[0]]
        columns = _contiguous(sorted(level, key=lambda t: t.at[0]))
        found.append(table_below(title, heading, below, columns))
    return found


def _contiguous(level: Sequence[Writing]) -> tuple[str, ...]:
    """The columns of one header row: another table on the same level begins with a word that this one has already."""
    out: list[str] = []
    for name in (one_line(t.text) for t in level):
        if name in out or (len(out) > 1 and name != "Required" and name != "Template" and not _LETTER.fullmatch(name)):
            break
        out.append(name)
    return tuple(out)


def _steps(values: Sequence[float]) -> list[float]:
    out: list[float] = []
    for v in sorted(values):
        if not out or v - out[-1] > AT:
            out.append(v)
    return out


def _features(outline: Outline, holes: Sequence[FaceHole]) -> tuple[list[float], list[float]]:
    """Places of corners and holes along and across a part."""
    points: list[Point] = [*outline.corners, *((h.x, h.y) for h in holes if not h.slot)]
    return _steps([p[0] for p in points]), _steps([p[1] for p in points])


def _view(drawing: Drawing, face: Face, letters: Sequence[str]) -> list[_Lettered] | None:
    """The letters of the drawn view that has the face's shape: which features each of them joins."""
    for outline, holes in drawing.shown:
        again = as_known(face, outline, holes)
        if off_shape(shape_of("", face), shape_of("", again)) > SAME:
            continue
        found = _letters_at(outline, holes, drawing.stretches)
        if {f.letter for f in found} == set(letters):
            return found
    return None


def _letters_at(outline: Outline, holes: Sequence[FaceHole], stretches: Sequence[Stretch]) -> list[_Lettered]:
    features = _features(outline, holes)
    out = []
    for s in stretches:
        if s.direction is None or not all(outline.in_box(p, AT) for p in (s.first, s.second)):
            continue
        axis = 0 if abs(s.direction[0]) > abs(s.direction[1]) else 1
        at = [min(range(len(features[axis])), key=lambda k: abs(features[axis][k] - p[axis])) for p in (s.first, s.second)]
        text = one_line(s.text)
        chain = _CHAIN.fullmatch(text)
        parts = [(chain["step"], 1 / int(chain["count"])), (chain["total"], 1.0)] if chain else [(text, 1.0)]
        out += [_Lettered(letter, axis, min(at), max(at), share) for letter, share in parts if _LETTER.fullmatch(letter)]
    return out


def _row(told: Told, where: str, row: Mapping[str, str], face: Face, view: Sequence[_Lettered]) -> None:
    """A face may be drawn turned round or over: the way round in which most of the row agrees is meant."""
    trials: list[tuple[int, int, Told]] = []
    for flips in itertools.product((False, True), repeat=2):
        trial = Told(told.drawing)
        features = _features(face.outline, face.holes)
        for one in view:
            values = features[one.axis]
            if len(values) <= one.second:
                trial.differs(where, f"letter {one.letter} joins features that its face view has not")
                continue
            i, j = (len(values) - 1 - one.second, len(values) - 1 - one.first) if flips[one.axis] else (one.first, one.second)
            stated = told.length(row[one.letter])
            trial.same(where, f"letter {one.letter} states", stated if math.isfinite(stated) else math.nan, (values[j] - values[i]) * one.share)
        trials.append((len(trial.results), len(trials), trial))
    told.take(min(trials)[2])
