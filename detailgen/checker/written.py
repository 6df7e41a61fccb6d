"""The tables of a sheet against its face views and its plan, row by row."""

from __future__ import annotations

import itertools
import math
import re
from collections import Counter, defaultdict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from detailgen.checker import measure
from detailgen.checker.captions import judge_captions
from detailgen.checker.drawing import Drawing, Face
from detailgen.checker.placing import placed_parts
from detailgen.checker.rules import GREATEST, PROVIDED, REQUIRED
from detailgen.checker.sheet_tables import SheetTable, tables
from detailgen.checker.statements import WRITTEN, Names, Told, drawn_bolts, size_of
from detailgen.checker.views import judge_views
from detailgen.core.result import CheckResult, State
from detailgen.model.detail import OLD_HOLES

Row = Mapping[str, str]
STEEL_WEIGHT = 490 / 1728
"""lb/in3; 490 lb/ft3 of the steel manuals, common practice."""
POUND = 0.45359237
MOST_TEXTS = 5000
"""Texts of one sheet that are held against what is drawn; a sheet has some hundred."""


def judge_written(drawing: Drawing, results: Sequence[CheckResult]) -> list[CheckResult]:
    """Every row and caption. ``results``: what was measured for the face views, which the table of reasons repeats."""
    if not drawing.faces:
        return []
    told = Told(drawing)
    if len(drawing.texts) > MOST_TEXTS:
        told.unread("texts", f"a sheet with at most {MOST_TEXTS:,} texts; here are {len(drawing.texts):,}")
        return told.results
    names = Names(drawing)
    found = tables(drawing.texts)
    by_title: dict[str, list[SheetTable]] = defaultdict(list)
    for table in found:
        by_title[table.title].append(table)
        if table.missing:
            told.unread(f"table {table.title}", f"its column {' and '.join(table.missing)}")
    judges = {"HOLES": _holes, "PARTS": _parts, "BOLTS": _bolts}
    for title, same in by_title.items():
        rows = [row for table in same if not table.missing for row in table.rows]
        if title == "WHY":
            _whys(told, names, rows, results)
        elif rows:
            judges[title](told, names, rows)
    judge_captions(told, names, found)
    judge_views(told, names)
    _elsewhere(told, names)
    if told.sound and not told.results:
        nan = math.nan
        check = f"{told.sound} statements of tables and captions agree with what is drawn"
        told.results.append(CheckResult("tables and captions", check, nan, nan, "", nan, State.PASSES, "", "", nan, WRITTEN))
    return told.results


_CONTINUED = re.compile(r"Continued on sheet (?P<number>[^\s:]+):")
INCOMPLETE = ("no row for", "no place for the hole", "no row of the table")


def _elsewhere(told: Told, names: Names) -> None:
    """Where lists go on on a sheet that is not here, nothing is said of rows that are not here either."""
    away = sorted({m["number"] for text in names.sentences if (m := _CONTINUED.search(text))} - set(told.drawing.attached))
    if not away:
        return
    told.results = [r for r in told.results if not r.check.startswith(INCOMPLETE) and not r.where.startswith("table BOLTS, bolts of")]
    told.unread("tables", f"sheet {' and '.join(away)}, on which the lists go on, to be checked together with this one")


def _holes(told: Told, names: Names, rows: Sequence[Row]) -> None:
    """Running ordinates of every hole: from the left end or from the work point, and from the lower edge (of a curve from the work point too)."""
    stated: dict[Face, list[_Place]] = defaultdict(list)
    from_wp: set[Face] = set()
    curved: set[Face] = set()
    for row in rows:
        xs, (made, _, template), size = row["x"], row["Made"].partition(", "), told.length(row["Dia"])
        if template and template != OLD_HOLES:
            told.known(f"table HOLES, row {row['Part']}, made {row['Made']}", template, names.by_mark)
        pairs = itertools.product(xs.replace("(WP)", "").split(";"), row["y"].replace("(WP)", "").split(";"))
        places = [_Place(told.length(x), told.length(y), size, made) for x, y in pairs]
        faces = names.faces(row["Part"])
        if not faces:
            told.unread(f"table HOLES, row {row['Part']}", f"a face view of '{row['Part']}'")
            continue
        face = min(faces, key=lambda f: _cost(f, [*stated[f], *places], "WP" in xs))
        stated[face] += places
        from_wp |= {face} if "WP" in xs else set()
        curved |= {face} if "WP" in row["y"] else set()
    shifts = {f: _origin(f, places) for f, places in stated.items() if f in from_wp and places}
    for face, places in stated.items():
        level = _level(face, places) if face in curved and places else face.outline.box[1]
        _compare(told, face, places, (shifts.get(face, face.outline.box[0]), level))
    _one_work_point(told, shifts)
    for face in told.drawing.faces:
        if not stated.get(face) and any(not h.slot for h in face.new_holes) and (face.mark or face.existing) and not face.layout:
            told.differs(f"table HOLES and {face.name}", "no row for the holes of this part")


@dataclass(frozen=True)
class _Place:
    x: float
    y: float
    size: float
    made: str


