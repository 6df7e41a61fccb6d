"""Reading drawings back: real extents of texts, visible strokes, from a DXF by the library, from an SVG by an XML parser."""

from __future__ import annotations

import itertools
import math
import re
from pathlib import Path
from xml.etree import ElementTree

import ezdxf
from ezdxf.fonts import fonts
from ezdxf.path import make_path

from detailgen.outputs.drawings.lettering import EM

SVG = "{http://www.w3.org/2000/svg}"
Box = tuple[tuple[float, float], ...]


def text_corners(text: str, at: tuple[float, float], height: float, degrees: float, anchor: str, stretch: float = 1.0) -> Box:
    """Room of the letters themselves in the font that this machine has for the sheet's font name."""
    font = fonts.make_font("arial.ttf", height)
    width = font.text_width(text) * stretch
    low = {"start": 0.0, "middle": -width / 2, "end": -width}[anchor]
    descent = font.measurements.descender_height if any(c in "gjpqy,()" for c in text) else 0.0
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    corners = ((low, -descent), (low + width, -descent), (low + width, height), (low, height))
    return tuple((at[0] + c * u - s * v, at[1] + s * u + c * v) for u, v in corners)


def dxf_texts(entities: object) -> list[tuple[str, Box]]:
    anchors = {0: "start", 1: "middle", 2: "end"}
    out = []
    for e in entities:
        at = e.dxf.insert if e.dxf.halign == 0 else e.dxf.align_point
        out.append((e.dxf.text, text_corners(e.dxf.text, (at.x, at.y), e.dxf.height, e.dxf.rotation, anchors[e.dxf.halign], e.dxf.width)))
    return out


def _arc(centre: tuple[float, float], radius: float, start: float, end: float) -> list[tuple[float, float]]:
    turn = (end - start) % 360 or 360.0
    n = max(12, math.ceil(turn / 2))
    return [
        (centre[0] + radius * math.cos(math.radians(start + k * turn / n)), centre[1] + radius * math.sin(math.radians(start + k * turn / n)))
        for k in range(n + 1)
    ]


def _dxf_strokes(entities: object) -> list[tuple[str, Box]]:
    out: list[tuple[str, Box]] = []
    for e in entities:
        kind = e.dxftype()
        if kind == "LINE":
            points = [(e.dxf.start.x, e.dxf.start.y), (e.dxf.end.x, e.dxf.end.y)]
        elif kind == "ARC":
            points = _arc((e.dxf.center.x, e.dxf.center.y), e.dxf.radius, e.dxf.start_angle, e.dxf.end_angle)
        elif kind == "CIRCLE":
            points = _arc((e.dxf.center.x, e.dxf.center.y), e.dxf.radius, 0, 360)
        elif kind == "LWPOLYLINE":
            points = [(p.x, p.y) for p in make_path(e).flattening(0.01)]
        else:
            continue
        out += [(e.dxf.layer, (a, b)) for a, b in itertools.pairwise(points)]
    return out


def read_dxf(path: Path) -> tuple[ezdxf.document.Drawing, dict[str, list[tuple[str, Box]]], dict[str, list[tuple[str, Box]]]]:
    """Document, texts and strokes of model and sheet; the contents of dimension blocks included."""
    doc = ezdxf.readfile(path)
    spaces = {"model": doc.modelspace(), "sheet": doc.paperspace("Sheet")}
    blocks = {name: [e for d in space.query("DIMENSION") for e in doc.blocks.get(d.dxf.geometry)] for name, space in spaces.items()}
    strokes = {name: _dxf_strokes([*space, *_stamped(space), *blocks[name]]) for name, space in spaces.items()}
    return doc, {name: texts_of(space, doc) for name, space in spaces.items()}, strokes


def _stamped(space: object) -> list[object]:
    return [e for insert in space.query("INSERT") for e in (*insert.virtual_entities(), *(a for a in insert.attribs if a.dxf.text))]


