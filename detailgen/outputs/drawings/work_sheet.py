"""Sheets that the crew works by: shoring and jacking of a truss with its stages, and its safety as found."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial

from detailgen.model.assessment import StagedWork
from detailgen.model.package import Package, Repaired
from detailgen.model.project import Truss
from detailgen.model.shores import strand_shores
from detailgen.outputs.drawings import bubbles, marks, work_lists
from detailgen.outputs.drawings.blocks import Listing, fill, paragraphs
from detailgen.outputs.drawings.detail_scene import Scene
from detailgen.outputs.drawings.detail_words import length, number
from detailgen.outputs.drawings.elevation import draw_elevation
from detailgen.outputs.drawings.firm_notes import note_lines
from detailgen.outputs.drawings.layout import View, extents
from detailgen.outputs.drawings.paper import set_paper
from detailgen.outputs.drawings.ratings import Ratings, rate
from detailgen.outputs.drawings.register import SAFETY, work_number
from detailgen.outputs.drawings.shapes import Drawing, Shape
from detailgen.outputs.drawings.sheet_frame import (
    CONTINUED,
    EDGE,
    Heading,
    continuations,
    continued_words,
    framed,
    least_settled,
    looking,
    sheet_drawing,
)  # fmt: skip
from detailgen.outputs.drawings.sheets import Lettering, Scale
from detailgen.outputs.drawings.truss_found import place_words
from detailgen.outputs.drawings.truss_views import stacked, titled

NOTHING = Ratings({}, {}, {}, False)
BELOW = 2.2
"""Room under the truss for what is said of the shores (in of paper)."""
SHARE = 0.5
"""Of the room's height for one view; lists stand under it and beside it."""
NO_SHORES = "No timber that carries force is cut: the work asks for no shore."
VIEWS = 2
"""Trusses shown on the sheet for posting: the longest of those with shores; all stand in its lists."""


def _view(one: Repaired, package: Package, scale: Scale, letters: Lettering, ratings: Ratings) -> View:
    truss, units = one.before.truss, package.project.units
    view = View(draw_elevation(truss, ratings), scale.factor, letters, lambda value: number(value, units), BELOW)
    marks.mark_supports(view, truss)
    marks.dimension_rise(view, truss)
    return view


def _shores(view: View, one: Repaired, shores: Sequence[tuple[str, list[str]]]) -> None:
    """Posts under the chord, each with its words beside its foot."""
    truss = one.before.truss
    feet = []
    for joint, rows in shores:
        x, y = truss.joints[joint]
        depth = max(a.depth for pair, a in view.elevation.axes.items() if joint in pair and a.kind == "bottom chord")
        bubbles.draw_shore(view, x, y - depth / 2)
        feet.append(((x, y - depth / 2 - bubbles.SHORE[0] * view.u), joint, rows))
    marks.mark_joints(view, truss)
    for foot, joint, rows in feet:
        if not view.note(foot, rows, "notes", -math.pi / 2):
            view.crowded.append(f"shore at {joint}")


def _dimensioned(view: View, one: Repaired) -> None:
    low = min(extents(view.content(), view.u)[1], view.elevation.box[1])
    marks.dimension(view, one.before.truss, low - 0.04 * view.u)


def work_view(one: Repaired, work: StagedWork, package: Package, scale: Scale, letters: Lettering) -> View:
    """Shores with force and stop; what is cut out."""
    units = package.project.units
    view = _view(one, package, scale, letters, NOTHING)
    cuts = []
    for detail in one.details:
        scene = Scene(detail, package)
        below = bubbles.draw_cut_out(view, bubbles.site(one.before.truss, detail), scene)
        for (end, start, ply), point in zip(bubbles.cut_out(scene), below, strict=True):
            cuts.append((point, f"cut out {length(start - end, units)} of the {ply}".replace("\N{NO-BREAK SPACE}", " ")))
    words = [
        (s.joint, [units.write_force(s.force) if s.force > 0 else "snug", *([f"stop {length(s.stop, units)}"] if s.force > 0 else [])])
        for s in work.shores
    ]  # fmt: skip
    words += [(joint, ["snug, free to", "let it rise"]) for joint in strand_shores(one) if joint not in work.joints]
    _shores(view, one, words)
    view.crowded += [said for point, said in cuts if not view.note(point, [said], "notes", -math.pi / 2)]
    _dimensioned(view, one)
    return view


def safety_view(one: Repaired, package: Package, scale: Scale, letters: Lettering) -> View:
    """What was found, and shores for an emergency."""
    view = _view(one, package, scale, letters, rate(one.before))
    found = marks.mark_damage(view, one.before.truss)
    _shores(view, one, [(joint, [package.project.units.write_force(push)]) for joint, push in one.safety.shores] if one.safety is not None else [])
    marks.letter_damage(view, found, package.project.units)
    _dimensioned(view, one)
    return view


@dataclass(frozen=True)
class _Plan:
    """What a sheet is made of: number, title, place and purpose for its title block, its views with a title and the line under each, and its lists:
    those of two columns under the views, and those beside them."""

    number: str
    title: str
    place: str
    purpose: str
    truss: Truss
    draw: Sequence[Callable[[Scale, Lettering], View]]
    words: Sequence[tuple[str, str]]
    lists: Callable[[Lettering, Sequence[str]], tuple[list[Listing], list[Listing], list[Listing]]]
    share: float


