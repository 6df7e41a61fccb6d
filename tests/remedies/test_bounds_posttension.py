"""Strands at each bound of what holds them: pairs, anchors, end plates plain and with ribs, ties and place of a bracket; by the remedy's own search."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from bounds import Example, accepted
from sample_trusses import STRUNG, project
from test_posttension_plan import asked, granary, job_and_solved

from detailgen.core.units import MM, SI
from detailgen.model.member import NoDrillZone
from detailgen.model.package import Refusal
from detailgen.model.project import Override, Stressing, Truss
from detailgen.remedies.contract import Repair
from detailgen.remedies.posttension import REMEDY
from detailgen.remedies.posttension import parameters as p

RULES = {"STEPS": "every plan stops at all of them"}
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


def far_bracket() -> Repair | Refusal:
    """No bolt of a bracket's base is let into the first ten feet; the jack is so long that one step of the grid is ten feet from the end."""
    job = project(STRUNG)
    job = replace(job, stressing=replace(job.stressing, jack_length=23.0))
    barred = NoDrillZone("bottom chord", "strap", 54.0, 0.0, 120.0, 11.5)
    return asked(tight(8.0, zones=(barred,)), job)


def thin_plies() -> Truss:
    """Plies so thin that their strands stand little outside of the middle of what bears."""
    found = granary()
    chord = found.member("bottom chord")
    plies = tuple(replace(q, thickness=2.5, z=math.copysign(abs(q.z) - 0.25, q.z)) for q in chord.plies)
    return replace(found, members=tuple(replace(m, plies=plies) if m is chord else m for m in found.members))


def six_strands() -> Repair | Refusal:
    """A chord that bears what three pairs ask for at least: half as thick again, of better wood."""
    found = granary()
    chord = found.member("bottom chord")
    plies = tuple(replace(q, thickness=5.5, z=math.copysign(abs(q.z) + 1.25, q.z), wood=replace(q.wood, grade="Select Structural")) for q in chord.plies)
    found = replace(found, members=tuple(replace(m, plies=plies) if m is chord else m for m in found.members),
                    tributary_width=1.5 * found.tributary_width)  # fmt: skip
    job, solved = job_and_solved(found)
    (site,) = REMEDY.still_failing(job, solved)
    return REMEDY.dimension(job, found, site, solved, {"strands": 6.0}, math.inf)


EXAMPLES = (
    Example("ribs: thin and deep", {"RIB_PLATES US": 1.0, "RIB_THICKNESS US": 0.5, "RIB_DEPTH US": 5.0, "RIB_WELDS US": 0.25}, lambda: answer(RIBBED)),
    Example("ribs: thick and low", {"RIB_PLATES US": 1.5, "RIB_THICKNESS US": 1.0, "RIB_DEPTH US": 2.0, "RIB_WELDS US": 0.5}, lambda: answer(RIBBED)),
    Example("ribs in millimetres: thin and deep", {"RIB_PLATES SI": 25 * MM, "RIB_THICKNESS SI": 12 * MM, "RIB_DEPTH SI": 120 * MM,
                                                   "RIB_WELDS SI": 6 * MM, "LEAST_PLATE": 25 * MM}, lambda: answer(RIBBED, "SI")),
    Example("ribs in millimetres: thick and low", {"RIB_PLATES SI": 40 * MM, "RIB_THICKNESS SI": 25 * MM, "RIB_DEPTH SI": 50 * MM,
                                                   "RIB_WELDS SI": 12 * MM}, lambda: answer(RIBBED, "SI")),
    Example("the thinnest plate to order", {"HEAVY US": 1.25}, lambda: answer(thin_plies())),
    Example("the thickest plate to order", {"HEAVY US": 2.0}, lambda: answer(granary())),
    Example("the thinnest plate to order, millimetres", {"HEAVY SI": 30 * MM}, lambda: answer(thin_plies(), "SI")),
    Example("the thickest plate to order, millimetres", {"HEAVY SI": 50 * MM}, lambda: answer(granary(), "SI")),
    Example("the thinnest ties", {"TIES": 0.75}, lambda: answer(tight(6.0)), narrow=False),
    Example("the thickest ties", {"TIES": 1.25}, lambda: answer(tight(8.0))),
    Example("a bracket as far inboard as may be", {"FARTHEST": 120.0}, far_bracket),
    Example("three pairs", {"MOST_PAIRS": 3}, six_strands),
)  # fmt: skip


def bars(repair: Repair):
    return [q for d in (repair.detail, *repair.further) for q in d.parts if q.key.startswith("rib-")]


def plate(repair: Repair) -> set[float]:
    return {q.thickness for d in (repair.detail, *repair.further) for q in d.parts if q.key == "end-plate"}


def bracket(repair: Repair):
    assert repair.stressing is not None
    assert repair.stressing.bracket is not None
    return repair.stressing.bracket


READS = {
    "TIES": lambda r: {q.thickness for d in (r.detail, *r.further) for q in d.parts if q.key.startswith("rod-")},
    "FARTHEST": lambda r: {bracket(r).inboard}, "MOST_PAIRS": lambda r: {r.stressing.count / 2}, "LEAST_PLATE": plate,
} | {f"{key} {system}": read for system in ("US", "SI") for key, read in (
    ("RIB_PLATES", plate), ("HEAVY", plate), ("RIB_DEPTH", lambda r: {q.thickness for q in bars(r)}),
    ("RIB_THICKNESS", lambda r: {max(v.y for v in q.outline) - min(v.y for v in q.outline) for q in bars(r)}),
    ("RIB_WELDS", lambda r: {w.size for w in r.detail.welds}),
)}  # fmt: skip


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda e: e.name)
def test_accepted_strands_at_each_bound(example: Example) -> None:
    accepted(example, p, READS)
