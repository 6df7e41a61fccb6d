"""The checker over the command: it passes what the tool drew, and finds what somebody moved, exaggerated or stripped."""

from __future__ import annotations

import json
import re
import shutil
from fractions import Fraction
from pathlib import Path

import ezdxf
import pytest
from command_line import detailgen_run
from package_runs import Made, demo, one_truss, one_truss_made, package, sheet_of, words_of

TAGS = "DETAILGEN"


@pytest.fixture(scope="module")
def sheet() -> Path:
    return sheet_of(one_truss_made()[0].folder)


def tags_of(entity: ezdxf.entities.DXFEntity) -> dict[str, str]:
    return dict(v.split("=", 1) for _, v in entity.get_xdata(TAGS)) if entity.has_xdata(TAGS) else {}


def hole_nearest_the_end(drawing: ezdxf.document.Drawing, part: str) -> ezdxf.entities.DXFEntity:
    """The hole of a part's face view that stands farthest to the right and up."""
    holes = [c for c in drawing.modelspace().query("CIRCLE") if tags_of(c).get("part") == part]
    assert holes, part
    return max(holes, key=lambda c: (round(c.dxf.center.x, 6), c.dxf.center.y))


def test_the_package_passes_as_the_command_reads_it(tmp_path: Path) -> None:
    made: Made = demo()
    whole = detailgen_run("check", made.folder / "drawings", made.folder / "cut")
    assert whole.code == 0, whole.out[-600:]
    counts = json.loads((made.folder / "checks" / "checks.json").read_text(encoding="utf-8"))["counts"]
    assert f"{counts['passes']} passes, 0 does not pass, 0 cannot be checked" in whole.out.splitlines()[-1]
    assert counts["passes"] > 100


def test_a_cut_file_is_checked_alone() -> None:
    for file in (demo().folder / "cut").iterdir():
        answer = detailgen_run("check", file)
        assert answer.code == 0, answer.out
        holes = ezdxf.readfile(file).modelspace().query("CIRCLE")
        assert re.search(r"[1-9]\d* passes", answer.out) or (not holes and "nothing new is shown; measured only" in answer.out)


# NDS 2018 table 12.5.1A (bolt in a ply's end, tension, softwood: 7 D full, 3.5 D least) and AISC 360-16 table J3.4
# (edge distance of a 7/8 in. bolt: 1-1/8 in.); from memory.
MOVED = [
    ("plate-near-outer", "plate-near-inner", 1.0, "edge", 1.125),
    ("ply-near-left", "ply-near-left", 5.0, "end distance", 3.0625),
]  # fmt: skip


@pytest.mark.parametrize(("part", "other", "by", "rule", "required"), MOVED, ids=[m[0] for m in MOVED])
def test_a_hole_below_its_minimum_is_named(part: str, other: str, by: float, rule: str, required: float, sheet: Path, tmp_path: Path) -> None:
    drawing = ezdxf.readfile(sheet)
    if not any(tags_of(c).get("part") == part for c in drawing.modelspace().query("CIRCLE")):
        part = other  # identical plates share one face view
    hole = hole_nearest_the_end(drawing, part)
    hole.translate(by, 0, 0)
    if "plate" in part:
        hole.translate(0, 1.0, 0)
    moved = tmp_path / "moved.dxf"
    drawing.saveas(moved)
    answer = detailgen_run("check", moved)
    assert answer.code == 1
    wrong = [line for line in answer.out.splitlines() if "does not pass: " in line and rule in line and "required" in line]
    assert wrong, answer.out
    match = next(m for line in wrong for m in [re.search(r"hole (\d+).*required ([\d /]+) in\., provided ([\d /]+) in\.", line)] if m)
    least, there = (float(sum(Fraction(x) for x in match[k].split())) for k in (2, 3))
    assert least == pytest.approx(required, abs=1e-3)
    assert there < least


def test_exaggerated_tags_move_no_distance(sheet: Path, tmp_path: Path) -> None:
    """Somebody writes lengths into the tags: the checker measures, and reads none of them."""
    drawing = ezdxf.readfile(sheet)
    hole = hole_nearest_the_end(drawing, "ply-near-left")
    hole.translate(5.0, 0, 0)
    hole.set_xdata(TAGS, [*[(1000, v) for _, v in hole.get_xdata(TAGS)], (1000, "end distance=99"), (1000, "required=0"), (1000, "provided=99")])
    changed = tmp_path / "exaggerated.dxf"
    drawing.saveas(changed)
    plain = tmp_path / "plain.dxf"
    hole.set_xdata(TAGS, [t for t in hole.get_xdata(TAGS) if t[1].split("=")[0] not in ("end distance", "required", "provided")])
    drawing.saveas(plain)

    def measured(file: Path) -> list[dict]:
        answer = detailgen_run("check", file, "--json")
        assert answer.code == 1
        return json.loads(answer.out)["files"][0]["measured"]

    assert measured(changed) == measured(plain)


