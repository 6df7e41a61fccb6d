"""Wood pressed across its grain under a shore, what creep adds, and the slenderness allowed while a truss is worked on."""

from __future__ import annotations

import numpy as np
import pytest

from detailgen.core.result import State
from detailgen.core.units import MPA, NEWTON
from detailgen.standards import en1995_1_1, nds_2018
from detailgen.standards.interface import AcrossRequest, Demands, MemberRequest, WoodGrade

WOOD = {s.key: s for s in (nds_2018.STANDARD, en1995_1_1.STANDARD)}
FIR = WoodGrade("sawn", "Douglas Fir-Larch", "No.1")


def under(length: float, end: float = 60.0, push: float = 3000.0) -> AcrossRequest:
    return AcrossRequest("chord at L3", FIR, 5.0, 9.5, length, end, np.array([push]), ("D",), ("permanent",), plies=2)


@pytest.mark.parametrize(("length", "factor"), [(1.0, 1.375), (2.0, 1.1875), (4.0, 1.09375), (6.0, 1.0), (12.0, 1.0)])
def test_nds_across_the_grain_with_the_factor_of_a_short_block(length: float, factor: float) -> None:
    """F_c_perp 625 psi of Douglas Fir-Larch (NDS Supplement table 4A), C_b as in NDS table 3.10.4: 1.38, 1.19, 1.10, 1.00; no C_D."""
    (found,) = WOOD["nds_2018"].across_checks(under(length))
    assert found.demand == pytest.approx(3000 / (5 * length))
    assert found.capacity == pytest.approx(625 * factor)
    assert found.ratio == pytest.approx(found.demand / found.capacity)


def test_nds_near_an_end_the_factor_does_not_count() -> None:
    (found,) = WOOD["nds_2018"].across_checks(under(4.0, end=2.0))
    assert found.capacity == pytest.approx(625)


def test_nds_what_no_table_holds_cannot_be_checked() -> None:
    request = under(4.0)
    (found,) = WOOD["nds_2018"].across_checks(AcrossRequest(**{**request.__dict__, "wood": WoodGrade("sawn", "Moon Wood", "No.1")}))
    assert found.state is State.CANNOT_BE_CHECKED


def test_eurocode_across_the_grain_by_hand() -> None:
    """C24: f_c_90_k 2.5 MPa, permanent k_mod 0.6, gamma_M 1.3; 100 mm of contact counts as 160 mm (EN 1995-1-1, 6.1.5(1))."""
    wood = WoodGrade("sawn", "softwood", "C24")
    request = AcrossRequest("chord", wood, 100 / 25.4, 220 / 25.4, 100 / 25.4, 40.0, np.array([10e3 * NEWTON]), ("G",), ("permanent",))
    (found,) = WOOD["en1995_1_1"].across_checks(request)
    assert found.demand / MPA == pytest.approx(10e3 / (100 * 160))
    assert found.capacity / MPA == pytest.approx(0.6 * 2.5 / 1.3)


def test_creep_of_both_standards() -> None:
    """NDS 3.5.2: 1.5 dry, 2.0 wet; EN 1995-1-1 table 3.2: 0.8 in service class 2, 2.0 in 3 (from memory)."""
    wet = WoodGrade("sawn", "Douglas Fir-Larch", "No.1", wet=True)
    assert WOOD["nds_2018"].creep(FIR)[0] == pytest.approx(0.5)
    assert WOOD["nds_2018"].creep(wet)[0] == pytest.approx(1.0)
    assert WOOD["en1995_1_1"].creep(WoodGrade("sawn", "softwood", "C24"))[0] == pytest.approx(0.8)
    assert WOOD["en1995_1_1"].creep(WoodGrade("glulam", "softwood", "GL24h", wet=True))[0] == pytest.approx(2.0)


def test_a_column_may_be_slenderer_while_the_truss_is_worked_on() -> None:
    """l_e/d of 60: over 50 in service, within 75 during construction (NDS 3.7.1.4)."""
    both = Demands(np.array([-100.0, -100.0]), np.zeros(2), np.zeros(2), np.zeros(2), np.arange(2), ("work", "service"), ("permanent",) * 2,
                   interim=(True, False))  # fmt: skip
    whole, one = np.full(2, 2.5 * 9.5), np.ones(2)
    request = MemberRequest("chord", FIR, 2.5, 9.5, both, whole, np.full(2, 2.5 * 9.5**2 / 6), one, 60.0, 150.0, 0.0)
    found = {r.combination: r for r in WOOD["nds_2018"].member_checks([request])[0] if r.check == "slenderness"}
    assert found["work"].ratio == pytest.approx(60 / 75)
    assert found["service"].ratio == pytest.approx(60 / 50)
