"""The first sheet of the set: what it is about, design data, notes, inspections, index, key plan, symbols. Lengths in inches of paper."""

from __future__ import annotations

import math
from collections.abc import Sequence

from detailgen.core.units import UNITS, UnitSystem
from detailgen.model.package import Package, Repaired
from detailgen.model.project import METHOD_WORDS
from detailgen.model.roof_loads import Loads
from detailgen.outputs.drawings.blocks import TABLE_LEAST, Block, Listing, fill, listing, paragraphs
from detailgen.outputs.drawings.detail_words import length
from detailgen.outputs.drawings.firm_notes import note_lines
from detailgen.outputs.drawings.lettering import text_width, wrap
from detailgen.outputs.drawings.paper import set_paper
from detailgen.outputs.drawings.register import COVER, detail_number
from detailgen.outputs.drawings.shapes import Circle, Drawing, Line, Polyline, Shape, Solid, Text, moved
from detailgen.outputs.drawings.sheet_frame import CONTINUED, EDGE, Heading, framed, looking, trusses_words, with_continuations
from detailgen.outputs.drawings.sheets import Lettering

TITLE = 1 / 2
"""Height of the project's name."""
LINE_APART = 0.62
"""Between trusses of the key plan."""
IN_ONE_PLAN = 20
"""So many trusses stand in one block of the key plan: as many as any paper's height takes."""


def loads_rows(loads: Loads, units: UnitSystem) -> list[tuple[str, str]]:
    area = units.write_area_load
    unit, decimals = ("pcf", 0) if units.name == "US" else ("kN/m3", 2)
    weight = f"{loads.unit_weight / UNITS['unit weight'][unit]:.{decimals}f} {unit}"
    rows = [
        ("Roof dead load", f"{area(loads.roof_dead)} on the {loads.roof_dead_on}"),
        ("Ceiling dead load", area(loads.ceiling_dead)),
        ("Timber", weight if loads.unit_weight else "35 pcf (5.5 kN/m3), assumed"),
        ("Roof live load", area(loads.roof_live)),
    ]
    if loads.snow is not None:
        s = loads.snow
        rows += [
            ("Ground snow load", area(s.ground_snow)),
            ("Snow factors", f"exposure {s.exposure:g}, thermal {s.thermal:g}, importance {s.importance:g}"),
            ("Roof surface", "slippery" if s.slippery else "not slippery"),
        ]
    if loads.original is not None:
        source = f" ({loads.original.source})" if loads.original.source else ""
        rows.append(("Original design load", f"{area(loads.original.total)} in all{source}"))
    return rows


def design_data(package: Package, letters: Lettering) -> Listing:
    """Codes, loads, and what is not among them."""
    project, units = package.project, package.project.units
    rows = [
        ("Code path", project.code_path or "not stated"),
        ("Standards", ", ".join(package.standards)),
        ("Design method", METHOD_WORDS[project.method]),
        *loads_rows(project.loads, units),
    ]
    today = {units.write_area_load(t.before.snow.flat_roof_today) for t in package.trusses if t.before.snow is not None}
    if today:
        rows.append(("Flat-roof snow load", ", ".join(sorted(today))))
    rows += [
        ("Wind and seismic", "not part of this work; for the engineer to judge"),
        ("Top chords", ", ".join(dict.fromkeys("curved pieces" if t.before.truss.curved else "straight pieces" for t in package.trusses))),
        ("Supports", "; ".join(dict.fromkeys(", ".join(s.kind for s in t.before.truss.supports) for t in package.trusses))),
    ]
    return listing("DESIGN DATA", ("Item", "Value"), rows, letters)


def combinations(package: Package, letters: Lettering) -> Listing:
    found = {(c.name, c.duration, f"{c.cite.document} {c.cite.clause}"): None for t in package.trusses for c in t.before.combinations}
    return listing("LOAD COMBINATIONS", ("Combination", "Shortest load", "Clause"), list(found), letters)


def materials(package: Package, letters: Lettering) -> Listing:
    units = package.project.units
    rows: dict[tuple[str, str], None] = {}
    for m in package.marks:
        finish = f", {m.part.finish}" if m.part.finish else ""
        rows[m.part.kind, f"{m.part.specification}{finish}"] = None
    for d in package.details:
        for b in d.bolts:
            rows["bolt", f"{b.grade}, {length(b.diameter, units)} dia, with nut and washers"] = None
    existing = {(f"existing {p.kind}", p.specification): None for d in package.details for p in d.parts if p.existing}
    return listing("MATERIALS", ("Part", "Material"), [*sorted(rows), *sorted(existing)], letters)


