"""An adapter converts units and names and calls the product; it computes nothing. Checked on the syntax tree."""

from __future__ import annotations

import ast
import importlib
from pathlib import Path

import pytest

HERE = Path(__file__).parent
FILES = tuple(sorted(p.name for p in HERE.glob("adapters_*.py")))
NUMERIC = {"math", "np", "numpy"}
ROUNDED = "if inputs.get('round_pf'):\n    flat = round(flat)"
COMPUTING = {"sum", "min", "max", "abs", "round", "pow", "divmod", "eval", "exec"}


def is_factor(node: ast.expr) -> bool:
    """A literal, or a name in capitals (of a module's constant)."""
    if isinstance(node, ast.Constant):
        return isinstance(node.value, int | float)
    if isinstance(node, ast.Attribute):
        return node.attr.isupper()
    return isinstance(node, ast.Name) and (node.id.isupper() or node.id == "pi")


def _negates(node: ast.AST) -> bool:
    return isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.USub) and not isinstance(node.operand, ast.Constant)


def _asked_rounding(tree: ast.AST) -> set[ast.AST]:
    """Calls of round() with one argument where the case itself asks for it: under ``if inputs.get("round_...")``."""
    asked: set[ast.AST] = set()
    for branch in ast.walk(tree):
        if isinstance(branch, ast.If) and ast.unparse(branch.test).startswith("inputs.get('round_"):
            inside = [n for statement in branch.body for n in ast.walk(statement) if isinstance(n, ast.Call)]
            asked.update(n for n in inside if ast.unparse(n.func) == "round" and len(n.args) == 1 and isinstance(n.args[0], ast.Name))
    return asked


def computing(source: str) -> list[str]:
    """Every place where code does more than scale by a unit factor, or round where the case asks for it."""
    found = []
    tree = ast.parse(source)
    asked = _asked_rounding(tree)
    for node in ast.walk(tree):
        text = ""
        if isinstance(node, ast.BinOp) and not isinstance(node.op, ast.BitOr):
            scales = (isinstance(node.op, ast.Mult) and (is_factor(node.left) or is_factor(node.right))) or (
                isinstance(node.op, ast.Div) and is_factor(node.right)
            )
            text = "" if scales else ast.unparse(node)
        elif isinstance(node, ast.AugAssign) or _negates(node):
            text = ast.unparse(node)
        elif isinstance(node, ast.Call) and node not in asked:
            root = node.func
            while isinstance(root, ast.Attribute):
                root = root.value
            if isinstance(root, ast.Name) and (root.id in NUMERIC or (root is node.func and root.id in COMPUTING)):
                text = ast.unparse(node)
        if text:
            found.append(f"line {getattr(node, 'lineno', 0)}: {text}")
    return found


@pytest.mark.parametrize("name", FILES)
def test_adapters_compute_nothing(name):
    assert computing((HERE / name).read_text(encoding="utf-8")) == []


def test_no_topic_has_two_adapters():
    topics = [topic for name in FILES for topic in importlib.import_module(name.removesuffix(".py")).ADAPTERS]
    assert len(topics) == len(set(topics))


@pytest.mark.parametrize("code", ["a + b", "a * b", "a / b", "a ** 2", "-a", "math.sqrt(a)", "sum(a)", "a -= 1", "2 / a", "a * x.y", "round(a)"])
def test_the_check_finds_arithmetic(code):
    assert computing(code)


@pytest.mark.parametrize("code", ["a * 1000", "a / 12", "KIP * a", "a * units.FOOT", "-1", "f(a)", "a | b", "pi / 180", "rounding('x', a)", ROUNDED])
def test_the_check_lets_units_pass(code):
    assert not computing(code)
