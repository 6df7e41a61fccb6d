"""Sheets that the crew works by: shoring and jacking of a truss with its stages, and its safety as found."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import partial

from detailgen.model.assessment import StagedWork
from detailgen.model.package import Package, Repaired
from detailgen.model.shores import strand_shores
from detailgen.outputs.drawings import bubbles, marks, work_lists
from detailgen.outputs.drawings.blocks import Listing, fill, paragraphs
from detailgen.outputs.drawings.detail_scene import Scene
from detailgen.outputs.drawings.detail_words import length
from detailgen.outputs.drawings.firm_notes import note_lines
from detailgen.outputs.drawings.layout import View
from detailgen.outputs.drawings.ratings import NO_RATINGS, rate
from detailgen.outputs.drawings.register import SAFETY, detail_number, work_number
from detailgen.outputs.drawings.shapes import Drawing, Point, Shape
from detailgen.outputs.drawings.shapes import View as Window
from detailgen.outputs.drawings.sheet_frame import EDGE, least_settled, looking, trusses_words
from detailgen.outputs.drawings.sheets import Scale
from detailgen.outputs.drawings.truss_sheet import TrussSheet, place_words
from detailgen.outputs.drawings.truss_views import bare_view, stacked, titled

BELOW = 2.2
"""Room under the truss for what is said of the shores (in of paper)."""
SHARE = 0.5
"""Of the room's height for one view; lists stand under it and beside it."""
NO_SHORES = "No timber that carries force is cut: the work asks for no shore."
HELD = "No stage asks for a shore; before the bolts of a web's end are drawn it is held as its sheet and the limits here say."
VIEWS = 2
"""Trusses shown on the sheet for posting: the longest of those with shores; all stand in its lists."""


def _shores(view: View, one: Repaired, shores: Sequence[tuple[str, list[str]]]) -> None:
    """Posts under the chord, each with its words beside its foot."""
    truss = one.before.truss
    feet = []
    for joint, rows in shores:
        x, y = bubbles.under_chord(view, truss, joint)
        bubbles.draw_shore(view, x, y)
        feet.append(((x, y - bubbles.SHORE[0] * view.u), joint, rows))
    marks.mark_joints(view, truss)
    for foot, joint, rows in feet:
        if not view.note(foot, rows, "notes", -math.pi / 2):
            view.crowded.append(f"shore at {joint}")


def work_view(one: Repaired, work: StagedWork, package: Package, scale: Scale) -> View:
    """Shores with force and stop; what is cut out."""
    truss, units = one.before.truss, package.project.units
    view = bare_view(truss, package, scale, NO_RATINGS, BELOW)
    marks.dimension_rise(view, truss)
    cuts: list[tuple[tuple[Point, Point], str]] = []
    for detail in one.details:
        scene = Scene(detail, package)
        below = bubbles.draw_cut_out(view, bubbles.site(truss, detail), scene)
        cuts += list(zip(below, bubbles.cut_out_words(scene, units), strict=True))
    words = [
        (s.joint, [units.write_force(s.force) if s.force > 0 else "snug", *([f"stop {length(s.stop, units)}"] if s.force > 0 else [])])
        for s in work.shores
    ]  # fmt: skip
    words += [(joint, ["snug, free to", "let it rise"]) for joint in strand_shores(one) if joint not in work.joints]
    _shores(view, one, words)
    for edge, said in cuts:
        bubbles.letter_cut_out(view, edge, [said])
    marks.dimension(view, truss, view.under)
    return view


def safety_view(one: Repaired, package: Package, scale: Scale) -> View:
    """What was found, and shores for an emergency."""
    truss = one.before.truss
    view = bare_view(truss, package, scale, rate(one.before), BELOW)
    marks.dimension_rise(view, truss)
    found = marks.mark_damage(view, truss)
    _shores(view, one, [(joint, [package.project.units.write_force(push)]) for joint, push in one.safety.shores] if one.safety is not None else [])
    marks.letter_damage(view, found, package.project.units)
    marks.dimension(view, truss, view.under)
    return view


