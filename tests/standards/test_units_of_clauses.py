"""Every clause keeps its units: with a longer inch and a heavier pound its answer changes as its own unit says, or it is listed as empirical.

A formula that adds a length to an area, or whose docstring names a wrong unit, does not scale. Clauses whose printed constants carry units are listed
with the constant; a listed clause that scales all the same has no place in the list.
"""

from __future__ import annotations

import inspect
import math

import numpy as np
import pytest
from test_tables import CLAUSES as EVERY
from test_tables import NAMES as EVERY_NAME

from detailgen.core.clause import clause_text
from detailgen.core.errors import OutOfRange

POWERS = {  # of length and of force
    "-": (0, 0), "rad": (0, 0), "deg": (0, 0), "D": (0, 0), "in": (1, 0), "ft": (1, 0), "in2": (2, 0), "in3": (3, 0), "in4": (4, 0),
    "lb": (0, 1), "kip": (0, 1), "psi": (-2, 1), "ksi": (-2, 1), "psf": (-2, 1), "pcf": (-3, 1), "lb/in": (-1, 1), "in-lb": (1, 1), "lb-in": (1, 1),
    "lb/ft": (-1, 1), "lb-in2": (2, 1), "mm": (1, 0), "N": (0, 1), "MPa": (-2, 1), "kg/m3": (-3, 1), "N/mm2": (-2, 1), "N/mm": (-1, 1),
}  # fmt: skip
EMPIRICAL = {
    "nds_2018.adjustment.C_F_timber": "12 in.",
    "nds_2018.adjustment.C_V": "21 ft, 12 in., 5-1/8 in.",
    "nds_2018.curved.C_fu_glulam": "12 in.",
    "nds_2018.dowels.F_e_parallel": "11,200 psi",
    "nds_2018.dowels.F_e_perpendicular": "6,100 psi and the root of an inch",
    "nds_2018.dowels.K_D": "0.17 in. and 10 per inch",
    "nds_2018.dowels.R_d_thin": "1/4 in.",
    "nds_2018.group_action.gamma": "a coefficient whose unit goes with the exponent",
    "nds_2018.members.C_b": "3/8, 3 and 6 in.",
    "nds_2018.screws_and_nails.F_e": "16,600 psi",
    "nds_2018.withdrawal.W_H": "690 psi",
    "nds_2018.withdrawal.W_lag": "1,800 lb",
    "nds_2018.withdrawal.W_nail": "1,380 psi",
    "nds_2018.withdrawal.W_ring_nail": "1,800 psi",
    "nds_2018.withdrawal.W_screw": "2,850 psi",
}
LONGER, HEAVIER = 1.7, 2.3
DOCUMENTS = ("nds_2018",)  # the others have tests of their own beside their clauses
CLAUSES, NAMES = zip(*((f, n) for f, n in zip(EVERY, EVERY_NAME, strict=True) if n.startswith(DOCUMENTS)), strict=True)


def unit_powers(unit):
    assert unit in POWERS, f"no powers for unit '{unit}'"
    return POWERS[unit]


def scaled(value, unit):
    length, force = unit_powers(unit)
    return value * LONGER**length * HEAVIER**force


def trials(function):
    """Terms in the clause's range: rising and falling, small and large."""
    names = list(inspect.signature(function).parameters)
    for size in (0.16, 0.4, 0.6, 2.0, 5.0, 30.0):
        for step in (0.07, -0.07):
            yield {n: size * (1 + step * i) for i, n in enumerate(names)}


def homogeneous(function):
    """Does every trial scale? None where no trial lies in the clause's range."""
    text = clause_text(function)
    tried = 0
    for terms in trials(function):
        larger = {n: scaled(v, text.units[n]) for n, v in terms.items()}
        try:
            before, after = float(function(**terms)), float(function(**larger))
        except OutOfRange:
            continue
        with np.errstate(all="ignore"):
            expected = scaled(before, text.returns)
        if not math.isfinite(before) or not math.isfinite(after):
            continue
        tried += 1
        if not math.isclose(after, expected, rel_tol=1e-9, abs_tol=1e-12):
            return False
    return True if tried else None


@pytest.mark.filterwarnings("ignore::RuntimeWarning")
@pytest.mark.parametrize(("function", "name"), list(zip(CLAUSES, NAMES, strict=True)), ids=NAMES)
def test_clause_scales_with_its_units(function, name):
    found = homogeneous(function)
    assert found is not None, "no trial lies in the clause's range"
    if name in EMPIRICAL:
        assert not found, "it scales: it needs no place in the list"
    else:
        assert found, "its answer does not go with its units"


def test_the_list_names_clauses_that_exist():
    assert set(EMPIRICAL) <= set(NAMES)


def test_a_wrong_unit_is_found():
    def wrong(a, b):
        """A sum of a length and an area.

        a: length, in
        b: area, in2
        Returns: in
        Source: nobody, nowhere
        """
        return a + b

    assert homogeneous(wrong) is False
