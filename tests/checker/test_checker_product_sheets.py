"""The sheets that the product itself draws: they pass, say what their record says, and an edit in them is found."""

from __future__ import annotations

import sys
from pathlib import Path

import ezdxf
import pytest
from face_views import holes, move, outlines, set_value, value

from detailgen.checker import check_detail, check_file, check_paths
from detailgen.core.result import State
from detailgen.core.units import SI, US

sys.path.append(str(Path(__file__).parents[1] / "outputs"))  # the hand-made package is theirs
detail_package = pytest.importorskip("detail_package")


@pytest.fixture(scope="module", params=[US, SI], ids=["inch", "mm"])
def package(request, tmp_path_factory):
    from detailgen.outputs.drawings.cut_files import write_cut_files
    from detailgen.outputs.drawings.detail_sheet import draw_detail
    from detailgen.outputs.drawings.dxf import write_dxf

    made = detail_package.make_package(request.param)
    folder = tmp_path_factory.mktemp("package")
    (folder / "drawings").mkdir()
    for number, drawing in enumerate(draw_detail(made.details[0], made)):
        write_dxf(drawing, folder / "drawings" / f"detail-{number}.dxf")
    write_cut_files(made, folder / "cut")
    return made, folder


def sheets(folder):
    return sorted((folder / "drawings").iterdir())


def test_the_package_passes(package):
    checked = check_paths([package[1]])
    assert checked.passes, [r for rs in checked.results.values() for r in rs if r.state is not State.PASSES]
    assert len(checked.files) >= 2
    assert sum("end distance" in r.check for rs in checked.results.values() for r in rs) >= 2


def test_record_and_sheet_are_judged_alike(package):
    made, folder = package
    detail = made.details[0]
    drawn = [r for path in sheets(folder) for r in check_file(path) if not r.where.startswith(("dimension", "table"))]
    record = check_detail(detail, {p.key: made.mark_of(detail.key, p.key) for p in detail.parts})

    def plain(results):
        return sorted((r.where.split(",")[0], r.check.split(" (")[0].split(", C_delta")[0], r.combination, r.state.value) for r in results)

    assert plain(drawn) == plain(record)
    lengths = [sorted(r.capacity for r in results if "distance" in r.check) for results in (drawn, record)]
    assert lengths[0] == pytest.approx(lengths[1], abs=2e-5)


def test_an_edit_is_found_and_named(package, tmp_path):
    path = next(p for p in sheets(package[1]) if outlines(ezdxf.readfile(p), "ply-near-right"))
    doc = ezdxf.readfile(path)
    k = 25.4 if doc.header["$INSUNITS"] == 4 else 1.0
    first = holes(doc, "ply-near-right")[0]
    move(first, -5 * k)
    doc.saveas(tmp_path / "edited.dxf")
    found = [r for r in check_file(tmp_path / "edited.dxf") if r.state is State.DOES_NOT_PASS]
    end = next(r for r in found if "end distance at the left end" in r.check)
    assert "ply-near-right" in end.where
    assert "hole 1 at" in end.where
    assert (end.demand, end.capacity) == pytest.approx((3.5 * 0.75, 2.0), abs=1e-5)  # 3.5 D, NDS 2018 table 12.5.1A, from memory
    assert "12.5.1A" in str(end.cite)
    assert any("hole of group B1" in r.check and "ply-near-right" in r.where for r in found)  # against the other parts


def test_load_reversed_and_tags_lost(package, tmp_path):
    path = next(p for p in sheets(package[1]) if outlines(ezdxf.readfile(p), "ply-near-right"))
    doc = ezdxf.readfile(path)
    line = outlines(doc, "ply-near-right")[0]
    turned = value(line, "load").replace("direction=180", "direction=0")
    assert turned != value(line, "load")
    set_value(line, "load", turned)
    doc.saveas(tmp_path / "reversed.dxf")
    assert any("direction of the load" in r.missing for r in check_file(tmp_path / "reversed.dxf"))
    for e in doc.modelspace():
        e.discard_xdata("DETAILGEN")
    doc.saveas(tmp_path / "stripped.dxf")
    states = [r.state for r in check_file(tmp_path / "stripped.dxf") if r.where == "file"]
    assert states == [State.CANNOT_BE_CHECKED]


def test_four_hundred_holes(tmp_path):
    """How long they take is measured by tests/benchmarks/checker_reach.py."""
    sys.path.append(str(Path(__file__).parents[1] / "benchmarks"))
    from checker_reach import measured, sheet

    path = tmp_path / "sheet.dxf"
    path.write_text(sheet(400, one=False))
    *_, found = measured(path)
    assert found >= 100


@pytest.mark.parametrize("version", ["R12", "R2000", "R2004", "R2007", "R2010", "R2013", "R2018"])
def test_saved_as_another_version(version, package, tmp_path):
    """As another program saves it; R12 has neither light polylines, nor units, nor pages, so its sheet has no scales to compare."""
    _, folder = package
    source = sheets(folder)[0]
    path = tmp_path / "sheet.dxf"
    doc = ezdxf.readfile(source)
    if version == "R12":
        for line in list(doc.modelspace().query("LWPOLYLINE")):
            old = doc.modelspace().add_polyline2d(list(line.get_points("xyb")), format="xyb", close=line.closed, dxfattribs={"layer": line.dxf.layer})
            if line.has_xdata("DETAILGEN"):
                old.set_xdata("DETAILGEN", line.get_xdata("DETAILGEN"))
            doc.modelspace().delete_entity(line)
    doc.dxfversion = version
    doc.saveas(path)
    found = [r for r in check_file(path) if r.state is not State.PASSES]
    assert not found, [(r.where, r.check, r.missing) for r in found]
    lengths = {(r.where, r.check): r.capacity for r in check_file(source) if "distance" in r.check}
    again = {(r.where, r.check): r.capacity for r in check_file(path) if "distance" in r.check}
    assert again.keys() == lengths.keys()
    assert list(again.values()) == pytest.approx(list(lengths.values()), abs=1e-5)
