"""A bracket as it is built: the heel beside it from outside, with ties from end plate to heads; and the base of a head on the chord's face."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import replace

from detailgen.core.result import CheckResult
from detailgen.core.tolerance import rounded_length, up_to_grid
from detailgen.core.units import UnitSystem
from detailgen.model.detail import ACROSS, FROM_LEFT, FROM_RIGHT, Bolt, Detail, Group, Hole, Part, Placement, PlyLoad, Slot, Weld, Why
from detailgen.model.member import Member
from detailgen.model.outlines import rectangle
from detailgen.model.project import Truss
from detailgen.remedies import usual
from detailgen.remedies.contract import Site
from detailgen.remedies.posttension import parameters as p
from detailgen.remedies.posttension.assembly import SHOWN, STRAND_STEEL, WARNINGS, bought, box, pads_and_ends, steel
from detailgen.remedies.posttension.bracket import Bracket
from detailgen.stock.bolts import bolt_length
from detailgen.stock.plates import shop_grid, steel_unit_weight


def tied_heel(
    key: str, site: Site, truss: Truss, chord: Member, bracket: Bracket, anchor: p.Anchor, diameter: float, whys: Sequence[Why],
    results: tuple[CheckResult, ...], station: float, units: UnitSystem,
) -> Detail:  # fmt: skip
    """The heel beside a bracket, from outside; ``diameter`` of a strand (in), ``station``: x of the end grain."""
    left, plate, way, ties, head = bracket.left, bracket.plate, bracket.way, bracket.ties, bracket.head
    side = "left" if left else "right"
    back = -rounded_length(way.inboard + head.thickness)  # z of the heads' face away from the heel
    parts = pads_and_ends(truss, chord, plate, left, rounded_length(SHOWN - back))
    rods = [(s * way.z, h) for s in (-1, 1) for h in ties.heights]
    holes = [Hole(x, y, ties.size.hole, f"rod {ties.size.diameter:g} in") for x, y in rods]
    parts.append(steel("end-plate", "end plate", box(plate.width, plate.height), holes, plate.thickness, Placement(0.0, 0.0, plate.pad)))
    through = [Hole(0.0, rounded_length(h - way.height), anchor.hole, f"strand {diameter:g} in") for h in way.heights]
    tied = [Hole(0.0, rounded_length(h - way.height), ties.size.hole, f"rod {ties.size.diameter:g} in") for h in ties.heights]
    for name, s in (("far", -1.0 if left else 1.0), ("near", 1.0 if left else -1.0)):
        at = Placement(rounded_length(s * (way.z - head.off)), way.height, back)
        holes = [replace(h, x=s * head.off + 0.0) for h in (*through, *tied)]
        parts.append(steel(f"head-{name}", f"head of the bracket, {name} face", box(head.width, head.height), holes, head.thickness, at))
    size = ties.size
    for k, (x, y) in enumerate(rods, start=1):
        low = rounded_length(back - size.stack - size.past)
        parts.append(bought(f"rod-{k}", "rod", f"tie {k}", size.diameter, 0.0, bracket.tie_length, Placement(x, y, low), p.TIE_STEEL))
    for k, (x, y) in enumerate(rods, start=1):
        for where, z in (("outer", plate.face), ("inner", rounded_length(back - size.stack))):
            name = f"{where} nut of tie {k}, with its washer"
            parts.append(bought(f"nut-{where}-{k}", "nut", name, size.washer, size.diameter, size.stack, Placement(x, y, z), p.TIE_NUT))
    places = [(s * way.z, h) for s in (-1, 1) for h in way.heights]
    run = rounded_length(SHOWN + head.thickness + anchor.length + p.TAIL_LEFT)
    for k, (x, y) in enumerate(places, start=1):
        at = Placement(x, y, rounded_length(back - SHOWN))
        parts.append(bought(f"strand-{k}", "strand", f"strand {k}", diameter, 0.0, run, at, STRAND_STEEL))
    for k, (x, y) in enumerate(places, start=1):
        at = Placement(x, y, -way.inboard)
        name = f"anchor {k}, barrel with wedges"
        parts.append(bought(f"anchor-{k}", "anchor", name, anchor.barrel, diameter, anchor.length, at, "by the supplier"))
    keys = {kind: tuple(q.key for q in parts if q.key.startswith(kind)) for kind in ("pad", "end-plate", "head", "rod", "nut", "strand", "anchor")}
    order: list[tuple[str, tuple[str, ...]]] = [
        ("Clean and square the end grain; a gap under a pad is filled with thickened epoxy, not with wood. Tie wall and chord before anything is "
         "loosened at this heel.", ()),
        ("Set a pad on each ply, clear of the shoe on all sides, between end grain and end plate.", (*keys["pad"], *keys["end-plate"])),
        ("Bolt the bases with their heads to both faces as their own sheet shows, each head's face square to the strand.", keys["head"]),
        ("Push each tie from inboard through head and end plate. Outer nuts on by hand with the whole thread through and the stated length beyond; "
         "then turn the inner nuts until head and end plate are square and all ties alike.", (*keys["rod"], *keys["nut"])),
        ("Thread each strand through its hole, corrosion protection under the head closed by the supplier's seal.", keys["strand"]),
        ("Barrels and wedges on the head's face toward the heel: seated by hand, faces clean, barrel round on the head.", keys["anchor"]),
        ("The jack is put on from the side, between the ties. Stress by the table only; look at head, welds and nuts at each hold.", ()),
        ("When the engineer has accepted the record cut tails as drawn, with a disc, never with a flame; cap them with grease. Lock the nuts of the "
         "ties with a second nut. Re-attach the heel once the chord has moved.", ()),
    ]  # fmt: skip
    write = units.write_length
    notes = (
        f"Seen from outside the {side} heel, along the chord; WP is the chord's axis at its end grain, {write(abs(station))} from the "
        "left heel's work point.",
        f"Nothing is stressed behind this heel: strands end at the bracket, {write(way.inboard)} inboard of the end grain. They pull the bracket "
        "away from the heel, and the ties pull the end plate after it: ties are pulled, no strut stands there, and no length of the chord is left as "
        "it was.",
        "The end plate presses on the chord's end grain: the old heel bolts keep the whole thrust of the top chord as before.",
        f"Each head is welded to its base before galvanizing, {write(bracket.base.thickness)} from the chord's face: see the sheet of the base.",
        *WARNINGS,
        "Nobody stands between bracket and heel, beside the jack or over it, while a strand is pulled.",
        "Barrels, wedges, sheath and jack: sizes are common practice; the supplier's sheet decides before steel is cut.",
    )  # fmt: skip
    return Detail(
        key=key, title=f"{side.capitalize()} heel of the strands, bracket and ties, stressing end", truss=site.truss, remedy="posttension",
        member=chord.name, station=station, parts=tuple(parts), bolts=(), groups=(), zones=(), whys=tuple(whys),
        order=tuple(t for t, _ in order), notes=notes, results=results, brings=tuple(k for _, k in order), axis=FROM_LEFT if left else FROM_RIGHT,
    )  # fmt: skip


def base_detail(
    key: str, site: Site, truss: Truss, chord: Member, bracket: Bracket, lines: Sequence[float], held: float, units: UnitSystem,
) -> Detail:  # fmt: skip
    """The bases of both heads on the chord's faces; its work point is under the heads' faces that the barrels bear on.

    held: what each base must hold in any direction (lb); along the chord its slots give way
    """
    base, way, inward = bracket.base, bracket.way, 1.0 if bracket.left else -1.0
    plies = sorted(chord.plies, key=lambda q: q.z)
    face = max(abs(q.z) + q.thickness / 2 for q in plies)
    columns = sorted(inward * c for c in base.columns)
    ys = sorted(lines)
    middle = (ys[0] + ys[-1]) / 2
    size = base.slot[1]
    places = [(x, y) for x in columns for y in ys]
    span = rounded_length(base.length + SHOWN)
    ends = (-SHOWN, span) if bracket.left else (-span, SHOWN)
    near = "base-near"  # holes are drilled through the middles of its slots
    parts: list[Part] = []
    for ply in plies:
        low = rounded_length(ply.z - ply.thickness / 2)
        parts.append(Part(
            f"ply-{ply.name}", "ply", f"{ply.name} ply" if len(plies) > 1 else chord.name, rectangle(*ends, ply.depth),
            tuple(Hole(x, y, size, "B1", near) for x, y in places), (), ply.thickness,
            Placement(0.0, 0.0, low), "wood", f"{ply.wood.species} {ply.wood.grade}", 0.0, True, usual.WOOD_WEIGHT, open_ends=ends,
        ))  # fmt: skip
    centre = rounded_length(inward * base.length / 2)
    for a, b in itertools.pairwise(plies):
        start = rounded_length(a.z + a.thickness / 2)
        gap = rounded_length(b.z - b.thickness / 2 - start)
        if gap > 1e-6:
            wood = chord.plies[0].wood
            grade = f"{wood.species} No.2, dry" if wood.product == "sawn" else f"{wood.species} lumber, dry"
            long, across = (columns[0] + columns[-1]) / 2, base.height
            wide = up_to_grid(columns[-1] - columns[0] + 6.0, shop_grid(units.name).plate_length)
            holes = tuple(Hole(rounded_length(x - long), rounded_length(y - middle), size, "B1", near) for x, y in places)
            parts.append(Part(
                f"filler-{a.name}", "filler", "filler between plies", box(wide, across), holes, (), gap,
                Placement(long, middle, start), "wood", grade, 0.0, False, usual.WOOD_WEIGHT,
            ))  # fmt: skip
    slots = tuple(Slot(rounded_length(x - centre), rounded_length(y - middle), base.slot[0], size, 0.0, "B1") for x, y in places)
    for name, z in (("far", -face - base.thickness), ("near", face)):
        at = Placement(centre, middle, rounded_length(z))
        parts.append(Part(
            f"base-{name}", "plate", f"base of the bracket, {name} face", box(base.length, base.height), (), slots, base.thickness, at, "steel",
            p.PLATE_STEEL, math.nan, False, steel_unit_weight(), p.PLATE_FINISH,
        ))  # fmt: skip
    parts.sort(key=lambda q: (q.placement.z, q.key))
    low, high = rounded_length(-face - base.thickness), rounded_length(face + base.thickness)
    ordered = bolt_length(p.GUIDE_BOLT, high - low, high - low)
    bolts = tuple(
        Bolt("B1", x, y, p.GUIDE_BOLT, low, high, ordered.length, usual.BOLT_GRADE, 2 + ordered.packing_washers) for x, y in places
    )  # fmt: skip
    loads = tuple(PlyLoad(q.key, held / 2, held / 2, math.pi / 2) for q in parts if q.kind != "filler")
    apart = rounded_length(columns[-1] - columns[0]), rounded_length(ys[-1] - ys[0])
    group = Group("B1", p.GUIDE_BOLT, tuple(places), tuple(q.key for q in parts), (), loads, 2, 2, *apart)
    write = units.write_length
    free = rounded_length((base.slot[0] - base.slot[1]) / 2)
    order = [
        ("Fit the filler tight between the plies.", tuple(q.key for q in parts if q.kind == "filler")),
        ("Hold both bases with their heads in line with the strand, square to the chord. Drill square through the middle of each slot of the near "
         "one.", ("base-far", "base-near")),
        ("Bolts in the middle of their slots, snug and locked by a second nut: the bases must slide when strands are pulled.", ()),
    ]  # fmt: skip
    whys = (
        Why("slot beyond its bolt, either way", "twice what the head moves while strands are pulled", 2 * base.moves, free, p.OURS),
        Why("base's columns of bolts apart", "holds a share of the jacking force", p.BASE_BOLTS[units.name], p.BASE_BOLTS[units.name], p.OURS),
    )
    head = bracket.head
    notes = (
        f"WP is {write(way.inboard)} inboard of the chord's end grain, on its axis: there is the head's face that the barrels bear on. The head is "
        f"{write(head.thickness)} thick, away from the heel, and stands on the whole height of the base, its middle "
        + (f"{write(abs(way.height))} {'over' if way.height > 0 else 'under'} the chord's axis." if way.height else "on the chord's axis."),
        f"Weld head and base in the shop, {p.ELECTRODE} electrodes, fillets of {write(p.WELD[units.name])} on both faces of the head over the base's "
        "height; the welder's paper and inspection by AWS D1.1.",
        f"The base keeps the head in line and holds {p.HELD:.0%} of the jacking force in any direction (ours). It does not carry the strands: ties "
        "do.",
        "Strands pull the head away from the heel while they are stressed: the slots let it.",
    )  # fmt: skip
    station = bracket.at(truss, chord, way.inboard)
    weld = Weld(rounded_length(inward * head.thickness / 2), middle, "fillet", p.WELD[units.name], side="both", tail="HEAD TO BASE")
    return Detail(
        key=key, title="Base of the bracket", truss=site.truss, remedy="posttension", member=chord.name, station=station, parts=tuple(parts),
        bolts=bolts, groups=(group,), zones=(), whys=whys, order=tuple(t for t, _ in order), notes=notes, results=(),
        brings=tuple(k for _, k in order), welds=(weld,), axis=ACROSS,
    )  # fmt: skip
