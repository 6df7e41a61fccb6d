"""Point braces of columns (AISC 360-16 appendix 6) and nails driven aslant (NDS 2018 12.5.4) against printed values."""

from __future__ import annotations

import numpy as np
import pytest

from detailgen.core.clause import Calculation
from detailgen.core.result import State
from detailgen.standards.aisc360_16 import STANDARD as AISC
from detailgen.standards.aisc360_16.bracing import P_br, P_br_bowed, beta_br, beta_br_design
from detailgen.standards.interface import BracingStandard, ToeNailRequest, ToeNailStandard, WoodGrade, by_method
from detailgen.standards.nds_2018 import STANDARD as NDS
from detailgen.standards.nds_2018.toe_nails import p_toe

DFL = WoodGrade("sawn", "Douglas Fir-Larch", "No.2")


def test_a_nodal_brace_as_printed() -> None:
    """LRFD Specification of 1999, C3-5 and C3-6: 0.01 P_u and 8 P_u / (phi L_b), phi 0.75; by the 14th manual's table of formulas 2 (8 P_r / L_b) for
    service loads."""
    assert P_br(100_000.0) == pytest.approx(1000.0)
    assert beta_br_design(100_000.0, 120.0, 0.75) == pytest.approx(8 * 100_000 / (0.75 * 120))
    assert beta_br(100_000.0, 120.0, 2.0) == pytest.approx(2 * 8 * 100_000 / 120)


def test_a_larger_bow_asks_for_more_in_proportion() -> None:
    """Winter's column of two stiff pieces with a brace twice as stiff as it must be at least (Yura, Fundamentals of Beam Bracing): the force is
    0.8 % for a bow of L/500, twice as much for twice the bow; 1 % is what the rule makes of it."""

    def winter(bow: float, length: float) -> float:
        """Force in the brace per compression at the buckling load of one piece, beta = 2 beta_i, beta_i = 2 P/L; moments about an end."""
        beta_i = 2 / length
        moved = bow / (1 - beta_i / (2 * beta_i))  # what the brace has given by then, and the bow
        return 2 * beta_i * (moved - bow)

    assert winter(0.2, 100.0) == pytest.approx(0.008)
    assert winter(0.4, 100.0) == pytest.approx(0.016)
    assert P_br_bowed(10.0, 0.2, 100.0) == pytest.approx(10.0)
    assert P_br_bowed(10.0, 0.4, 100.0) == pytest.approx(20.0)
    assert P_br_bowed(10.0, 0.0, 100.0) == pytest.approx(10.0)  # never less than for the bow that the rule counts on


def test_the_standard_gives_both_by_either_method() -> None:
    assert isinstance(AISC, BracingStandard)
    strength, stiffness = AISC.point_brace(Calculation(), np.array([2190.0, 0.0]), 48.0, 0.25)
    assert strength == pytest.approx([0.01 * 2190 * 0.25 / 0.096, 0.0])
    assert stiffness == pytest.approx([730.0, 0.0])
    sheet = Calculation()
    _, factored = by_method(AISC, "strength").point_brace(sheet, np.array([2190.0]), 48.0, 0.0)
    assert factored == pytest.approx([8 * 2190 / 48 / 0.75])
    assert sheet.steps()[-1].symbol == "beta_br_design"


def asked(**changes: object) -> ToeNailRequest:
    values = {"where": "block", "nail": "16d common", "count": 4, "piece": DFL, "main": DFL, "thickness": 2.0, "load": np.array([50.0, 500.0]),
                  "combinations": ("D", "S"), "durations": ("permanent", "snow")}  # fmt: skip
    return ToeNailRequest(**{**values, **changes})  # type: ignore[arg-type]


def test_toe_nails_by_the_table() -> None:
    """NDS table 12N: a 16d common nail in Douglas Fir-Larch carries 141 lb where mode IV governs; C_tn 0.83 (12.5.4.2), C_D 0.9 and 1.15 (2.3.2)."""
    assert isinstance(NDS, ToeNailStandard)
    dead, snow = NDS.toe_nail_checks(asked())
    assert dead.capacity == pytest.approx(4 * 141 * 0.9 * 0.83, rel=3e-3)
    assert snow.capacity == pytest.approx(4 * 141 * 1.15 * 0.83, rel=3e-3)
    assert dead.passes
    assert snow.state is State.PASSES
    assert NDS.toe_nail_checks(asked(load=np.array([50.0, 600.0])))[1].state is State.DOES_NOT_PASS


def test_how_deep_a_toe_nail_goes() -> None:
    """From a third of its length above the joint at 30 degrees to the piece (12.1.6.3): 3-1/2 cos 30 - 3-1/2/3 = 1.86 in."""
    assert p_toe(3.5, 2.0) == pytest.approx(1.864, abs=1e-3)
    assert p_toe(3.5, 1.5) == 1.5


def test_what_is_too_thin_or_unknown_cannot_be_checked() -> None:
    (thin,) = NDS.toe_nail_checks(asked(thickness=0.5))  # under six diameters (12.1.6.4)
    assert thin.state is State.CANNOT_BE_CHECKED
    assert "at least 0.972" in thin.missing
    (other,) = NDS.toe_nail_checks(asked(main=WoodGrade("sawn", "Balsa", "No.2")))
    assert other.state is State.CANNOT_BE_CHECKED
    wet = NDS.toe_nail_checks(asked(main=WoodGrade("sawn", "Douglas Fir-Larch", "No.2", wet=True)))
    assert wet[0].capacity == pytest.approx(0.7 * NDS.toe_nail_checks(asked())[0].capacity, rel=1e-6)
