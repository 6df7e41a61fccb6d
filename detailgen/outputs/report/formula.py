"""The formula text of a Step, read back: typeset as mathematics, with symbols or with numbers put in, and evaluated to prove that it says what ran.

``core.clause`` writes a formula from the code of its clause: names, numbers, + - × / ^, calls, and ``(a if condition, else b)``.
"""

from __future__ import annotations

import ast
import math
import re
from collections.abc import Callable, Mapping
from functools import cache, lru_cache

GREEK = frozenset(
    ("alpha", "beta", "gamma", "delta", "epsilon", "eta", "theta", "kappa", "lambda", "mu", "nu", "xi", "rho", "sigma", "tau", "phi", "psi", "omega")
)
LETTER_WORDS = {"lam": "lambda"}
"""Letters whose own name no formula in code may hold."""
_CAPITALS = frozenset(("Delta", "Phi", "Psi", "Omega", "Sigma"))
_SUBSCRIPTS = {"parallel": "parallel", "perpendicular": "perp", "delta": "Delta"} | {g: g for g in GREEK - {"delta"}}
_OPERATORS: dict[type[ast.operator], Callable[[float, float], float]] = {
    ast.Add: lambda a, b: a + b,
    ast.Sub: lambda a, b: a - b,
    ast.Mult: lambda a, b: a * b,
    ast.Div: lambda a, b: a / b,
    ast.Pow: lambda a, b: a**b,
}
_COMPARISONS: dict[type[ast.cmpop], tuple[str, Callable[[float, float], bool]]] = {
    ast.Lt: ("<", lambda a, b: a < b),
    ast.LtE: ("lt.eq", lambda a, b: a <= b),
    ast.Gt: (">", lambda a, b: a > b),
    ast.GtE: ("gt.eq", lambda a, b: a >= b),
    ast.Eq: ("=", lambda a, b: a == b),
}
_FUNCTIONS: dict[str, Callable[..., float]] = {
    "min": min,
    "max": max,
    "lowest": min,
    "abs": abs,
    "sqrt": math.sqrt,
    "sin": math.sin,
    "cos": math.cos,
    "tan": math.tan,
    "exp": math.exp,
    "log": math.log,
    "floor": math.floor,
    "ceil": math.ceil,
    "radians": math.radians,
}


class FormulaError(ValueError):
    """A formula text that cannot be read back."""


@cache
def read(formula: str) -> ast.expr:
    """The formula as a tree. Raises FormulaError where the text is no formula."""
    text = formula.replace("×", "*").replace("^", "**").replace("≤", "<=").replace("≥", ">=").replace(", else ", " else ").replace(" = ", " == ")
    try:
        return ast.parse(text, mode="eval").body
    except SyntaxError as error:
        raise FormulaError(f"formula '{formula}' cannot be read: {error.msg}") from None


def evaluate(formula: str, values: Mapping[str, float]) -> float:
    """The value of a formula. Raises FormulaError for a name without a value or an unknown function."""

    def of(node: ast.expr) -> float:
        match node:
            case ast.Constant(value=int() | float() as value):
                return float(value)
            case ast.Name(id="pi"):
                return math.pi
            case ast.Name(id=name):
                if name not in values:
                    raise FormulaError(f"formula '{formula}': no value for {name}")
                return values[name]
            case ast.UnaryOp(op=ast.USub(), operand=operand):
                return -of(operand)
            case ast.BinOp(left=left, op=op, right=right):
                return _OPERATORS[type(op)](of(left), of(right))
            case ast.IfExp(test=ast.Compare(left=left, ops=[op], comparators=[right]), body=body, orelse=orelse):
                return of(body) if _COMPARISONS[type(op)][1](of(left), of(right)) else of(orelse)
            case ast.Call(func=ast.Name(id=name), args=arguments) if name in _FUNCTIONS:
                return _FUNCTIONS[name](*(of(a) for a in arguments))
        raise FormulaError(f"formula '{formula}' holds {ast.unparse(node)}, which is not known here")

    return of(read(formula))


@cache
def limited(formula: str) -> frozenset[str]:
    """Names that a condition compares with a bare number other than 0: if they have a dimension, that number has its unit."""
    names: set[str] = set()
    for node in ast.walk(read(formula)):
        if isinstance(node, ast.Compare) and any(isinstance(s, ast.Constant) and s.value for s in (node.left, *node.comparators)):
            names |= {n.id for n in ast.walk(node) if isinstance(n, ast.Name)}
    return frozenset(names)


def _text(words: str) -> str:
    escaped = words.replace("\\", "\\\\").replace('"', '\\"')
    return f'"{escaped}"'


def _is_greek(word: str) -> bool:
    return word in GREEK or word in _CAPITALS or word == "pi"


def _is_symbol(word: str) -> bool:
    base = word.split("_")[0]
    return re.fullmatch(r"\w+", word) is not None and (_is_greek(base) or len(base) == 1)


def _subscript(part: str) -> str:
    if part in _SUBSCRIPTS:
        return _SUBSCRIPTS[part]
    return f"italic({_text(part)})" if len(part) == 1 and part.isalpha() and part != "I" else f"upright({_text(part)})"


def _words(text: str) -> str:
    """Words, in which a name such as III_s keeps its subscript."""
    out = ""
    for k, piece in enumerate(re.split(r"(\w+_\w+)", text)):
        base, _, below = piece.partition("_")
        out += f"upright({_text(base)})_{_subscript(below)}" if k % 2 else (_text(piece) if piece else "")
    return out


