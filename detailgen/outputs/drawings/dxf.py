"""A drawing as DXF: the model at real size in model space, border and notes on a layout with one viewport at scale for each view.

The same drawing gives the same bytes: dates come from the revision, identities from project, revision and sheet, and nothing is ordered by hash.
"""

from __future__ import annotations

import io
import math
import re
import uuid
from collections import OrderedDict
from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from detailgen.core.units import MM
from detailgen.outputs.drawings.layers import LINETYPES
from detailgen.outputs.drawings.shapes import (
    BEYOND,
    TEXT_GAP,
    TICK,
    Arc,
    Area,
    Circle,
    Dimension,
    Drawing,
    Hatch,
    Line,
    Point,
    Polyline,
    Shape,
    Solid,
    Stamp,
    Text,
    View,
    dimension_parts,
)

if TYPE_CHECKING:
    from ezdxf.document import Drawing as Document
    from ezdxf.entities.dxfentity import DXFEntity
    from ezdxf.layouts.base import BaseLayout
    from ezdxf.layouts.layout import Paperspace

TEXT_STYLE, FONT = "NOTES", "arial.ttf"
ABOVE, IN_LINE = "OVER_LINE", "IN_LINE"
"""Dimension styles: text above the dimension line, or in a gap of it."""
SHEET = "Sheet"
APPLICATION = "DETAILGEN"
"""Under this name tags ride in a file."""
_LINE_WIDTHS = (0, 5, 9, 13, 15, 18, 20, 25, 30, 35, 40, 50, 53, 60, 70, 80, 90, 100)
_STROKE = 35
_STAMP = re.compile(r"^(\d+\.\d+\S*) @ \d{4}-\d{2}-\d{2}T\S+$", re.MULTILINE)
_DAYS, _IDENTITIES = ("$TDCREATE", "$TDUCREATE", "$TDUPDATE", "$TDUUPDATE"), ("$FINGERPRINTGUID", "$VERSIONGUID")
_DATED = re.compile(rf"^(({'|'.join(map(re.escape, (*_DAYS, *_IDENTITIES)))})\n.*\n).*$", re.MULTILINE)


def write_dxf(drawing: Drawing, path: Path) -> None:
    path.write_text(dxf_text(drawing), encoding="utf-8", newline="\n")


def dxf_text(drawing: Drawing) -> str:
    """The whole file."""
    return finished(build(drawing), f"{drawing.project}/{drawing.revision}/{drawing.name}", drawing.date)


def finished(document: Document, identity: str, day: str) -> str:
    """A document as text that is the same from run to run.

    identity: project, revision and sheet
    day: of the revision, YYYY-MM-DD
    """
    document.classes.add_required_classes(document.dxfversion)
    document.classes.classes = OrderedDict(sorted(document.classes.classes.items()))
    stream = io.StringIO()
    document.write(stream)
    return _same_bytes(stream.getvalue(), identity, day)


def build(drawing: Drawing) -> Document:
    """The document before it is written."""
    from ezdxf.filemanagement import new

    document = new("R2018")
    pen = _Pen(drawing, document)
    _tables(drawing, document, pen.unit)
    model = document.modelspace()
    for view in drawing.views:
        for shape in view.shapes:
            pen.put(model, shape, view.scale.factor)
    for view in drawing.unseen:
        for shape in view.shapes:
            pen.put(model, shape, view.scale.factor)
    document.layouts.rename("Layout1", SHEET)
    layout = document.paperspace(SHEET)
    inches = drawing.units.name == "US"
    width, height = drawing.sheet.width * pen.unit, drawing.sheet.height * pen.unit
    layout.page_setup(size=(round(width, 6), round(height, 6)), margins=(0, 0, 0, 0), units="inch" if inches else "mm")
    boxes = [_show(layout, view, pen) for view in drawing.views]
    for shape in drawing.paper:
        pen.put(layout, shape, 1.0)
    if boxes:
        x0, y0, x1, y1 = min(b[0] for b in boxes), min(b[1] for b in boxes), max(b[2] for b in boxes), max(b[3] for b in boxes)
        document.set_modelspace_vport(y1 - y0, center=((x0 + x1) / 2, (y0 + y1) / 2))
        model.reset_extents((x0, y0, 0), (x1, y1, 0))
    layout.reset_extents((0, 0, 0), (width, height, 0))
    document.layouts.set_active_layout(SHEET)
    document.header["$TILEMODE"] = 0
    return document


