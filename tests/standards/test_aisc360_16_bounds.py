"""AISC 360-16: just inside and just outside of every bound, so that a bound that moves by two percent is noticed.

Every expected value is worked by hand from the clause's own text (clauses from memory).
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from detailgen.core.clause import Calculation
from detailgen.core.errors import OutOfRange
from detailgen.standards.aisc360_16 import bolt_holes, bolts, compression, plates, struts, tension, welds
from detailgen.standards.aisc360_16.welds import fillet_allowable
from detailgen.standards.anchorage import FilletWeld
from detailgen.standards.interface import PlateLayouts

E, F_Y = 29e6, 50e3


@pytest.mark.parametrize(("slenderness", "share"), [
    # 4.71 sqrt(29,000/50) = 113.43; F_y / F_e = 50 slenderness^2 / (pi^2 29,000)
    (113.0, 0.658 ** (50 * 113.0**2 / (math.pi**2 * 29e3))),
    (114.0, 0.877 * math.pi**2 * 29e3 / (50 * 114.0**2)),
    (115.6, 0.877 * math.pi**2 * 29e3 / (50 * 115.6**2)),
])  # fmt: skip
def test_where_buckling_of_plates_becomes_elastic(slenderness, share):
    """E3: inelastic up to 4.71 sqrt(E / F_y). The lines lie 0.1 to 0.2 % apart here."""
    found = compression.F_cr(F_Y, math.pi**2 * E / slenderness**2, E, slenderness)
    assert float(found) / F_Y == pytest.approx(share, rel=1e-5)


@pytest.mark.parametrize(("ratio", "share"), [(2.22, 0.658**2.22), (2.26, 0.877 / 2.26), (2.29, 0.877 / 2.29)])
def test_where_buckling_of_struts_becomes_elastic(ratio, share):
    """E3: inelastic while F_y / F_e is at most 2.25."""
    assert float(struts.F_cr_strut(F_Y, F_Y / ratio)) / F_Y == pytest.approx(share, rel=1e-5)


@pytest.mark.parametrize(("k", "moment"), [
    (0.0799, 1.5), (0.0805, 1.52 - 0.274 * 0.0805),  # F11.1 up to 0.08 E / F_y: 1.5 yield moments of a rectangle, under the cap of 1.6
    (1.89, 1.52 - 0.274 * 1.89), (1.91, 1.9 / 1.91), (1.935, 1.9 / 1.935),  # F11.2(b) up to 1.9 E / F_y, F11.2(c) beyond
])  # fmt: skip
def test_where_a_bar_bent_edgewise_changes_its_line(k, moment):
    """F11: L_b d / t2 in units of E / F_y; moment in units of F_y S. Bar 3/8 x 6."""
    t, w = 0.375, 6.0
    found = compression.M_n_yield(F_Y, k * E / F_Y * t**2 / w, w, t, E, 1.0)
    assert float(found) / (F_Y * t * w**2 / 6) == pytest.approx(moment, rel=1e-6)


@pytest.mark.parametrize(
    ("legs", "beta"), [(99, 1.0), (101, 0.998), (101.9, 0.9962), (299, 0.602), (301, 180 / 301), (305.9, 180 / 305.9), (400, 0.45)],
)  # fmt: skip
def test_long_welds_beside_their_bounds(legs, beta):
    """J2.2b(d), equation J2-1: 1 to 100 legs; 1.2 - 0.002 l/w to 300; beyond an effective length of 180 legs."""
    assert float(welds.beta_weld(legs * 0.25, 0.25)) == pytest.approx(beta, rel=1e-9)


def test_a_weld_is_four_legs_long_at_least():
    """J2.2b(c): 1/4 in. legs, 1 in."""
    weld = FilletWeld(leg=0.25, length=1.001, angle=0.0, electrode="E70", thinner=0.5, edge=0.5, F_y=36e3, F_u=58e3)
    # J2.4: 0.6 x 70,000 x 0.25/sqrt2 x 1.001 / 2
    assert fillet_allowable(weld) == pytest.approx(0.6 * 70e3 * 0.25 / math.sqrt(2) * 1.001 / 2)


def test_a_bolt_may_be_sheared_up_to_its_own_strength():
    """J3.7: A325-N: f_rv up to 54 / 2 = 27 ksi; 1.3 x 90 - 2 x 90/54 f_rv, but 90 at most (f_rv up to 8.1)."""
    found = [float(bolts.F_nt_prime(90e3, 54e3, 2.0, f * 1e3)) for f in (5.0, 8.0, 8.2, 20.0, 26.9)]
    assert found == pytest.approx([90e3, 90e3, (117 - 82 / 3) * 1e3, (117 - 200 / 3) * 1e3, (117 - 269 / 3) * 1e3])
    with pytest.raises(OutOfRange):
        bolts.F_nt_prime(90e3, 54e3, 2.0, 27.1e3)


def test_bearing_turns_into_tear_out_at_twice_the_diameter():
    """J3.10(a), 3/4 in. bolts in 1/2 in. A36: 1.2 l_c up to 2 d = 1.5 in., 2.4 d beyond."""
    found = [float(bolt_holes.R_n_bolt(l_c, 0.5, 0.75, 58e3)) for l_c in (1.0, 1.49, 1.51, 3.0)]
    assert found == pytest.approx([34800, 1.2 * 1.49 * 29e3, 52200, 52200])


def test_net_shear_of_a_block():
    """J4.3 with B4.3b: a row of three 13/16 in. holes counted 7/8: the plane of 7.5 in. loses two and a half: 5.3125 in."""
    assert float(tension.d_net(0.8125)) == 0.875
    assert float(tension.A_nv(1.0, 7.5, 3, 0.875, 1.0)) == pytest.approx(5.3125)
    assert float(tension.A_nt(1.0, 1.5, 1.0, 3.0, 0.875, 1.0)) == pytest.approx(1.0625 + 2.125)


def test_seven_rows_of_holes_beside_the_middle():
    """J4.5, by hand: rows at 1, 2, 3 gauges on both sides and one in the middle: 12 gauges of arm. 12 in. plate, gauge 1-1/2, holes 7/8."""
    assert float(compression.Z_net(12.0, 1.0, 7, 1.5, 0.875)) == pytest.approx(36 - 0.875 * 1.5 * 12 - 0.875**2 / 4)


YIELDS, RUPTURES = (1.5, 1, 32400.0), (1.0, 3, 97875.0)
"""Shear planes of an inch of A36 with holes of 13/16 (7/8 counted): end distance, bolts 2 in. apart, and what one plane carries (lb).
One bolt at 1-1/2: yields at 0.6 x 36 x 1.5 (rupture: 36.98 kip). Three from 1 in.: rupture 0.6 x 58 x (5 - 2.5 x 7/8) (yield: 108 kip)."""


@pytest.mark.parametrize("line", [YIELDS, RUPTURES])
@pytest.mark.parametrize(("strip", "gap", "nominal"), [
    (0.99, 1.0, 2.99),  # an edge strip weaker than a plane by a hundredth: plane, strip and gap
    (0.5, 1.485, 2.985),  # the gap weaker than a plane and a strip by a hundredth: the same
    (1 / 0.99, 1.0, 3.0),  # a plane weaker than an edge strip by a hundredth: two planes and the gap
])  # fmt: skip
def test_the_least_block_is_found_where_another_is_nearly_as_weak(line, strip, gap, nominal):
    """J4.3, two rows. Strips and sum in units of a plane; a strip carries 58 ksi on what the holes leave of it."""
    end, per_row, plane = line
    edge, gauge = 0.4375 + strip * plane / 58e3, 0.875 + gap * plane / 58e3
    plate = {"thickness": 1.0, "width": 2 * edge + gauge, "diameter": 0.75, "hole": 0.8125, "rows": 2.0, "per_row": per_row, "spacing": 2.0,
             "gauge": gauge, "end": end, "free": 4.0}  # fmt: skip
    layouts = PlateLayouts(F_y=36e3, F_u=58e3, **{k: np.array([float(v)]) for k, v in plate.items()})
    assert plates.block_shear(layouts, Calculation())[0] == pytest.approx(nominal * plane / 2, rel=1e-9)


def test_rows_of_four_tear_out_alike():
    """J4.3, by counting: of five strips those between two rows that stay need two planes; the single edge strip needs one."""
    assert (1, 1, 3) in plates.blocks(4)
    assert (2, 0, 3) in plates.blocks(4)
