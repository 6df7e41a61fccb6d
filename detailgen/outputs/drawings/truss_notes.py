"""The notes of an assessment sheet: what fails and why, snow, damage, legend, cautions, title block. Lengths in inches of paper."""

from __future__ import annotations

import math
from dataclasses import replace

from detailgen.core.templates import template_lines
from detailgen.core.units import UnitSystem
from detailgen.model.assessment import TrussAssessment
from detailgen.model.member import Damage
from detailgen.model.project import Project, Truss
from detailgen.outputs.drawings.columns import Column
from detailgen.outputs.drawings.lettering import text_width, wrap
from detailgen.outputs.drawings.marks import MODELLED, SHOWN_ENDS, effect_words, number_damage
from detailgen.outputs.drawings.ratings import Ratings
from detailgen.outputs.drawings.shapes import Circle, Line, Point, Polyline, Shape, Text
from detailgen.outputs.drawings.sheets import Lettering, Scale

STATUS = "PRELIMINARY - assessment only"
SHOWN_FINDINGS = 6
MOST_CROWDED = 8
LEAST_LINES = 5


def _percent(x: float) -> str:
    return f"{100 * x:.0f} %"


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:].rstrip(".") + "."


def snow_words(assessment: TrussAssessment, units: UnitSystem) -> str:
    """What snow the roof may carry as found, as a sentence."""
    if assessment.as_found.no_safe_load_path:
        return "None can be stated: there is no safe load path as found."
    snow = assessment.snow
    if snow is None:
        return "Not computed."
    least = "At least " if snow.at_least else ""
    allowed, today = units.write_area_load(snow.flat_roof_allowed), units.write_area_load(snow.flat_roof_today)
    text = f"{least}{allowed} on a flat roof, {_percent(snow.factor)} of today's {today}."
    return f"{text} Governed by {snow.governing}." if snow.governing else text


def damage_words(damage: Damage, units: UnitSystem) -> str:
    parts = [f"{damage.kind}, {damage.member}"]
    if damage.ply:
        parts.append(f"{damage.ply} ply")
    parts.append(f"at {units.write_length(damage.at)}")
    if damage.length and damage.kind not in MODELLED:  # a bow or sag is told by its amount
        parts.append(f"{units.write_length(damage.length)} long")
    parts.append(f"photo {damage.photo}" if damage.photo else "no photo")
    effect = effect_words(damage, units)
    if effect:
        parts.append(effect + (f" ({damage.basis})" if damage.basis else ""))
    return ", ".join(parts) + "."


def what_fails(column: Column, assessment: TrussAssessment) -> None:
    """The large warning where there is no path, then the first findings."""
    broken = assessment.as_found.no_safe_load_path
    if broken:
        column.heading("NO SAFE LOAD PATH AS FOUND", "over text", large=True)
        column.paragraph(f"{_sentence(broken)} No ratio as found is given; those lettered are of the truss as if undamaged.")
        column.gap()
    column.heading("What fails and why")
    column.gap(0.2)
    shown = 0
    # The heading says that there is no path; damage has its own list on the sheet.
    findings = [f for f in assessment.findings if f.kind != "damage" and not (broken and f.kind == "no safe load path")]
    if not findings and not broken:
        column.paragraph("Nothing: every check passes as found.")
    for finding in findings[:SHOWN_FINDINGS]:
        ratio = "" if not math.isfinite(finding.ratio) else f"{finding.ratio:.2f}"
        indent = text_width("0.00", column.letters.note) + 0.12
        over = "over text" if not math.isnan(finding.ratio) and finding.ratio > 1.0 else "notes"
        title = _sentence(finding.title)
        size = column.lines_of(title, indent) + column.lines_of(finding.cause, indent)
        if size + 1 > column.room():
            break
        column.paragraph(title, indent=indent, mark=ratio, mark_layer=over, layer=over)
        column.paragraph(finding.cause, indent=indent)
        column.gap(0.25)
        shown += 1
    rest = len(findings) - shown
    if rest:
        column.paragraph(f"{rest} more: assess prints them all.")


