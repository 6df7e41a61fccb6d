"""The sheet of a truss's strands: their run over the truss with its guides, both heels, and the tables by which they are ordered and pulled."""

from __future__ import annotations

import math
from dataclasses import replace

from detailgen.core.errors import OutputError
from detailgen.core.units import UnitSystem
from detailgen.model.detail import ACROSS, STRANDS
from detailgen.model.heels import SIDES, heel_forces
from detailgen.model.package import Package, Repaired
from detailgen.model.project import Truss
from detailgen.model.stressing import BracketPlan, StressingPlan
from detailgen.outputs.drawings import marks
from detailgen.outputs.drawings.blocks import Listing, fill, listing, paragraphs
from detailgen.outputs.drawings.detail_arrangement import BETWEEN
from detailgen.outputs.drawings.detail_canvas import Canvas, NoRoomError
from detailgen.outputs.drawings.detail_words import length, number
from detailgen.outputs.drawings.layout import View
from detailgen.outputs.drawings.lettering import text_width
from detailgen.outputs.drawings.ratings import NO_RATINGS
from detailgen.outputs.drawings.register import strands_number
from detailgen.outputs.drawings.shapes import Dimension, Drawing, Line, Polyline, moved
from detailgen.outputs.drawings.shapes import View as Window
from detailgen.outputs.drawings.sheet_frame import least_settled, looking
from detailgen.outputs.drawings.sheets import DETAIL_SCALES, Lettering, Scale
from detailgen.outputs.drawings.strand_heels import heel_view
from detailgen.outputs.drawings.truss_sheet import TrussSheet, place_words
from detailgen.outputs.drawings.truss_views import APART, bare_view, stacked, titled
from detailgen.outputs.schedules.stressing import force_of, gauge_of, travel_of

SHARE = 0.42
"""Part of the height that the run over the truss may take."""
BELOW = 2.6
"""Room for dimensions of anchors and guides under the truss (in of paper)."""


def strands_view(one: Repaired, package: Package, plan: StressingPlan, scale: Scale) -> View:
    """The truss with its strands from anchor to anchor, and where the guides stand."""
    truss = one.before.truss
    view = bare_view(truss, package, scale, NO_RATINGS, BELOW)
    level = truss.joints[truss.bottom[0]][1] + plan.run_height
    a, b = plan.anchor_x
    half = max(0.03 * view.u, 1.0)
    view.draw(Line("new steel", (a, level), (b, level)))
    for x, out in ((a, -1.0), (b, 1.0)):
        size = max(0.05 * view.u, plan.anchor_length)
        view.draw(Polyline("new steel", ((x, level - half), (x + out * size, level - half), (x + out * size, level + half), (x, level + half)), True))
    for x in plan.guides:
        view.draw(Line("new steel", (x, level - 1.6 * half), (x, level + 1.6 * half)))
    if plan.bracket is not None:
        ties(view, truss, plan.bracket)
    marks.mark_joints(view, truss)
    marks.dimension(view, truss, _guides_dimensioned(view, plan, view.under, package))
    return view


def ties(view: View, truss: Truss, bracket: BracketPlan) -> None:
    """Over and under the strands, from the bracket to the end plate."""
    base = truss.joints[truss.bottom[0]][1]
    for height in bracket.ties:
        view.draw(Line("new steel", (bracket.end, base + height), (bracket.face, base + height)))
    low, high = min(bracket.ties), max(bracket.ties)
    view.draw(Line("new steel", (bracket.face, base + low), (bracket.face, base + high)))
    view.draw(Line("new steel", (bracket.end, base + low), (bracket.end, base + high)))


def _guides_dimensioned(view: View, plan: StressingPlan, low: float, package: Package) -> float:
    """Anchor to anchor, and the guides as runs of equal steps. Returns the y under the rows."""
    u, height = view.u, view.letters.note
    units = package.project.units
    level = low - u * (height + 0.2)
    stops = [plan.anchor_x[0], *plan.guides, plan.anchor_x[1]]
    under: list[float] = []  # how far to the right texts reach that stand under their line, row by row
    k = 0
    while k < len(stops) - 1:
        end = k + 1
        step = stops[k + 1] - stops[k]
        while end < len(stops) - 1 and abs(stops[end + 1] - stops[end] - step) < 1e-6:
            end += 1
        count = end - k
        pattern = f"{count} SPA @ {number(step, units)} = <>" if count > 1 else "<>"
        text = pattern.replace("<>", number(stops[end] - stops[k], units))
        one = Dimension("dimensions", (stops[k], low), (stops[end], low), level, False, text, height, pattern=pattern)
        half, middle = u * (text_width(text, height) / 2 + 0.06), (stops[k] + stops[end]) / 2
        if 2 * half > stops[end] - stops[k]:
            row = next((n for n, reach in enumerate(under) if reach < middle - half), len(under))
            under[row : row + 1] = [middle + half]
            one = replace(one, drop=-u * (0.1 + (row + 1) * (height + 0.1)))
        view.draw(one)
        k = end
    level -= u * (height + 0.2 + (0.1 + len(under) * (height + 0.1) if under else 0.0))
    pattern = "anchor to anchor <>"
    view.draw(Dimension("dimensions", (plan.anchor_x[0], low), (plan.anchor_x[1], low), level, False,
                        pattern.replace("<>", number(plan.anchor_x[1] - plan.anchor_x[0], units)), height, pattern=pattern))  # fmt: skip
    return level


