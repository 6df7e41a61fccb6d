"""The tables and captions of a sheet, found again in its loose texts: by their headings, their columns and the gaps between their lines."""

from __future__ import annotations

import bisect
import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from detailgen.checker.drawing import Writing

COLUMNS: Mapping[str, tuple[str, ...]] = {
    "PARTS": ("Mark", "Qty", "Part", "Thickness", "Material", "Holes"),
    "BOLTS": ("Qty", "Diameter", "Length", "Grade", "Grip", "Washers", "Nuts"),
    "HOLES": ("Part", "Dia", "x", "y", "Made"),
    "WHY": ("Dimension", "Rule", "Required", "Provided", "Clause"),
}
"""Headings of the tables that are read, and the first words of their columns from left to right; more columns may follow."""
EXTRA: Mapping[str, tuple[str, ...]] = {"PARTS": ("lb", "kg")}
"""Columns that a table may have."""
NEW_ROW = 1.68
"""Lines further apart than so many letter heights begin a new row; those of one cell stand 1.56 apart."""
BESIDE = 0.3
"""Texts that begin within so many letter heights of each other stand in one column or on one line."""


@dataclass(frozen=True)
class SheetTable:
    """Rows by the first words of the columns. ``missing``: columns that are not there."""

    title: str
    rows: tuple[Mapping[str, str], ...]
    missing: tuple[str, ...] = ()


def one_line(text: str) -> str:
    return " ".join(text.replace("\u00a0", " ").replace("″", '"').replace("”", '"').replace("’", "'").replace("′", "'").split())


def tables(texts: Sequence[Writing]) -> list[SheetTable]:
    """Every table of the known headings, in the order of layouts and from the top."""
    found = []
    for heading in sorted(texts, key=lambda t: (t.layout, -t.at[1], t.at[0])):
        title = one_line(heading.text).split(", continued")[0]
        if title in COLUMNS:
            found.append(table_below(title, heading, [t for t in texts if t.layout == heading.layout and t is not heading], COLUMNS[title]))
    return found


def table_below(title: str, heading: Writing, texts: Sequence[Writing], names: Sequence[str]) -> SheetTable:
    """The table under a heading whose columns begin with these words."""
    first, *others = names
    x, y = heading.at
    below = [t for t in texts if t.at[1] < y and t.height < heading.height * 0.99]
    starts = [t for t in below if abs(t.at[0] - x) < BESIDE * t.height and one_line(t.text) == first]
    if not starts:
        return SheetTable(title, (), (first,))
    start = max(starts, key=lambda t: t.at[1])
    h = start.height
    level = sorted((t for t in below if abs(t.at[1] - start.at[1]) < BESIDE * h and t.at[0] > x + BESIDE * h), key=lambda t: t.at[0])
    columns, edges = [first], [x]
    for name in (*others, *EXTRA.get(title, ())):
        cell = next((t for t in level if t.at[0] > edges[-1] and one_line(t.text).split(" ")[0] == name), None)
        if cell is not None:
            columns.append(name)
            edges.append(cell.at[0])
    missing = tuple(c for c in others if c not in columns)
    return SheetTable(title, tuple(_rows(_cells(heading, texts, start, edges), columns, start)), missing)


def whole_table(heading: Writing, texts: Sequence[Writing]) -> SheetTable:
    """The table under a heading with whatever columns it has, by their whole headings."""
    x, y = heading.at
    below = [t for t in texts if t.at[1] < y and t.height < heading.height * 0.99 and abs(t.at[0] - x) < BESIDE * t.height]
    for start in sorted(below, key=lambda t: -t.at[1]):
        level = sorted(
            (t for t in texts if abs(t.at[1] - start.at[1]) < BESIDE * start.height and t.at[0] >= start.at[0] and _same_height(t, start)),
            key=lambda t: t.at[0],
        )
        beside = [t.at[0] for t in texts if t.height > start.height * 1.2 and t.at[1] >= start.at[1] and t.at[0] > x + BESIDE * start.height]
        level = [t for t in level if t.at[0] < min(beside, default=math.inf) - BESIDE * start.height]  # a heading farther right has its own table
        if len(level) < 2:
            continue  # a sentence between heading and table
        edges = [t.at[0] for t in level]
        cells = _cells(heading, texts, start, edges)
        names = [one_line(t.text) for t in level]
        last = start.at[1]
        for t, k in sorted(cells, key=lambda c: -c[0].at[1]):  # a column's heading may go on under itself
            if last - t.at[1] > NEW_ROW * start.height:
                break
            last = t.at[1]
            names[k] = f"{names[k]} {one_line(t.text)}"
        return SheetTable(one_line(heading.text).split(", continued")[0], tuple(_rows(cells, names, start)))
    return SheetTable(one_line(heading.text), (), ("a row of headings",))


def _same_height(a: Writing, b: Writing) -> bool:
    return abs(a.height - b.height) < 0.01 * b.height


def _cells(heading: Writing, texts: Sequence[Writing], start: Writing, edges: Sequence[float]) -> list[tuple[Writing, int]]:
    """Texts under the row of headings, each with its column, down to the next heading."""
    x, y = heading.at
    h = start.height
    floor = max((t.at[1] for t in texts if t.at[1] < start.at[1] and t.height > h * 1.2 and abs(t.at[0] - x) < BESIDE * t.height), default=-1e9)
    return [
        (t, k) for t in texts for k, edge in enumerate(edges)
        if t.at[1] < y and floor < t.at[1] < start.at[1] - BESIDE * h and abs(t.at[0] - edge) < BESIDE * h and _same_height(t, start)
    ]  # fmt: skip


def _rows(cells: Sequence[tuple[Writing, int]], columns: Sequence[str], header: Writing) -> list[dict[str, str]]:
    rows: list[dict[str, str]] = []
    last, in_header = header.at[1], True
    for t, k in sorted(cells, key=lambda c: (-round(c[0].at[1], 2), c[1])):
        if last - t.at[1] > NEW_ROW * header.height:
            rows.append(dict.fromkeys(columns, ""))
            in_header = False
        last = t.at[1]
        if not in_header:
            rows[-1][columns[k]] = f"{rows[-1][columns[k]]} {one_line(t.text)}".strip()
    return rows


@dataclass(frozen=True)
class Paragraph:
    """Lines under each other as one sentence; ``at`` is the first line's place."""

    text: str
    at: tuple[float, float]
    layout: int


def paragraphs(texts: Sequence[Writing], *, paper: bool = False) -> list[Paragraph]:
    """Texts of model space (or of the paper), joined where one stands close under another."""
    out: list[Paragraph] = []
    rest = sorted((t for t in texts if bool(t.layout) == paper), key=lambda t: (t.layout, -t.at[1], t.at[0]))
    used: set[int] = set()
    columns: dict[tuple[float, int, int], list[Writing]] = {}
    for t in rest:
        columns.setdefault((round(t.at[0], 2), t.align, t.layout), []).append(t)
    for t in rest:
        if id(t) in used:
            continue
        used.add(id(t))
        words, last = [one_line(t.text)], t
        column = columns[round(t.at[0], 2), t.align, t.layout]
        for under in itertools.islice(column, bisect.bisect_left(column, -t.at[1], key=lambda u: -u.at[1]), None):
            gap = last.at[1] - under.at[1]
            if gap >= NEW_ROW * t.height:
                break
            if id(under) not in used and gap > 0 and _same_height(under, t):
                words.append(one_line(under.text))
                used.add(id(under))
                last = under
        out.append(Paragraph(" ".join(words), t.at, t.layout))
    return out
