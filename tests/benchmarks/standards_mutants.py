"""Does a test notice every constant of the standards? Each one, in code and in tables, is made 2 % larger, and the tests that touch it are run.

    nice python tests/benchmarks/standards_mutants.py [--document KEY] [--only WORDS] [--slice K/N] [--tables | --code]

One process: the tests of tests/standards and tests/published are collected once and run once to learn which functions and tables each of them
touches. A mutant then changes the code of one function in place (or one cell of a table as it is handed out) and only its tests run, quickest first,
until one fails. What no test notices is printed as a survivor with its place. Zeros, indices and infinities are not constants in this sense.
"""

from __future__ import annotations

import argparse
import ast
import functools
import gc
import importlib
import inspect
import math
import pkgutil
import sys
import time
from collections import defaultdict
from dataclasses import dataclass, replace
from pathlib import Path
from types import CodeType, FunctionType, ModuleType

import hypothesis
import pytest
from _pytest.runner import runtestprotocol

from detailgen import standards
from detailgen.core import table as tables

HERE = Path(__file__).parent
ROOT = HERE.parent.parent
FACTOR = 1.02
ORIGINAL = tables.read_table


@dataclass(frozen=True)
class Mutant:
    place: str
    what: str
    touched: object  # a function, a module-level name, or a table


@dataclass(frozen=True)
class Cell:
    folder: Path
    name: str
    row: int
    column: str

    def changed(self, found):
        rows = list(found.rows)
        rows[self.row] = {**rows[self.row], self.column: float(rows[self.row][self.column]) * FACTOR}
        return replace(found, rows=tuple(rows))


def modules(only: str) -> list[ModuleType]:
    found = [importlib.import_module(i.name) for i in pkgutil.walk_packages(standards.__path__, "detailgen.standards.")]
    return [m for m in found if f".{only}" in m.__name__ and not m.__name__.endswith(("interface", "catalogue"))]


# ---------------------------------------------------------------- what there is to change


def constants(tree: ast.Module) -> list[ast.Constant]:
    """Numbers that count: no zeros, no indices, no digits of round(), nothing in annotations or docstrings."""
    out: list[ast.Constant] = []

    def walk(node: ast.AST) -> None:
        match node:
            case ast.Constant(value=value):
                if isinstance(value, int | float) and not isinstance(value, bool) and value != 0 and math.isfinite(value):
                    out.append(node)
                return
            case ast.Subscript():
                walk(node.value)
                return
            case ast.Call(func=ast.Name(id="round")):
                walk(node.args[0])
                return
            case ast.AnnAssign():
                if node.value is not None:
                    walk(node.value)
                return
            case ast.arguments():
                for default in (*node.defaults, *(d for d in node.kw_defaults if d is not None)):
                    walk(default)
                return
            case ast.JoinedStr():
                return
            case ast.Call(func=ast.Name(id="lru_cache")):
                return
        for child in ast.iter_child_nodes(node):
            walk(child)

    walk(tree)
    return out


def codes(code: CodeType) -> dict[tuple[str, int], CodeType]:
    found = {}
    for constant in code.co_consts:
        if isinstance(constant, CodeType):
            found[constant.co_qualname, constant.co_firstlineno] = constant
            found |= codes(constant)
    return found


def functions() -> dict[tuple[str, str, int], list[FunctionType]]:
    """Every function object of the standards by file, qualified name and line: found among all objects, wherever it is wrapped or held."""
    found = defaultdict(list)
    for thing in gc.get_objects():
        if isinstance(thing, FunctionType) and "detailgen/standards" in thing.__code__.co_filename:
            found[thing.__code__.co_filename, thing.__code__.co_qualname, thing.__code__.co_firstlineno].append(thing)
    return found


