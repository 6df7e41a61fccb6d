"""Sheets that only list (schedules of the project, parts for the shop, the form of what is measured on site), row by row against the drawings that
are checked together with them."""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from detailgen.checker import measure
from detailgen.checker.drawing import Drawing, Face
from detailgen.checker.sheet_tables import SheetTable, one_line, whole_table
from detailgen.checker.statements import WRITTEN, Told, drawn_bolts
from detailgen.checker.strength import parts_of_this_size
from detailgen.checker.written import POUND, STEEL_WEIGHT
from detailgen.core.result import CheckResult, State

Row = Mapping[str, str]
STRANDS = "strands"
TIES = "ties, "
"""The group of holes that strands pass, and how groups of those begin that rods pass."""
_SHEET = re.compile(r"^Sheet (?P<number>\S+)$")
_TIMES = re.compile(r"(?P<mark>[A-Z]+-\d+) x(?P<count>\d+)")
_LAYOUT = re.compile(r"(?P<rows>\d+) rows? of (?P<count>\d+)")
_CUTS = re.compile(r"(?P<count>\d+) of (?P<marks>[A-Z]+-\d+(?:, [A-Z]+-\d+)*)")
_CUT_FILE = re.compile(r"(?P<mark>[A-Z]+-\d+)_[^_]+_x(?P<count>\d+)\.dxf$")


@dataclass
class Project:
    """What the drawings of one package show together."""

    marks: dict[str, tuple[Face, float | None]] = field(default_factory=dict)
    counts: Counter[str] = field(default_factory=Counter)
    alike: dict[str, set[str]] = field(default_factory=dict)  # marks of one size in one joint: only their sum is known
    joints: dict[str, Drawing] = field(default_factory=dict)
    sheets: dict[str, str] = field(default_factory=dict)  # joint by sheet number
    files: set[str] = field(default_factory=set)


def built(face: Face) -> int:
    """How often the joint of a face view is built in its truss."""
    return int(face.facts.get("times", "1"))


def joint_built(drawing: Drawing, joint: str) -> int:
    return max((built(f) for f in drawing.faces if f.detail == joint), default=1)


def sheet_number(drawing: Drawing) -> str:
    """As its title block says, or a text where the block was exploded."""
    return drawing.fields.get("SHEET", "") or next((m["number"] for t in drawing.texts if t.layout and (m := _SHEET.match(one_line(t.text)))), "")


def project_of(drawings: Sequence[tuple[str, Drawing]]) -> Project:
    """drawings: of one package, by the names of their files"""
    out = Project()
    for name, drawing in sorted(drawings, key=lambda item: (sheet_number(item[1]), item[0])):
        out.files.add(name)
        joints = {f.detail for f in drawing.faces if f.detail}
        if not drawing.stack or (joints and joints <= out.joints.keys()):  # a cut file, and a joint's next sheet, repeat what its first one shows
            continue
        for joint in joints:
            out.joints[joint] = drawing
            if number := sheet_number(drawing):
                out.sheets[number] = joint
        for face in drawing.faces:
            if face.mark:
                out.marks.setdefault(face.mark, (face, drawing.thickness(face)))
                out.counts[face.mark] += parts_of_this_size(drawing, face) * built(face)
                same = {f.mark for f in drawing.faces if f.mark and _size(drawing, f) == _size(drawing, face)}
                out.alike.setdefault(face.mark, set()).update(same)
    return out


def _size(drawing: Drawing, face: Face) -> tuple[float, float]:
    x0, _, x1, _ = face.outline.box
    return round(x1 - x0, 2), round(drawing.thickness(face) or 0.0, 3)


def with_continuations(drawings: Sequence[tuple[str, Drawing]]) -> dict[str, Drawing]:
    """Drawings of one package by name: each sheet of a joint that holds its parts has the texts of the sheets on which its views and lists go on;
    a sheet without parts has no texts of its own."""
    numbers = {name: sheet_number(d) for name, d in drawings}
    bases = {numbers[name]: name for name, d in drawings if d.faces and numbers[name]}
    pages: dict[str, list[str]] = {}
    for name, _ in sorted(drawings, key=lambda item: item[0]):
        base, _, page = numbers[name].rpartition("-")
        if page.isdecimal() and base in bases:
            pages.setdefault(base, [bases[base]]).append(name)
    given, out = dict(drawings), dict(drawings)
    for same in pages.values():
        for name in same:
            if not given[name].faces:
                out[name] = replace(given[name], texts=())
                continue
            out[name] = replace(given[name], attached=(*given[name].attached, *(numbers[o] for o in same)))
            for other in (o for o in same if o != name):
                whole = out[name]
                shift = 1 + max((t.layout for t in whole.texts), default=0)
                texts = tuple(replace(t, layout=t.layout + shift) for t in given[other].texts if t.layout)
                out[name] = replace(whole, texts=whole.texts + texts)
    return out