def texts_of(space: object, doc: ezdxf.document.Drawing) -> list[tuple[str, Box]]:
    """All lettering of model or sheet, that of blocks and of dimensions included."""
    lettered = [*space.query("TEXT"), *(e for e in _stamped(space) if e.dxftype() in ("TEXT", "ATTRIB"))]
    return dxf_texts([*lettered, *(t for d in space.query("DIMENSION") for t in doc.blocks.get(d.dxf.geometry).query("TEXT"))])


def svg_points(d: str) -> list[tuple[float, float]]:
    """The corners of a path (y down, as it is written); an arc by points on it."""
    points: list[tuple[float, float]] = []
    for command, rest in re.findall(r"([MLAZ])([^MLAZ]*)", d):
        numbers = [float(v) for v in rest.split()]
        if command in "ML":
            points.append((numbers[0], numbers[1]))
        elif command == "A":
            (x0, y0), (x1, y1), r, long, sweep = points[-1], (numbers[5], numbers[6]), numbers[0], numbers[3], numbers[4]
            assert numbers[1] == r, "no ellipses are expected here"
            half = math.dist((x0, y0), (x1, y1)) / 2
            # Sweep 1 goes with growing angles; as y points down a short arc's centre then lies to the right of the way, a long one's to the left.
            way = 1.0 if sweep else -1.0
            away = way * math.sqrt(max(r * r - half * half, 0.0)) * (-1.0 if long else 1.0)
            cx, cy = (x0 + x1) / 2 - away * (y1 - y0) / (2 * half), (y0 + y1) / 2 + away * (x1 - x0) / (2 * half)
            a0, a1 = math.atan2(y0 - cy, x0 - cx), math.atan2(y1 - cy, x1 - cx)
            turn = way * ((way * (a1 - a0)) % (2 * math.pi))
            steps = max(20, math.ceil(abs(turn) / math.sqrt(8 * 0.01 / r)))  # chords leave the arc by a hundredth of a millimetre at most
            points += [(cx + r * math.cos(a0 + turn * k / steps), cy + r * math.sin(a0 + turn * k / steps)) for k in range(1, steps + 1)]
        else:
            points.append(points[0])
    return points


def read_svg(path: Path) -> tuple[ElementTree.Element, list[tuple[str, str, Box]], list[tuple[str, Box]]]:
    """Root, texts (layer, words, room) and strokes (layer, segment), in paper millimetres with y up."""
    root = ElementTree.parse(path).getroot()
    height = float(root.get("viewBox", "").split()[3])
    texts: list[tuple[str, str, Box]] = []
    strokes: list[tuple[str, Box]] = []
    for group in root.findall(f"{SVG}g"):
        layer = group.get("id", "")
        for e in group.iter():
            if e.tag == f"{SVG}text":
                placing = e.get("transform", "")
                turn, narrow, there = (re.search(rf"{word}\((\S+?)[ )]", placing) for word in ("rotate", "scale", "translate"))
                at = (float(e.get("x")), height - float(e.get("y")))
                if there:
                    x, y = re.search(r"translate\((\S+) (\S+)\)", placing).groups()
                    at = (float(x), height - float(y))
                size, stretch = float(e.get("font-size")) * EM, float(narrow[1]) if narrow else 1.0
                angle = -float(turn[1]) if turn else 0.0
                texts.append((layer, e.text, text_corners(e.text, at, size, angle, e.get("text-anchor", "start"), stretch)))
            elif e.tag == f"{SVG}path":
                points = [(x, height - y) for x, y in svg_points(e.get("d"))]
                strokes += [(layer, (a, b)) for a, b in itertools.pairwise(points)]
            elif e.tag == f"{SVG}circle":
                points = _arc((float(e.get("cx")), height - float(e.get("cy"))), float(e.get("r")), 0, 360)
                strokes += [(layer, (a, b)) for a, b in itertools.pairwise(points)]
    return root, texts, strokes