def snow_damage_flags(column: Column, overflow: Column, assessment: TrussAssessment, ratings: Ratings, units: UnitSystem, crowded: list[str]) -> None:
    """The owner's question, the numbered damage, and what must not be overlooked. Damage without room here goes on in ``overflow``."""
    column.heading("Snow the roof may carry")
    column.paragraph(snow_words(assessment, units), layer="over text" if assessment.as_found.no_safe_load_path else "notes")
    column.gap()
    column.heading("Damage found")
    damage = number_damage(assessment.truss)
    if not damage:
        column.paragraph("None in the survey.")
    flags = [("-", flag) for flag in assessment.flags]
    missing = sum(not r.checked for r in ratings.ends.values())
    if missing > SHOWN_ENDS:
        flags.insert(0, ("-", f"{missing} bolted ends could not be checked: see assessment.csv."))
    if crowded:
        more = f" and {len(crowded) - MOST_CROWDED} more (see assessment.csv)" if len(crowded) > MOST_CROWDED else ""
        flags.insert(0, ("-", f"No room in the view for: {', '.join(crowded[:MOST_CROWDED])}{more}."))
    rows = [(str(n), damage_words(d, units)) for n, d in damage]
    onward = overflow.room() >= LEAST_LINES
    shown = column.list(rows, 0.25, "{n} more: in the first column." if onward else "{n} more: see the survey.", keep=5 if flags else 0)
    if shown < len(rows) and onward:
        overflow.gap()
        overflow.heading("Damage found, continued")
        overflow.list(rows[shown:], 0.25, "{n} more: see the survey.")
    if flags:
        column.gap()
        column.heading("Mind")
        column.list(flags, 0.15, "{n} more: see the summary.")


def legend(truss: Truss, ratings: Ratings, left: float, right: float, top: float, letters: Lettering) -> tuple[list[Shape], float]:
    """The lines and symbols that the view uses, in centred rows. Returns shapes and the y under them."""
    state = "intact" if ratings.of_intact else "as found"
    h = letters.note
    stars = text_width("0.00*", h)
    rated = (*ratings.members.values(), *ratings.ends.values(), *ratings.splices.values())
    items: list[tuple[float, list[Shape], str]] = [
        (0.5, [Line("existing", (0.0, y), (0.5, y)) for y in (0.035, -0.035)], f"existing member, ratio {state} at most 1.0"),
    ]
    if any(r.over for r in ratings.members.values()):
        items.append((0.5, [Line("over", (0.0, y), (0.5, y)) for y in (0.035, -0.035)], f"ratio {state} over 1.0"))
    if any(r.gaps and r.checked for r in rated):
        items.append((stars, [Text("ratios", "0.00*", (0.0, -h / 2), h)], "some checks missing"))
    if any(r.over for r in ratings.ends.values()):
        frame = Polyline("over bolts", ((0.0, -0.06), (0.4, -0.06), (0.4, 0.06), (0.0, 0.06)), True)
        items.append((0.4, [frame], "bolted end over 1.0, the worst of a joint lettered"))
    elif ratings.ends:
        items.append((0.0, [], "bolted ends are lettered where over 1.0"))
    if truss.splices:
        items.append((0.04, [Line("splices", (x, -0.08), (x, 0.08)) for x in (0.0, 0.04)], "splice"))
    if truss.damage:
        items.append((0.12, [Line("damage", (0.0, -0.06 * s), (0.12, 0.06 * s)) for s in (1, -1)], "damage"))
    items.append(
        (0.42, [Polyline("supports", ((0.1, 0.08), (0.0, -0.08), (0.2, -0.08)), True), Circle("supports", (0.34, 0.0), 0.08)], "pin, roller")
    )
    widths = [sample + 0.08 + text_width(words, h) for sample, _, words in items]
    whole = sum(widths) + 0.3 * (len(widths) - 1)
    limit = min(right - left, 1.12 * whole / math.ceil(whole / (right - left)))  # rows of about the same length
    rows: list[list[int]] = [[]]
    for n, width in enumerate(widths):
        if rows[-1] and sum(widths[i] for i in rows[-1]) + width + 0.3 * len(rows[-1]) > limit:
            rows.append([])
        rows[-1].append(n)
    shapes: list[Shape] = []
    y = top
    for row in rows:
        y -= letters.line
        total = sum(widths[i] for i in row) + 0.3 * (len(row) - 1)
        x = (left + right - total) / 2
        for i in row:
            sample, symbol, words = items[i]
            shapes += [_moved(s, x, y + h / 2) for s in symbol]
            shapes.append(Text("notes", words, (x + sample + 0.08, y), h))
            x += widths[i] + 0.3
    return shapes, y