def _origin(face: Face, places: Sequence[_Place]) -> float:
    """Where the work point must be for the first hole of the row to be the first one drawn."""
    return min((h.x for h in face.made_holes if not h.slot), default=0.0) - min(p.x for p in places)


def _level(face: Face, places: Sequence[_Place]) -> float:
    """The same across the part, for a piece of a curve, whose lower edge is no datum."""
    return min((h.y for h in face.made_holes if not h.slot), default=0.0) - min(p.y for p in places)


def _cost(face: Face, places: Sequence[_Place], from_wp: bool) -> float:
    """How far a row is from the holes of a face view, to tell which of two parts of one name it means."""
    holes = [h for h in face.made_holes if not h.slot]
    x0, y0, _, _ = face.outline.box
    near = [(0.0 if from_wp else x0), y0]
    away = [min((math.hypot(h.x - near[0] - p.x, h.y - near[1] - p.y) for h in holes), default=99.0) for p in places]
    return sum(away) + 10.0 * max(0, len(places) - len(holes))


def _compare(told: Told, face: Face, places: Sequence[_Place], datum: tuple[float, float]) -> None:
    rest = [h for h in face.made_holes if not h.slot]
    origin, y0 = datum
    where = f"table HOLES and {face.name}"
    for p in places:
        near = min(rest, key=lambda h: max(abs(h.x - origin - p.x), abs(h.y - y0 - p.y)), default=None)
        if near is None:
            told.differs(where, f"a hole at x {told.words(p.x)} that is not drawn")
            continue
        rest.remove(near)
        off = max(abs(near.x - origin - p.x), abs(near.y - y0 - p.y))
        if not off <= told.half:
            place = f"a hole at x {told.words(p.x)}, y {told.words(p.y)}"
            told.differs(where, f"{place}; the next one drawn stands {told.words(off)} off", off, 0.0, "in")
        told.same(where, "states the diameter", p.size, near.diameter)
        told.equal(where, "states as made", p.made, near.made)
    for h in rest:
        told.differs(where, f"no place for the hole that is drawn at x {told.words(h.x - origin)}, y {told.words(h.y - y0)}")


def _one_work_point(told: Told, shifts: Mapping[Face, float]) -> None:
    """Ordinates from the work point mean one point: over the joined hole patterns where the views were moved apart."""
    if max(shifts.values(), default=0.0) - min(shifts.values(), default=0.0) <= told.half:
        return
    for detail, group in sorted({(f.detail, g) for f in shifts for g in f.groups}):
        members = [f for f in told.drawing.faces if f.detail == detail and group in f.groups]
        points = {p.face: p.out((shifts[p.face], 0.0))[0] for p in placed_parts(members, group, told.drawing) if p.face in shifts and not p.turn}
        usual = Counter(round(v, 2) for v in points.values()).most_common(1)
        for face, v in points.items():
            if abs(v - usual[0][0]) > told.half + 0.01:
                told.differs(f"table HOLES and {face.name}", f"ordinates from another work point, {told.words(abs(v - usual[0][0]))} off")


def _parts(told: Told, names: Names, rows: Sequence[Row]) -> None:
    seen: list[Face] = []
    for row in rows:
        name = row["Mark"] if row["Mark"] not in ("(E)", "(N)") else f"{row['Mark']} {row['Part']}"
        where = f"table PARTS, row {name}"
        faces = [f for f in names.faces(name) if f not in seen]
        if not faces:
            told.unread(where, f"a face view of '{name}'")
            continue
        trials: list[tuple[int, int, Told, Face]] = []
        for face in faces:
            trial = Told(told.drawing)
            _part(trial, face, row, where)
            trials.append((len(trial.results), len(trials), trial, face))
        _, _, best, face = min(trials)
        told.take(best)
        seen.append(face)
    for face in told.drawing.faces:
        if face not in seen and face.mark and not face.layout:
            told.differs(f"table PARTS and {face.name}", "no row for this part")


def _part(told: Told, face: Face, row: Row, where: str) -> None:
    here, _, total = row["Qty"].partition(" / ")
    if face.existing:
        told.equal(where, "quantity", here, "1")
    elif not (here.isdecimal() and total.isdecimal() and int(here) <= int(total)):
        told.differs(where, f"{here} here of {total} in the project")
    size_of(told, face, row["Thickness"], where)
    if not row["Material"].startswith(face.specification):
        told.differs(where, f"states the material {row['Material']}, its face view {face.specification}")
    kinds = sorted({h.made for h in face.made_holes}, reverse=True)
    told.equal(where, "states the holes as made in", row["Holes"], " and ".join(kinds) if kinds else "none")
    weight = next((row[k] for k in ("lb", "kg") if row.get(k)), "")
    thickness = told.drawing.thickness(face)
    if weight and thickness and face.material == "steel":
        drawn = face.net_area * thickness * STEEL_WEIGHT * (POUND if "kg" in row else 1.0)
        if abs(float(weight) - drawn) > 0.051 + 0.0005 * drawn:
            told.differs(where, f"states a weight of {weight}, drawn {drawn:.1f}", float(weight), drawn)
        told.sound += 1


