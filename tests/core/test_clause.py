"""A clause leaves its lines on the sheet, and they are what ran."""

from __future__ import annotations

import pickle

import numpy as np
import pytest

from detailgen.core.clause import Calculation, Cite, Number, TableStatus, clause_text, require, statements
from detailgen.core.errors import OutOfRange


def stability(F_E: Number, F_star: Number, c: Number) -> Number:
    """Stability factor.

    F_E: buckling value, psi
    F_star: value without buckling, psi
    c: shape, -
    a: half sum, -
    Returns: -
    Source: a test, 1.1
    """
    require(np.all(np.asarray(c) > 0), "c must be positive", "1.1")
    a = (1 + F_E / F_star) / (2 * c)
    return a - np.sqrt(a**2 - F_E / F_star / c)


def branchy(x: Number) -> Number:
    """Not a clause.

    x: something, -
    Returns: -
    Source: a test, 1.2
    """
    for _ in range(2):
        x = x + 1
    return x


def test_array_and_scalar_agree_and_every_line_is_kept() -> None:
    sheet = Calculation()
    values = sheet(stability, F_E=np.array([400.0, 800.0]), F_star=np.array([1000.0, 1000.0]), c=0.8)
    for k in range(2):
        assert values[k] == pytest.approx(stability([400.0, 800.0][k], 1000.0, 0.8))
        first, last = sheet.steps(k)
        assert (first.symbol, first.formula) == ("a", "(1 + F_E / F_star) / (2 × c)")
        assert (last.symbol, last.formula) == ("stability", "a - sqrt(a^2 - F_E / F_star / c)")
        assert last.value == values[k]
        assert [(t.symbol, t.value, t.unit) for t in first.terms] == [("F_E", [400.0, 800.0][k], "psi"), ("F_star", 1000.0, "psi"), ("c", 0.8, "-")]
        assert str(last.cite) == "a test 1.1"


def test_the_sheet_of_one_entry_has_its_lines_to_the_last_digit_and_nothing_of_the_others() -> None:
    sheet, status = Calculation(), Cite("a book", "1", "a table", TableStatus.PRINT)
    sheet.given("k", np.linspace(0.1, 0.9, 40), "-", status)
    sheet(stability, F_E=np.linspace(300.0, 900.0, 40), F_star=np.full(40, 977.3), c=0.8)
    for k in (0, 7, 39):
        alone = sheet.at(k)
        assert alone.steps(0) == sheet.steps(k)
        assert alone.status is TableStatus.PRINT
        assert len(pickle.dumps(alone)) < 0.6 * len(pickle.dumps(sheet))


@pytest.mark.parametrize("source", ["a - b - c", "a - (b - c)", "a / (b * c)", "a / b * c", "(a + b)**c",
                                    "-a**b", "(-a)**b", "a**(b + 1)", "a * (b + c)", "(a**b)**c"])  # fmt: skip
def test_formula_text_means_what_python_means(source: str) -> None:
    import ast

    from detailgen.core.clause import _Text

    text = _Text().of(ast.parse(source, mode="eval").body)
    again = text.replace("^", "**").replace("×", "*")
    numbers = {"a": 3.0, "b": 2.0, "c": 1.5}
    assert eval(again, dict(numbers)) == pytest.approx(eval(source, dict(numbers)))


def test_out_of_range_is_refused() -> None:
    with pytest.raises(OutOfRange, match="c must be positive"):
        Calculation()(stability, F_E=400.0, F_star=1000.0, c=-1.0)


def test_more_than_assignments_is_refused() -> None:
    with pytest.raises(TypeError, match="assignments and one return"):
        statements(branchy)


def test_a_docstring_without_source_is_refused() -> None:
    def silent(x: Number) -> Number:
        """Silent."""
        return x

    with pytest.raises(ValueError, match="Source"):
        clause_text(silent)


def test_the_least_sure_table_decides() -> None:
    sheet = Calculation()
    sheet.given("F", 1000.0, "psi", Cite("a book", "1", "A", TableStatus.PRINT))
    assert sheet.status is TableStatus.PRINT
    sheet.given("G", 0.5, "-", Cite("a book", "1", "B", TableStatus.FROM_MEMORY))
    assert sheet.status is TableStatus.FROM_MEMORY
