"""The sheet of a truss's repair: above what is cut out and where shores stand, below the truss as repaired with its details."""

from __future__ import annotations

from dataclasses import replace

from detailgen.model.detail import EDGES, STRANDS
from detailgen.model.package import Package, Repaired
from detailgen.model.project import Truss
from detailgen.model.shores import shore_places
from detailgen.model.work_points import arc_of, point_at
from detailgen.outputs.drawings import bubbles, marks
from detailgen.outputs.drawings.blocks import paragraphs
from detailgen.outputs.drawings.detail_scene import Scene
from detailgen.outputs.drawings.detail_words import length
from detailgen.outputs.drawings.firm_notes import note_lines
from detailgen.outputs.drawings.layout import View
from detailgen.outputs.drawings.lettering import NO_BREAK, text_width
from detailgen.outputs.drawings.ratings import NO_RATINGS, rate_structure
from detailgen.outputs.drawings.register import detail_number, found_number, repair_number, work_number
from detailgen.outputs.drawings.shapes import Circle, Drawing, Line, Polyline, Shape, Text, moved
from detailgen.outputs.drawings.sheet_frame import least_settled, looking
from detailgen.outputs.drawings.sheets import Lettering, Scale
from detailgen.outputs.drawings.strand_sheet import ties
from detailgen.outputs.drawings.truss_lists import forces_list, refusals_list, removal_list, repairs_list, shoring_list
from detailgen.outputs.drawings.truss_sheet import TrussSheet, place_words
from detailgen.outputs.drawings.truss_views import bare_view, stacked, titled

LEAST_GAP, ROW = 0.12, 0.3
"""Between the items of the legend, and between its rows, in of paper."""
BELOW = 2.6
"""Room for bubbles under the truss."""


def _letter_radius(view: View, truss: Truss, package: Package) -> None:
    """R of a curved top chord, on a leader from its centre line."""
    top = next((m for m in truss.members if m.kind == "top chord"), None)
    arc = arc_of(truss, top) if top is not None else None
    if top is None or arc is None:
        return
    words = f"R {length(arc.radius, package.project.units)} to the centre line".replace(NO_BREAK, " ")
    for share in (0.30, 0.72, 0.42, 0.58, 0.2, 0.85):
        at = point_at(truss, top, truss.joints[truss.bottom[0]][0] + share * truss.span)
        if at is not None and view.note((at.x, at.y), [words], "notes", at.angle + 1.5708):
            return
    view.crowded.append(words)


def removal_view(one: Repaired, package: Package, scale: Scale) -> View:
    """What is cut out, and where shores stand."""
    truss = one.before.truss
    view = bare_view(truss, package, scale, NO_RATINGS, BELOW)
    marks.dimension_rise(view, truss)
    sites = [(bubbles.site(truss, d), Scene(d, package)) for d in one.details]
    cuts = [(scene, bubbles.draw_cut_out(view, place, scene)) for place, scene in sites]
    for joint in (place.joint for place in shore_places(one)):
        view.draw(bubbles.draw_shore(view, *bubbles.under_chord(view, truss, joint)))
    marks.mark_joints(view, truss)
    for scene, below in cuts:
        for words, edge in zip(bubbles.cut_out_words(scene, package.project.units), below, strict=True):
            bubbles.letter_cut_out(view, edge, [words, f"see {detail_number(scene.detail.key, package)}"])
    marks.letter_splices(view, marks.mark_splices(view, truss, NO_RATINGS, lettered=False))
    _letter_radius(view, truss, package)
    marks.dimension(view, truss, view.under)
    return view


def repaired_view(one: Repaired, package: Package, scale: Scale) -> View:
    """The truss as repaired: ratios, new steel, a bubble for each detail."""
    truss = one.before.truss
    ratings = rate_structure(truss, one.after)
    view = bare_view(truss, package, scale, ratings, BELOW)
    marks.dimension_rise(view, truss)
    splices = marks.mark_splices(view, truss, ratings)
    sites = [bubbles.site(truss, d) for d in one.details]
    for place in sites:
        bubbles.draw_new(view, place)
        bubbles.draw_limits(view, place)
        for station in place.detail.also_at if place.detail.axis in EDGES else ():
            bubbles.draw_new(view, bubbles.site(truss, replace(place.detail, station=station)))
    if one.stressing is not None:
        level = truss.joints[truss.bottom[0]][1] + one.stressing.run_height
        view.draw(Line("new steel", (one.stressing.anchor_x[0], level), (one.stressing.anchor_x[1], level)))
        if one.stressing.bracket is not None:
            ties(view, truss, one.stressing.bracket)
    beside = marks.letter_ratios(view, ratings)
    marks.mark_joints(view, truss)
    for k, place in enumerate(sites, start=1):
        sheet = detail_number(place.detail.key, package)
        rows = [f"(N) {place.detail.title[:1].lower()}{place.detail.title[1:]}"]
        if not bubbles.bubble(view, place, str(k), sheet, rows) and not bubbles.bubble(view, place, str(k), sheet, []):
            view.crowded.append(f"detail {k} on {sheet}")
    marks.letter_beside(view, beside)
    marks.letter_splices(view, splices)
    named = [(s, detail_number(s.detail.key, package)) for s in sites if s.detail.remedy != STRANDS]  # strands have a sheet of their own
    low = bubbles.dimension_work_points(view, truss, named, view.under)
    marks.dimension(view, truss, low)
    return view


