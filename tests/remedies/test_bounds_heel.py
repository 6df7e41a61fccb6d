"""New heels at each bound of what they are made of, and those that ask for three columns of bolts and for the largest fillet by themselves."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from bounds import Example, accepted, thickness
from test_heel_plan import LEFT, REMEDY, decayed, heavier, job_of, shallow

from detailgen.core.units import MM, SI
from detailgen.model.package import Refusal
from detailgen.model.project import Truss
from detailgen.remedies.contract import Repair
from detailgen.remedies.heel import parameters as p

RULES = {"FARTHEST_EDGE": "AISC 360-16 J3.5; which side plates keep it is judged, not chosen"}
MORE: dict[str, object] = {}


def timber(found: Truss, thick: float, top: float, bottom: float, grade: str = "No.1") -> Truss:
    """Other plies in both chords, as far apart as they stand."""
    def ply(q, depth):
        return replace(q, thickness=thick, depth=depth, z=math.copysign(1.5 + thick / 2, q.z), wood=replace(q.wood, grade=grade))

    depths = {"top chord": top, "bottom chord": bottom}
    return replace(found, members=tuple(
        replace(m, plies=tuple(ply(q, depths[m.kind]) for q in m.plies)) if m.kind in depths else m for m in found.members))  # fmt: skip


def old_bolts(found: Truss, at: float = 84.0) -> Truss:
    """One old bolt, so far from the work point: no new one has to stand clear of it, and it does not hold the heel."""
    return replace(found, connections=tuple(
        replace(c, bolts=replace(c.bolts, positions=((at, 0.0),))) if c.member == "bottom chord" else c for c in found.connections))  # fmt: skip


def lip(found: Truss, height: float = 0.1) -> Truss:
    """The old shoe lets so much of the end grain bear."""
    return replace(found, bearings=tuple(replace(b, height=height) for b in found.bearings))


def wall(found: Truss, seat: float, **changes: float) -> Truss:
    """A seat that bears what it must: dressed stone."""
    return replace(found, heels=tuple(replace(h, bears=2000.0, seat=seat, **changes) for h in found.heels))


def answer(found: Truss, system: str = "US") -> Repair | Refusal:
    job = job_of()
    if system == "SI":
        job = replace(job, project=replace(job.project, units=SI))
    solved = job.solve(found)
    site = next(s for s in REMEDY.still_failing(job, solved) if s.key == LEFT)
    return REMEDY.dimension(job, found, site, solved, {}, math.inf)


def cut_back(length: float) -> Truss:
    """Decay that asks for so much of the top chord to be cut off, in an end panel long enough for it."""
    set_back, joint = 20.0, (84.0, 55.5)
    end = (set_back + length) * math.cos(math.atan2(joint[1], joint[0])) - 0.1 - p.SOUND_END["decay"]
    found = decayed("top chord", end - 10.0, 20.0, 0.4)
    found = replace(found, joints=dict(found.joints) | {"U1": joint}, tributary_width=0.6 * found.tributary_width)
    return wall(lip(old_bolts(found)), 10.0, set_back=set_back)


SMALL = lip(old_bolts(timber(heavier(0.5), 3.0, 7.5, 11.5)))
LIGHT = lip(old_bolts(timber(heavier(0.3), 3.0, 7.5, 11.5)))
SHALLOW = lip(old_bolts(shallow(4.5)))
LARGE = wall(old_bolts(timber(heavier(1.6), 3.0, 13.5, 13.5)), 10.0)
THRUST = wall(old_bolts(timber(heavier(3.05), 2.5, 12.5, 15.5, "Select Structural")), 12.0, set_back=42.0)
WELD = wall(old_bolts(timber(heavier(2.44), 2.5, 7.5, 15.5, "Select Structural")), 10.0)
EVERY_LARGEST = {"DIAMETERS": 1.0, "ROWS": 2, "PER_ROW": 12, "SPACINGS": 6.0, "GAUGES US": 5.0, "GREATEST_GAUGE": 5.0, "SIDES US": 0.625,
                 "SHOE_COLUMNS": 3, "LEGS US": 0.375}  # fmt: skip
EXAMPLES = (
    Example("all largest at once", EVERY_LARGEST, lambda: answer(LARGE)),
    Example("all least in two rows", {"DIAMETERS": 0.625, "SPACINGS": 4.0, "GAUGES US": 3.0, "SIDES US": 0.375, "SHOE_COLUMNS": 1, "LEGS US": 0.1875},
            lambda: answer(SMALL)),
    Example("one row", {"ROWS": 1}, lambda: answer(SHALLOW)),
    Example("two bolts in a row", {"PER_ROW": 2}, lambda: answer(LIGHT)),
    Example("millimetres, all largest", {"GAUGES SI": 125 * MM, "SIDES SI": 15 * MM, "LEGS SI": 10 * MM}, lambda: answer(LARGE, "SI")),
    Example("millimetres, all least", {"GAUGES SI": 75 * MM, "SIDES SI": 10 * MM, "LEGS SI": 5 * MM, "LEAST_SHOE": 12 * MM},
            lambda: answer(SMALL, "SI")),
    Example("as much cut off as may be", {"MOST_CUT": 36.0}, lambda: answer(cut_back(36.0))),
    Example("a thrust that asks for three columns of bolts", {"SHOE_COLUMNS": 3}, lambda: answer(THRUST), narrow=False),
    Example("a thrust on little end grain that asks for the largest fillet", {"LEGS US": 0.375}, lambda: answer(WELD), narrow=False),
)  # fmt: skip


def group(repair: Repair, key: str):
    return next(g for g in repair.detail.groups if g.key == key)


def read_gauge(repair: Repair) -> set[float]:
    return {group(repair, "B1").gauge}


def read_legs(repair: Repair) -> set[float]:
    return {w.size for w in repair.detail.welds if "flanges" in w.tail}


READS = {
    "DIAMETERS": lambda r: {b.diameter for b in r.detail.bolts},
    "ROWS": lambda r: {group(r, "B1").rows},
    "PER_ROW": lambda r: {group(r, "B1").per_row},
    "SPACINGS": lambda r: {group(r, "B1").spacing / group(r, "B1").diameter},
    "GAUGES US": read_gauge, "GAUGES SI": read_gauge, "GREATEST_GAUGE": read_gauge,
    "SIDES US": lambda r: thickness(r.detail, "side", "flange"), "SIDES SI": lambda r: thickness(r.detail, "side", "flange"),
    "SHOE_COLUMNS": lambda r: {len([b for b in r.detail.bolts if b.group == "B2"]) / 2},
    "LEGS US": read_legs, "LEGS SI": read_legs,
    "LEAST_SHOE": lambda r: {min(r.detail.part("shoe-plate").as_cut.thickness, r.detail.part("sole").as_cut.thickness)},
    "MOST_CUT": lambda r: {r.truss.heel("L0").set_back - 20.0},
}  # fmt: skip


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda e: e.name)
def test_an_accepted_heel_at_each_bound(example: Example) -> None:
    accepted(example, p, READS)


@pytest.mark.parametrize("found", [THRUST, WELD], ids=["columns", "fillet"])
def test_a_little_less_thrust_does_with_less(found: Truss) -> None:
    """What is largest is chosen where the next smaller does not hold."""
    less = answer(replace(found, tributary_width=0.9 * found.tributary_width))
    assert isinstance(less, Repair)
    bound = ("SHOE_COLUMNS", 3) if found is THRUST else ("LEGS US", 0.375)
    assert max(READS[bound[0]](less)) < bound[1]


def test_a_top_chord_so_deep_that_its_shoes_edges_would_stand_off() -> None:
    """AISC 360-16 J3.5: 6 in. at most from bolt to edge; NDS 2018 12.5.1.3: rows 5 in. apart at most. Plates of 17 in. and no more."""
    deep = wall(old_bolts(timber(heavier(1.6), 3.0, 17.25, 13.5)), 10.0)
    repair = accepted(Example("17 in. of plate", {"GREATEST_GAUGE": 5.0}, lambda: answer(deep), narrow=False), p,
                      {"GREATEST_GAUGE": lambda r: {group(r, "B2").gauge}})  # fmt: skip
    assert repair.detail.part("flange-near").thickness >= 0.5
    refused = answer(wall(old_bolts(timber(heavier(1.6), 3.0, 18.0, 13.5)), 10.0))
    assert isinstance(refused, Refusal)
    assert 'would have to stand 5 3/4" apart' in refused.reason
