"""A copy of a drawing with the findings in it, on a layer of their own: numbered where they are, dimensioned where something is too short."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from detailgen.checker.check import FileChecked
from detailgen.checker.drawing import Window, length_words
from detailgen.checker.dxf_text import read_text, refused
from detailgen.checker.geometry import Point
from detailgen.checker.read_dxf import UNITS, unit_code
from detailgen.checker.report import result_line
from detailgen.checker.rules import GREATEST, REQUIRED, Found
from detailgen.checker.shapes import MARKS, Walk
from detailgen.core.errors import OutputError
from detailgen.core.result import CheckResult, State

if TYPE_CHECKING:
    from ezdxf.document import Drawing as Document
    from ezdxf.layouts.base import BaseLayout as Layout

LETTERS = 0.6
"""Height of the numbers and sentences (in of the drawing) where no window of a sheet shows them."""
ON_PAPER = 0.11
"""Their height on paper (in) where one does."""
WIDE = 150
"""Letters of a line in the list of findings."""
RED = 1


def write_marked(source: Path, checked: FileChecked, out: Path) -> int:
    """Write the copy; returns how many findings it shows. Raises InputError or OutputError."""
    from ezdxf import recover
    from ezdxf.filemanagement import readfile
    from ezdxf.lldxf.const import DXFError

    if out.resolve() == source.resolve():
        raise OutputError(f"{out}: findings go into a copy, not into the drawing itself")
    text = read_text(source)
    inches = UNITS.get(unit_code(text), 1.0)
    scale, windows = 1 / inches, Walk(text, inches).found.windows
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
    sentences: list[str] = []
    low = _corner(document)
    numbers: dict[Point, list[int]] = {}
    for number, result in enumerate(findings, start=1):
        spots = [(x * scale, y * scale) for x, y in result.spots] if isinstance(result, Found) else []
        if spots:
            numbers.setdefault((round(spots[0][0], 3), round(spots[0][1], 3)), []).append(number)
            _dimension(document, result, spots, scale, _letters(spots[0], scale, windows))
        sentence = f"{number}. {result.state.value}: {result_line(result, checked.metric)}"
        sentences += textwrap.wrap(sentence, WIDE, subsequent_indent="    ")
    for spot, here in numbers.items():
        letters = _letters(spot, scale, windows)
        document.modelspace().add_circle(spot, letters, {"layer": MARKS})
        _text(document.modelspace(), ", ".join(map(str, here)), (spot[0] + 1.1 * letters, spot[1] - 1.7 * letters), letters)
    for k, line in enumerate(sentences):
        _text(document.modelspace(), line, (low[0], low[1] - (k + 3) * 2 * LETTERS * scale), LETTERS * scale)
    _list_page(document, source.name, sentences, metric=checked.metric)
    part = out.with_name(f".{out.name}.part")
    try:
        document.saveas(part)
        part.replace(out)
    except OSError as fault:
        part.unlink(missing_ok=True)
        raise OutputError(f"{out}: {fault.strerror}") from fault
    return len(findings)


def _list_page(document: Document, name: str, sentences: Sequence[str], *, metric: bool) -> None:
    """The findings once more as a page of their own, beside the sheet."""
    if document.dxfversion == "AC1009":
        return  # R12 has no more than one page
    if MARKS in document.layouts:
        document.layouts.delete(MARKS)
    page = document.layouts.new(MARKS)
    lines = [f"Findings in {name}", "", *(sentences or ["none"])]
    k, unit = (25.4, "mm") if metric else (1.0, "inch")
    step = 1.8 * ON_PAPER
    high = max(11.0, step * (len(lines) + 2) + 1.0)
    page.page_setup(size=(17.0 * k, high * k), margins=(0, 0, 0, 0), units=unit)
    for n, line in enumerate(lines):
        _text(page, line, (0.5 * k, (high - 0.8 - step * n) * k), ON_PAPER * k)


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


def _letters(spot: Point, scale: float, windows: Sequence[Window]) -> float:
    """Height of what is written beside a spot: as on paper where a window of a sheet shows it."""
    shown = [w.scale for w in windows if w.scale > 0 and w.holds((spot[0] / scale, spot[1] / scale))]
    return (ON_PAPER / max(shown) if shown else LETTERS) * scale


def _dimension(document: Document, result: CheckResult, spots: list[Point], scale: float, letters: float) -> None:
    """What is there, and what is asked, between the two spots of a finding."""
    space, attributes = document.modelspace(), {"layer": MARKS}
    if len(spots) < 2 or math.dist(spots[0], spots[1]) < 1e-6:
        return
    values = {s.symbol: s.value for s in result.steps}
    bound = next((f" (least {_inches(values[k], scale)})" for k in (REQUIRED,) if k in values), "")
    bound = next((f" (at most {_inches(values[k], scale)})" for k in (GREATEST,) if k in values), bound)
    override = {"dimtxt": letters, "dimasz": letters / 2, "dimlfac": 1.0, "dimtad": 1, "dimdec": 4, "dimscale": 1.0}
    override |= {"dimclrd": RED, "dimclre": RED, "dimclrt": RED}
    first, second = sorted(spots[:2])
    dimension = space.add_aligned_dim(
        p1=first, p2=second, distance=0.0, text=_inches(math.dist(*spots[:2]) / scale, scale) + bound,
        override=override, dxfattribs=attributes,
    )  # fmt: skip
    dimension.render()


def _inches(value: float, scale: float) -> str:
    return length_words(value, metric=abs(scale - 1.0) > 1e-9 and scale > 1.0)


def _text(space: Layout, words: str, at: Point, height: float) -> None:
    text = space.add_text(words, height=height, dxfattribs={"layer": MARKS})
    text.set_placement(at)
