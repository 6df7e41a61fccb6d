"""A drawing as DXF: the truss in model space at real size, border and notes on a layout with one viewport at scale.

The same drawing gives the same bytes: dates come from the revision, identities from project, revision and sheet, and nothing is ordered by hash.
"""

from __future__ import annotations

import io
import math
import re
import uuid
from collections import OrderedDict
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from detailgen.core.units import MM
from detailgen.outputs.drawings.layers import LAYERS, LINETYPES
from detailgen.outputs.drawings.shapes import (
    BEYOND,
    TEXT_GAP,
    TICK,
    Arc,
    Circle,
    Dimension,
    Drawing,
    Line,
    Point,
    Polyline,
    Shape,
    Text,
    dimension_parts,
)
from detailgen.outputs.drawings.sheets import LETTERING

if TYPE_CHECKING:
    from ezdxf.document import Drawing as Document
    from ezdxf.layouts.base import BaseLayout

TEXT_STYLE, FONT = "NOTES", "arial.ttf"
ABOVE, IN_LINE = "OVER_LINE", "IN_LINE"
"""Dimension styles: text above the dimension line, or in a gap of it."""
SHEET = "Sheet"
_LINE_WIDTHS = (0, 5, 9, 13, 15, 18, 20, 25, 30, 35, 40, 50, 53, 60, 70, 80, 90, 100)
_STROKE = 35
_STAMP = re.compile(r"^\d+\.\d+\S* @ \d{4}-\d{2}-\d{2}T\S+$")


def write_dxf(drawing: Drawing, path: Path) -> None:
    path.write_text(dxf_text(drawing), encoding="utf-8", newline="\n")


def dxf_text(drawing: Drawing) -> str:
    """The whole file."""
    document = build(drawing)
    document.classes.add_required_classes(document.dxfversion)
    document.classes.classes = OrderedDict(sorted(document.classes.classes.items()))
    stream = io.StringIO()
    document.write(stream)
    return _same_bytes(stream.getvalue(), drawing)


def build(drawing: Drawing) -> Document:
    """The document before it is written."""
    from ezdxf.filemanagement import new

    document = new("R2018")
    pen = _Pen(drawing, document)
    _tables(drawing, document, pen.unit)
    model = document.modelspace()
    for shape in drawing.model:
        pen.put(model, shape, drawing.scale.factor)
    document.layouts.rename("Layout1", SHEET)
    layout = document.paperspace(SHEET)
    inches = drawing.units.name == "US"
    width, height = drawing.sheet.width * pen.unit, drawing.sheet.height * pen.unit
    layout.page_setup(size=(round(width, 6), round(height, 6)), margins=(0, 0, 0, 0), units="inch" if inches else "mm")
    x0, y0, x1, y1 = (v * pen.unit for v in drawing.window)
    centre = pen.at(drawing.view_centre)
    view_height = (y1 - y0) * drawing.scale.factor
    layout.add_viewport(
        ((x0 + x1) / 2, (y0 + y1) / 2),
        (x1 - x0, y1 - y0),
        centre,
        view_height,
        status=2,
        dxfattribs={"layer": LAYERS["viewport"].name(drawing.units)},
    )
    for shape in drawing.paper:
        pen.put(layout, shape, 1.0)
    document.set_modelspace_vport(view_height, center=centre)
    half = (x1 - x0) * drawing.scale.factor / 2
    model.reset_extents((centre[0] - half, centre[1] - view_height / 2, 0), (centre[0] + half, centre[1] + view_height / 2, 0))
    layout.reset_extents((0, 0, 0), (width, height, 0))
    document.layouts.set_active_layout(SHEET)
    document.header["$TILEMODE"] = 0
    return document


