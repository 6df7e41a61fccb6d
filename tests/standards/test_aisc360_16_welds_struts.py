"""AISC 360-16: fillet welds, plates bent flat, bolts, brackets and struts. Sources beside each value."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from detailgen.core.errors import NotCovered, OutOfRange
from detailgen.core.result import State
from detailgen.standards.aisc360_16 import STANDARD, bolts, plate_bending, struts, welds
from detailgen.standards.aisc360_16.struts import strut_allowable
from detailgen.standards.aisc360_16.welds import fillet_allowable
from detailgen.standards.anchorage import Bracket, FilletWeld, Overhang, PartLoad, SteelPartStandard, SteelStrut


def fillet(**changes):
    values = {"leg": 0.25, "length": 6.0, "angle": 0.0, "electrode": "E70", "thinner": 0.5, "edge": 0.5, "F_y": 36e3, "F_u": 58e3}
    return FilletWeld(**{**values, **changes})


def test_a_sixteenth_of_weld():
    """AISC Manual, part 8 (from memory): 0.928 kip per inch and sixteenth of leg, E70, ASD; 1.5 times that across the weld (J2.4(b))."""
    assert fillet_allowable(fillet()) / (4 * 6) == pytest.approx(928, rel=1e-3)
    assert fillet_allowable(fillet(angle=math.pi / 2)) == pytest.approx(1.5 * fillet_allowable(fillet()))
    for electrode, share in (("E60", 6 / 7), ("E80", 8 / 7)):
        assert fillet_allowable(fillet(electrode=electrode)) == pytest.approx(share * fillet_allowable(fillet()))
    with pytest.raises(NotCovered, match="E99"):
        fillet_allowable(fillet(electrode="E99"))


def test_steel_beside_a_weld():
    """J4.2 by hand: 1/8 in. A36, 6 in.: yield 0.6 x 36,000 x 0.75 / 1.5 = 10,800; rupture 0.6 x 58,000 x 0.75 / 2 = 13,050."""
    assert fillet_allowable(fillet(thinner=0.125, edge=0.5)) == pytest.approx(10800)
    assert fillet_allowable(fillet(thinner=0.125, edge=0.5, F_y=90e3)) == pytest.approx(13050)


LEGS = [(0.125, 0.125), (0.25, 0.125), (0.2501, 0.1875), (0.5, 0.1875), (0.501, 0.25), (0.75, 0.25), (0.751, 0.3125), (2.0, 0.3125)]


@pytest.mark.parametrize(("t", "least"), LEGS)
def test_least_legs(t, least):
    """Table J2.4 (from memory), by the thinner part."""
    assert welds.least_leg(t) == least


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"leg": 0.125}, "at least 0.1875"),
        ({"leg": 0.5}, "along an edge, at most 0.4375"),
        ({"length": 0.9}, "at least four legs"),
        ({"edge": 0.1875, "leg": 0.25}, "at most 0.1875"),
    ],
)
def test_welds_outside_the_rules(change, words):
    with pytest.raises(OutOfRange, match=words):
        fillet_allowable(fillet(**change))


def test_bounds_of_the_rules_for_welds():
    """J2.2b: along an edge under 1/4 in. thick the whole thickness, from there 1/16 in. less; four legs long at least."""
    assert [float(welds.greatest_leg(t)) for t in (0.249, 0.25, 0.252)] == pytest.approx([0.249, 0.1875, 0.1895])
    assert fillet_allowable(fillet(length=1.01)) == pytest.approx(fillet_allowable(fillet()) * 1.01 / 6)


def test_long_and_mixed_welds():
    """J2.2b(d): 1 up to 100 legs, 1.2 - 0.002 l/w beyond, 180 w / l from 300 legs. J2.4(b)(2): 0.85 along plus 1.5 across where that is more."""
    assert [float(welds.beta_weld(n * 0.25, 0.25)) for n in (50, 100, 200, 300, 400)] == pytest.approx([1, 1, 0.8, 0.6, 180 / 400])
    assert float(welds.R_n_weld_group(42e3, 1.0, 42e3, 1.0)) == pytest.approx(42e3 * 2.35)
    assert float(welds.R_n_weld_group(42e3, 10.0, 42e3, 1.0)) == pytest.approx(42e3 * 11)


def test_plate_bent_flat():
    """F11 by hand: PL 1 x 12, A36: F_y b t2 / 4 = 108,000 in-lb; 48 kip at 3 in. asks for 1.492 in. (case butt-plate-t)."""
    assert float(plate_bending.M_n_flat(36e3, 12.0, 1.0)) == pytest.approx(108e3)
    found = plate_bending.overhang_line_load(48e3, 3.0, 12.0, 36e3)
    assert float(plate_bending.M_n_flat(36e3, 12.0, found.thickness)) / 1.67 == pytest.approx(found.moment)
    even = plate_bending.overhang_uniform(1200.0, 2.0, 12.0, 36e3)
    assert even.moment == pytest.approx(1200 * 12 * 2)
    assert even.thickness == pytest.approx(plate_bending.overhang_uniform(1200.0, 2.0, 1.0, 36e3).thickness), "the width does not matter"


def test_shear_and_slip_of_a_group_by_hand():
    """J3.6 and J3.8: 2 bolts of 0.4418 in2 at 60 ksi: 26.508 kip each; slip 0.35 x 1.13 x 28 = 11.074 kip (example 4.1 rounds to 26.5 and 11.1)."""
    found = bolts.shear_group(n=2, A_b=0.4418, F_nv=60e3, mu=0.35, T_b=28e3, D_u=1.13)
    assert (found.one, found.slip) == (pytest.approx(26508), pytest.approx(11074))
    assert (found.group.nominal, found.group.design, found.group.allowable) == pytest.approx((53016, 0.75 * 53016, 53016 / 2))


def test_bracket():
    """By hand: lines at 0, 3, 9 about their middle at 4: -4, -1, 5; two bolts each: sum of squares 84; 10 kip at 2 in.: 20,000 x 5 / 84."""
    found = bolts.bracket_forces(10e3, 2.0, (0.0, 3.0, 9.0), 2)
    assert found.tension == pytest.approx(20000 * 5 / 84)
    assert (found.shear, found.moment) == (pytest.approx(10e3 / 6), 20e3)
    with pytest.raises(NotCovered, match="one line"):
        bolts.bracket_forces(10e3, 2.0, (3.0, 3.0), 2)


def test_bolts_in_tension_and_shear():
    """AISC Manual, tables of available strength (from memory, ASD): 3/4 in. A325 19.9 kip in tension, A307 9.94; shear 11.9 (N), 15.0 (X), A307 5.97.
    J3.7 by hand: A325-N with 6 kip of shear: 1.3 x 90 - 2 x 90/54 x 13.58 = 71.73 ksi: 15.84 kip."""
    for kind, tension in (("A325, threads in the shear plane", 19.9), ("A325, threads out of the shear plane", 19.9), ("A307", 9.94)):
        assert bolts.bolt_tension_allowable(kind, 0.75, 0.0) / 1000 == pytest.approx(tension, rel=2e-3)
    assert bolts.bolt_tension_allowable("A325, threads in the shear plane", 0.75, 6000.0) / 1000 == pytest.approx(15.84, rel=1e-3)
    limits = (("A325, threads in the shear plane", 11.9), ("A325, threads out of the shear plane", 15.0), ("A307", 5.97))
    for kind, shear in limits:
        assert bolts.bolt_tension_allowable(kind, 0.75, 0.99 * shear * 1000) > 0
        with pytest.raises(OutOfRange, match="by itself"):
            bolts.bolt_tension_allowable(kind, 0.75, 1.01 * shear * 1000)
    with pytest.raises(NotCovered):
        bolts.bolt_tension_allowable("A490", 0.75, 0.0)


def tube(**changes):
    """HSS 4 x 4 x 1/4 (nominal dimensions of the Manual, from memory): A 3.37, r 1.52, b/t 14.2."""
    return SteelStrut(**{"area": 3.37, "radius": 1.52, "length": 120.0, "F_y": 46e3, "shape": "rectangular tube", "wall": 14.2, **changes})


@pytest.mark.parametrize(
    ("slenderness", "F_y", "printed"), [(40, 36, 19.8), (100, 36, 12.7), (40, 50, 26.6), (100, 50, 14.4), (150, 50, 6.68), (200, 36, 3.76)],
)  # fmt: skip
def test_available_critical_stress(slenderness, F_y, printed):
    """AISC Manual, table of available critical stress (from memory, to three figures), F_cr / Omega in ksi."""
    strut = tube(area=1.0, radius=1.0, length=float(slenderness), F_y=F_y * 1e3)
    assert strut_allowable(strut) / 1000 == pytest.approx(printed, rel=6e-3)


def test_struts_outside_the_rules():
    """B4.1: 1.40 sqrt(29,000/46) = 35.2 for walls of tubes; 0.11 E / F_y for pipes; slenderness 200."""
    assert strut_allowable(tube(wall=35.1)) == strut_allowable(tube())
    with pytest.raises(OutOfRange, match="slender"):
        strut_allowable(tube(wall=35.3))
    assert strut_allowable(tube(shape="round tube", wall=69.0)) > 0
    with pytest.raises(OutOfRange, match="slender"):
        strut_allowable(tube(shape="round tube", wall=70.0))
    # at 36 ksi: 0.45 sqrt(29,000/36) = 12.77 for a leg of an angle, 1.49 sqrt(29,000/36) = 42.29 for a web
    for shape, inside, outside in (("angle leg", 12.7, 12.8), ("flat or web of channel", 42.2, 42.4)):
        assert strut_allowable(tube(shape=shape, F_y=36e3, wall=inside)) > 0
        with pytest.raises(OutOfRange, match="slender"):
            strut_allowable(tube(shape=shape, F_y=36e3, wall=outside))
    assert strut_allowable(tube(length=1.52 * 199.9)) > 0
    with pytest.raises(OutOfRange, match="at most 200"):
        strut_allowable(tube(length=310.0))
    with pytest.raises(NotCovered):
        strut_allowable(tube(shape="wide flange"))


@given(st.floats(20, 300), st.floats(20, 300))
def test_longer_struts_carry_less(a, b):
    short, long = sorted((a, b))
    assert 0 < strut_allowable(tube(length=long)) <= strut_allowable(tube(length=short)) * (1 + 1e-12)


def test_the_two_branches_meet():
    """E3: at F_y / F_e = 2.25 inelastic and elastic buckling are 0.39 F_y within a percent."""
    below, above = (float(struts.F_cr_strut(50e3, 50e3 / x)) for x in (2.2499, 2.2501))
    assert below == pytest.approx(above, rel=2e-3)


# the same through the interface: one result per check and combination


def load(*kips):
    return PartLoad("anchor at L0", np.array(kips) * 1000.0, tuple(f"c{k}" for k in range(len(kips))))


def results(found):
    return {(r.check, r.combination): r for r in found}


def test_it_checks_steel_parts():
    assert isinstance(STANDARD, SteelPartStandard)


def test_a_strut_under_each_combination():
    found = results(STANDARD.strut_checks(tube(), load(-20.0, 10.0, -90.0)))
    assert set(found) == {("strut in compression", "c0"), ("strut in compression", "c2")}
    capacity = strut_allowable(tube())
    assert found["strut in compression", "c0"].ratio == pytest.approx(20e3 / capacity)
    assert found["strut in compression", "c2"].state is State.DOES_NOT_PASS
    assert STANDARD.strut_checks(tube(), load(5.0)) == []


@pytest.mark.parametrize(("times", "state"), [(0.999, State.PASSES), (1.001, State.DOES_NOT_PASS)])
def test_what_passes(times, state):
    (result,) = STANDARD.strut_checks(tube(), load(-times * strut_allowable(tube()) / 1000))
    assert (result.state, result.ratio) == (state, pytest.approx(times, rel=1e-5))
    bent = STANDARD.strut_checks(tube(eccentricity=1.0, section_modulus=3.9), load(-20.0))
    assert all(r.ratio == pytest.approx(r.demand / r.capacity) for r in bent)


def test_an_eccentric_strut_by_hand():
    """HSS 4 x 4 x 1/4, 10 ft, 20 kip 1 in. off: P_e1 = pi^2 29,000 3.37 1.52^2 / 120^2 = 154.76 kip; B_1 = 1 / (1 - 32/154.76) = 1.2607;
    M_r = 25.21 kip-in; M_c = 46 x 3.9 / 1.67 = 107.43 kip-in (S 3.90 in3 from memory)."""
    found = results(STANDARD.strut_checks(tube(eccentricity=1.0, section_modulus=3.9), load(-20.0)))
    expected = 20e3 / strut_allowable(tube()) + 25.21 / 107.43
    assert found["strut in compression and bending", "c0"].ratio == pytest.approx(expected, rel=1e-3)
    (bad,) = STANDARD.strut_checks(tube(eccentricity=1.0, section_modulus=3.9), load(-100.0))
    assert bad.state is State.CANNOT_BE_CHECKED
    assert "buckles elastically" in bad.missing
    (bad,) = STANDARD.strut_checks(tube(eccentricity=1.0), load(-20.0))
    assert "section modulus" in bad.missing
    (bad,) = STANDARD.strut_checks(tube(wall=40.0), load(-20.0))
    assert "slender" in bad.missing


def test_welds_and_plates_through_the_interface():
    found = results(STANDARD.weld_checks(fillet(), load(10.0, -30.0, 0.0)))
    allowed = fillet_allowable(fillet())
    assert {c: r.ratio for (_, c), r in found.items()} == pytest.approx({"c0": 10e3 / allowed, "c1": 30e3 / allowed})
    assert found["fillet weld", "c1"].state is State.DOES_NOT_PASS
    assert "F_EXX" in {s.symbol for s in found["fillet weld", "c0"].steps}
    (bad,) = STANDARD.weld_checks(fillet(leg=0.125), load(1.0))
    assert "at least 0.1875" in bad.missing
    assert bad.cite.clause == "table J2.4"
    # case butt-plate-t: 1.492 in. for 48 kip at 3 in., 12 in. wide; spread over the overhang half the moment
    tip = results(STANDARD.overhang_checks(Overhang(1.492, 12.0, 3.0, 36e3, even=False), load(48.0)))["plate bent flat", "c0"]
    even = results(STANDARD.overhang_checks(Overhang(1.492, 12.0, 3.0, 36e3, even=True), load(48.0)))["plate bent flat", "c0"]
    assert (tip.ratio, even.ratio) == (pytest.approx(1.0, rel=1e-3), pytest.approx(0.5, rel=1e-3))
    assert (tip.demand, even.demand) == (pytest.approx(144e3), pytest.approx(72e3))


def test_bracket_through_the_interface():
    """Case bracket-bolts: 24 kip at 2.5 in., lines at -4, 0, 4, two bolts each: 4 kip of shear, 3.75 of tension. 3/4 in. A325-N: 11.93 kip of shear;
    at 4 kip the J3.7 line gives 117 - 30.18 = 86.8 ksi, 19.18 kip."""
    bracket = Bracket("A325, threads in the shear plane", 0.75, 2.5, (-4.0, 0.0, 4.0), 2)
    found = results(STANDARD.bracket_checks(bracket, load(24.0, -48.0, 80.0)))
    shear, tension = "bolts of the bracket in shear", "bolts of the bracket in tension with shear"
    assert (found[shear, "c0"].demand, found[tension, "c0"].demand) == (pytest.approx(4000), pytest.approx(3750))
    assert found[shear, "c0"].capacity == pytest.approx(11928, rel=1e-3)
    assert found[tension, "c0"].capacity == pytest.approx(19180, rel=2e-3)
    assert found[tension, "c1"].capacity < found[tension, "c0"].capacity
    assert found[tension, "c1"].demand == pytest.approx(7500)
    assert found[shear, "c2"].state is State.DOES_NOT_PASS
    assert (tension, "c2") not in found
    (bad,) = STANDARD.bracket_checks(Bracket("A325, threads in the shear plane", 0.75, 2.5, (0.0,), 2), load(1.0))
    assert "one line" in bad.missing