def _heels(one: Repaired, package: Package, plan: StressingPlan, room: tuple[float, float, float, float], down: float) -> list[Window]:
    """Both heels side by side, at the largest scale at which they fit into the room."""
    details = [d for d in one.details if d.remedy == STRANDS and d.axis != ACROSS and d.bought]
    x0, y0, x1, y1 = room
    for scale in DETAIL_SCALES[package.project.units.name]:
        try:
            drawn: list[Canvas] = [heel_view(package, one.before.truss, plan, d, scale) for d in details]
        except NoRoomError:
            continue
        boxes = [c.box for c in drawn]
        wide = sum(b[2] - b[0] for b in boxes) / scale.factor + BETWEEN
        tall = max(b[3] - b[1] for b in boxes) / scale.factor
        if wide > x1 - x0 or tall > y1 - y0:
            continue
        out: list[Window] = []
        spare = x1 - x0 - wide
        x = x0 + spare / 4
        for canvas, box in zip(drawn, boxes, strict=True):
            w, h = (box[2] - box[0]) / scale.factor, (box[3] - box[1]) / scale.factor
            window = (x - 0.03, y1 - h - 0.03, x + w + 0.03, y1 + 0.03)
            drop = down - box[3]
            shapes = tuple(moved(s, 0.0, drop) for s in canvas.shapes)
            out.append(Window(canvas.name, scale, window, ((box[0] + box[2]) / 2, (box[1] + box[3]) / 2 + drop), shapes))
            x += w + BETWEEN + spare / 2
            down -= box[3] - box[1] + APART
        return out
    raise OutputError(f"the heels of truss {one.before.truss.mark} fit on this paper at none of the standard scales")


def draw_strands(one: Repaired, package: Package) -> list[Drawing]:
    """Raises: OutputError where truss or heels fit on the paper at none of the standard scales"""
    plan, truss, units = one.stressing, one.before.truss, package.project.units
    if plan is None:
        return []
    sheet = TrussSheet(
        package, strands_number(truss.mark, package), f"Truss {truss.mark}, strands", place_words(truss), least_settled(list(one.status.values())),
        elevations="elevations",
    )  # fmt: skip
    letters, (x0, y0, x1, _) = sheet.letters, sheet.room
    views, _ = stacked(truss, units.name, sheet.room, SHARE, [lambda scale: strands_view(one, package, plan, scale)])
    under = views[0].window[1] - 1.0
    lowest = views[0].centre[1] - (views[0].window[3] - views[0].window[1]) * views[0].scale.factor
    heels = _heels(one, package, plan, (x0, y0, x1, under), lowest - APART)
    line = (f"{plan.count} strands {plan.size} in pairs on both faces, {length(plan.run_z, units)} from the truss's plane; short strokes are guides, "
            f"{len(plan.guides)} together." + ("" if plan.bracket is None else
            f" Beside the {plan.bracket.side} heel they end at a bracket; ties over and under them go on to the end plate."))  # fmt: skip
    seen = looking(package.project)
    words = titled(views[0], f"Truss {truss.mark}, run of the strands{f' {seen}' if seen else ''}", line, letters)
    lists = _lists(one, plan, package, letters)
    filled, rest = fill(lists[:2], [(x0, y0, x1, min(v.window[1] for v in heels) - 0.3)], x1 - x0)
    return sheet.drawn("as noted", [*views, *heels], [*words, *filled], lists[2:], rest)