def _sheet(
    sheet: TrussSheet, views: Sequence[Window], words: Sequence[tuple[str, str]], first: Sequence[Listing], second: Sequence[Listing],
    beside: Sequence[Listing],
) -> list[Drawing]:  # fmt: skip
    """Views with a title and the line under each, lists in two columns under them, and those over the title block."""
    letters, (x0, y0, x1, _) = sheet.letters, sheet.room
    seen = looking(sheet.package.project)
    shapes: list[Shape] = []
    for view, (title, line) in zip(views, words, strict=True):
        shapes += titled(view, title + (f" {seen}" if seen else ""), line, letters)
    top = views[-1].window[1] - 1.3 * letters.heading - 2.4 * letters.line
    half = (x1 - x0 - 2 * EDGE) / 2
    left, rest = fill(first, [(x0, y0, x0 + half, top)], half)
    right, rest = fill([*rest, *second], [(x1 - half, y0, x1, top)], half)
    return sheet.drawn(views[0].scale.label, views, [*shapes, *left, *right], [*beside, *rest])


def draw_work(one: Repaired, package: Package) -> list[Drawing]:
    """Shoring, jacking and the order of work of one truss; nothing where its stages are not worked out.

    Raises: OutputError where the truss fits on the paper at none of the standard scales
    """
    work, truss, units = one.staged, one.before.truss, package.project.units
    if work is None or work.why_not or not work.lines:
        return []
    title = f"Truss {truss.mark}, shoring, jacking and order of work" if work.shores else f"Truss {truss.mark}, order of work"
    status = least_settled(list(one.status.values()))
    sheet = TrussSheet(package, work_number(truss.mark, package), title, place_words(truss), status, "Field sheet")
    letters = sheet.letters
    views, laid = stacked(truss, units.name, sheet.room, SHARE, [partial(work_view, one, work, package)])
    shown = "shores and jacks" if work.shores else "without shores"
    under = "Shores not to scale. Each jack goes to its force or to its stop, whichever comes first." if work.shores else NO_SHORES
    held = [f"Sheet {detail_number(d.key, package)} asks for a shore at {d.held}. The stages do not count it; the engineer says what holds it."
            for d in one.details if d.held]  # fmt: skip
    under = HELD if held and not work.shores else under
    limits = paragraphs("LIMITS AND WARNINGS", [*work_lists.limit_lines(work, truss, units), *held], letters)
    shores = [work_lists.shores_list(work, truss, units, letters)] if work.shores else []
    notes = paragraphs("NOTES", _notes("notes/work_sheet.txt", package, laid), letters)
    order, stages = work_lists.order_list(work, letters), work_lists.stages_list(work, units, letters)
    return _sheet(sheet, views, [(f"Truss {truss.mark}, {shown}", under)], [order], [limits, stages], [*shores, notes])


def draw_safety(package: Package) -> list[Drawing]:
    """What the trusses as found may carry now, when the building is cleared, and where shores help in an emergency.

    Raises: OutputError where a truss fits on the paper at none of the standard scales
    """
    units = package.project.units
    told = [one for one in package.trusses if one.safety is not None]
    every = [one.safety for one in told if one.safety is not None]
    if not every:
        return []
    shown = sorted((one for one in told if one.safety is not None and one.safety.shores), key=lambda one: -one.before.truss.span)[:VIEWS] or told[:1]
    trusses = {one.before.truss.mark: one.before.truss for one in told}
    place = trusses_words(list(trusses)) if len(trusses) > 1 else f"truss {told[0].before.truss.mark}"
    sheet = TrussSheet(package, SAFETY, "Safety as found", place, least_settled([s for one in told for s in one.status.values()]), "For posting")
    letters = sheet.letters
    share = SHARE + 0.1 * (len(shown) - 1)
    views, laid = stacked(shown[0].before.truss, units.name, sheet.room, share, [partial(safety_view, one, package) for one in shown])
    under = "Shores for an emergency, not to scale: snug, not lifted; their push under the snow that the truss carries then."
    weakest = work_lists.weakest_of(every)
    first = [
        paragraphs("WHEN TO WATCH, WHEN TO CLEAR", work_lists.trigger_lines(every, units), letters),
        None if weakest is None else work_lists.depths_list(weakest, units, letters),
        work_lists.now_list(every, units, letters),
    ]
    shores = work_lists.emergency_list(every, trusses, units, letters)
    notes = paragraphs("WHAT TO DO", _notes("notes/safety_sheet.txt", package, laid), letters)
    words = [(f"Truss {one.before.truss.mark} as found", under) for one in shown]
    return _sheet(sheet, views, words, [x for x in first if x is not None], [] if shores is None else [shores], [notes])


def _notes(template: str, package: Package, laid: Sequence[View]) -> list[str]:
    crowded = [c for view in laid for c in view.crowded]
    return [*note_lines(template, package), *([f"No room in the views for: {', '.join(crowded)}."] if crowded else [])]
