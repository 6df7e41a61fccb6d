"""Check files and details: read, measure, look up, report."""

from __future__ import annotations

import contextlib
import gc
import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from detailgen.checker.advice import advice
from detailgen.checker.agree import judge_agreement
from detailgen.checker.alike import judge_alike
from detailgen.checker.dimensions import judge_dimensions
from detailgen.checker.drawing import FACE_VIEW, Drawing, Face
from detailgen.checker.measure import Measurement, centre_distances, listing, nearest_pairs
from detailgen.checker.repeated import judge_repeated
from detailgen.checker.rules import C_DELTA, GREATEST, PROVIDED, REQUIRED, wrong
from detailgen.checker.schedules import judge_schedules, project_of, with_continuations
from detailgen.checker.steel import judge_steel
from detailgen.checker.strength import judge_strength
from detailgen.checker.tags import fastener
from detailgen.checker.varied import judge_varied
from detailgen.checker.wood import judge_wood
from detailgen.checker.wood_strength import judge_wood_strength
from detailgen.checker.written import judge_written
from detailgen.core.errors import InputError, InputProblem, NotCovered
from detailgen.core.result import CheckResult, State, cannot_be_checked
from detailgen.model.detail import Detail

CLEARANCE = 1 / 16
"""What a hole has over its bolt (in), to tell the scale of a view."""


@dataclass(frozen=True)
class FileChecked:
    """What was found in one file, and what was measured there."""

    file: str
    results: tuple[CheckResult, ...]
    measured: tuple[Measurement, ...]
    path: Path = Path()
    metric: bool = False


@dataclass(frozen=True)
class Checked:
    """Results by file, in the order of their names."""

    files: tuple[FileChecked, ...]

    @property
    def results(self) -> dict[str, tuple[CheckResult, ...]]:
        return {f.file: f.results for f in self.files}

    @property
    def passes(self) -> bool:
        """Nothing that does not pass, nothing that cannot be checked."""
        return all(r.state is State.PASSES for f in self.files for r in f.results)

    def count(self, state: State) -> int:
        return sum(r.state is state for f in self.files for r in f.results)


def judge(drawing: Drawing) -> list[CheckResult]:
    """Everything that one drawing can be judged by. Views that are not drawn at their size are named and left out of the rest."""
    out = list(drawing.results)
    scales = {f.name: k for f in drawing.faces if (k := drawn_scale(f, drawing.joint(f.detail))) is not None}
    if scales:
        out += _not_at_size(drawing, scales)
        drawing = replace(drawing, faces=tuple(f for f in drawing.faces if f.name not in scales), texts=(), heads=())
    for face in drawing.faces:
        out += _facts(drawing, face)
        if face.material == "wood":
            out += judge_wood(drawing, face) + judge_wood_strength(drawing, face)
        elif face.material == "steel":
            out += judge_steel(drawing, face)
    out += judge_strength(drawing) + judge_agreement(drawing) + judge_dimensions(drawing)
    return out + judge_written(drawing, out)


