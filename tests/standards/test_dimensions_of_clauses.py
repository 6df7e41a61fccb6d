"""Dimensional scaling: with every length, force and density in other units a clause gives the same answer in other units.

A unit that is wrong in a docstring, a power that is wrong in a formula, or a forgotten factor of another unit breaks this. Clauses with constants
that carry a unit are listed with their reason, and are shown not to scale, so that the list cannot grow stale.
"""

from __future__ import annotations

import importlib
import inspect
import itertools
import pkgutil
import re

import pytest
from test_tables import is_clause

from detailgen import standards
from detailgen.core.clause import clause_text
from detailgen.core.errors import OutOfRange

FOLDERS = ("en1995_1_1", "astm_a416", "aci318_19", "aisc360_16")
L, F, R = 1.37, 2.9, 1.21
"""What one unit of length, force and density becomes."""
UNITS = {
    "-": 1.0, "rad": 1.0, "h": 1.0, "F": 1.0, "millionths": 1.0, "ft": L, "1/ft": 1 / L,
    "mm": L, "mm2": L**2, "mm3": L**3, "mm4": L**4, "N": F, "Nmm": F * L, "Nmm2": F * L**2, "MPa": F / L**2, "N/mm": F / L, "1/mm": 1 / L, "kg/m3": R,
    "in": L, "in2": L**2, "in3": L**3, "in4": L**4, "lb": F, "in-lb": F * L, "lb/in": F / L, "psi": F / L**2,
}  # fmt: skip
WITH_UNITS = {
    "en1995_1_1.across.A_ef": "the contact is made longer by 30 mm at most",
    "en1995_1_1.dowels.f_h_0_k": "the constants 0.082 and 0.01 carry density and mm",
    "en1995_1_1.dowels.M_y_Rk": "d^2.6 with a constant in N and mm",
    "en1995_1_1.brittle.F_90_Rk": "the constant 14 carries N and mm",
    "en1995_1_1.nails.f_h_k_driven": "0.082 d^-0.3 carries density and mm",
    "en1995_1_1.nails.f_h_k_predrilled": "the constants 0.082 and 0.01 carry density and mm",
    "en1995_1_1.nails.M_y_Rk_nail": "d^2.6 with a strength in N and mm",
    "en1995_1_1.nails.M_y_Rk_staple": "d^2.6 with a constant in N and mm",
    "en1995_1_1.nails.t_density": "13 d - 30 in mm, density over 400 kg/m3",
    "en1995_1_1.nails.f_ax_k_smooth": "a constant in MPa by the square of a density",
    "en1995_1_1.nails.f_head_k_smooth": "a constant in MPa by the square of a density",
    "en1995_1_1.splices.K_ser": "density^1.5 d / 23 is a fit in kg/m3, mm, N",
    "aisc360_16.tension.d_net": "1/16 in. is added",
    "aisc360_16.welds.greatest_leg": "1/4 in. and 1/16 in.",
}


def clauses():
    for folder in FOLDERS:
        package = importlib.import_module(f"detailgen.standards.{folder}")
        for info in pkgutil.iter_modules(package.__path__):
            module = importlib.import_module(f"{package.__name__}.{info.name}")
            for name, function in inspect.getmembers(module, inspect.isfunction):
                if function.__module__ == module.__name__ and is_clause(function):
                    yield f"{folder}.{info.name}.{name}", function


CLAUSES = dict(clauses())


def differences(function):
    """Relative difference between the scaled answer and the answer of scaled terms, for each set of terms that lies in the clause's range."""
    text = clause_text(function)
    names = list(inspect.signature(function).parameters)
    found = []
    for scale, step in itertools.product((0.5, 0.9, 3.0, 20.0), (0.07, -0.07)):
        terms = {n: scale * (1 + step * (i if step > 0 else i - len(names))) for i, n in enumerate(names)}
        try:
            plain = float(function(**terms))
            scaled = float(function(**{n: v * UNITS[text.units[n]] for n, v in terms.items()}))
        except (OutOfRange, ValueError, ZeroDivisionError):
            continue
        if plain == plain and plain not in (0.0, float("inf")):
            found.append(abs(scaled / (plain * UNITS[text.returns]) - 1))
    return found


def test_units_are_known():
    words = {u for f in CLAUSES.values() for u in (*clause_text(f).units.values(), clause_text(f).returns)}
    assert words <= set(UNITS), sorted(words - set(UNITS))
    assert len(CLAUSES) > 90
    assert standards.__path__


@pytest.mark.parametrize("name", sorted(set(CLAUSES) - set(WITH_UNITS)))
def test_a_clause_scales(name):
    found = differences(CLAUSES[name])
    assert found, "no scale lies in the clause's range"
    assert max(found) < 1e-9, f"{clause_text(CLAUSES[name]).title} {found}"


@pytest.mark.parametrize("name", sorted(WITH_UNITS))
def test_a_clause_whose_constants_carry_a_unit_does_not(name):
    assert re.search(r"[a-z]", WITH_UNITS[name])
    assert max(differences(CLAUSES[name])) > 1e-3
