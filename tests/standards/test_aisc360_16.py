"""AISC 360-16: clauses and tables against hand values and printed examples. Sources beside each check.

The plate of the hand values: PL 3/8 x 6, A36, 3/4 in. bolts in 13/16 in. holes, two rows of three, spacing 3, gauge 3, end 1-1/2, free 16 in.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from detailgen.core.clause import Calculation, TableStatus
from detailgen.core.errors import NotCovered, OutOfRange
from detailgen.core.table import read_table
from detailgen.standards.aisc360_16 import STANDARD, bolt_holes, compression, plates, strength, tension
from detailgen.standards.interface import PlateLayouts, SteelStandard

A36 = {"F_y": 36e3, "F_u": 58e3}
HAND = {"thickness": 0.375, "width": 6.0, "diameter": 0.75, "hole": 0.8125, "rows": 2, "per_row": 3, "spacing": 3.0, "gauge": 3.0, "end": 1.5,
        "free": 16.0}  # fmt: skip


def layouts(**changes):
    values = {**HAND, **changes}
    size = max(np.size(v) for v in values.values())
    return PlateLayouts(**A36, **{k: np.broadcast_to(np.asarray(v, dtype=float), size) for k, v in values.items()})


def value(capacity, **changes):
    return float(capacity(layouts(**changes), Calculation())[0])


def test_it_is_a_steel_standard():
    assert isinstance(STANDARD, SteelStandard)
    assert (STANDARD.key, STANDARD.name) == ("aisc360_16", "AISC 360-16 (ASD)")


def test_safety_factors():
    """B3 with D2, J3.10, J4, J7, E1, F1, J4.5: 0.90 and 1.67 where steel yields or buckles, 0.75 and 2.00 where it breaks (from memory)."""
    table = {str(r["limit_state"]): (r["omega"], r["phi"]) for r in read_table(strength.TABLES, "omega")}
    yields, breaks = (1.67, 0.90), (2.00, 0.75)
    assert table == {
        "tension yield": yields, "compression": yields, "bending yield": yields,
        "tension rupture": breaks, "block shear": breaks, "bearing and tear-out": breaks, "bending rupture": breaks,
        "bolt shear": breaks, "bolt tension": breaks, "weld": breaks, "shear rupture": breaks,
        "bearing on steel": breaks,
        "shear yield": (1.50, 1.00), "slip in standard holes": (1.50, 1.00), "groove weld, normal": (1.88, 0.80),
    }  # fmt: skip


def test_steels_of_plates():
    """Least yield stress and tensile strength, ksi (A36 from textbooks, the others from memory)."""
    typed = {"ASTM A36": (36, 58), "ASTM A529 Gr. 50": (50, 65), "ASTM A572 Gr. 50": (50, 65), "ASTM A588": (50, 70)}
    assert {str(r["grade"]): (r["F_y"], r["F_u"]) for r in read_table(strength.TABLES, "steel_grades")} == typed


def test_a_bolt_between_two_sizes_takes_the_longer_edge_distance():
    """Table J3.4 (seen in print): 3/4 7/8 1 1-1/8 1-1/4 1-1/2 1-5/8 in. for 1/2 to 1-1/4 in.; beyond 1.25 d."""
    sizes, edges = (0.5, 0.625, 0.75, 0.875, 1.0, 1.125, 1.25), (0.75, 0.875, 1.0, 1.125, 1.25, 1.5, 1.625)
    for size, edge, longer in zip(sizes, edges, (*edges[1:], 1.25 * 1.251), strict=True):
        assert float(bolt_holes.least_edge_distance(size)[0]) == edge
        assert float(bolt_holes.least_edge_distance(size + 0.001)[0]) == pytest.approx(longer)


def test_the_hand_plate_in_tension():
    assert value(plates.tension_yield) == pytest.approx(36000 * 2.25 / 1.67)  # 48,503 lb
    assert value(plates.tension_rupture) == pytest.approx(58000 * (6 - 2 * 0.875) * 0.375 / 2)  # 46,219 lb
    # one plane 60,750 (yields: 0.6 36,000 2.8125; rupture would be 69,328), a strip to the edge 23,109, the strip between the rows 46,219
    assert value(plates.block_shear) == pytest.approx((60750 + 23109.375 + 46218.75) / 2)
    # edge bolt 1.2 x 1.09375 x 0.375 x 58,000 = 28,546.875; inner bolts bear: 2.4 x 0.75 x 0.375 x 58,000 = 39,150
    assert value(plates.bearing_to_end) == pytest.approx(2 * (28546.875 + 2 * 39150) / 2)


def test_the_hand_plate_in_compression_and_bending():
    # 0.65 x 16 / 0.108253 = 96.07; F_e 31,011 psi; F_cr = 0.658^(36,000 / 31,011) 36,000 = 22,145 psi
    assert value(plates.buckling) == pytest.approx(22145.4 * 2.25 / 1.67, rel=2e-4)
    # toward the cut the leading bolt has 16 - 13/16 before it: all bolts bear
    assert value(plates.bearing_to_cut) == pytest.approx(2 * 3 * 39150 / 2)
    # L_b d / t2 = 682.67: (1.52 - 0.274 x 682.67 x 36 / 29,000) x 81,000 = 104,312; rupture 58,000 x 2.390625 / 2 = 69,328
    assert value(plates.bending) == pytest.approx(104312.2 / 1.67, rel=1e-5)
    assert value(plates.bending, free=1.0) == pytest.approx(min(121500 / 1.67, 69328.125))  # short: the net section breaks first


def test_effective_net_area_of_a_splice_plate_is_capped():
    """J4.1: 0.85 A_g. One 1/2 in. bolt in a 12 in. plate leaves 95 % of it."""
    assert value(plates.tension_rupture, width=12.0, rows=1, diameter=0.5, hole=0.5625) == pytest.approx(58000 * 0.85 * 12 * 0.375 / 2)
    assert value(plates.tension_rupture, width=3.0, rows=1) == pytest.approx(58000 * (3 - 0.875) * 0.375 / 2)


def test_a_printed_plate_that_leaves_out_the_sixteenth():
    """A public worked example prints 129.6 and 138.7 kip for PL 1/2 x 8, A36, two 3/4 in. bolts: it takes holes of 13/16; B4.3b makes it 135.9."""
    printed = tension.tension_strengths(b=8.0, t=0.5, U=1.0, holes=2, net_hole=0.8125, **A36)
    assert 0.9 * printed.nominal_yield == pytest.approx(129600)
    assert 0.75 * printed.nominal_rupture == pytest.approx(138700, abs=50)
    by_clause = tension.tension_strengths(b=8.0, t=0.5, U=1.0, holes=2, net_hole=float(tension.d_net(0.8125)), **A36)
    assert 0.75 * by_clause.nominal_rupture == pytest.approx(135900, abs=50)
    assert by_clause.design == pytest.approx(129600)
    assert by_clause.allowable == pytest.approx(min(144000 / 1.67, 181250 / 2))


@pytest.mark.parametrize(("A_nv", "A_gv", "nominal"), [(1.0, 10.0, 34.8), (10.0, 1.0, 21.6), (2.0, 3.0, 64.8), (2.0, 4.0, 69.6)])
def test_both_branches_of_block_shear(A_nv, A_gv, nominal):
    """J4-5 by hand in kip: 0.6 x 58 A_nv against 0.6 x 36 A_gv, plus 58 A_nt."""
    found = tension.block_shear_strengths(A_gv=A_gv, A_nv=A_nv, A_nt=0.5, U_bs=1.0, **A36)
    assert found.nominal / 1000 == pytest.approx(nominal + 29)
    assert (found.design, found.allowable) == (pytest.approx(0.75 * found.nominal), pytest.approx(found.nominal / 2))
    half = tension.block_shear_strengths(A_gv=A_gv, A_nv=A_nv, A_nt=0.5, U_bs=0.5, **A36)
    assert half.nominal / 1000 == pytest.approx(nominal + 14.5)


def test_blocks_of_one_two_and_three_rows():
    """(shear planes, strips to an edge, strips between rows), drawn by hand. A three-row block that leaves the middle row to tear by itself
    has two planes more."""
    assert plates.blocks(1) == ((1, 1, 0),)
    assert plates.blocks(2) == ((1, 1, 1), (2, 0, 1), (2, 2, 0), (3, 1, 0))
    assert {(2, 0, 2), (1, 1, 2), (4, 0, 1), (4, 2, 0), (2, 2, 1), (3, 1, 1), (5, 1, 0)} == set(plates.blocks(3))


def test_wide_edges_push_the_block_between_the_rows():
    """Edges of 6 in. and a gauge of 2: the strip between the rows comes out, two planes and one strip."""
    plane, gap = 60750.0, 58000 * (2 - 0.875) * 0.375
    assert value(plates.block_shear, width=14.0, gauge=2.0) == pytest.approx((2 * plane + gap) / 2)
    # and with edges under a quarter of the gauge both edge strips go
    assert value(plates.block_shear, width=11.0, gauge=9.0) == pytest.approx((2 * plane + 2 * 58000 * (1 - 0.4375) * 0.375) / 2)


@pytest.mark.parametrize(
    ("d", "edge"),
    [(0.5, 0.75), (0.625, 0.875), (0.75, 1.0), (0.875, 1.125), (1.0, 1.25), (1.125, 1.5), (1.25, 1.625), (1.375, 1.71875), (2.0, 2.5)],
)
def test_least_edge_distance(d, edge):
    """Table J3.4, page 16.1-131; 1-1/4 d above 1-1/4 in."""
    assert bolt_holes.least_edge_distance(d)[0] == pytest.approx(edge)


def test_edge_distance_between_the_rows_of_the_table():
    """A diameter between two rows takes the larger (ours): 19 mm is a hair under 3/4 in.; 20 mm goes to 7/8 in. and asks for 1-1/8 in."""
    got = bolt_holes.least_edge_distance(np.array([19, 20, 25.4]) / 25.4)
    np.testing.assert_allclose(got, [1.0, 1.125, 1.25])
    with pytest.raises(OutOfRange):
        bolt_holes.least_edge_distance(0.375)


@pytest.mark.parametrize(("d", "hole", "least"), [(0.5, 0.5625, 4 / 3), (0.75, 0.8125, 2.0), (1.0, 1.0625, 8 / 3), (0.75, 1.5, 2.25)])
def test_least_spacing(d, hole, least):
    """J3.3: 2-2/3 d, and a diameter of steel between the holes (the last: an oversize hole)."""
    assert float(bolt_holes.least_spacing(d, hole)) == pytest.approx(least)


@pytest.mark.parametrize(("t", "edge", "spacing"), [(0.1875, 2.25, 4.5), (0.25, 3.0, 6.0), (0.5, 6.0, 12.0), (1.0, 6.0, 12.0)])
def test_greatest_distances(t, edge, spacing):
    """J3.5 (from memory): 12 t but 6 in., 24 t but 12 in."""
    assert float(bolt_holes.greatest_distance("edge", t)[0]) == pytest.approx(edge)
    assert float(bolt_holes.greatest_distance("spacing", t)[0]) == pytest.approx(spacing)


def test_standard_holes():
    """Table J3.3 (from memory): d + 1/16 up to 7/8 in., 1-1/8 for 1 in., d + 1/8 above."""
    assert [bolt_holes.standard_hole(d) for d in (0.5, 0.625, 0.75, 0.875, 1.0, 1.125, 1.5)] == [0.5625, 0.6875, 0.8125, 0.9375, 1.125, 1.25, 1.625]
    with pytest.raises(NotCovered):
        bolt_holes.standard_hole(0.7)


@pytest.mark.parametrize(("slenderness", "design"), [(50, 37.5), (100, 21.7), (150, 10.0)])
def test_critical_stress(slenderness, design):
    """Manual, table of critical stress for 50 ksi steel, 0.9 F_cr in ksi (from memory)."""
    E, F_y = 29e6, 50e3
    F_cr = compression.F_cr(F_y, compression.F_e(E, slenderness), E, slenderness)
    assert 0.9 * float(F_cr) / 1000 == pytest.approx(design, abs=0.05)


def test_a_stocky_plate_yields():
    """J4.4: 25 and under F_y, just above it flexural buckling, which is already lower."""
    E, F_y = 29e6, 36e3
    at = [float(compression.F_cr(F_y, compression.F_e(E, k), E, k)) for k in (25.0, 25.01)]
    assert at[0] == F_y
    assert at[1] == pytest.approx(0.658 ** (36e3 / (math.pi**2 * 29e6 / 25.01**2)) * 36e3)
    assert at[1] < 0.98 * F_y
    # 1/2 in. plate, one column: r = 0.144338, so 3.6 in. is a slenderness of 24.94 and 3.7 in. of 25.63
    yields = 36000 * 3.0 / 1.67
    assert value(plates.buckling, thickness=0.5, per_row=1, free=3.6) == pytest.approx(yields)
    assert value(plates.buckling, thickness=0.5, per_row=1, free=3.7) < 0.98 * yields


def test_effective_length_by_bolt_columns():
    """0.65 with two columns a side, 1.0 with one (commentary table C-A-7.1, from memory; which case it is: ours). 1/4 in., 24 in.: elastic."""
    def elastic(K):
        return 0.877 * math.pi**2 * 29e6 / (K * 24 / (0.25 / math.sqrt(12))) ** 2 * 1.5 / 1.67

    assert value(plates.buckling, thickness=0.25, per_row=2, free=24.0) == pytest.approx(elastic(0.65))
    assert value(plates.buckling, thickness=0.25, per_row=1, free=24.0) == pytest.approx(elastic(1.0))
    # between bolts farther apart than the cut is wide
    assert value(plates.buckling, thickness=0.25, per_row=2, free=4.0, spacing=24.0) == pytest.approx(elastic(0.65))


@pytest.mark.parametrize(("rows", "gauge", "Z"), [(1, 3.0, 9 - 0.875**2 / 4), (2, 3.0, 9 - 0.875 * 3), (3, 2.0, 9 - 0.875 * 4 - 0.875**2 / 4),
                                                  (4, 1.5, 9 - 0.875 * 6)])  # fmt: skip
def test_net_plastic_modulus(rows, gauge, Z):
    """By hand: every hole takes its width times its distance from the middle; a hole in the middle a quarter of its width squared."""
    assert float(compression.Z_net(6.0, 1.0, rows, gauge, 0.875)) == pytest.approx(Z)


def test_bending_of_a_bar_meets_at_its_limits():
    """F11: short bars reach the plastic moment; at 1.9 E / F_y the inelastic and elastic lines differ by 0.1 %; far out it is elastic."""
    E, F_y, t, w = 29e6, 36e3, 0.375, 6.0
    S = t * w**2 / 6
    length = [k * E / F_y * t**2 / w for k in (0.079, 1.8999, 1.9001, 5.0, 0.5, 0.081)]
    M = [float(compression.M_n_yield(F_y, L, w, t, E, 1.0)) for L in length]
    assert M[0] == pytest.approx(1.5 * S * F_y)
    assert M[1] == pytest.approx(M[2], rel=2e-3)
    assert M[3] == pytest.approx(1.9 / 5.0 * F_y * S)
    assert M[4] == pytest.approx((1.52 - 0.274 * 0.5) * F_y * S)
    assert M[5] == pytest.approx((1.52 - 0.274 * 0.081) * F_y * S)


def test_steels():
    """A36: 36 and 58 ksi (textbook examples); A572 Gr. 50: 50 and 65 (from memory)."""
    assert (strength.steel_grade("ASTM A36").F_y, strength.steel_grade("ASTM A36").F_u) == (36e3, 58e3)
    assert (strength.steel_grade("ASTM A572 Gr. 50").F_y, strength.steel_grade("ASTM A572 Gr. 50").F_u) == (50e3, 65e3)
    with pytest.raises(NotCovered):
        strength.steel_grade("ASTM A1")


def test_status_of_the_edge_table_is_print_and_of_factors_memory():
    assert bolt_holes.edge_cite().status is TableStatus.PRINT
    sheet = Calculation()
    plates.tension_yield(layouts(), sheet)
    assert sheet.status is TableStatus.FROM_MEMORY
