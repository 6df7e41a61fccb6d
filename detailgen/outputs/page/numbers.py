"""A calculation on the page: symbol = formula = numbers put in = value, as text with subscripts, and where it comes from."""

from __future__ import annotations

import math
import re

from detailgen.core.clause import Step
from detailgen.core.result import CheckResult, State
from detailgen.outputs.page.html import Html, el
from detailgen.outputs.report.formula import GREEK, LETTER_WORDS
from detailgen.outputs.report.quantities import unit_text, written
from detailgen.outputs.report.sheets import Paper, source
from detailgen.outputs.report.trail import trail

LETTERS = {name: chr(code) for name, code in zip(
    ("alpha", "beta", "gamma", "delta", "epsilon", "zeta", "eta", "theta", "iota", "kappa", "lambda", "mu", "nu", "xi", "omicron", "pi", "rho"),
    range(0x3B1, 0x3C2), strict=True)} | {"sigma": "σ", "tau": "τ", "phi": "φ", "psi": "ψ", "omega": "ω"}  # fmt: skip
BELOW = {"parallel": "∥", "perpendicular": "⊥", "delta": "Δ"}
ABOVE = {"prime": "′", "star": "*", "2star": "**"}
_NAME = re.compile(r"[A-Za-z]\w*")
_WORDS = {"if", "else"}


def symbol(name: str) -> list[Html | str]:
    """A symbol of the document: F_c_star is F with c below and a star."""
    head, space, rest = LETTER_WORDS.get(name, name).partition(" ")
    base, *parts = head.split("_")
    if not (len(base) == 1 or base in GREEK or base == "pi" or parts):
        return [name]
    above = ABOVE[parts.pop()] if parts and parts[-1] in ABOVE else ""
    out: list[Html | str] = [el("i", LETTERS.get(base, base)) if len(base) == 1 or base in LETTERS else base]
    if parts:
        out.append(el("sub", ",".join(BELOW.get(p, LETTERS.get(p, p)) for p in parts)))
    return [*out, above, space + rest]


def formula(text: str, numbers: dict[str, str] | None = None) -> list[Html | str]:
    """A formula's text with its symbols set, or with numbers put in."""
    out: list[Html | str] = []
    at = 0
    for match in _NAME.finditer(text):
        word = match[0]
        out.append(text[at : match.start()])
        at = match.end()
        if numbers is not None and word in numbers:
            value = numbers[word]
            out.append(f"({value})" if value.startswith("-") else value)
        elif word in _WORDS or text[at : at + 1] == "(":
            out.append(word)
        else:
            out += symbol(word)
    return [*out, text[at:]]


def line(step: Step, paper: Paper) -> Html:
    """One line of a calculation. A formula that holds in pounds and inches only is shown in them, with its value in the project's units too."""
    q = paper.quantities
    here = q.holds(step)
    table = q.line if here else lambda unit: (unit, 1.0)
    unit, factor = table(step.unit)
    parts: list[Html | str] = [*symbol(step.symbol)]
    if step.formula:
        numbers = {t.symbol: written(t.value * table(t.unit)[1]) for t in step.terms}
        parts += [" = ", *formula(step.formula)]
        if numbers:
            parts += [" = ", *formula(step.formula, numbers)]
    parts.append(f" = {_value(step.value * factor, unit)}")
    if not here and q.line(step.unit)[0] != step.unit:
        unit, factor = q.line(step.unit)
        parts.append(f" = {_value(step.value * factor, unit)}")
    note = "" if here else "; formula in pounds and inches"
    return el("li", el("span", parts, class_="math"), " ", el("span", source(step.cite) + note, class_="from"))


def _value(value: float, unit: str) -> str:
    return f"{written(value)} {unit_text(unit)}".strip()


def lines(result: CheckResult, paper: Paper) -> Html:
    """The numbers behind a dimension, on a click."""
    head = el("summary", "numbers", aria_label=f"numbers of {result.check}")
    return el("details", head, el("ol", [line(s, paper) for s in trail(result)], class_="steps"))


def calculation(result: CheckResult, paper: Paper, title: str) -> Html:
    """A result that opens on a click: all lines that lead to it."""
    short = paper.short(result)
    bad = result.state is not State.PASSES
    at = "" if math.isnan(result.station) else f", station {paper.quantities.length(result.station)}"
    under = f"under {result.combination}" if result.combination else ""
    head = el(
        "summary", el("b", str(short["ratio"]), class_="over" if bad else None), f" {title}: {result.check} ", el("span", under + at, class_="from"),
    )  # fmt: skip
    answer = el("p", f"{short['numbers']}: {result.state.value}. {source(result.cite)}", class_="over" if bad else None)
    return el("details", head, el("ol", [line(s, paper) for s in trail(result)], class_="steps"), answer, class_="numbers")
