"""Strands at each bound of what holds them (pairs, end plates plain and with ribs, ties and place of a bracket), found by the remedy's own search."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from bounds import Example, accepted
from sample_trusses import STRUNG, project
from test_posttension_plan import asked, granary, job_and_solved

from detailgen.checker.check import check_detail
from detailgen.core.units import MM, SI
from detailgen.model.member import Member, NoDrillZone
from detailgen.model.package import Refusal
from detailgen.model.project import Override, Truss
from detailgen.remedies.contract import Repair
from detailgen.remedies.posttension import REMEDY
from detailgen.remedies.posttension import parameters as p

RULES = {
    "STEPS": "every plan stops at all of them",
    "GREATEST_ROWS": "NDS 2018 12.5.1.3: beyond it bars have slots, which test_guides_of_more_pairs_have_slots shows",
}
MORE: dict[str, object] = {}


def answer(found: Truss, system: str = "US", sizes: tuple[str, ...] = ()) -> Repair | Refusal:
    job = project(STRUNG)
    job = replace(job, units=SI) if system == "SI" else job
    return asked(found, replace(job, stressing=replace(job.stressing, sizes=sizes) if sizes else job.stressing))


RIBBED = replace(granary(), overrides=(Override("end plate", "ribs", "a test"),))
"""Its end plates are to get ribs."""


def tight(room: float, **changes: object) -> Truss:
    """One heel without room for a jack: strands end at a bracket."""
    return replace(granary(), heel_room=(room, 20.0), **changes)  # type: ignore[arg-type]


def deeper(depth: float) -> tuple[Member, ...]:
    return tuple(replace(m, plies=tuple(replace(q, depth=depth) for q in m.plies)) if m.kind == "bottom chord" else m for m in granary().members)


def far_bracket() -> Repair | Refusal:
    """No bolt of a bracket's base is let into the first ten feet; the jack is so long that one step of the grid is ten feet from the end."""
    job = project(STRUNG)
    job = replace(job, stressing=replace(job.stressing, jack_length=23.0))
    barred = NoDrillZone("bottom chord", "strap", 54.0, 0.0, 120.0, 11.5)
    return asked(tight(8.0, zones=(barred,)), job)


def of_pairs(strands: float) -> Repair | Refusal:
    """A chord that bears what so many strands ask for at least: half as thick again, half as deep again, of better wood."""
    found = granary()
    chord = found.member("bottom chord")
    plies = tuple(
        replace(q, thickness=4.5, depth=17.5, z=math.copysign(abs(q.z) + 0.75, q.z), wood=replace(q.wood, grade="No.1"))
        for q in chord.plies
    )  # fmt: skip
    found = replace(found, members=tuple(replace(m, plies=plies) if m is chord else m for m in found.members),
                    tributary_width=3.2 * found.tributary_width)  # fmt: skip
    job, solved = job_and_solved(found)
    (site,) = REMEDY.still_failing(job, solved)
    return REMEDY.dimension(job, found, site, solved, {"strands": strands}, math.inf)


EXAMPLES = (
    Example("ribs: thin and deep", {"RIB_PLATES US": 1.0, "RIB_THICKNESS US": 0.5, "RIB_DEPTH US": 5.0, "RIB_WELDS US": 0.25},
            lambda: answer(RIBBED)),
    Example("ribs: thick and low", {"RIB_PLATES US": 1.5, "RIB_THICKNESS US": 1.0, "RIB_DEPTH US": 2.0, "RIB_WELDS US": 0.5}, lambda: answer(RIBBED)),
    Example("ribs in millimetres: thin and deep", {"RIB_PLATES SI": 25 * MM, "RIB_THICKNESS SI": 12 * MM, "RIB_DEPTH SI": 120 * MM,
                                                   "RIB_WELDS SI": 6 * MM, "LEAST_PLATE": 25 * MM}, lambda: answer(RIBBED, "SI")),
    Example("ribs in millimetres: thick and low", {"RIB_PLATES SI": 40 * MM, "RIB_THICKNESS SI": 25 * MM, "RIB_DEPTH SI": 50 * MM,
                                                   "RIB_WELDS SI": 12 * MM}, lambda: answer(RIBBED, "SI")),
    Example("the thinnest plate to order", {"HEAVY US": 1.25}, lambda: answer(tight(6.0)), narrow=False),
    Example("the thickest plate to order", {"HEAVY US": 2.0}, lambda: answer(granary())),
    Example("the thinnest plate to order, millimetres", {"HEAVY SI": 30 * MM}, lambda: answer(tight(6.0, members=deeper(14.0)), "SI"),
            narrow=False),
    Example("the thickest plate to order, millimetres", {"HEAVY SI": 50 * MM}, lambda: answer(granary(), "SI")),
    Example("the thinnest ties", {"TIES": 0.75}, lambda: answer(tight(6.0)), narrow=False),
    Example("a bracket as far inboard as may be, on the thickest ties", {"FARTHEST": 120.0, "TIES": 1.25}, far_bracket),
    Example("three pairs", {"MOST_PAIRS": 3}, lambda: of_pairs(6.0)),
)  # fmt: skip


def bars(repair: Repair):
    return [q for d in (repair.detail, *repair.further) for q in d.parts if q.key.startswith("rib-")]


def across(rod) -> float:
    return max(v.x for v in rod.outline) - min(v.x for v in rod.outline)


def plate(repair: Repair) -> set[float]:
    return {q.thickness for d in (repair.detail, *repair.further) for q in d.parts if q.key == "end-plate"}


def to_order(repair: Repair, system: str) -> set[float]:
    """Plain end plates at a bound of what is to be had to order."""
    assert not bars(repair)
    return plate(repair) & {min(p.HEAVY[system]), max(p.HEAVY[system])}


def bracket(repair: Repair):
    assert repair.stressing is not None
    assert repair.stressing.bracket is not None
    return repair.stressing.bracket


READS = {
    "TIES": lambda r: {across(q) for d in (r.detail, *r.further) for q in d.parts if q.key.startswith("rod-")},
    "FARTHEST": lambda r: {bracket(r).inboard}, "MOST_PAIRS": lambda r: {r.stressing.count / 2}, "LEAST_PLATE": plate,
} | {f"{key} {system}": read for system in ("US", "SI") for key, read in (
    ("RIB_PLATES", plate), ("HEAVY", lambda r, s=system: to_order(r, s)), ("RIB_DEPTH", lambda r: {q.thickness for q in bars(r)}),
    ("RIB_THICKNESS", lambda r: {max(v.y for v in q.outline) - min(v.y for v in q.outline) for q in bars(r)}),
    ("RIB_WELDS", lambda r: {w.size for w in r.detail.welds}),
)}  # fmt: skip


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda e: e.name)
def test_accepted_strands_at_each_bound(example: Example) -> None:
    accepted(example, p, READS)


@pytest.mark.parametrize("strands", [4.0, 6.0])
def test_guides_of_more_pairs_have_slots(strands: float) -> None:
    """Bolts over two strands 3 in. apart and under them stand 5-1/2 in. apart, where round holes may be 5 in. (NDS 2018 12.5.1.3)."""
    repair = of_pairs(strands)
    assert isinstance(repair, Repair)
    guide = next(d for d in repair.further if d.key.endswith("-guide"))
    assert all(len(q.slots) == len(q.holes) == 1 for q in guide.parts if q.key.startswith("bar-"))
    assert guide.groups[0].gauge == pytest.approx(3.0 * (strands / 2 - 1) + 2.5)
    assert not [found for found in check_detail(guide) if not found.passes]
