"""A drawing as SVG: paper millimetres, one group per layer, generic fonts, nothing that needs another library."""

from __future__ import annotations

import math
from pathlib import Path
from xml.sax.saxutils import escape, quoteattr

from detailgen.core.units import MM
from detailgen.outputs.drawings.layers import LINETYPES, Layer
from detailgen.outputs.drawings.lettering import EM
from detailgen.outputs.drawings.shapes import (
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
    dimension_parts,
    hatch_lines,
    placed,
)

STROKE = "0.35"


def _n(value: float) -> str:
    """Millimetres to a thousandth."""
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


class _Page:
    def __init__(self, drawing: Drawing) -> None:
        self.height, self.layers = drawing.sheet.height, drawing.layers

    def xy(self, p: Point) -> tuple[str, str]:
        return _n(p[0] / MM), _n((self.height - p[1]) / MM)

    def _path(self, line: Polyline) -> str:
        points = [*line.points, line.points[0]] if line.closed and line.bulges else list(line.points)
        out = "M" + " ".join(self.xy(points[0]))
        for k, p in enumerate(points[1:]):
            bulge = line.bulges[k] if line.bulges else 0.0
            if bulge:
                radius = _n(math.dist(points[k], p) * (1 + bulge**2) / (4 * abs(bulge)) / MM)
                out += f"A{radius} {radius} 0 {int(abs(bulge) > 1)} {int(bulge < 0)} {' '.join(self.xy(p))}"
            else:
                out += "L" + " ".join(self.xy(p))
        return out + ("Z" if line.closed else "")

    def element(self, shape: Shape) -> str:
        match shape:
            case Line():
                (x0, y0), (x1, y1) = self.xy(shape.start), self.xy(shape.end)
                return f'<path d="M{x0} {y0}L{x1} {y1}"/>'
            case Arc():
                (x0, y0), (x1, y1) = self.xy(shape.at(shape.start)), self.xy(shape.at(shape.end))
                r = _n(shape.radius / MM)
                large = int(shape.end - shape.start > math.pi)
                return f'<path d="M{x0} {y0}A{r} {r} 0 {large} 0 {x1} {y1}"/>'
            case Circle():
                x, y = self.xy(shape.centre)
                return f'<circle cx="{x}" cy="{y}" r="{_n(shape.radius / MM)}"/>'
            case Polyline():
                return f'<path d="{self._path(shape)}"/>'
            case Solid():
                points = "L".join(" ".join(self.xy(p)) for p in shape.points)
                return f'<path d="M{points}Z" fill="{self.layers[shape.layer].colour}"/>'
            case Hatch():
                return "".join(self.element(line) for line in hatch_lines(shape, 1.0))
            case Area():
                rings = "".join("M" + "L".join(" ".join(self.xy(p)) for p in ring) + "Z" for ring in shape.rings)
                return f'<path d="{rings}" fill="{self.layers[shape.layer].colour}" fill-rule="evenodd" stroke="none"/>'
            case Stamp():
                return "".join(self.element(s) for s in shape.seen)
            case Text():
                x, y = self.xy(shape.at)
                size = _n(shape.height / EM / MM)
                turn = "" if abs(shape.rotation) < 1e-9 else f' transform="rotate({_n(-math.degrees(shape.rotation))} {x} {y})"'
                if shape.stretch != 1.0:
                    turn = f' transform="translate({x} {y}) rotate({_n(-math.degrees(shape.rotation))}) scale({shape.stretch:.4f} 1)"'
                    x = y = "0"
                anchor = "" if shape.anchor == "start" else f' text-anchor="{shape.anchor}"'
                fill = f' fill="{self.layers[shape.layer].colour}" stroke="none"'
                return f'<text x="{x}" y="{y}" font-size="{size}"{fill}{anchor}{turn}>{escape(shape.text)}</text>'
            case Dimension():
                thin, strokes, text = dimension_parts(shape, 1.0)
                heavy = "".join(self.element(s) for s in strokes)
                return "".join(self.element(s) for s in thin) + f'<g stroke-width="{STROKE}">{heavy}</g>' + self.element(text)


def _group(role: str, layer: Layer, content: list[str]) -> str:
    style = f'id={quoteattr(role.replace(" ", "-"))} stroke="{layer.colour}" stroke-width="{layer.width:g}"'
    pattern = LINETYPES.get(layer.linetype)
    if pattern:
        style += f' stroke-dasharray="{" ".join(_n(abs(v) / MM) for v in pattern)}" stroke-linecap="butt"'
    return f"<g {style}>\n" + "\n".join(content) + "\n</g>"


def svg_text(drawing: Drawing) -> str:
    """The whole file."""
    page = _Page(drawing)
    by_layer: dict[str, list[str]] = {role: [] for role in drawing.layers}
    on_paper = [one for shape in drawing.paper for one in (shape.seen if isinstance(shape, Stamp) else [shape])]
    for shape in (*(placed(s, view) for view in drawing.views for s in view.shapes), *on_paper):
        by_layer[shape.layer].append(page.element(shape))
    width, height = _n(drawing.sheet.width / MM), _n(drawing.sheet.height / MM)
    groups = [_group(role, layer, by_layer[role]) for role, layer in drawing.layers.items() if by_layer[role] and layer.plots]
    return "\n".join(
        (
            '<?xml version="1.0" encoding="UTF-8"?>',
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm" viewBox="0 0 {width} {height}"'
            ' font-family="Arial, Helvetica, Liberation Sans, sans-serif" fill="none" stroke-linecap="round" stroke-linejoin="round">',
            f"<title>{escape(drawing.title)}</title>",
            f"<desc>{escape(f'{drawing.project}, revision {drawing.revision}, {drawing.date}, scale {drawing.scale.label}')}</desc>",
            f'<rect width="{width}" height="{height}" fill="#ffffff"/>',
            *groups,
            "</svg>",
            "",
        )
    )


def write_svg(drawing: Drawing, path: Path) -> None:
    path.write_text(svg_text(drawing), encoding="utf-8", newline="\n")
