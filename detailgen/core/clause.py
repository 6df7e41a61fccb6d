"""A clause of a standard as a pure function, and the record of what it computed.

A clause function is assignments and one return, safe for numpy arrays. Its docstring names each symbol with its unit::

    def A_net(A, A_holes):
        '''Net area of a section.

        A: gross area, in2
        A_holes: area taken by holes, in2
        Returns: in2
        Source: NDS 2018, 3.1.2
        '''
        return A - A_holes

A ``Calculation`` calls such functions and keeps every statement with its numbers, so that a report prints
the formula that ran. Values may be arrays (one entry per combination and station); ``steps(index)`` reads one entry.
"""

from __future__ import annotations

import ast
import inspect
import itertools
import re
import sys
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from enum import IntEnum
from functools import cache, cached_property
from types import CodeType
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from detailgen.core.errors import OutOfRange


class TableStatus(IntEnum):
    """How far the numbers of a table have been read against print; the least sure one decides for a result."""

    FROM_MEMORY = 0
    PRINT = 1
    READ = 2
    NONE = 3

    @property
    def words(self) -> str:
        return {0: "from memory", 1: "seen in print, not read against the book", 2: "read against print", 3: "no table"}[int(self)]


ReadTables = frozenset[tuple[str, str]]
"""Tables, as (document, table), that a practice has read against the printed standard."""


@dataclass(frozen=True, slots=True)
class Cite:
    """Where a number comes from."""

    document: str
    clause: str
    table: str = ""
    status: TableStatus = TableStatus.NONE

    def also(self, other: Cite) -> Cite:
        """This source for a value that rests on a second table too."""
        return replace(self, table=f"{self.table}; {other.table}", status=min(self.status, other.status))

    def status_by(self, read: ReadTables) -> TableStatus:
        """The status once a practice's own readings count: every table named here (``a; b`` for several) must be among them."""
        mine = bool(self.table) and all((self.document, t) in read for t in self.table.split("; "))
        return max(self.status, TableStatus.READ) if mine else self.status

    def __str__(self) -> str:
        """Document and clause; the table's name in our folder only where the clause names no table of the book."""
        return f"{self.document} {self.clause}" + (f", table {self.table}" if self.table and "table" not in self.clause.lower() else "")


@dataclass(frozen=True, slots=True)
class Term:
    symbol: str
    value: float
    unit: str


@dataclass(frozen=True, slots=True)
class Step:
    """One line of a calculation: symbol = formula = value, with its terms and its source."""

    symbol: str
    formula: str
    terms: tuple[Term, ...]
    value: float
    unit: str
    cite: Cite


Number = float | NDArray[np.float64]
"""What a clause takes and gives: one value, or an array with one entry per combination and station."""


def require(condition: bool | np.bool_ | NDArray[np.bool_], what: str, clause: str) -> None:
    """Refuse loudly outside the range in which a clause holds."""
    if not np.all(condition):
        raise OutOfRange(what, clause)


@dataclass(frozen=True)
class _Statement:
    symbol: str
    formula: str
    names: tuple[str, ...]
    code: CodeType


@dataclass(frozen=True)
class ClauseText:
    """What a clause's docstring says."""

    title: str
    units: dict[str, str]
    meanings: dict[str, str]
    returns: str
    source: str

    @property
    def cite(self) -> Cite:
        document, _, clause = self.source.partition(", ")
        return Cite(document, clause)


_TERM = re.compile(r"^(\w+): (.+?)(?:, ([^,\s]+))?$")


@cache
def clause_text(function: Callable[..., Any]) -> ClauseText:
    """Title, units and source of a clause function. Raises ValueError where the docstring lacks one."""
    lines = [line.strip() for line in inspect.cleandoc(function.__doc__ or "").splitlines() if line.strip()]
    units: dict[str, str] = {}
    meanings: dict[str, str] = {}
    returns = source = ""
    for line in lines[1:]:
        match = _TERM.match(line)
        if line.startswith("Returns: "):
            returns = line.removeprefix("Returns: ").split(",")[0].strip()
        elif line.startswith("Source: "):
            source = line.removeprefix("Source: ").strip()
        elif match and match[3] and match[1] != "Raises":
            units[match[1]], meanings[match[1]] = match[3], match[2]
    if not (lines and returns and source):
        raise ValueError(f"{function.__module__}.{function.__name__}: docstring needs a title, Returns and Source")
    return ClauseText(lines[0], units, meanings, returns, source)