def lists_in(drawing: Drawing) -> list[SheetTable]:
    """The tables of a sheet of lists."""
    headings = sorted((t for t in drawing.texts if one_line(t.text).split(", continued")[0] in JUDGES), key=lambda t: (t.layout, -t.at[1], t.at[0]))
    return [whole_table(t, [o for o in drawing.texts if o.layout == t.layout and o is not t]) for t in headings]


def judge_schedules(drawing: Drawing, project: Project) -> list[CheckResult]:
    """Every row of every list on a sheet without face views."""
    told = Told(replace(drawing, faces=()))
    seen = 0
    found = lists_in(drawing)
    if found and not project.joints:  # bolts alone bring no mark
        told.unread(", ".join(dict.fromkeys(f"table {t.title}" for t in found)), "the drawings of the joints, to be checked together with this sheet")
        return told.results
    for table in found:
        if table.missing or not table.rows:
            told.unread(f"table {table.title}", " and ".join(table.missing) or "a row")
            continue
        for row in table.rows:
            name = next(iter(row.values()))
            JUDGES[table.title](told, project, row, f"table {table.title}, row {name}")
            seen += 1
        if table.title == "BOLTS":
            _bolts_of_joints(told, project, table.rows)
        if table.title == "PARTS":
            for mark in sorted(set(project.marks) - {_get(r, "mark") for t in found if t.title == "PARTS" for r in t.rows}):
                told.differs("table PARTS", f"no row for {mark}, which is drawn")
    if told.sound and not told.results:
        nan = math.nan
        check = f"{told.sound} statements in {seen} rows agree with what is drawn"
        told.results.append(CheckResult("lists", check, nan, nan, "", nan, State.PASSES, "", "", nan, WRITTEN))
    return told.results


def _get(row: Row, begins: str) -> str:
    """The cell of the first column whose heading begins so."""
    return next((v for k, v in row.items() if k.startswith(begins)), "")


def _has(row: Row, begins: str) -> bool:
    return any(k.startswith(begins) for k in row)


def _known(told: Told, project: Project, mark: str, where: str) -> tuple[Face, float | None] | None:
    if mark not in project.marks:
        told.differs(where, f"no face view shows {mark}")
    return project.marks.get(mark)


def _count(told: Told, project: Project, mark: str, text: str, where: str) -> None:
    """Quantity of a mark; of marks of one size in one joint only the sum is drawn, and the schedule of parts is held against it."""
    if project.alike.get(mark, {mark}) == {mark}:
        told.equal(where, "quantity", int(text) if text.isdecimal() else text, project.counts[mark])
    for name in sorted(project.files):
        if (m := _CUT_FILE.search(name)) and m["mark"] == mark:
            told.equal(where, f"quantity against the cut file {name}:", text, m["count"])


def _parts(told: Told, project: Project, row: Row, where: str) -> None:
    mark = _get(row, "mark")
    known = _known(told, project, mark, where)
    if known is None:
        return
    face, thickness = known
    quantity = _get(row, "quantity")
    _count(told, project, mark, quantity, where)
    _sizes(told, row, face, thickness, where)
    for column in ("material", "species"):
        if _has(row, column) and not _get(row, column).startswith(face.specification):
            told.differs(where, f"states the material {_get(row, column)}, its face view {face.specification}")
    _weights(told, row, face, thickness, quantity, where)
    file = _get(row, "file").replace(" ", "")  # a name may be broken over two lines
    cut = [name for name in project.files if _CUT_FILE.search(name)]  # where none is checked with the sheets, nothing is said of them
    if file and cut and not any(name.endswith(file.removeprefix("cut/")) for name in cut):
        told.differs(where, f"names the file {file}, which is not among those that are checked")


def _sizes(told: Told, row: Row, face: Face, thickness: float | None, where: str) -> None:
    x0, y0, x1, y1 = face.outline.box
    for column, drawn in (("length", x1 - x0), ("width", y1 - y0), ("thickness", thickness)):
        if _has(row, column) and drawn is not None:
            stated, blank = told.length(_get(row, column)), _blank(face) if column == "width" else 0.0
            if abs(stated - drawn) > told.half and drawn <= blank + told.half:  # it is told what the part is sawn out of, and it comes out of that
                drawn = blank
            told.same(where, f"states the {column}", stated, drawn)


