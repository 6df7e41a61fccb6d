"""From a chosen layout to the joint as it is built: parts, bolts, groups, reasons, order of work."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from detailgen.core.result import CheckResult
from detailgen.core.tolerance import up_to_grid
from detailgen.model.detail import Bolt, Detail, Group, Hole, Interface, Part, Placement, PlyLoad, Why, Zone
from detailgen.model.outlines import rectangle
from detailgen.model.project import Bolts, Filler, Member, Plate, Ply, Scab, Splice, Wood
from detailgen.remedies import usual
from detailgen.remedies.contract import Site, lasting
from detailgen.remedies.splice import parameters as p
from detailgen.remedies.splice.search import Demand, Layouts, Question, block_end
from detailgen.remedies.splice.site import Obstacle, gaps_between
from detailgen.stock.bolts import OrderedBolt, bolt_length, bolt_size
from detailgen.stock.plates import steel_unit_weight

DRAWN_BEYOND = 12.0
"""Length (in) of existing timber that is drawn beyond the plates."""
LEAST_ZONE = 0.5
"""Zones of which less than this (in) lies within the drawn length are left out."""
BLOCK_BEYOND = 2.5
"""A filler block reaches this far (in) beyond its outer bolt columns: at least two diameters of the largest bolt (ours)."""
BLOCK_EDGE = 2.0
"""A filler block reaches at least this many diameters beyond its outer rows (ours)."""


SHORE = "Shore the truss both sides of the joint before anything is cut; jack to the stated force with a displacement stop, whichever comes first."


@dataclass(frozen=True)
class Layer:
    """One thing across the truss: key, kind, from and to in z (in), the ply that it belongs to."""

    key: str
    kind: str  # ply, plate, filler, block
    low: float
    high: float
    ply: str


@dataclass(frozen=True)
class Chosen:
    """A layout on its site: plate length rounded up to the shop grid, and where bolts stand (x, y) about the cut's middle (in)."""

    question: Question
    layout: Layouts
    site: Site
    member: Member
    heads: str = "near"

    @property
    def shop(self) -> p.Shop:
        return p.shop(self.question.system)

    @property
    def length(self) -> float:
        return up_to_grid(float(self.layout.length(self.question.gap)[0]), self.shop.lengths)

    @property
    def block_half(self) -> float:
        """Half the length of a structural block."""
        return self.columns[-1] + float(block_end(self.question, self.layout)[0])

    @property
    def columns(self) -> list[float]:
        first, spacing = self.question.gap / 2 + self.layout.one("end"), self.layout.one("spacing")
        return [first + k * spacing for k in range(int(self.layout.one("per_row")))]

    @property
    def lines(self) -> list[float]:
        rows, gauge = int(self.layout.one("rows")), self.layout.one("gauge")
        return [(k - (rows - 1) / 2) * gauge for k in range(rows)]

    @property
    def plates_per_ply(self) -> int:
        return self.question.arrangement.plates_per_ply * self.question.plates_per_face

    @property
    def plates(self) -> list[tuple[str, float]]:
        """The plates on one face: the end of their keys, and their height on the ply (in)."""
        if self.question.plates_per_face == 1:
            return [("", 0.0)]
        return list(zip(("-lower", "-upper"), self.lines, strict=True))

    @property
    def bolts(self) -> list[tuple[float, float]]:
        return sorted((side * x, y) for side in (-1, 1) for x in self.columns for y in self.lines)


def layers(chosen: Chosen) -> list[Layer]:
    """The stack across the truss, far to near."""
    t = chosen.layout.one("plate_thickness")
    both = chosen.question.arrangement.plates_per_ply == 2
    centre = sum(ply.z for ply in chosen.member.plies) / len(chosen.member.plies)
    stack = []
    for ply in chosen.member.plies:
        low, high = ply.z - ply.thickness / 2, ply.z + ply.thickness / 2
        stack.append(Layer(f"ply-{ply.name}", "ply", low, high, ply.name))
        if ply.name in chosen.site.plies:
            outside_is_near = ply.z >= centre
            if both or outside_is_near:
                stack.append(Layer(f"plate-{ply.name}-{'outer' if outside_is_near else 'inner'}", "plate", high, high + t, ply.name))
            if both or not outside_is_near:
                stack.append(Layer(f"plate-{ply.name}-{'inner' if outside_is_near else 'outer'}", "plate", low - t, low, ply.name))
    kind = "block" if chosen.question.arrangement.faces == "steel and wood" else "filler"
    for number, (low, high) in enumerate(gaps_between([(x.low, x.high) for x in stack]), start=1):
        stack.append(Layer(f"{kind}-{number}", kind, low, high, ""))
    return sorted(stack, key=lambda x: x.low)


