"""Captions, labels and callouts of a sheet: sizes, counts, marks, templates, bolts and cuts that they state."""

from __future__ import annotations

import itertools
import re
from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence

from detailgen.checker.drawing import Face
from detailgen.checker.sheet_tables import Paragraph, SheetTable
from detailgen.checker.statements import Names, Told, drawn_bolts, size_of
from detailgen.model.detail import PUT_BACK

_HOLES = re.compile(r"(?P<count>\d+) holes? (?P<size>\S.*?) dia, in the (?P<made>shop|field)")
_TEMPLATE = re.compile(r"template (?P<mark>[A-Z]+-\d+)")
_BOLTS = re.compile(r"(?P<count>\d+) bolts? (?P<size>\S.*?) dia x (?P<length>[^,;]+), (?P<grade>[^,;]+)")
_REQUIRED = re.compile(r"(?P<mark>[A-Z]+-\d+)\b[^,;]*, (?P<count>\d+) required")
_SIZE = re.compile(r"(?P<size>[\d'\"/. -]+? x [\d'\"/. -]+?(?: x [\d'\"/. -]+?)?)(?: mm)?(?:[,;]|$| Scale)")
_SLOTS = re.compile(r"\d+ slots? ")
_NEW = re.compile(r"\(N\) (?P<mark>[A-Z]+-\d+)\b")
_CUT = re.compile(r"Cut out (?P<length>\S.*?) of ")


def judge_captions(told: Told, names: Names, tables: list[SheetTable]) -> None:
    quantities = {row["Mark"]: row["Qty"].split(" / ")[0] for t in tables if t.title == "PARTS" and not t.missing for row in t.rows}
    holes: dict[tuple[Face, float, str, bool], list[tuple[str, int]]] = defaultdict(list)
    bolts: dict[float, list[tuple[str, int]]] = defaultdict(list)
    for p in names.paragraphs:
        _holes(told, names, p, holes)
        _bolts(told, p, [row for t in tables if t.title == "BOLTS" and not t.missing for row in t.rows], bolts)
        _views(told, names, p)
        _labels(told, names, p)
        if (m := _REQUIRED.search(p.text)) and m["mark"] in quantities:
            told.equal(f"'{m[0]}'", "states as required", m["count"], quantities[m["mark"]])
        if m := _CUT.search(p.text):
            _cut(told, p.text, m["length"])
    for (face, size, made, again), said in holes.items():
        counts = [n for (d, where), n in _by_size(face, put_back=again).items() if abs(d - size) <= told.half and where == made]
        _together(told, said, f" at {face.name}", "states as many holes:", sum(counts))
    for size, said in bolts.items():
        same = [n for d, n in drawn_bolts(told.drawing).items() if abs(d - size) <= told.half]
        _together(told, said, "", "states as many bolts:", sum(same))
    _as_many_as_in_plan(told, names, quantities)


def _together(told: Told, said: list[tuple[str, int]], where: str, what: str, drawn: int) -> None:
    """Callouts of one size, by template or length, tell of all that is drawn; each by itself where they disagree."""
    stated = sum(n for _, n in said)
    if stated == drawn:
        told.sound += len(said)
        return
    for words, n in said:
        told.equal(f"callout '{words}'{where}", what, n, drawn - (stated - n))


def _by_size(face: Face, *, put_back: bool) -> Counter[tuple[float, str]]:
    return Counter((round(h.diameter, 4), h.made) for h in face.made_holes if not h.slot and h.judged != put_back)


def _holes(told: Told, names: Names, p: Paragraph, said: dict[tuple[Face, float, str, bool], list[tuple[str, int]]]) -> None:
    if (m := _HOLES.search(p.text)) and (face := names.beside(p)) is not None:
        said[face, told.length(m["size"]), m["made"], PUT_BACK in p.text].append((m[0], int(m["count"])))
    if m := _TEMPLATE.search(p.text):
        told.known(f"'{m[0]}'", m["mark"], names.anywhere)