def _bolts(told: Told, _: Names, rows: Sequence[Row]) -> None:
    drawn, listed = drawn_bolts(told.drawing), Counter[float]()
    for row in rows:
        where = f"table BOLTS, row {row['Diameter']}"
        diameter, length, grip = (told.length(row[k].replace(" dia", "")) for k in ("Diameter", "Length", "Grip"))
        count = int(row["Qty"]) if row["Qty"].isdecimal() else 0
        nearest = min(drawn, key=lambda d: abs(d - diameter), default=math.nan)
        if not abs(nearest - diameter) <= told.half:
            told.differs(where, "a bolt that no hole in the face views names")
            continue
        listed[nearest] += count
        told.equal(where, "nuts", row["Nuts"], row["Qty"])
        if not row["Washers"].isdecimal() or not count or int(row["Washers"]) % count:
            told.differs(where, f"{row['Washers']} washers for {row['Qty']} bolts")
        edges = sorted({v for _, y0, _, y1 in told.drawing.stack.values() for v in (y0, y1)})
        if edges and min((abs(b - a - grip) for a, b in itertools.combinations(edges, 2)), default=math.inf) > told.half:
            told.differs(where, f"states a grip of {told.words(grip)}, which no parts in the plan have together", grip, math.nan, "in")
        if not length > grip:
            told.differs(where, f"a bolt of {told.words(length)} for a grip of {told.words(grip)}", length, grip, "in")
        told.sound += 1
    for diameter in sorted({*drawn, *listed}):
        told.equal(f"table BOLTS, bolts of {told.words(diameter)}", "quantity", listed[diameter], drawn[diameter])


_CLAUSE = re.compile(r"[A-Z]?\d+(?:\.\d+)*[A-Z]?")
WHYS: Mapping[str, tuple[str, Callable[[Sequence[float]], float]]] = {
    "end distance": ("end distance", min),
    "spacing in a row": ("spacing in a row", min),
    "edge distance": ("edge distance", min),
    "row spacing": ("distance between rows", min),
    "outer rows through steel": ("outer rows through one steel part", max),
}
"""What the table of reasons calls a dimension of wood, what the checker calls it, and which of several it means."""
PLATES = {
    "plate end distance": "nearest edge of the plate", "plate edge distance": "nearest edge of the plate",
    "plate spacing": "distance between holes", "plate gauge": "distance between holes",
}  # fmt: skip


def _plate(face: Face, what: str) -> float:
    """A distance of a steel part (in), along or across it."""
    along = (1.0, 0.0)
    found = [r for g in face.groups for r in [measure.rows(face.of_group(g), along)]]
    if what == "plate spacing":
        return min((p.distance for rows in found for p in measure.spacings(rows)), default=math.nan)
    if what == "plate gauge":
        return min((p.distance for rows in found for p in measure.gauges(rows)), default=math.nan)
    d = along if what == "plate end distance" else (0.0, 1.0)
    return min((face.outline.ray(h.at, (s * d[0], s * d[1])) for h in face.new_holes for s in (-1, 1)), default=math.nan)


def _whys(told: Told, names: Names, rows: Sequence[Row], results: Sequence[CheckResult]) -> None:
    """The table of reasons repeats what the checker measures for the parts that carry, and what it asks of them.

    A dimension may name its part after a comma: then only what was measured in that part counts.
    """
    for row in rows:
        dimension, _, part = row["Dimension"].partition(", ")
        steel = dimension in PLATES
        if (dimension not in WHYS and not steel) or row["Provided"] == "":
            continue
        parts = [f"{f.name}, " for f in names.faces(part)] if part else [""]
        if not parts:
            told.unread(f"table WHY, row {row['Dimension']}", f"a face view of '{part}'")
            continue
        what, pick = (PLATES[dimension], min) if steel else WHYS[dimension]
        known = [r for r in results if "no load of this group" not in r.check and r.state is not State.CANNOT_BE_CHECKED]
        new = [r for r in known if r.check.startswith(what) and r.where.startswith(tuple(parts))]
        values = [{s.symbol: s.value for s in r.steps} for r in new]
        if not new:
            continue
        where = f"table WHY, row {row['Dimension']}"
        plates = [d for f in told.drawing.faces if f.material == "steel" and not math.isnan(d := _plate(f, dimension))] if steel else []
        if provided := plates or [v[PROVIDED] for v in values if PROVIDED in v]:
            told.same(where, "states as provided", told.length(row["Provided"]), pick(provided))
        symbol = "full value from" if row["Rule"] == "for the full value" else GREATEST if row["Rule"].startswith("at most") else REQUIRED
        if (asked := [v[symbol] for v in values if symbol in v]) and row["Rule"] in ("for the full value", "at least", "at most"):
            told.same(where, "states as required", told.length(row["Required"]), max(asked))
        clauses = {c for r in new for c in _CLAUSE.findall(str(r.cite))}
        stated = _CLAUSE.findall(row["Clause"])
        if all(any(c == own or own.startswith(f"{c}.") for own in clauses) for c in stated):
            told.sound += 1
        else:
            told.differs(where, f"names the clause {row['Clause']}, measured by {new[0].cite}")
