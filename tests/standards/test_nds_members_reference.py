"""Which row of the Supplement a surveyed wood and section belongs to, and what adjusts it."""

from __future__ import annotations

import pytest

from detailgen.core.clause import TableStatus
from detailgen.core.errors import NotCovered
from detailgen.core.table import read_table
from detailgen.standards.interface import WoodGrade
from detailgen.standards.nds_2018 import STANDARD
from detailgen.standards.nds_2018.adjustment import duration_factors, factors
from detailgen.standards.nds_2018.reference import NEEDED, TABLES, nominal_width, size_class, volume_exponent, wood_values

DFL = WoodGrade("sawn", "Douglas Fir-Larch", "No.1")


@pytest.mark.parametrize(
    ("thickness", "depth", "expected"),
    [
        (2.5, 9.5, "dimension lumber"),
        (4.4, 13.5, "dimension lumber"),
        (4.5, 6.5, "posts and timbers"),  # exactly 2 in. more is not yet a stringer
        (4.5, 6.6, "beams and stringers"),
        (5.5, 5.5, "posts and timbers"),
        (5.5, 11.5, "beams and stringers"),
        (11.5, 5.5, "beams and stringers"),
        (9.5, 3.0, "dimension lumber"),
    ],
)
def test_size_class_by_measured_size(thickness, depth, expected):
    """NDS 4.1.3: dressed 5x (4-1/2 in.) and more is timber; stringers are over 2 in. wider than thick."""
    assert size_class(thickness, depth) == expected


@pytest.mark.parametrize(
    ("measured", "nominal"),
    [(1.5, 2), (3.5, 4), (5.5, 6), (7.25, 8), (7.5, 8), (9.25, 10), (9.5, 10), (10.0, 10), (10.000001, 12), (11.5, 12), (12.0, 12), (20, 14)],
)
def test_nominal_width_of_an_old_measured_section(measured, nominal):
    assert nominal_width(measured) == nominal


def test_moduli_for_stability_follow_from_the_moduli():
    """Appendix D, equation D-4, rounded to 10,000 psi: an independent check on every sawn row and every axial combination."""
    for row in read_table(TABLES, "sawn_reference"):
        assert row["E_min"] == round(float(row["E"]) * (1 - 1.645 * 0.25) * 1.03 / 1.66, -4), row
    for row in read_table(TABLES, "glulam_axial"):
        assert row["E_min"] == round(float(row["E"]) * (1 - 1.645 * 0.10) * 1.05 / 1.66, -4), row
    for row in read_table(TABLES, "glulam_bending_moduli"):
        bending = read_table(TABLES, "glulam_bending").find(grade=row["grade"], species=row["species"])
        assert row["Ex_min"] == round(float(bending["Ex"]) * (1 - 1.645 * 0.10) * 1.05 / 1.66, -4), row


def test_rows_by_size_class():
    """Douglas Fir-Larch No.1: dimension (J. Thomas MST 7.11), beams and stringers, posts and timbers (MST 4.17)."""
    dimension, stringer, post = wood_values(DFL, 2.5, 9.5), wood_values(DFL, 5.5, 11.5), wood_values(DFL, 5.5, 5.5)
    assert [(v.Fb, v.Ft, v.Fc) for v in (dimension, stringer, post)] == [(1000, 675, 1500), (1350, 675, 925), (1200, 825, 1000)]
    assert dimension.cite.status is TableStatus.PRINT
    assert wood_values(WoodGrade("sawn", "Douglas Fir-Larch", "No.2"), 2.5, 9.5).cite.status is TableStatus.FROM_MEMORY
    assert (dimension.Fb_neg, dimension.Fby, dimension.E_axial, dimension.E_min_y) == (1000, 1000, 1.7e6, 620000)


def test_southern_pine_goes_by_width_class_and_has_its_size_factor_built_in():
    """Tension value of No.2 falls 675, 600, 550, 475, 450 psi with the width (recalled, Supplement table 4B)."""
    wood = WoodGrade("sawn", "Southern Pine", "No.2")
    assert [wood_values(wood, 1.5, d).Ft for d in (3.5, 5.5, 7.25, 9.25, 11.25, 13.25)] == [675, 600, 550, 475, 450, 450]
    for depth, expected in ((9.25, 1.0), (13.25, 0.9)):
        assert factors(wood_values(wood, 1.5, depth), 1.5, depth).C_F["Ft"].value == expected
    with pytest.raises(NotCovered, match="nominal width 10"):
        wood_values(WoodGrade("sawn", "Southern Pine", "No.1"), 1.5, 9.25)