def _show(layout: Paperspace, view: View, pen: _Pen) -> tuple[float, float, float, float]:
    """A viewport on a layer that does not plot. Returns what it shows of the model: x0, y0, x1, y1."""
    x0, y0, x1, y1 = (v * pen.unit for v in view.window)
    centre = pen.at(view.centre)
    half_width, half_height = (x1 - x0) * view.scale.factor / 2, (y1 - y0) * view.scale.factor / 2
    on = {"layer": pen.layer["viewport"]}
    layout.add_viewport(((x0 + x1) / 2, (y0 + y1) / 2), (x1 - x0, y1 - y0), centre, 2 * half_height, status=2, dxfattribs=on)
    return centre[0] - half_width, centre[1] - half_height, centre[0] + half_width, centre[1] + half_height


class _Pen:
    """Puts shapes into a layout. ``unit`` is file units per inch."""

    def __init__(self, drawing: Drawing, document: Document) -> None:
        self.drawing, self.document = drawing, document
        self.layer = {role: layer.name(drawing.units) for role, layer in drawing.layers.items()}
        self.unit = 1.0 if drawing.units.name == "US" else 1 / MM

    def at(self, p: Point) -> Point:
        return round(p[0] * self.unit, 6) + 0.0, round(p[1] * self.unit, 6) + 0.0

    def length(self, value: float) -> float:
        return round(value * self.unit, 6)

    def put(self, space: BaseLayout, shape: Shape, factor: float) -> None:
        on = {"layer": self.layer[shape.layer]}
        match shape:
            case Line():
                self._line(space, shape, on)
            case Arc():
                start, end = (round(math.degrees(a), 9) for a in (shape.start, shape.end))
                space.add_arc(self.at(shape.centre), self.length(shape.radius), start, end, dxfattribs=on)
            case Circle():
                tag(space.add_circle(self.at(shape.centre), self.length(shape.radius), on), shape.tags)
            case Polyline():
                bulges = shape.bulges or (0.0,) * len(shape.points)
                points = [(*self.at(p), bulge) for p, bulge in zip(shape.points, bulges, strict=True)]
                tag(space.add_lwpolyline(points, format="xyb", close=shape.closed, dxfattribs=on), shape.tags)
            case Solid():
                a, b, c = (self.at(p) for p in shape.points)
                space.add_solid((a, b, c, c), on)
            case Hatch():
                self._hatch(space, shape, factor)
            case Text():
                self._text(space, shape, factor)
            case Dimension():
                self._dimension(space, shape, factor)
            case Area():
                entity = space.add_hatch(dxfattribs={**on, "color": 256, "hatch_style": 0})
                for ring in shape.rings:
                    entity.paths.add_polyline_path([self.at(p) for p in ring], is_closed=True)
            case Stamp():
                self._stamp(space, shape)

    def _hatch(self, space: BaseLayout, hatch: Hatch, factor: float) -> None:
        """A hatch with its own pattern, so that no library of patterns is needed."""
        entity = space.add_hatch(dxfattribs={"layer": self.layer[hatch.layer], "color": 256, "hatch_style": 1})
        entity.paths.add_polyline_path([self.at(p) for p in hatch.region], is_closed=True)
        step, angle = self.length(hatch.spacing * factor), math.degrees(hatch.angle)
        across = (round(-step * math.sin(hatch.angle), 9), round(step * math.cos(hatch.angle), 9))
        entity.set_pattern_fill("LINES", definition=[[round(angle, 9), self.at(hatch.origin), across, []]])

    def _line(self, space: BaseLayout, line: Line, look: Mapping[str, object]) -> None:
        from detailgen.outputs.drawings.plain_entities import add_line

        add_line(space, self.document, {**look, "start": self.at(line.start), "end": self.at(line.end)})

    def _text(self, space: BaseLayout, text: Text, factor: float) -> None:
        from detailgen.outputs.drawings.plain_entities import add_text

        add_text(space, self.document, {**self._lettered(text, factor), "text": literal(text.text)})

    def _lettered(self, text: Text, factor: float) -> dict[str, object]:
        """Place and letters of a text, or of the text of a field."""
        at = self.at(text.at)
        look: dict[str, object] = {
            "layer": self.layer[text.layer], "style": TEXT_STYLE, "height": self.length(text.height * factor),
            "insert": at,
        }  # fmt: skip
        if text.rotation:
            look["rotation"] = round(math.degrees(text.rotation), 9)
        if text.stretch != 1.0:
            look["width"] = round(text.stretch, 6)
        if text.anchor != "start":
            look |= {"halign": 1 if text.anchor == "middle" else 2, "align_point": at}
        return look

    def _stamp(self, space: BaseLayout, stamp: Stamp) -> None:
        """A block with its fields, and its only insertion: a program edits the fields there."""
        block = self.document.blocks.new(stamp.name)
        for shape in stamp.shapes:
            self.put(block, shape, 1.0)
        for one in stamp.fields:
            empty = replace(one.text, text="")
            look = self._lettered(empty, 1.0)
            block.add_attdef(one.tag, self.at(empty.at), "", dxfattribs={**look, "prompt": literal(one.prompt)})
        insert = space.add_blockref(stamp.name, self.at(stamp.at), {"layer": self.layer[stamp.layer]})
        for one in stamp.fields:
            here = replace(one.text, at=(one.text.at[0] + stamp.at[0], one.text.at[1] + stamp.at[1]))
            insert.add_attrib(one.tag, literal(here.text), self.at(here.at), dxfattribs=self._lettered(here, 1.0))

    def _dimension(self, space: BaseLayout, d: Dimension, factor: float) -> None:
        """A true dimension entity with its picture in a block, drawn by us: no font is measured, and every program shows the same."""
        layer = self.layer[d.layer]
        thin, strokes, text = dimension_parts(d, factor)
        block = self.document.blocks.new_anonymous_block(type_char="D")
        for line in thin:
            self._line(block, line, {"layer": layer})
        for line in strokes:
            self._line(block, line, {"layer": layer, "lineweight": _STROKE})
        self._text(block, text, factor)
        corners = text.corners(factor)
        middle = (sum(c[0] for c in corners) / 4, sum(c[1] for c in corners) / 4)
        end = (d.line, d.second[1]) if d.vertical else (d.second[0], d.line)
        moved = d.turned or d.level or d.shift != 0.0 or d.drop != 0.0
        attributes = {
            "layer": layer,
            "geometry": block.name,
            "dimstyle": style_name(IN_LINE if d.broken else ABOVE, factor, self.drawing),
            "dimtype": 32 | (128 if moved else 0),
            "defpoint": (*self.at(end), 0.0),
            "defpoint2": (*self.at(d.first), 0.0),
            "defpoint3": (*self.at(d.second), 0.0),
            "text_midpoint": (*self.at(middle), 0.0),
            "angle": 90.0 if d.vertical else 0.0,
            "attachment_point": 5,
            "text": d.pattern,
            "actual_measurement": round(d.measure * self.unit, 6),
        }
        if d.turned:
            attributes["text_rotation"] = 90.0
        elif d.level:  # a turn of exactly 0 means none was given
            attributes["text_rotation"] = 360.0
        space.new_entity("DIMENSION", attributes)


