"""EN 1995-1-1: places of bolts toward every end and edge, floors and bounds that nothing else holds to two percent. By hand (no published source)."""

from __future__ import annotations

import math

import numpy as np
import pytest

from detailgen.core.errors import OutOfRange
from detailgen.core.table import read_table
from detailgen.standards.en1995_1_1 import dowels, nails, sections
from detailgen.standards.en1995_1_1.design import TABLES
from detailgen.standards.en1995_1_1.distances import EDGE, END, measure, printed_distance
from detailgen.standards.interface import ConnectedPart, WoodGrade

C24 = WoodGrade("sawn", "softwood", "C24")


@pytest.mark.parametrize("sense", [1, -1])
def test_distances_are_measured_toward_both_ends_and_both_edges(sense):
    """Bolts at (2, 3) and (10, -5): 102 and 140 to ends at -100 and 150, 45 and 57 to edges at -50 and 60 (in)."""
    part = ConnectedPart("chord", "wood", 3.0, "other", 0.3, np.array([[2.0, 3.0], [10.0, -5.0]]), (-100.0, 150.0), (-50.0, 60.0), C24)
    found = measure(part, 0.75, sense)
    assert sorted(m.actual for m in found if m.check == END) == pytest.approx([102, 140])
    assert sorted(m.actual for m in found if m.check == EDGE) == pytest.approx([45, 57])


@pytest.mark.parametrize("of", ["bolt", "lvl", "nail", "staple"])
def test_angles_to_grain_end_at_ninety(of):
    """Tables 8.2 to 8.5: a row holds from 0 to 90 degrees, but for unloaded ends, whose rows change at 30."""
    rows = read_table(TABLES, f"{of}_least_distances").rows
    found = {str(r["row"]): (r["angle_from"], r["angle_to"]) for r in rows}
    changing = {"B-a3c-1": (0, 30), "B-a3c-2": (30, 90), "D-a3c-2": (30, 90), "D-a3c-3": (30, 90), "P-a3c-1": (0, 30), "P-a3c-2": (30, 90)}
    assert found == {row: changing.get(row, (0, 90)) for row in found}


def test_what_damage_leaves_is_never_quite_nothing():
    """Ours: a millionth of a mm2 or mm3, so that no stress is divided by nothing."""
    for value in (sections.A(60.0, 200.0, 0.0), sections.A_left(0.0, 1.0), sections.W_left(0.0, 0.5), sections.W_z(60.0, 200.0, 0.0)):
        assert float(value) == pytest.approx(1e-6, rel=1e-9, abs=0)
    assert float(sections.W_z(60.0, 200.0, 0.5)) == pytest.approx(60e3)
    assert float(sections.A(60.0, 200.0, 0.5)) == pytest.approx(6000)


def test_effective_number_beside_its_bounds():
    """Equation 8.34: n^0.9 (a_1 / 13 d)^0.25, never more than n: four bolts lose nothing from 13 d x 4^0.4 = 22.63 d on."""
    found = [float(dowels.n_ef_0(4.0, a * 10.0, 10.0)) for a in (13.0, 22.5, 22.7)]
    assert found == pytest.approx([4**0.9, 4**0.9 * (22.5 / 13) ** 0.25, 4.0], rel=1e-9)
    assert float(dowels.n_ef(2.0, 3.0, math.pi / 4)) == pytest.approx(2.5)


@pytest.mark.parametrize(("fastener", "expected"), [("bolt", 16 * (1 + 6 * 0.504528)), ("dowel", 112 * 0.504528)])
def test_an_unloaded_end_just_beyond_thirty_degrees(fastener, expected):
    """Tables 8.4 and 8.5 (from memory), 16 mm, 30.3 degrees to the grain (sine 0.504528): (1 + 6 sin) d of bolts, 7 d sin of dowels."""
    for alpha in (149.7, 210.3):
        assert printed_distance("a3c", d=16, alpha=alpha, fastener=fastener, product="sawn") == pytest.approx(expected, rel=1e-6)


def test_nails_and_staples_just_inside_their_bounds():
    """8.4(5): seven tenths up to 30 degrees. 8.4(3): a crown of 6 diameters. 8.3.2(7): 8 diameters deep. No more nail than wood."""
    assert [float(nails.F_v_Rk_staple(100.0, math.radians(a))) for a in (30.0, 30.3)] == pytest.approx([140, 200])
    wood = nails.NailedPart(45.0, 45.0, 350.0)
    leg = nails.Nail(kind="staple", d=1.5, f_u=800.0, predrilled=False)
    assert nails.lateral_staple(leg, wood, wood, math.pi / 2, 9.05) > 0
    nail = nails.Nail(kind="smooth round nail", d=3.0, f_u=600.0, predrilled=False)
    # 20e-6 x 350^2 = 2.45 MPa; just over 8 d the factor t_pen / 4d - 2 is 0.00833 (8.3.2(7))
    found = nails.withdrawal_smooth(nail, wood, nails.NailedPart(45.0, 24.1, 350.0), 7.0, dries=False)
    assert found == pytest.approx(2.45 * 3 * 24.1 * (24.1 / 12 - 2), rel=1e-6)
    with pytest.raises(OutOfRange, match="more nail in a part"):
        nails.lateral_single(nail, wood, nails.NailedPart(45.0, 45.4, 350.0))