@pytest.mark.parametrize(
    ("thickness", "depth", "expected"),
    [
        (3.5, 3.5, (1.5, 1.5, 1.15)),  # 4x4, J. Thomas MST 7.11
        (1.5, 9.25, (1.1, 1.1, 1.0)),  # 2x10, MST 4.30
        (1.5, 5.5, (1.3, 1.3, 1.1)),  # 2x6: Fc as the numbers of MST 7.32
        (3.5, 7.25, (1.3, 1.2, 1.05)),  # 4x8: Fb as Breyer 6.1
        (2.5, 9.5, (1.1, 1.1, 1.0)),
        (2.5, 13.5, (0.9, 0.9, 0.9)),
        (3.5, 13.5, (1.0, 0.9, 0.9)),
    ],
)
def test_size_factors_of_dimension_lumber(thickness, depth, expected):
    found = factors(wood_values(DFL, thickness, depth), thickness, depth).C_F
    assert (found["Fb"].value, found["Ft"].value, found["Fc"].value) == expected


def test_timbers_lose_bending_by_depth_and_stringers_on_their_wide_face():
    """(12/d)^(1/9): 13.5 in. gives 0.987 (MST 4.30); No.1 stringers bent on the wide face 0.74 (recalled, table 4D)."""
    deep = factors(wood_values(DFL, 5.5, 13.5), 5.5, 13.5).C_F
    assert deep["Fb"].value == pytest.approx(0.9870, abs=5e-5)
    assert (deep["Ft"].value, deep["Fc"].value) == (1.0, 1.0)
    assert factors(wood_values(DFL, 11.5, 5.5), 11.5, 5.5).C_F["Fb"].value == pytest.approx(0.74)


def test_wet_service_with_its_two_exceptions():
    """Recalled from table 4A: F_b C_F up to 1150 and F_c C_F up to 750 stay whole; 0.85, 0.97, 0.9 also Breyer 6.2."""
    wet = WoodGrade("sawn", "Douglas Fir-Larch", "No.1", wet=True)
    found = {n: f.value for n, f in factors(wood_values(wet, 2.5, 9.5), 2.5, 9.5).C_M.items()}
    assert found == {"Fb": 1.0, "Ft": 1.0, "Fv": 0.97, "Fc_perp": 0.67, "Fc": 0.8, "E": 0.9}  # 1000 x 1.1 = 1100
    narrow = factors(wood_values(wet, 2.5, 7.5), 2.5, 7.5).C_M  # 1000 x 1.2 = 1200
    assert narrow["Fb"].value == 0.85
    weak = WoodGrade("sawn", "Hem-Fir", "No.2", wet=True, given=(("Fc", 750.0),), source="test")
    assert factors(wood_values(weak, 1.5, 9.25), 1.5, 9.25).C_M["Fc"].value == 1.0
    glulam = WoodGrade("glulam", "Douglas Fir-Larch", "combination 2", wet=True)
    assert factors(wood_values(glulam, 5.125, 12), 5.125, 12).C_M["Fc"].value == 0.73
    wet_modulus = STANDARD.stiffness(glulam, 5.125, 12).E
    assert wet_modulus == pytest.approx(1.6e6 * 0.833)


def test_axial_combinations_by_number_of_laminations():
    """Table 5B as reproduced in Aghayere and Vigil, App. B.8: combination 2."""
    wood = WoodGrade("glulam", "Douglas Fir-Larch", "combination 2")
    four, three, two = wood_values(wood, 5.125, 6.0), wood_values(wood, 5.125, 4.5), wood_values(wood, 5.125, 3.0)
    assert [(v.Fc, v.Fby, v.Ft) for v in (four, three, two)] == [(1950, 1800, 1250), (1600, 1600, 1250), (1600, 1300, 1250)]
    assert wood_values(wood, 5.125, 6.0, 2).Fc == 1600
    with pytest.raises(NotCovered, match="1 lamination"):
        wood_values(wood, 5.125, 1.5)
    assert wood_values(wood, 5.125, 15.0).Fb == 1700
    assert wood_values(wood, 5.125, 16.5).Fb == pytest.approx(1700 * 0.88)  # recalled footnote
    assert wood_values(WoodGrade("glulam", "Douglas Fir-Larch", "axial combination 2"), 5.125, 6.0).Fc == 1950


