"""What is judged: face views of parts, in the parts' own axes, wherever they came from."""

from __future__ import annotations

import itertools
import math
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property, lru_cache

from detailgen.checker.geometry import AS_DRAWN, Frame, Outline, Point, turning
from detailgen.checker.tags import Load
from detailgen.core.clause import Cite
from detailgen.core.result import CheckResult
from detailgen.core.units import MM, feet_inches
from detailgen.model.detail import PUT_BACK

FACE_VIEW = Cite("face view", "holes and outlines as drawn")
Box = tuple[float, float, float, float]
"""x and y of the lower left and of the upper right corner."""
SAME_SIZE = 1e-3
ALIGNED = 0.01
"""Directions that differ by less (degrees) are parallel."""


@dataclass(frozen=True, eq=False)
class FaceHole:
    """A round hole, or a slot (``length`` over its ends above its width ``diameter``), as drawn. ``tagged``: it says what goes through it.

    Two holes in one place are two: each is known by itself.
    """

    x: float
    y: float
    diameter: float
    group: str = ""
    fastener: str = ""
    made: str = ""
    template: str = ""
    tagged: bool = True
    length: float = 0.0
    angle: float = 0.0

    @property
    def at(self) -> Point:
        return self.x, self.y

    @property
    def judged(self) -> bool:
        """New work: it says what goes through it, and that is no old bolt in its old place."""
        return self.tagged and self.group != PUT_BACK

    @property
    def slot(self) -> bool:
        return self.length > self.diameter


@dataclass(frozen=True, eq=False)
class Face:
    """One part's face view, in the part's own axes. ``grain`` in degrees to x; None: not stated. ``open_ends``: none, left, right or both.

    ``frame`` leads from the own axes to the drawing's; ``turn``: by how many degrees the view was found turned.
    """

    part: str
    mark: str
    detail: str
    material: str
    specification: str
    wood: str
    standard: str
    grain: float | None
    existing: bool
    open_ends: str
    loads: tuple[Load, ...]
    outline: Outline
    holes: tuple[FaceHole, ...]
    facts: Mapping[str, str]
    faults: tuple[str, ...] = ()
    turn: float = 0.0
    frame: Frame = AS_DRAWN
    layout: int = 0

    @property
    def name(self) -> str:
        return f"{self.part} {self.mark}".strip()

    def open_at(self, side: str) -> bool:
        return self.open_ends in (side, "both")

    @cached_property
    def new_holes(self) -> tuple[FaceHole, ...]:
        return tuple(h for h in self.holes if h.judged)

    @cached_property
    def made_holes(self) -> tuple[FaceHole, ...]:
        """New holes, and those of old bolts that are put back: all that the part's sheet tells of."""
        return tuple(h for h in self.holes if h.tagged)

    @cached_property
    def by_group(self) -> Mapping[str, tuple[FaceHole, ...]]:
        """New holes by their group."""
        found: dict[str, list[FaceHole]] = defaultdict(list)
        for h in self.new_holes:
            found[h.group].append(h)
        return {group: tuple(holes) for group, holes in found.items()}

    @property
    def groups(self) -> tuple[str, ...]:
        return tuple(self.by_group)

    @cached_property
    def places_of_group(self) -> Mapping[str, list[FaceHole]]:
        """By group, one hole for each place: of two in one, the first."""
        return {g: list({(round(h.x, 3), round(h.y, 3)): h for h in reversed(holes)}.values())[::-1] for g, holes in self.by_group.items()}

    @cached_property
    def bolts(self) -> frozenset[tuple[str, str]]:
        """Groups with the fasteners that they name."""
        return frozenset((h.group, h.fastener) for h in self.new_holes)

    def of_group(self, group: str) -> tuple[FaceHole, ...]:
        return self.by_group.get(group, ())

    @cached_property
    def closed_edges(self) -> tuple[int, ...]:
        """Indices of the edges that are real: not a break line at an open end."""
        x0, _, x1, _ = self.outline.box
        cut = [x for side, x in (("left", x0), ("right", x1)) if self.open_at(side)]
        near = 1e-3
        return tuple(k for k, e in enumerate(self.outline.edges) if not any(abs(e.ax - x) < near and abs(e.bx - x) < near for x in cut))

    @property
    def net_area(self) -> float:
        """in2: the outline without its holes"""
        cut = sum(math.pi * h.diameter**2 / 4 + max(h.length - h.diameter, 0.0) * h.diameter for h in self.holes)
        return self.outline.area - cut

    def number(self, hole: FaceHole) -> int:
        """Number of a hole in its part: from left to right, then upward."""
        return self.numbers[hole]

    @cached_property
    def numbers(self) -> Mapping[FaceHole, int]:
        order = sorted(self.holes, key=lambda h: (round(h.x, 3), round(h.y, 3)))
        return {h: k for k, h in enumerate(order, start=1)}

    def place(self, p: Point, metric: bool) -> str:
        """A place in words: from the lower corner at the end that is really there."""
        x0, y0, x1, _ = self.outline.box
        right = self.open_at("left") and not self.open_at("right")
        along = x1 - p[0] if right else p[0] - x0
        corner = "lower right corner" if right else "left break line and the lower edge" if self.open_ends == "both" else "lower left corner"
        return f"{length_words(along, metric)}, {length_words(p[1] - y0, metric)} from the {corner}"

    def hole_name(self, hole: FaceHole, metric: bool) -> str:
        return f"{'slot' if hole.slot else 'hole'} {self.number(hole)} at {self.place(hole.at, metric)}"


