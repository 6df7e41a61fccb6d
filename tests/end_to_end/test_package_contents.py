"""What stands in the package of the demo: the files that are promised, and lists, models, sheets and manifest that agree."""

from __future__ import annotations

import csv
import hashlib
import json
import re
from collections import Counter
from fractions import Fraction
from pathlib import Path

import ezdxf
import openpyxl
import pypdf
import pytest
from command_line import SAMPLES, detailgen_run, files_in
from package_runs import Made, demo, sample_package, sheet_of, words_of

# Every path that the plan of the package names, as a pattern of files. An angle bracket stands for a name.
PLANNED = {
    "index.html": "index.html", "analysis/truss_model.json": "analysis/truss_model.json", "analysis/forces.csv": "analysis/forces.csv",
    "assessment.csv": "assessment.csv", "drawings/<sheet>.dxf": "drawings/*.dxf", "drawings/all_sheets.pdf": "drawings/all_sheets.pdf",
    "cut/<mark>.dxf": "cut/*.dxf", "models/<detail>.step": "models/*-*.step", "models/<truss>.step": "models/T?.step", "models/*.glb": "models/*.glb",
    "schedules/parts.csv": "schedules/parts.csv", "schedules/bolts.csv": "schedules/bolts.csv", "schedules/cut_list.csv": "schedules/cut_list.csv",
    "schedules/strands.csv": "schedules/strands.csv", "schedules/schedules.xlsx": "schedules/schedules.xlsx",
    "report/calculations.pdf": "report/calculations.pdf", "field/field_work.pdf": "field/field_work.pdf",
    "field/stressing.csv": "field/stressing.csv", "field/dimensions.csv": "field/dimensions.csv", "checks/checks.json": "checks/checks.json",
}  # fmt: skip
TRUSSES = ("T2", "T3", "T5", "T6")
STRUNG = "T6"
"""The truss whose chord is squeezed by strands; the others have splices."""


@pytest.fixture(scope="module")
def made() -> Made:
    return demo()


def inches(words: str) -> Fraction:
    """3-8in, 1-1-8in, 1in -> inches."""
    match = re.fullmatch(r"(?:(\d+)-)??(\d+)(?:-(\d+))?in", words)
    assert match, words
    whole, a, b = match[1], int(match[2]), match[3]
    return Fraction(int(whole or 0)) + (Fraction(a, int(b)) if b else Fraction(a))


def test_the_demo_ends_well(made: Made) -> None:
    assert made.answer.code == 0, made.answer.out[-600:]
    assert "all drawings pass the checker" in words_of(made.answer)
    assert f"Written: {made.folder}" in words_of(made.answer)


def test_the_manifest_names_every_file_with_its_digest(made: Made) -> None:
    files = files_in(made.folder)
    named = made.manifest["files"]
    assert sorted([*named, "package.json"]) == sorted(files)
    assert {name: entry["sha256"] for name, entry in named.items()} == {
        name: hashlib.sha256(data).hexdigest() for name, data in files.items() if name != "package.json"
    }
    assert all(entry["kind"] for entry in named.values())


def test_what_is_absent_has_its_reason_and_nothing_that_is_there_has_one(made: Made) -> None:
    absent = made.manifest["not_applicable"]
    assert all(len(reason.split()) >= 4 for reason in absent.values())
    for name, pattern in PLANNED.items():
        there = list(made.folder.glob(pattern))
        assert bool(there) != (name in absent), name
    assert set(absent) <= set(PLANNED)