def _legend(left: float, right: float, top: float, letters: Lettering, *, timber: bool) -> list[Shape]:
    """Lines and symbols of both views, in one row, or in two where the sheet is too narrow."""
    h = letters.note
    box = ((0.0, -0.06), (0.4, -0.06), (0.4, 0.06), (0.0, 0.06))
    items: list[tuple[float, list[Shape], str]] = [
        (0.5, [Line("existing", (0.0, y), (0.5, y)) for y in (0.035, -0.035)], "existing, stays"),
        (0.4, [Polyline("remove", box, True), Line("remove", box[0], box[2]), Line("remove", box[1], box[3])], "cut out"),
        (0.5, [Line("temporary", (0.0, 0.04), (0.5, 0.04)), Line("temporary", (0.0, -0.04), (0.5, -0.04))], "shore"),
        (0.4, [Polyline("new steel", box, True)], "new steel, new timber" if timber else "new steel"),
        (1.1, [Line("limits", (0.0, 0.0), (1.1, 0.0))], "limits of a detail"),
        (0.3, [Circle("symbols", (0.15, 0.0), 0.15), Line("symbols", (0.0, 0.0), (0.3, 0.0))], "detail over its sheet"),
        (text_width("0.00", h), [Text("ratios", "0.00", (0.0, -h / 2), h)], "demand over capacity as repaired"),
    ]
    widths = [sample + 0.08 + text_width(words, h) for sample, _, words in items]
    rows = 1 if sum(widths) + LEAST_GAP * (len(widths) - 1) <= right - left else 2
    shapes: list[Shape] = []
    for row in range(rows):
        chosen = range(row * len(items) // rows, (row + 1) * len(items) // rows)
        wide = sum(widths[k] for k in chosen)
        gap = min(0.45, (right - left - wide) / (len(chosen) - 1))
        x, y = (left + right - wide - gap * (len(chosen) - 1)) / 2, top + (rows - 1 - row) * ROW
        for k in chosen:
            sample, symbol, words = items[k]
            shapes += [moved(s, x, y) for s in symbol]
            shapes.append(Text("notes", words, (x + sample + 0.08, y - h / 2), h))
            x += widths[k] + gap
    return shapes


def draw_repair(one: Repaired, package: Package) -> list[Drawing]:
    """Raises: OutputError where the truss fits on the paper at none of the standard scales"""
    truss, seen = one.before.truss, looking(package.project)
    sheet = TrussSheet(
        package, repair_number(truss.mark, package), f"Truss {truss.mark}, removal and repair", place_words(truss),
        least_settled(list(one.status.values())), elevations="elevations",
    )  # fmt: skip
    letters = sheet.letters
    x0, low, x1, y1 = sheet.room
    views, laid = stacked(
        truss, package.project.units.name, (x0, low + 0.5, x1, y1), 1.0,
        [lambda scale: removal_view(one, package, scale), lambda scale: repaired_view(one, package, scale)],
    )  # fmt: skip
    behind = f" {seen}" if seen else ""
    beside: list[Shape] = [
        *titled(views[0], f"Truss {truss.mark}, removal and shoring{behind}",
                _first_of_all(one, package), letters),
        *titled(views[1], f"Truss {truss.mark} as repaired{behind}",
                f"Ratios: demand over capacity as repaired, worst combination. As found: sheet {found_number(truss.mark, package)}.", letters),
        *_legend(x0, x1, low + 0.2, letters, timber=any(p.kind in ("sister", "piece", "side member", "brace") for d in one.details for p in d.parts)),
    ]  # fmt: skip
    lists = [
        removal_list(one, package, letters), shoring_list(one, package, letters), forces_list(one, package, letters),
        repairs_list(one, package, letters), refusals_list(one, letters), paragraphs("NOTES", _notes(laid, package, one), letters),
    ]  # fmt: skip
    return sheet.drawn(views[0].scale.label, views, beside, [x for x in lists if x is not None])


def _first_of_all(one: Repaired, package: Package) -> str:
    work = one.staged
    if work is not None and work.lines:
        sheet = work_number(one.before.truss.mark, package)
        return f"Order of work, forces and hold points: sheet {sheet}. Nothing is cut before its hold point is signed."
    return "Nothing is cut before shores stand as the engineer has filled in here."


def _notes(laid: list[View], package: Package, one: Repaired) -> list[str]:
    crowded = [c for view in laid for c in view.crowded]
    out = [where for d in one.details for where in d.removed]
    gone = [f"But those of the {', '.join(out)} come out: see the sheets of the heels."] if out else []
    return [*note_lines("notes/repair_sheet.txt", package), *gone, *([f"No room in the views for: {', '.join(crowded)}."] if crowded else [])]
