"""Blocks of a firm's drawing as shapes of ours, so that paper, picture and page show the same. Only what all of them can show is read."""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from detailgen.core.units import MM
from detailgen.outputs.drawings.shapes import Arc, Area, Circle, Field, Line, Point, Polyline, Shape, Text

if TYPE_CHECKING:
    from ezdxf.entities.attrib import AttDef
    from ezdxf.entities.dxfgfx import DXFGraphic
    from ezdxf.entities.polygon import DXFPolygon
    from ezdxf.entities.text import Text as DXFText

KINDS = "LINE, ARC, CIRCLE, ELLIPSE, SPLINE, LWPOLYLINE, POLYLINE, SOLID, HATCH (solid), TEXT, ATTDEF, INSERT of a block of these"
FLAT = 0.002
"""How far a curve's straight pieces may lie off it (in of paper)."""
Block = tuple[list[Shape], list[Field]]


class UnreadableError(Exception):
    """What is wrong, as it goes on after the file's name."""


def read_block(path: Path, names: Sequence[str], roles: Mapping[str, str], *, inches: bool) -> dict[str, Block]:
    """The named blocks that the drawing has, about their base points, in inches.

    roles: layer names (small letters) and what they are for; inches: unit of a drawing that names none
    Raises: UnreadableError
    """
    from ezdxf.filemanagement import readfile
    from ezdxf.lldxf.const import DXFError

    try:
        document = readfile(str(path))
    except (OSError, UnicodeDecodeError, DXFError) as error:
        raise UnreadableError(f": it cannot be read as DXF ({error}); save it as ASCII DXF, R2000 to R2018") from None
    unit = {1: 1.0, 4: MM, 0: 1.0 if inches else MM}.get(document.header.get("$INSUNITS", 0))
    if unit is None:
        raise UnreadableError(f": found $INSUNITS {document.header['$INSUNITS']}; allowed: 1 (inches) and 4 (millimetres)")
    found: dict[str, Block] = {}
    for name in names:
        if name in document.blocks:
            block = document.blocks.get(name)
            reader = _Reader(name, unit, (block.base_point.x, block.base_point.y), roles)
            for entity in block:
                reader.take(entity)
            found[name] = reader.shapes, reader.fields
    return found


