"""NDS 2018: sizes at and just over every step of the tables by size, and floors. Values recalled, keyed a second time; the Supplement decides."""

from __future__ import annotations

import math

import pytest
from nds_connection_requests import checks, filler, member, only, plate, steps_of

from detailgen.core.errors import NotCovered
from detailgen.core.table import read_table
from detailgen.standards.interface import WoodGrade
from detailgen.standards.nds_2018 import member_factors, members, reference, screws_and_nails, section

WIDTHS = (2, 3, 4, 5, 6, 8, 10, 12, 14)
# table 4A: F_b up to 3 in. thick, F_b over it, F_t, F_c by nominal width; table 4B has 1 throughout and 0.9 from 14 in. on
SOFTWOOD = {
    2: (1.5, 1.5, 1.5, 1.15), 3: (1.5, 1.5, 1.5, 1.15), 4: (1.5, 1.5, 1.5, 1.15), 5: (1.4, 1.4, 1.4, 1.1), 6: (1.3, 1.3, 1.3, 1.1),
    8: (1.2, 1.3, 1.2, 1.05), 10: (1.1, 1.2, 1.1, 1.0), 12: (1.0, 1.1, 1.0, 1.0), 14: (0.9, 1.0, 0.9, 0.9),
}  # fmt: skip


@pytest.mark.parametrize("thickness", [1.5, 3.0, 3.03, 4.0, 4.05])
def test_size_factors_at_and_over_each_width(thickness):
    """Full-sawn widths stand in their own column, a hair over them in the next; all over 14 in. in the last."""
    for width, wider in zip(WIDTHS, (*WIDTHS[1:], 14), strict=True):
        for measured, column in ((width - 0.25, width), (float(width), width), (width + 0.02, wider), (width * 1.015, wider)):
            if measured < thickness:
                continue
            thin, thick, F_t, F_c = SOFTWOOD[column]
            row, _ = reference.size_factor_row("Douglas Fir-Larch", thickness, measured)
            assert (row["Fb"], row["Ft"], row["Fc"]) == (thin if thickness <= 3 else thick, F_t, F_c), measured
            pine, _ = reference.size_factor_row("Southern Pine", thickness, measured)
            assert (pine["Fb"], pine["Ft"], pine["Fc"]) == ((0.9,) * 3 if column == 14 else (1.0,) * 3), measured


def test_size_factors_row_by_row():
    """Rows that no section reaches (4 in. thick, 2 or 3 wide) are held too."""
    typed = {}
    for width, (thin, thick, F_t, F_c) in SOFTWOOD.items():
        typed |= {("4A", 3, width): (thin, F_t, F_c), ("4A", 4, width): (thick, F_t, F_c)}
        typed |= {("4B", t, width): ((0.9,) * 3 if width == 14 else (1.0,) * 3) for t in (3, 4)}
    rows = read_table(reference.TABLES, "size_factor")
    assert {(r["table_of"], r["thickness_to"], r["width"]): (r["Fb"], r["Ft"], r["Fc"]) for r in rows} == typed


def test_steps_of_a_table_follow_each_other():
    """Table 3.3.3: l_u / d under 7, to 14.3, over it; where a row ends the next begins. Table 4B: widths of each grade."""
    rows = read_table(reference.TABLES, "beam_effective_length").rows
    steps = {load: [(r["ratio_from"], r["ratio_to"]) for r in rows if r["load"] == load] for load in {str(r["load"]) for r in rows}}
    two = [(0, 7), (7, math.inf)]
    assert steps == {"any": [(0, 7), (7, 14.3), (14.3, math.inf)], "uniform": two, "at midspan": two, "at midspan, braced there": [(0, math.inf)]}
    sawn = [(r["species"] == "Southern Pine", (r["width_from"], r["width_to"])) for r in read_table(reference.TABLES, "sawn_reference")]
    assert [w for pine, w in sawn if pine] == [(2, 4), (2, 4), (2, 4), (5, 6), (8, 8), (10, 10), (12, math.inf)]
    assert {w for pine, w in sawn if not pine} == {(0, math.inf)}


def test_rows_of_the_distance_tables_run_over_all_angles_and_slendernesses():
    """12.5.1 and 13.3: every row from 0 to 90 degrees. Tables 12.5.1C and D: edges change at l/D = 6, rows of a load across the grain at 2 and 6."""
    bolts, connectors = (read_table(reference.TABLES, t).rows for t in ("bolt_least_distances", "connector_least_distances"))
    assert {(r["angle_from"], r["angle_to"]) for r in (*bolts, *connectors)} == {(0, 90)}
    changing = {"C2": (6, math.inf), "D2": (0, 2), "D3": (2, 6), "D4": (6, math.inf)}
    steps = {prefix + name: step for prefix in ("", "L", "P") for name, step in changing.items()}
    found = {str(r["row"]): (r["l_D_over"], r["l_D_to"]) for r in bolts}
    assert found == {row: steps.get(row, (0, math.inf)) for row in found}


