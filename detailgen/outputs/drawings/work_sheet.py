"""Sheets that the crew works by: shoring and jacking of a truss with its stages, and its safety as found."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from detailgen.model.assessment import SafetyNow, StagedWork
from detailgen.model.package import Package, Repaired
from detailgen.outputs.drawings import bubbles, marks, work_lists
from detailgen.outputs.drawings.blocks import Listing, fill
from detailgen.outputs.drawings.detail_scene import Scene
from detailgen.outputs.drawings.detail_words import length, number
from detailgen.outputs.drawings.elevation import draw_elevation
from detailgen.outputs.drawings.firm_notes import note_lines
from detailgen.outputs.drawings.layout import View, extents
from detailgen.outputs.drawings.paper import set_paper
from detailgen.outputs.drawings.ratings import Ratings, rate
from detailgen.outputs.drawings.register import safety_number, work_number
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
"""Of the room's height for the view; lists stand under it and beside it."""


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
    _shores(view, one, words)
    view.crowded += [said for point, said in cuts if not view.note(point, [said], "notes", -math.pi / 2)]
    _dimensioned(view, one)
    return view


def safety_view(one: Repaired, safety: SafetyNow, package: Package, scale: Scale, letters: Lettering) -> View:
    """What is over as found, what was found, and shores for an emergency."""
    ratings = rate(one.before)
    view = _view(one, package, scale, letters, ratings)
    found = marks.mark_damage(view, one.before.truss)
    beside = marks.letter_ratios(view, ratings)
    _shores(view, one, [(joint, ["shore"]) for joint, _ in safety.shores])
    marks.letter_beside(view, beside)
    marks.letter_damage(view, found, package.project.units)
    _dimensioned(view, one)
    return view


def _sheet(
    one: Repaired, package: Package, name: str, title: str, purpose: str, draw: Callable[[Scale, Lettering], View], words: tuple[str, str],
    lists: Callable[[Lettering, View], tuple[list[Listing], list[Listing], list[Listing]]],
) -> list[Drawing]:  # fmt: skip
    """A view, lists in two columns under it and lists beside it.

    words: title of the view and the line under it
    lists: those of both columns, and those beside the view
    """
    project, truss = package.project, one.before.truss
    sheet = set_paper(project.units, project.templates)
    letters = sheet.letters
    x0, y0, x1, y1 = sheet.inner
    left = x1 - sheet.column
    room = (x0 + EDGE, y0 + EDGE, left - EDGE, y1 - EDGE)
    views, laid = stacked(truss, project.units.name, room, SHARE, [lambda scale: draw(scale, letters)])
    seen = looking(project)

    def heading(number: str, page: int) -> Heading:
        under = "Drawn from the survey" + (f"; elevation {seen}" if seen else "")
        status = least_settled(list(one.status.values()))
        scale = views[0].scale.label if page == 1 else "none"
        return Heading(number, title + (", continued" if page > 1 else ""), place_words(one), status, scale, purpose, under)

    frame, top = framed(package, heading(name, 1), sheet, left)
    behind = f" {seen}" if seen else ""
    shapes: list[Shape] = [*frame, *titled(views[0], f"{words[0]}{behind}", words[1], letters)]
    first, second, beside = lists(letters, laid[0])
    under = (room[0], room[1], room[2], views[0].window[1] - 1.3 * letters.heading - 2.4 * letters.line)
    half = (under[2] - under[0] - 2 * EDGE) / 2
    filled, rest = fill(first, [(under[0], under[1], under[0] + half, under[3])], half)
    right, left_over = fill([*rest, *second], [(under[2] - half, under[1], under[2], under[3])], half)
    more, after = fill([*beside, *left_over], [(left + EDGE, top + CONTINUED, x1 - EDGE, y1 - EDGE)], sheet.column - 2 * EDGE)
    shapes += [*filled, *right, *more]
    if after:
        shapes.append(continued_words(after, name, (left + EDGE, top), sheet.column - 2 * EDGE, letters))
    drawings = [sheet_drawing(package, sheet, name, f"{name} {title}", shapes, views[0], views[0].shapes)]
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

    def lists(letters: Lettering, view: View) -> tuple[list[Listing], list[Listing], list[Listing]]:
        notes = [*note_lines("notes/work_sheet.txt", package), *([f"No room in the view for: {', '.join(view.crowded)}."] if view.crowded else [])]
        shores = [work_lists.shores_list(work, truss, units, letters)] if work.shores else []
        limits = work_lists.paragraphs_of("LIMITS AND WARNINGS", work_lists.limit_lines(work, truss, units), letters)
        stages = work_lists.stages_list(work, units, letters)
        return [work_lists.order_list(work, letters)], [limits, stages], [*shores, work_lists.paragraphs_of("NOTES", notes, letters)]

    title = f"Truss {truss.mark}, shoring, jacking and order of work"
    words = f"Truss {truss.mark}, shores and jacks", "Shores not to scale. Each jack goes to its force or to its stop, whichever comes first."
    return _sheet(one, package, work_number(truss.mark, package), title, "Field sheet",
                  lambda scale, letters: work_view(one, work, package, scale, letters), words, lists)  # fmt: skip


def draw_safety(one: Repaired, package: Package) -> list[Drawing]:
    """What a truss as found may carry now, and what to do.

    Raises: OutputError where the truss fits on the paper at none of the standard scales
    """
    safety, truss, units = one.safety, one.before.truss, package.project.units
    if safety is None:
        return []

    def lists(letters: Lettering, view: View) -> tuple[list[Listing], list[Listing], list[Listing]]:
        notes = [*note_lines("notes/safety_sheet.txt", package), *([f"No room in the view for: {', '.join(view.crowded)}."] if view.crowded else [])]
        now = work_lists.paragraphs_of("NOW", work_lists.snow_lines(safety, units), letters)
        depths, shores = work_lists.depths_list(safety, units, letters), work_lists.emergency_list(safety, truss, units, letters)
        second = [] if shores is None else [shores]
        return [now, *([] if depths is None else [depths])], second, [work_lists.paragraphs_of("WHAT TO DO", notes, letters)]

    title = f"Truss {truss.mark}, safety as found"
    words = f"Truss {truss.mark} as found", "Ratios: demand over capacity as found, worst combination. Shores: for an emergency, not to scale."
    return _sheet(one, package, safety_number(truss.mark, package), title, "For posting",
                  lambda scale, letters: safety_view(one, safety, package, scale, letters), words, lists)  # fmt: skip