def template_of(stack: list[Layer]) -> Layer:
    """The plate through which all others are drilled: the outer one, where a drill reaches it; the near one if there are two."""
    return stack[-1] if stack[-1].kind == "plate" else stack[0]


def _holes(chosen: Chosen, template: str, x1: float, x2: float, shift: float = 0.0) -> tuple[Hole, ...]:
    """Holes of the bolts between x1 and x2, in the axes of a part that begins at ``shift``; drilled through a template, or "" in the shop."""
    hole = chosen.layout.one("diameter") + usual.HOLE_OVER_BOLT
    through = {y: f"{template}{end}" if template else "" for y in chosen.lines for end, at in chosen.plates if len(chosen.plates) == 1 or y == at}
    return tuple(Hole(x - shift, y, hole, "B1", through[y]) for x, y in chosen.bolts if x1 < x < x2)


def _parts(chosen: Chosen, stack: list[Layer]) -> list[Part]:
    half, width = chosen.length / 2, chosen.layout.one("plate_width")
    reach = half + DRAWN_BEYOND
    template = template_of(stack).key
    found = []
    for layer in stack:
        if layer.kind == "plate":
            outer = "outer" if layer.key.endswith("outer") else "inner"
            for end, at in chosen.plates:
                name = f"{end.lstrip('-')} {outer} splice plate".strip()
                holes = tuple(replace(h, y=h.y - at) for h in _holes(chosen, "", -reach, reach) if len(chosen.plates) == 1 or h.y == at)
                found.append(
                    Part(layer.key + end, "plate", name, rectangle(-half, half, width), holes, (), layer.high - layer.low,
                         Placement(0, at, layer.low), "steel", p.PLATE_GRADE, math.nan, False, steel_unit_weight(), "hot-dip galvanized")
                )  # fmt: skip
        elif layer.kind == "ply":
            ply = next(x for x in chosen.member.plies if x.name == layer.ply)
            found += _ply_parts(ply, layer, chosen, reach, template)
        elif layer.kind == "block":
            drilled = _holes(chosen, template, -reach, reach)
            found.append(_block(layer, chosen, "structural block", -chosen.block_half, chosen.block_half, drilled, 0.0, 0.0))
        else:
            beyond = up_to_grid(BLOCK_BEYOND, chosen.shop.lengths)
            start = chosen.columns[0] - beyond
            drilled = _holes(chosen, template, 0.0, reach, start)
            for side, angle in (("right", 0.0), ("left", math.pi)):
                named = replace(layer, key=f"{layer.key}-{side}")
                length = chosen.columns[-1] + beyond - start
                found.append(_block(named, chosen, "filler block", 0.0, length, drilled, start * math.cos(angle), angle))
    return found


def _block(layer: Layer, chosen: Chosen, name: str, x1: float, x2: float, holes: tuple[Hole, ...], at: float, angle: float) -> Part:
    wood = chosen.member.plies[0].wood
    filler = layer.kind == "filler"
    ply = chosen.member.plies[0].depth / 2
    edge = up_to_grid(max(chosen.lines) + BLOCK_EDGE * chosen.layout.one("diameter"), chosen.shop.lengths)
    grade, half = (p.BLOCK_GRADE, min(ply, max(edge, chosen.layout.one("plate_width") / 2))) if filler else (wood.grade, ply)
    return Part(
        layer.key, layer.kind, name, rectangle(x1, x2, 2 * half), holes, (), layer.high - layer.low,
        Placement(at, 0.0, layer.low, angle), "wood", f"{wood.species} {grade}, dry", 0.0, False, usual.WOOD_WEIGHT,
        facts=(Wood("sawn", wood.species, grade) if filler else replace(wood, wet=False)).facts,
    )  # fmt: skip


