"""Rows of dimensions on a view: chains with ``n SPA @ s = total``, text that finds room."""

from __future__ import annotations

import itertools
import math
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace

from detailgen.core.units import UnitSystem
from detailgen.outputs.drawings.detail_canvas import Canvas, NoRoomError, spread
from detailgen.outputs.drawings.detail_words import as_written, number
from detailgen.outputs.drawings.layout import GAP
from detailgen.outputs.drawings.lettering import ASCENT, DESCENT, text_width
from detailgen.outputs.drawings.plane import overlap
from detailgen.outputs.drawings.shapes import Dimension, Point, dimension_parts

ROW, APART = 0.3, 0.3
"""From one row of dimensions to the next, and from the texts of one column to the next column, in of paper."""
CLOSE = 0.004
"""A dimension's text stands closer to its own line than other lettering to any line, in of paper."""
SAME = 1e-6
MISFIT = 1 / 32
"""What the dimensions of a chain, as they are written, may add up beside the distance from its first point (in): less than a sixteenth, the smallest
step that feet and inches are written in; of millimetres it is ten times that."""


@dataclass(frozen=True)
class Span:
    """One dimension of a row: between two points, with its text's pattern (``<>``: the measured distance)."""

    first: Point
    second: Point
    pattern: str = "<>"


def merged(values: Collection[float]) -> list[float]:
    """Sorted values, those that differ by no more than the tolerance once."""
    out: list[float] = []
    for v in sorted(values):
        if not out or v - out[-1] > SAME:
            out.append(v)
    return out


def chain(features: Sequence[tuple[float, Point]], holes: Collection[float], units: UnitSystem) -> list[Span]:
    """Dimensions from feature to feature along an axis; equal steps from hole to hole become one ``n SPA @ s = total``.

    features: place along the axis, and the point that is measured
    holes: places along the axis at which holes stand
    """
    ordered: list[tuple[float, Point]] = []
    for at, point in sorted(features):
        if not ordered or at - ordered[-1][0] > SAME:
            ordered.append((at, point))

    def is_hole(at: float) -> bool:
        return any(abs(at - h) <= SAME for h in holes)

    spans: list[Span] = []
    steps = [(a, b, b[0] - a[0], is_hole(a[0]) and is_hole(b[0])) for a, b in itertools.pairwise(ordered)]
    k = 0
    while k < len(steps):
        end = k + 1
        while steps[k][3] and end < len(steps) and steps[end][3] and abs(steps[end][2] - steps[k][2]) <= SAME:
            end += 1
        count = end - k
        pattern = f"{count} SPA @ {number(steps[k][2], units)} = <>" if count > 1 else "<>"
        spans.append(Span(steps[k][0][1], steps[end - 1][1][1], pattern))
        k = end
    return spans


def chains(
    features: Sequence[tuple[float, Point]], holes: Collection[float], units: UnitSystem, *, start: float | None = None, known: Collection[float] = ()
) -> list[list[Span]]:
    """A chain through the features at which it adds up as it is written, then each other one by itself from the start: no rounding accumulates.

    start: the place that all is measured from; None for the first
    known: places that other rows give, from the start or from the first place, so that they need none of their own
    """

    def adds_up(a: float, b: float, c: float) -> bool:
        return abs(as_written(abs(b - a), units) + as_written(abs(c - b), units) - as_written(abs(c - a), units)) < MISFIT

    places = dict(sorted(features, reverse=True))  # of points at one place the first
    ordered = merged(places)
    first, at = ordered[0], min(ordered, key=lambda x: abs(x - (ordered[0] if start is None else start)))
    kept, own = [at], []
    for side in ([x for x in ordered if x > at], [x for x in reversed(ordered) if x < at]):
        last = at
        for x in side:
            given = any(abs(x - other) <= SAME for other in known)
            if adds_up(at, last, x) and (not given or x < at or adds_up(first, at, x)):
                kept.append(x)
                last = x
            elif not given:
                own.append(sorted((x, at)))
    return [chain([(x, places[x]) for x in kept], holes, units), *([Span(places[a], places[b])] for a, b in own)]


