"""The sets of the samples as they go out, read back from disk: dimensions say what they measure, parts can be built from them, nothing overlaps."""

from __future__ import annotations

import itertools
import re
from functools import cache
from pathlib import Path

import ezdxf
import pytest
from parts_reader import CHAIN, LENGTH, Dim, face_views, half, read, value, views_of
from sample_trusses import SAMPLES, decided
from sheet_reader import read_svg
from test_parts_from_dimensions import rebuilt
from test_sheets import _collisions

from detailgen.core.units import MM
from detailgen.model.detail import BOUGHT
from detailgen.outputs.drawings import write_dxf, write_svg
from detailgen.outputs.drawings.detail_scene import scene_of
from detailgen.outputs.drawings.sheet_set import draw_set

SETS = sorted(folder.parent.name for folder in SAMPLES.glob("*/project.yaml"))


class Written:
    """A sample's package, its sheets, written, and the DXF files read back: each once."""

    def __init__(self, sample: str, folder: Path) -> None:
        self.package, self.folder = decided(sample), folder
        self.metric = self.package.project.units.name == "SI"
        self.unit = MM if self.metric else 1.0
        self.sheets = list(draw_set(self.package))
        for sheet in self.sheets:
            write_dxf(sheet.drawing, folder / f"{sheet.file}.dxf")
            write_svg(sheet.drawing, folder / f"{sheet.file}.svg")
        self.doc = cache(lambda file: ezdxf.readfile(folder / f"{file}.dxf"))

    def pages(self, detail):
        """The documents of a detail's sheets."""
        return [self.doc(s.file) for s in self.sheets if s.detail == detail.key]


@pytest.fixture(scope="module", params=SETS)
def written(request, tmp_path_factory):
    return Written(request.param, tmp_path_factory.mktemp(request.param))


def test_every_dimension_says_what_it_measures(written):
    """Its text is read as a person reads it and held against the distance between its points, rounded to a sixteenth or a tenth of a millimetre."""
    metric, unit, near, seen = written.metric, written.unit, half(written.metric), 0
    for sheet in written.sheets:
        doc = written.doc(sheet.file)
        for entity in (e for space in (doc.modelspace(), doc.paperspace("Sheet")) for e in space.query("DIMENSION")):
            if "<>" not in entity.dxf.text:  # it differs from truss to truss: a letter that the sheet's table explains
                letters, there = re.findall(r"\b[A-Z]\b", entity.dxf.text), {e.dxf.text for e in doc.paperspace("Sheet").query("TEXT")}
                assert letters, (sheet.file, entity.dxf.text)
                assert set(letters) <= there, (sheet.file, entity.dxf.text)
                continue
            dim, measured = Dim(doc, entity), entity.get_measurement() * unit
            shown = entity.dxf.text.replace("<>", dim.shown)
            if chain := CHAIN.fullmatch(shown):
                count, step, total = int(chain[1]), value(chain[2], metric), value(chain[3], metric)
                assert count * step == pytest.approx(total, abs=count * near if metric else 1e-6), (sheet.file, shown)
                assert total == pytest.approx(measured, abs=near), (sheet.file, shown, measured)
            else:
                assert value(dim.shown, metric) == pytest.approx(measured, abs=near), (sheet.file, shown, measured)
            assert entity.dxf.actual_measurement * unit == pytest.approx(measured, abs=2e-6)  # two points and a length to six decimals
            seen += 1
    assert seen > 80


def test_the_dimensions_of_every_view_add_up(written):
    """As they are written: whoever adds up a chain finds its overall dimension, in every view of every detail."""
    seen = 0
    for sheet in (s for s in written.sheets if s.detail):
        doc = written.doc(sheet.file)
        dims = [Dim(doc, e) for e in doc.modelspace().query("DIMENSION")]
        for x0, y0, x1, y1 in views_of(doc):
            here = [d for d in dims if x0 <= d.dxf.defpoint2.x <= x1 and y0 <= d.dxf.defpoint2.y <= y1]
            lengths = [d for d in here if re.fullmatch(rf"\(?{LENGTH}\)?", d.shown) and (d.dxf.text in ("<>", "(<>)") or CHAIN.match(d.dxf.text))]
            for line in read(lengths, written.metric):
                line.close()
            seen += len(lengths)
    assert seen > 30


def test_every_part_can_be_built_from_its_dimensions(written):
    package = written.package
    for detail in package.details:
        shown = [key for page in written.pages(detail) for key in rebuilt(page, detail, package)]
        marks = {package.mark_of(detail.key, key) or key for key in shown}
        assert len(shown) == len(marks)
        made = [p for p in detail.parts if p.kind not in BOUGHT and (not p.existing or p.holes or p.slots)]
        assert marks == {package.mark_of(detail.key, p.key) or p.key for p in made}, "each new part once per mark, each drilled old one"