@dataclass(frozen=True)
class Stretch:
    """A dimension as drawn: what its text says, which distance (in) it spans, its two points and the direction that it measures."""

    text: str
    shown: str  # what the picture of the dimension shows; "" where there is none
    measured: float
    first: Point
    second: Point
    direction: Point | None
    layer: str
    factor: float = 1.0  # by which the program multiplies what it measures before it shows it


@dataclass(frozen=True)
class Turn:
    """A dimension of an angle: what its text and its picture say, and the angles (degrees) that it may mean."""

    text: str
    shown: str
    possible: tuple[float, ...]
    at: Point
    layer: str


@dataclass(frozen=True)
class Writing:
    """A text: ``at`` is its insertion point (in), ``align`` 0 left, 1 centre, 2 right; ``layout`` 0 is model space."""

    text: str
    at: Point
    height: float
    align: int
    layer: str
    layout: int


@dataclass(frozen=True)
class Window:
    """A window of a sheet into model space: what it shows, and at which scale."""

    box: Box
    scale: float

    def holds(self, p: Point) -> bool:
        x0, y0, x1, y1 = self.box
        return x0 <= p[0] <= x1 and y0 <= p[1] <= y1


@dataclass(frozen=True)
class Drawing:
    """One file or one neutral detail. ``plan``: extent (along, across) of each part in the plan view (in). ``results``: what the reading found.
    ``lines``: loose lines, among which are centre lines that dimensions run from."""

    faces: tuple[Face, ...]
    plan: Mapping[tuple[str, str], tuple[float, float]]
    stretches: tuple[Stretch, ...] = ()
    results: tuple[CheckResult, ...] = ()
    turns: tuple[Turn, ...] = ()
    lines: tuple[tuple[Point, Point], ...] = ()
    metric: bool = False
    as_found: bool = False  # it says that it shows nothing new
    texts: tuple[Writing, ...] = ()
    shown: tuple[tuple[Outline, tuple[FaceHole, ...]], ...] = ()  # outlines without tags on a sheet that says that it shows nothing new
    stack: Mapping[tuple[str, str], Box] = field(default_factory=dict)  # each part in the plan view
    zones: tuple[Box, ...] = ()  # no-drill zones
    windows: tuple[Window, ...] = ()
    heads: tuple[Point, ...] = ()  # hexagons: bolts seen from their end
    fields: Mapping[str, str] = field(default_factory=dict)  # attributes of its title block
    attached: tuple[str, ...] = ()  # numbers of the sheets on which its lists go on and whose texts are among these

    @cached_property
    def _joints(self) -> Mapping[str, tuple[Face, ...]]:
        found: dict[str, list[Face]] = defaultdict(list)
        for face in self.faces:
            found[face.detail].append(face)
        return {detail: tuple(faces) for detail, faces in found.items()}

    def joint(self, detail: str) -> tuple[Face, ...]:
        """The face views of one detail."""
        return self._joints.get(detail, ())

    @cached_property
    def _by_size(self) -> Mapping[tuple[int, int], list[tuple[str, Box]]]:
        """Parts in the plan by their size in hundredths."""
        found: dict[tuple[int, int], list[tuple[str, Box]]] = defaultdict(list)
        for (_, part), b in self.stack.items():
            found[round((b[2] - b[0]) * 100), round((b[3] - b[1]) * 100)].append((part, b))
        return found

    def of_size(self, length: float, across: float) -> list[tuple[str, Box]]:
        """Parts in the plan of one size (in)."""
        i, j = round(length * 100), round(across * 100)
        near = [x for a, c in itertools.product((i - 1, i, i + 1), (j - 1, j, j + 1)) for x in self._by_size.get((a, c), ())]
        return [(part, b) for part, b in near if abs(b[2] - b[0] - length) + abs(b[3] - b[1] - across) < SAME_SIZE]

    @cached_property
    def materials(self) -> Mapping[str, str]:
        """Of the parts that have a face view of their own; others share one, or are only seen in the plan."""
        return {f.part: f.material for f in self.faces}

    def unseen_of_size(self, length: float, across: float) -> list[Box]:
        """Those of one size (in) that have no face view of their own."""
        return [b for part, b in self.of_size(length, across) if part not in self.materials]

    @cached_property
    def _not_wood(self) -> Mapping[tuple[int, int], list[Box]]:
        """Boxes in the plan of what is not known to be wood, by their lower (1) and upper (3) side in hundredths."""
        wood = {f.part for f in self.faces if f.material == "wood"}
        found: dict[tuple[int, int], list[Box]] = defaultdict(list)
        for (_, part), b in self.stack.items():
            if part not in wood:
                for side in (1, 3):
                    found[side, round(b[side] * 100)].append(b)
        return found

    @cached_property
    def on_edge(self) -> Mapping[tuple[str, str], tuple[float, float]]:
        """Length and thickness of plates that stand across the joint: the elevation shows them on their edge, no plan does."""
        return {key: extent for key, extent in self.plan.items() if key not in self.stack} if self.stack else {}

    def on_edge_like(self, face: Face) -> int:
        """How many plates of a plate's size stand across the joint, itself counted; 0 where it does not."""
        own = self.on_edge.get((face.detail, face.part)) or self.on_edge.get(("", face.part))
        if own is None:
            return 0
        same = [part for (_, part), x in self.on_edge.items() if abs(x[0] - own[0]) + abs(x[1] - own[1]) < SAME_SIZE]
        return 1 + sum(part not in self.materials for part in same)

    def touching(self, box: Box) -> int:
        """On how many of its two faces something that is not wood lies, by the plan."""
        count = 0
        for side, other in ((1, 3), (3, 1)):
            level = round(box[side] * 100)
            near = [b for k in (level - 1, level, level + 1) for b in self._not_wood.get((other, k), ())]
            count += any(abs(b[other] - box[side]) < SAME_SIZE and b[0] < box[2] and b[2] > box[0] for b in near)
        return count

    def box_in_plan(self, face: Face) -> Box | None:
        """Where a part stands in the plan view (in); None where it is not in it."""
        return self.stack.get((face.detail, face.part)) or self.stack.get(("", face.part))

    def extent_in_plan(self, face: Face) -> tuple[float, float] | None:
        """How long a part is in the plan view, nan where that is not told, and how thick (in); None where it is not in it."""
        return self.plan.get((face.detail, face.part)) or self.plan.get(("", face.part))

    def thickness(self, face: Face) -> float | None:
        """How thick a part is by the plan view (in); None where it is not in it."""
        extent = self.extent_in_plan(face)
        return extent[1] if extent else None