def trusses_list(package: Package, letters: Lettering) -> Listing:
    """The whole job in a few lines: truss, ratio as found and as repaired, details."""
    rows = []
    for one in package.trusses:
        truss, before, after = one.before.truss, one.before.as_found, one.after.worst
        found = "no safe load path" if before.no_safe_load_path else f"{before.worst[1].ratio:.2f}" if before.worst else "not known"
        repaired = f"{after[1].ratio:.2f}" if after and one.details else "not repaired here" if one.refusals else "no repair"
        details = ", ".join(detail_number(d.key, package) for d in one.details) or "none"
        rows.append((truss.mark, truss.bay, length(truss.span, package.project.units), found, repaired, details))
    under = "Largest demand over capacity, all checks."
    return listing("TRUSSES", ("Mark", "Where", "Span", "As found", "As repaired", "Details"), rows, letters, under=under)


def index_list(index: Sequence[tuple[str, str]], letters: Lettering) -> Listing:
    return listing("SHEET INDEX", ("Sheet", "Title"), list(index), letters)


def assumptions(package: Package, letters: Lettering) -> Listing | None:
    """What was assumed and what page one must not hide."""
    flags = [f"Truss {t.before.truss.mark}: {flag}" for t in package.trusses for flag in t.before.flags]
    flags += [f"Truss {t.before.truss.mark}: {o.item} {o.value} ({o.reason})" for t in package.trusses for o in t.before.truss.overrides]
    lines = list(dict.fromkeys([*flags, *package.assumptions]))
    return paragraphs("ASSUMPTIONS AND OVERRIDES", lines, letters) if lines else None


def key_plans(package: Package, letters: Lettering) -> list[Listing]:
    """The key plan, of many trusses in several blocks."""

    def plan(few: Sequence[Repaired], title: str) -> Listing:
        return Listing(title, (("",),), TABLE_LEAST * letters.note, lambda *given: _key_plan(few, title, package, given[-1], letters))

    groups = [package.trusses[k : k + IN_ONE_PLAN] for k in range(0, len(package.trusses), IN_ONE_PLAN)]
    return [plan(few, "KEY PLAN" if few is groups[0] else "KEY PLAN, continued") for few in groups]


def _key_plan(few: Sequence[Repaired], title: str, package: Package, width: float, letters: Lettering) -> Block:
    """Trusses as lines between their bearings, seen from above; rings where details are. Only the lengths are to scale."""
    h = letters.note
    shapes: list[Shape] = [Text("notes", title, (0.0, -1.1 * letters.heading), letters.heading),
                           Line("tables", (0.0, -1.6 * letters.heading), (width, -1.6 * letters.heading))]  # fmt: skip
    trusses = [t.before.truss for t in package.trusses]
    before = max(text_width(t.bay, h) for t in trusses) + 0.15
    after = max(text_width(f"truss {t.mark}", h) for t in trusses) + 0.25
    x0, room = before, width - before - after
    factor = max(t.span for t in trusses) / room
    top = -1.6 * letters.heading - 0.75
    for k, one in enumerate(few):
        truss, y = one.before.truss, top - k * LINE_APART
        end = x0 + truss.span / factor
        shapes += [Line("existing", (x0, y), (end, y)), Text("notes", truss.bay, (0.0, y - h / 2), h),
                   Text("notes", f"truss {truss.mark}", (x0 + room + 0.25, y - h / 2), h)]  # a ring may stand at the end  # fmt: skip
        shapes += _rings(one, package, (x0, x0 + room), y, factor, letters)
    low = top - (len(few) - 1) * LINE_APART - 0.3
    shapes += [Line("existing", (x, top + 0.3), (x, low)) for x in (x0 - 0.04, x0, x0 + room, x0 + room + 0.04)]
    seen = looking(package.project)
    words = [package.project.grid, f"elevations {seen}" if seen else "", "Rings: details and their sheets. Distance between trusses not to scale."]
    y = low
    for line in wrap("; ".join(w for w in words if w), width, h):
        y -= letters.line
        shapes.append(Text("notes", line, (0.0, y), h))
    return Block(tuple(shapes), -y + 0.17)


