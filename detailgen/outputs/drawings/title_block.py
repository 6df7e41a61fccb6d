"""Frame and title block of a firm: blocks of a drawing that it edits, with a field for all that a sheet says of itself. Inches of paper.

The tool reads them, puts its words into the fields and draws both on every sheet. What it cannot draw or fill it names.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path

from detailgen.core.errors import OutputError
from detailgen.core.templates import template_path
from detailgen.core.units import UnitSystem
from detailgen.outputs.drawings.layers import Layer, firm_layers
from detailgen.outputs.drawings.lettering import wrap
from detailgen.outputs.drawings.plane import box_of, segments
from detailgen.outputs.drawings.shapes import Field, Point, Polyline, Shape, Text, moved
from detailgen.outputs.drawings.sheets import Sheet
from detailgen.outputs.drawings.template_shapes import UnreadableError, read_block

FILES = {"US": "sheets/title_block_US.dxf", "SI": "sheets/title_block_SI.dxf"}
TAGS = {
    "SHEET": "number of the sheet", "TITLE": "what the sheet shows", "PROJECT": "name of the project", "REVISION": "revision",
    "DATE": "date of the revision", "SCALE": "scale, or: as noted, none", "UNITS": "feet and inches, or millimetres",
    "PURPOSE": "design sheet, shop sheet, form", "STATUS": "PROPOSED, PRELIMINARY or ISSUED", "STATUS_MEANING": "what the status means",
    "PLACE": "trusses, type, bay", "NUMBER": "number of the project", "LOCATION": "where the building is", "STANDARDS": "standards and editions",
    "DRAWN": "what it was drawn from, which way an elevation looks", "PAPER": "name of the paper",
}  # fmt: skip
"""Every field that the tool fills, by its tag."""
REQUIRED = ("SHEET", "TITLE", "PROJECT", "REVISION", "DATE", "SCALE", "UNITS", "PURPOSE", "STATUS", "STATUS_MEANING")
Box = tuple[float, float, float, float]
OWN = "FIRM_"
"""Fields whose tags begin so are the firm's: they keep what stands in them."""
NARROW = (1.0, 0.9, 0.8, 0.7, 0.6)
"""How narrow letters may be set where words are too long for their field."""
PAD = 0.06
"""Kept free between words and the next line."""
WIDEST = 0.55
"""Greatest share of the frame's width that a title block may take."""


@dataclass(frozen=True)
class Slot:
    """One line of a field: where its letters stand, and how much room they have."""

    tag: str
    prompt: str
    text: Text
    room: float


@dataclass(frozen=True)
class TitleBlock:
    """``margins`` of the frame (left, bottom, right, top); the frame's shapes about the paper's lower left corner, the title block's about the
    frame's lower right corner."""

    margins: tuple[float, float, float, float]
    frame: tuple[Shape, ...]
    width: float
    height: float
    shapes: tuple[Shape, ...]
    slots: tuple[Slot, ...]


def read_title_block(sheet: Sheet, units: UnitSystem, folder: str) -> TitleBlock:
    """The blocks FRAME (paper) and TITLE (paper), or TITLE where that paper has none of its own.

    Raises: OutputError for a block or field that is missing, a field that is not known, or what cannot be drawn
    """
    path = template_path(FILES[units.name], folder)
    try:
        content = path.read_bytes()
    except OSError as error:
        raise OutputError(f"template {FILES[units.name]}: it cannot be read ({error.strerror})") from None
    return _read(path, content, FILES[units.name], sheet, units.name == "US", tuple(firm_layers(folder).items()))


@lru_cache(maxsize=16)
def _read(path: Path, content: bytes, name: str, sheet: Sheet, inches: bool, layers: tuple[tuple[str, Layer], ...]) -> TitleBlock:
    """``content``: tells an edited file from the one read before."""
    wanted = [f"FRAME {sheet.name}", f"TITLE {sheet.name}", "TITLE"]
    try:
        found = read_block(path, wanted, _roles(layers), inches=inches)
    except UnreadableError as error:
        raise OutputError(f"template {name}{error}") from None
    frame, title = found.get(wanted[0]), found.get(wanted[1], found.get("TITLE"))
    if frame is None or title is None:
        missing = wanted[0] if frame is None else "TITLE"
        raise OutputError(f"template {name}: the block '{missing}' is missing; copy it from a fresh folder of: detailgen templates DIR")
    box = _frame_box(name, frame[0], sheet)
    margins = (box[0], box[1], sheet.width - box[2], sheet.height - box[3])
    shapes, fields = title
    _check_tags(name, fields)
    x0, y0, x1, y1 = _box(shapes)
    if not 0 < x1 - x0 <= WIDEST * (box[2] - box[0]):
        most = WIDEST * (box[2] - box[0])
        raise OutputError(f"template {name}, block TITLE: found a width of {x1 - x0:.2f} in; allowed: up to {most:.2f} in, {WIDEST:.0%} of the frame")
    slots = [Slot(f.tag, f.prompt, f.text, _room(f, shapes, fields)) for f in fields]
    moved_slots = tuple(replace(s, text=replace(s.text, at=(s.text.at[0] - x1, s.text.at[1] - y0))) for s in slots)
    return TitleBlock(margins, tuple(frame[0]), x1 - x0, y1 - y0, tuple(moved(s, -x1, -y0) for s in shapes), moved_slots)


def _roles(layers: Sequence[tuple[str, Layer]]) -> dict[str, str]:
    """Names that a layer of the template may have, in small letters: a role, or its name in either map; 0 is the title block's own."""
    out = {"0": "title"}
    for role, layer in layers:
        out |= {layer.us.lower(): role, layer.iso.lower(): role}
    return out | {role: role for role, _ in layers}