def _dimension(canvas: Canvas, span: Span, line: float, vertical: bool, side: int) -> Dimension:
    k = 1 if vertical else 0
    text = span.pattern.replace("<>", number(abs(span.second[k] - span.first[k]), canvas.units))
    return Dimension(
        "dimensions", span.first, span.second, line, vertical, text, canvas.letters.note, level=vertical, side=side, pattern=span.pattern
    )


def rows(canvas: Canvas, spans: Sequence[Sequence[Span]], first: float, *, away: int) -> float:
    """Rows of horizontal dimensions, the first at y = ``first``, the others ``away`` (1 or -1) from it, each clear of the texts of the one before.

    Returns: the y that the last row reaches
    Raises: NoRoomError
    """
    line = reach = first
    for k, spans_of_row in enumerate(spans):
        later = {round(p[0], 6) for other in spans[k + 1 :] for s in other for p in (s.first, s.second)}
        reach = _row(canvas, spans_of_row, line, away, sorted(later))
        line = reach + away * ROW * canvas.u
    return reach


def _row(canvas: Canvas, spans: Sequence[Span], line: float, away: int, later: Sequence[float]) -> float:
    """One row. ``later``: x of extension lines that will pass it. Returns the y that its texts reach."""
    u, letters = canvas.u, canvas.letters
    passing = [((x, line - away * ROW * u), (x, line + away * 3.0 * u)) for x in later]
    dimensions = [_dimension(canvas, span, line, False, 1) for span in spans]
    for d in dimensions:
        _reserve(canvas, d)
    widths = [text_width(d.text, letters.note) * u for d in dimensions]
    # Those that fit into their own length first, then the short ones, so that leaders of the wide ones pass between them.
    order = sorted(range(len(dimensions)), key=lambda k: (dimensions[k].measure < widths[k] + 0.1 * u, widths[k], k))
    placed: dict[int, Dimension] = {}
    for k in order:
        d = dimensions[k]
        ends = (k == 0, k == len(dimensions) - 1)
        found = next((c for c in _candidates(d, widths[k], u, away, ends) if _fits(canvas, c, passing)), None)
        if found is None:
            raise NoRoomError(f"{canvas.name}: no room for the dimension {d.text}")
        placed[k] = found
        thin, _, text = dimension_parts(found, u)
        canvas.words.add(text.corners(u, GAP))
        if found.drop:
            canvas.lines.add((thin[-1].start, thin[-1].end))
    canvas.draw(*(placed[k] for k in range(len(dimensions))))
    return line + away * max(away * d.drop for d in placed.values()) if any(d.drop for d in placed.values()) else line


def _candidates(d: Dimension, width: float, u: float, away: int, ends: tuple[bool, bool]) -> Iterator[Dimension]:
    """Where the text of a dimension may stand: in its middle, slid along, beyond the row's end, at last on a leader."""
    half, slack = d.measure / 2, (d.measure - width) / 2 - 0.05 * u
    if slack >= 0:
        yield d
        for t in range(1, int(slack / (0.1 * u)) + 1):
            yield replace(d, shift=t * 0.1 * u)
            yield replace(d, shift=-t * 0.1 * u)
    beside = half + width / 2 + 0.1 * u
    for end, way in zip(ends, (-1, 1), strict=True):
        if end:
            yield replace(d, shift=way * beside, tail=True)
    for level, shift in itertools.product(range(1, 9), (0.0, *(s * 0.1 * k for k in range(1, 25) for s in (1, -1)))):
        yield replace(d, shift=shift * u, drop=away * (0.06 + 0.22 * level) * u)


def _reserve(canvas: Canvas, d: Dimension) -> None:
    """The lines of a dimension, before its text finds a place."""
    thin, strokes, _ = dimension_parts(replace(d, shift=0.0, drop=0.0), canvas.u)
    for line in (*thin, *strokes):
        canvas.lines.add((line.start, line.end))


