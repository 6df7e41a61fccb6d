"""What an engineer may want of strands and cannot have: each refused with its numbers; what he may have is taken."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from sample_trusses import STRUNG, project
from test_posttension_plan import asked, granary, job_and_solved, refusal, with_chord

from detailgen.model.project import Project, Stressing, Truss
from detailgen.remedies.contract import Repair
from detailgen.remedies.posttension import REMEDY
from detailgen.remedies.posttension import parameters as p


def pulled_with(force: float, **changes: float) -> Project:
    job = project(STRUNG)
    return replace(job, stressing=replace(job.stressing, force=force, **changes))


def web_on_the_face(z: float = 6.25) -> Truss:
    found = granary()
    return replace(found, members=tuple(replace(m, plies=(replace(m.plies[0], z=z),)) if m.name == "U3-L3" else m for m in found.members))


def test_shear_beside_bolts_asks_for_no_strands() -> None:
    """Squeezing a chord changes no shear of it (statics): where only that is over 1.0 nobody is sent to survey the room for a jack."""
    job, solved = job_and_solved()
    assert REMEDY.still_failing(job, solved)
    sheared = tuple(
        replace(q, results=tuple(replace(r, ratio=1.3) if r.check.startswith("shear") else r for r in q.results if "tension" not in r.check))
        for q in solved.check(None)
    )
    assert any(r.ratio > 1.2 for q in sheared if q.name.startswith("bottom chord") for r in q.results)
    assert not REMEDY.still_failing(job, replace(solved, check=lambda names: tuple(q for q in sheared if q.name in names)))


def test_no_room_for_anchors_on_a_low_chord() -> None:
    plies = tuple(replace(q, depth=2.75) for q in granary().member("bottom chord").plies)
    said = refusal(with_chord(plies=plies))
    assert "1 anchors over one another, 3 in. apart, do not stand on a chord this low" in said


def test_no_room_for_anchors_behind_either_heel() -> None:
    """Pad 3/8, plate 25 mm at least, barrel 2, jack 22 and stroke 8, a hand of 6 in.: 39-3/8; barrel, tail 2 and a hand: 11-3/8. 8 in. are there."""
    said = refusal(replace(granary(), heel_room=(8.0, 8.0)))
    assert "3'-3 3/8\" behind the end grain at one heel and the anchors for 11 3/8\" at the other; 8\" and 8\" are there" in said


def test_a_run_through_a_web_names_the_web_and_how_far() -> None:
    """A web of 3 in. on the face, its middle 6-1/4 in. off, ends at 7-3/4: a sheath whose middle is wanted at 6-1/2 reaches out to 6.825."""
    said = refusal(replace(web_on_the_face(), run_off=6.5))
    assert "strands are wanted 6 1/2\" from the truss's plane" in said
    assert "U3-L3 asks for 8 9/16\" there; their sheath would run 1 9/16\" into it, 1/2\" are asked for" in said
    assert 7.75 - (6.5 - p.ANCHORS["1/2 in."].sheath / 2) == pytest.approx(1.575)


def test_less_than_the_clearance_is_refused_with_what_is_left() -> None:
    """Old bolts of the heel ask for 7-5/16 in.; at 7 in. a sheath clears them by 3/16."""
    said = refusal(replace(granary(), run_off=7.0))
    assert "old bolt of bottom chord at L0 asks for 7 5/16\"" in said
    assert "their sheath would clear it by 3/16\", 1/2\" are asked for" in said


def test_a_negative_clearance_is_refused_with_how_far_they_would_run_into_it() -> None:
    """At 6 in. the sheath reaches in to 5.675; the old 1 in. bolts go through the top chord too, 5 in. off, and stand out 1.5 in. beyond it."""
    said = refusal(replace(granary(), run_off=6.0))
    assert "their sheath would run 13/16\" into it, 1/2\" are asked for" in said
    assert 5.0 + 1.5 - (6.0 - p.ANCHORS["1/2 in."].sheath / 2) == pytest.approx(13 / 16, abs=1 / 64)


def test_where_they_are_wanted_and_clear_they_are_put() -> None:
    answer = asked(replace(granary(), run_off=7.75, run_height=0.5))
    assert isinstance(answer, Repair)
    assert answer.stressing is not None
    assert (answer.stressing.run_z, answer.stressing.run_height) == (7.75, 0.5)


def test_a_height_beyond_the_chord_is_refused() -> None:
    """11-1/2 in. deep: 5 in. over the axis leaves 3/4 in. to the edge."""
    said = refusal(replace(granary(), run_height=5.0))
    assert "3/4\" are left to its edge, 1 1/2\" are asked for" in said


def test_a_force_over_four_fifths_of_breaking_is_refused() -> None:
    """ACI 318-19 20.3.2.5.1: 0.80 of 41,300 lb are 33,040 lb; 34,500 lb are 0.84."""
    job = replace(pulled_with(34500.0), stressing=replace(pulled_with(34500.0).stressing, sizes=("1/2 in.",)))
    said = refusal(job=job)
    assert "34,500 lb at the jack are wanted, 0.84 of the 41,300 lb at which a strand 1/2 in. breaks; at most 33,040 lb" in said


def test_a_force_that_seating_eats_on_a_short_run_is_refused() -> None:
    """5 in. of seating, as on a run of a few feet: 28.5e6 psi x 0.153 in2 x 5 / 592 in. are 36.8 kip, more than the 30 kip that are wanted."""
    job = pulled_with(30000.0, seating=5.0)
    said = refusal(job=replace(job, stressing=replace(job.stressing, sizes=("1/2 in.",))))
    assert "nothing would be left in a strand" in said
    assert "seating takes 36," in said


def test_too_little_force_is_refused_with_what_it_leaves() -> None:
    said = refusal(job=replace(pulled_with(12000.0), stressing=replace(pulled_with(12000.0).stressing, sizes=("1/2 in.",))))
    assert "12,000 lb at the jack are wanted: they leave" in said
    assert "16,520 lb are asked for" in said  # 0.4 of breaking, for the wedges


def test_a_wanted_force_in_the_window_is_taken() -> None:
    answer = asked(job=pulled_with(24000.0))
    assert isinstance(answer, Repair)
    assert answer.stressing is not None
    assert answer.stressing.jack == pytest.approx(24000.0)
    assert math.isfinite(answer.stressing.greatest)
    assert Stressing().force == 0.0