def drawn_scale(face: Face, others: Sequence[Face] = ()) -> float | None:
    """How many times its size a view is drawn, where all its holes say the same by the bolts that they name; None where it is at its size, or
    where other views of the joint name other bolts."""
    ratios = []
    bolts = face.bolts
    groups = {g for g, _ in bolts}
    if any(name not in bolts for f in others if f.detail == face.detail for name in f.bolts if name[0] in groups):
        return None
    for h in face.new_holes:
        try:
            one = fastener(h.fastener)
        except NotCovered:
            continue
        if one.has_bolt_hole:
            ratios.append(h.diameter / (one.diameter + CLEARANCE))
    if len(ratios) < 2 or max(ratios) > 1.1 * min(ratios):
        return None
    k = sorted(ratios)[len(ratios) // 2]
    if not 0.85 < k < 1.25:
        return k
    if abs(k - 1) <= 0.003:
        return None
    # a little larger or smaller: holes alone may be drilled so, but then the bolts do not stand further apart as well
    pitch = _least_pitch(face, groups)
    peers = [f for f in others if f is not face and f.detail == face.detail and groups & set(f.groups)]
    apart = [pitch / own for f in peers if (own := _least_pitch(f, groups)) > 0]
    alike = max(ratios) < 1.002 * min(ratios) and pitch > 0 and len(apart) > 1
    return k if alike and all(abs(a / k - 1) < 0.002 for a in apart) else None


def _least_pitch(face: Face, groups: set[str]) -> float:
    """Least distance between two holes of some groups (in); 0 for less than two."""
    holes = [h for g in sorted(groups) for h in face.of_group(g)]
    return min((p.distance for p in nearest_pairs(holes, 1.0)), default=0.0) if 1 < len(holes) <= 400 else 0.0


def _not_at_size(drawing: Drawing, scales: Mapping[str, float]) -> list[CheckResult]:
    out: list[CheckResult] = []
    for face in drawing.faces:
        if face.name in scales:
            k = scales[face.name]
            unit = next((f"; 1 to {r:g} is the ratio of two units: is the unit of the file right?" for r in (25.4, 12, 10, 304.8, 1000, 39.37, 2.54)
                         if abs(max(k, 1 / k) / r - 1) < 0.05), "")  # fmt: skip
            check = f"the view is drawn {k:.3g} times its size, as all its holes say by their bolts{unit}"
            wide = face.outline.box[2] - face.outline.box[0]
            out.append(wrong(face.name, check, wide, FACE_VIEW, spots=(face.frame.at(face.outline.corners[0]),)))
    if drawing.texts:
        out.append(cannot_be_checked("tables and captions", "statements", "every view at its size", FACE_VIEW))
    return out


def _facts(drawing: Drawing, face: Face) -> list[CheckResult]:
    """What must be known of a part at all, and holes that stand twice or run into each other."""
    out = [cannot_be_checked(face.name, "tags", f"tags that can be read: {fault}", FACE_VIEW) for fault in face.faults]
    if face.material not in ("wood", "steel"):
        out.append(cannot_be_checked(face.name, "holes", "whether the part is wood or steel", FACE_VIEW))
    if not face.existing:
        for hole in face.holes:
            if not hole.tagged:
                where = f"{face.name}, {face.hole_name(hole, drawing.metric)}"
                out.append(cannot_be_checked(where, "hole", "the tags of this hole of a new part", FACE_VIEW))
            elif not hole.judged and not face.outline.contains(hole.at):
                where = f"{face.name}, {face.hole_name(hole, drawing.metric)}"
                out.append(wrong(where, "hole stands outside its part", hole.diameter, FACE_VIEW))
    widest = max((max(h.diameter, h.length) for h in face.holes), default=0.0)
    for p in centre_distances(face.holes, widest):
        if p.distance < (p.first.diameter + p.second.diameter) / 2 and (p.first.judged or p.second.judged):
            check = "hole stands twice" if p.distance < 1e-3 else f"hole runs into hole {face.number(p.second)}"
            overlap = (p.first.diameter + p.second.diameter) / 2 - p.distance
            where = f"{face.name}, {face.hole_name(p.first, drawing.metric)}"
            out.append(wrong(where, check, overlap, FACE_VIEW, spots=(face.frame.at(p.first.at),)))
    return out


def check_file(path: Path) -> list[CheckResult]:
    """Check one sheet or cut file by itself.

    Raises: InputError
    """
    from detailgen.checker.read_dxf import read_dxf

    drawing = read_dxf(path)
    return judge(drawing) + judge_alike(("", f) for f in drawing.faces).get("", [])


def check_detail(detail: Detail, marks: Mapping[str, str] | None = None) -> list[CheckResult]:
    """Check a neutral detail before it is drawn. ``marks``: by part key, where the register has given them."""
    from detailgen.checker.from_detail import drawing_of

    drawing = drawing_of(detail, marks)
    return judge(drawing) + judge_alike(("", f) for f in drawing.faces).get("", [])


def files_in(paths: Iterable[Path]) -> list[tuple[str, Path]]:
    """DXF files by the name that results carry, sorted; folders are searched through. Raises InputError where there is nothing to check."""
    found: dict[Path, str] = {}
    problems = []
    for path in paths:
        if path.is_dir():
            inside = [p for p in path.rglob("*") if p.is_file() and p.suffix.lower() == ".dxf" and not p.name.startswith(".")]
            found |= {p: str(Path(path.name) / p.relative_to(path)) for p in inside if p not in found}
            if not inside:
                problems.append(InputProblem(str(path), 0, "", "a folder without DXF files", "a DXF file or a folder with some"))
        elif path.is_file():
            found.setdefault(path, str(path))
        else:
            problems.append(InputProblem(str(path), 0, "", "no such file or folder", "a DXF file or a folder with some"))
    if problems:
        raise InputError(problems)
    return sorted(((name, path) for path, name in found.items()), key=lambda item: (item[0], str(item[1])))


def check_paths(paths: Iterable[Path], facts: Path | None = None) -> Checked:
    """Check files and folders together: each by itself, and parts of one mark against each other.

    facts: a file that says of drawings by others what they cannot say
    Raises: InputError
    """
    with _without_collecting():
        return _check_paths(paths, facts)


@contextlib.contextmanager
def _without_collecting() -> Iterator[None]:
    """Half a million small things are made and kept until the end: looking for garbage among them again and again takes a quarter of the time."""
    running = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if running:
            gc.enable()


def _check_paths(paths: Iterable[Path], facts: Path | None) -> Checked:
    drawings = []
    for name, path in files_in(paths):
        drawings.append((name, path, _drawing(path, facts)))
        gc.collect(0)  # what was read besides: twenty times what is kept, of this file alone
    whole = {
        path: d
        for package in {_package(path) for _, path, _ in drawings}
        for path, d in _whole([(path, d) for _, path, d in drawings if _package(path) == package])
    }
    drawings = [(name, path, whole[path]) for name, path, _ in drawings]
    unlike: dict[str, list[CheckResult]] = {}
    for package in sorted({_package(path) for _, path, _ in drawings}):
        unlike |= judge_alike((name, f) for name, path, d in drawings if _package(path) == package for f in d.faces)
    marks: dict[Path, dict[str, tuple[str, Face, float | None]]] = {}
    for name, path, d in drawings:
        for face in d.faces:
            if face.mark:
                marks.setdefault(_package(path), {}).setdefault(face.mark, (name, face, d.thickness(face)))
    projects = {p: project_of([(name, d) for name, path, d in drawings if _package(path) == p]) for p in {_package(path) for _, path, _ in drawings}}
    files = []
    for name, path, d in drawings:
        again = judge_repeated(d, marks.get(_package(path), {})) if d.shown else []
        varied = judge_varied(d, marks.get(_package(path), {})) if d.shown else []
        lists = judge_schedules(d, projects[_package(path)]) if not d.faces and d.texts else []
        files.append(FileChecked(name, (*judge(d), *unlike.get(name, []), *again, *varied, *lists), tuple(listing(d)), path, d.metric))
    return Checked(tuple(files))


def _whole(drawings: Sequence[tuple[Path, Drawing]]) -> Iterable[tuple[Path, Drawing]]:
    """Each drawing of a package, with the lists that go on on other sheets."""
    found = with_continuations([(str(path), d) for path, d in drawings])
    return [(path, found[str(path)]) for path, _ in drawings]


def _drawing(path: Path, facts: Path | None) -> Drawing:
    """A DXF file, or a detail in the neutral form."""
    if path.suffix.lower() == ".json":
        from detailgen.checker.from_detail import drawing_of
        from detailgen.checker.neutral import read_neutral

        return drawing_of(read_neutral(path))
    if facts is not None:
        from detailgen.checker.foreign import read_facts, read_foreign

        return read_foreign(path, read_facts(facts))
    from detailgen.checker.read_dxf import read_dxf

    return read_dxf(path)


def _package(path: Path) -> Path:
    """The folder within which a mark means one part: the package of drawings/ and cut/, else the file's own folder."""
    folder = path.resolve().parent
    return folder.parent if folder.name in ("drawings", "cut") else folder


def _number(value: float) -> float | None:
    return value if math.isfinite(value) else None


def result_json(result: CheckResult) -> dict[str, Any]:
    """One result as plain values; lengths in inches. ``required`` is a least value, ``allowed_at_most`` a greatest one."""
    steps = {s.symbol: s.value for s in result.steps}
    out: dict[str, Any] = {"where": result.where, "check": result.check, "state": result.state.value}
    for key, symbol in (("required", REQUIRED), ("allowed_at_most", GREATEST), ("provided", PROVIDED), ("C_delta", C_DELTA)):
        if symbol in steps:
            out[key] = _number(steps[symbol])
    if not steps and result.state is not State.CANNOT_BE_CHECKED and not math.isnan(result.demand):
        out |= {"found": _number(result.demand), "expected": _number(result.capacity)}
    if result.unit == "lb":
        out |= {"demand": _number(result.demand), "capacity": _number(result.capacity)}
    out |= {"unit": result.unit, "when": result.combination, "clause": str(result.cite), "table_status": result.table_status.words}
    if result.missing:
        out["missing"] = result.missing
    if do := advice(result):
        out["to_do"] = do
    return out


def checks_json(checked: Checked) -> dict[str, Any]:
    """What goes into checks/checks.json."""
    return {
        "passes": checked.passes,
        "counts": {s.value: checked.count(s) for s in State},
        "files": [
            {
                "file": f.file,
                "results": [result_json(r) for r in f.results],
                "measured": [{"where": m.where, "what": m.what, "value": _number(round(m.value, 6))} for m in f.measured],
            }
            for f in checked.files
        ],
    }
