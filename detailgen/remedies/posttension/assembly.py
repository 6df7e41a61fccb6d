"""From chosen strands to what is built: both heels as they are seen from outside, and a guide."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import replace

from detailgen.core.result import CheckResult
from detailgen.core.tolerance import down_to_grid, rounded_length
from detailgen.core.units import UnitSystem
from detailgen.model.added import END_GRAIN, SHOE, TOP_END, StrandSeat
from detailgen.model.detail import ACROSS, BAR, FROM_LEFT, FROM_RIGHT, Bolt, Detail, Group, Hole, Part, Placement, PlyLoad, Slot, Vertex, Weld, Why
from detailgen.model.member import Member, Ply
from detailgen.model.outlines import rectangle
from detailgen.model.project import Truss
from detailgen.remedies import usual
from detailgen.remedies.contract import Site
from detailgen.remedies.posttension import parameters as p
from detailgen.remedies.posttension.guides import Guides, over_bolts
from detailgen.remedies.posttension.heel import EndPlate
from detailgen.remedies.posttension.run import Way
from detailgen.remedies.posttension.slots import Cut
from detailgen.stock.plates import shop_grid, steel_unit_weight

SHOWN = 12.0
"""Length of chord and strands that a heel's detail shows (in)."""
STRAND_STEEL = "ASTM A416 Grade 270, low relaxation, greased and sheathed"
WARNINGS = (
    "A stressed strand can kill: nobody stands behind or above an anchor, nor beside a run, while a strand is pulled and for ten minutes after.",
    "Strands, wedges, barrels and the inside of the anchors are never galvanized, welded, heated or hammered.",
)


def box(width: float, height: float, x: float = 0.0, y: float = 0.0) -> tuple[Vertex, ...]:
    a, b = width / 2, height / 2
    return Vertex(x - a, y - b), Vertex(x + a, y - b), Vertex(x + a, y + b), Vertex(x - a, y + b)


def _disc(diameter: float) -> tuple[Vertex, ...]:
    return Vertex(-diameter / 2, 0.0, 1.0), Vertex(diameter / 2, 0.0, 1.0)


def steel(key: str, name: str, outline: tuple[Vertex, ...], holes: Sequence[Hole], thickness: float, at: Placement) -> Part:
    weight = steel_unit_weight()
    return Part(key, "plate", name, outline, tuple(holes), (), thickness, at, "steel", p.PLATE_STEEL, math.nan, False, weight, p.PLATE_FINISH)


def bought(key: str, kind: str, name: str, diameter: float, hole: float, thickness: float, at: Placement, specification: str) -> Part:
    holes = (Hole(0.0, 0.0, hole, ""),) if hole else ()
    return Part(key, kind, name, _disc(diameter), holes, (), thickness, at, "steel", specification, math.nan, False, steel_unit_weight())


def _standing(truss: Truss, chord: Member, seat: StrandSeat, side: str, turn: float, shown: float) -> list[Part]:
    """The chord's end grain, and what else the plate presses on: a shoe's back, or the top chord's end."""

    def wood(key: str, name: str, ply: Ply, outline: tuple[Vertex, ...], length: float, at: Placement) -> Part:
        grade = f"{ply.wood.species} {ply.wood.grade}"
        return Part(key, "ply", name, outline, (), (), rounded_length(length), at, "wood", grade, 0.0, True, usual.WOOD_WEIGHT)

    found = []
    for ply in chord.plies:
        name = f"{ply.name} ply, {side} end grain" if len(chord.plies) > 1 else f"{chord.name}, {side} end grain"
        found.append(wood(f"ply-{ply.name}", name, ply, box(ply.thickness, ply.depth), shown, Placement(turn * ply.z, 0.0, -shown)))
    tall, middle = seat.high - seat.low, rounded_length((seat.high + seat.low) / 2)
    if seat.on == SHOE:
        back = box(rounded_length(seat.width), rounded_length(tall))
        at = Placement(0.0, middle, rounded_length(seat.gap))
        found.append(Part("shoe-back", "plate", "back of the shoe", back, (), (), rounded_length(seat.back), at, "steel", "old steel", math.nan, True,
                          steel_unit_weight()))  # fmt: skip
    if seat.on == TOP_END:
        top = next(m for m in truss.members if m.kind == "top chord")
        start = 0.0 if seat.face > 0 else seat.face - SHOWN
        for ply in top.plies:
            name = f"{ply.name} ply of the top chord, its end"
            at = Placement(turn * ply.z, middle, rounded_length(start))
            found.append(wood(f"top-{ply.name}", name, ply, box(ply.thickness, rounded_length(tall)), seat.face - start, at))
    return found