def _bolts(told: Told, p: Paragraph, rows: Sequence[Mapping[str, str]], said: dict[float, list[tuple[str, int]]]) -> None:
    if not (m := _BOLTS.search(p.text)):
        return
    where = f"callout '{m[0]}'"
    size = told.length(m["size"])
    said[size].append((m[0], int(m["count"])))
    if rows:
        listed = [(told.length(r["Diameter"].replace(" dia", "")), told.length(r["Length"]), r["Grade"]) for r in rows]
        if any(abs(d - size) + abs(long - told.length(m["length"])) <= told.half and grade == m["grade"] for d, long, grade in listed):
            told.sound += 1
        else:
            told.differs(where, "no row of the table BOLTS has this diameter, length and grade")


def _views(told: Told, names: Names, p: Paragraph) -> None:
    """Under a face view stand its mark and its size."""
    for face, _ in names.boxes:
        if p.text not in names.titles[id(face)] or p.text.startswith("(N)"):
            continue
        if (m := _SIZE.search(p.text)) and " dia" not in p.text and not _SLOTS.match(p.text) and p.text in names.titles[id(face)][:3]:
            size_of(told, face, m["size"], f"caption of {face.name}")
            told.says(f"caption of {face.name}", face.specification, p.text)
        if (m := _REQUIRED.match(p.text)) and face.mark:
            told.equal(f"caption of {face.name}", "states the mark", m["mark"], face.mark)


def _labels(told: Told, names: Names, p: Paragraph) -> None:
    """(N) PL-1 ..., size: in whatever view."""
    if m := _NEW.search(p.text):
        told.known(f"'{m[0]}'", m["mark"], names.anywhere)
        if (size := _SIZE.search(p.text)) and m["mark"] in names.by_mark:
            size_of(told, names.by_mark[m["mark"]], size["size"], f"label '{m[0]}'")
    elif p.text.startswith("(E) ") and (size := _SIZE.search(p.text)) and "seen from" not in p.text:
        name = p.text.split(",")[0]
        faces = [f for f, _ in names.boxes if f.existing and any(t.startswith(name) for t in names.titles[id(f)])]
        trials = []
        for k, face in enumerate(faces):
            trial = Told(told.drawing)
            size_of(trial, face, size["size"], f"label '{name}'")
            trial.says(f"label '{name}'", face.specification, p.text)
            trials.append((len(trial.results), k, trial))
        if trials:
            told.take(min(trials)[2])


def _cut(told: Told, text: str, length: str) -> None:
    """What is cut out is the gap between two parts in line in the plan."""
    boxes = list(told.drawing.stack.values())
    gaps = [b[0] - a[2] for a, b in itertools.permutations(boxes, 2) if abs(a[1] - b[1]) + abs(a[3] - b[3]) < told.half and b[0] > a[2]]
    if gaps:
        told.same(f"'{text}'", "states", told.length(length), min(gaps, key=lambda g: abs(g - told.length(length))))


def _as_many_as_in_plan(told: Told, names: Names, quantities: dict[str, str]) -> None:
    """The plan shows every part: as many of a size as the table says of its marks together."""
    existing = {(f.detail, f.part) for f in told.drawing.faces if f.existing} | {("", f.part) for f in told.drawing.faces if f.existing}
    plan = Counter((round(b[2] - b[0], 2), round(b[3] - b[1], 2)) for k, b in told.drawing.stack.items() if k not in existing)
    plan.update((round(x, 2), round(y, 2)) for x, y in told.drawing.on_edge.values())
    stated: Counter[tuple[float, float]] = Counter()
    marks: dict[tuple[float, float], list[str]] = {}
    for mark, face in names.by_mark.items():
        x0, _, x1, _ = face.outline.box
        size = (round(x1 - x0, 2), round(told.drawing.thickness(face) or 0.0, 2))
        if mark in quantities and quantities[mark].isdecimal() and size in plan:
            stated[size] += int(quantities[mark])
            marks.setdefault(size, []).append(mark)
    for size, count in sorted(stated.items()):
        told.equal(f"table PARTS, {' and '.join(marks[size])}", "quantity", count, plan[size])
