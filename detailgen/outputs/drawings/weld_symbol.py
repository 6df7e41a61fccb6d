"""Symbols of welds. Two layouts: one reference line (AWS A2.4, and ISO 2553 system B) and a line with a dashed one (ISO 2553 system A).

The full texts were not read: the layouts are from memory, and are those of every textbook of welding.
On one line the arrow's side is below it and the other side above; with two lines the arrow's side stands on the full line and the other
side at the dashed one. The upright stroke of a fillet or bevel is on the left whichever way the arrow goes. Real inches unless they say paper.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from detailgen.core.units import MM, UnitSystem, feet_inches
from detailgen.model.detail import Weld
from detailgen.outputs.drawings.detail_canvas import ARROW, ARROW_HALF, Canvas, NoRoomError
from detailgen.outputs.drawings.lettering import text_width
from detailgen.outputs.drawings.plane import segments
from detailgen.outputs.drawings.shapes import Circle, Line, Point, Shape, Solid, Text
from detailgen.outputs.drawings.sheets import Lettering

HIGH = 1.3
"""Height of a symbol, in heights of the letters."""
SPACE, STUB, RING, FLAG, DASHED = 0.05, 0.16, 0.05, 0.34, 0.06
"""In of paper: between symbol and lettering; of the line before its lettering and after; radius of all around; pole of a field weld's flag; to the
dashed line."""
REACHES = (0.45, 0.7, 1.0, 1.4, 1.9, 2.5)
"""How long its arrow may be, in of paper."""
WAYS = (60, 120, 45, 135, 30, 150, 75, 105, -60, -120, -45, -135, -30, -150)
"""Directions from the joint to the line, in degrees, best first."""
KINDS = ("fillet", "square", "bevel", "vee")


def size_words(weld: Weld, units: UnitSystem) -> str:
    """What stands left of the symbol: 1/4, or z6 (leg) of a fillet in millimetres; nothing where a groove goes through."""
    if not weld.size:
        return ""
    if units.name == "US":
        return feet_inches(weld.size).strip('"')
    return f"{'z' if weld.kind == 'fillet' else 's'}{round(weld.size / MM, 1):g}"


def length_words(weld: Weld, units: UnitSystem) -> str:
    """What stands right of it: length and pitch (2-6), in mm count, length and gap (3 x 50 (100)); nothing where all of the joint is welded."""
    if not weld.length:
        return ""
    if units.name == "US":
        return "-".join(feet_inches(v).strip('"') for v in (weld.length, weld.pitch) if v)
    one = f"{round(weld.length / MM, 1):g}"
    return f"{weld.count} x {one} ({round((weld.pitch - weld.length) / MM, 1):g})" if weld.pitch else one


def weld_symbol(weld: Weld, joint: Point, elbow: Point, u: float, letters: Lettering, units: UnitSystem) -> list[Shape]:
    """The symbol with its arrow from ``elbow`` (the end of the reference line) to ``joint``; the line runs away from the joint.

    Raises: ValueError for a kind or side that has no symbol
    """
    if weld.kind not in KINDS or weld.side not in ("arrow", "other", "both"):
        raise ValueError(f"no symbol for a weld '{weld.kind}' on the side '{weld.side}'")
    way = 1.0 if elbow[0] >= joint[0] else -1.0
    h, high = letters.note, HIGH * letters.note
    left, right = size_words(weld, units), length_words(weld, units)
    wide = text_width(left, h) + text_width(right, h) + high + 2 * SPACE + 2 * STUB
    end = elbow[0] + way * wide * u
    x, y = min(elbow[0], end), elbow[1]
    middle = x + (STUB + text_width(left, h) + SPACE) * u  # left end of the symbol itself
    dashed = units.name != "US" and weld.side != "both"
    shapes: list[Shape] = [Line("symbols", elbow, joint), _head(joint, elbow, u), Line("symbols", (x, y), (x + wide * u, y))]
    if dashed:
        dash = 0.12 * u
        count = int(wide * u / dash / 1.6)
        shapes += [Line("symbols", (x + k * 1.6 * dash, y - DASHED * u), (x + (k * 1.6 + 1) * dash, y - DASHED * u)) for k in range(count)]
    sides = []  # base line and the way that the symbol stands from it
    if units.name == "US":
        sides += [(y, -1.0)] if weld.side in ("arrow", "both") else []
        sides += [(y, 1.0)] if weld.side in ("other", "both") else []
    else:
        sides += [(y, 1.0)] if weld.side in ("arrow", "both") else []
        sides += [(y - (DASHED * u if dashed else 0.0), -1.0)] if weld.side in ("other", "both") else []
    for base, up in sides:
        shapes += [Line("symbols", p, q) for p, q in _kind(weld.kind, (middle, base), high * u, up)]
        level = base + (SPACE * u if up > 0 else -(SPACE + h) * u)
        for words, edge, anchor in ((left, middle - SPACE * u, "end"), (right, middle + (high + SPACE) * u, "start")):
            if words:
                shapes.append(Text("notes", words, (edge, level), h, 0.0, anchor))
    if weld.around:
        shapes.append(Circle("symbols", elbow, RING * u))
    if weld.field:
        top = (elbow[0], y + FLAG * u)
        tip = (elbow[0] + way * 0.5 * FLAG * u, y + 0.8 * FLAG * u)
        shapes += [Line("symbols", elbow, top), Solid("symbols", (top, tip, (elbow[0], y + 0.6 * FLAG * u)))]
    if weld.tail:
        fork = 0.6 * high * u
        shapes += [Line("symbols", (end, y), (end + way * fork, y + s * fork)) for s in (1, -1)]
        at = (end + way * (fork + SPACE * u), y - h / 2 * u)
        shapes.append(Text("notes", weld.tail, at, h, 0.0, "start" if way > 0 else "end"))
    return shapes


def _kind(kind: str, at: Point, high: float, up: float) -> Sequence[tuple[Point, Point]]:
    """Strokes of a symbol that stands on (up = 1) or hangs under (-1) its line; ``at``: its left end on the line."""
    x, y = at
    top = y + up * high
    if kind == "fillet":
        return (((x, y), (x, top)), ((x, top), (x + high, y)))
    if kind == "square":
        return tuple(((x + s * high, y), (x + s * high, top)) for s in (0.35, 0.65))
    if kind == "bevel":
        return (((x + 0.2 * high, y), (x + 0.2 * high, top)), ((x + 0.2 * high, y), (x + high, top - up * 0.2 * high)))
    half = high * math.tan(math.radians(30))
    return tuple(((x + high / 2, y), (x + high / 2 + s * half, top)) for s in (-1, 1))


def _head(tip: Point, toward: Point, u: float) -> Solid:
    dx, dy = toward[0] - tip[0], toward[1] - tip[1]
    size = math.hypot(dx, dy)
    c, s = dx / size, dy / size
    bx, by = tip[0] + ARROW * u * c, tip[1] + ARROW * u * s
    half = ARROW_HALF * u
    return Solid("symbols", (tip, (bx - half * s, by + half * c), (bx + half * s, by - half * c)))


def place_weld(canvas: Canvas, weld: Weld, joint: Point) -> None:
    """Draw a weld's symbol where its lettering and line lie free of what is drawn.

    Raises: NoRoomError
    """
    for reach in REACHES:
        for way in WAYS:
            angle = math.radians(way)
            elbow = (joint[0] + reach * canvas.u * math.cos(angle), joint[1] + reach * canvas.u * math.sin(angle))
            shapes = weld_symbol(weld, joint, elbow, canvas.u, canvas.letters, canvas.units)
            if _free(canvas, shapes):
                canvas.draw(*shapes)
                return
    raise NoRoomError(f"{canvas.name}: no room for the symbol of a weld")


def _free(canvas: Canvas, shapes: Sequence[Shape]) -> bool:
    """Texts lie on nothing, the symbol's own strokes over no lines, its arrow over no lettering."""
    hit: Callable[[Sequence[Point]], bool] = canvas.words.hit
    for k, shape in enumerate(shapes):
        if isinstance(shape, Text):
            if not canvas.free(shape):
                return False
        else:
            pieces = segments(shape, 0.1 * canvas.u)
            if any(hit(p) for p in pieces) or (k > 1 and any(canvas.lines.hit(p) for p in pieces)):
                return False
    return True