def _slotted(part: Part, cuts: Sequence[Cut], diameter: float) -> Part:
    """A shoe's back with the slots of the strands (``diameter``, in)."""
    slots = tuple(
        Slot(x, rounded_length(y - part.placement.y), cut.length, cut.width, math.pi / 2, f"strand {diameter:g} in")
        for cut in cuts for x, y in cut.slots
    )  # fmt: skip
    return replace(part, slots=slots)


def _ribs(plate: EndPlate, at: float) -> tuple[list[Part], tuple[Weld, ...]]:
    """Flat bars on edge on the plate's outer face, at z ``at``, and their fillets."""
    ribs = plate.ribs
    if ribs is None:
        return [], ()
    bars = []
    for k, y in enumerate(ribs.at, start=1):
        bar = steel(f"rib-{k}", f"rib {k} of the end plate", box(plate.width, ribs.thickness), (), ribs.depth, Placement(0.0, y, at))
        bars.append(replace(bar, kind=BAR))
    welds = tuple(
        Weld(rounded_length(k * plate.width / 6), rounded_length(y + way * ribs.thickness / 2), "fillet", ribs.leg, "both")
        for k, way, y in zip((1, 2), (-1, 1), ribs.at, strict=True)
    )
    return bars, welds


TO_BEAR = {
    END_GRAIN: "The end plate presses on the chord's end grain: the old heel bolts keep the whole thrust of the top chord as before.",
    SHOE: "The end plate presses on the shoe: it meets the top chord's thrust there, and the old heel bolts carry what is left, or push the chord.",
    TOP_END: "The end plate presses on the top chord's end: it meets the thrust there, and the old heel bolts carry what is left.",
}
FIRST = {
    END_GRAIN: "Clean and square the end grain; a gap under a pad is filled with thickened epoxy, not with wood.",
    SHOE: "Look that the gap between the shoe's back and the end grain is open all round, and rake it out: tight, it would bear on the chord, and "
    "the bolts would keep the whole thrust. Look at every weld of the shoe.",
    TOP_END: "Clean and square the top chord's end; a gap under a pad is filled with thickened epoxy, not with wood.",
}


def pads_and_ends(truss: Truss, chord: Member, plate: EndPlate, left: bool, shown: float) -> list[Part]:
    """What stands at a heel, so much of the chord's plies shown (in), and the pads on what takes the force."""
    turn = 1.0 if left else -1.0  # x of the detail per z of the truss
    side, seat = "left" if left else "right", truss.seats[0 if left else 1]
    parts = _standing(truss, chord, seat, side, turn, shown)
    for pad in plate.pads:
        at = Placement(turn * pad.z + 0.0, plate.middle, seat.face)
        name = f"pad on the {pad.ply} ply" if seat.on != SHOE else f"pad over {pad.ply} of the shoe"
        parts.append(steel(f"pad-{pad.ply}", name, box(pad.width, pad.height), (), plate.pad, at))
    return parts