class _Reader:
    def __init__(self, block: str, unit: float, base: Point, roles: Mapping[str, str]) -> None:
        self.block, self.unit, self.base, self.roles = block, unit, base, roles
        self.shapes: list[Shape] = []
        self.fields: list[Field] = []

    def at(self, p: Sequence[float]) -> Point:
        return round(float((p[0] - self.base[0]) * self.unit), 9), round(float((p[1] - self.base[1]) * self.unit), 9)

    def wrong(self, what: str, allowed: str) -> UnreadableError:
        return UnreadableError(f", block {self.block}: found {what}; allowed: {allowed}")

    def role(self, entity: DXFGraphic) -> str:
        role = self.roles.get(entity.dxf.layer.lower())
        if role is None:
            allowed = "0, a role of layers.csv (title, border, notes ...) or the name that layers.csv gives one"
            raise self.wrong(f"the layer '{entity.dxf.layer}'", allowed)
        return role

    def take(self, entity: DXFGraphic) -> None:
        from ezdxf.entities.attrib import AttDef
        from ezdxf.entities.insert import Insert
        from ezdxf.entities.polygon import DXFPolygon
        from ezdxf.entities.polyline import Polyline as DXFPolyline
        from ezdxf.entities.text import Text as DXFText

        kind = entity.dxftype()
        if isinstance(entity, Insert | DXFPolyline):
            for part in entity.virtual_entities():
                self.take(part)
        elif isinstance(entity, AttDef):
            self.fields.append(self._field(entity))
        elif isinstance(entity, DXFText):
            self.shapes.append(self._text(entity, entity.dxf.text))
        elif kind == "LINE":
            self.shapes.append(Line(self.role(entity), self.at(entity.dxf.start), self.at(entity.dxf.end)))
        elif isinstance(entity, DXFPolygon):
            self._area(entity)
        elif kind in ("SOLID", "TRACE"):
            a, b, c, d = (self.at(entity.dxf.get(f"vtx{k}", entity.dxf.vtx2)) for k in range(4))
            self.shapes.append(Area(self.role(entity), (tuple(dict.fromkeys((a, b, d, c))),)))
        elif kind in ("ARC", "CIRCLE", "ELLIPSE", "SPLINE", "LWPOLYLINE"):
            self._curve(entity, kind)
        elif kind != "POINT":
            raise self.wrong(f"an entity of the kind {kind}", KINDS)

    def _curve(self, entity: DXFGraphic, kind: str) -> None:
        role, plain = self.role(entity), entity.dxf.get("extrusion", (0, 0, 1))[2] > 0
        if plain and kind in ("ARC", "CIRCLE"):
            centre, radius = self.at(entity.dxf.center), round(entity.dxf.radius * self.unit, 9)
            if kind == "CIRCLE":
                self.shapes.append(Circle(role, centre, radius))
            else:
                start = math.radians(entity.dxf.start_angle)
                turn = math.radians((entity.dxf.end_angle - entity.dxf.start_angle) % 360 or 360)
                self.shapes.append(Arc(role, centre, radius, start, start + turn))
            return
        if plain and kind == "LWPOLYLINE":
            points = list(entity.get_points("xyb"))  # type: ignore[attr-defined]
            bulges = tuple(float(b) for _, _, b in points)
            closed = bool(entity.closed)  # type: ignore[attr-defined]
            self.shapes.append(Polyline(role, tuple(self.at(p) for p in points), closed, bulges if any(bulges) else ()))
            return
        from ezdxf.path import make_path

        flat = [self.at(v) for v in make_path(entity).flattening(FLAT / self.unit)]
        closed = len(flat) > 3 and math.dist(flat[0], flat[-1]) < FLAT
        self.shapes.append(Polyline(role, tuple(flat[:-1] if closed else flat), closed))

    def _area(self, entity: DXFPolygon) -> None:
        from ezdxf.path import from_hatch

        if not entity.dxf.solid_fill:
            raise self.wrong("a hatch with a pattern", "solid fill, or its lines one by one")
        rings = [[self.at(v) for v in path.flattening(FLAT / self.unit)] for path in from_hatch(entity)]
        clean = tuple(tuple(p for p, q in itertools.pairwise([*ring, ring[0]]) if p != q) for ring in rings if len(ring) > 2)
        self.shapes.append(Area(self.role(entity), clean))

    def _text(self, entity: DXFText, words: str) -> Text:
        anchors = {0: "start", 1: "middle", 2: "end", 4: "middle"}
        across, up = entity.dxf.get("halign", 0), entity.dxf.get("valign", 0)
        if across not in anchors:
            raise self.wrong(f"the text '{words}' fitted between two points", "texts set left, centred, right or in the middle")
        height, turn = entity.dxf.height * self.unit, math.radians(entity.dxf.get("rotation", 0.0))
        moved = entity.dxf.hasattr("align_point") and (across or up)
        x, y = self.at(entity.dxf.align_point if moved else entity.dxf.insert)
        down = {0: 0.0, 1: 0.0, 2: height / 2, 3: height}[up if across != 4 else 2]
        at = (round(x + down * math.sin(turn), 9), round(y - down * math.cos(turn), 9))
        return Text(self.role(entity), words, at, round(height, 9), turn, anchors[across], entity.dxf.get("width", 1.0))

    def _field(self, entity: AttDef) -> Field:
        if entity.has_embedded_mtext_entity:
            raise self.wrong(f"the field {entity.dxf.tag} of several lines", f"fields of one line; {entity.dxf.tag}_2 is its second line")
        return Field(entity.dxf.tag.upper(), entity.dxf.get("prompt", ""), self._text(entity, entity.dxf.text))
