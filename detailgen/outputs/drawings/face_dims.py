"""What a face view says of a part's outline: every corner, column and row once, radii of its arcs, bevels of its sloped edges."""

from __future__ import annotations

import math
from collections.abc import Iterable

from detailgen.core.bevel import bevel_of
from detailgen.core.units import UnitSystem
from detailgen.model.detail import Hole, Part, Slot
from detailgen.model.outlines import across_at, bounds, circle_of, edges_of
from detailgen.outputs.drawings.detail_canvas import Callout, Canvas
from detailgen.outputs.drawings.detail_dims import SAME, Span, chains, columns, merged, rows
from detailgen.outputs.drawings.detail_words import length
from detailgen.outputs.drawings.shapes import Point

Features = list[tuple[float, Point]]
"""Places along an axis, with the point that is measured."""
BESIDE, BELOW = 0.28, 0.42
"""From the part to the first column and row of dimensions, in of paper."""


def _is_open(part: Part, x: float) -> bool:
    return any(abs(x - end) < SAME for end in part.open_ends)


def curved_edges(part: Part) -> bool:
    """A part that runs on between two arcs: nothing but its work point and its radii says where its edges are."""
    return bool(part.open_ends) and any(v.bulge for v in part.outline)


def _corners(part: Part) -> list[Point]:
    """Corners that are cut, not those at a break line."""
    return [(v.x, v.y) for v in part.outline if not _is_open(part, v.x)]


def dimension_face(canvas: Canvas, part: Part, stations: list[float], levels: list[float]) -> float:
    """Below: ends and columns, lower corners, overall; above: upper corners; left: edges and rows; right: corners, overall width. No dimension ends
    at a break line.

    Returns: y above which nothing is dimensioned
    Raises: NoRoomError
    """
    x0, y0, x1, y1 = bounds(part.outline)
    u, units = canvas.u, canvas.units
    holes: list[Hole | Slot] = [*part.holes, *part.slots]
    lowest = {c: min(h.y for h in holes if abs(h.x - c) < SAME) for c in stations}
    leftmost = {r: min(h.x for h in holes if abs(h.y - r) < SAME) for r in levels}
    ends = [x for x in (x0, x1) if not _is_open(part, x)]
    foot = {x: min((p[1] for p in _corners(part) if abs(p[0] - x) < SAME), default=y0) for x in ends}
    features: Features = [(c, (c, lowest[c])) for c in stations]
    features += [(x, (x, foot[x])) for x in ends]
    if not ends:
        features.append((0.0, (0.0, y0 - 0.15 * u)))
    across: Features = [(r, (leftmost[r], r)) for r in levels]
    across += _edges(part, stations)
    below, above, beside = _more_corners(part)
    low, high = _extreme(part, y0) or (x1, y0), _extreme(part, y1) or (x1, y1)
    overall = (levels or beside) and not curved_edges(part)
    columns(canvas, chains(across, levels, units, known=[y1] if overall else ()), x0 - BESIDE * u, side=-1)
    corners = [(y0, low), *((p[1], p) for p in beside), (y1, high)]
    right = chains(corners, (), units, known=[y1]) if beside else []
    columns(canvas, [*right, *([[Span(low, high)]] if overall else [])], x1 + BESIDE * u, side=1)
    start, known = (ends[0] if ends else 0.0), (ends[1:] if stations or below or above else [])
    stacked = chains(features, stations, units, start=start, known=known) if len(features) > 1 else []
    if below:
        stacked += chains([*((x, (x, foot[x])) for x in ends), *((p[0], p) for p in below)], (), units, start=start, known=known)
    if known:
        stacked.append([Span((x0, foot[x0]), (x1, foot[x1]))])
    rows(canvas, stacked, y0 - BELOW * u, away=-1)
    if not above:
        return y1
    head = {x: max((p[1] for p in _corners(part) if abs(p[0] - x) < SAME), default=y1) for x in ends}
    upper = [*((x, (x, head[x])) for x in ends), *((p[0], p) for p in above)]
    return rows(canvas, chains(upper, (), units, start=start, known=known), y1 + BESIDE * u, away=1) + 0.15 * u


def _edges(part: Part, stations: list[float]) -> Features:
    """The edges between which rows are measured; of a curve those at the first column, where a tape is laid across."""
    x0, y0, _, y1 = bounds(part.outline)
    if curved_edges(part) and (found := across_at(part.outline, stations[0] if stations else 0.0)) is not None:
        x = stations[0] if stations else 0.0
        return [(y, (x, y)) for y in found]
    return [(y0, _extreme(part, y0) or (x0, y0)), (y1, _extreme(part, y1) or (x0, y1))]


def _extreme(part: Part, y: float) -> Point | None:
    """The crown of an arc that reaches this height where no corner does; None where a corner does."""
    if any(abs(v.y - y) < SAME for v in part.outline):
        return None
    for a, b in edges_of(part.outline):
        if a.bulge:
            x, centre, radius = circle_of(a, b)
            if min(abs(centre + radius - y), abs(centre - radius - y)) < SAME:
                return x, y
    return None


def _more_corners(part: Part) -> tuple[list[Point], list[Point], list[Point]]:
    """Corners whose places the box does not say: along it those of the lower and of the upper half, and across it."""
    if curved_edges(part):
        return [], [], []
    x0, y0, x1, y1 = bounds(part.outline)
    corners = _corners(part)
    middle = (y0 + y1) / 2
    inner = [p for p in corners if min(abs(p[0] - x0), abs(p[0] - x1)) > SAME]
    below = _once([p for p in inner if p[1] <= middle], 0, lowest=True)
    taken = [p[0] for p in below]
    above = _once([p for p in inner if p[1] > middle and all(abs(p[0] - x) > SAME for x in taken)], 0, lowest=False)
    beside = _once([p for p in corners if min(abs(p[1] - y0), abs(p[1] - y1)) > SAME], 1, lowest=False)
    return below, above, beside


def _once(points: Iterable[Point], axis: int, *, lowest: bool) -> list[Point]:
    """One point for each place along an axis: the lowest, or the highest, of those that share it."""
    points = list(points)
    out = []
    for at in merged([p[axis] for p in points]):
        same = [p for p in points if abs(p[axis] - at) <= SAME]
        out.append(min(same, key=lambda p: p[1 - axis]) if lowest else max(same, key=lambda p: p[1 - axis]))
    return out


def edge_callouts(part: Part, units: UnitSystem) -> list[Callout]:
    """Radii of arcs and bevels of edges that are neither along nor square to the part, each kind once."""
    found: dict[str, list[Point]] = {}
    for a, b in edges_of(part.outline):
        if _is_open(part, a.x) and _is_open(part, b.x) and abs(a.x - b.x) < SAME:
            continue
        if a.bulge:
            cx, cy, radius = circle_of(a, b)
            start, turn = math.atan2(a.y - cy, a.x - cx), 4 * math.atan(a.bulge)
            spots = [(cx + radius * math.cos(start + t * turn), cy + radius * math.sin(start + t * turn)) for t in (0.5, 0.35, 0.65, 0.2, 0.8)]
            found.setdefault(f"R {length(radius, units)}", []).extend(spots)
        elif (bevel := bevel_of(math.atan2(b.y - a.y, b.x - a.x), units)) is not None:
            spots = [(a.x + t * (b.x - a.x), a.y + t * (b.y - a.y)) for t in (0.5, 0.3, 0.7)]
            found.setdefault(f"edge {bevel.plumb} across to {bevel.level} along", []).extend(spots)
    return [Callout(words, tuple(sorted(spots, key=lambda p: -p[1]))) for words, spots in sorted(found.items())]
