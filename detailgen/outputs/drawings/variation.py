"""Marks that differ only in lengths: one drawing with letters in place of what differs, and a table of it by mark."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from detailgen.model.detail import Part, Vertex
from detailgen.model.outlines import circle_of, edges_of
from detailgen.model.package import Marked
from detailgen.outputs.drawings.blocks import Listing, listing
from detailgen.outputs.drawings.detail_canvas import Canvas
from detailgen.outputs.drawings.detail_dims import merged
from detailgen.outputs.drawings.shapes import Dimension, Shape
from detailgen.outputs.drawings.sheets import Lettering

LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ"
"""No I and O, which are read as figures."""
CHAIN = re.compile(r"(?P<count>\d+) SPA @ (?P<step>.+) = <>")

Form = tuple[object, ...]


def _place(values: list[float], at: float) -> int:
    return min(range(len(values)), key=lambda k: abs(values[k] - at))


def form_of(part: Part) -> Form:
    """What parts that share a drawing have in common: all but lengths. Corners and holes count by their order along the part and across it."""
    xs = merged([v.x for v in part.outline] + [h.x for h in part.holes])
    ys = merged([v.y for v in part.outline] + [h.y for h in part.holes])
    corners = tuple((_place(xs, v.x), _place(ys, v.y), _radius(v, b)) for v, b in edges_of(part.outline))
    holes = tuple(sorted((_place(xs, h.x), _place(ys, h.y), round(h.diameter, 4), h.made) for h in part.holes))
    grain = 0.0 if math.isnan(part.grain) else round(part.grain % math.pi, 4)
    timber = part.timber or ""
    fixed = (part.kind, part.material, round(part.thickness, 4), part.specification, part.finish, part.handed, grain, timber)
    return (*fixed, corners, holes)


def _radius(a: Vertex, b: Vertex) -> float:
    return round(math.copysign(circle_of(a, b)[2], a.bulge), 4) if a.bulge else 0.0


def families(marks: Sequence[Marked]) -> list[list[Marked]]:
    """Marks that may share a drawing, in their order; one with slots or sloped edges stands alone, as not all of it is said by lengths, and so
    does one without holes, which nothing would tell from another."""
    found: dict[Form, list[Marked]] = {}
    for one in marks:
        sloped = any(not a.bulge and a.x != b.x and a.y != b.y for a, b in edges_of(one.part.outline))
        alone: Form = (one.mark,) if one.part.slots or sloped or not one.part.holes else ()
        found.setdefault((*form_of(one.part), *alone), []).append(one)
    return list(found.values())


@dataclass(frozen=True)
class Varied:
    """The drawing's shapes with letters, and what each letter is, by mark in the order of ``marks``."""

    marks: tuple[Marked, ...]
    shapes: tuple[Shape, ...]
    values: dict[str, tuple[str, ...]]
    templates: tuple[str, ...] = ()  # by mark, where they differ


def dimensions_of(canvas: Canvas) -> list[Dimension]:
    return [s for s in canvas.shapes if isinstance(s, Dimension)]


def _counts(canvas: Canvas) -> list[tuple[bool, str]]:
    return [(d.vertical, m["count"] if (m := CHAIN.fullmatch(d.pattern)) else "") for d in dimensions_of(canvas)]


def alike_chains(drawn: Sequence[Canvas]) -> list[list[int]]:
    """Which of a family have their dimensions in the same chains, as positions in it."""
    groups: dict[tuple[tuple[bool, str], ...], list[int]] = {}
    for k, canvas in enumerate(drawn):
        groups.setdefault(tuple(_counts(canvas)), []).append(k)
    return list(groups.values())


def _texts(d: Dimension) -> tuple[str, ...]:
    """The lengths that a dimension states: one, or the step and the total of a chain."""
    if m := CHAIN.fullmatch(d.pattern):
        return m["step"], d.text.rsplit(" = ", 1)[1]
    return (d.text,)


def vary(marks: Sequence[Marked], drawn: Sequence[Canvas], templates: tuple[str, ...]) -> Varied:
    """The first of the family as it is drawn, with a letter for every length in which they differ; lengths that differ alike share a letter."""
    columns = list(zip(*(dimensions_of(c) for c in drawn), strict=True))
    letters: dict[tuple[str, ...], str] = {}
    lettered: dict[int, Dimension] = {}
    for k, same in enumerate(columns):
        said = []
        for values in zip(*(_texts(d) for d in same), strict=True):
            differs = len(set(values)) > 1
            said.append(letters.setdefault(values, _letter(len(letters))) if differs else values[0])
        first = same[0]
        if m := CHAIN.fullmatch(first.pattern):
            words = f"{m['count']} SPA @ {said[0]} = {said[1]}"
            whole = said[1] == _texts(first)[1]
            pattern = f"{m['count']} SPA @ {said[0]} = <>" if whole else words
        else:
            words = said[0]
            pattern = first.pattern if words == first.text else words
        lettered[k] = replace(first, text=words, pattern=pattern)
    count = iter(range(len(columns)))
    shapes = tuple(lettered[next(count)] if isinstance(s, Dimension) else s for s in drawn[0].shapes)
    differ = templates if len(set(templates)) > 1 else ()
    return Varied(tuple(marks), shapes, {letter: values for values, letter in letters.items()}, differ)


def _letter(k: int) -> str:
    more, at = divmod(k, len(LETTERS))
    return (LETTERS[more - 1] if more else "") + LETTERS[at]


NAMED = 4
"""A family of more marks is named by its first and its last."""


def names_of(marks: Sequence[Marked]) -> str:
    return ", ".join(m.mark for m in marks) if len(marks) <= NAMED else f"{marks[0].mark} to {marks[-1].mark}"


def variation_table(varied: Varied, letters: Lettering) -> Listing:
    columns = [*varied.values.values(), *([varied.templates] if varied.templates else [])]
    rows = [(m.mark, str(m.quantity), *(values[k] for values in columns)) for k, m in enumerate(varied.marks)]
    under = f"Letters of the drawing, which is drawn as {varied.marks[0].mark}; all else is alike."
    header = ("Mark", "Required", *varied.values, *(["Template"] if varied.templates else []))
    return listing(f"WHAT VARIES, {names_of(varied.marks)}", header, rows, letters, under=under)