def test_southern_pine_goes_by_width():
    """Table 4B, No.2: F_b 1100 for 2 to 4 in. nominal, 1000 for 5 and 6, 925 for 8, 800 for 10, 750 from 12 on; here No.1 and better end at 4."""
    widths = {1.5: 1100, 2.5: 1100, 3.5: 1100, 4.5: 1000, 5.5: 1000, 7.25: 925, 9.25: 800, 11.25: 750, 13.25: 750}
    for width, F_b in widths.items():
        assert reference.wood_values(WoodGrade("sawn", "Southern Pine", "No.2"), 1.5, width).Fb == F_b
    for grade, F_b in (("Select Structural", 2350), ("No.1", 1500)):
        for width in (1.5, 2.5, 3.5):
            assert reference.wood_values(WoodGrade("sawn", "Southern Pine", grade), 1.5, width).Fb == F_b
        with pytest.raises(NotCovered, match="nominal width 5"):
            reference.wood_values(WoodGrade("sawn", "Southern Pine", grade), 1.5, 4.5)


def test_what_damage_leaves_is_never_quite_nothing():
    """Ours: 1e-9 in2, in3 or lb, so that no stress is divided by nothing."""
    for value in (section.A(2.5, 9.25, 0.0), section.A_n(0.0, 1.0), section.S(0.0, 0.5), section.V_left(1000.0, 0.0)):
        assert float(value) == pytest.approx(1e-9, rel=1e-6, abs=0)


@pytest.mark.parametrize(("thickness", "factors"), [(3.0, (1.1, 1.15, 1.15, 1.2)), (3.03, (1.0, 1.05, 1.05, 1.1)), (4.05, (1.0, 1.05, 1.05, 1.1))])
def test_flat_use_at_and_over_each_thickness(thickness, factors):
    """Table 4A (recalled), nominal widths of 4 (full-sawn over 4: 5), 6, 8 and 10 in., up to 3 in. thick and over it."""
    widths = (3.5 if thickness < 3.5 else 4.06, 5.5, 7.25, 9.25)
    expected = factors if thickness < 3.5 else (1.05, *factors[1:])
    assert tuple(member_factors.flat_use_factor(thickness, w)[0] for w in widths) == expected


@pytest.mark.parametrize(("kind", "load", "part"), [
    ("lag screw", "lateral", "shank"), ("lag screw", "withdrawal", "thread"), ("wood screw", "withdrawal", "thread"),
    ("wood screw", "lateral", "shank"), ("wood screw", "lateral", "thread"), ("nail", "lateral", "whole"),
])  # fmt: skip
def test_no_lead_hole_for_a_wood_heavier_than_water(kind, load, part):
    """Ours: a specific gravity over 1 is a slip of the key."""
    assert screws_and_nails.lead_hole(kind, load, part, 0.99, 0.25)[1] > 0
    with pytest.raises(NotCovered, match=r"G 1\.01"):
        screws_and_nails.lead_hole(kind, load, part, 1.01, 0.25)


def test_penetration_of_lag_screws_in_small_shear_plates():
    """13.2.4 (recalled): full value of 2-5/8 in. plates from 4, 5, 7, 8 diameters by group, 0.75 at the least (the lower of two keyings)."""
    rows = [r for r in read_table(reference.TABLES, "connector_lag_penetration") if r["fastener"] == "2-5/8 in. shear plate"]
    assert [(r["group"], r["full"], r["least"], r["C_d"]) for r in rows] == [
        ("A", 4, 3, 0.75),
        ("B", 5, 3.5, 0.75),
        ("C", 7, 4, 0.75),
        ("D", 8, 4.5, 0.75),
    ]


def test_the_weaker_of_two_runs_is_found_where_they_are_nearly_alike():
    """plate a | member, filler, member | plate b | member: all planes in mode IV, thick parts, 3/4 in. bolts, F_e 11,200 x 0.5 = 5,600 psi along
    the grain (12.3.1): D2 / 3.2 sqrt(2 F_yb / (3 (1/5,600 + 1/F_es))). Plate a of 70,000 psi gives 0.7 % less than b of 87,000: it counts for all
    three planes."""
    parts = plate("a", thickness=1.0, strength=70e3), member("p", 5.5), filler(), member("q", 5.5), plate("b", thickness=1.0), member("r", 5.5)
    plane = 0.75**2 / 3.2 * math.sqrt(2 * 45e3 / (3 * (1 / 5600 + 1 / 70e3)))
    assert steps_of(only(checks(*parts), "bolts"))["Z_joint"] == pytest.approx(3 * plane, rel=1e-6)


@pytest.mark.parametrize(("f_c", "expected"), [(989.9, 0.9899**2), (990.1, 0.9901 / 0.99)])
def test_pure_compression_beside_the_last_hundredth_before_buckling(f_c, expected):
    """Ours: from a hundredth before F_cE (1,000 psi, as F_c') on the answer is f_c / F_cE over 0.99, and over 1; before it equation 3.9-3."""
    found = members.compression_and_bending(f_c, 1000.0, 1000.0, 0.0, 1000.0, 0.0, 9.0, math.inf, 0.0, 1000.0, 0.0, 2.5, math.inf)
    assert float(found) == pytest.approx(expected, rel=1e-9)