def _fits(canvas: Canvas, d: Dimension, passing: Sequence[tuple[Point, Point]]) -> bool:
    thin, _, text = dimension_parts(d, canvas.u)
    if not canvas.free(text, CLOSE) or any(overlap(text.corners(canvas.u, GAP), line) for line in passing):
        return False
    leader = thin[-1] if d.drop else None
    return leader is None or not canvas.words.hit((leader.start, leader.end))


def columns(canvas: Canvas, spans: Sequence[Sequence[Span]], line: float, *, side: int) -> float:
    """Columns of vertical dimensions, the first at x = ``line``, the others beyond it on the same side, each clear of the texts of the one before.

    Returns: the x that the next column may stand at
    Raises: NoRoomError
    """
    for k, own in enumerate(spans):
        later = merged([p[1] for other in spans[k + 1 :] for s in other for p in (s.first, s.second)])
        line += side * (column(canvas, own, line, side=side, later=later) + APART * canvas.u)
    return line


def column(canvas: Canvas, spans: Sequence[Span], line: float, *, side: int, later: Sequence[float] = ()) -> float:
    """A column of vertical dimensions at x = line, level texts on its left (-1) or right (1).

    later: y of extension lines that will pass it
    Returns: width that the texts take beyond the line (in, real)
    Raises: NoRoomError
    """
    u, letters = canvas.u, canvas.letters
    spans = sorted(spans, key=lambda s: s.first[1] + s.second[1])
    dimensions = [_dimension(canvas, span, line, True, side) for span in spans]
    middles = [(d.first[1] + d.second[1]) / 2 for d in dimensions]
    under, over = ((DESCENT + 0.5) * letters.note + GAP) * u, ((ASCENT - 0.5) * letters.note + GAP) * u
    places = _beside_lines(spread(middles, [under + over + 0.01 * u] * len(dimensions)), under, over, later)
    for d in dimensions:
        _reserve(canvas, replace(d, text=""))
    for k, (d, middle, place) in enumerate(zip(dimensions, middles, places, strict=True)):
        shift = place - middle if abs(place - middle) > 0.02 * u else 0.0
        dimensions[k] = replace(d, shift=shift)
    if any(d.shift for d in dimensions):  # where one has a leader all stand at the same distance
        dimensions = [d if d.shift else replace(d, drop=0.12 * u) for d in dimensions]
    for d in dimensions:
        text = dimension_parts(d, u)[2]
        if not canvas.free(text):
            raise NoRoomError(f"{canvas.name}: no room for the dimension {d.text}")
        canvas.words.add(text.corners(u, 0.0))
    canvas.draw(*dimensions)
    reach = max(abs(p[0] - line) for d in dimensions for p in dimension_parts(d, u)[2].corners(u))
    return reach if math.isfinite(reach) else 0.0


def _beside_lines(places: Sequence[float], under: float, over: float, lines: Sequence[float]) -> list[float]:
    """Texts in order, each so far ``under`` and ``over`` its place, moved as little as can be so that none stands on a level line or another text."""

    def clear(y: float) -> bool:
        return all(line <= y - under or line >= y + over for line in lines)

    if all(clear(y) for y in places):
        return list(places)
    tall = under + over + SAME
    edges = {*places, *(line + under + SAME for line in lines), *(line - over - SAME for line in lines)}
    free = sorted(y for y in {e + k * tall for e in edges for k in range(-len(places), len(places) + 1)} if clear(y))
    best: list[tuple[float, tuple[float, ...]]] = [(0.0, ())]  # of texts so far: how far they were moved in all, and where they stand
    for place in places:
        found = []
        for y in free:
            before = [b for b in best if not b[1] or b[1][-1] + tall <= y + SAME]
            if before:
                moved, stands = min(before)
                found.append((moved + abs(y - place), (*stands, y)))
        best = found
    return list(min(best)[1])
