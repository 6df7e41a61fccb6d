"""Marks that differ only in lengths share a drawing: each is built again from the drawing's letters and its row of the table, and must be itself.

One drawing and a table of what varies is common practice of shop drawings, no published source.
"""

from __future__ import annotations

import random
import re
from dataclasses import replace

import ezdxf
import pytest
from detail_package import make_package
from parts_reader import Line
from splice_fixture import splice_detail

from detailgen.checker.check import check_paths
from detailgen.core.result import State
from detailgen.core.units import SI, US, parse
from detailgen.model.detail import Detail, Slot, Timber, Vertex
from detailgen.model.marks import other_hand, register
from detailgen.outputs.drawings import write_dxf
from detailgen.outputs.drawings.cut_files import write_cut_files
from detailgen.outputs.drawings.detail_sheet import draw_detail
from detailgen.outputs.drawings.shop_sheets import draw_shop
from detailgen.outputs.drawings.variation import families, form_of

SIXTEENTH = 1 / 16


def stretched(key: str, draw: random.Random) -> Detail:
    """The splice on another truss: everything away from the cut stands elsewhere, rows and widths differ; the form is the same."""
    detail = splice_detail()
    out, apart, wide = (draw.randint(0, 24) * SIXTEENTH for _ in range(3))

    def along(x: float) -> float:
        return x if abs(x) < 4 else x + (out if abs(x) < 12 else out + apart) * (1 if x > 0 else -1)

    def across(y: float) -> float:
        return y + (wide if y > 0 else -wide) / 2

    parts = []
    for p in detail.parts:
        if p.existing or p.kind == "filler":
            parts.append(p)
            continue
        outline = tuple(Vertex(along(v.x), across(v.y)) for v in p.outline)
        parts.append(replace(p, outline=outline, holes=tuple(replace(h, x=along(h.x), y=across(h.y)) for h in p.holes)))
    return replace(detail, key=key, parts=tuple(parts))


def package_of(count: int, seed: int, units=US):
    draw = random.Random(seed)
    details = tuple(stretched(f"T2-splice-{k}", draw) for k in range(1, count + 1))
    package = make_package(units, details[0])
    one = replace(package.trusses[0], details=details, status=dict.fromkeys((d.key for d in details), "PROPOSED"))
    marks, _ = register(details, {})
    return replace(package, trusses=(one,), marks=marks)


def read(path):
    """Texts of the paper by line, and the dimensions of the model: texts, and the two places along or across."""
    doc = ezdxf.readfile(path)
    texts = [(t.dxf.insert.x, t.dxf.insert.y, t.dxf.text.replace("\u00a0", " ")) for t in doc.paperspace("Sheet").query("TEXT")]
    return doc, texts


def table(texts):
    """Rows under WHAT VARIES by mark: each cell stands under its heading."""
    x, y, _ = next(t for t in texts if t[2].startswith("WHAT VARIES"))
    below = [t for t in texts if t[1] < y and t[0] > x - 0.1]
    top = max(t[1] for t in below if t[2] == "Mark")
    heads = {t[2]: t[0] for t in below if abs(t[1] - top) < 0.01}
    rows = {}
    for mark in [t for t in below if re.fullmatch(r"PL-\d+", t[2]) and abs(t[0] - x) < 0.05 and t[1] < top]:
        level = [t for t in below if abs(t[1] - mark[1]) < 0.02]
        rows[mark[2]] = {h: next(t[2] for t in level if abs(t[0] - at) < 0.02) for h, at in heads.items()}
    return rows


@pytest.mark.parametrize(("seed", "units"), [(1, US), (2, US), (3, US), (4, US), (5, SI)])
def test_every_mark_is_built_again_from_letters_and_table(seed, units, tmp_path):
    package = package_of(3, seed, units)
    plates = [m for m in package.marks if m.part.material == "steel"]
    assert len(plates) == 3
    assert len({form_of(m.part) for m in plates}) == 1
    (drawing,) = draw_shop(package)
    write_dxf(drawing, tmp_path / "a.dxf")
    doc, texts = read(tmp_path / "a.dxf")
    rows = table(texts)
    assert list(rows) == [m.mark for m in plates]
    metric = units is SI

    def value(text):
        return parse(f"{text} mm" if metric else text, "length")

    scale = 25.4 if metric else 1.0
    model = doc.modelspace()
    outline = max(model.query("LWPOLYLINE"), key=lambda e: max(p[0] for p in e.get_points()) - min(p[0] for p in e.get_points()))
    points = [p[:2] for p in outline.get_points()]
    low, high = min(p[1] for p in points), max(p[1] for p in points)
    dims = [d for d in model.query("DIMENSION") if low - 1e-6 <= d.dxf.defpoint2.y <= high + 1e-6 and low - 1e-6 <= d.dxf.defpoint3.y <= high + 1e-6]
    inside = [c.dxf.center for c in model.query("CIRCLE") if low < c.dxf.center.y < high]
    features = [sorted({round(p[k], 3) for p in (*points, *inside)}) for k in (0, 1)]
    for m in plates:
        lines = (Line(), Line())
        for d in dims:
            k = 1 if d.dxf.angle == 90.0 else 0
            first, second = sorted((d.dxf.defpoint2[k], d.dxf.defpoint3[k]))
            words = next(t.dxf.text for t in doc.blocks.get(d.dxf.geometry).query("TEXT"))
            chain = re.fullmatch(r"(\d+) SPA @ (.+) = (.+)", words)
            count, total = (int(chain[1]), chain[3]) if chain else (1, words)
            written = value(rows[m.mark].get(total, total))
            if chain:  # the step says the same
                assert value(rows[m.mark].get(chain[2], chain[2])) * count == pytest.approx(written, abs=count * 0.06 / 25.4)
            for n in range(count):
                step = (second - first) / count
                lines[k].add(first + n * step, first + (n + 1) * step, written / count)
        part = m.part
        for k, places in enumerate((sorted({round(v.x, 6) for v in (*part.outline, *part.holes)}),
                                    sorted({round(v.y, 6) for v in (*part.outline, *part.holes)}))):  # fmt: skip
            solved = lines[k].solved(features[k][0])
            assert len(features[k]) == len(places)
            for at, place in zip(features[k], places, strict=True):
                assert solved[at] * scale == pytest.approx((place - places[0]) * scale, abs=0.3 if metric else 1e-6)