def code_mutants(module: ModuleType, objects) -> list[tuple[Mutant, object, object]]:
    """Mutants of one module, each with what applies it and what takes it back."""
    path = Path(inspect.getsourcefile(module))
    source = path.read_text(encoding="utf-8")
    tree = ast.parse(source)
    lines = source.splitlines()
    out = []
    for node in constants(tree):
        old = node.value
        node.value = old * FACTOR
        code = compile(tree, str(path), "exec")
        node.value = old
        place = f"{path.relative_to(ROOT / 'detailgen' / 'standards')}:{node.lineno}"
        what = f"{old:g} in: {lines[node.lineno - 1].strip()}"
        changed = [(o, c) for key, c in codes(code).items() for o in objects.get((str(path), *key), ()) if o.__code__ != c]
        if changed:
            swap = [(o, o.__code__, c) for o, c in changed]
            touched = {o.__code__ for o, _ in changed}
            out.append((Mutant(place, what, touched), functools.partial(_put, swap, 2), functools.partial(_put, swap, 1)))
            continue
        scope: dict[str, object] = dict(vars(module))
        exec(code, scope)
        defaults = [
            (f, name, getattr(f, name), getattr(scope[n], name))
            for n, f in vars(module).items()
            for name in ("__defaults__", "__kwdefaults__")
            if isinstance(f, FunctionType) and isinstance(scope.get(n), FunctionType) and getattr(scope[n], name) != getattr(f, name)
        ]
        if defaults:
            touched = {entry[0].__code__ for entry in defaults}
            out.append((Mutant(place, what, touched), functools.partial(_set, defaults, 3), functools.partial(_set, defaults, 2)))
            continue
        names = [n for n, v in vars(module).items() if isinstance(v, int | float) and not isinstance(v, bool) and scope.get(n) != v]
        holders = [m for m in list(sys.modules.values()) if isinstance(m, ModuleType) and m.__name__.startswith("detailgen")]
        sets = [(m, n, vars(module)[n], scope[n]) for n in names for m in holders if n in vars(m) and vars(m)[n] is vars(module)[n]]
        out.append((Mutant(place, what, "any"), functools.partial(_set, sets, 3), functools.partial(_set, sets, 2)))
    return out


def _put(swap, which):
    for entry in swap:
        entry[0].__code__ = entry[which]


def _set(sets, which):
    for entry in sets:
        setattr(entry[0], entry[1], entry[which])


def cells(only: str) -> list[Cell]:
    out = []
    for folder in sorted(Path(standards.__path__[0]).glob("*/tables")):
        if only in folder.parent.name:
            for name in tables.read_index(folder):
                found = ORIGINAL(folder, name)
                for k, row in enumerate(found.rows):
                    numbers = {c: float(row[c]) for c in found.units}
                    out += [Cell(folder, name, k, c) for c, v in numbers.items() if v != 0 and math.isfinite(v)]
    return out


# ---------------------------------------------------------------- running


def clear_caches() -> None:
    for thing in CACHES:
        thing.cache_clear()


def patch_reader(reader) -> None:
    for module in list(sys.modules.values()):
        if isinstance(module, ModuleType) and vars(module).get("read_table") is not None and hasattr(module, "__file__"):
            module.read_table = reader