class _Pen:
    """Puts shapes into a layout. ``unit`` is file units per inch."""

    def __init__(self, drawing: Drawing, document: Document) -> None:
        self.drawing, self.document = drawing, document
        self.unit = 1.0 if drawing.units.name == "US" else 1 / MM

    def at(self, p: Point) -> Point:
        return round(p[0] * self.unit, 6) + 0.0, round(p[1] * self.unit, 6) + 0.0

    def length(self, value: float) -> float:
        return round(value * self.unit, 6)

    def put(self, space: BaseLayout, shape: Shape, factor: float) -> None:
        on = {"layer": LAYERS[shape.layer].name(self.drawing.units)}
        match shape:
            case Line():
                space.add_line(self.at(shape.start), self.at(shape.end), on)
            case Arc():
                start, end = (round(math.degrees(a), 9) for a in (shape.start, shape.end))
                space.add_arc(self.at(shape.centre), self.length(shape.radius), start, end, dxfattribs=on)
            case Circle():
                space.add_circle(self.at(shape.centre), self.length(shape.radius), on)
            case Polyline():
                space.add_lwpolyline([self.at(p) for p in shape.points], close=shape.closed, dxfattribs=on)
            case Text():
                self._text(space, shape, factor)
            case Dimension():
                self._dimension(space, shape, factor)

    def _text(self, space: BaseLayout, text: Text, factor: float) -> None:
        from ezdxf.enums import TextEntityAlignment

        anchor = {"start": TextEntityAlignment.LEFT, "middle": TextEntityAlignment.CENTER, "end": TextEntityAlignment.RIGHT}[text.anchor]
        entity = space.add_text(
            text.text,
            height=self.length(text.height * factor),
            rotation=round(math.degrees(text.rotation), 9),
            dxfattribs={"layer": LAYERS[text.layer].name(self.drawing.units), "style": TEXT_STYLE},
        )
        entity.set_placement(self.at(text.at), align=anchor)

    def _dimension(self, space: BaseLayout, d: Dimension, factor: float) -> None:
        """A true dimension entity with its picture in a block, drawn by us: no font is measured, and every program shows the same."""
        layer = LAYERS[d.layer].name(self.drawing.units)
        thin, strokes, text = dimension_parts(d, factor)
        block = self.document.blocks.new_anonymous_block(type_char="D")
        for line in thin:
            block.add_line(self.at(line.start), self.at(line.end), {"layer": layer})
        for line in strokes:
            block.add_line(self.at(line.start), self.at(line.end), {"layer": layer, "lineweight": _STROKE})
        self._text(block, text, factor)
        corners = text.corners(factor)
        middle = (sum(c[0] for c in corners) / 4, sum(c[1] for c in corners) / 4)
        end = (d.line, d.second[1]) if d.vertical else (d.second[0], d.line)
        moved = d.turned or d.shift != 0.0
        attributes = {
            "layer": layer,
            "geometry": block.name,
            "dimstyle": IN_LINE if d.broken else ABOVE,
            "dimtype": 32 | (128 if moved else 0),
            "defpoint": (*self.at(end), 0.0),
            "defpoint2": (*self.at(d.first), 0.0),
            "defpoint3": (*self.at(d.second), 0.0),
            "text_midpoint": (*self.at(middle), 0.0),
            "angle": 90.0 if d.vertical else 0.0,
            "attachment_point": 5,
            "text": "<>",
            "actual_measurement": round(d.measure * self.unit, 6),
        }
        if d.turned:
            attributes["text_rotation"] = 90.0
        space.new_entity("DIMENSION", attributes)


def _tables(drawing: Drawing, document: Document, unit: float) -> None:
    """Units, layers, line types, text and dimension styles."""
    from ezdxf.colors import RGB

    us = drawing.units.name == "US"
    header = document.header
    header["$INSUNITS"] = 1 if us else 4
    header["$MEASUREMENT"] = 0 if us else 1
    header["$LUNITS"], header["$LUPREC"] = (4, 4) if us else (2, 0)
    header["$LWDISPLAY"] = 1
    header["$LTSCALE"] = 1.0
    header["$PSLTSCALE"] = 1
    for name, pattern in LINETYPES.items():
        dashes = [round(v * unit, 6) for v in pattern]
        document.linetypes.add(name, [round(sum(abs(v) for v in dashes), 6), *dashes], description=name.lower())
    for layer in LAYERS.values():
        width = min(_LINE_WIDTHS, key=lambda w: abs(w - 100 * layer.width))
        entry = document.layers.add(layer.name(drawing.units), color=layer.aci, lineweight=width, plot=layer.plots, linetype=layer.linetype)
        if layer.aci != 7:
            entry.rgb = RGB.from_hex(layer.colour)
        entry.description = layer.purpose
    document.styles.add(TEXT_STYLE, font=FONT)
    header["$TEXTSTYLE"] = TEXT_STYLE
    for name in (IN_LINE, ABOVE):
        style = document.dimstyles.new(
            name,
            dxfattribs={
                "dimscale": drawing.scale.factor,
                "dimlfac": 1.0,
                "dimtxt": LETTERING[drawing.units.name].note * unit,
                "dimtsz": TICK * unit,
                "dimasz": TICK * unit,
                "dimexo": BEYOND * unit,
                "dimexe": BEYOND * unit,
                "dimgap": TEXT_GAP * unit,
                "dimtad": 1 if name == ABOVE else 0,
                "dimtih": 0,
                "dimtoh": 0,
                "dimtmove": 2,
                "dimtofl": 1,
                "dimlunit": 4 if us else 2,
                "dimdec": 4 if us else 0,
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


def _same_bytes(text: str, drawing: Drawing) -> str:
    """Replace what differs from run to run: dates, identities, the library's own stamp."""
    stem = f"{drawing.project}/{drawing.revision}/{drawing.name}"
    day = repr(_julian(drawing.date))
    fixed = dict.fromkeys(("$TDCREATE", "$TDUCREATE", "$TDUPDATE", "$TDUUPDATE"), day)
    fixed |= {name: "{" + str(uuid.uuid5(uuid.NAMESPACE_URL, f"{stem}/{name}")).upper() + "}" for name in ("$FINGERPRINTGUID", "$VERSIONGUID")}
    lines = text.split("\n")
    for k, line in enumerate(lines):
        if line in fixed:
            lines[k + 2] = fixed[line]
        elif " @ " in line and _STAMP.match(line):
            lines[k] = f"{line.split(' @ ')[0]} @ {drawing.date}"
    return "\n".join(lines)
