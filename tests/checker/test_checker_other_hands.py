"""Sheets as other programs and other hands leave them: blocks, mirrored, turned, scaled, in paper space, copied, broken up; R12.

And files that are none.
"""

from __future__ import annotations

import bz2
import contextlib
import gzip
import lzma
import math
import resource
import subprocess
import sys
import time

import ezdxf
import pytest
from click.testing import CliRunner
from ezdxf.math import Matrix44, Vec3
from face_views import APP, build, failing, holes, outline, outlines, saved, set_value, tag, tags_of, value

from detailgen.checker import check_file
from detailgen.checker.drawing import Drawing
from detailgen.checker.read_dxf import read_dxf
from detailgen.cli import main
from detailgen.core.errors import InputError


def lengths(path):
    return sorted((r.where.split(",")[0], r.check.split(" (")[0], round(r.capacity, 5)) for r in check_file(path) if "distance" in r.check)


@pytest.fixture(scope="module")
def sound(tmp_path_factory):
    return lengths(saved(build(), tmp_path_factory.mktemp("sound")))


def view(doc, part):
    return [outline(doc, part), *holes(doc, part)]


def bare(doc):
    for d in list(doc.modelspace().query("DIMENSION")):
        doc.modelspace().delete_entity(d)


def into_block(doc, part, **place):
    """The face view becomes a block, inserted anywhere."""
    block = doc.blocks.new(f"VIEW-{part}", base_point=place.pop("base", (0, 0)))
    for e in view(doc, part):
        block.add_entity(e.copy())
        doc.modelspace().delete_entity(e)
    return doc.modelspace().add_blockref(block.name, place.pop("at", (0, 0)), dxfattribs=place)


PLACES = {
    "as it was": {},
    "moved": {"at": (500, -33.3)},
    "about another point": {"at": (500, 1), "base": (7, 9)},
    "turned by 30 degrees": {"rotation": 30, "at": (400, 400)},
    "turned by a quarter": {"rotation": 90, "at": (400, 400)},
    "turned by half": {"rotation": 180, "at": (400, 400)},
    "mirrored": {"xscale": -1, "at": (400, 400)},
    "mirrored and turned": {"yscale": -1, "rotation": 77, "at": (400, 400)},
    "seen from behind": {"extrusion": (0, 0, -1), "at": (400, 400)},
}


@pytest.mark.parametrize("name", PLACES)
@pytest.mark.parametrize("part", ["ply-near-left", "plate-near"])
def test_a_view_in_a_block(name, part, sound, tmp_path):
    doc = build()
    bare(doc)
    into_block(doc, part, **PLACES[name])
    path = saved(doc, tmp_path)
    assert failing(path) == []
    assert lengths(path) == sound


def test_blocks_in_blocks_that_undo_each_other(sound, tmp_path):
    doc = build()
    bare(doc)
    inner = into_block(doc, "ply-near-right", xscale=2, yscale=2, rotation=40, at=(3, 4))
    outer = doc.blocks.new("OUTER")
    outer.add_entity(inner.copy())
    doc.modelspace().delete_entity(inner)
    doc.modelspace().add_blockref("OUTER", (100, 700), dxfattribs={"xscale": 0.5, "yscale": 0.5, "rotation": -40})
    assert lengths(saved(doc, tmp_path)) == sound


@pytest.mark.parametrize("scale", [2.0, 0.5, 1.3])
def test_a_scaled_view_is_named(scale, tmp_path):
    doc = build()
    bare(doc)
    into_block(doc, "plate-near", xscale=scale, yscale=scale)
    found = failing(saved(doc, tmp_path))
    assert len(found) == 1
    assert f"plate-near: the view is drawn {scale:g} times its size" in found[0]


def test_a_view_scaled_and_exploded_is_named(tmp_path):
    doc = build()
    bare(doc)
    for e in view(doc, "ply-far"):
        e.transform(Matrix44.scale(3, 3, 3))
    assert any("ply-far: the view is drawn 3 times" in f for f in failing(saved(doc, tmp_path)))