def test_a_project_without_repairs_says_so_for_every_folder_that_it_lacks(tmp_path: Path) -> None:
    job = tmp_path / "job"
    job.mkdir()
    survey = (SAMPLES / "boathouse" / "project.yaml").read_text(encoding="utf-8")
    barred = "    overrides:\n      - {item: sister sides, value: neither, reason: a test}\n"  # its webs fail, and no sister is made
    (job / "project.yaml").write_text(survey.rstrip() + "\n" + barred, encoding="utf-8")
    answer = detailgen_run("package", job, "--out", tmp_path / "out")
    assert answer.code == 1
    assert "allowed: one, both" in answer.out
    (folder,) = (tmp_path / "out").iterdir()
    manifest = json.loads((folder / "package.json").read_text(encoding="utf-8"))
    absent = manifest["not_applicable"]
    for name, pattern in PLANNED.items():
        covered = name in absent or any(name.startswith(key) for key in absent if key.endswith("/"))
        assert bool(list(folder.glob(pattern))) != covered, name
    assert not any(list(folder.glob(f"{key}*")) for key in absent if key.endswith("/"))
    assert (manifest["status"], manifest["files"].keys()) == ("PRELIMINARY", files_in(folder).keys() - {"package.json"})


def test_a_project_whose_new_parts_are_all_of_timber_has_no_cut_files(tmp_path: Path) -> None:
    """The boathouse: two webs get a sister each, everything passes, and the package says why there is nothing for a cutting table."""
    job = tmp_path / "job"  # a copy: marks.json is kept beside the project file
    job.mkdir()
    (job / "project.yaml").write_bytes((SAMPLES / "boathouse" / "project.yaml").read_bytes())
    answer = detailgen_run("package", job, "--out", tmp_path / "out", "--json")
    assert answer.code == 0, answer.out[-600:]
    (folder,) = (tmp_path / "out").iterdir()
    manifest = json.loads((folder / "package.json").read_text(encoding="utf-8"))
    assert manifest["not_applicable"]["cut/"].startswith("no new part is of steel")
    assert not (folder / "cut").exists()
    assert {f"drawings/C-sister-{web}.dxf" for web in ("U3-L3", "L3-U4")} <= manifest["files"].keys()
    (timber,) = csv.DictReader((folder / "schedules" / "cut_list.csv").open(encoding="utf-8"))
    assert (timber["mark"], timber["quantity"]) == ("WS-1", "2")
    checks = json.loads((folder / "checks" / "checks.json").read_text(encoding="utf-8"))
    assert checks["passes"]
    # along the web, not along the chord: sqrt(48^2 + 81.8^2)
    rows = list(csv.DictReader((folder / "field" / "dimensions.csv").open(encoding="utf-8")))
    along = next(r for r in rows if r["what"].startswith("web U3-L3 along its axis"))
    assert float(along["drawn_in"]) == pytest.approx(94.875)


def test_bolts_alone_and_a_replacement_piece() -> None:
    """The malthouse: a web's short end gets bolts, a decayed length of chord a new piece; drawings, lists and fit pass, exit code 0."""
    made = sample_package("malthouse")
    assert made.answer.code == 0, made.answer.out[-600:]
    folder = made.folder
    assert json.loads((folder / "checks" / "checks.json").read_text(encoding="utf-8"))["passes"]
    for name in ("drawings/G3-web-end-U1-L1-L1.dxf", "drawings/G5-replacement-near-24-0.dxf", "models/G3-web-end-U1-L1-L1.step"):
        assert (folder / name).is_file(), name
    (piece,) = (r for r in csv.DictReader((folder / "schedules" / "cut_list.csv").open(encoding="utf-8")) if r["mark"] == "RP-1")
    assert [float(piece[k]) for k in ("thickness_in", "width_in", "length_in")] == [2.5, 11.25, 66.0]
    bolts = list(csv.DictReader((folder / "schedules" / "bolts.csv").open(encoding="utf-8")))
    assert {(b["diameter_in"], b["quantity"]) for b in bolts} == {("0.5", "4"), ("0.75", "16")}  # both trusses' web ends, one piece
    result = json.loads((folder / "package.json").read_text(encoding="utf-8"))["result"]
    assert all(one["as_found"] > 1.2 >= 1.0 >= one["as_repaired"] for one in result.values())