def _blank(face: Face) -> float:
    """Depth (in) of the straight timber that a curved part is sawn out of, as its outline says; 0 where it says nothing."""
    number, _, unit = face.facts.get("sawn out of", "").partition(" ")
    try:
        return float(number) if unit == "in" else 0.0
    except ValueError:
        return 0.0


def _weights(told: Told, row: Row, face: Face, thickness: float | None, quantity: str, where: str) -> None:
    each, total = _get(row, "weight each"), _get(row, "weight total")
    try:
        one, all_of = float(each.replace(",", "")), float(total.replace(",", ""))
    except ValueError:
        return
    if quantity.isdecimal() and abs(one * int(quantity) - all_of) > 0.006 * (int(quantity) + 1):
        told.differs(where, f"states {total} in all for {quantity} of {each}", all_of, one * int(quantity))
    if face.material == "steel" and thickness:
        drawn = face.net_area * thickness * STEEL_WEIGHT * (POUND if any("kg" in k for k in row) else 1.0)
        if abs(one - drawn) > 0.051 + 0.0005 * drawn:
            told.differs(where, f"states a weight of {each}, drawn {drawn:.2f}", one, drawn)
    told.sound += 1


def _bolts(told: Told, project: Project, row: Row, where: str) -> None:
    size, quantity, spares = told.length(_get(row, "diameter")), _get(row, "quantity"), _get(row, "spares") or "0"
    total = 0
    for part in _get(row, "where").split("; "):
        joint, _, count = part.partition(": ")
        if joint not in project.joints:
            told.differs(where, f"names the joint {joint}, which no drawing shows")
            continue
        if not any(abs(d - size) <= told.half for d in drawn_bolts(project.joints[joint])):
            told.differs(f"{where}, {joint}", "a bolt that no hole in the face views names")
        total += int(count) if count.isdecimal() else 0
    told.equal(where, "quantity", quantity, str(total))
    if quantity.isdecimal() and spares.isdecimal():
        told.equal(where, "nuts", _get(row, "nuts"), str(int(quantity) + int(spares)))
    if not told.length(_get(row, "length")) > told.length(_get(row, "grip max")):
        told.differs(where, f"a bolt of {_get(row, 'length')} for a grip of {_get(row, 'grip max')}")


def _bolts_of_joints(told: Told, project: Project, rows: Sequence[Row]) -> None:
    """Of each joint and diameter the rows together, whatever their lengths, tell of all bolts that are drawn."""
    listed: dict[tuple[str, float], list[tuple[str, int]]] = {}
    for row in rows:
        size = told.length(_get(row, "diameter"))
        for part in _get(row, "where").split("; "):
            joint, _, count = part.partition(": ")
            if joint in project.joints:
                name = f"table BOLTS, row {next(iter(row.values()))}, {joint}"
                listed.setdefault((joint, round(size, 3)), []).append((name, int(count) if count.isdecimal() else 0))
    for (joint, size), said in listed.items():
        drawn = sum(n for d, n in drawn_bolts(project.joints[joint]).items() if abs(d - size) <= told.half) * joint_built(
            project.joints[joint], joint
        )
        total = sum(n for _, n in said)
        if total == drawn:
            told.sound += len(said)
        else:
            for name, n in said:
                told.equal(name, "bolts", str(n), str(drawn - (total - n)))


def _times(layout: str) -> int:
    """How often a joint has the rows of its layout."""
    return 4 if "each side of two cuts" in layout else 2 if "each side" in layout else 1


def _joints(told: Told, project: Project, row: Row, where: str) -> None:
    joint = _get(row, "joint")
    if joint not in project.joints:
        told.differs(where, f"names the joint {joint}, which no drawing shows")
        return
    drawing = project.joints[joint]
    if project.sheets:
        told.equal(where, "sheet of the joint", project.sheets.get(_get(row, "sheet"), "none"), joint)
    bolts = drawn_bolts(drawing)
    told.equal(where, "bolts", _get(row, "bolts"), str(sum(bolts.values())))
    size = told.length(_get(row, "diameter"))
    if bolts:
        told.same(where, "states the diameter", size, min(bolts, key=lambda d: abs(d - size)))
    bolted = [f for f in drawing.faces if any(not g.startswith(STRANDS) and not g.startswith(TIES) for g in f.groups)]
    most = max(bolted, key=lambda f: len(f.new_holes), default=None)
    if most is not None:
        rows = measure.rows(most.new_holes, (1.0, 0.0))
        if m := _LAYOUT.match(_get(row, "layout")):
            told.equal(where, "rows", int(m["rows"]), len(rows))
            told.equal(where, "bolts in all rows", int(m["rows"]) * int(m["count"]) * _times(_get(row, "layout")),
                       sum(bolts.values()))  # fmt: skip
        for column, pitches in (("spacing", measure.spacings(rows)), ("gauge", measure.gauges(rows))):
            if pitches and _has(row, column) and _get(row, column) not in ("", "none", "-"):
                told.same(where, f"states the {column}", told.length(_get(row, column)), min(p.distance for p in pitches))
    for m in _TIMES.finditer(_get(row, "parts")):
        face = next((f for f in drawing.faces if f.mark == m["mark"]), None)
        if face is None:
            told.differs(where, f"names {m['mark']}, which the sheet of the joint does not show")
        elif sum(_size(drawing, f) == _size(drawing, face) for f in drawing.faces if f.mark) == 1:
            told.equal(where, f"{m['mark']}: quantity", int(m["count"]), parts_of_this_size(drawing, face))


