"""AISC 360-16, groove welds (J2.1, tables J2.1, J2.3, J2.5). Sources beside each value; 'by hand' is worked out from the formula as recalled."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from detailgen.core.errors import NotCovered, OutOfRange
from detailgen.core.result import State
from detailgen.standards.aisc360_16 import STANDARD, groove_welds
from detailgen.standards.aisc360_16.groove_welds import groove_allowable
from detailgen.standards.aisc360_16.strength import strengths
from detailgen.standards.anchorage import GrooveWeld, PartLoad


def groove(**changes):
    values = {"complete": False, "length": 6.0, "along": False, "electrode": "E70", "thinner": 0.75, "F_y": 36e3, "F_u": 58e3, "depth": 0.5}
    return GrooveWeld(**{**values, **changes})


def test_complete_penetration_is_the_base_metal():
    """J4 by hand, A36, 3/4 x 6 in., 4.5 in2: pull 36 x 4.5 / 1.67 = 97.006 kip; rupture 58 x 4.5 / 2 = 130.5; shear 0.6 x 36 x 4.5 / 1.5 = 64.8.
    Rupture decides in steel of 90 ksi yield with 58 ksi tensile strength, which nobody rolls: 0.6 x 58 x 4.5 / 2 = 78.3 in shear."""
    weld = groove(complete=True, depth=0.0)
    assert groove_allowable(weld, "tension") == pytest.approx(162000 / 1.67)
    assert groove_allowable(weld, "compression") == pytest.approx(162000 / 1.67)
    assert groove_allowable(weld, "shear") == pytest.approx(64800)
    odd = groove(complete=True, depth=0.0, F_y=60e3, F_u=58e3, electrode="E80")
    assert groove_allowable(odd, "tension") == pytest.approx(130500)
    assert groove_allowable(odd, "shear") == pytest.approx(78300)
    assert groove_allowable(groove(complete=True, electrode="E80"), "tension") == groove_allowable(weld, "tension"), "no gain"


def test_partial_penetration_by_hand():
    """45 degree bevel by SMAW, 1/2 in. deep in 3/4 in. A36: throat 3/8 in., 2.25 in2. Pull 0.60 x 70 x 2.25 / 1.88 = 50.266 kip; push 0.90 x 70:
    75.399; finished to bear 0.60 x 70 / 1.88; along the weld 0.60 x 70 x 2.25 / 2 = 47.25."""
    assert groove_allowable(groove(), "tension") == pytest.approx(94500 / 1.88)
    assert groove_allowable(groove(), "compression") == pytest.approx(141750 / 1.88)
    assert groove_allowable(groove(bears=True), "compression") == pytest.approx(94500 / 1.88)
    assert groove_allowable(groove(bears=True), "tension") == pytest.approx(94500 / 1.88)
    assert groove_allowable(groove(along=True), "shear") == pytest.approx(47250)
    assert groove_allowable(groove(electrode="E60"), "tension") == pytest.approx(6 / 7 * 94500 / 1.88)
    deep = groove(groove="J or U", depth=0.7, electrode="E80")
    assert groove_allowable(deep, "tension") == pytest.approx(162000 / 1.67), "the base metal is never left behind"


def test_grooves_from_both_sides():
    """Two grooves of 3/8 in. in 1 in., each a throat of 1/4 in. less than table J2.3 asks for (5/16); of 7/16 in. each 5/16: 0.625 in. together."""
    with pytest.raises(OutOfRange, match=r"0.25 in. on 1 in., at least 0.3125.*table J2.3"):
        groove_allowable(groove(thinner=1.0, depth=0.375, sides=2), "tension")
    both = groove_allowable(groove(thinner=1.0, depth=0.4375, sides=2), "tension")
    assert both == pytest.approx(0.6 * 70e3 * 0.625 * 6 / 1.88)
    assert both == pytest.approx(2 * groove_allowable(groove(thinner=1.0, depth=0.4375), "tension"))


LEAST = [(0.25, 0.125), (0.251, 0.1875), (0.5, 0.1875), (0.51, 0.25), (0.75, 0.25), (0.76, 0.3125), (1.5, 0.3125), (1.51, 0.375), (2.25, 0.375),
         (2.26, 0.5), (6.0, 0.5), (6.1, 0.625)]  # fmt: skip


@pytest.mark.parametrize(("t", "least"), LEAST)
def test_least_throats(t, least):
    """Structural Steel Designer's Handbook (2005), table 5.4: 1/8, 3/16, 1/4, 5/16, 3/8, 1/2, 5/8 in. to 1/4, 1/2, 3/4, 1-1/2, 2-1/4, 6 in., over."""
    assert groove_welds.least_throat(t) == least


