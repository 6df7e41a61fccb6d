"""Our forces beside those of another analysis."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from sample_trusses import SLENDER, US_SAMPLE, assessed, project

from detailgen.assessment.compare import compare
from detailgen.core.clause import Cite
from detailgen.model.assessment import Combination, Forces, MemberForces
from detailgen.outputs.schedules.comparison import comparison_lines, write_comparison_csv


def table(forces: Forces):
    return [c.name for c in forces.combinations], dict(forces.members)


def test_the_same_forces_differ_by_nothing() -> None:
    own = assessed(SLENDER, "C").intact.forces
    found = compare("C", own, table(own))
    assert len(found) == 3 * len(own.members)
    assert max(d.share for d in found) < 1e-12


def test_one_changed_value_is_found_where_it_is() -> None:
    own = assessed(US_SAMPLE, "T2").intact.forces
    names, members = table(own)
    k = names.index("D + S balanced")
    web = members["U2-L3"]
    axial = web.axial.copy()
    axial[k, 2] += 500.0
    found = compare("T2", own, (names, {**members, "U2-L3": replace(web, axial=axial)}))
    most = max(found, key=lambda d: d.share)
    assert (most.member, most.what, most.combination) == ("U2-L3", "axial", "D + S balanced")
    assert most.theirs - most.ours == pytest.approx(500.0, abs=2.0)  # the nearest of ours may stand an inch beside
    greatest = max(float(np.abs(m.axial).max()) for m in members.values())
    assert most.share == pytest.approx(500.0 / greatest, rel=1e-2)
    assert sum(d.share > 1e-6 for d in found) == 1


def one(station, shear) -> tuple[Forces, MemberForces]:
    zero = np.zeros((1, len(station)))
    member = MemberForces("L0-L1", np.array(station), zero, np.array([shear]), zero)
    return Forces("intact", "service", (Combination("D", (), "permanent", Cite("test", "0")),), {"L0-L1": member}, "analysis"), member


def test_at_a_jump_the_nearer_side_counts_and_between_stations_it_runs_straight() -> None:
    """Ours: 10 to 4 over 100 in. with a jump to -4 at 50; theirs has the jump half an inch later, and a length measured along an arc."""
    own, _ = one([0.0, 50.0, 50.0, 100.0], [10.0, 4.0, -4.0, -10.0])
    _, theirs = one([0.0, 25.25, 50.5, 101.0], [10.0, 7.0, 4.0, -10.0])
    found = {d.what: d for d in compare("T", own, (["D"], {"L0-L1": theirs}))}
    assert found["shear"].ours == pytest.approx(found["shear"].theirs, abs=1e-9)
    _, other = one([0.0, 25.0, 100.0], [10.0, 2.0, -10.0])
    wrong = {d.what: d for d in compare("T", own, (["D"], {"L0-L1": other}))}["shear"]
    assert wrong.station == 25.0
    assert wrong.ours - 2.0 == pytest.approx(5.0 - 0.12, abs=1e-9)  # 1 % of the length beside, the slope of 0.12 lb/in is in favour
    assert wrong.share == pytest.approx(0.488)


def test_other_combinations_are_passed_over() -> None:
    own, member = one([0.0, 1.0], [1.0, 1.0])
    assert compare("T", own, (["E"], {"L0-L1": member})) == ()


def test_words_and_table(tmp_path) -> None:
    own = assessed(SLENDER, "C").intact.forces
    names, members = table(own)
    doubled = {n: replace(m, moment=2 * m.moment) for n, m in members.items()}
    found = compare("C", own, (names, doubled))
    (line,) = comparison_lines(found)
    assert "moment 50.0 %" in line
    assert "axial 0.0 %" in line
    write_comparison_csv(tmp_path / "c.csv", found, project(SLENDER).units)
    rows = (tmp_path / "c.csv").read_text(encoding="utf-8").splitlines()
    assert rows[0] == "truss,structure,member,force,combination,station_in,ours,theirs,difference,unit,share_of_greatest"
    assert len(rows) == 1 + len(found)