def _plates(told: Told, project: Project, row: Row, where: str) -> None:
    found = [(m["mark"], int(m["count"])) for m in _TIMES.finditer(_get(row, "marks"))]
    told.equal(where, "quantity", _get(row, "quantity"), str(sum(n for _, n in found)))
    area = 0.0
    for mark, count in found:
        known = _known(told, project, mark, where)
        if known is None:
            return
        face, thickness = known
        _count(told, project, mark, str(count), f"{where}, {mark}")
        if thickness is not None:
            told.same(f"{where}, {mark}", "states the thickness", told.length(_get(row, "thickness")), thickness)
        area += count * face.net_area
    stated = re.sub(r"[^\d.]", "", _get(row, "net area"))
    drawn = area * (25.4**2 if any("mm2" in k for k in row) else 25.4e-3**2 if any("m2" in k for k in row) else 1.0)
    if stated and abs(float(stated) - drawn) > 0.051 + 0.001 * drawn:
        told.differs(where, f"states a net area of {_get(row, 'net area')}, drawn {drawn:.1f}", float(stated), drawn)


def _stock(told: Told, project: Project, row: Row, where: str) -> None:
    """Pieces of one length and what is cut from each: as wide and thick as their marks, and not longer together than the piece."""
    m = _CUTS.search(_get(row, "cut from"))
    if not m:
        return
    lengths = []
    for mark in m["marks"].split(", "):
        known = _known(told, project, mark, where)
        if known is None:
            return
        face, thickness = known
        _sizes(told, {k: v for k, v in row.items() if k.startswith(("thickness", "width"))}, face, thickness, f"{where}, {mark}")
        lengths.append(face.outline.box[2] - face.outline.box[0])
    least, stock = int(m["count"]) * min(lengths), told.length(_get(row, "stock length"))
    if stock + told.half < least + max(told.length(_get(row, "left over")), 0.0):
        told.differs(where, f"from {_get(row, 'stock length')} come {m[0]}, {told.words(least)} at least", stock, least, "in")
    told.sound += 1


def _measured(told: Told, project: Project, row: Row, where: str) -> None:
    """What is measured on site is what the joint's sheet shows: depth, thickness and gaps; the rest is measured from the truss."""
    low, drawn, high = (told.length(_get(row, k)) for k in ("accept low", "drawn", "accept high"))
    if not low <= drawn <= high:
        told.differs(where, f"accepts {_get(row, 'accept low')} to {_get(row, 'accept high')} for {_get(row, 'drawn')}")
    told.sound += 1
    joint = project.joints.get(project.sheets.get(_get(row, "sheet"), ""))
    m = re.fullmatch(r"(?P<what>depth|thickness) of (?P<part>.+)", _get(row, "what"))
    if joint is None or m is None:
        return
    names = m["part"].split(", ")
    key = "-".join(["ply", names[0].removesuffix(" ply"), *(w for n in names[1:] for w in ("left", "right") if w in n)])
    face = next((f for f in joint.faces if f.part == key), None)
    if face is None:
        return
    _, y0, _, y1 = face.outline.box
    value = y1 - y0 if m["what"] == "depth" else joint.thickness(face)
    if value is not None:
        told.same(where, f"states the {m['what']}", drawn, value)


JUDGES: Mapping[str, Callable[[Told, Project, Row, str], None]] = {
    "PARTS": _parts, "BOLTS": _bolts, "TIMBER TO CUT": _parts, "JOINTS SIDE BY SIDE": _joints, "PLATES BY THICKNESS": _plates,
    "TIMBER BY STOCK LENGTH": _stock, "MEASURE ON SITE": _measured,
}  # fmt: skip