def test_lengths_that_differ_alike_share_a_letter_and_no_letter_is_a_figure():
    package = package_of(3, 1)
    (drawing,) = draw_shop(package)
    words = [s.text for v in (drawing.model, *(x.shapes for x in drawing.more)) for s in v if hasattr(s, "pattern")]
    letters = {w for w in words if re.fullmatch(r"[A-Z]{1,2}", w)}
    assert letters
    assert not letters & {"I", "O"}
    assert any(words.count(w) > 1 for w in letters)  # both ends of a plate


def test_a_mark_of_another_form_stands_alone():
    package = package_of(3, 1)
    plate = package.marks[0]
    fewer = replace(plate.part, holes=plate.part.holes[1:])
    assert form_of(fewer) != form_of(plate.part)
    assert form_of(replace(plate.part, finish="painted")) != form_of(plate.part)
    slotted = replace(plate, mark="PL-9", part=replace(plate.part, slots=(Slot(0, 0, 3, 0.8125, 0.0),)))
    assert [[m.mark for m in f] for f in families([plate, slotted, replace(slotted, mark="PL-8")])] == [["PL-1"], ["PL-9"], ["PL-8"]]


def checked(package, folder):
    (folder / "drawings").mkdir(exist_ok=True)
    for detail in package.details:
        write_dxf(draw_detail(detail, package)[0], folder / "drawings" / f"{detail.key}.dxf")
    write_dxf(draw_shop(package)[0], folder / "drawings" / "shop.dxf")
    write_cut_files(package, folder / "cut")


def told(folder):
    results = check_paths([folder / "drawings", folder / "cut"]).results
    return next(r for name, r in results.items() if name.endswith("shop.dxf"))


@pytest.mark.parametrize("units", [US, SI])
def test_the_checker_holds_the_table_against_each_face_view(units, tmp_path):
    package = package_of(3, 2, units)
    checked(package, tmp_path)
    fine = told(tmp_path)
    assert [r.check for r in fine if r.where == "what varies"] == [r.check for r in fine if "in place of letters agree" in r.check] != []
    assert all(r.state is State.PASSES for r in fine), [r for r in fine if r.state is not State.PASSES]
    path = tmp_path / "drawings" / "shop.dxf"
    doc, texts = read(path)
    rows = table(texts)
    mark = list(rows)[1]
    letter = next(h for h in rows[mark] if re.fullmatch("[A-Z]", h))
    for t in doc.paperspace("Sheet").query("TEXT"):
        if t.dxf.text.replace("\u00a0", " ") == rows[mark][letter]:
            t.dxf.text = '11"' if units is US else "279"
    doc.saveas(path)
    wrong = [r for r in told(tmp_path) if r.state is State.DOES_NOT_PASS]
    assert any(mark in r.where and f"letter {letter}" in r.check for r in wrong), wrong


def test_a_handed_part_and_a_cambered_timber_say_so_where_they_are_drawn(tmp_path):
    detail = splice_detail()
    near, inner = detail.part("plate-near"), detail.part("plate-inner")
    skew = replace(near, handed="bevelled edge", holes=near.holes[1:])
    other = replace(other_hand(skew), key="plate-inner", placement=inner.placement, name=inner.name)
    block = replace(detail.part("filler-right"), timber=Timber("glulam", "preservative", 0.75))
    new = {"plate-near": skew, "plate-inner": other, "filler-right": block, "filler-left": replace(detail.part("filler-left"), timber=Timber())}
    changed = replace(detail, parts=tuple(new.get(p.key, p) for p in detail.parts))
    marks, _ = register((changed,), {})
    package = replace(make_package(US, changed), marks=marks)
    write_dxf(draw_shop(package)[0], tmp_path / "a.dxf")
    words = " ".join(t.dxf.text for t in ezdxf.readfile(tmp_path / "a.dxf").modelspace().query("TEXT")).replace("\u00a0", " ")
    assert "handed (bevelled edge): not turned over; PL-2 is the opposite hand" in words
    assert "PL-1 is the opposite hand" in words
    assert 'glued laminated timber; preservative; camber 3/4", TOP marked' in words
    assert "filler block sawn timber Scale" in words
