"""Before any repair: how much snow now, when the building is cleared, and where shores help."""

from __future__ import annotations

from dataclasses import replace

import pytest
from sample_trusses import SLENDER, US_SAMPLE, assessed, project

from detailgen.assessment.safety import CLOSE, WATCH, places_of_need, safety_now, snow_depths
from detailgen.core.units import UNITS
from detailgen.model.project import WorkWindow
from detailgen.pipeline import known_standards

WOOD, LOADS = known_standards()
STANDARDS = (WOOD["nds_2018"], LOADS["asce7_16"])
PSF, PCF = UNITS["area load"]["psf"], UNITS["unit weight"]["pcf"]


@pytest.fixture(scope="module")
def now():
    return safety_now(project(US_SAMPLE), assessed(US_SAMPLE, "T2"), *STANDARDS)


def test_triggers_are_parts_of_the_snow_that_it_may_carry(now) -> None:
    assert now.allowed == assessed(US_SAMPLE, "T2").snow.flat_roof_allowed
    assert (now.watch, now.close) == (WATCH * now.allowed, CLOSE * now.allowed)
    assert now.governing.startswith("bottom chord L2-L3")
    assert now.ground == pytest.approx(now.close / now.today * 25 * PSF)


def test_depths_weigh_what_the_triggers_say() -> None:
    found = snow_depths(5 * PSF, 7.5 * PSF, 25 * PSF, STANDARDS[1])
    for depth in found:
        assert depth.watch * depth.weight == pytest.approx(5 * PSF)
        assert depth.close * depth.weight == pytest.approx(7.5 * PSF)
    assert [d.weight for d in found] == sorted(d.weight for d in found)
    assert found[-1].close == pytest.approx(7.5 / 30 * 12)  # 3 in. of wet snow at 30 pcf


def test_the_code_s_own_weight_of_snow() -> None:
    """ASCE 7-16, equation 7.7-1: 0.13 x 25 + 14 = 17.25 pcf; at most 30 pcf."""
    assert STANDARDS[1].snow_weight(25 * PSF)[0] == pytest.approx(17.25 * PCF)
    assert STANDARDS[1].snow_weight(200 * PSF)[0] == pytest.approx(30 * PCF)
    assert LOADS["asce7_22"].snow_weight(25 * PSF)[0] == pytest.approx(17.25 * PCF)


def test_snug_shores_carry_what_comes_later(now) -> None:
    """As found nine psf; on shores under all joints all of today's snow."""
    assert [j for j, _ in now.shores] == ["L1", "L2", "L3", "L4", "L5", "L6", "L7"]
    assert now.shored == pytest.approx(now.today)
    assert all(0 < push < 6000 for _, push in now.shores)


def test_places_of_need_are_beside_what_fails() -> None:
    assert set(places_of_need(assessed(US_SAMPLE, "T2"))[:2]) <= {"L1", "L2", "L3"}
    assert places_of_need(assessed(SLENDER, "C"))[0] == "L3"


def test_no_shores_where_none_may_stand() -> None:
    one = assessed(US_SAMPLE, "T2")
    barred = replace(one, truss=replace(one.truss, work=WorkWindow(shores=("L7",))))
    found = safety_now(project(US_SAMPLE), barred, *STANDARDS)
    assert found.shores == ()
    assert any("nothing but clearing" in note for note in found.notes)


def test_without_a_load_path_nobody_goes_under_it() -> None:
    one = assessed(US_SAMPLE, "T2")
    lost = replace(one, as_found=replace(one.as_found, no_safe_load_path="joint L4 can move down", places=()), snow=None)
    found = safety_now(project(US_SAMPLE), lost, *STANDARDS)
    assert not found.known
    assert (found.allowed, found.watch, found.close) == (0.0, 0.0, 0.0)
    assert any("Nobody goes under it" in note for note in found.notes)


def test_a_roof_without_snow_and_imported_forces_say_so() -> None:
    bare = replace(project(US_SAMPLE), loads=replace(project(US_SAMPLE).loads, snow=None))
    found = safety_now(bare, replace(assessed(US_SAMPLE, "T2"), snow=None), *STANDARDS)
    assert any("no snow" in note for note in found.notes)
    imported = safety_now(project(US_SAMPLE), assessed(US_SAMPLE, "T5"), *STANDARDS)
    assert imported.shores == ()
    assert any("another analysis" in note for note in imported.notes)