def literal(text: str) -> str:
    """A text as it must stand in a DXF file to be shown as it is: two percent signs begin a control code there, a caret a control character."""
    return re.sub("%{2,}", lambda m: "%%%" * len(m[0]), " ".join(text.splitlines())).replace("^", "^ ")


def tag(entity: DXFEntity, tags: tuple[str, ...]) -> None:
    """Facts that a drawing cannot show, as extended data."""
    if tags:
        entity.set_xdata(APPLICATION, [(1000, text) for text in tags])


def style_name(base: str, factor: float, drawing: Drawing) -> str:
    """The dimension style of a view: the base itself at the drawing's own scale."""
    return base if factor == drawing.scale.factor else f"{base}_{factor:g}"


def _tables(drawing: Drawing, document: Document, unit: float) -> None:
    """Units, layers, line types, text and dimension styles."""
    from ezdxf.colors import RGB

    us = drawing.units.name == "US"
    header = document.header
    header["$INSUNITS"] = 1 if us else 4
    header["$MEASUREMENT"] = 0 if us else 1
    header["$LUNITS"], header["$LUPREC"] = (4, 4) if us else (2, drawing.decimals)
    header["$LWDISPLAY"] = 1
    header["$LTSCALE"] = 1.0
    header["$PSLTSCALE"] = 1
    for name, pattern in LINETYPES.items():
        dashes = [round(v * unit, 6) for v in pattern]
        document.linetypes.add(name, [round(sum(abs(v) for v in dashes), 6), *dashes], description=name.lower())
    for layer in drawing.layers.values():
        width = min(_LINE_WIDTHS, key=lambda w: abs(w - 100 * layer.width))
        entry = document.layers.add(layer.name(drawing.units), color=layer.aci, lineweight=width, plot=layer.plots, linetype=layer.linetype)
        if layer.aci != 7:
            entry.rgb = RGB.from_hex(layer.colour)
        entry.description = layer.purpose
    document.styles.add(TEXT_STYLE, font=FONT)
    header["$TEXTSTYLE"] = TEXT_STYLE
    document.appids.add(APPLICATION)
    others = {v.scale.factor for v in (*drawing.more, *drawing.unseen)} - {drawing.scale.factor}
    for base, factor in ((base, factor) for factor in (*sorted(others), drawing.scale.factor) for base in (IN_LINE, ABOVE)):
        name = style_name(base, factor, drawing)
        style = document.dimstyles.new(
            name,
            dxfattribs={
                "dimscale": factor,
                "dimlfac": 1.0,
                "dimtxt": drawing.sheet.letters.note * unit,
                "dimtsz": TICK * unit,
                "dimasz": TICK * unit,
                "dimexo": BEYOND * unit,
                "dimexe": BEYOND * unit,
                "dimgap": TEXT_GAP * unit,
                "dimtad": 1 if base == ABOVE else 0,
                "dimtih": 0,
                "dimtoh": 0,
                "dimtmove": 2,
                "dimtofl": 1,
                "dimlunit": 4 if us else 2,
                "dimdec": 4 if us else drawing.decimals,
                "dimzin": 3 if us else 8,
                "dimfrac": 2,
                "dimrnd": 0.0,
                "dimtxsty": TEXT_STYLE,
                "dimclrd": 256,
                "dimclre": 256,
                "dimclrt": 256,
                "dimlwd": -1,
                "dimlwe": -1,
            },
        )
        style.copy_to_header(document)
    header["$DIMSTYLE"] = ABOVE


def _julian(text: str) -> float:
    """The day of the revision as a Julian date."""
    return date.fromisoformat(text).toordinal() + 1721424.5


def _same_bytes(text: str, stem: str, date_of_revision: str) -> str:
    """Replace what differs from run to run: dates, identities, the library's own stamp."""
    day = repr(_julian(date_of_revision))
    fixed = dict.fromkeys(_DAYS, day)
    fixed |= {name: "{" + str(uuid.uuid5(uuid.NAMESPACE_URL, f"{stem}/{name}")).upper() + "}" for name in _IDENTITIES}
    dated = _DATED.sub(lambda found: f"{found[1]}{fixed[found[2]]}", text)
    return _STAMP.sub(rf"\1 @ {date_of_revision}", dated)