class _Text(ast.NodeVisitor):
    """Python expression -> readable formula."""

    ORDER = {ast.Add: 1, ast.Sub: 1, ast.Mult: 2, ast.Div: 2, ast.Pow: 4}
    SIGN = {ast.Add: " + ", ast.Sub: " - ", ast.Mult: " × ", ast.Div: " / ", ast.Pow: "^"}
    COMPARE = {ast.Lt: "<", ast.LtE: "≤", ast.Gt: ">", ast.GtE: "≥", ast.Eq: "="}
    CALL = {"minimum": "min", "maximum": "max", "absolute": "abs"}

    def of(self, node: ast.expr, least: int = 0) -> str:
        match node:
            case ast.Name():
                return node.id
            case ast.Constant():
                return f"{node.value:g}" if isinstance(node.value, float) else str(node.value)
            case ast.BinOp():
                rank = self.ORDER[type(node.op)]
                right = rank + (0 if isinstance(node.op, ast.Add | ast.Mult) else 1)
                text = self.of(node.left, rank + (isinstance(node.op, ast.Pow))) + self.SIGN[type(node.op)] + self.of(node.right, right)
                return f"({text})" if rank < least else text
            case ast.UnaryOp():
                return f"(-{self.of(node.operand, 3)})" if least > 1 else f"-{self.of(node.operand, 3)}"
            case ast.Compare():
                rest = zip(node.ops, node.comparators, strict=True)
                return self.of(node.left, 1) + "".join(f" {self.COMPARE[type(o)]} {self.of(c, 1)}" for o, c in rest)
            case ast.Call():
                name = node.func.attr if isinstance(node.func, ast.Attribute) else self.of(node.func)
                arguments = [self.of(a) for a in node.args]
                if name == "where":
                    return f"({arguments[1]} if {arguments[0]}, else {arguments[2]})"
                return f"{self.CALL.get(name, name)}({', '.join(arguments)})"
            case ast.Attribute():
                return node.attr
            case ast.Tuple():
                return ", ".join(self.of(e) for e in node.elts)
        raise TypeError(f"a clause may not use {type(node).__name__}")


@cache
def _functions(module: str) -> dict[tuple[str, int], ast.FunctionDef]:
    """The functions of a module by name and first line; the module is parsed once, which is quicker than function by function."""
    nodes: list[ast.AST] = [*ast.parse(inspect.getsource(sys.modules[module])).body]
    for node in nodes:  # and what stands in classes and functions; expressions hold no functions
        nodes += getattr(node, "body", []) if isinstance(node, ast.stmt) else []
    return {(n.name, n.lineno): n for n in nodes if isinstance(n, ast.FunctionDef)}


def _body(function: Callable[..., Any]) -> list[ast.stmt]:
    return _functions(function.__module__)[function.__name__, function.__code__.co_firstlineno].body


def limits(function: Callable[..., Any]) -> tuple[str, ...]:
    """What a clause requires of its terms, in words: the texts of its ``require`` lines."""
    calls = [n.value for n in _body(function) if isinstance(n, ast.Expr) and isinstance(n.value, ast.Call)]
    return tuple(str(c.args[1].value) if isinstance(c.args[1], ast.Constant) else ast.unparse(c.args[1]) for c in calls if len(c.args) > 1)


@cache
def statements(function: Callable[..., Any]) -> tuple[_Statement, ...]:
    """The statements of a clause function. Raises TypeError where it is more than assignments and one return."""
    out = []
    for node in _body(function):
        if isinstance(node, ast.Expr):
            continue  # the docstring, and require(...), which leaves no line
        if isinstance(node, ast.Assign) and isinstance(node.targets[0], ast.Name):
            symbol, value = node.targets[0].id, node.value
        elif isinstance(node, ast.Return) and node.value is not None:
            symbol, value = function.__name__, node.value
        else:
            raise TypeError(f"{function.__name__}: a clause is assignments and one return, found {type(node).__name__}")
        called = {id(n.func) for n in ast.walk(value) if isinstance(n, ast.Call)}
        found = [n for n in ast.walk(value) if isinstance(n, ast.Name) and n.id != "np" and id(n) not in called]
        names = dict.fromkeys(n.id for n in sorted(found, key=lambda n: (n.lineno, n.col_offset)))
        out.append(_Statement(symbol, _Text().of(value), tuple(names), compile(ast.Expression(value), function.__name__, "eval")))
    return tuple(out)