def heel_detail(
    key: str, site: Site, truss: Truss, chord: Member, left: bool, plate: EndPlate, way: Way, anchor: p.Anchor, diameter: float,
    tail: float, stressing: bool, whys: Sequence[Why], results: tuple[CheckResult, ...], station: float, units: UnitSystem,
    cuts: Sequence[Cut] = (),
) -> Detail:  # fmt: skip
    """One heel from outside. ``tail``: strand beyond the barrel (in); ``station``: x of the end grain; ``cuts``: of the shoe's back."""
    side, seat = "left" if left else "right", truss.seats[0 if left else 1]
    parts = [_slotted(q, cuts, diameter) if q.key == "shoe-back" else q for q in pads_and_ends(truss, chord, plate, left, SHOWN)]
    face = rounded_length(seat.face + plate.face)  # under the barrels
    places = [(s * way.z, h) for s in (-1, 1) for h in way.heights]
    holes = [Hole(x, rounded_length(y - plate.middle), plate.hole, f"strand {diameter:g} in") for x, y in places]
    parts.append(steel("end-plate", "end plate", box(plate.width, plate.height), holes, plate.thickness,
                       Placement(0.0, plate.middle, rounded_length(seat.face + plate.pad))))  # fmt: skip
    bars, welds = _ribs(plate, face)
    parts += bars
    for k, (x, y) in enumerate(places, start=1):
        parts.append(bought(
            f"strand-{k}", "strand", f"strand {k}", diameter, 0.0, rounded_length(SHOWN + face + anchor.length + tail),
            Placement(x, y, -SHOWN), STRAND_STEEL,
        ))  # fmt: skip
    for k, (x, y) in enumerate(places, start=1):
        parts.append(bought(
            f"anchor-{k}", "anchor", f"anchor {k}, barrel with wedges", anchor.barrel, diameter, anchor.length, Placement(x, y, face),
            "by the supplier",
        ))  # fmt: skip
    keys = {kind: tuple(q.key for q in parts if q.key.startswith(kind)) for kind in ("pad", "end-plate", "rib", "strand", "anchor")}
    end = "stressing end" if stressing else "fixed end"
    where = {END_GRAIN: ("on each ply, clear of the shoe on all sides, between end grain and end plate"),
             SHOE: "over each side of the shoe, between its back and the end plate",
             TOP_END: "on each ply of the top chord, between its end and the end plate"}[seat.on]  # fmt: skip
    order: list[tuple[str, tuple[str, ...]]] = [
        (f"{FIRST[seat.on]} Tie wall and chord before anything is loosened at this heel.", ()),
        (f"Set a pad {where}; strands lie in their guides, sheath cut back to the end plate.", (*keys["pad"], *keys["end-plate"], *keys["rib"])),
        ("Thread each strand through its round hole, corrosion protection under the plate closed by the supplier's seal.", keys["strand"]),
        (f"Barrels and wedges at the {end}: seated by hand, faces clean, barrel round on the plate.", keys["anchor"]),
        ("Stress by the table only; each step has its force, length and hold." if stressing else
         "While the other end is stressed look from the side: wedges draw in evenly; nobody behind them.", ()),
        ("When the engineer has accepted the record cut tails as drawn, with a disc, never with a flame; cap them with grease. Re-attach the heel "
         "once the chord has moved.", ()),
    ]  # fmt: skip
    ribbed: tuple[str, ...] = ()
    if plate.ribs is not None:
        nose = units.write_length(p.NOSE)
        ribbed = ("Ribs are flat bars on edge, welded to the outer face in the shop, fillets on both sides over their whole length, before "
                  "galvanizing; inspection of welds by the engineer's list.",
                  f"The jack's nose reaches the barrels between the ribs: at most {nose} in diameter; the supplier's drawing decides.")  # fmt: skip
    notes = (
        f"Seen from outside the {side} heel, along the chord; WP is the chord's axis at its end grain, {units.write_length(abs(station))} from the "
        "left heel's work point.",
        TO_BEAR[seat.on],
        f"This is the {end}.", *WARNINGS, *ribbed,
        "Barrels, wedges, sheath and jack: sizes are common practice; the supplier's sheet decides before the plate is cut.",
    )  # fmt: skip
    title = f"{side.capitalize()} heel of the strands, {end}"
    return Detail(
        key=key, title=title, truss=site.truss, remedy="posttension", member=chord.name, station=station, parts=tuple(parts), bolts=(), groups=(),
        zones=(), whys=tuple(whys), order=tuple(t for t, _ in order), notes=notes, results=results, brings=tuple(k for _, k in order),
        welds=welds, axis=FROM_LEFT if left else FROM_RIGHT,
    )  # fmt: skip