def test_without_tags_nothing_can_be_checked(sheet: Path, tmp_path: Path) -> None:
    drawing = ezdxf.readfile(sheet)
    for entity in drawing.modelspace():
        if entity.has_xdata(TAGS):
            entity.discard_xdata(TAGS)
    stripped = tmp_path / "stripped.dxf"
    drawing.saveas(stripped)
    answer = detailgen_run("check", stripped)
    assert answer.code == 1
    assert "cannot be checked: " in answer.out
    results = json.loads(detailgen_run("check", stripped, "--json").out)["files"][0]["results"]
    assert all("dimension" in r["check"] for r in results if r["state"] == "passes")  # their texts still say what they measure


@pytest.mark.parametrize(("kind", "tag"), [("CIRCLE", "fastener"), ("LWPOLYLINE", "standard"), ("LWPOLYLINE", "grain"), ("LWPOLYLINE", "material")])
def test_one_lost_tag_of_a_ply_is_missed(kind: str, tag: str, sheet: Path, tmp_path: Path) -> None:
    drawing = ezdxf.readfile(sheet)
    taken = 0
    for entity in drawing.modelspace().query(kind):
        tags = tags_of(entity)
        if tags.get("part") == "ply-near-left" and tags.get("view") == "face" and tag in tags:
            entity.set_xdata(TAGS, [(1000, v) for _, v in entity.get_xdata(TAGS) if not v.startswith(f"{tag}=")])
            taken += 1
    assert taken
    changed = tmp_path / "lost.dxf"
    drawing.saveas(changed)
    answer = detailgen_run("check", changed)
    assert answer.code == 1
    assert "cannot be checked: " in answer.out


def test_json_is_one_document(sheet: Path, tmp_path: Path) -> None:
    answer = detailgen_run("check", sheet, demo().folder / "cut", "--json")
    told = json.loads(answer.out)  # words before or after it would be an error
    assert (answer.code, answer.err) == (0, "")
    assert told["passes"] is True
    assert len(told["files"]) == 1 + len(list((demo().folder / "cut").iterdir()))
    assert sum(told["counts"].values()) == sum(len(f["results"]) for f in told["files"])


def test_quiet_says_nothing(sheet: Path) -> None:
    answer = detailgen_run("check", sheet, "--quiet")
    assert (answer.code, answer.out, answer.err) == (0, "", "")


@pytest.mark.parametrize(
    ("content", "name"), [(b"", "empty.dxf"), (b"no drawing\n", "words.dxf"), (bytes(range(256)) * 40, "binary.dxf"), (None, "missing.dxf")]
)
def test_what_is_no_drawing_is_refused(content: bytes | None, name: str, tmp_path: Path) -> None:
    if content is not None:
        (tmp_path / name).write_bytes(content)
    answer = detailgen_run("check", tmp_path / name)
    assert (answer.code, answer.out) == (2, "")
    assert name in answer.err


def test_half_a_drawing_is_refused_or_found_wanting(sheet: Path, tmp_path: Path) -> None:
    half = tmp_path / "half.dxf"
    half.write_bytes(sheet.read_bytes()[: sheet.stat().st_size // 2])
    assert detailgen_run("check", half).code in (1, 2)


def test_the_file_is_left_as_it_was(sheet: Path, tmp_path: Path) -> None:
    copy = tmp_path / "sheet.dxf"
    shutil.copyfile(sheet, copy)
    assert words_of(detailgen_run("check", copy))
    assert copy.read_bytes() == sheet.read_bytes()
    assert [p.name for p in tmp_path.iterdir()] == ["sheet.dxf"]


def test_a_detail_of_many_bolts_passes_on_its_two_sheets(tmp_path: Path) -> None:
    damage = "    damage:\n      - {kind: break, member: bottom chord, ply: near"
    small = "    overrides: [{item: splice bolt diameter, value: 1/2 in, reason: a test}]\n"
    firm = tmp_path / "firm"  # whose notes are long enough for a second sheet
    assert detailgen_run("templates", firm).code == 0
    notes = firm / "notes" / "detail_sheet.txt"
    notes.write_text(notes.read_text(encoding="utf-8") + "A rule of this firm that takes a line.\n" * 30, encoding="utf-8")
    made = package(one_truss(tmp_path / "job", (damage, small + damage)), tmp_path / "out", "--templates", firm)
    assert made.manifest["result"]["T2"]["as_repaired"] <= 1.0
    assert len(list((made.folder / "drawings").glob("T2-splice-1*.dxf"))) == 2
    assert made.answer.code == 0, made.answer.out[-200:]