class Run:
    """A pytest plugin: after collection it runs the tests by its own lights."""

    def __init__(self, options: argparse.Namespace) -> None:
        self.options = options
        self.survivors: list[Mutant] = []
        self.count = 0

    def passes(self, item) -> bool:
        reports = runtestprotocol(item, log=False, nextitem=None)
        return all(r.outcome != "failed" for r in reports)

    def pytest_runtestloop(self, session) -> bool:
        global CACHES
        by_code, by_table, took = defaultdict(set), defaultdict(set), {}
        now: list[object] = []

        def seen(frame, event, _):
            if event == "call" and "detailgen/standards" in frame.f_code.co_filename:
                by_code[frame.f_code].add(now[0])

        def reader(folder, name):
            by_table[folder, name].add(now[0])
            return ORIGINAL(folder, name)

        items = []
        CACHES = [o for o in gc.get_objects() if callable(getattr(type(o), "cache_clear", None)) and "detailgen" in str(getattr(o, "__module__", ""))]
        kept = [c for c in CACHES if getattr(c, "__name__", "") in ("read_table", "read_index", "clause_text", "statements", "_functions")]
        CACHES = [c for c in CACHES if c not in kept]
        patch_reader(reader)
        for item in session.items:
            now[:] = [item]
            clear_caches()
            start = time.process_time()
            sys.setprofile(seen)
            good = self.passes(item)
            sys.setprofile(None)
            took[item] = time.process_time() - start
            if good:
                items.append(item)
            else:
                print(f"left out, fails by itself: {item.nodeid}")
        for collected in (by_code, by_table):
            for key, found in collected.items():
                collected[key] = sorted(found & set(items), key=took.__getitem__)
        everything = sorted(items, key=took.__getitem__)
        print(f"{len(items)} tests, {sum(took.values()):.1f} s; {len(by_code)} functions and {len(by_table)} tables touched", flush=True)
        patch_reader(ORIGINAL)
        objects = functions()
        work = []
        if not self.options.tables:
            for module in modules(self.options.document):
                work += [(m, on, off) for m, on, off in code_mutants(module, objects)]
        if not self.options.code:
            for cell in cells(self.options.document):
                table = ORIGINAL(cell.folder, cell.name)
                row = table.rows[cell.row]
                key = " ".join(str(row[k]) for k in table.key)
                mutant = Mutant(f"{cell.folder.parent.name}/tables/{cell.name}.csv", f"{cell.column} {row[cell.column]:g} of row {key}", cell)
                other = cell.changed(table)
                where = (cell.folder, cell.name)
                work.append((mutant, functools.partial(patch_reader, _handing_out(where, other)), functools.partial(patch_reader, ORIGINAL)))
        k, n = (int(x) for x in self.options.slice.split("/"))
        chosen = [w for w in work if any(part in w[0].place for part in self.options.only.split(","))]
        for mutant, on, off in chosen[k - 1 :: n]:
            if isinstance(mutant.touched, Cell):
                mine = by_table.get((mutant.touched.folder, mutant.touched.name), [])
            elif mutant.touched == "any":
                mine = everything
            else:
                mine = sorted({i for c in mutant.touched for i in by_code.get(c, ())}, key=took.__getitem__)
            on()
            self.count += 1
            killed = False
            for item in mine:
                clear_caches()
                if not self.passes(item):
                    killed = True
                    break
            off()
            clear_caches()
            if not killed:
                self.survivors.append(mutant)
                print(f"survives ({len(mine)} tests): {mutant.place}: {mutant.what}", flush=True)
        return True


def _handing_out(where, other):
    def reader(folder, name):
        return other if (folder, name) == where else ORIGINAL(folder, name)

    return reader


CACHES: list = []


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--document", default="", help="only this folder of the standards")
    parser.add_argument("--slice", default="1/1", help="K/N: every Nth mutant from the Kth on")
    parser.add_argument("--only", default="", help="only places that hold one of these words, separated by commas: connector_,withdrawal.py")
    parser.add_argument("--tables", action="store_true", help="only cells of tables")
    parser.add_argument("--code", action="store_true", help="only constants in code")
    options = parser.parse_args()
    sys.path.insert(0, str(ROOT))
    hypothesis.settings.register_profile(
        "mutants", phases=[hypothesis.Phase.explicit, hypothesis.Phase.generate], derandomize=True, database=None, max_examples=25,
    )  # fmt: skip
    hypothesis.settings.load_profile("mutants")
    run = Run(options)
    start = time.process_time()
    left_out = ["test_readings_and_catalogue.py", "test_units_of_clauses.py"]  # they ask about words and units, not about numbers
    ignored = [f"--ignore={ROOT / 'tests' / 'standards' / name}" for name in left_out]
    no_constants = ("hundred_thousand", "at_import", "runner", "unchanged_since", "documented_to_the_last", "25000_plates")
    skipped = ["-k", " and ".join(f"not {name}" for name in no_constants)]
    folders = [str(ROOT / "tests" / name) for name in ("standards", "published")]
    pytest.main(["-q", "-p", "no:cacheprovider", *ignored, *skipped, *folders], plugins=[run])
    print(f"{run.count} mutants, {len(run.survivors)} survive, {time.process_time() - start:.0f} s of processor time")


if __name__ == "__main__":
    main()
