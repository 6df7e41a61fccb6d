"""Formulas of the report: what is typeset is what ran, and every symbol and formula can be set."""

from __future__ import annotations

import ast
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from report_package import make_package

from detailgen.core.clause import _Text
from detailgen.outputs.report.formula import FormulaError, evaluate, limited, symbol, typeset
from detailgen.outputs.report.quantities import Quantities, ratio, written


@pytest.fixture(scope="module")
def steps():
    package = make_package()
    return {s for structure in (package.trusses[0].before.as_found,) for _, r in structure.results() for s in r.steps}


def test_every_formula_gives_the_value_of_its_step(steps):
    formulas = [s for s in steps if s.formula]
    assert len(formulas) > 1000
    for s in formulas:
        assert math.isclose(evaluate(s.formula, {t.symbol: t.value for t in s.terms}), s.value, rel_tol=1e-9, abs_tol=1e-12), s


def test_every_symbol_and_formula_is_valid_typst(steps):
    import typst

    found = sorted({symbol(n) for s in steps for n in (s.symbol, *(t.symbol for t in s.terms))})
    found += sorted({typeset(s.formula) for s in steps if s.formula})
    found += sorted({typeset(s.formula, {t.symbol: written(t.value) for t in s.terms}) for s in steps if s.formula})[:400]
    assert typst.compile("\n\n".join(f"${m}$" for m in found).encode(), format="pdf", ignore_system_fonts=True)


@pytest.mark.parametrize(
    ("name", "mathematics"),
    [
        ("F_c_star", 'italic("F")^*_(italic("c"))'),
        ("E_min", 'italic("E")_(upright("min"))'),
        ("E_min_prime", "italic(\"E\")'_(upright(\"min\"))"),
        ("F_b_2star", 'italic("F")^(**)_(italic("b"))'),
        ("C_delta", 'italic("C")_(Delta)'),
        ("gamma", "gamma"),
        ("Z_I_m", 'italic("Z")_(upright("I")","italic("m"))'),
        ("Z, mode III_s", 'italic("Z")", mode "upright("III")_italic("s")'),
        ("F_t of near ply", 'italic("F")_(italic("t"))" of near ply"'),
        ("end distance provided", '"end distance provided"'),
        ("condition", '"condition"'),
        ("compression_and_bending", '"compression and bending"'),
        ("term_1", 'upright("term")_upright("1")'),
    ],
)
def test_symbols(name, mathematics):
    assert symbol(name) == mathematics


def test_numbers_are_put_in_with_the_braces_that_they_need():
    assert typeset("a - b", {"a": "2", "b": "-3"}) == '"2" - lr((-"3"))' or typeset("a - b", {"a": "2", "b": "-3"}) == '"2" - lr(("-3"))'
    assert typeset("(a + b)^2", {"a": "1", "b": "2"}) == 'lr(("1" + "2"))^("2")'
    assert typeset("min(a, b)", {"a": "1,000", "b": "2,000"}) == 'op("min") lr(("1,000"";" space "2,000"))'  # commas would read as one list
    assert typeset("a / b") == 'display(frac(italic("a"), italic("b")))'
    assert typeset("a × b", {"a": "1.2e-05", "b": "3"}) == '"1.2" times "10"^(-5) times "3"'
    assert typeset("sin(theta)^2") == 'op("sin")^("2") lr((theta))' or "theta" in typeset("sin(theta)^2")


def test_a_text_that_is_no_formula_is_refused():
    with pytest.raises(FormulaError):
        typeset("a ×")
    with pytest.raises(FormulaError):
        evaluate("a × b", {"a": 1.0})
    with pytest.raises(FormulaError):
        evaluate("mystery(a)", {"a": 1.0})