def guide_detail(key: str, site: Site, chord: Member, guides: Guides, way: Way, anchor: p.Anchor, units: UnitSystem) -> Detail:
    """A guide: blocks behind, over and under the strands of each face, a bar across them, two bolts through all."""
    face = max(abs(q.z) + q.thickness / 2 for q in chord.plies)
    over = over_bolts(guides.lines, units.name, p.OVER_SLOT if guides.slotted else 1.0)
    top, bottom = rounded_length(max(guides.lines) + over), rounded_length(min(guides.lines) - over)
    middle, height = (top + bottom) / 2, top - bottom
    size = p.GUIDE_BOLT + usual.HOLE_OVER_BOLT
    template = "bar-near"

    def drilled(through: str, lines: Sequence[float] = guides.lines, down: float = 0.0) -> tuple[Hole, ...]:
        return tuple(Hole(0.0, rounded_length(y - down), size, "B1", through) for y in sorted(lines))

    def wood(part: str, name: str, tall: float, thickness: float, z: float, lines: Sequence[float], y: float) -> Part:
        """A block with its grain along the chord."""
        ply = chord.plies[0].wood
        grade = f"{ply.species} No.2, dry" if ply.product == "sawn" else f"{ply.species} lumber, dry"
        holes, outline = drilled(template, lines, y), box(p.GUIDE_BLOCK, rounded_length(tall))
        at = Placement(0.0, y, rounded_length(z))
        return Part(part, "filler", name, outline, holes, (), rounded_length(thickness), at, "wood", grade, 0.0, False, usual.WOOD_WEIGHT)

    parts: list[Part] = []
    plies = sorted(chord.plies, key=lambda q: q.z)
    for ply in plies:
        low = ply.z - ply.thickness / 2
        parts.append(Part(
            f"ply-{ply.name}", "ply", f"{ply.name} ply" if len(plies) > 1 else chord.name,
            rectangle(-SHOWN, SHOWN, ply.depth),
            drilled(template), (), ply.thickness, Placement(0.0, 0.0, low), "wood", f"{ply.wood.species} {ply.wood.grade}", 0.0, True,
            usual.WOOD_WEIGHT, open_ends=(-SHOWN, SHOWN),
        ))  # fmt: skip
    for a, b in itertools.pairwise(plies):
        gap = b.z - b.thickness / 2 - a.z - a.thickness / 2
        if gap > 1e-6:
            start = a.z + a.thickness / 2
            parts.append(wood(f"filler-{a.name}", "filler between plies", height, gap, start, guides.lines, middle))
    bar = box(p.GUIDE_WIDTH[units.name], height)
    half, grid = guides.beside / 2, shop_grid(units.name).holes
    upper = (top - down_to_grid(top - max(way.heights) - half, grid), top)  # what the grid takes from a block the strand has as play
    under = (bottom, bottom + down_to_grid(min(way.heights) - half - bottom, grid))
    for name, way_out in (("far", -1.0), ("near", 1.0)):

        def z_of(inner: float, thickness: float, out: float = way_out) -> float:
            return inner if out > 0 else -inner - thickness

        parts.append(wood(f"back-{name}", f"{name} back block", height, guides.back, z_of(face, guides.back), guides.lines, middle))
        for label, (low, high), line in (("upper", upper, max(guides.lines)), ("lower", under, min(guides.lines))):
            y = rounded_length((low + high) / 2)
            z = z_of(face + guides.back, guides.beside)
            parts.append(wood(f"{label}-{name}", f"{name} {label} block", high - low, guides.beside, z, (line,), y))
        inner = rounded_length(face + guides.back + guides.beside)
        round_, slots = (guides.lines, ()) if not guides.slotted else ((min(guides.lines),), (max(guides.lines),))
        made = steel(
            f"bar-{name}", f"{name} guide bar", bar, drilled("" if name == "near" else template, round_, middle), guides.bar,
            Placement(0.0, middle, rounded_length(z_of(inner, guides.bar))),
        )  # fmt: skip
        long = size + p.GUIDE_SLOT
        parts.append(replace(made, slots=tuple(Slot(0.0, rounded_length(y - middle), long, size, math.pi / 2, "B1") for y in slots)))
    parts.sort(key=lambda q: (q.placement.z, q.key))
    low, high = -inner - guides.bar, inner + guides.bar
    washers = 2 + guides.ordered.packing_washers
    bolts = tuple(
        Bolt("B1", 0.0, y, p.GUIDE_BOLT, rounded_length(low), rounded_length(high), guides.ordered.length, usual.BOLT_GRADE, washers)
        for y in sorted(guides.lines)
    )
    group = Group(
        "B1", p.GUIDE_BOLT, tuple((0.0, y) for y in sorted(guides.lines)), tuple(q.key for q in parts), (),
        (*(PlyLoad(q.key, 0.0, 0.0, 0.0) for q in parts if q.existing),
         *(PlyLoad(q.key, guides.drag, guides.drag, 0.0) for q in parts if q.slots)), 2, 1, 0.0,
        rounded_length(max(guides.lines) - min(guides.lines)),
    )  # fmt: skip
    new = {q.key for q in parts if not q.existing}
    inside = tuple(sorted(k for k in new if k.startswith("filler")))
    blocks = tuple(sorted(k for k in new if k.startswith(("back", "upper", "lower"))))
    bars = tuple(sorted(k for k in new if k.startswith("bar")))
    order = [
        ("Strands lie loose along the chord on both faces. Fit the filler tight between the plies.", inside),
        ("Hold the blocks to the faces: back block first, then those over and under the strands; a strand lies free between them.", blocks),
        (
            "Bars over all; the near bar is the drilling template. Drill square, one bolt set before the next hole is drilled; snug, not crushing.",
            bars,
        ),
    ]
    whys = (
        Why("guides along the chord", "at most what the chord bears as a column", guides.allowed, guides.spacing, p.OURS),
        Why("bolt to the strand", "sheath, block, bolt", anchor.sheath / 2 + p.GUIDE_BOLT / 2, abs(max(guides.lines) - max(way.heights)), p.OURS),
    )
    at = ", ".join(units.write_length(x) for x in guides.at)
    snug = ("The upper bolt of each bar stands in the middle of its slot, snug, a washer over the slot: the wood between the bolts may shrink.",)
    notes = (
        f"{len(guides.at)} guides alike, at {at} from the left heel's work point.",
        "A strand that is free from end to end would leave the chord an unbraced column: guides tie it to the chord, and catch it if it breaks.",
        "No guide presses on a strand: it must be free to slide while it is pulled.",
        *(snug if guides.slotted else ()),
    )
    return Detail(
        key=key, title="Guide of the strands", truss=site.truss, remedy="posttension", member=chord.name, station=guides.at[0], parts=tuple(parts),
        bolts=bolts, groups=(group,), zones=(), whys=whys, order=tuple(t for t, _ in order), notes=notes, results=(),
        brings=tuple(k for _, k in order), axis=ACROSS, also_at=guides.at[1:],
    )  # fmt: skip
