"""What the checker reads from a sheet: outlines and holes of the face views with their tags, thickness in the plan; no length among the tags."""

from __future__ import annotations

import math
import re
from dataclasses import replace

import ezdxf
import pytest
from detail_package import make_package
from splice_fixture import splice_detail

from detailgen.core.units import MM, SI, US
from detailgen.model.detail import Group, PlyLoad
from detailgen.outputs.drawings import write_dxf
from detailgen.outputs.drawings.detail_sheet import draw_detail
from detailgen.outputs.drawings.tags import load_direction, wood_kind


@pytest.fixture(params=[US, SI], scope="module", ids=["US", "SI"])
def read(request, tmp_path_factory):
    package = make_package(request.param)
    path = tmp_path_factory.mktemp("tags") / "a.dxf"
    write_dxf(draw_detail(package.details[0], package)[0], path)
    doc = ezdxf.readfile(path)
    tagged = []
    for e in doc.modelspace():
        if e.has_xdata("DETAILGEN"):
            texts = [t.value for t in e.get_xdata("DETAILGEN") if t.code == 1000]
            tagged.append((e, dict(t.split("=", 1) for t in texts if not t.startswith("load=")), [t for t in texts if t.startswith("load=")]))
    return package, (1.0 if request.param is US else MM), tagged


def _faces(tagged):
    return {t["part"]: (e, t, loads) for e, t, loads in tagged if t["kind"] == "outline" and t["view"] == "face"}


def test_a_face_view_for_every_mark_and_every_drilled_ply(read):
    package, _, tagged = read
    faces = _faces(tagged)
    assert set(faces) == {"plate-near", "filler-right", "ply-near-left", "ply-near-right", "ply-far"}
    assert all(e.dxftype() == "LWPOLYLINE" and e.closed for e, _, _ in faces.values())
    steel = faces["plate-near"][1]
    assert (steel["mark"], steel["material"], steel["specification"], steel["standard"]) == ("PL-1", "steel", "ASTM A36", "aisc360_16")
    assert (steel["existing"], steel["open"], steel["detail"]) == ("no", "none", package.details[0].key)
    assert "grain" not in steel
    assert "wood" not in steel
    ply = faces["ply-near-right"][1]
    assert (ply["mark"], ply["existing"], ply["open"]) == ("", "yes", "right")
    assert (ply["wood"], ply["standard"], ply["grain"]) == ("softwood", "nds_2018", "0")
    assert faces["ply-far"][1]["open"] == "both"
    assert faces["ply-near-left"][1]["open"] == "left"


def test_outlines_are_those_of_the_detail(read):
    package, unit, tagged = read
    for key, (e, _, _) in _faces(tagged).items():
        part = package.details[0].part(key)
        points = [(x * unit, y * unit) for x, y in e.get_points("xy")]
        dx, dy = points[0][0] - part.outline[0].x, points[0][1] - part.outline[0].y
        for (x, y), v in zip(points, part.outline, strict=True):
            assert (x - dx, y - dy) == pytest.approx((v.x, v.y), abs=1e-6)


def test_every_hole_stands_where_the_detail_has_it(read):
    package, unit, tagged = read
    detail = package.details[0]
    for key, (outline, _, _) in _faces(tagged).items():
        part = detail.part(key)
        x0, y0 = (c * unit for c in outline.get_points("xy")[0])
        holes = [(e, t) for e, t, _ in tagged if t["kind"] == "hole" and t["part"] == key]
        found = sorted((e.dxf.center.x * unit - x0, e.dxf.center.y * unit - y0, 2 * e.dxf.radius * unit) for e, _ in holes)
        wanted = sorted((h.x - part.outline[0].x, h.y - part.outline[0].y, h.diameter) for h in part.holes)
        assert len(found) == len(wanted) > 0
        for a, b in zip(found, wanted, strict=True):
            assert a == pytest.approx(b, abs=1e-6)
        shop = part.material == "steel"
        for e, t in holes:
            assert e.dxftype() == "CIRCLE"
            assert t["group"] == "B1"
            assert t["fastener"] == ("bolt 3/4 in" if package.project.units is US else "bolt 19 mm")
            assert (t["made"], t["template"]) == (("shop", "") if shop else ("field", "plate-near"))


def test_loads_ride_on_the_plies_that_carry_them(read):
    _, _, tagged = read
    loads = {key: loads for key, (_, _, loads) in _faces(tagged).items()}
    # In tension each ply is pulled away from the cut; its bolts hold it back toward the cut.
    lasting = (("4533.333", "permanent"), ("13600", "snow"))
    for part, direction in (("ply-near-right", 180), ("ply-near-left", 0)):
        assert loads[part] == [f"load=B1;tension={force};compression=0;direction={direction};duration={lasts}" for force, lasts in lasting]
    assert loads["ply-far"] == loads["plate-near"] == []


def test_thickness_can_be_measured_in_the_plan(read):
    package, unit, tagged = read
    plan = {t["part"]: e for e, t, _ in tagged if t["kind"] == "outline" and t["view"] == "plan"}
    assert set(plan) == {p.key for p in package.details[0].parts}
    lows = {}
    for key, e in plan.items():
        part = package.details[0].part(key)
        ys = [y * unit for _, y in e.get_points("xy")]
        assert max(ys) - min(ys) == pytest.approx(part.thickness, abs=1e-6)
        lows[key] = min(ys) + part.placement.z + part.thickness
    assert len({round(v, 5) for v in lows.values()}) == 1  # all of them at minus z, one axis for all


def test_no_length_is_tagged(read):
    package, _, tagged = read
    known = {
        "kind", "view", "detail", "part", "mark", "material", "specification", "wood", "standard", "grain", "existing", "open", "group", "fastener",
        "made", "template", "product", "service",
    }  # fmt: skip
    for _, t, loads in tagged:
        assert set(t) <= known
        assert all(re.fullmatch(r"load=\w+;tension=[\d.]+;compression=[\d.]+;direction=[\d.]+;duration=[a-z ]+", text) for text in loads)
    assert len(package.details[0].bolts) == 12


def test_a_part_with_both_ends_in_sight_is_held_at_its_bolts():
    detail = splice_detail()
    part = detail.part("filler-right")
    group, load = detail.groups[0], PlyLoad("filler-right", 1000.0, 0.0, 0.0)
    assert load_direction(part, group, load) == 0.0  # bolts right of its middle pull it to the right
    left = replace(part, holes=tuple(replace(h, x=1.0) for h in part.holes))
    assert load_direction(left, group, load) == 180.0
    assert load_direction(replace(part, grain=math.pi / 2), group, replace(load, angle=math.pi / 6)) == pytest.approx(120.0)
    assert isinstance(group, Group)


def test_kinds_of_wood_come_from_the_table():
    # NDS 2018, table 12.3.3A names the species; which of them are hardwoods is common knowledge of the trade, from memory.
    assert wood_kind("Red Oak No.1", "nds_2018") == "hardwood"
    assert wood_kind("Northern Red Oak", "nds_2018") == "hardwood"
    assert wood_kind("Douglas Fir-Larch No.2, dry", "nds_2018") == "softwood"
    assert wood_kind("a species that no table lists", "nds_2018") == "softwood"