def test_a_wrong_unit_is_named(tmp_path):
    doc = build()
    doc.header["$INSUNITS"] = 4
    found = failing(saved(doc, tmp_path))
    assert all("is the unit of the file right?" in f for f in found)
    assert len(found) == 7


def test_a_view_stretched_one_way_is_no_circle(tmp_path):
    doc = build()
    bare(doc)
    into_block(doc, "plate-near", xscale=1.01, yscale=1)
    assert any("neither round nor a slot" in f for f in failing(saved(doc, tmp_path)))


def test_a_timber_of_a_plates_size_is_no_second_plate(tmp_path, monkeypatch):
    """All bolts of a ply stand an inch off; a timber that is as large as the plate lies an inch beside it and excuses nothing."""
    doc = build()
    for e in holes(doc, "ply-near-right"):
        e.dxf.center += Vec3(1, 0, 0)
    path = saved(doc, tmp_path)
    x0, y0, x1, y1 = next(b for (_, part), b in read_dxf(path).stack.items() if part == "plate-near")
    for way in (1, -1):
        monkeypatch.setattr(Drawing, "of_size", lambda self, *_, way=way: [("ply-near-left", (x0 + way, y0, x1 + way, y1))])
        assert any("where the plan shows" in f for f in failing(path))
    monkeypatch.setattr(Drawing, "of_size", lambda self, *_: [("another", (x0 + way, y0, x1 + way, y1)) for way in (1, -1)])
    assert not any("where the plan shows" in f for f in failing(path))


def test_a_view_turned_by_half_and_exploded_cannot_pass(tmp_path):
    """Its tags say that the left end is cut off, and now it is the right one."""
    doc = build()
    bare(doc)
    turn = Matrix44.chain(Matrix44.z_rotate(math.pi), Matrix44.translate(0, 600, 0))
    for e in view(doc, "ply-near-left"):
        e.transform(turn)
    assert any("ply-near-left" in f and "where the plan shows both" in f for f in failing(saved(doc, tmp_path)))


def test_r12_carries_no_unit_but_bolts_do(sound, tmp_path):
    doc = build()
    bare(doc)
    doc.saveas(tmp_path / "new.dxf")
    old = ezdxf.readfile(tmp_path / "new.dxf")
    r12 = ezdxf.new("R12")
    r12.appids.add(APP)
    for e in old.modelspace():
        if e.dxftype() == "CIRCLE":
            copy = r12.modelspace().add_circle(e.dxf.center, e.dxf.radius)
        else:
            copy = r12.modelspace().add_polyline2d(list(e.get_points("xyb")), format="xyb", close=True)
        tag(copy, *tags_of(e))
    path = saved(r12, tmp_path, "r12.dxf")
    assert "$INSUNITS" not in path.read_text()
    assert lengths(path) == sound


def test_paper_space(sound, tmp_path):
    doc = build()
    bare(doc)
    paper = doc.layouts.get("Layout1")
    for part in ("plate-near", "ply-near-left"):
        for e in [*view(doc, part), outline(doc, part, "plan")]:
            paper.add_entity(e.copy())
            doc.modelspace().delete_entity(e)
    assert lengths(saved(doc, tmp_path)) == sound


def arcs(doc, hole, n):
    c, r = hole.dxf.center, hole.dxf.radius
    for k in range(n):
        tag(doc.modelspace().add_arc(c, r, 360 / n * k + 11, 360 / n * (k + 1) + 11), *tags_of(hole))


def ellipse(doc, hole):
    tag(doc.modelspace().add_ellipse(hole.dxf.center, (hole.dxf.radius, 0), 1.0), *tags_of(hole))


def many_sided(doc, hole):
    c, r = hole.dxf.center, hole.dxf.radius
    points = [(c.x + r * math.cos(k * math.pi / 16), c.y + r * math.sin(k * math.pi / 16)) for k in range(32)]
    tag(doc.modelspace().add_lwpolyline(points, close=True), *tags_of(hole))


