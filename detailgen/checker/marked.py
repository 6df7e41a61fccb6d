"""A copy of a drawing with the findings in it, on a layer of their own: numbered where they are, dimensioned where something is too short."""

from __future__ import annotations

import math
from pathlib import Path
from typing import TYPE_CHECKING, Any

from detailgen.checker.check import FileChecked
from detailgen.checker.drawing import length_words
from detailgen.checker.dxf_text import read_text, refused
from detailgen.checker.geometry import Point
from detailgen.checker.read_dxf import UNITS, unit_code
from detailgen.checker.report import result_line
from detailgen.checker.rules import GREATEST, REQUIRED, Found
from detailgen.checker.shapes import MARKS
from detailgen.core.errors import OutputError
from detailgen.core.result import CheckResult, State

if TYPE_CHECKING:
    from ezdxf.document import Drawing as Document

LETTERS = 0.6
"""Height of the numbers and sentences (in of the drawing)."""
RED = 1


def write_marked(source: Path, checked: FileChecked, out: Path) -> int:
    """Write the copy; returns how many findings it shows. Raises InputError or OutputError."""
    from ezdxf import recover
    from ezdxf.filemanagement import readfile
    from ezdxf.lldxf.const import DXFError

    if out.resolve() == source.resolve():
        raise OutputError(f"{out}: findings go into a copy, not into the drawing itself")
    scale = 1 / UNITS.get(unit_code(read_text(source)), 1.0)
    try:
        document = readfile(source)
    except (DXFError, UnicodeDecodeError, OSError):
        try:
            document = recover.readfile(source)[0]
        except Exception as fault:  # whatever a broken file sets off, a person wants one line
            raise refused(source, 0, f"a drawing into which nothing can be written ({type(fault).__name__})") from fault
    if MARKS in document.layers:  # what an earlier check wrote
        for entity in list(document.modelspace().query(f'*[layer=="{MARKS}"]')):
            document.modelspace().delete_entity(entity)
    else:
        document.layers.add(MARKS, color=RED)
    findings = [r for r in checked.results if r.state is not State.PASSES]
    low = _corner(document)
    for number, result in enumerate(findings, start=1):
        spots = [(x * scale, y * scale) for x, y in result.spots] if isinstance(result, Found) else []
        _mark(document, number, result, spots, scale)
        sentence = f"{number}. {result.state.value}: {result_line(result)}"
        _text(document, sentence, (low[0], low[1] - (number + 2) * 2 * LETTERS * scale), scale)
    part = out.with_name(f".{out.name}.part")
    try:
        document.saveas(part)
        part.replace(out)
    except OSError as fault:
        part.unlink(missing_ok=True)
        raise OutputError(f"{out}: {fault.strerror}") from fault
    return len(findings)


def _corner(document: Document) -> Point:
    """Lower left corner of what is drawn and written."""
    xs, ys = [], []
    for e in document.modelspace().query("LWPOLYLINE CIRCLE TEXT LINE"):
        kind = e.dxftype()
        points: list[Any] = list(e.get_points("xy")) if kind == "LWPOLYLINE" else [e.dxf.center if kind == "CIRCLE" else  # type: ignore[attr-defined]
                            e.dxf.start if kind == "LINE" else e.dxf.insert]  # fmt: skip
        xs += [float(p[0]) for p in points]
        ys += [float(p[1]) for p in points]
    return min(xs, default=0.0), min(ys, default=0.0)


def _mark(document: Document, number: int, result: CheckResult, spots: list[Point], scale: float) -> None:
    space, attributes = document.modelspace(), {"layer": MARKS}
    if not spots:
        return
    x, y = spots[0]
    space.add_circle((x, y), LETTERS * scale, attributes)
    _text(document, str(number), (x + 1.1 * LETTERS * scale, y + 0.7 * LETTERS * scale), scale)
    if len(spots) < 2 or math.dist(spots[0], spots[1]) < 1e-6:
        return
    values = {s.symbol: s.value for s in result.steps}
    bound = next((f" (least {_inches(values[k], scale)})" for k in (REQUIRED,) if k in values), "")
    bound = next((f" (at most {_inches(values[k], scale)})" for k in (GREATEST,) if k in values), bound)
    override = {"dimtxt": LETTERS * scale, "dimasz": LETTERS / 2 * scale, "dimlfac": 1.0, "dimtad": 1, "dimdec": 4, "dimscale": 1.0}
    override |= {"dimclrd": RED, "dimclre": RED, "dimclrt": RED}
    first, second = sorted(spots[:2])
    dimension = space.add_aligned_dim(
        p1=first, p2=second, distance=1.5 * LETTERS * scale, text=_inches(math.dist(*spots[:2]) / scale, scale) + bound,
        override=override, dxfattribs=attributes,
    )  # fmt: skip
    dimension.render()


def _inches(value: float, scale: float) -> str:
    return length_words(value, metric=abs(scale - 1.0) > 1e-9 and scale > 1.0)


def _text(document: Document, words: str, at: Point, scale: float) -> None:
    text = document.modelspace().add_text(words, height=LETTERS * scale, dxfattribs={"layer": MARKS})
    text.set_placement(at)
