"""EN 1995-1-1, 8.3 and 8.4: nails and staples. 'By hand' is worked out from the formula of the standard as recalled; sources beside the others."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from detailgen.core.clause import Calculation
from detailgen.core.errors import NotCovered, OutOfRange
from detailgen.core.table import read_table
from detailgen.standards.en1995_1_1 import design, nails
from detailgen.standards.en1995_1_1.nails import Nail, NailedPart


def round_nail(**changes):
    return Nail(**{"kind": "smooth round nail", "d": 3.0, "f_u": 600.0, "predrilled": False, **changes})


def part(t=45.0, length=None, rho=350.0, splits=False):
    return NailedPart(t, t if length is None else length, rho, splits)


STEEL = NailedPart(1.5, 1.5, None)


def test_embedment_by_hand():
    """Driven: 0.082 x 350 x 3^-0.3 = 28.7 / 1.39038 = 20.642 MPa; predrilled: 0.082 x 0.97 x 350 = 27.839 MPa."""
    assert float(nails.f_h_k_driven(350, 3)) == pytest.approx(20.642, rel=1e-4)
    assert float(nails.f_h_k_predrilled(350, 3)) == pytest.approx(27.839)


def test_yield_moments():
    """Porteous & Kermani (2007), table 10.5: 0.3 f_u d^2.6 round, 0.45 f_u d^2.6 square, 240 d^2.6 staples.
    3 mm, 600 MPa: 180 x 17.3986 = 3131.8 Nmm."""
    assert float(nails.M_y_Rk_nail(0.3, 600, 3)) == pytest.approx(3131.8, rel=1e-4)
    assert float(nails.M_y_Rk_staple(1.5)) == pytest.approx(240 * 1.5**2.6)
    table = read_table(design.TABLES, "nails")
    assert [table.find(nail=k)["k_M"] for k in ("smooth round nail", "smooth square nail")] == [0.3, 0.45]


def test_lateral_resistance_by_hand():
    """3 mm nail, two parts of C24, 45 and 36 mm, no rope: mode f 1.15 sqrt(2 x 3131.8 x 20.642 x 3) = 716.2 N, under mode d and the rest."""
    found = nails.lateral_single(round_nail(), part(45), part(100, 36))
    assert (str(found.mode), float(found.F)) == ("f", pytest.approx(1.15 * math.sqrt(2 * 3131.8 * 20.642 * 3), rel=1e-4))
    assert float(found.F) == pytest.approx(716.2, rel=1e-3)
    roped = nails.lateral_single(round_nail(F_ax=200.0), part(45), part(100, 36))
    assert float(roped.F) == pytest.approx(716.2 + 50, rel=1e-3)
    capped = nails.lateral_single(round_nail(F_ax=1e6), part(45), part(100, 36))
    assert float(capped.F) == pytest.approx(1.15 * 716.2, rel=1e-3), "round nails: 15 % at most (8.2.2(2))"
    square = nails.lateral_single(round_nail(kind="smooth square nail", F_ax=1e6), part(45), part(100, 36))
    assert float(square.F) == pytest.approx(1.25 * math.sqrt(1.5) * 716.2, rel=1e-3)


def test_lateral_resistance_of_a_short_nail_is_equilibrium():
    """24 mm in the wood of the point (8 d): mode c, d or e; compared with the modes' own formula at beta = 1 for mode e, by hand:
    m = 3131.8 / (20.642 x 3 x 576) = 0.087801; 1.05 x 20.642 x 3 x 24 / 3 (sqrt(4 + 12 m) - 1) = 520.2 x 1.24783 = 649.1 N."""
    found = nails.lateral_single(round_nail(), part(45), part(100, 24))
    m = 3131.8 / (20.642 * 3 * 24**2)
    assert str(found.mode) == "e"
    assert float(found.F) == pytest.approx(1.05 * 20.642 * 3 * 24 / 3 * (math.sqrt(4 + 12 * m) - 1), rel=1e-4)


def test_nails_through_a_thin_plate():
    """8.9a, 8.9b by hand: 1.15 sqrt(2 M f d) for a plate of half a diameter; the thick plate (a diameter) 2.3 sqrt(M f d)."""
    root = math.sqrt(3131.8 * 20.642 * 3)
    assert float(nails.lateral_single(round_nail(), STEEL, part(100, 40)).F) == pytest.approx(1.15 * math.sqrt(2) * root, rel=1e-4)
    assert float(nails.lateral_single(round_nail(), NailedPart(3, 3, None), part(100, 40)).F) == pytest.approx(2.3 * root, rel=1e-4)
    loose = nails.lateral_single(round_nail(hole=0.4), NailedPart(3, 3, None), part(100, 40))
    assert float(loose.F) == pytest.approx(1.15 * math.sqrt(2) * root, rel=1e-4)


def test_two_planes():
    """The shorter of head side and point side stands for both (8.3.1.1(1)): which of them it is does not matter."""
    nail = round_nail(d=4.0)
    one = nails.lateral_double(nail, part(40), part(60), part(90, 35))
    other = nails.lateral_double(nail, part(35), part(60), part(90, 40))
    assert float(one.F) == pytest.approx(float(other.F))
    light = nails.lateral_double(nail, part(40, rho=300), part(60), part(90, 35))
    assert float(light.F) == pytest.approx(float(nails.lateral_double(nail, part(40, rho=300), part(60), part(90, 35, rho=300)).F))
    assert float(light.F) < 0.99 * float(one.F)
    f_h = float(nails.f_h_k_driven(350, 4.0))
    thin = nails.lateral_double(round_nail(d=4.0), part(100), part(28), part(100))
    assert (str(thin.mode), float(thin.F)) == ("h", pytest.approx(0.5 * f_h * 28 * 4))
    through_plate = nails.lateral_double(nail, part(100), STEEL, part(100))
    assert (str(through_plate.mode), float(through_plate.F)) == ("h", pytest.approx(2.3 * math.sqrt(float(nails.M_y_Rk_nail(0.3, 600, 4)) * f_h * 4)))
    assert float(nails.lateral_double(nail, STEEL, part(60), STEEL).F) > 0


TABLE_8_1 = [(14, False, 1), (10, False, 0.85), (7, False, 0.7), (14, True, 1), (10, True, 0.85), (7, True, 0.7), (4, True, 0.5), (30, False, 1),
             (12, False, 0.925), (8, False, 0.75), (5.5, True, 0.6)]  # fmt: skip


@pytest.mark.parametrize(("a_1", "predrilled", "expected"), TABLE_8_1)
def test_exponent_of_a_row(a_1, predrilled, expected):
    """Table 8.1 (from memory), straight between its rows."""
    assert nails.k_ef(a_1, predrilled=predrilled)[0] == pytest.approx(expected)


def test_effective_number():
    """By hand: 4 nails 10 d apart: 4^0.85 = 3.249."""
    assert nails.row_number(4, 30.0, 3.0, predrilled=False) == pytest.approx(3.249, rel=1e-4)
    for a_1, predrilled in ((6.9, False), (3.9, True)):
        with pytest.raises(OutOfRange, match=r"at least \d d.*table 8.1"):
            nails.k_ef(a_1, predrilled=predrilled)


@given(st.integers(1, 12), st.floats(4, 40), st.floats(4, 40))
def test_wider_spacing_never_counts_for_less(n, a, b):
    low, high = (nails.row_number(float(n), x, 1.0, predrilled=True) for x in sorted((a, b)))
    assert 1 <= low <= high * (1 + 1e-12) <= n * (1 + 2e-12)


def test_withdrawal_by_hand():
    """3 mm nail, head 7 mm, C24: f_ax 20e-6 x 350^2 = 2.45, f_head 8.575 MPa. 36 mm (12 d) in: 2.45 x 3 x 36 = 264.6 N;
    head side 20 mm: 147 + 8.575 x 49 = 567.2 N. 30 mm in: factor 30/12 - 2 = 0.5: 110.25 N."""
    assert (float(nails.f_ax_k_smooth(350)), float(nails.f_head_k_smooth(350))) == (pytest.approx(2.45), pytest.approx(8.575))
    head = part(20)
    asked = {"d_h": 7.0, "dries": False}
    assert nails.withdrawal_smooth(round_nail(), head, part(100, 36), **asked) == pytest.approx(264.6)
    assert nails.withdrawal_smooth(round_nail(), head, part(100, 30), **asked) == pytest.approx(110.25)
    assert nails.withdrawal_smooth(round_nail(), head, part(100, 90), **asked) == pytest.approx(567.175)
    assert nails.withdrawal_smooth(round_nail(), STEEL, part(100, 90), **asked) == pytest.approx(2.45 * 3 * 90)
    wet = nails.withdrawal_smooth(round_nail(), head, part(100, 90), d_h=7.0, dries=True)
    assert wet == pytest.approx(567.175 * 2 / 3), "8.3.2(8), from memory"
    with pytest.raises(OutOfRange, match="at least 8 diameters"):
        nails.withdrawal_smooth(round_nail(), head, part(100, 23.9), **asked)
    with pytest.raises(OutOfRange, match="declared"):
        nails.withdrawal_smooth(round_nail(kind="threaded nail"), head, part(100, 36), **asked)
    with pytest.raises(OutOfRange, match="wood on the side of the point"):
        nails.withdrawal_smooth(round_nail(), head, STEEL, **asked)


def test_published_withdrawal_strength():
    """Porteous & Kermani (2007), example 10.13.5 as far as its numbers are legible: C18 (320 kg/m3), 2.65 mm, 25 mm in the wood of the point, whose
    least is 8 d = 21.2 mm, 0.85 of it. Strength and factor by hand: 2.048 MPa, 25 / 10.6 - 2 = 0.3585."""
    least = float(read_table(design.TABLES, "nails").find(nail="smooth round nail")["penetration"]) * 2.65
    assert least == pytest.approx(21.2)
    assert least / 25 == pytest.approx(0.85, abs=0.005)
    assert float(nails.f_ax_k_smooth(320)) == pytest.approx(2.048)
    assert float(nails.k_pen_smooth(25, 2.65)) == pytest.approx(0.3585, abs=1e-4)


def test_penetration_factors_at_their_ends():
    """8.3.2(7): smooth 0 at 8 d and 1 from 12 d, threaded 0 at 6 d and 1 from 8 d."""
    assert [float(nails.k_pen_smooth(x, 1.0)) for x in (8, 10, 12, 20)] == [0, 0.5, 1, 1]
    assert [float(nails.k_pen_threaded(x, 1.0)) for x in (6, 7, 8, 20)] == [0, 0.5, 1, 1]


def test_threaded_nails():
    """Equation 8.23 by hand: 5 MPa x 4 mm x 40 mm = 800 N, head 12 MPa x 64 = 768 N. Lateral with the declared yield moment, rope at most half."""
    assert float(nails.F_ax_Rk_threaded(5, 4, 40, 12, 8)) == 768
    assert float(nails.F_ax_Rk_threaded(5, 4, 38, 12, 8)) == 760
    ringed = round_nail(kind="threaded nail", M_y=3131.8, F_ax=1e6)
    assert float(nails.lateral_single(ringed, part(45), part(100, 36)).F) == pytest.approx(1.5 * 716.2, rel=1e-3)
    with pytest.raises(OutOfRange, match="yield moment of a threaded nail"):
        nails.lateral_single(round_nail(kind="threaded nail"), part(45), part(100, 36))


@given(st.floats(0, 1), st.floats(0, 1))
def test_both_together(a, v):
    """8.27 a straight line, 8.28 a circle inside which it lies; each alone is its own ratio."""
    line, circle = float(nails.both_smooth(a, 1.0, v, 1.0)), float(nails.both_threaded(a, 1.0, v, 1.0))
    assert line == pytest.approx(a + v)
    assert circle == pytest.approx(a**2 + v**2)
    assert circle <= line + 1e-12
    assert float(nails.both_smooth(300.0, 600.0, 200.0, 800.0)) == pytest.approx(0.75)
    assert float(nails.both_threaded(300.0, 600.0, 200.0, 800.0)) == pytest.approx(0.3125)


def staple(**changes):
    return Nail(**{"kind": "staple", "d": 1.5, "f_u": 800.0, "predrilled": False, **changes})


def test_staples():
    """8.4 by hand: 1.5 mm legs in C24: f_h 28.7 x 1.5^-0.3 = 25.413, M_y 240 x 2.8698 = 688.7; 1.15 sqrt(2 x 688.7 x 25.413 x 1.5) = 263.5 N a leg:
    527.0 N, 368.9 N with the crown up to 30 degrees to the grain."""
    joint = {"leg": staple(), "head": part(18), "point": part(90, 30), "width": 10.0}
    across = nails.lateral_staple(crown=math.radians(30.2), **joint)
    assert across == pytest.approx(527.0, rel=1e-3)
    assert nails.lateral_staple(crown=math.radians(30), **joint) == pytest.approx(0.7 * across)
    assert nails.lateral_staple(crown=0.0, **joint) == pytest.approx(0.7 * across)
    assert nails.lateral_staple(**{**joint, "leg": staple(F_ax=1e6)}, crown=1.0) == pytest.approx(across), "no rope effect"
    assert nails.lateral_staple(crown=1.0, **{**joint, "width": 9.0}) == pytest.approx(across), "just wide enough"
    assert nails.lateral_staple(crown=1.0, **{**joint, "point": part(90, 21.0)}) == pytest.approx(across), "two hinges still decide"
    assert float(nails.d_staple(1.2, 1.6)) == pytest.approx(1.38564, rel=1e-5)
    for change, words in (({"width": 8.9}, "at least 6 diameters"), ({"point": part(90, 20.9)}, "at least 14 diameters"),
                          ({"leg": staple(f_u=799.0)}, "at least 800"), ({"leg": round_nail()}, "no staple")):  # fmt: skip
        with pytest.raises(OutOfRange, match=words):
            nails.lateral_staple(crown=1.0, **{**joint, **change})


@pytest.mark.parametrize(
    ("nail", "head", "point", "words"),
    [
        ({"d": 8.01, "predrilled": True}, {}, {"length": 80}, "at most 8 mm"),
        ({"d": 6.01}, {"t": 90}, {"t": 90}, "predrill over 500 kg/m3 or 6 mm"),
        ({}, {"rho": 501.0}, {}, "predrill over 500 kg/m3"),
        ({"f_u": 599.0}, {}, {}, "at least 600 MPa"),
        ({}, {}, {"length": 23.9}, "at least 8 diameters"),
        ({"kind": "threaded nail", "M_y": 3000.0}, {}, {"length": 17.9}, "at least 6 diameters"),
        ({}, {"t": 20.9}, {}, "at least 21 mm"),
        ({}, {"t": 41.9, "splits": True}, {}, r"at least 42 mm \(.*8.3.1.2\(7\)"),
        ({"d": 5.0}, {"t": 34.9}, {}, "at least 35 mm"),
        ({"d": 6.0}, {"t": 53.9, "rho": 450.0}, {}, "at least 54 mm"),
        ({}, {"length": 46.0}, {}, "more nail in a part"),
        ({}, {"length": 45.5}, {}, "more nail in a part"),
        ({"kind": "smooth square nail"}, {}, {"length": 23.9}, "at least 8 diameters"),
        ({"kind": "tack"}, {}, {}, "no row for nail tack"),
    ],
)
def test_outside_the_rules(nail, head, point, words):
    with pytest.raises(NotCovered, match=words):
        nails.lateral_single(round_nail(**nail), part(**head), part(**{"t": 100.0, "length": 60.0, **point}))


def test_just_inside_the_rules():
    """Exactly at the limits: 8 mm predrilled, 6 mm and 500 kg/m3 driven, 600 MPa, 8 d in, 7 d and 54 mm thick, 4 d apart."""
    for nail, head, point in (
        ({"d": 8.0, "predrilled": True}, {}, {"length": 64.0}),
        ({"d": 6.0}, {"t": 60.0, "rho": 500.0}, {"length": 48.0}),
        ({}, {"t": 21.0}, {"length": 24.0}),
        ({"kind": "smooth square nail"}, {}, {"length": 24.0}),
        ({"d": 6.0}, {"t": 54.0, "rho": 450.0}, {}),
    ):
        assert float(nails.lateral_single(round_nail(**nail), part(**head), part(**{"t": 100.0, "length": 60.0, **point})).F) > 0
    assert nails.k_ef(4.0, predrilled=True)[0] == 0.5
    assert nails.withdrawal_smooth(round_nail(), part(20), part(100, 24.0), d_h=7.0, dries=False) == pytest.approx(0.0)


def test_thickness_by_hand():
    """8.18, 8.19: 6 mm, 450 kg/m3: 7 d = 42, 48 x 450 / 400 = 54 mm; 14 d = 84, 108 mm where the wood splits easily. 3 mm: 21 and 42."""
    assert [float(f(6, nails.t_density(6, 450))) for f in (nails.t_driven, nails.t_driven_splitting)] == [54, 108]
    assert [float(f(3, nails.t_density(3, 350))) for f in (nails.t_driven, nails.t_driven_splitting)] == [21, 42]
    assert NailedPart(20, 20, 350).splits, "the safe side unless said otherwise"
    assert float(nails.lateral_single(round_nail(predrilled=True), part(15, splits=True), part(100, 36)).F) > 0


@given(st.floats(2.5, 6), st.floats(290, 500), st.floats(1.0, 2.0))
def test_more_wood_or_denser_wood_never_carries_less(d, rho, more):
    nail = round_nail(d=d)
    base = float(nails.lateral_single(nail, part(60, rho=rho), part(100, 8 * d, rho=rho)).F)
    assert float(nails.lateral_single(nail, part(60 * more, rho=rho), part(100, 8 * d * min(more, 1.6), rho=rho)).F) >= base * (1 - 1e-9)
    assert float(nails.lateral_single(nail, part(60, rho=rho), part(100, 8 * d, rho=min(500, rho * more))).F) >= base * (1 - 1e-9)


def test_the_sheet_tells_every_step():
    sheet = Calculation()
    nails.lateral_single(round_nail(), part(45), part(100, 36), sheet)
    text = " ".join(s.symbol for s in sheet.steps(0))
    assert "rho_k of the head side" in text
    assert "M_y_Rk" in text
    assert np.all([s.value > 0 for s in sheet.steps(0)])