def three_bulges(doc, hole):
    c, r = hole.dxf.center, hole.dxf.radius
    points = [(c.x + r * math.cos(k * math.tau / 3), c.y + r * math.sin(k * math.tau / 3), math.tan(math.tau / 12)) for k in range(3)]
    tag(doc.modelspace().add_lwpolyline(points, format="xyb", close=True), *tags_of(hole))


@pytest.mark.parametrize("how", [lambda d, h: arcs(d, h, 2), lambda d, h: arcs(d, h, 3), ellipse, many_sided, three_bulges])
def test_whatever_makes_a_circle(how, sound, tmp_path):
    doc = build()
    for h in holes(doc, "plate-near") + holes(doc, "ply-near-left"):
        how(doc, h)
        doc.modelspace().delete_entity(h)
    path = saved(doc, tmp_path)
    assert failing(path) == []
    assert lengths(path) == sound


def test_arcs_that_leave_a_gap_are_no_hole(tmp_path):
    doc = build()
    h = holes(doc, "plate-near")[0]
    tag(doc.modelspace().add_arc(h.dxf.center, h.dxf.radius, 0, 300), *tags_of(h))
    doc.modelspace().delete_entity(h)
    assert any("its arcs do not close" in f for f in failing(saved(doc, tmp_path)))


def test_a_view_copied_elsewhere_says_the_same_again(sound, tmp_path):
    doc = build()
    for e in view(doc, "plate-near"):
        copy = e.copy()
        doc.modelspace().add_entity(copy)
        copy.translate(300, 40, 0)
    path = saved(doc, tmp_path)
    assert failing(path) == []
    assert lengths(path) == sound


def test_an_outline_doubled_in_place_is_told(tmp_path):
    doc = build()
    doc.modelspace().add_entity(outline(doc, "plate-near").copy())
    assert failing(saved(doc, tmp_path)) == ["does not pass: plate-near: outline stands twice "]


def test_a_copy_that_differs_cannot_be_checked(tmp_path):
    doc = build()
    for e in view(doc, "plate-near")[:-1]:
        copy = e.copy()
        doc.modelspace().add_entity(copy)
        copy.translate(300, 40, 0)
    assert any("one face view" in f for f in failing(saved(doc, tmp_path)))


def test_dimensions_that_lie_by_a_factor(tmp_path):
    """A program multiplies what it measures before it shows it."""
    doc = build()
    doc.dimstyles.get("PLAIN").dxf.dimlfac = 2.0
    found = failing(saved(doc, tmp_path))
    assert len(found) == 7
    assert all("dimension text '<>' states" in f for f in found)


# --- files that are none ---------------------------------------------------------------------------------------------------------------


def refused(path):
    with pytest.raises(InputError) as fault:
        check_file(path)
    text = str(fault.value)
    assert "\n" not in text
    done = CliRunner().invoke(main, ["check", str(path)])
    assert done.exit_code == 2
    assert done.output.strip().split("\n") == [text]
    return text, done


BAD = {
    "empty": b"",
    "blank": b" \n \n",
    "text": b"hello\nworld\n",
    "archive": b"PK\x03\x04" + b"\x00" * 100,
    "document": b"%PDF-1.7\n",
    "drawing in its program's own form": b"AC1032" + b"\x00" * 200,
    "packed by gzip": gzip.compress(b"0\nEOF\n" * 100),
    "packed by xz": lzma.compress(b"0\nEOF\n" * 100),
    "packed by bzip2": bz2.compress(b"0\nEOF\n"),
    "one endless line": b"0" * 3_000_000,
    "null bytes": b"\x00" * 1000,
    "binary": bytes(range(256)) * 50,
    "torso of a binary drawing": b"A" * 18 + b"\r\n\x1a\x00" + b"\x00\x01" * 40,
    "no sections": b"0\nEOF\n",
    "letters for a code": b"0\nSECTION\n2\nENTITIES\nx\ny\n0\nENDSEC\n0\nEOF\n",
    "no number": b"0\nSECTION\n2\nENTITIES\n0\nCIRCLE\n10\nleft\n40\n1\n0\nENDSEC\n0\nEOF\n",
}


