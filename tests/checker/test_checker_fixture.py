"""A sound sheet passes; the record and its drawing are judged alike; the checker stands by itself."""

from __future__ import annotations

import json
import math
import subprocess
import sys
from pathlib import Path

import pytest
from face_views import build, saved
from splice_fixture import splice_detail

from detailgen.checker import check_detail, check_file, check_paths, checks_json
from detailgen.checker.report import check_lines
from detailgen.core.errors import InputError
from detailgen.core.result import State


@pytest.fixture(scope="module")
def sheet(tmp_path_factory):
    return saved(build(), tmp_path_factory.mktemp("sheets"))


def test_a_sound_sheet_passes(sheet):
    results = check_file(sheet)
    assert [r for r in results if r.state is not State.PASSES] == []
    names = " ".join(r.check for r in results)
    for what in ("end distance", "edge distance", "spacing in a row", "distance between rows", "hole for its bolt", "nearest edge of the plate",
                 "outer rows", "holes coincide"):  # fmt: skip
        assert what in names


def test_hand_values_of_the_fixture(sheet):
    """3/4 in. bolts: 7 D = 5.25, 4 D = 3, 1.5 D = 1.125 (NDS 2018 12.5.1, from memory); table J3.4: 1 in., 8 d / 3 = 2 (AISC 360-16)."""
    found = {(r.where.split(",")[0], r.check.split(" (")[0]): r for r in check_file(sheet)}
    end = next(r for (part, _), r in found.items() if part == "ply-near-right" and r.check.startswith("end distance at the left end"))
    assert (end.demand, end.capacity, end.combination) == (5.25, 7.0, "member in tension")
    spacing = next(r for (part, _), r in found.items() if part == "ply-near-right" and r.check.startswith("spacing"))
    assert (spacing.demand, spacing.capacity) == (3.0, 4.5)
    edge = next(r for (part, _), r in found.items() if part == "plate-near" and r.check.startswith("nearest edge"))
    assert (edge.demand, edge.capacity) == (1.0, 1.25)
    apart = next(r for (part, _), r in found.items() if part == "plate-near" and r.check.startswith("distance between"))
    assert (apart.demand, apart.capacity) == (2.0, 4.0)


def test_open_ends_are_no_ends(sheet):
    checks = [r for r in check_file(sheet) if r.where.startswith("ply-near-left") and "end distance" in r.check]
    assert {r.check.split(" end ")[0] for r in checks} == {"end distance at the right"}
    assert not [r for r in check_file(sheet) if r.where.startswith("ply-far") and "end distance" in r.check]


def test_record_and_drawing_are_judged_alike(sheet):
    def plain(results):
        return [(r.where, r.check, r.unit, r.state, r.combination, r.missing) for r in results if not r.where.startswith("dimension")]

    drawn, record = check_file(sheet), check_detail(splice_detail())
    assert plain(drawn) == plain(record)
    drawn = [r for r in drawn if not r.where.startswith("dimension")]
    for a, b in zip(drawn, record, strict=True):
        assert (a.demand, a.capacity) == pytest.approx((b.demand, b.capacity), abs=2e-6, nan_ok=True)


def test_twice_the_same(sheet):
    assert checks_json(check_paths([sheet])) == checks_json(check_paths([sheet]))


def test_json_is_json(sheet):
    text = json.dumps(checks_json(check_paths([sheet.parent])), allow_nan=False)
    data = json.loads(text)
    assert data["passes"] is True
    assert data["files"][0]["file"] == f"{sheet.parent.name}/sheet.dxf"
    end = next(r for r in data["files"][0]["results"] if r["check"].startswith("end distance at the left end (bolts bear towards it)"))
    assert (end["required"], end["provided"], end["table_status"]) == (5.25, 7.0, "from memory")
    measured = {(m["where"], m["what"]): m["value"] for m in data["files"][0]["measured"]}
    assert measured["plate-near", "net width of the worst section"] == pytest.approx(7 - 2 * 0.8125)
    assert measured["ply-far", "thickness in the plan view"] == pytest.approx(2.5)
    assert not any(isinstance(v, float) and math.isnan(v) for v in measured.values())


def test_lines_for_people(sheet):
    lines = check_lines(check_paths([sheet]))
    assert lines[-1].startswith("1 file: ")
    assert "0 does not pass, 0 cannot be checked" in lines[-1]


def test_files_are_sorted_and_named(tmp_path):
    doc = build()
    for name in ("b.dxf", "a.DXF"):
        saved(doc, tmp_path, name)
    assert [f.file for f in check_paths([tmp_path]).files] == [f"{tmp_path.name}/a.DXF", f"{tmp_path.name}/b.dxf"]


@pytest.mark.parametrize("content", [b"", b"hello", b"\x00\x01\x02" * 500])
def test_what_is_no_drawing_is_refused(tmp_path, content):
    path = tmp_path / "x.dxf"
    path.write_bytes(content)
    with pytest.raises(InputError) as refused:
        check_file(path)
    assert len(refused.value.problems) == 1
    assert "\n" not in str(refused.value)


def test_a_torso_is_refused(tmp_path):
    path = tmp_path / "x.dxf"
    path.write_bytes(b"0\nSECTION\n2\nENTITIES\n0\nLINE\n")
    with pytest.raises(InputError, match="the end of the file before its drawing ends"):
        check_file(path)


def test_nothing_to_check_is_refused(tmp_path):
    with pytest.raises(InputError, match="no such file"):
        check_paths([tmp_path / "missing.dxf"])
    with pytest.raises(InputError, match="without DXF"):
        check_paths([tmp_path])


def test_the_checker_stands_alone(sheet):
    """Neither standards, remedies, assessment, analysis, the CAD kernel nor scipy is in memory after a check."""
    code = "import sys; from pathlib import Path; from detailgen.checker import check_paths; assert check_paths([Path(sys.argv[1])]).passes"
    code += "; print(*sorted(sys.modules))"
    done = subprocess.run([sys.executable, "-c", code, str(sheet)], capture_output=True, text=True, check=False, cwd=Path(__file__).parents[2])
    assert done.returncode == 0, done.stderr
    loaded = set(done.stdout.split())
    ours = {m for m in loaded if m.startswith("detailgen.")}
    assert {m.split(".")[1] for m in ours} == {"checker", "core", "model"}
    assert not {m.split(".")[0] for m in loaded} & {"scipy", "OCP", "cadquery", "shapely", "openpyxl", "typst", "pydantic"}
