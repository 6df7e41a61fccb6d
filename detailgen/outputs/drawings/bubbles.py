"""Marks of a repair on the elevation of its truss: limits of the detail, its bubble, new steel at true size, what is cut out, shores. Real inches
unless they say paper."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product

from detailgen.core.errors import OutputError
from detailgen.core.units import UnitSystem
from detailgen.model.detail import ACROSS, EDGES, FROM_LEFT, Detail, Part
from detailgen.model.project import Truss
from detailgen.model.work_points import edge_side, work_point
from detailgen.outputs.drawings import detail_geometry as geometry
from detailgen.outputs.drawings.detail_scene import Scene, role
from detailgen.outputs.drawings.detail_words import length
from detailgen.outputs.drawings.layout import View
from detailgen.outputs.drawings.lettering import NO_BREAK, text_width
from detailgen.outputs.drawings.plane import box_of
from detailgen.outputs.drawings.shapes import Circle, Dimension, Line, Point, Polyline, Shape, Text

RADIUS = 0.37
"""Of a bubble, in of paper: a sheet's number has room in its lower half."""
MARGIN = 4.0
"""Between the outermost new part and the limits of its detail (in, real)."""
REACHES = (0.25, 0.45, 0.65, 0.9, 1.2, 1.6, 2.0, 2.5)
TURNS = (0, 15, -15, 30, -30, 45, -45, 60, -60, 80, -80)
STARTS = (0.5, 0.25, 0.75, 0.1, 0.9)
"""Where along the limits the leader may begin."""
SHORE = (0.75, 0.13, 0.1)
"""A shore on paper (in): height, half the width of its foot, height of the foot."""


@dataclass(frozen=True)
class Site:
    """A detail on its truss: work point, direction of the member, and outline of what is new about it."""

    detail: Detail
    point: Point
    angle: float
    limits: tuple[Point, Point, Point, Point]

    def at(self, p: Point) -> Point:
        """A place of the detail's axes on the truss."""
        c, s = math.cos(self.angle), math.sin(self.angle)
        return self.point[0] + c * p[0] - s * p[1], self.point[1] + s * p[0] + c * p[1]


def seen_across(detail: Detail, part: Part, angle: float) -> Sequence[Point]:
    """A part's outline as it is seen across the truss, about the detail's work point; of one at a chord's end its height and its extent outward.

    angle: at which the member runs there (rad)
    """
    if detail.axis == ACROSS:
        return geometry.polygon(part)
    if detail.axis in EDGES:
        return _on_edge(detail, part, angle)
    _, low, _, high = geometry.box(part)
    way = -1.0 if detail.axis == FROM_LEFT else 1.0
    a, b = sorted((way * part.placement.z, way * (part.placement.z + part.thickness)))
    return (a, low), (b, low), (b, high), (a, high)


def _on_edge(detail: Detail, part: Part, angle: float) -> Sequence[Point]:
    """A part on an edge of its member, about the work point on the member's axis."""
    depth = max(p.thickness for p in detail.parts if p.kind == "ply")
    side = edge_side(angle, detail.axis)
    _, low, _, high = geometry.box(part)
    a, b = (depth / 2 + z for z in (part.placement.z, part.placement.z + part.thickness))
    return tuple((side * u, side * v) for u, v in ((low, a), (high, a), (high, b), (low, b)))


def site(truss: Truss, detail: Detail) -> Site:
    """Raises: OutputError where the member has no such place"""
    found = work_point(truss, detail.member, detail.station, detail.joint)
    if found is None:
        raise OutputError(f"detail {detail.key} stands at {detail.station:g} in., where {detail.member} has no panel")
    point, angle = (found.x, found.y), found.angle
    new = [p for part in detail.parts if not part.existing for p in seen_across(detail, part, angle)]
    old = [p for part in detail.parts if part.existing for p in seen_across(detail, part, angle)]
    if detail.joint:  # the timbers run on far beyond what is done at the joint
        old = [(bolt.x, bolt.y) for bolt in detail.bolts]
    x0, y0, x1, y1 = box_of(new or old)
    _, b, _, d = box_of([*new, *old])
    bare = Site(detail, point, angle, ((0, 0), (0, 0), (0, 0), (0, 0)))
    low, high = min(y0, b) - MARGIN, max(y1, d) + MARGIN
    corners = ((x0 - MARGIN, low), (x1 + MARGIN, low), (x1 + MARGIN, high), (x0 - MARGIN, high))
    a, b2, c, d2 = (bare.at(p) for p in corners)
    return Site(detail, point, angle, (a, b2, c, d2))


def draw_new(view: View, place: Site) -> None:
    """The outlines of new parts that are seen from the near side or lie behind: one outline each, none twice."""
    done: set[tuple[Point, ...]] = set()
    for part in sorted(place.detail.parts, key=lambda p: (p.material != "steel", p.key)):
        if part.existing:
            continue
        corners = tuple(place.at(p) for p in seen_across(place.detail, part, place.angle))
        key = tuple(sorted((round(x, 4), round(y, 4)) for x, y in corners))
        if key in done or (part.material != "steel" and part.kind not in ("sister", "piece", "side member", "brace")):
            continue
        done.add(key)
        view.draw(Polyline(role(part), corners, True))


def draw_limits(view: View, place: Site) -> None:
    view.draw(Polyline("limits", place.limits, True))