@pytest.mark.parametrize("name", BAD)
def test_bad_files(name, tmp_path):
    path = tmp_path / "x.dxf"
    content = BAD[name].replace(b"0\nSECTION\n2\nENTITIES", b"0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n1\n0\nENDSEC\n0\nSECTION\n2\nENTITIES")
    path.write_bytes(content)
    text, _ = refused(path)
    assert str(path) in text


@pytest.mark.parametrize("share", [0.1, 0.5, 0.9, 0.999])
def test_truncated(share, tmp_path):
    path = saved(build(), tmp_path)
    data = path.read_bytes()
    path.write_bytes(data[: int(len(data) * share)])
    text, _ = refused(path)
    assert "the end of the file before its drawing ends" in text or "group code" in text


def test_gigantic_coordinates(tmp_path):
    for value_ in (1e300, float("inf"), float("nan"), -5e9):
        doc = build()
        path = saved(doc, tmp_path)
        whole = path.read_text()
        radius = holes(doc, "plate-near")[0].dxf.center.x
        path.write_text(whole.replace(f"\n{radius}\n", f"\n{value_}\n"))
        text, _ = refused(path)
        assert "drawing units" in text


def test_a_block_that_contains_itself(tmp_path):
    doc = build()
    a, b = doc.blocks.new("A"), doc.blocks.new("B")
    a.add_blockref("B", (1, 1))
    b.add_blockref("A", (1, 1))
    doc.modelspace().add_blockref("A", (0, 0))
    text, _ = refused(saved(doc, tmp_path))
    assert "contains itself" in text


@pytest.mark.parametrize("ending", [".zip", ".txt", ".dwg", ".json", ""])
def test_archives_by_another_name(ending, tmp_path):
    """A sheet packed in an archive, whatever it is called."""
    import zipfile

    with zipfile.ZipFile(tmp_path / f"sheet{ending}", "w", zipfile.ZIP_DEFLATED) as archive:
        archive.write(saved(build(), tmp_path), "sheet.dxf")
    (tmp_path / "sheet.dxf").unlink()
    done = CliRunner().invoke(main, ["check", str(tmp_path / f"sheet{ending}")])
    assert done.exit_code == 2
    assert len(done.output.strip().split("\n")) == 1


def test_blocks_too_deep(tmp_path):
    doc = build()
    doc.blocks.new("L0").add_circle((0, 0), 1)
    for level in range(1, 3000):
        doc.blocks.new(f"L{level}").add_blockref(f"L{level - 1}", (0, 0))
    doc.modelspace().add_blockref("L2999", (0, 0))
    text, _ = refused(saved(doc, tmp_path))
    assert "inside one another" in text


def test_a_line_of_a_hundred_thousand_corners(tmp_path):
    path = tmp_path / "x.dxf"
    corners = "".join(f"10\n{k % 997}\n20\n{k % 991}\n" for k in range(100_000))
    path.write_text(
        f"0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n1\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n0\nLWPOLYLINE\n8\n0\n70\n1\n{corners}0\nENDSEC\n0\nEOF\n"
    )
    text, _ = refused(path)
    assert "corners" in text


def test_ten_million_entities(tmp_path):
    """As a process: exit 2, one line, within 700 MB and 20 s of processor time."""
    path = tmp_path / "points.dxf"
    with path.open("w") as out:
        out.write("0\nSECTION\n2\nENTITIES\n")
        for _ in range(100):
            out.write("0\nPOINT\n" * 100_000)
        out.write("0\nENDSEC\n0\nEOF\n")
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    done = subprocess.run([sys.executable, "-m", "detailgen", "check", path], capture_output=True, text=True, check=False)
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    assert done.returncode == 2
    (line,) = done.stderr.strip().split("\n")
    assert line.startswith(f"{path}: found 20,000,008 lines; allowed: up to 500,000 entities")
    assert used.ru_maxrss < 700_000  # kB
    assert used.ru_utime + used.ru_stime - before.ru_utime - before.ru_stime < 20