def test_side_members_along_a_curved_chord() -> None:
    """The ropewalk: two panels of the top chord get timbers sawn to the curve; drawings, lists and fit pass, exit code 0."""
    made = sample_package("ropewalk")
    assert made.answer.code == 0, made.answer.out[-600:]
    folder = made.folder
    assert json.loads((folder / "checks" / "checks.json").read_text(encoding="utf-8"))["passes"]
    for name in ("drawings/R4-side-L0-U1.dxf", "models/R4-side-U5-L6.step", "models/R4.step"):
        assert (folder / name).is_file(), name
    assert not (folder / "cut").exists()  # nothing of steel
    timbers = {r["mark"]: r for r in csv.DictReader((folder / "schedules" / "cut_list.csv").open(encoding="utf-8"))}
    assert {m: (r["quantity"], r["sawn"]) for m, r in timbers.items()} == {
        "FB-1": ("2", "straight"), "SM-1": ("2", "band-sawn to a curve"), "SM-2": ("2", "band-sawn to a curve"),
    }  # fmt: skip
    assert {float(timbers[m]["width_in"]) for m in ("SM-1", "SM-2")} <= {7.25, 9.25, 11.25}  # of what they are sawn out of
    stages = (folder / "field" / "stages.csv").read_text(encoding="utf-8")
    assert "new parts fitted" in stages
    result = json.loads((folder / "package.json").read_text(encoding="utf-8"))["result"]["R4"]
    assert result["as_found"] > 1.05 > 1.0 > result["as_repaired"]


def test_bolts_alone_pass_and_a_truss_that_nothing_helps_does_not(tmp_path: Path) -> None:
    """The malthouse with a chord broken through beside the heel: no repair finds a place, and that is told; its neighbour gets bolts, no part."""
    job = tmp_path / "job"
    job.mkdir()
    text = (SAMPLES / "malthouse" / "project.yaml").read_text(encoding="utf-8")
    head, decay, _ = text.partition("      - {kind: decay")
    assert decay
    broken = "      - {kind: break, member: bottom chord, at: 20 in, length: 4 in, photo: D08}\n"
    (job / "project.yaml").write_text(head + broken, encoding="utf-8")
    answer = detailgen_run("package", job, "--out", tmp_path / "out")
    assert answer.code == 1, answer.out[-600:]
    assert "Traceback" not in answer.out + answer.err
    assert "no place for a splice left of the damage" in " ".join(answer.out.split())
    (folder,) = (tmp_path / "out").iterdir()
    assert json.loads((folder / "checks" / "checks.json").read_text(encoding="utf-8"))["passes"]  # all that is drawn
    result = json.loads((folder / "package.json").read_text(encoding="utf-8"))["result"]
    assert (result["G5"]["as_repaired"], result["G5"]["repairs"]) == (None, {})
    assert result["G3"]["as_repaired"] <= 1.0
    assert not (folder / "cut").exists()


def test_nothing_is_empty_and_nothing_is_left_over(made: Made) -> None:
    for path in [made.folder, *made.folder.rglob("*")]:
        assert not path.name.startswith("."), path
        if path.is_dir():
            assert any(path.iterdir()), path
        elif path.suffix == ".csv":
            assert len(list(csv.reader(path.open(encoding="utf-8", newline="")))) > 1, path
        elif path.suffix == ".json":
            assert json.loads(path.read_text(encoding="utf-8")), path
        elif path.suffix == ".dxf":
            assert sum(len(layout) for layout in ezdxf.readfile(path).layouts) > 1, path
        elif path.suffix == ".pdf":
            blank = [k for k, page in enumerate(pypdf.PdfReader(path).pages, 1) if page.get_contents() is None]
            assert not blank, path
        elif path.suffix == ".step":
            assert "MANIFOLD_SOLID_BREP" in path.read_text(encoding="utf-8"), path
        elif path.suffix == ".glb":
            assert path.read_bytes().startswith(b"glTF"), path
        elif path.suffix == ".html":
            assert "<h1>" in path.read_text(encoding="utf-8"), path
        else:
            assert path.suffix == ".xlsx", path
            assert all(sheet.max_row > 1 for sheet in openpyxl.load_workbook(path)), path
    assert [p.name for p in made.folder.parent.iterdir()] == [made.folder.name]