def _sheet(package: Package, plan: _Plan, status: str) -> list[Drawing]:
    project, name, title = package.project, plan.number, plan.title
    sheet = set_paper(project.units, project.templates)
    letters = sheet.letters
    x0, y0, x1, y1 = sheet.inner
    left = x1 - sheet.column
    room = (x0 + EDGE, y0 + EDGE, left - EDGE, y1 - EDGE)
    views, laid = stacked(plan.truss, project.units.name, room, plan.share, [partial(_at, draw, letters) for draw in plan.draw])
    seen = looking(project)

    def heading(number: str, page: int) -> Heading:
        under = "Drawn from the survey" + (f"; elevation {seen}" if seen else "")
        scale = views[0].scale.label if page == 1 else "none"
        return Heading(number, title + (", continued" if page > 1 else ""), plan.place, status, scale, plan.purpose, under)

    frame, top = framed(package, heading(name, 1), sheet, left)
    behind = f" {seen}" if seen else ""
    shapes: list[Shape] = [*frame]
    for view, (words, line) in zip(views, plan.words, strict=True):
        shapes += titled(view, f"{words}{behind}", line, letters)
    first, second, beside = plan.lists(letters, [c for view in laid for c in view.crowded])
    under = (room[0], room[1], room[2], views[-1].window[1] - 1.3 * letters.heading - 2.4 * letters.line)
    half = (under[2] - under[0] - 2 * EDGE) / 2
    filled, rest = fill(first, [(under[0], under[1], under[0] + half, under[3])], half)
    right, left_over = fill([*rest, *second], [(under[2] - half, under[1], under[2], under[3])], half)
    more, after = fill([*beside, *left_over], [(left + EDGE, top + CONTINUED, x1 - EDGE, y1 - EDGE)], sheet.column - 2 * EDGE)
    shapes += [*filled, *right, *more]
    if after:
        shapes.append(continued_words(after, name, (left + EDGE, top), sheet.column - 2 * EDGE, letters))
    drawings = [sheet_drawing(package, sheet, name, f"{name} {title}", shapes, views[0], views[0].shapes, views[1:])]
    for page, one_more in enumerate(continuations(package, heading, sheet, after, name), 2):
        drawings.append(sheet_drawing(package, sheet, f"{name}-{page}", f"{name}-{page} {title}, continued", one_more))
    return drawings


def draw_work(one: Repaired, package: Package) -> list[Drawing]:
    """Shoring, jacking and the order of work of one truss; nothing where its stages are not worked out.

    Raises: OutputError where the truss fits on the paper at none of the standard scales
    """
    work, truss, units = one.staged, one.before.truss, package.project.units
    if work is None or work.why_not or not work.lines:
        return []

    def lists(letters: Lettering, crowded: Sequence[str]) -> tuple[list[Listing], list[Listing], list[Listing]]:
        shores = [work_lists.shores_list(work, truss, units, letters)] if work.shores else []
        limits = paragraphs("LIMITS AND WARNINGS", work_lists.limit_lines(work, truss, units), letters)
        stages, notes = work_lists.stages_list(work, units, letters), paragraphs("NOTES", _notes("notes/work_sheet.txt", package, crowded), letters)
        return [work_lists.order_list(work, letters)], [limits, stages], [*shores, notes]

    title = f"Truss {truss.mark}, shoring, jacking and order of work" if work.shores else f"Truss {truss.mark}, order of work"
    shown = "shores and jacks" if work.shores else "without shores"
    under = "Shores not to scale. Each jack goes to its force or to its stop, whichever comes first." if work.shores else NO_SHORES
    plan = _Plan(
        work_number(truss.mark, package), title, place_words(one), "Field sheet", truss, [partial(work_view, one, work, package)],
        [(f"Truss {truss.mark}, {shown}", under)], lists, SHARE,
    )  # fmt: skip
    return _sheet(package, plan, least_settled(list(one.status.values())))


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
    weakest = work_lists.weakest_of(every)

    def lists(letters: Lettering, crowded: Sequence[str]) -> tuple[list[Listing], list[Listing], list[Listing]]:
        trigger = paragraphs("WHEN TO WATCH, WHEN TO CLEAR", work_lists.trigger_lines(every, units), letters)
        depths = None if weakest is None else work_lists.depths_list(weakest, units, letters)
        shores = work_lists.emergency_list(every, trusses, units, letters)
        first = [trigger, *([] if depths is None else [depths]), work_lists.now_list(every, units, letters)]
        return first, [] if shores is None else [shores], [paragraphs("WHAT TO DO", _notes("notes/safety_sheet.txt", package, crowded), letters)]

    under = "Shores for an emergency, not to scale: snug, not lifted; their push under the snow that the truss carries then."
    words = [(f"Truss {one.before.truss.mark} as found", under) for one in shown]
    place = f"truss{'es' if len(trusses) > 1 else ''} {', '.join(trusses)}"
    draw = [partial(safety_view, one, package) for one in shown]
    plan = _Plan(SAFETY, "Safety as found", place, "For posting", shown[0].before.truss, draw, words, lists, SHARE + 0.1 * (len(shown) - 1))
    return _sheet(package, plan, least_settled([s for one in told for s in one.status.values()]))


def _at(draw: Callable[[Scale, Lettering], View], letters: Lettering, scale: Scale) -> View:
    return draw(scale, letters)


def _notes(template: str, package: Package, crowded: Sequence[str]) -> list[str]:
    return [*note_lines(template, package), *([f"No room in the views for: {', '.join(crowded)}."] if crowded else [])]
