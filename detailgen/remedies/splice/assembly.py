"""From a chosen layout to the joint as it is built: parts, bolts, groups, reasons, order of work."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from detailgen.core.result import CheckResult
from detailgen.core.tolerance import rounded_length, up_to_grid
from detailgen.model.added import Splice
from detailgen.model.detail import MARKED_OUT, Bolt, Detail, Group, Hole, Interface, Part, Placement, PlyLoad, Why, Zone
from detailgen.model.member import Bolts, Filler, Plate, Ply, Scab, Wood
from detailgen.model.outlines import rectangle
from detailgen.remedies import usual
from detailgen.remedies.contract import lasting
from detailgen.remedies.splice import parameters as p
from detailgen.remedies.splice.chosen import Chosen, Layer, layers, template_of
from detailgen.remedies.splice.search import Demand
from detailgen.remedies.splice.site import Obstacle
from detailgen.remedies.splice.work import block_notes, order_of
from detailgen.stock.bolts import OrderedBolt, bolt_length, bolt_size, washer
from detailgen.stock.plates import steel_unit_weight

DRAWN_BEYOND = 12.0
"""Length (in) of existing timber that is drawn beyond the plates."""
LEAST_ZONE = 0.5
"""Zones of which less than this (in) lies within the drawn length are left out."""
BLOCK_EDGE = 2.0
"""A filler block reaches at least this many diameters beyond its outer rows (ours)."""


def _holes(chosen: Chosen, template: str, x1: float, x2: float, shift: float = 0.0) -> tuple[Hole, ...]:
    """Holes of the bolts between x1 and x2, in the axes of a part that begins at ``shift``; drilled through a template, or "" in the shop.

    A ply that is the template is in two pieces, one on each side of the cut.
    """
    hole = chosen.layout.one("diameter") + usual.HOLE_OVER_BOLT
    ends = {y: end for y in chosen.lines for end, at in chosen.plates if len(chosen.plates) == 1 or y == at}

    def through(x: float, y: float) -> str:
        if template.startswith("ply-"):
            return f"{template}-{'left' if x < 0 else 'right'}"
        return f"{template}{ends[y]}" if template and template != MARKED_OUT else template

    return tuple(Hole(x - shift, y, hole, "B1", through(x, y)) for x, y in chosen.bolts if x1 < x < x2)


def _parts(chosen: Chosen, stack: list[Layer]) -> list[Part]:
    half, width = chosen.length / 2, chosen.layout.one("plate_width")
    reach = half + DRAWN_BEYOND
    template = template_of(stack, chosen.heads).key
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
            found += _ply_parts(ply, layer, chosen, reach, MARKED_OUT if layer.key == template else template)
        elif layer.kind == "block":
            drilled = _holes(chosen, template, -reach, reach)
            found.append(_block(layer, chosen, "structural block", -chosen.block_half, chosen.block_half, drilled, 0.0, 0.0))
        else:
            beyond = up_to_grid(usual.FILLER_BEYOND, chosen.shop.lengths)
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
        facts=(Wood("sawn", wood.species, grade) if filler else wood).facts,
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
        gap=chosen.question.gap, slip=slip, weight=weight, new=True, off=stands_off(chosen),
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


def stands_off(chosen: Chosen) -> float:
    """How far off the truss's plane the tips of its bolts stand, or their heads where these stand farther (in). Raises: as ``ordered_bolt``."""
    low, high = _grip(layers(chosen))
    nut, head = (-low, high) if chosen.heads == "near" else (high, -low)
    ordered, size = ordered_bolt(chosen), bolt_size(chosen.layout.one("diameter"))
    found = washer(ordered.head_washer, size.diameter)
    under = found.thickness if found is not None else 0.0
    return rounded_length(max(nut + ordered.length - (high - low) - under, head + under + size.head_height))


def build_detail(
    chosen: Chosen, demands: dict[str, Demand], capacity: dict[str, float], modes: dict[str, str], why: tuple[Why, ...], found: tuple[Obstacle, ...],
    results: tuple[CheckResult, ...], notes: tuple[str, ...],
) -> Detail:  # fmt: skip
    """The neutral record of the joint. ``capacity`` (lb) and ``modes`` are by ply, for all its planes on one side of the cut."""
    stack = layers(chosen)
    D = chosen.layout.one("diameter")
    low, high = _grip(stack)
    ordered = ordered_bolt(chosen)
    notes = (*notes, *block_notes(stack))
    washers = 2 + ordered.packing_washers
    bolts = tuple(Bolt("B1", x, y, D, low, high, ordered.length, usual.BOLT_GRADE, washers, chosen.heads) for x, y in chosen.bolts)
    if ordered.packing_washers:
        notes = (*notes, f"{ordered.packing_washers} more washers under each nut: the thread ends before it would be tight.")
    parts = tuple(_parts(chosen, stack))
    interfaces, loads = _passed(chosen, stack, demands, capacity, modes)
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
    order = order_of(chosen, stack, parts)
    return Detail(
        key=chosen.site.key, title=f"Splice of the {' and '.join(chosen.site.plies)} ply of the {chosen.member.name}", truss=chosen.site.truss,
        remedy="splice", member=chosen.member.name, station=chosen.site.x, parts=parts, bolts=bolts, groups=(group,), zones=tuple(zones), whys=why,
        order=tuple(text for text, _ in order), notes=notes, results=results, brings=tuple(brought for _, brought in order),
    )  # fmt: skip


def _passed(
    chosen: Chosen, stack: list[Layer], demands: Mapping[str, Demand], capacity: Mapping[str, float], modes: Mapping[str, str],
) -> tuple[list[Interface], list[PlyLoad]]:  # fmt: skip
    """What passes at every face of a cut ply, each carrying alike, and what that leaves in plies and block."""
    interfaces, loads = [], []
    in_block: dict[str, list[Demand]] = {}
    for ply in chosen.site.plies:
        demand = demands[ply]
        tension, compression = max(float(demand.axial.max()), 0.0), max(float(-demand.axial.min()), 0.0)
        faces = [x for x in stack if x.kind == "block" or (x.kind == "plate" and x.ply == ply)]
        for face in faces:
            if face.kind == "block":
                in_block.setdefault(face.key, []).append(replace(demand, axial=demand.axial / len(faces)))
        for side in ("left", "right"):
            loads.append(PlyLoad(f"ply-{ply}-{side}", tension, compression, 0.0, lasting(demand.axial, demand.durations)))
            for face in faces:
                ends = [end for end, _ in chosen.plates] if face.kind == "plate" else [""]
                alike = len(faces) * len(ends)
                for end in ends:
                    pair = (f"ply-{ply}-{side}", face.key + end)
                    interfaces.append(Interface(*pair, max(tension, compression) / alike, capacity[ply] / alike, modes[ply]))
    for key, brought in in_block.items():
        both = np.sum([d.axial for d in brought], axis=0)
        loads.append(PlyLoad(key, max(float(np.max(both)), 0.0), max(float(-np.min(both)), 0.0), 0.0, lasting(both, brought[0].durations)))
    return interfaces, loads