def _rings(one: Repaired, package: Package, walls: tuple[float, float], y: float, factor: float, letters: Lettering) -> list[Shape]:
    """A ring for each detail; over those that stand close together the numbers of all, between the lines of the walls."""
    shapes: list[Shape] = []
    together: list[tuple[float, list[str]]] = []
    for detail in sorted(one.details, key=lambda d: d.station):
        at, name = walls[0] + detail.station / factor, detail_number(detail.key, package)
        shapes.append(Circle("new steel", (at, y), 0.1))
        if together and at - together[-1][0] < text_width(", ".join([*together[-1][1], name]), letters.note):
            together[-1][1].append(name)
        else:
            together.append((at, [name]))
    for at, names in together:
        words = ", ".join(sorted(names))
        half = text_width(words, letters.note) / 2 + 0.08
        middle = min(max(at, walls[0] + half), walls[1] - half)
        shapes.append(Text("notes", words, (middle, y + 0.16), letters.note, 0.0, "middle"))
    return shapes


def symbols(letters: Lettering) -> Listing:
    return Listing("SYMBOLS AND LINES", (("",),), 3.9, lambda _title, _first, _items, width: _symbols(width, letters))


def _symbols(width: float, letters: Lettering) -> Block:
    """Each with a sample as the sheets draw it."""
    h = letters.note

    def line(role: str) -> list[Shape]:
        return [Line(role, (0.0, 0.0), (1.1, 0.0))]

    arrow = Solid("symbols", ((0.0, 0.0), (0.11, 0.02), (0.11, -0.02)))
    back = Solid("symbols", ((0.9, 0.0), (0.79, 0.02), (0.79, -0.02)))
    ring: list[Shape] = [Circle("symbols", (0.55, 0.0), 0.3), Line("symbols", (0.25, 0.0), (0.85, 0.0)),
                         Text("notes", "1", (0.55, 0.08), h, 0.0, "middle")]  # fmt: skip
    cut: list[Shape] = [Line("cut", (0.5, -0.1), (0.5, 0.12)), Line("cut", (0.5, 0.12), (0.35, 0.12)),
           Solid("symbols", ((0.2, 0.12), (0.35, 0.15), (0.35, 0.09))), Text("notes", "A", (0.68, 0.02), letters.heading, 0.0, "middle")]  # fmt: skip
    jag = Polyline("symbols", ((0.5, -0.15), (0.5, -0.05), (0.6, -0.02), (0.4, 0.02), (0.5, 0.05), (0.5, 0.15)))
    box = ((0.2, -0.08), (0.9, -0.08), (0.9, 0.08), (0.2, 0.08))
    removed: list[Shape] = [Polyline("remove", box, True), Line("remove", box[0], box[2]), Line("remove", box[1], box[3])]
    centre: list[Shape] = [Circle("holes", (0.5, 0.0), 0.06), Line("centre", (0.35, 0.0), (0.65, 0.0)), Line("centre", (0.5, -0.15), (0.5, 0.15))]
    items: list[tuple[list[Shape], str]] = [
        (line("existing"), "(E) existing timber, stays"), (line("new steel"), "(N) new steel and timber"),
        (line("hidden"), "edge behind another part"), (line("centre"), "centre line, work point line"),
        (line("temporary"), "temporary: shores"), (removed, "existing, cut out"), (line("limits"), "limits of a detail"),
        (ring, "detail, over the sheet on which it is drawn"), (cut, "section, looking in the arrow's direction"),
        (centre, "hole with its centre mark"), ([jag], "the part runs on"),
        ([Line("symbols", (0.0, 0.0), (0.9, 0.0)), arrow, back], "direction of the grain"),
    ]  # fmt: skip
    shapes: list[Shape] = [Text("notes", "SYMBOLS AND LINES", (0.0, -1.1 * letters.heading), letters.heading),
                           Line("tables", (0.0, -1.6 * letters.heading), (width, -1.6 * letters.heading))]  # fmt: skip
    y = -1.6 * letters.heading - 0.05
    for symbol, words in items:
        tall = 0.68 if symbol is ring else 0.38 if len(symbol) > 1 or symbol[0] is jag else 0.27
        y -= tall / 2
        shapes += [moved(s, 0.0, y) for s in symbol]
        shapes.append(Text("notes", words, (1.35, y - h / 2), h))
        y -= tall / 2
    return Block(tuple(shapes), -y + 0.17)


