"""Wood parts against the force that their bolts bring towards an end, from measured geometry: net section, tear-out of rows and of the group.

NDS 2018 Appendix E; EN 1995-1-1 6.1.2 with 5.2 and annex A. Only the force along the grain counts, and only where the part ends: beyond a break
line it runs on. Where facts are missing (how long the load lasts, dry or wet) a part passes if it does whatever they are, does not pass if it
cannot whatever they are, and cannot be checked between the two. Rings, nails and screws are not judged so, nor is damage of the wood known here.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from detailgen.checker import measure
from detailgen.checker.drawing import FACE_VIEW, Drawing, Face, FaceHole
from detailgen.checker.geometry import Point, side_word, unit
from detailgen.checker.tags import Load, fastener
from detailgen.checker.wood_distances import SIGNS, SQUARE
from detailgen.checker.wood_values import Span, Stress, stress_of
from detailgen.core.clause import Calculation, Cite
from detailgen.core.errors import NotCovered
from detailgen.core.result import CheckResult, State, cannot_be_checked
from detailgen.core.tolerance import rounded_length

BORED = ("bolt", "lag screw", "drift bolt", "dowel")
"""Fasteners whose holes weaken the wood and whose rows may tear out."""
ONE_SECTION = {"nds_2018": 4.0, "en1995_1_1": 5.0}
"""Holes nearer than so many fastener diameters along the grain count in one section (NDS 3.1.2.2; EN 1995-1-1 5.2: half the least spacing, 5 d
along the grain, to each side)."""
WHAT = "net section and tear-out of the wood"


@dataclass(frozen=True)
class _Pushed:
    """Holes of a group that push a part towards one end. ``d``: that direction, along the grain."""

    holes: tuple[FaceHole, ...]
    d: Point
    word: str
    share: float  # of the force that acts along the grain


@dataclass(frozen=True)
class _Block:
    """What is measured of it (in): width of the worst section and what its holes take; rows with their count and least distance; outer rows."""

    thickness: float
    width: float
    lost: float
    rows: tuple[tuple[int, float, float], ...]  # bolts, least of end and spacings, shear length beside the row without its holes
    apart: float
    between: float  # of that what holes take


def judge_wood_strength(drawing: Drawing, face: Face) -> list[CheckResult]:
    """Every group that states a force on this part."""
    out: list[CheckResult] = []
    for load in face.loads:
        where = f"{face.name}, group {load.group}"
        try:
            out += _group(drawing, face, load, where)
        except NotCovered as missing:
            out.append(cannot_be_checked(where, WHAT, missing.what, FACE_VIEW))
    return out


def _group(drawing: Drawing, face: Face, load: Load, where: str) -> list[CheckResult]:
    holes = [h for h in face.of_group(load.group) if face.outline.contains(h.at)]
    if not holes or face.grain is None or max(load.tension, load.compression) <= 0:
        return []  # told with the distances
    try:
        kinds = {fastener(h.fastener) for h in holes}
    except NotCovered:
        return []  # told with the hole
    if not {f.kind for f in kinds} <= set(BORED):
        return []
    out: list[CheckResult] = []
    for pushed in _pushed(face, load, holes):
        thickness = drawing.thickness(face)
        if thickness is None:
            raise NotCovered("the thickness of the part (its plan view)")
        reach = ONE_SECTION.get(face.standard, 4.0) * max(f.diameter for f in kinds)
        block = _measured(face, pushed, thickness, reach)
        x0, y0, x1, y1 = face.outline.box
        across = (-pushed.d[1], pushed.d[0])
        depth = abs(across[0]) * (x1 - x0) + abs(across[1]) * (y1 - y0)
        for lasts, tension, compression in load.lasting:
            force = (tension if pushed.word == "tension" else compression) * pushed.share
            if force > 0:
                stress = stress_of(face, thickness, depth, lasts)
                out += _verdicts(where, pushed, block, stress, force, lasts, face.standard, _plates_beside(drawing, face, load.group))
    short = [r for r in out if r.state is State.DOES_NOT_PASS]
    unknown = [r for r in out if r.state is State.CANNOT_BE_CHECKED]
    worst: dict[tuple[str, str], CheckResult] = {}
    for r in sorted(short, key=lambda r: -round(r.ratio, 9)):  # of several durations the one that is shortest of strength
        worst.setdefault((r.check.split(" (")[0], r.combination), r)
    return list(worst.values()) or unknown[:1] or ([max(out, key=lambda r: round(r.ratio, 9))] if out else [])


def _pushed(face: Face, load: Load, holes: Sequence[FaceHole]) -> Iterator[_Pushed]:
    """Which holes push the part towards which end. In a part that is seen whole and has holes on both sides of its middle each side pulls
    outward while the member is in tension, and inward in compression."""
    grain = unit(face.grain or 0.0)
    c = measure.project(unit(load.direction), grain)[0]
    if abs(c) < SQUARE:
        return
    halves: list[tuple[list[FaceHole], float]] = [(list(holes), 1.0 if c > 0 else -1.0)]
    if face.open_ends == "none":
        x0, y0, x1, y1 = face.outline.box
        middle = measure.project(((x0 + x1) / 2, (y0 + y1) / 2), grain)[0]
        left, right = ([h for h in holes if (measure.project(h.at, grain)[0] - middle) * s > 0] for s in (-1, 1))
        halves = [(left, -1.0), (right, 1.0)] if left and right else halves
    for sign, word in SIGNS:
        for some, way in halves:
            e = way * sign
            d = (e * grain[0], e * grain[1])
            if getattr(load, word) > 0 and all(face.outline.hit(h.at, d)[1] in face.closed_edges for h in some):
                yield _Pushed(tuple(some), d, word, abs(c))


def _measured(face: Face, pushed: _Pushed, thickness: float, reach: float) -> _Block:
    d = pushed.d
    found = measure.rows(pushed.holes, d)
    rows = []
    for row in found:
        steps = [b - a for a, b in zip(row.along, row.along[1:], strict=False)]
        end = min(face.outline.ray(h.at, d) for h in row.holes)
        holes = sum(h.diameter for h in row.holes) - row.holes[0].diameter / 2
        rows.append((len(row.holes), rounded_length(min([end, *steps])), max(end + row.along[-1] - row.along[0] - holes, 0.0)))
    size = max(h.diameter for h in pushed.holes)
    width, lost = measure.worst_section(face, pushed.holes, d, reach)
    between = (len(found) - 1) * size
    middle = [(r.low + r.high) / 2 for r in found]
    return _Block(thickness, width, lost, tuple(rows), rounded_length(middle[-1] - middle[0]), between)


def _states(b: _Block, s: Stress, standard: str, plates: int) -> Iterator[tuple[str, Span, Cite]]:
    """Limit states with what the part may carry (lb)."""
    t = b.thickness
    document = s.of_tension.document
    if standard == "nds_2018":
        yield "net section", s.tension * (t * max(b.width - b.lost, 0.0)), Cite(document, "Appendix E.2", s.of_tension.table, s.of_tension.status)
        torn = [s.shear * (n * t * critical) for n, critical, _ in b.rows]
        whole = Span(sum(z.low for z in torn), sum(z.high for z in torn))
        yield "row tear-out", whole, Cite(document, "Appendix E.3", s.of_shear.table, s.of_shear.status)
        if len(torn) > 1:
            group = torn[0] * 0.5 + torn[-1] * 0.5 + s.block_tension * (t * max(b.apart - b.between, 0.0))
            yield "group tear-out", group, Cite(document, "Appendix E.4", s.of_tension.table, min(s.of_tension.status, s.of_shear.status))
        return
    document = "EN 1995-1-1:2004+A1"
    yield "net section", s.tension * (t * max(b.width - b.lost, 0.0)), Cite(document, "6.1.2, 5.2", s.of_tension.table, s.of_tension.status)
    if plates:  # annex A is for steel on timber
        pulled = s.block_tension * (1.5 * t * max(b.apart - b.between, 0.0))
        sheared = s.shear * (0.7 * t * (b.rows[0][2] + b.rows[-1][2]))
        low = max(pulled.low, sheared.low) if plates > 1 else pulled.low  # steel on one face: a plug may come out, as deep as its bolts yield
        yield "block shear", Span(low, max(pulled.high, sheared.high)), Cite(document, "annex A", s.of_shear.table, s.of_shear.status)


def _verdicts(
    where: str, pushed: _Pushed, block: _Block, stress: Stress, force: float, lasts: str, standard: str, plates: int,
) -> Iterator[CheckResult]:  # fmt: skip
    for state, capacity, cite in _states(block, stress, standard, plates):
        check = f"{state} of the wood towards the {side_word(pushed.d)} end{' (' + lasts + ')' if lasts else ''}"
        when = f"member in {pushed.word}"
        if capacity.low < force * (1 - 1e-6) and capacity.high >= force * (1 - 1e-6):
            missing = " and ".join(stress.missing) or "in which mode its bolts yield (steel on one face)"
            text = f"{check}: {force:,.0f} lb against {capacity.low:,.0f} to {capacity.high:,.0f} lb"
            yield cannot_be_checked(where, text, missing, cite, combination=when)
            continue
        sheet = Calculation()
        sheet.given("net width", block.width - block.lost, "in", FACE_VIEW)
        sheet.given("thickness", block.thickness, "in", FACE_VIEW)
        sheet.given("tension along the grain", stress.tension.low, "psi", stress.of_tension)
        sheet.given("shear", stress.shear.low, "psi", stress.of_shear)
        capable = capacity.low if capacity.low >= force * (1 - 1e-6) else capacity.high
        ratio = force / capable if capable > 0 else math.inf
        passes = State.PASSES if capacity.low >= force * (1 - 1e-6) else State.DOES_NOT_PASS
        unknown = ", whatever is not stated" if stress.missing else ""
        yield CheckResult(where, check + unknown, force, capable, "lb", ratio, passes, when, "", math.nan, cite, sheet)


def _plates_beside(drawing: Drawing, face: Face, group: str) -> int:
    """On how many of its faces steel that holds the group lies, by the plan; 1 where there is no plan."""
    steel = [f for f in drawing.joint(face.detail) if f.material == "steel" and group in f.by_group]
    own = drawing.box_in_plan(face)
    if not steel or own is None:
        return min(len(steel), 1)
    return drawing.touching(own)