MUCH = ["texts in one column", "dimensions", "outlines", "circles without tags", "copies of one view", "inserts of nothing"]


@pytest.mark.parametrize("what", MUCH)
def test_much_of_one_thing_takes_no_square_of_time(what, tmp_path):
    """15,000 of anything beside a sound sheet: within 15 s of processor time (a few on a quiet machine), whatever is said of it."""
    more = {
        "texts in one column": lambda k: f"0\nTEXT\n8\n0\n10\n5\n20\n{-k * 0.2}\n40\n0.1\n1\nnote {k}\n",
        "dimensions": lambda k: f"0\nDIMENSION\n8\n0\n70\n0\n1\n{k}\n13\n0\n23\n0\n14\n{k}\n24\n0\n",
        "outlines": lambda k: f"0\nLWPOLYLINE\n8\n0\n70\n1\n10\n{k}\n20\n0\n10\n{k + 1}\n20\n0\n10\n{k}\n20\n9\n",
        "circles without tags": lambda k: f"0\nCIRCLE\n8\n0\n10\n{k % 20}\n20\n{k % 7}\n40\n0.1\n",
        "copies of one view": lambda k: f"0\nINSERT\n8\n0\n2\nVIEW\n10\n{100 * k}\n20\n500\n" if k < 1000 else "",
        "inserts of nothing": lambda k: "0\nINSERT\n8\n0\n2\nNONE\n10\n0\n20\n0\n70\n1000\n71\n1000\n",
    }[what]
    doc = build()
    into_block(doc, "plate-near")
    path = saved(doc, tmp_path)
    head, mark, tail = path.read_text().rpartition("  0\nENDSEC\n  0\nSECTION\n  2\nOBJECTS")
    assert mark
    path.write_text(head + "".join(more(k).replace("VIEW\n", "VIEW-plate-near\n") for k in range(15_000)) + mark + tail)
    start = time.process_time()
    with contextlib.suppress(InputError):
        check_file(path)
    assert time.process_time() - start < 15


def test_millions_of_entities_in_blocks(tmp_path, monkeypatch):
    """Eight levels of ten: a small file, a hundred million circles."""
    doc = build()
    doc.blocks.new("L0").add_circle((0, 0), 1)
    for level in range(1, 9):
        block = doc.blocks.new(f"L{level}")
        for k in range(10):
            block.add_blockref(f"L{level - 1}", (k, 0))
    doc.modelspace().add_blockref("L8", (0, 0))
    path = saved(doc, tmp_path)
    monkeypatch.setattr("detailgen.checker.shapes.MOST", 20_000)
    start = time.process_time()
    text, _ = refused(path)
    assert "more than 20,000 entities" in text
    assert time.process_time() - start < 5


def test_a_file_too_large(tmp_path, monkeypatch):
    monkeypatch.setattr("detailgen.checker.dxf_text.LARGEST", 1000)
    text, _ = refused(saved(build(), tmp_path))
    assert "files up to" in text


def test_reading_agrees_with_another_reader(tmp_path):
    """ezdxf reads the same circles and corners from the same file."""
    path = saved(build(), tmp_path)
    doc = ezdxf.readfile(path)
    drawing = read_dxf(path)
    mine = sorted((round(h.x, 6), round(h.y, 6), round(h.diameter, 6)) for f in drawing.faces for h in f.holes)
    theirs = sorted((round(e.dxf.center.x, 6), round(e.dxf.center.y, 6), round(2 * e.dxf.radius, 6)) for e in doc.modelspace().query("CIRCLE"))
    assert mine == theirs
    for face in drawing.faces:
        assert len(outlines(doc, face.part)) == 1
        assert value(outlines(doc, face.part)[0], "material") == face.material
    set_value(outline(doc, "plate-near"), "material", "tin")
    doc.saveas(path)
    assert any("wood or steel" in f for f in failing(path))