def _ply_parts(ply: Ply, layer: Layer, chosen: Chosen, reach: float, template: str) -> list[Part]:
    """The existing ply: in one piece, or in two where it is cut."""
    half, cut = ply.depth / 2, chosen.question.gap / 2
    pieces: list[tuple[str, float, float, tuple[float, ...]]] = [("", -reach, reach, (-reach, reach))]
    if ply.name in chosen.site.plies:
        pieces = [("-left", -reach, -cut, (-reach,)), ("-right", cut, reach, (reach,))]
    words = {"": "", "-left": ", left of the cut", "-right": ", right of the cut"}
    return [
        Part(
            layer.key + side, "ply", f"{ply.name} ply{words[side]}", rectangle(x1, x2, 2 * half), _holes(chosen, template, x1, x2), (), ply.thickness,
            Placement(0, 0, layer.low), "wood", f"{ply.wood.species} {ply.wood.grade}", 0.0, True, usual.WOOD_WEIGHT, open_ends=ends,
            facts=ply.wood.facts,
        )
        for side, x1, x2, ends in pieces
    ]  # fmt: skip


def new_splice(chosen: Chosen, ply: Ply, slip: float, weight: float) -> Splice:
    """The splice as the truss's model carries it from now on."""
    stack = layers(chosen)
    cut = chosen.question.gap / 2
    root = bolt_size(chosen.layout.one("diameter")).root_diameter if chosen.question.threads_in_planes else 0.0
    positions = tuple((x - cut, y) for x, y in chosen.bolts if x > 0)
    plates = tuple(
        Plate(
            x.high - x.low, len(chosen.plates) * chosen.layout.one("plate_width"), (x.low + x.high) / 2, p.STEEL_BEARING, chosen.length / 2 - cut,
            per_row=len(chosen.plates) > 1,
        )
        for x in stack if x.kind == "plate" and x.ply == ply.name
    )  # fmt: skip
    fillers = tuple(Filler(x.high - x.low, (x.low + x.high) / 2) for x in stack if x.kind == "filler")
    blocks = tuple(
        Scab(x.key, x.high - x.low, ply.depth, (x.low + x.high) / 2, 2 * (chosen.block_half - cut), ply.wood) for x in stack if x.kind == "block"
    )
    return Splice(
        name=f"{chosen.site.key}-{ply.name}", chord=chosen.member.name, ply=ply.name, x=chosen.site.x, behaviour="fixed", stiffness=0.0,
        bolts=Bolts(chosen.layout.one("diameter"), positions, usual.BOLT_YIELD, root=root), plates=plates, fillers=fillers, scabs=blocks,
        gap=chosen.question.gap, slip=slip, weight=weight, new=True,
    )  # fmt: skip


def _grip(stack: list[Layer]) -> tuple[float, float]:
    return stack[0].low, stack[-1].high


def ordered_bolt(chosen: Chosen) -> OrderedBolt:
    """The stocked bolt for this stack, with the shear planes that its thread reaches from the side of its head.

    Raises: NotCovered where none is long enough
    """
    stack = layers(chosen)
    low, high = _grip(stack)
    cut = [x for x in stack if x.kind == "ply" and x.ply in chosen.site.plies]
    faces = {z for x in stack if x.kind in ("plate", "block") for z in (x.low, x.high)}
    planes = sorted({round(high - z if chosen.heads == "near" else z - low, 6) for ply in cut for z in (ply.low, ply.high) if z in faces})
    return bolt_length(chosen.layout.one("diameter"), high - low, high - low, shear_planes=planes)