NAMES = {"a": 1.7, "b_1": 0.6, "c_x": 2.9}
_LEAVES = st.sampled_from([*NAMES, "2", "0.25", "3.5"])
_EXPRESSIONS = st.recursive(
    _LEAVES,
    lambda inner: st.one_of(
        st.tuples(inner, st.sampled_from(["+", "-", "*", "/"]), inner).map(lambda t: f"({t[0]} {t[1]} {t[2]})"),
        st.tuples(inner, st.sampled_from(["2", "0.5", "b_1"])).map(lambda t: f"(abs({t[0]}) ** {t[1]})"),
        inner.map(lambda t: f"(-{t})"),
        st.tuples(inner, inner).map(lambda t: f"np.minimum({t[0]}, {t[1]})"),
        st.tuples(inner, inner, inner).map(lambda t: f"np.where({t[0]} < {t[1]}, {t[1]}, {t[2]})"),
    ),
    max_leaves=8,
)


@given(_EXPRESSIONS)
def test_code_to_text_and_back_keeps_the_value(code):
    import numpy as np

    try:
        value = float(eval(code, {"np": np, "abs": abs, **NAMES}))
    except (ZeroDivisionError, OverflowError):
        return
    if not math.isfinite(value) or abs(value) > 1e12:
        return
    text = _Text().of(ast.parse(code, mode="eval").body)
    try:
        got = evaluate(text, NAMES)
    except (ZeroDivisionError, OverflowError):  # the branch of a condition that numpy computes and drops
        return
    assert math.isclose(got, value, rel_tol=1e-9, abs_tol=1e-9), text
    typeset(text)


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (26871.69, "26,872"), (999.96, "1,000"), (853.875, "853.9"), (2.5, "2.5"), (0.0, "0"), (-0.0, "0"), (0.0123456, "0.01235"), (1e-9, "1e-9"),
        (-3.25, "-3.25"), (math.inf, "∞"), (math.nan, "–"), (100.0, "100"), (1.0, "1"),
    ],
)  # fmt: skip
def test_written_numbers(value, text):
    assert written(value) == text


@pytest.mark.parametrize(("value", "text"), [(0.996, "0.996"), (1.0004, "1.0004"), (1.0, "1.00"), (0.8649, "0.86"), (1.71, "1.71"), (math.inf, "∞")])
def test_a_ratio_shows_on_which_side_of_one_it_is(value, text):
    assert ratio(value) == text


def test_units_of_the_second_system():
    """Factors: 1 in = 25.4 mm and 1 lb = 4.4482216 N (exact definitions), hence 1000 psi = 6.8948 MPa, 1000 in-lb = 0.11298 kN-m (from memory)."""
    from detailgen.core.units import SI

    q = Quantities(SI)
    assert q.write(1000.0, "psi") == "6.895 MPa"
    assert q.write(1000.0, "lb") == "4.448 kN"
    assert q.write(1000.0, "in-lb") == "0.113 kN-m"
    assert q.write(2.0, "in2") == "1,290 mm²"
    assert q.line("lb")[0] == "N"
    with pytest.raises(ValueError, match="furlong"):
        q.line("furlong")


def test_formulas_with_constants_of_pounds_and_inches_are_found(steps):
    from detailgen.core.units import SI

    q = Quantities(SI)
    by_formula = {s.formula: q.holds(s) for s in steps if s.formula}
    assert by_formula["P / A"]
    assert by_formula["F_t × C_D × C_M × C_t × C_F"]
    assert not by_formula["11200 × G"]  # psi from specific gravity
    assert not by_formula["k × D^e"]  # lb/in from inches to the power 1.5
    assert not by_formula["(1 if D < 0.25, else C)"]  # a limit of a quarter inch
    assert limited("(1 if D < 0.25, else C)") == {"D"}


def test_the_letter_whose_name_is_a_word_of_the_language() -> None:
    """The time effect factor: formulas in code say ``lam``."""
    from detailgen.outputs.page.html import Html
    from detailgen.outputs.page.numbers import symbol as on_the_page

    assert symbol("lam") == "lambda"
    assert "λ" in "".join(str(part.text if isinstance(part, Html) else part) for part in on_the_page("lam"))
