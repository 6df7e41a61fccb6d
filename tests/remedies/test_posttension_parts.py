"""The pieces of post-tensioning by themselves: window, pulls, run, end plate, against hand calculations."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from sample_trusses import STRUNG, project, truss

from detailgen import pipeline
from detailgen.model.member import Bolts
from detailgen.model.project import Stressing
from detailgen.remedies.contract import Job
from detailgen.remedies.posttension import parameters as p
from detailgen.remedies.posttension.heel import fixed_room, jack_room, pads_of, plate_for, pushed_by, stressing_end
from detailgen.remedies.posttension.run import Way, obstacles, ways
from detailgen.remedies.posttension.stressing import Wood, least_jack, limits_of, pulls_of, request_of, steps_of
from detailgen.remedies.posttension.window import CLOSE, Window, greatest_force, least_force
from detailgen.standards.interface import STRENGTH

KIP = 1000.0
ANCHOR = p.ANCHORS["1/2 in."]


def falling(demand: float, capacity: float):
    """Tension of a chord (lb) that strands relieve pound by pound, against what it bears."""

    def ratios(forces: Sequence[float]) -> list[tuple[float, str]]:
        return [((demand - f) / capacity, "chord") for f in forces]

    return ratios


def rising(dead: float, capacity: float):
    """Compression that strands bring into a chord with some tension under dead load, against what it bears."""

    def ratios(forces: Sequence[float]) -> list[tuple[float, str]]:
        return [(max(f - dead, 0.0) / capacity, "chord") for f in forces]

    return ratios


@given(st.floats(1e3, 9e4), st.floats(1e3, 9e4), st.floats(0, 3e4), st.floats(1e3, 6e4))
def test_the_window_of_a_straight_bar_is_what_statics_says(demand: float, tension: float, dead: float, compression: float) -> None:
    """A bar: at least demand less tension capacity, at most dead tension plus compression capacity, to within what is asked for."""
    most = 6e4
    least, greatest = least_force(falling(demand, tension), most), greatest_force(rising(dead, compression), most)
    by_hand = max(demand - tension, 0.0)
    if by_hand > most * (1 + 1e-4):
        assert math.isinf(least.force)
    elif by_hand < most * (1 - 1e-4):
        assert by_hand - 1e-3 * tension <= least.force <= by_hand + CLOSE
    assert min(dead + compression, most) - CLOSE <= greatest.force <= min(dead + compression, most) * (1 + 1e-4)
    assert Window(least, greatest).open == (least.force <= greatest.force)


def test_a_chord_that_fails_without_strands_in_compression_has_no_greatest_force() -> None:
    assert greatest_force(lambda forces: [(1.2, "chord") for _ in forces], 4e4).force == 0.0


@pytest.mark.parametrize("step", [0.0, 0.25, 0.5])
@pytest.mark.parametrize("count", [2, 4, 6])
def test_no_face_is_ever_further_ahead_than_the_step(count: int, step: float) -> None:
    at = np.zeros(count)
    for strands, share in pulls_of(count, step):
        at[list(strands)] = share
        assert abs(at[::2].sum() - at[1::2].sum()) <= step + 1e-9
    assert np.allclose(at, 1.0)


def request(jack: float, count: int = 2, step: float = 0.5, length: float = 720.0):
    anchorage = pipeline.anchorage("allowable stress")
    assert anchorage is not None
    strand = anchorage.strand.strand("1/2 in.")
    return anchorage, request_of(strand, count, length, jack, Wood(1.6e6, 46.25, 10 * KIP), Stressing(), step)


def test_the_least_jacking_force_is_the_least() -> None:
    anchorage, asked = request(0.0)
    found = least_jack(anchorage, asked, 30 * KIP, 10 * KIP, 250.0)
    assert not isinstance(found, str)
    jack = next(s.value for s in found.calculation.steps() if s.symbol == "P_j")
    assert found.long_term.sum() >= 30 * KIP
    assert anchorage.stressing.stressing_forces(replace(asked, jack=jack - 250.0)).long_term.sum() < 30 * KIP


def test_more_than_a_strand_may_hold_is_refused_with_its_numbers() -> None:
    """Two strands of 41.3 kip: 0.80 of breaking is 33.0 kip each, far from 80 kip in the long term."""
    anchorage, asked = request(0.0)
    found = least_jack(anchorage, asked, 80 * KIP, 10 * KIP, 250.0)
    assert isinstance(found, str)
    assert "33,040 lb" in found
    assert "80,000 lb" in found


def test_a_run_of_fifteen_feet_loses_a_quarter_to_its_wedges() -> None:
    """Shared case seat-15ft: 1/4 in. over 15 ft takes 25 % of 24 kip; with half of it gone at 7-1/2 ft the wedges do not hold."""
    anchorage, asked = request(24 * KIP, length=180.0)
    seat = asked.seating / asked.length * 28.5e6 * 0.153
    assert seat / (24 * KIP) == pytest.approx(0.2523, rel=1e-3)
    forces = anchorage.stressing.stressing_forces(asked)
    assert forces.locked == pytest.approx(24 * KIP * math.exp(-0.002 * 15) - seat, rel=1e-9)
    short = least_jack(anchorage, replace(asked, length=60.0), 30 * KIP, limits_of(anchorage, asked.strand)["least at lock-off"].force, 250.0)
    assert isinstance(short, str)


def test_steps_are_numbered_and_end_at_the_full_force() -> None:
    anchorage, asked = request(24 * KIP, count=4)
    steps = steps_of(("near 1", "far 1", "near 2", "far 2"), anchorage.stressing.stressing_forces(asked), 0.5, Stressing(ram_area=4.0), 0.07)
    assert [s.number for s in steps] == list(range(1, len(steps) + 1))
    full = [s.strand for s in steps if s.share == 1.0]
    assert sorted(full) == ["far 1", "far 2", "near 1", "near 2"]
    assert all(s.gauge == pytest.approx(s.force / 4.0) for s in steps)
    assert "near 1, far 1" in [s.locked for s in steps]
    assert all(s.hold for s in steps if s.share in (0.1, 1.0))


def granary_ways(**changes) -> list[Way]:
    found = replace(truss(STRUNG, "G3"), **changes)
    return ways(found, found.member("bottom chord"), 1, ANCHOR, p.OFF["US"])


def test_without_anything_beside_the_chord_strands_lie_at_their_clearance() -> None:
    """Faces at 4-1/2 in., 1/2 in. clear, half a sheath of 0.65 in.: 5.325 in., up to 5-3/8."""
    found = granary_ways(connections=(), bearings=())
    assert {w.z for w in found} == {5.375}
    assert found[0].height == 0.0


def test_an_old_bolt_pushes_only_the_heights_that_it_reaches() -> None:
    """A 1 in. bolt 4 in. over the axis: its washer reaches down to 4 - 1.35 in."""
    bare = replace(truss(STRUNG, "G3"), bearings=())
    heel = replace(bare.connections[-1], plates=(), bolts=Bolts(1.0, ((12.0, 4.0),), 45000.0))
    found = granary_ways(connections=(heel,), bearings=())
    near = 4.0 - 1.35 - p.CLEAR - ANCHOR.sheath / 2
    assert {w.height for w in found if w.z > 5.5} == {w.height for w in found if w.height > near}
    assert all("old bolt" in w.held_off_by for w in found if w.z > 5.5)


def test_strands_over_one_another_keep_their_distance_and_stay_on_the_chord() -> None:
    found = truss(STRUNG, "G3")
    two = ways(found, found.member("bottom chord"), 2, ANCHOR, p.OFF["US"])
    assert two
    for way in two:
        assert way.heights[1] - way.heights[0] == pytest.approx(p.APART)
        assert max(abs(h) for h in way.heights) <= 11.5 / 2 - p.EDGE + 1e-9
    assert not ways(found, found.member("bottom chord"), 4, ANCHOR, p.OFF["US"])


def test_webs_bar_only_the_heights_that_they_reach() -> None:
    chord = truss(STRUNG, "G3").member("bottom chord")
    strips = [o for o in obstacles(truss(STRUNG, "G3"), chord) if o.what == "U3-L3"]
    assert len(strips) > 10
    assert max(o.x[1] - o.x[0] for o in strips) < 20  # the whole web reaches over four feet


def plate(force: float, way: Way | None = None, project_units: str = "US"):
    job = project(STRUNG)
    wood, _ = pipeline.known_standards()
    anchorage = pipeline.anchorage(job.method)
    assert anchorage is not None
    work = Job(job, wood[job.wood_standard], pipeline.steel_standard(job.method), lambda t: None, anchorage)  # type: ignore[arg-type,return-value]
    chord = truss(STRUNG, "G3").member("bottom chord")
    pushed = pushed_by(np.array([force]), ("D",), ("permanent",), force)
    return plate_for(work, anchorage, chord, way or Way((0.0,), 5.375, "", 5.325), ANCHOR, pushed)


def test_the_end_plate_is_as_thick_as_its_bending_asks() -> None:
    """By hand: 20 kip a side, 5.375 - 3.0 in. outside of what bears; the load spreads over barrel and twice the arm; AISC F11 with 36 ksi."""
    found = plate(40 * KIP)
    assert not isinstance(found, str)
    arm = 5.375 - 3.0
    spread = 1.75 + 2 * arm
    least = math.sqrt(4 * 20 * KIP * arm * 1.67 / (36 * KIP * spread))
    assert (found.arm, found.spread) == pytest.approx((arm, spread))
    assert found.thickness == 1.25
    assert 1.0 < least <= found.thickness
    assert found.width == pytest.approx(2 * (5.375 + 1.75 / 2 + 0.5))


def test_end_grain_bears_on_the_pads_alone() -> None:
    """NDS 3.10.1: 40 kip over two pads of 2-7/8 x 11-1/4 in."""
    found = plate(40 * KIP)
    pads = pads_of(truss(STRUNG, "G3").member("bottom chord"))
    assert [(x.width, x.height) for x in pads] == [(2.875, 11.25)] * 2
    bearing = next(r for r in found.results if r.check == "end bearing" and r.combination == "D")
    assert bearing.demand == pytest.approx(40 * KIP / (2 * 2.875 * 11.25))


def test_strands_off_the_axis_press_on_less_of_the_end_grain() -> None:
    low = plate(40 * KIP, Way((-2.0,), 5.375, "", 5.325))
    bearing = next(r for r in low.results if r.check == "end bearing" and r.combination == "D")
    assert bearing.demand == pytest.approx(40 * KIP / (2 * 2.875 * (11.25 - 4.0)))


def test_a_barrel_on_the_plate_bears_by_the_ring_about_its_hole() -> None:
    """AISC J7 (from memory): 1.8 x 36 ksi over 2.0 on the ring between 1-3/4 and 11/16 in."""
    found = plate(40 * KIP)
    ring = next(r for r in found.results if r.check == "barrel on the plate")
    assert ring.capacity == pytest.approx(1.8 * 36 * KIP / 2 * math.pi / 4 * (1.75**2 - (11 / 16) ** 2), rel=1e-6)


def test_strands_far_outside_ask_for_more_than_a_plate() -> None:
    said = plate(80 * KIP, Way((0.0,), 16.0, "", 16.0))
    assert isinstance(said, str)
    assert "with ribs welded on its least ratio is" in said


def test_room_is_what_stands_behind_one_another() -> None:
    """Pad 3/8, plate 1-1/4, barrel 2, jack 22 with 8 of stroke, a hand of 6 in."""
    found = plate(40 * KIP)
    assert jack_room(found, ANCHOR, 22.0, 8.0) == pytest.approx(0.375 + 1.25 + 2 + 22 + 8 + 6)
    assert fixed_room(found, ANCHOR) == pytest.approx(0.375 + 1.25 + 2 + 2 + 6)


@pytest.mark.parametrize(
    ("room", "end"), [((48.0, 20.0), "left"), ((20.0, 48.0), "right"), ((48.0, 48.0), "left"), ((48.0, 5.0), ""), ((30.0, 30.0), "")],
)  # fmt: skip
def test_which_heel_is_stressed(room: tuple[float, float], end: str) -> None:
    assert stressing_end(room, 40.0, 12.0) == end


def test_factored_loads_get_no_strands() -> None:
    from test_posttension_plan import refusal

    job = replace(project(STRUNG), method=STRENGTH)
    assert "allowable stress" in refusal(job=job)