def _moved(shape: Shape, dx: float, dy: float) -> Shape:
    def go(p: Point) -> Point:
        return p[0] + dx, p[1] + dy

    match shape:
        case Line():
            return replace(shape, start=go(shape.start), end=go(shape.end))
        case Circle():
            return replace(shape, centre=go(shape.centre))
        case Polyline():
            return replace(shape, points=tuple(go(p) for p in shape.points))
        case Text():
            return replace(shape, at=go(shape.at))
    raise TypeError(f"the legend has no {type(shape).__name__}")


def cautions(column: Column, templates: str) -> bool:
    """All of the cautions, or False: none of them may be missing."""
    column.heading("Cautions")
    lines = template_lines("notes/cautions.txt", templates)
    return column.list([("-", line) for line in lines], 0.15, "") == len(lines)


def _looking(view: str) -> str:
    return view if view.startswith("looking") else f"looking {view}"


def view_title(assessment: TrussAssessment, project: Project) -> str:
    where = f" {_looking(project.view)}" if project.view else ""
    return f"Truss {assessment.truss.mark}, elevation{where}"


def title_block(
    project: Project, assessment: TrussAssessment, scale: Scale, box: tuple[float, float, float], letters: Lettering
) -> tuple[list[Shape], float]:
    """Boxes in the lower right corner. ``box``: x0, y0, x1. Returns shapes and the top of the block."""
    x0, y0, x1 = box
    truss = assessment.truss
    pad, width = 0.08, x1 - x0
    place = [
        p
        for p in (
            f"type {truss.type}" if truss.type else "",
            (truss.bay if " " in truss.bay else f"bay {truss.bay}") if truss.bay else "",
            project.grid,
        )
        if p
    ]
    rows: list[list[tuple[str, float, str]]] = [
        [(f"Revision {project.revision}", letters.note, "title"), (project.date, letters.note, "title")],
        [(f"Scale {scale.label}", letters.note, "title"), (f"Sheet truss {truss.mark}", letters.note, "title")],
        [(STATUS, letters.heading, "title")],
        [(", ".join(place), letters.note, "title")],
        [(f"Truss {truss.mark} as found", letters.title, "title")],
        [(", ".join(p for p in (project.number, project.location) if p), letters.note, "title")],
        [(project.name, letters.heading, "title")],
    ]
    shapes: list[Shape] = []
    y = y0
    for row in rows:
        cell = width / len(row)
        wrapped = [(wrap(text, cell - 2 * pad, height), height, layer) for text, height, layer in row]
        tall = max(len(lines) * 1.45 * height for lines, height, _ in wrapped) + 0.6 * letters.note
        if not any(lines for lines, _, _ in wrapped):
            continue
        for k, (lines, height, layer) in enumerate(wrapped):
            base = y + tall - 0.3 * letters.note
            for n, line in enumerate(lines):
                shapes.append(Text(layer, line, (x0 + k * cell + pad, base - (n + 1) * 1.45 * height + 0.3 * height), height))
            if k:
                shapes.append(Line("title", (x0 + k * cell, y), (x0 + k * cell, y + tall)))
        y += tall
        shapes.append(Line("title", (x0, y), (x1, y)))
    shapes.append(Line("title", (x0, y0), (x0, y)))
    return shapes, y