def test_the_manifest_says_status_standards_and_both_results(made: Made) -> None:
    manifest = made.manifest
    assert manifest["status"] == "PROPOSED"
    assert manifest["standards"] == ["NDS 2018", "AISC 360-16 (ASD)", "ASCE 7-16"]
    assert (manifest["project"], manifest["revision"], manifest["date"]) == ("Harrow Lane Printworks", "A", "2026-05-04")
    assert set(manifest["result"]) == set(TRUSSES)
    for mark, result in manifest["result"].items():
        assert result["as_found"] > (1.05 if mark == STRUNG else 1.2)
        assert 0.80 <= result["as_repaired"] <= 1.0
        assert result["refusals"] == []
        strands = [f"{mark}-strands{part}" for part in ("", "-right", "-guide", "-base")]
        assert list(result["repairs"]) == (strands if mark == STRUNG else [f"{mark}-splice-1"])
        assert all(r["status"] == "PROPOSED" and re.fullmatch("[0-9a-f]{64}", r["hash"]) for r in result["repairs"].values())


@pytest.mark.parametrize("name", ["assessment.csv", "analysis/forces.csv"])
def test_the_tables_hold_three_structures_of_every_truss(name: str, made: Made) -> None:
    assert {(r["truss"], r["structure"]) for r in made.rows(name)} == {(t, s) for t in TRUSSES for s in ("intact", "as found", "as repaired")}


def test_everything_as_repaired_passes_in_the_table_too(made: Made) -> None:
    rows = made.rows("assessment.csv")
    after = [r for r in rows if r["structure"] == "as repaired"]
    assert {r["state"] for r in after} == {"passes"}
    assert max(float(r["ratio"]) for r in after) <= 1.0
    for mark, result in made.manifest["result"].items():
        for structure, key in (("as found", "as_found"), ("as repaired", "as_repaired")):
            # How far a place is used: a distance that is kept says nothing of it.
            used = [r for r in rows if (r["truss"], r["structure"]) == (mark, structure) and r["unit"] != "in"]
            worst = max(float(r["ratio"]) for r in used if r["ratio"])
            assert worst == pytest.approx(result[key], abs=1e-4)
    assert any("splice" in r["where"] for r in after)  # the new parts are in it


def test_a_ratio_is_demand_over_capacity_where_both_are_of_one_unit(made: Made) -> None:
    simple = [r for r in made.rows("assessment.csv") if r["check"] in ("tension on net section", "bolts", "row tear-out", "group tear-out")]
    assert len(simple) > 500
    for r in simple:
        if float(r["capacity"]) > 0:
            assert float(r["demand"]) / float(r["capacity"]) == pytest.approx(float(r["ratio"]), rel=2e-4, abs=1e-6), r


def test_names_of_cut_files_are_the_parts_list(made: Made) -> None:
    parts = made.rows("schedules/parts.csv")
    on_site = {r["mark"] for r in parts if r["quantity"] == "14"}
    cut = {f"cut/{p.name}" for p in (made.folder / "cut").iterdir()}
    assert {r["file"] for r in parts if r["file"]} == cut
    for row in parts:
        assert row["made"] == "shop" or not row["file"] or row["mark"] in on_site  # the far bar of a guide is drilled through the near one
        assert row["made"] == "field" or row["file"]
        assert row["material"].startswith("ASTM") is bool(row["file"])
        if not row["file"]:
            continue
        match = re.fullmatch(r"cut/(\w+-\d+)_(.+)_x(\d+)\.dxf", row["file"])
        assert match, row["file"]
        assert (match[1], match[3]) == (row["mark"], row["quantity"])
        assert inches(match[2]) == Fraction(row["thickness_in"])