def test_bending_combination_has_two_faces_and_two_axes():
    """24F-V4 of Douglas Fir (J. Thomas MST 5.13); the moduli for stability and about y are recalled, so the whole is 'from memory'."""
    found = wood_values(WoodGrade("glulam", "Douglas Fir-Larch", "24F-V4 DF/DF"), 5.125, 28.5)
    assert (found.grade, found.Fb, found.Fb_neg, found.Ft, found.Fc) == ("24F-V4", 2400, 1850, 1100, 1650)
    assert (found.E, found.E_axial, found.E_min, found.E_min_y) == (1.8e6, 1.7e6, 950000, 850000)
    assert found.cite_of("Ft").status is TableStatus.PRINT
    assert found.cite_of("E_min_y").status is TableStatus.FROM_MEMORY
    assert STANDARD.stiffness(WoodGrade("glulam", "Douglas Fir-Larch", "24F-V4"), 5.125, 28.5).E == 1.7e6
    assert volume_exponent("Southern Pine")[0] == 20


def test_values_of_the_project_replace_the_table_and_carry_their_source():
    wood = WoodGrade("sawn", "Douglas Fir-Larch", "No.1", given=(("Ft", 500.0), ("Fb", 900.0)), source="grading report of 3 May")
    found = wood_values(wood, 2.5, 9.5)
    assert (found.Ft, found.Fb, found.Fb_neg, found.Fby, found.Fc) == (500, 900, 900, 900, 1500)
    assert found.cite_of("Ft").clause == "grading report of 3 May"
    assert found.cite_of("Ft").status is TableStatus.READ
    everything = tuple((n, 1.0 if n == "G" else 1000.0) for n in NEEDED)
    assert wood_values(WoodGrade("sawn", "Chestnut", "old", given=everything, source="tests"), 2.5, 9.5).Ft == 1000


@pytest.mark.parametrize(
    ("wood", "words"),
    [
        (WoodGrade("sawn", "Chestnut", "No.1"), "Douglas Fir-Larch: Select Structural"),
        (WoodGrade("sawn", "Douglas Fir-Larch", "Heart"), "No.2"),
        (WoodGrade("glulam", "Douglas Fir-Larch", "20F"), "combination 5"),
        (WoodGrade("plywood", "Douglas Fir-Larch", "No.1"), "sawn and glulam"),
        (WoodGrade("sawn", "Chestnut", "old", given=(("Ft", 500.0),)), "no reference values"),
        (WoodGrade("sawn", "Douglas Fir-Larch", "No.1", given=(("Fx", 500.0),)), "Fx have no place"),
        (WoodGrade("sawn", "Douglas Fir-Larch", "No.1", given=(("Ft", 0.0),)), "above zero"),
    ],
)
def test_what_is_not_covered_says_what_exists(wood, words):
    with pytest.raises(NotCovered, match=words):
        wood_values(wood, 2.5, 9.5)


def test_old_grade_name():
    """"Construction" before 1970 is about today's No.1: from engineers' recollection, so marked 'from memory' in grade_names."""
    assert wood_values(WoodGrade("sawn", "Douglas Fir-Larch", "Construction"), 2.5, 9.5).Ft == 675
    assert wood_values(WoodGrade("sawn", "douglas fir larch", "no. 1"), 2.5, 9.5).grade == "No.1"


def test_known_woods_in_printed_order():
    found = STANDARD.known_woods()
    assert found["sawn: Douglas Fir-Larch"][:3] == ("Select Structural", "No.1 & Btr", "No.1")
    assert "combination 5" in found["glulam: Douglas Fir-Larch"]


def test_load_duration_factors():
    """NDS table 2.3.2; 0.9, 1.0, 1.15, 1.25, 1.6 as used in J. Thomas MST 7.11, 7.17, 7.32; 2.0 recalled."""
    names = ("permanent", "ten years", "snow", "construction", "wind", "impact")
    assert duration_factors(names)[0] == (0.9, 1.0, 1.15, 1.25, 1.6, 2.0)
    assert duration_factors(("snow",))[1].status is TableStatus.PRINT
    assert duration_factors(names)[1].status is TableStatus.FROM_MEMORY
    with pytest.raises(NotCovered):
        duration_factors(("a while",))