def _lists(one: Repaired, plan: StressingPlan, package: Package, letters: Lettering) -> list[Listing]:
    units = package.project.units
    f, p = units.force_unit, units.stress_unit

    def force(value: float) -> str:
        return f"{force_of(value, units):,.6g}"

    steps = [
        (str(s.number), s.strand, s.action, f"{100 * s.share:.0f} %", force(s.force),
         "chart" if math.isnan(s.gauge) else f"{gauge_of(s.gauge, units):,}".removesuffix(".0"),
         "zero" if s.elongation <= 0 else f"{travel_of(s.elongation, units):g}",
         "" if s.elongation <= 0 else f"{travel_of(s.low, units):g} to {travel_of(s.high, units):g}",
         "zero" if s.elongation <= 0 else f"{travel_of(s.ram_travel, units):g}", s.hold or "go on")
        for s in plan.steps
    ]  # fmt: skip
    header = ("No.", "Strand", "Action", "Share", f"Each, {f}", f"Gauge, {p}", f"Stretch, {units.length_unit}", "Accept", "Ram", "Hold")
    under = ("Stretch is the strand's own from the first mark, ram that of the jack, which also follows the chord's shortening. "
             "The table with room for the record is in field/stressing.csv.")  # fmt: skip
    strands = [
        (s.label, s.size, number(s.between, units), number(s.stressing_tail, units), number(s.fixed_tail, units), number(s.length, units))
        for s in plan.strands
    ]  # fmt: skip
    lift = [(x.when, x.due, "; ".join(f"{n} {force(v)}" for n, v in x.forces)) for x in plan.lift_off]
    window = [
        ("least after losses", force(plan.least), plan.least_where), ("greatest at lock-off", force(plan.greatest), plan.greatest_where),
        ("chosen, at lock-off", force(plan.locked), "all strands together"), ("chosen, after losses", force(plan.lasting), "all strands together"),
        ("chosen, one at the jack", force(plan.jack), "each strand"),
    ]  # fmt: skip
    if plan.usual_each:
        window.append(("one anchor is taken as good for about", force(plan.usual_each), "common practice, no published source"))
    forces = [(s.state, force(s.least), s.least_under.rpartition(", ")[0], force(s.most), s.most_under.rpartition(", ")[0]) for s in plan.forces]
    moves = (
        f"The chord shortens by {length(plan.shortening, units)} while all strands are pulled; the sliding heel moves inward by about "
        f"{length(plan.movement, units)}. Wedges seat by {length(plan.seating, units)}."
    )
    return [
        listing("STRESSING", header, steps, letters, under=under),
        _heel_list(one, letters, units),
        paragraphs("BEFORE AND WHILE STRANDS ARE PULLED", (*plan.warnings, moves), letters),
        listing("STRANDS", ("Strand", "Size", "Between anchors", "Stressing tail", "Fixed tail", "Cut to"), strands, letters,
                under="Tails before trimming. Anchors are in schedules/anchors.csv."),
        listing("LIFT-OFF", ("Force", "Measured", f"Expected at the anchor, {f}"), lift, letters,
                under="As warm as on the day of stressing, dead load alone. Record: field/lift_off.csv."),
        listing("FORCE WINDOW", ("Bound", f"All strands, {f}", "Where"), window, letters),
        listing("FORCE OF ONE STRAND", ("State", f"Least, {f}", "Under", f"Greatest, {f}", "Under"), forces, letters,
                under="Every combination: schedules/strand_forces.csv."),
        paragraphs("AFTERWARDS, FOR AS LONG AS THE TRUSS STANDS", plan.upkeep, letters),
    ]  # fmt: skip


def _heel_list(one: Repaired, letters: Lettering, units: UnitSystem) -> Listing:
    """Both heels as free bodies along the chord under every combination."""
    forces, run = one.after.forces, one.truss.strands if one.truss is not None else None
    if forces is None or run is None:
        return listing("HEELS AS FREE BODIES", ("Under",), [], letters)

    def cells(side: str, on: str) -> list[tuple[str, ...]]:
        rows = heel_forces(one.before.truss, forces, side, on)
        return [tuple(f"{force_of(v, units):,.6g}" for v in (h.thrust, h.strands, h.panel, h.seated, h.bolts)) for h in rows]

    both = [cells(side, seat.on) for side, seat in zip(SIDES, run.seats, strict=True)]
    rows = [(c.name, *a, *b) for c, a, b in zip(forces.combinations, *both, strict=True)]
    named = ("thrust", "strands", "chord panel", "top chord on its seat", "old bolts")
    header = ("Under", *(f"{side.capitalize()}: {n}" if not k else n for side in SIDES for k, n in enumerate(named)))
    on = ", ".join(f"{side} on the {seat.on}" for side, seat in zip(SIDES, run.seats, strict=True))
    under = (f"Along the bottom chord, {units.force_unit}. Strands push {on}. Thrust: what the top chord brings; on its seat: what of it comes "
             "there; old bolts: what they hand to the chord, a push of them below zero.")  # fmt: skip
    return listing("HEELS AS FREE BODIES", header, rows, letters, right=tuple(range(1, 11)), under=under)