def test_a_cut_file_is_as_large_as_the_parts_list_says_and_holds_four_layers(made: Made) -> None:
    for row in made.rows("schedules/parts.csv"):
        if not row["file"]:
            continue
        drawing = ezdxf.readfile(made.folder / row["file"])
        assert {e.dxf.layer for e in drawing.modelspace()} <= {"CUT_OUTER", "CUT_INNER", "CENTER", "ETCH"}
        (outer,) = drawing.modelspace().query('LWPOLYLINE[layer=="CUT_OUTER"]')
        assert outer.closed
        xs, ys = zip(*((p[0], p[1]) for p in outer.get_points()), strict=True)
        assert sorted((max(xs) - min(xs), max(ys) - min(ys))) == pytest.approx(sorted((float(row["length_in"]), float(row["width_in"]))), abs=1e-3)
        etched = " ".join(e.dxf.text for e in drawing.modelspace().query('TEXT[layer=="ETCH"]'))  # short parts bear it in several lines
        assert f"{row['mark']} " in etched
        assert f"QTY {row['quantity']} " in etched
        assert row["material"] in etched
        # Steel weighs 490 lb/ft3 (AISC Manual, table 17-12; from memory).
        holes = drawing.modelspace().query('CIRCLE[layer=="CUT_INNER"]')
        area = float(row["length_in"]) * float(row["width_in"]) - sum(3.141592653589793 * h.dxf.radius**2 for h in holes)
        for slot in drawing.modelspace().query('LWPOLYLINE[layer=="CUT_INNER"]'):
            xs, ys = zip(*((p[0], p[1]) for p in slot.get_points()), strict=True)
            long, wide = max(xs) - min(xs), max(ys) - min(ys)  # between the middles of its round ends
            area -= long * wide + 3.141592653589793 * wide**2 / 4
        assert float(row["weight_each_lb"]) == pytest.approx(area * float(row["thickness_in"]) * 490 / 1728, abs=0.01)


def instances(step: Path) -> Counter[str]:
    """How often each product is used in an assembly, all levels multiplied out; by the text of the file alone."""
    text = step.read_text(encoding="utf-8").replace("\n", "")
    entity = {m[1]: (m[2], m[3]) for m in re.finditer(r"#(\d+)\s*=\s*([A-Z_0-9]+)\((.*?)\)\s*;", text)}

    def product_of(definition: str) -> str:
        formation = re.findall(r"#(\d+)", entity[definition][1])[0]
        product = re.findall(r"#(\d+)", entity[formation][1])[0]
        name = re.match(r"'((?:[^']|'')*)'", entity[product][1])
        assert name
        return name[1]

    uses = [re.findall(r"#(\d+)", body)[:2] for kind, body in entity.values() if kind == "NEXT_ASSEMBLY_USAGE_OCCURRENCE"]
    children = {child for _, child in uses}
    total: Counter[str] = Counter()

    def walk(definition: str) -> None:
        total[product_of(definition)] += 1
        for parent, child in uses:
            if parent == definition:
                walk(child)

    for root in {parent for parent, _ in uses} - children:
        walk(root)
    return total


def holes_of(sheet: Path) -> Counter[str]:
    """Holes in each face view of a sheet, by part."""
    found: Counter[str] = Counter()
    for circle in ezdxf.readfile(sheet).modelspace().query("CIRCLE"):
        if circle.has_xdata("DETAILGEN"):
            tags = dict(value.split("=", 1) for _, value in circle.get_xdata("DETAILGEN") if "=" in value)
            found[tags["part"]] += 1
    return found


def built(made: Made, detail: str) -> int:
    """How often a detail is built: one guide of the strands stands for all of them, and the model of the truss has each."""
    whole = (made.folder / "models" / f"{detail.split('-')[0]}.step").read_text(encoding="ascii")
    return len(re.findall(rf"NEXT_ASSEMBLY_USAGE_OCCURRENCE\('\d+','{detail}\.\d+'", whole)) or 1