@lru_cache(maxsize=4096)
def symbol(name: str) -> str:
    """A symbol of the document as Typst mathematics: F_c_star is F with subscript c and a star, E_min_prime is E' with subscript min.

    Words stay words ("end distance provided"); a symbol with words behind it ("F_t of near ply") is both.
    """
    name = LETTER_WORDS.get(name, name)
    head, separator, rest = name.partition(" ")
    if separator:
        comma = "," if head.endswith(",") else ""
        head = head.rstrip(",")
        if not _is_symbol(head) or head in ("a", "A"):
            return _words(name)
        return f"{symbol(head)}{_words(f'{comma} {rest}')}"
    base, *parts = name.split("_")
    if not _is_symbol(name):
        short = len(parts) == 1 and len(parts[0]) <= 2
        return f"upright({_text(base)})_{_subscript(parts[0])}" if short else _text(name.replace("_", " "))
    above = ""
    if parts and parts[-1] in ("prime", "star", "2star"):
        above = {"prime": "'", "star": "^*", "2star": "^(**)"}[parts.pop()]
    letter = base if _is_greek(base) else f"italic({_text(base)})"
    if not parts:
        return letter + above
    below = _subscript(parts[0]) + "".join(f" {_subscript(p)}" if p in _SUBSCRIPTS else f'","{_subscript(p)}' for p in parts[1:])
    return f"{letter}{above}_({below})"


def number(text: str) -> str:
    """A written number as Typst mathematics; 1.2e-05 becomes a power of ten."""
    mantissa, power, exponent = text.partition("e")
    if not power:
        return _text(text)
    ten = f'"10"^({int(exponent)})'
    return ten if mantissa == "1" else f"{_text(mantissa)} times {ten}"


_ADD, _MULTIPLY, _SIGN, _FRACTION, _ATOM = 1, 2, 3, 4, 5


def typeset(formula: str, put_in: Mapping[str, str] | None = None) -> str:
    """The formula as Typst mathematics. With ``put_in``, its names are replaced by these written numbers."""

    def name(word: str) -> tuple[str, int]:
        if put_in is None or word not in put_in:
            return symbol(word), _ATOM
        text = put_in[word]
        return number(text), _SIGN if text.startswith("-") else (_FRACTION if "e" in text else _ATOM)

    def braced(node: ast.expr, least: int, inner: bool) -> str:
        text, rank = of(node, inner)
        return f"lr(({text}))" if rank < least else text

    def of(node: ast.expr, inner: bool) -> tuple[str, int]:
        """Text and rank; ``inner`` fractions stand in small type."""
        match node:
            case ast.Constant(value=int() | float() as value):
                return number(f"{value:,g}"), _ATOM if value >= 1e-4 or value == 0 else _FRACTION
            case ast.Name(id=word):
                return name(word)
            case ast.UnaryOp(op=ast.USub(), operand=operand):
                return f"-{braced(operand, _SIGN, inner)}", _SIGN
            case ast.BinOp(left=left, op=ast.Div(), right=right):
                fraction = f"frac({of(left, True)[0]}, {of(right, True)[0]})"
                return (fraction if inner else f"display({fraction})"), _FRACTION
            case ast.BinOp(left=ast.Call(func=ast.Name(id="sin" | "cos" | "tan" as word), args=[argument]), op=ast.Pow(), right=power):
                return f"op({_text(word)})^({of(power, True)[0]}) {braced(argument, _ATOM, inner)}", _MULTIPLY
            case ast.BinOp(left=left, op=ast.Pow(), right=power):
                return f"{braced(left, _ATOM, inner)}^({of(power, True)[0]})", _FRACTION
            case ast.BinOp(left=left, op=ast.Mult(), right=right):
                return f"{braced(left, _MULTIPLY, inner)} times {braced(right, _SIGN + (put_in is not None), inner)}", _MULTIPLY
            case ast.BinOp(left=left, op=op, right=right):
                sign = "+" if isinstance(op, ast.Add) else "-"
                least = _MULTIPLY if isinstance(op, ast.Sub) or put_in is not None else _ADD
                return f"{braced(left, _ADD, inner)} {sign} {_after_sign(braced(right, least, inner))}", _ADD
            case ast.IfExp(test=ast.Compare(left=left, ops=[compare], comparators=[right]), body=body, orelse=orelse):
                test = f"{of(left, True)[0]} {_COMPARISONS[type(compare)][0]} {of(right, True)[0]}"
                yes, no = (f"display({of(n, True)[0]})" for n in (body, orelse))
                return f'cases({yes} & display("if" {test}), {no} & display("otherwise"))', _ATOM
            case ast.Call(func=ast.Name(id="sqrt"), args=[argument]):
                return f"sqrt({of(argument, inner)[0]})", _ATOM
            case ast.Call(func=ast.Name(id="abs"), args=[argument]):
                return f"abs({of(argument, inner)[0]})", _ATOM
            case ast.Call(func=ast.Name(id=word), args=arguments):
                comma = ", " if put_in is None else '";" space '  # numbers have commas of their own
                inside = comma.join(of(a, inner)[0] for a in arguments)
                return f"op({_text('min' if word == 'lowest' else word)}) lr(({inside}))", _ATOM
        raise FormulaError(f"formula '{formula}' holds {ast.unparse(node)}, which is not known here")

    return of(read(formula), False)[0]


def _after_sign(text: str) -> str:
    return f"lr(({text}))" if text.startswith(("-", '"-')) else text