def build_detail(
    chosen: Chosen, demands: dict[str, Demand], capacity: dict[str, float], modes: dict[str, str], why: tuple[Why, ...], found: tuple[Obstacle, ...],
    results: tuple[CheckResult, ...], notes: tuple[str, ...],
) -> Detail:  # fmt: skip
    """The neutral record of the joint. ``capacity`` (lb) and ``modes`` are by ply, for all its planes on one side of the cut."""
    stack = layers(chosen)
    D = chosen.layout.one("diameter")
    low, high = _grip(stack)
    ordered = ordered_bolt(chosen)
    washers = 2 + ordered.packing_washers
    bolts = tuple(Bolt("B1", x, y, D, low, high, ordered.length, usual.BOLT_GRADE, washers, chosen.heads) for x, y in chosen.bolts)
    if ordered.packing_washers:
        notes = (*notes, f"{ordered.packing_washers} more washers under each nut: the thread ends before it would be tight.")
    parts = tuple(_parts(chosen, stack))
    interfaces, loads = [], []
    for ply in chosen.site.plies:
        demand = demands[ply]
        tension, compression = max(float(demand.axial.max()), 0.0), max(float(-demand.axial.min()), 0.0)
        beside = [x.key + end for x in stack if x.kind == "plate" and x.ply == ply for end, _ in chosen.plates]
        beside += [x.key for x in stack if x.kind == "block"]
        for side in ("left", "right"):
            loads.append(PlyLoad(f"ply-{ply}-{side}", tension, compression, 0.0, lasting(demand.axial, demand.durations)))
            for other in beside:
                pair = (f"ply-{ply}-{side}", other)
                interfaces.append(Interface(*pair, max(tension, compression) / len(beside), capacity[ply] / len(beside), modes[ply]))
    group = Group(
        "B1", D, tuple(chosen.bolts), tuple(x.key for x in parts), tuple(interfaces), tuple(loads), int(chosen.layout.one("rows")),
        int(chosen.layout.one("per_row")), chosen.layout.one("spacing"), chosen.layout.one("gauge"),
    )  # fmt: skip
    reach = chosen.length / 2 + DRAWN_BEYOND
    depth = max(p.depth for p in chosen.member.plies)
    zones: list[Zone] = []
    for obstacle in found:
        start, end = max(obstacle.start - chosen.site.x, -reach), min(obstacle.end - chosen.site.x, reach)
        zone = Zone((start + end) / 2, 0.0, end - start, depth, obstacle.what)
        if end - start > LEAST_ZONE and zone not in zones:  # both plies have the same holes; a sliver at the drawing's end tells nobody anything
            zones.append(zone)
    order = _order(chosen, stack, parts)
    return Detail(
        key=chosen.site.key, title=f"Splice of the {' and '.join(chosen.site.plies)} ply of the {chosen.member.name}", truss=chosen.site.truss,
        remedy="splice", member=chosen.member.name, station=chosen.site.x, parts=parts, bolts=bolts, groups=(group,), zones=tuple(zones), whys=why,
        order=tuple(text for text, _ in order), notes=notes, results=results, brings=tuple(brought for _, brought in order),
    )  # fmt: skip


def _order(chosen: Chosen, stack: list[Layer], parts: tuple[Part, ...]) -> list[tuple[str, tuple[str, ...]]]:
    """Order of work at this joint, with the new parts that each step brings in."""
    ply = " and ".join(chosen.site.plies)
    template = template_of(stack)
    one = len(chosen.plates) == 1
    plate, place = ("the plate", " on the chord's centre line") if one else ("both plates", ", each row at its distance from the chord's centre line")
    inner = any(x.kind == "plate" and x.key.endswith("inner") for x in stack)
    blocks, plates = (tuple(p.key for p in parts if not p.existing and (p.kind == "plate") is flat) for flat in (False, True))
    inner_plates = tuple(k for k in plates if "-inner" in k)
    outer = tuple(sorted((k for k in plates if k not in inner_plates), key=lambda k: not k.startswith(template.key)))
    side, is_template = "near" if template is stack[-1] else "far", "it is" if one else "they are"
    steps: list[tuple[str, tuple[str, ...]]] = [
        (SHORE, ()),
        (f"Prove zero tension in the {ply} ply: shore load reached and a saw kerf that does not open. One ply at a time.", ()),
        ("Cut out the damaged length square to the chord." if chosen.question.gap > 0 else "Close the butt joint tight with hardwood shims.", ()),
        ("Fit the blocks tight between the plies at every bolt column: no bolt crosses an open gap." if len(stack) > 3 else "", blocks),
        (f"Clamp {plate} at the {side} side{place}; {is_template} the drilling template.", outer),
        ("Slide in the inner plates before drilling through." if inner else "", inner_plates),
        ("Drill square through plate holes into wood and far parts; keep the drill guided, check the exit side of the first hole.", ()),
        ("Set bolts with washers under head and nut, tighten snug, check again after the wood has dried for a season.", ()),
        ("Release the shores evenly and record the movement.", ()),
    ]
    return [(text, brought) for text, brought in steps if text]