@lru_cache(maxsize=65536)
def length_words(value: float, metric: bool) -> str:
    """A length (in) for reading: sixteenths where it is one, decimals where it is not."""
    if metric:
        return f"{value / MM:.1f}".removesuffix(".0") + " mm"
    if abs(value * 16 - round(value * 16)) < 1e-3:
        text = feet_inches(value)
        return text if "'" in text else text.removesuffix('"') + " in."
    return f"{value:.3f} in."


def _axis(degrees: float) -> float:
    """Angle of an undirected line in (-90, 90]."""
    a = degrees % 180
    return a - 180 if a > 90 else a


def in_own_axes(face: Face) -> Face:
    """The same face view turned back to its part's own axes where its outline shows that it was turned.

    A view is turned if none of its longer straight edges runs along or across its grain (steel: along the axes). It is turned back by the
    least angle that brings the longest edge there. A quarter or half turn of a rectangle leaves no trace in it.
    """
    straight = [e for e in face.outline.edges if e.bulge == 0.0]
    longest = max(straight, key=lambda e: e.chord, default=None)
    if longest is None:
        return face
    angles = [_axis(math.degrees(math.atan2(e.by - e.ay, e.bx - e.ax))) for e in straight if e.chord >= longest.chord / 5]
    wanted = (0.0,) if face.grain is None else (0.0, face.grain)

    def off(angle: float, base: float) -> float:
        rest = (angle - base) % 90
        return rest - 90 if rest > 45 else rest

    if any(abs(off(a, w)) < ALIGNED for a in angles for w in wanted):
        return face
    first = _axis(math.degrees(math.atan2(longest.by - longest.ay, longest.bx - longest.ax)))
    turn = off(first, wanted[-1])
    return replace(drawn_in(face, turning(turn)), turn=turn)


def drawn_in(face: Face, frame: Frame) -> Face:
    """A face view whose own axes stand in the drawing as ``frame`` says (turned or mirrored about the origin)."""
    back = frame.back()
    holes = []
    for h in face.holes:
        x, y = back.at(h.at)
        u, v = back.along((math.cos(math.radians(h.angle)), math.sin(math.radians(h.angle))))
        holes.append(replace(h, x=x, y=y, angle=math.degrees(math.atan2(v, u)) if h.slot else 0.0))
    return replace(face, outline=face.outline.mapped(back), holes=tuple(holes), frame=face.frame.after(frame))
