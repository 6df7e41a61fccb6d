"""Reference values and factors against a second list of them (design_values.json: each row with its source, or recalled)."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from detailgen.core.table import read_table
from detailgen.standards.interface import WoodGrade
from detailgen.standards.nds_2018.adjustment import factors
from detailgen.standards.nds_2018.members import bending_length_factors
from detailgen.standards.nds_2018.reference import TABLES, wood_values

LIST = json.loads((Path(__file__).parent / "design_values.json").read_text(encoding="utf-8"))
SECTIONS = {"dimension": (1.5, 9.25), "Beams": (5.5, 11.5), "Posts": (5.5, 5.5), "2-4 in.": (1.5, 3.5), "5-6 in.": (1.5, 5.5), "8 in.": (1.5, 7.25),
            "10 in.": (1.5, 9.25), "12 in.": (1.5, 11.25)}  # fmt: skip
NAMES = ("Fb", "Ft", "Fv", "Fc_perp", "Fc", "E", "E_min", "G")
KEYS = ("Fb_psi", "Ft_psi", "Fv_psi", "Fcperp_psi", "Fc_psi", "E_psi", "Emin_psi", "G")
SAWN = [r for r in LIST["sawn"] if "interim" not in r["size_class"]]  # superseded values of 2012 are not entered
GLULAM = {r["name"]: r for r in LIST["glulam"]}


@pytest.mark.parametrize("row", SAWN, ids=[f"{r['species']} {r['grade']} {r['size_class'][:12]}" for r in SAWN])
def test_sawn_wood(row):
    section = next(s for start, s in SECTIONS.items() if row["size_class"].startswith(start))
    found = wood_values(WoodGrade("sawn", row["species"], row["grade"]), *section)
    assert [getattr(found, n) for n in NAMES] == [row[k] for k in KEYS]


def test_every_row_of_the_table_is_in_the_list():
    assert len(list(read_table(TABLES, "sawn_reference"))) == len(SAWN)
    axial, bending = (len(list(read_table(TABLES, n))) for n in ("glulam_axial", "glulam_bending"))
    assert axial + bending == len(GLULAM)


@pytest.mark.parametrize("number", [1, 2, 3, 5])
def test_axial_combinations(number):
    row = GLULAM[f"axial combination {number}"]
    wood = WoodGrade("glulam", "Douglas Fir-Larch", f"combination {number}")
    by_count = {n: wood_values(wood, 5.125, 12.0, n) for n in (2, 3, 4)}
    thick = by_count[4]
    assert (thick.Ft, thick.Fv, thick.Fc_perp, thick.G) == (row["Ft_2_or_more"], row["Fvx"], row["Fcperp"], row["G"])
    assert (thick.E, thick.E_axial, thick.E_min, thick.E_min_y) == (row["E"], row["E"], row["Emin"], row["Emin"])
    assert [by_count[n].Fby for n in (4, 3, 2)] == row["Fby_4_3_2"]
    assert [by_count[n].Fc for n in (4, 3, 2)] == [row["Fc_4_or_more"], row["Fc_2_or_3"], row["Fc_2_or_3"]]
    assert thick.Fb == thick.Fb_neg == row["Fbx_to_15in"]
    table_row = read_table(TABLES, "glulam_axial").find(grade=f"combination {number}")
    assert (table_row["Fvy"], table_row["laminations_of"]) == (row["Fvy"], row["lam_grade"])


@pytest.mark.parametrize(("grade", "name"), [("24F-V4", "24F-V4 DF/DF"), ("24F-V8", "24F-V8 DF/DF"), ("24F-1.8E", "24F-1.8E (class)")])
def test_bending_combinations(grade, name):
    row = GLULAM[name]
    found = wood_values(WoodGrade("glulam", "Douglas Fir-Larch", grade), 5.125, 12.0)
    assert [found.Fb, found.Fb_neg, found.Ft, found.Fv, found.Fc_perp, found.Fc, found.E] == [
        row[k] for k in ("Fbx_pos", "Fbx_neg", "Ft", "Fvx", "Fcperp_tension_face", "Fc", "Ex")
    ]
    # Appendix D from the mean moduli, k 1.05, COV 0.10, to 10,000 psi; the Supplement of 2005 (k 1.03) printed 930,000.
    assert found.E_min == round(found.E * (1 - 1.645 * 0.10) * 1.05 / 1.66, -4) == 950_000
    assert found.E_min_y == round(1.6e6 * (1 - 1.645 * 0.10) * 1.05 / 1.66, -4) == 850_000  # E_y 1.6 million psi, from memory
    assert found.E_axial == 1_700_000  # 24F-1.8E so in MST 5260 problem 5.17; the others from memory
    assert found.G == 0.5
    assert found.Fby == (1550 if grade == "24F-V8" else 1450)  # from memory


def test_laminations():
    rows = {r["species"]: r for r in read_table(TABLES, "glulam_layup")}
    assert rows["Douglas Fir-Larch"]["lamination"] == rows["Hem-Fir"]["lamination"] == LIST["lam_thickness_in"]
    assert rows["Southern Pine"]["lamination"] == LIST["southern_pine_glulam"]["lam_in"]
    assert [rows[s]["volume_exponent"] for s in ("Douglas Fir-Larch", "Hem-Fir", "Southern Pine")] == [10, 10, 20]  # 5.3.6


# Size factors of table 4A as a second list has them (nominal widths 2 to 4, 5, 6, 8, 10, 12, 14): F_b and F_t, F_c; F_b of 4 in. thickness apart.
BENDING = {4: 1.5, 5: 1.4, 6: 1.3, 8: 1.2, 10: 1.1, 12: 1.0, 14: 0.9}
COMPRESSION = {4: 1.15, 5: 1.1, 6: 1.1, 8: 1.05, 10: 1.0, 12: 1.0, 14: 0.9}
FOUR_THICK = {**BENDING, 8: 1.3, 10: 1.2, 12: 1.1, 14: 1.0}


@pytest.mark.parametrize("width", BENDING)
def test_size_factors(width):
    dfl = WoodGrade("sawn", "Douglas Fir-Larch", "No.1")
    for thickness, bending in ((2.5, BENDING), (3.5, FOUR_THICK)):
        depth = max(float(width) - 0.5, thickness)
        found = factors(wood_values(dfl, thickness, depth), thickness, depth).C_F
        assert [found[n].value for n in ("Fb", "Ft", "Fc")] == [bending[width], BENDING[width], COMPRESSION[width]]


def test_narrow_pieces_have_the_factor_of_4_in():
    dfl = WoodGrade("sawn", "Douglas Fir-Larch", "No.1")
    for width in (1.5, 2.0, 2.5, 3.0):
        found = factors(wood_values(dfl, 1.5, width), 1.5, width).C_F
        assert [found[n].value for n in ("Fb", "Ft", "Fc")] == [1.5, 1.5, 1.15]


PINE = dict.fromkeys((2.0, 2.5, 3.5, 4.5, 5.5, 7.25, 9.25, 11.25), 1.0) | {13.25: 0.9}


@pytest.mark.parametrize(("width", "factor"), PINE.items())
@pytest.mark.parametrize("thickness", [1.5, 3.5])
def test_southern_pine_has_its_size_built_in_up_to_12_in(width, factor, thickness):
    pine = WoodGrade("sawn", "Southern Pine", "No.2")
    found = factors(wood_values(pine, thickness, max(width, thickness)), thickness, max(width, thickness)).C_F
    assert [found[n].value for n in ("Fb", "Ft", "Fc")] == [factor] * 3


WIDE_FACE = {"Dense Select Structural": 0.86, "Select Structural": 0.86, "Dense No.1": 0.74, "No.1": 0.74, "No.2": 1.0}


@pytest.mark.parametrize(("grade", "factor"), WIDE_FACE.items())
def test_stringers_bent_on_the_wide_face(grade, factor):
    # Table 4D; from memory.
    stringer = WoodGrade("sawn", "Douglas Fir-Larch", grade)
    assert factors(wood_values(stringer, 11.5, 5.5), 11.5, 5.5).C_F["Fb"].value == pytest.approx(factor)


@pytest.mark.parametrize(
    ("load", "ratio", "k"),
    [
        ("any", 6.99, (2.06, 0)), ("any", 7.0, (1.63, 3)), ("any", 14.29, (1.63, 3)), ("any", 14.3, (1.84, 0)), ("uniform", 6.99, (2.06, 0)),
        ("uniform", 7.0, (1.63, 3)), ("at midspan", 6.99, (1.8, 0)), ("at midspan", 7.0, (1.37, 3)), ("at midspan, braced there", 3.0, (1.11, 0)),
    ],
)  # fmt: skip
def test_effective_length_at_its_limits(load, ratio, k):
    # Table 3.3.3; a second list recalls the rows of uniform load and load at midspan, problem 6.3 of Breyer et al. prints 1.11.
    assert bending_length_factors(load, 10 * ratio, 10.0)[:2] == k


def test_wet_service_as_a_second_list_has_it():
    # Dimension lumber: F_b 0.85 (1.0 where F_b C_F is at most 1,150), F_t 1.0, F_v 0.97, F_c_perp 0.67, F_c 0.8 (1.0 where F_c C_F is at most 750),
    # E 0.9; timbers: F_c_perp 0.67, F_c 0.91, all else 1.0; glulam (MST 5260 problem 5.13): 0.8, 0.8, 0.875, 0.53, 0.73, 0.833.
    names = ("Fb", "Ft", "Fv", "Fc_perp", "Fc", "E")

    def wet(product, grade, section, **given):
        wood = WoodGrade(product, "Douglas Fir-Larch", grade, wet=True, given=tuple(given.items()), source="a made-up value" if given else "")
        found = factors(wood_values(wood, *section), *section).C_M
        return [found[n].value for n in names]

    timber = [1.0, 1.0, 1.0, 0.67, 0.91, 1.0]
    assert wet("sawn", "No.1", (5.5, 11.5)) == wet("sawn", "No.1", (5.5, 5.5)) == timber
    assert wet("glulam", "24F-V4", (5.125, 12.0)) == [0.8, 0.8, 0.875, 0.53, 0.73, 0.833]
    flat = (1.5, 11.25)  # nominal 12 in.: every size factor is 1.0
    assert wet("sawn", "No.1", flat, Fb=1155.0, Fc=755.0) == [0.85, 1.0, 0.97, 0.67, 0.8, 0.9]
    assert wet("sawn", "No.1", flat, Fb=1150.0, Fc=750.0) == [1.0, 1.0, 0.97, 0.67, 1.0, 0.9]