def bubble(view: View, place: Site, item: str, sheet: str, rows: Sequence[str]) -> bool:
    """Item over sheet number in a circle on a leader from the limits of the detail; rows of text beside it. False: there is no room."""
    u, h = view.u, view.letters.note
    r = RADIUS * u
    a, b, c, d = place.limits
    for (p, q, base), reach, turn, share in product(((a, b, -math.pi / 2), (d, c, math.pi / 2)), REACHES, TURNS, STARTS):
        start = (p[0] + share * (q[0] - p[0]), p[1] + share * (q[1] - p[1]))
        way = base + place.angle + math.radians(turn)
        tip = (start[0] + reach * u * math.cos(way), start[1] + reach * u * math.sin(way))
        centre = (tip[0] + r * math.cos(way), tip[1] + r * math.sin(way))
        leader = (start, tip)
        around = _square(centre, r + 0.05 * u)
        for side in (1, -1):
            edge = centre[0] + side * (r + 0.1 * u)
            pitch = view.letters.line * u
            top = centre[1] + ((len(rows) - 1) * pitch + h * u) / 2
            anchor = "start" if side > 0 else "end"
            texts = [Text("notes", row, (edge, top - h * u - k * pitch), h, 0.0, anchor) for k, row in enumerate(rows)]
            if view.words.hit(leader) or not view.free(around) or not all(view.free(t.corners(u, 0.03)) for t in texts):
                continue
            view.draw(
                Line("symbols", *leader), Circle("symbols", centre, r), Line("symbols", (centre[0] - r, centre[1]), (centre[0] + r, centre[1])),
                Text("notes", item, (centre[0], centre[1] + 0.09 * u), h, 0.0, "middle"),
                Text("notes", sheet, (centre[0], centre[1] - (0.08 + h) * u), h, 0.0, "middle"), *texts,
            )  # fmt: skip
            view.words.add(leader)
            view.block(around)
            return True
    return False


def _square(centre: Point, half: float) -> tuple[Point, ...]:
    x, y = centre
    return (x - half, y - half), (x + half, y - half), (x + half, y + half), (x - half, y + half)


def cut_out(scene: Scene) -> list[tuple[float, float, str]]:
    """What is cut out of existing plies at a detail, seen from the near side: from x to x (its own axes, in), and of which ply."""
    return [(end, start, a.name.split(",")[0]) for end, start, a, _ in scene.gaps() if start - end > 1e-6]


def cut_out_words(scene: Scene, units: UnitSystem) -> list[str]:
    """What is said of each place of ``cut_out``, in its order."""
    return [f"cut out {length(start - end, units)} of the {ply}".replace(NO_BREAK, " ") for end, start, ply in cut_out(scene)]


def draw_cut_out(view: View, place: Site, scene: Scene) -> list[tuple[Point, Point]]:
    """Heavy outlines with a cross where timber is cut out. Returns their lower edges."""
    below: list[tuple[Point, Point]] = []
    for end, start, ply in cut_out(scene):
        parts = [p for p in scene.existing if p.name.split(",")[0] == ply]
        ys = [q[1] for p in parts for q in geometry.polygon(p)]
        corners = tuple(place.at(p) for p in ((end, min(ys)), (start, min(ys)), (start, max(ys)), (end, max(ys))))
        view.draw(Polyline("remove", corners, True), Line("remove", corners[0], corners[2]), Line("remove", corners[1], corners[3]))
        below.append((corners[0], corners[1]))
    return below


def letter_cut_out(view: View, edge: tuple[Point, Point], rows: Sequence[str]) -> None:
    """What is cut out, on a leader from the lower edge: from its middle, or beside it where the joint's name stands there."""
    (x0, y0), (x1, y1) = edge
    if not any(view.note((x0 + t * (x1 - x0), y0 + t * (y1 - y0)), rows, "notes", -math.pi / 2) for t in STARTS):
        view.crowded.append(rows[0])


def under_chord(view: View, truss: Truss, joint: str) -> Point:
    """Where a shore at a joint meets the bottom chord."""
    x, y = truss.joints[joint]
    return x, y - max(a.depth for pair, a in view.elevation.axes.items() if joint in pair and a.kind == "bottom chord") / 2


def draw_shore(view: View, x: float, top: float) -> Shape:
    """A post with its foot under the chord. Returns its label, for whoever finds room for it."""
    u = view.u
    height, half, foot = (v * u for v in SHORE)
    base = top - height
    view.draw(
        Line("temporary", (x - 0.04 * u, top), (x - 0.04 * u, base + foot)), Line("temporary", (x + 0.04 * u, top), (x + 0.04 * u, base + foot)),
        Polyline("temporary", ((x - half, base), (x + half, base), (x + half, base + foot), (x - half, base + foot)), True),
    )  # fmt: skip
    view.block(((x - half, base), (x + half, base), (x + half, top), (x - half, top)))
    return Text("notes", "shore", (x, base - (view.letters.note + 0.06) * u), view.letters.note, 0.0, "middle")


def dimension_work_points(view: View, truss: Truss, sites: Sequence[tuple[Site, str]], low: float) -> float:
    """From the left end to each work point, one row each, the nearest first. Returns the y under them."""
    u, height = view.u, view.letters.note
    left = truss.joints[truss.bottom[0]][0]
    row = low
    for place, sheet in sorted(sites, key=lambda s: s[0].point[0]):
        x = place.point[0]
        if x - left < 0.5:  # it is the end itself
            continue
        row -= u * (height + 0.2)
        pattern = f"WP of {sheet}: <>"
        text = pattern.replace("<>", view.write(x - left))
        wide = u * (text_width(text, height) + 0.1)
        beside = (x - left) / 2 + wide / 2 + 0.05 * u if wide > x - left else 0.0
        view.draw(Dimension("dimensions", (left, low), (x, low), row, False, text, height, shift=beside, tail=bool(beside), pattern=pattern))
    return row