def abbreviations(letters: Lettering, *, sisters: bool = False, pieces: bool = False, sides: bool = False, braces: bool = False) -> Listing:
    rows = [
        ("(E)", "existing"), ("(N)", "new"), ("WP", "work point"), ("SPA", "spaces"), ("dia", "diameter"), ("PL", "plate"), ("FB", "filler block"),
        ("SB", "splice block"), *([("WS", "web sister")] if sisters else []), *([("RP", "replacement piece")] if pieces else []),
        *([("SM", "side member of a chord")] if sides else []), *([("BL", "brace line")] if braces else []),
        ("near side", "side of the truss that faces the viewer of the elevations"), ("far side", "the other side"),
        ("shop", "made in the shop"), ("field", "made on site, through the template named"),
    ]  # fmt: skip
    return listing("ABBREVIATIONS", ("Short", "Meaning"), rows, letters)


def draw_cover(package: Package, index: Sequence[tuple[str, str]]) -> list[Drawing]:
    """``index``: number and title of every other sheet, in order."""
    project = package.project
    units = project.units
    sheet = set_paper(units, package.project.templates)
    letters = sheet.letters
    x0, y0, x1, y1 = sheet.inner
    left = x1 - sheet.column
    title = "Cover, notes and index"
    place = trusses_words([t.before.truss.mark for t in package.trusses])

    def heading(name: str, page: int) -> Heading:
        return Heading(name, title + (", continued" if page > 1 else ""), place, package.status, "none", "Design sheet")

    frame, top = framed(package, heading(COVER, 1), sheet, left)
    y = y1 - EDGE - TITLE
    shapes: list[Shape] = [*frame, Text("title", project.name, (x0 + EDGE, y), TITLE)]
    subject = ", ".join(p for p in ("Repair of timber roof trusses", project.number, project.location, f"revision {project.revision}") if p)
    y -= 0.2 + letters.title
    shapes += [Text("title", subject, (x0 + EDGE, y), letters.title), Line("title", (x0, y - 0.2), (left, y - 0.2))]
    columns = 3
    wide = (left - x0 - EDGE * 2 - 0.4 * (columns - 1)) / columns
    rooms = [(x0 + EDGE + k * (wide + 0.4), y0 + EDGE, x0 + EDGE + k * (wide + 0.4) + wide, y - 0.35) for k in range(columns)]
    flags = assumptions(package, letters)
    blocks = [
        [index_list([(COVER, title), *index], letters), trusses_list(package, letters), *key_plans(package, letters)],
        [paragraphs("GENERAL NOTES", note_lines("notes/general.txt", package), letters)],
        [design_data(package, letters), combinations(package, letters), materials(package, letters), *([flags] if flags else [])],
    ]
    late: list[Listing] = []
    for lists, room in zip(blocks, rooms, strict=True):
        filled, rest = fill(lists, [room], wide)
        shapes += filled
        late += rest
    remedies = {d.remedy for d in package.details}
    short = abbreviations(
        letters, sisters="sister" in remedies, pieces="replacement" in remedies, sides="side_member" in remedies, braces="brace" in remedies
    )
    filled, rest = fill([short, symbols(letters)], [(left + EDGE, top + CONTINUED, x1 - EDGE, y1 - EDGE)], sheet.column - 2 * EDGE)
    shapes += filled
    inspections = paragraphs("SPECIAL INSPECTIONS", note_lines("notes/special_inspections.txt", package), letters)
    low = [(room[0], room[1], room[2], min([room[3], *(_bottom(s) for s in shapes if _inside(s, room))]) - 0.2) for room in rooms]
    filled, rest2 = fill([inspections, *late, *rest], sorted(low, key=lambda r: r[1] - r[3]), wide)
    shapes += filled
    return with_continuations(package, sheet, heading, COVER, title, shapes, rest2, top)


def _bottom(shape: Shape) -> float:
    match shape:
        case Text():
            return shape.at[1]
        case Line():
            return min(shape.start[1], shape.end[1])
        case Circle():
            return shape.centre[1] - shape.radius
    return math.inf


def _inside(shape: Shape, room: tuple[float, float, float, float]) -> bool:
    match shape:
        case Text():
            x, y = shape.at
        case Line():
            x, y = shape.start
        case _:
            return False
    return room[0] - 1e-6 <= x <= room[2] and room[1] <= y <= room[3]