@pytest.mark.parametrize(
    ("process", "position", "shape", "less"),
    [
        ("SMAW", "overhead", "J or U", 0), ("SMAW", "flat", "60 deg V", 0), ("SMAW", "flat", "45 deg bevel", 0.125),
        ("SAW", "flat", "60 deg bevel", 0), ("GMAW", "flat", "45 deg bevel", 0), ("FCAW", "horizontal", "45 deg bevel", 0),
        ("GMAW", "vertical", "45 deg bevel", 0.125),
        ("FCAW", "overhead", "45 deg bevel", 0.125), ("GMAW", "vertical", "J or U", 0),
    ],
)  # fmt: skip
def test_throat_by_process(process, position, shape, less):
    """Table J2.1 (from memory)."""
    assert groove_welds.throat_less(process, position, shape) == less


@pytest.mark.parametrize(
    ("F_y", "t", "electrode"),
    [(36, 0.75, 60), (36, 0.76, 70), (36.1, 0.5, 70), (50, 0.25, 70), (55, 2.0, 70), (55.5, 1.0, 80), (65, 1.0, 80)],
)  # fmt: skip
def test_matching_electrodes(F_y, t, electrode):
    """Users' note of J2 with AWS D1.1 (from memory)."""
    assert groove_welds.matching(F_y * 1e3, t) == electrode * 1e3


@pytest.mark.parametrize(
    ("change", "load", "words"),
    [
        ({"complete": True, "F_y": 50e3, "electrode": "E60"}, "tension", "at least the matching 70 ksi"),
        ({"complete": True, "F_y": 65.5e3}, "tension", "no matching electrode for steel of 65.5 ksi"),
        ({"depth": 0.37}, "tension", "effective throat of 0.245 in."),
        ({"depth": 0.75, "groove": "J or U"}, "tension", "complete penetration"),
        ({"depth": 0.375, "sides": 2}, "shear", "complete penetration"),
        ({"sides": 3, "thinner": 2.0}, "shear", "1 or 2"),
        ({"process": "SAW", "position": "vertical"}, "shear", "table J2.1"),
        ({"groove": "flare"}, "shear", "'flare'"),
        ({"electrode": "E99"}, "shear", "E99"),
        ({}, "bending", "load 'bending'"),
    ],
)
def test_outside_the_rules(change, load, words):
    with pytest.raises(NotCovered, match=words):
        groove_allowable(groove(**change), load)


def test_factors():
    """Table J2.5 of an earlier edition (1999), as printed on a public page: 0.80 on weld metal across the weld, 0.75 in shear. 1.88 is 1.5 / 0.80."""
    found = strengths(1000.0, "groove weld, normal")
    assert (found.design, found.allowable) == (pytest.approx(800), pytest.approx(1000 / 1.88))
    assert found.allowable == pytest.approx(1000 * 0.80 / 1.5, rel=3e-3)


@given(st.floats(0.4, 1.4), st.floats(1.0, 1.4), st.sampled_from(["tension", "compression", "shear"]))
def test_a_deeper_or_longer_weld_never_carries_less(depth, more, load):
    base = groove_allowable(groove(thinner=2.0, depth=max(depth, 0.5)), load)
    assert groove_allowable(groove(thinner=2.0, depth=min(max(depth, 0.5) * more, 1.99)), load) >= base * (1 - 1e-9)
    assert groove_allowable(groove(thinner=2.0, depth=max(depth, 0.5), length=6 * more), load) == pytest.approx(base * more)
    assert base <= groove_allowable(groove(thinner=2.0, complete=True), load) * (1 + 1e-9), "partial penetration never beats complete"


def load(*forces):
    return PartLoad("anchor", np.array(forces), tuple(f"c{k}" for k in range(len(forces))))


def test_through_the_interface():
    """A pull and a push have limits of their own, shear counts either way, no force asks for nothing, and a refusal is told once."""
    found = {r.combination: r for r in STANDARD.groove_checks(groove(), load(55e3, -55e3, 0.0))}
    assert {c: r.state for c, r in found.items()} == {"c0": State.DOES_NOT_PASS, "c1": State.PASSES}
    assert found["c1"].ratio == pytest.approx(55e3 / (141750 / 1.88), rel=1e-6)
    assert "F_EXX" in {s.symbol for s in found["c0"].steps}
    along = STANDARD.groove_checks(groove(along=True), load(-20e3, 20e3))
    assert [r.ratio for r in along] == pytest.approx([20e3 / 47250] * 2, rel=1e-6)
    (bad,) = STANDARD.groove_checks(groove(depth=0.3), load(10.0, -20.0))
    assert bad.state is State.CANNOT_BE_CHECKED
    assert "J2.3" in str(bad.cite)