def test_bolts_agree_between_list_model_and_sheet(made: Made) -> None:
    listed: Counter[tuple[str, Fraction]] = Counter()
    nuts = washers = 0
    for row in made.rows("schedules/bolts.csv"):
        uses = dict(use.split(": ") for use in row["where"].split("; "))
        assert sum(map(int, uses.values())) == int(row["quantity"])
        assert int(row["nuts"]) == int(row["quantity"]) + int(row["spares"])
        each = int(row["washers"]) // int(row["nuts"])  # two, and what packs a bolt that is longer than its grip
        assert int(row["washers"]) == each * int(row["nuts"]) >= 2 * int(row["nuts"])
        nuts, washers = nuts + int(row["quantity"]), washers + each * int(row["quantity"])
        for detail, count in uses.items():
            listed[detail, Fraction(row["diameter_in"])] += int(count)
    modelled: Counter[tuple[str, Fraction]] = Counter()
    for step in (made.folder / "models").glob("*-*.step"):
        parts = instances(step)
        times = built(made, step.stem)
        for name, count in parts.items():
            size = re.fullmatch(r"hex bolt (\d+(?:/\d+)?) in x .*", name)
            if size:
                modelled[step.stem, Fraction(size[1])] += times * count
                drawn = holes_of(sheet_of(made.folder, step.stem))
                if "splice" not in step.stem:
                    assert drawn["ply-near"] == drawn["ply-far"] == count
                    continue
                assert {n for part, n in drawn.items() if part.startswith("plate")} == {count}  # both plates hold every bolt
                assert drawn["ply-near-left"] + drawn["ply-near-right"] in (0, count) or drawn["ply-far"] == count
        nuts -= times * sum(n for name, n in parts.items() if name.startswith("hex nut"))
        washers -= times * sum(n for name, n in parts.items() if name.startswith("washer"))
    assert modelled == listed
    assert (nuts, washers) == (0, 0)


def test_parts_agree_between_list_and_models(made: Made) -> None:
    modelled: Counter[str] = Counter()
    for step in (made.folder / "models").glob("*-*.step"):
        for name, count in instances(step).items():
            modelled[name] += built(made, step.stem) * count
    assert {r["mark"]: int(r["quantity"]) for r in made.rows("schedules/parts.csv")} == {
        name: n for name, n in modelled.items() if re.fullmatch(r"[A-Z]{2}-\d+", name)
    }


def test_the_cut_list_is_the_timber_of_the_parts_list(made: Made) -> None:
    timber = {r["mark"]: (r["quantity"], r["thickness_in"], r["width_in"], r["length_in"]) for r in made.rows("schedules/parts.csv") if not r["file"]}
    assert timber == {r["mark"]: (r["quantity"], r["thickness_in"], r["width_in"], r["length_in"]) for r in made.rows("schedules/cut_list.csv")}


def test_the_workbook_holds_the_lists(made: Made) -> None:
    book = openpyxl.load_workbook(made.folder / "schedules" / "schedules.xlsx")
    for name in ("parts", "bolts", "cut_list"):
        sheet = next(s for s in book if s.title.replace(" ", "_").lower() == name)
        rows = list(csv.reader((made.folder / "schedules" / f"{name}.csv").open(encoding="utf-8", newline="")))
        table = [["" if c is None else c for c in row] for row in sheet.iter_rows(values_only=True)]
        assert [str(c) for c in table[0]] == rows[0]
        assert len(table) == len(rows)
        for ours, theirs in zip(table[1:], rows[1:], strict=True):
            assert [float(t) if isinstance(o, int | float) else t for o, t in zip(ours, theirs, strict=True)] == ours


def texts_of(sheet: Path) -> str:
    drawing = ezdxf.readfile(sheet)
    fields = [a.dxf.text for layout in drawing.layouts for i in layout.query("INSERT") for a in i.attribs]
    return " ".join([*(t.dxf.text for layout in drawing.layouts for t in layout.query("TEXT")), *fields])