class _Recorded(NamedTuple):
    symbol: str
    formula: str
    terms: tuple[tuple[str, Any, str], ...]
    value: Any
    unit: str
    cite: Cite
    behind: Calculation | None = None

    def by_readings(self, read: ReadTables) -> _Recorded:
        status = self.behind.by_readings(read).status if self.behind is not None else self.cite.status_by(read)
        return self._replace(cite=replace(self.cite, status=status))


def _entry(value: Any, index: int) -> float:
    array = np.asarray(value, dtype=float)
    return float(array if array.ndim == 0 else array.flat[index if array.size > 1 else 0])


def _alone(value: Any, index: int) -> Any:
    """One entry of an array, as an array: by itself it would be worked with other instructions. What has one value for all stays as it is."""
    return value.flat[index : index + 1] if isinstance(value, np.ndarray) and value.size > 1 else value


@dataclass(eq=False)
class _Called:
    """A clause that ran: its statements are gone through again only when somebody reads them, since few results are printed."""

    function: Callable[..., Any]
    terms: dict[str, Any]

    @cached_property
    def lines(self) -> tuple[_Recorded, ...]:
        text = clause_text(self.function)
        known = dict(self.terms)
        lines = []
        for statement in statements(self.function):
            value = eval(statement.code, self.function.__globals__, known)
            last = statement.symbol == self.function.__name__
            if last and statement.names == (statement.formula,) and statement.formula in known:
                break  # "return x": x is already on the sheet
            used = tuple((n, known[n], text.units.get(n, "")) for n in statement.names if n in known)
            unit = text.returns if last else text.units.get(statement.symbol, "")
            lines.append(_Recorded(statement.symbol, statement.formula, used, value, unit, text.cite))
            known[statement.symbol] = value
        return tuple(lines)


@dataclass
class Calculation:
    """A sheet of paper: every call of a clause leaves its lines on it."""

    recorded: list[_Recorded | _Called] = field(default_factory=list)
    status: TableStatus = TableStatus.NONE

    def __call__(self, function: Callable[..., Any], /, **terms: Any) -> Any:
        """Run a clause with the given terms, keep it with them, return its value."""
        value = function(**terms)
        self.recorded.append(_Called(function, terms))
        return value

    def given(self, symbol: str, value: Any, unit: str, cite: Cite, behind: Calculation | None = None) -> Any:
        """Put a looked-up value on the sheet and return it. ``behind`` is the sheet that a value comes from whose status ``cite`` repeats."""
        self.recorded.append(_Recorded(symbol, "", (), value, unit, cite, behind))
        self.status = min(self.status, cite.status)
        return value

    @property
    def tables(self) -> tuple[Cite, ...]:
        """The tables that were looked up, each once."""
        return tuple(dict.fromkeys(r.cite for r in self.recorded if isinstance(r, _Recorded) and r.cite.table))

    @property
    def named(self) -> tuple[str, ...]:
        """What the values are called that were put on the sheet as they are: nothing is worked out for that."""
        return tuple(r.symbol for r in self.recorded if isinstance(r, _Recorded))

    def copy(self) -> Calculation:
        """A sheet that goes on from here by itself."""
        return Calculation(list(self.recorded), self.status)

    def at(self, index: int) -> Calculation:
        """The sheet of one entry by itself, which gives the same ``steps(0)`` and holds no arrays."""
        alone: list[_Recorded | _Called] = [
            r._replace(value=_alone(r.value, index), behind=None) if isinstance(r, _Recorded)
            else _Called(r.function, {name: _alone(term, index) for name, term in r.terms.items()})
            for r in self.recorded
        ]  # fmt: skip
        return Calculation(alone, self.status)

    def by_readings(self, read: ReadTables) -> Calculation:
        """The same sheet once a practice's own readings count."""
        recorded = [r.by_readings(read) if isinstance(r, _Recorded) else r for r in self.recorded]
        given = (r.cite.status for r in recorded if isinstance(r, _Recorded))
        return Calculation(recorded, min(given, default=TableStatus.NONE))

    def steps(self, index: int = 0) -> tuple[Step, ...]:
        """The lines for one entry of the arrays."""
        lines = itertools.chain.from_iterable((r,) if isinstance(r, _Recorded) else r.lines for r in self.recorded)
        return tuple(
            Step(r.symbol, r.formula, tuple(Term(s, _entry(v, index), u) for s, v, u in r.terms), _entry(r.value, index), r.unit, r.cite)
            for r in lines
        )