def _box(shapes: Iterable[Shape]) -> Box:
    points = [p for s in shapes for piece in segments(s, 0.1) for p in piece]
    return box_of(points) if points else (0.0, 0.0, 0.0, 0.0)


def _frame_box(name: str, shapes: Sequence[Shape], sheet: Sheet) -> Box:
    """The smallest closed line of four corners on the layer of the border."""
    rings = [s for s in shapes if isinstance(s, Polyline) and s.closed and len(s.points) == 4 and s.layer == "border"]
    if not rings:
        where = f"template {name}, block FRAME {sheet.name}"
        raise OutputError(f"{where}: no closed line of four corners on the layer border; it is the frame that sheets are laid out in")
    box = min((box_of(s.points) for s in rings), key=lambda b: (b[2] - b[0]) * (b[3] - b[1]))
    if box[0] < 0 or box[1] < 0 or box[2] > sheet.width or box[3] > sheet.height:
        allowed = f"x from 0 to {sheet.width:.2f} in, y from 0 to {sheet.height:.2f} in, from the block's base point"
        raise OutputError(f"template {name}, block FRAME {sheet.name}: found a frame beyond the paper; allowed: {allowed}")
    return box


def base_of(tag: str) -> str:
    """TITLE_2 is the second line of TITLE."""
    stem, _, last = tag.rpartition("_")
    return stem if stem and last.isdigit() else tag


def _check_tags(name: str, fields: Sequence[Field]) -> None:
    tags = [f.tag for f in fields]
    unknown = [t for t in tags if base_of(t) not in TAGS and not t.startswith(OWN)]
    missing = [t for t in REQUIRED if t not in tags]
    twice = sorted(t for t, n in Counter(tags).items() if n > 1)
    lost = [t for t in tags if base_of(t) != t and base_of(t) in TAGS and base_of(t) not in tags]
    what = [f"{word}: {', '.join(them)}" for word, them in (
        ("missing", missing), ("unknown", unknown), ("twice", twice), ("without their first line", lost)) if them]  # fmt: skip
    if what:
        allowed = f"{', '.join(TAGS)}, each also with _2, _3 for further lines, and the firm's own that begin with {OWN}"
        raise OutputError(f"template {name}, block TITLE: fields {'; '.join(what)}. Allowed: {allowed}")


def _room(field: Field, shapes: Sequence[Shape], fields: Sequence[Field]) -> float:
    """How long the words of a field may be: to the next line or lettering on their own line."""
    text = field.text
    c, s = math.cos(text.rotation), math.sin(text.rotation)

    def turned(p: Point) -> Point:
        x, y = p[0] - text.at[0], p[1] - text.at[1]
        return c * x + s * y, c * y - s * x

    others = [t for t in shapes if isinstance(t, Text)] + [replace(f.text, text="0") for f in fields if f is not field]
    rings = [t.corners(1.0) for t in others]
    pieces = [piece for shape in shapes for piece in segments(shape, 0.1)]
    pieces += [(ring[k - 1], ring[k]) for ring in rings for k in range(len(ring))]
    x0, y0, x1, y1 = _box(shapes)
    edges: Sequence[Point] = ((x0, y0), (x1, y0), (x1, y1), (x0, y1))
    pieces += [(edges[k - 1], edges[k]) for k in range(4)]
    left, right = math.inf, math.inf
    for p, q in pieces:
        (ax, ay), (bx, by) = turned(p), turned(q)
        for level in (0.1 * text.height, 0.5 * text.height, 0.9 * text.height):
            if (ay - level) * (by - level) < 0:
                x = ax + (level - ay) / (by - ay) * (bx - ax)
                left, right = (min(left, -x), right) if x < 0 else (left, min(right, x))
    room = {"start": right, "end": left, "middle": 2 * min(left, right)}[text.anchor]
    return max(room - (2 * PAD if text.anchor == "middle" else PAD), 0.0)


def filled(block: TitleBlock, words: Mapping[str, str], least: float, name: str) -> tuple[Field, ...]:
    """The fields with the words of a sheet in them: broken over the lines that they have, set narrower where they are too long.

    words: by tag
    least: height (in) to which letters may be made smaller at last
    Raises: OutputError where words still do not fit
    """
    out: list[Field] = []
    for slot in block.slots:
        if slot.tag.startswith(OWN):
            out.append(Field(slot.tag, slot.prompt, slot.text))
        elif base_of(slot.tag) == slot.tag:
            lines = sorted((s for s in block.slots if base_of(s.tag) == slot.tag), key=lambda s: (len(s.tag), s.tag))
            out += _lines(lines, words.get(slot.tag, ""), least, name)
    return tuple(out)


def _lines(slots: Sequence[Slot], words: str, least: float, name: str) -> list[Field]:
    room, usual = min(s.room for s in slots), slots[0].text
    known = set(words.split())
    for height in dict.fromkeys((usual.height, min(usual.height, least))):
        for stretch in NARROW:
            rows = wrap(words, room / (stretch * usual.stretch), height) if room > 0 else [""] * 99
            whole = all(word in known for row in rows for word in row.split())
            if len(rows) <= len(slots) and (whole or (stretch == NARROW[-1] and height <= least)):
                rows += [""] * (len(slots) - len(rows))
                return [
                    Field(s.tag, s.prompt, replace(s.text, text=row, height=height, stretch=round(stretch * usual.stretch, 6)))
                    for s, row in zip(slots, rows, strict=True)
                ]
    tag, count = slots[0].tag, f"{len(slots)} line{'s' if len(slots) > 1 else ''} of {room:.2f} in"
    to_do = f"Give it more room or a further line ({tag}_{len(slots) + 1}), or write it shorter."
    raise OutputError(f"template {name}, block TITLE: '{words}' is too long for the field {tag}, which has {count}. {to_do}")
