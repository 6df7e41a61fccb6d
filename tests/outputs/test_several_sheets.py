"""A joint whose views find no room on one sheet: they go on on the next, each is shown once, and the sheets are checked together."""

from __future__ import annotations

import itertools
from collections import Counter
from dataclasses import replace

import pytest
from detail_package import make_package
from parts_reader import tags_of, views_of
from sheet_reader import read_dxf, read_svg
from test_sheets import _collisions

from detailgen.checker.check import check_paths
from detailgen.core.result import State
from detailgen.core.templates import copy_templates
from detailgen.core.units import SI, US
from detailgen.outputs.drawings import write_dxf, write_svg
from detailgen.outputs.drawings.sheet_set import draw_set
from detailgen.outputs.drawings.shop_sheets import draw_field_form


@pytest.fixture(scope="module", params=[US, SI], ids=["US", "SI"])
def written(request, tmp_path_factory):
    folder = tmp_path_factory.mktemp("several")
    copy_templates(folder / "firm")
    paper = folder / "firm" / "sheets" / "paper.txt"
    paper.write_text(f"{request.param.name}: ISO A3\n", encoding="utf-8")
    package = make_package(request.param)
    package = replace(package, project=replace(package.project, templates=str(folder / "firm")))
    (folder / "drawings").mkdir()
    sheets = list(draw_set(package))
    for sheet in sheets:
        write_dxf(sheet.drawing, folder / "drawings" / f"{sheet.file}.dxf")
        write_svg(sheet.drawing, folder / f"{sheet.file}.svg")
    return package, sheets, folder


def test_each_part_is_shown_once_and_every_model_is_whole(written):
    package, sheets, folder = written
    pages = [s for s in sheets if s.detail]
    assert len(pages) > 1
    assert [p.drawing.name for p in pages] == ["S-501", *(f"S-501-{k}" for k in range(2, len(pages) + 1))]
    shown: Counter[str] = Counter()
    parts = {p.key for p in package.details[0].parts}
    for page in pages:
        doc, _, _ = read_dxf(folder / "drawings" / f"{page.file}.dxf")
        auditor = doc.audit()
        assert [e.message for e in (*auditor.errors, *auditor.fixes)] == []
        faces = [e for e in doc.modelspace().query("LWPOLYLINE") if tags_of(e).get("view") == "face"]
        windows = views_of(doc)
        if not windows:
            continue
        assert len(faces) == 5  # two marks, three old parts
        for face in faces:
            x, y = face.get_points("xy")[0]
            shown[tags_of(face)["part"]] += sum(v[0] < x < v[2] and v[1] < y < v[3] for v in windows)
    assert set(shown.values()) == {1}
    assert set(shown) <= parts


def test_each_sheet_says_where_it_goes_on_and_nothing_overlaps(written):
    _, sheets, folder = written
    for sheet in sheets:
        _, texts, strokes = read_svg(folder / f"{sheet.file}.svg")
        assert _collisions([(words, box) for _, words, box in texts], strokes) == [], sheet.file
    pages = [s for s in sheets if s.detail]
    for page, after in itertools.pairwise(pages):
        words = " ".join(w for _, w, _ in read_svg(folder / f"{page.file}.svg")[1])
        assert f"Continued on sheet {after.drawing.name}:" in words
    assert "views of parts" in " ".join(w for _, w, _ in read_svg(folder / f"{pages[0].file}.svg")[1])


def test_a_sheet_of_lists_that_goes_on_says_so(written, tmp_path):
    package, _, folder = written
    copy_templates(tmp_path / "firm")
    (tmp_path / "firm" / "sheets" / "paper.txt").write_text((folder / "firm" / "sheets" / "paper.txt").read_text(), encoding="utf-8")
    (tmp_path / "firm" / "notes" / "field_form.txt").write_text("Measure twice and write it down at once.\n" * 120, encoding="utf-8")
    sheets = draw_field_form(replace(package, project=replace(package.project, templates=str(tmp_path / "firm"))))
    assert [s.name for s in sheets[:2]] == ["S-801", "S-801-2"]
    write_svg(sheets[0], tmp_path / "form.svg")
    assert "Continued on sheet S-801-2: notes" in " ".join(w for _, w, _ in read_svg(tmp_path / "form.svg")[1])


def test_the_checker_reads_them_together(written):
    package, _, folder = written
    if package.project.units is SI:  # the hand-made joint is in whole inches
        checked = check_paths([folder / "drawings"])
        assert checked.count(State.CANNOT_BE_CHECKED) == 0
    names = sorted(p.name for p in (folder / "drawings").glob("T2-splice*.dxf"))
    alone = check_paths([folder / "drawings" / names[-1]])  # one sheet by itself: what it lacks is said
    assert alone.count(State.CANNOT_BE_CHECKED) > 0
