"""What the views of a detail share: the scene, roles of parts, centre marks, bolts from their side."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from detailgen.model.detail import ACROSS, EDGES, Bolt, Detail, Part
from detailgen.model.package import Package
from detailgen.model.project import Truss
from detailgen.model.work_points import work_point
from detailgen.outputs.drawings import detail_geometry as geometry
from detailgen.outputs.drawings.detail_canvas import Canvas
from detailgen.outputs.drawings.detail_side import from_behind, turn_bolt, turned_about
from detailgen.outputs.drawings.paper import letters_of
from detailgen.outputs.drawings.shapes import Line, Polyline
from detailgen.outputs.drawings.sheet_frame import looking
from detailgen.outputs.drawings.sheets import Lettering, Scale
from detailgen.outputs.solids.hardware import size_for


@dataclass(frozen=True)
class Scene:
    """What a view is of."""

    detail: Detail
    package: Package
    behind: bool = False  # seen from the far side: the detail is turned about

    @property
    def side(self) -> str:
        """Which side of the truss faces the viewer."""
        return "far" if self.behind else "near"

    @property
    def other_side(self) -> str:
        return "near" if self.behind else "far"

    @property
    def facing(self) -> tuple[str, str]:
        """In words, which side is toward the viewer, and which away from him."""
        return ("outer side", "inner side") if self.detail.axis in EDGES else (f"{self.side} side", f"{self.other_side} side")

    @property
    def truss(self) -> Truss:
        return next(t.before.truss for t in self.package.trusses if any(d.key == self.detail.key for d in t.details))

    @property
    def slope(self) -> float:
        """How the member rises to the right in this view (rad); on a curve its tangent at the work point."""
        at = work_point(self.truss, self.detail.member, self.detail.station, self.detail.joint)
        return 0.0 if at is None else -at.angle if self.behind else at.angle

    @property
    def existing(self) -> list[Part]:
        return [p for p in self.detail.parts if p.existing]

    @property
    def new(self) -> list[Part]:
        return [p for p in self.detail.parts if not p.existing]

    @property
    def box(self) -> tuple[float, float, float, float]:
        boxes = [geometry.box(p) for p in self.detail.parts]
        return min(b[0] for b in boxes), min(b[1] for b in boxes), max(b[2] for b in boxes), max(b[3] for b in boxes)

    @cached_property
    def letters(self) -> Lettering:
        return letters_of(self.package.project.units, self.package.project.templates)

    def canvas(self, name: str, scale: Scale) -> Canvas:
        return Canvas(name, scale, self.letters, self.package.project.units)

    def gaps(self) -> list[tuple[float, float, Part, Part]]:
        """Lengths cut out of existing plies: from x to x, the parts left and right of each; none where a detail shows end grain."""
        found: list[tuple[float, float, Part, Part]] = []
        if self.detail.axis != ACROSS:
            return found
        for a in self.existing:
            for b in self.existing:
                same = abs(a.placement.z - b.placement.z) < 1e-6 and abs(a.thickness - b.thickness) < 1e-6
                end, start = geometry.box(a)[2], geometry.box(b)[0]
                if a is not b and same and start >= end - 1e-6:
                    found.append((end, start, a, b))
        return found

    def looking(self) -> str:
        return looking(self.package.project, behind=self.behind)


def scene_of(detail: Detail, package: Package) -> Scene:
    """A detail from the side on which its new steel is seen."""
    if not from_behind(detail):
        return Scene(detail, package)
    truss = next(t.before.truss for t in package.trusses if any(d.key == detail.key for d in t.details))
    joints = next((m.joints for m in truss.members if m.name == detail.member), ("left", "right"))
    return Scene(turned_about(detail, (joints[0], joints[-1])), package, True)


def role(part: Part) -> str:
    return "existing" if part.existing else "new steel" if part.material == "steel" else "new wood"


def centre_mark(x: float, y: float, reach: float) -> list[Line]:
    return [Line("centre", (x - reach, y), (x + reach, y)), Line("centre", (x, y - reach), (x, y + reach))]


@dataclass(frozen=True)
class BoltReach:
    """z of a bolt's stations toward the viewer and away (in): outer end of head or tip, under the head, face of the wood's stack."""

    head: float
    under_head: float
    tip: float


def head_away(bolt: Bolt, *, behind: bool) -> bool:
    """Does a bolt of this view have its head at the side that is not looked at?"""
    return (bolt.way < 0) != behind


def bolt_reach(bolt: Bolt, *, behind: bool) -> BoltReach:
    """Heads stand at the side of the truss that the bolt names, whichever side is looked at."""
    away = head_away(bolt, behind=behind)
    s, seen = size_for(bolt.diameter), turn_bolt(bolt) if away else bolt
    way = -1.0 if away else 1.0
    under = seen.high + (bolt.washers // 2) * s.washer_thickness
    return BoltReach(way * (under + s.head_height), way * under, way * (under - bolt.length))


def bolt_beside(canvas: Canvas, seen: Bolt, at: float, view: str, *, behind: bool = False) -> None:
    """A bolt seen from its side: head, washers, shank, nut. In the plan along y, z downward; in the section along x, z to the left."""
    bolt, way = (turn_bolt(seen), -1.0) if head_away(seen, behind=behind) else (seen, 1.0)
    s = size_for(bolt.diameter)
    at_head, at_nut = bolt.washers // 2, bolt.washers - bolt.washers // 2
    near, far = bolt.high + at_head * s.washer_thickness, bolt.low - at_nut * s.washer_thickness
    tip = near - bolt.length

    def put(layer: str, z1: float, z2: float, half: float) -> None:
        low, high = sorted((-way * z1, -way * z2))
        corners = ((at - half, low), (at + half, low), (at + half, high), (at - half, high))
        points = corners if view == "plan" else tuple((y, x) for x, y in corners)
        canvas.draw(Polyline(layer, points, True))

    put("new bolts", near, near + s.head_height, s.head_flats / 2)
    put("new bolts", far - s.nut_height, far, s.nut_flats / 2)
    if at_head:
        put("new bolts", bolt.high, near, s.washer_diameter / 2)
    if at_nut:
        put("new bolts", far, bolt.low, s.washer_diameter / 2)
    if tip < far - s.nut_height:
        put("new bolts", tip, far - s.nut_height, bolt.diameter / 2)
    layer = "hidden" if view == "plan" else "new bolts"
    for side in (-1, 1):
        a, b = (at + side * bolt.diameter / 2, -way * bolt.high), (at + side * bolt.diameter / 2, -way * bolt.low)
        canvas.draw(Line(layer, a, b) if view == "plan" else Line(layer, a[::-1], b[::-1]))
    a, b = (at, -way * (near + s.head_height + 0.05 * canvas.u)), (at, -way * (tip - 0.05 * canvas.u))
    canvas.draw(Line("centre", a, b) if view == "plan" else Line("centre", a[::-1], b[::-1]))