def hole_rows(doc):
    """The rows of the hole table, read by where its words stand: part, diameter, ordinates along, ordinates across."""
    texts = [(e.dxf.text, e.dxf.insert.x, e.dxf.insert.y) for e in doc.paperspace("Sheet").query("TEXT")]
    rows = []
    for _, left, top in (t for t in texts if t[0].startswith("HOLES")):
        under = sorted((t for t in texts if t[0] == "Part" and abs(t[1] - left) < 1e-6 and t[2] < top), key=lambda t: -t[2])
        head = under[0][2]
        edges = {words: x for words, x, y in texts if y == head and left <= x and words in ("Part", "Dia", "x", "y", "Made")}
        if "Dia" not in edges:
            continue
        right = edges["Made"]
        ends = [y for words, x, y in texts if y < head and abs(x - left) < 1e-6 and words.isupper() and len(words) > 2 and "-" not in words]
        low = max((y for y in ends), default=0.0)
        starts = sorted((y for _, x, y in texts if low < y < head and abs(x - edges["Dia"]) < 1e-6), reverse=True)
        for start, stop in itertools.pairwise([*starts, low]):
            cells = {
                column: " ".join(words for words, x, y in sorted(texts, key=lambda t: -t[2]) if stop < y <= start and abs(x - edges[column]) < 1e-6)
                for column in ("Part", "Dia", "x", "y")
            }
            rows.append(cells)
        assert right > edges["y"]
    return rows


def test_the_hole_table_holds_every_hole_where_it_is(written):
    package, metric, unit = written.package, written.metric, written.unit
    for detail in package.details:
        rows = [row for page in written.pages(detail) for row in hole_rows(page)]
        said: dict[str, list[tuple[float, float, float]]] = {}
        for row in rows:
            xs = [value(x, metric) for x in row["x"].removesuffix(" (WP)").split("; ")]
            ys = [value(y, metric) for y in row["y"].removesuffix(" (WP)").split("; ")]
            said.setdefault(row["Part"], []).extend((x, y, value(row["Dia"], metric)) for x in xs for y in ys)
        for view in (v for page in written.pages(detail) for v in face_views(page, package)):
            part = scene_of(detail, package).detail.part(view.said["part"])  # from the far side ends bear other names
            x0, y0 = view.x0 if view.closed else view.x0 - min(v.x for v in part.outline) / unit, view.y0
            if any(row["y"].endswith("(WP)") for row in rows if row["Part"].endswith(part.name)):  # from the middle between a curve's edges at WP
                y0 = sum(e.centre[1] + e.radius for e in view.edges if e.radius) / 2
            drawn = sorted(((x - x0) * unit, (y - y0) * unit, d * unit) for x, y, d in view.holes)
            name = view.said["mark"] or f"{'(N)' if part.kind == 'brace' else '(E)'} {part.name}"
            table = sorted(said.get(name, []))
            assert len(table) == len(drawn), (detail.key, name)
            for a, b in zip(table, drawn, strict=True):
                assert a == pytest.approx(b, abs=half(metric)), (detail.key, name)


def test_nothing_overlaps_and_the_auditor_finds_nothing(written):
    for sheet in written.sheets:
        _, texts, strokes = read_svg(written.folder / f"{sheet.file}.svg")
        assert _collisions([(words, box) for _, words, box in texts], strokes) == [], sheet.file
        x0, y0, x1, y1 = (v / MM for v in sheet.drawing.sheet.inner)
        assert all(x0 - 0.01 <= x <= x1 + 0.01 and y0 - 0.01 <= y <= y1 + 0.01 for _, _, box in texts for x, y in box), sheet.file
        auditor = written.doc(sheet.file).audit()
        assert [e.message for e in (*auditor.errors, *auditor.fixes)] == [], sheet.file


def test_views_of_a_sheet_do_not_lie_on_one_another(written):
    for sheet in written.sheets:
        doc = written.doc(sheet.file)
        boxes = [(v.dxf.center.x - v.dxf.width / 2, v.dxf.center.y - v.dxf.height / 2, v.dxf.center.x + v.dxf.width / 2,
                  v.dxf.center.y + v.dxf.height / 2) for v in doc.paperspace("Sheet").query("VIEWPORT") if v.dxf.id != 1]  # fmt: skip
        for a, b in itertools.combinations(boxes, 2):
            assert a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1], sheet.file


def test_every_joint_has_its_picture_once(written):
    for detail in written.package.details:
        texts = [t.dxf.text for doc in written.pages(detail) for t in doc.paperspace("Sheet").query("TEXT")]
        assert texts.count("PICTURE") == 1, detail.key


def test_design_sheets_and_shop_sheets_say_which_they_are(written):
    purposes = {}
    for sheet in written.sheets:
        (title,) = [i for i in written.doc(sheet.file).paperspace("Sheet").query("INSERT") if i.dxf.name == "TITLE"]
        purposes[sheet.file] = title.get_attrib("PURPOSE").dxf.text
    shop = {f for f, p in purposes.items() if p == "Shop sheet, not sealed"}
    assert all(re.match(r"shop_parts", f) for f in shop)
    assert shop
    assert {p for f, p in purposes.items() if f not in shop} == {"Design sheet", "Form"}