def test_every_sheet_has_status_cautions_and_its_marks(made: Made) -> None:
    for mark, result in made.manifest["result"].items():
        for key, repair in result["repairs"].items():
            for sheet in sorted((made.folder / "drawings").glob(f"{key}*.dxf")):
                words = texts_of(sheet)
                assert repair["status"] in words, sheet
                assert "not accepted by the engineer" in words, sheet
                assert "Not for construction" in words, sheet
            words = texts_of(made.folder / "drawings" / f"{key}.dxf" if mark == STRUNG else sheet_of(made.folder, key))
            assert f"truss {mark}" in words
            for name in instances(made.folder / "models" / f"{key}.step"):
                if re.fullmatch(r"[A-Z]{2}-\d+", name):
                    assert name in words


def test_the_set_of_sheets_has_a_page_for_each_drawing(made: Made) -> None:
    sheets = sorted(p.stem for p in (made.folder / "drawings").glob("*.dxf"))
    set_of = pypdf.PdfReader(made.folder / "drawings" / "all_sheets.pdf")
    assert len(set_of.pages) == len(sheets)


def test_the_report_says_what_was_decided(made: Made) -> None:
    report = pypdf.PdfReader(made.folder / "report" / "calculations.pdf")
    words = " ".join(page.extract_text() for page in report.pages)
    for mark, result in made.manifest["result"].items():
        assert f"{result['as_repaired']:.2f}" in words, mark
        assert all(key in words for key in result["repairs"])
    assert "PROPOSED" in words
    assert "Not for construction" in words


def test_what_is_printed_names_failure_repair_and_what_governs(made: Made) -> None:
    said = words_of(made.answer)
    for mark, result in made.manifest["result"].items():
        assert f"Truss {mark} (type A" in said
        assert f"largest demand/capacity {result['as_found']:.2f}" in said
        assert f"Repair {mark}-{'strands' if mark == STRUNG else 'splice-1'}, PROPOSED" in said
        assert f"As repaired (as found {result['as_found']:.2f}): largest demand/capacity {result['as_repaired']:.2f}" in said
    assert "layouts tried" in said
    assert "Not for construction" in said


def test_the_strung_truss_has_its_sheets_lists_and_models(made: Made) -> None:
    """One tight heel: bracket, ties and end plate; the stressing table is full but for what is read on the day."""
    for name in ("truss_T6_strands", "T6-strands", "T6-strands-right", "T6-strands-guide", "T6-strands-base"):
        assert (made.folder / "drawings" / f"{name}.dxf").is_file(), name
    for name in ("T6", "T6-strands", "T6-strands-right", "T6-strands-base"):
        assert (made.folder / "models" / f"{name}.step").is_file(), name
    rows = made.rows("field/stressing.csv")
    assert {r["truss"] for r in rows} == {STRUNG}
    read = {"gauge_read_psi", "elongation_read_in", "accepted", "by", "date_time"}
    for row in rows[1:]:
        assert all(row[c] for c in row if c not in read), row
        assert all(not row[c] for c in read)
    assert rows[-1]["share"] == "100 %"
    anchors = made.rows("schedules/anchors.csv")
    assert [(r["quantity"], r["heel"]) for r in anchors if r["what"].startswith("tie,")] == [("4", "left")]
    words = texts_of(made.folder / "drawings" / "truss_T6_strands.dxf")
    for text in ("LEFT HEEL, bracket, stressing end", "RIGHT HEEL, fixed end", "nobody stands between it and its heel", "4 ties"):
        assert text in words, text
    assert "HEAD TO BASE" in texts_of(made.folder / "drawings" / "T6-strands-base.dxf")
    report = " ".join(page.extract_text() for page in pypdf.PdfReader(made.folder / "report" / "calculations.pdf").pages)
    assert "merely bolted to the chord" in " ".join(report.split())
