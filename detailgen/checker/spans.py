"""Dimensions of a drawing: what they span or turn, what their text and their picture say."""

from __future__ import annotations

import math

from detailgen.checker.drawing import Stretch, Turn
from detailgen.checker.dxf_text import DxfText, Entity, decoded
from detailgen.checker.geometry import Frame, Point

LINEAR, ALIGNED, TURN_OF_LINES, DIAMETER, RADIUS, TURN_OF_POINTS, ORDINATE = range(7)
"""Kinds of dimension by the last three bits of group 70."""
ALONG_X = 64


def words_of(e: Entity) -> str:
    text = "".join(value for code, value in e.pairs() if code in ("1", "3")) if e.kind == "MTEXT" else e.word("1")
    return decoded(text)


def dimension_of(text: DxfText, e: Entity, frame: Frame, layer: str) -> Stretch | Turn | None:
    """What one dimension claims; None where its block is stretched one way."""
    kind = e.whole("70") & 7
    if kind > ORDINATE or not frame.keeps_shape:
        return None
    block = text.blocks.get(e.word("2").upper())
    shown = " ".join(words_of(x) for x in (block.entities if block else ()) if x.kind in ("TEXT", "MTEXT"))
    said = decoded(e.word("1"))
    if kind in (TURN_OF_LINES, TURN_OF_POINTS):
        return _turn(e, kind, frame, layer, said, shown)
    d: Point | None = None
    if kind in (LINEAR, ALIGNED):
        a, b = frame.at(e.point("13")), frame.at(e.point("14"))
        d = frame.turn().along(_along(e.number("50"))) if kind == LINEAR else None
        if kind == ALIGNED and (length := math.dist(a, b)) > 0:
            d = (b[0] - a[0]) / length, (b[1] - a[1]) / length
    elif kind == ORDINATE:
        a, b = frame.at(e.point("10")), frame.at(e.point("13"))
        d = frame.turn().along(_along(-e.number("51") + (0.0 if e.whole("70") & ALONG_X else 90.0)))
    else:
        a, b = frame.at(e.point("10")), frame.at(e.point("15"))
    measured = math.dist(a, b) if d is None else abs((b[0] - a[0]) * d[0] + (b[1] - a[1]) * d[1])
    factor = e.override(144)
    factor = text.dimension_factors.get(e.word("3").upper(), 1.0) if factor is None else factor
    return Stretch(said, shown, measured, a, b, d, layer, abs(factor) or 1.0)


def _along(degrees: float) -> Point:
    return math.cos(math.radians(degrees)), math.sin(math.radians(degrees))


def _turn(e: Entity, kind: int, frame: Frame, layer: str, said: str, shown: str) -> Turn | None:
    """Between two lines any of their angles may be meant; about a point the one on whose side the arc stands, or the rest of the circle."""
    p13, p14, p15, p10 = (frame.at(e.point(c)) for c in ("13", "14", "15", "10"))
    first, second = ((p13, p14), (p15, p10)) if kind == TURN_OF_LINES else ((p15, p13), (p15, p14))
    turns = [math.degrees(math.atan2(b[1] - a[1], b[0] - a[0])) for a, b in (first, second)]
    if min(math.dist(*first), math.dist(*second)) == 0:
        return None
    between = abs(turns[1] - turns[0]) % 360
    possible = [between, 360 - between]
    if kind == TURN_OF_LINES:
        possible += [(between + 180) % 360, 360 - (between + 180) % 360]
    return Turn(said, shown, tuple(sorted(set(possible))), second[0], layer)
