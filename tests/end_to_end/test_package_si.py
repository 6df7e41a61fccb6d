"""A survey in SI units gives a package in SI units: lists, sheets, cut files and models."""

from __future__ import annotations

import re
from pathlib import Path

import ezdxf
import pytest
from command_line import detailgen_run
from package_runs import Made, demo, sample_package, sheet_of, words_of
from test_package_contents import texts_of

US_WORDS = re.compile(r"\d\s?(?:in(?! the| service|\. \()|ft|lb|psi|psf|kips?)\b|\d['\"]")


@pytest.fixture(scope="module")
def made() -> Made:
    return sample_package("printworks_si")


def test_it_ends_well(made: Made) -> None:
    assert made.answer.code == 0, made.answer.out[-400:] + made.answer.err
    assert "all drawings pass the checker" in words_of(made.answer)


def test_it_decides_as_the_survey_in_inches_does(made: Made) -> None:
    """The same building: the SI sample's sizes are the other's, rounded to a millimetre."""
    for mark, ours in demo().manifest["result"].items():
        theirs = made.manifest["result"][mark]
        assert theirs["as_found"] == pytest.approx(ours["as_found"], abs=0.02)
        assert theirs["as_repaired"] == pytest.approx(ours["as_repaired"], abs=0.02)


@pytest.mark.parametrize("name", ["assessment.csv", "analysis/forces.csv", "schedules/parts.csv", "schedules/bolts.csv", "schedules/cut_list.csv"])
def test_the_columns_name_si_units(name: str, made: Made) -> None:
    rows = made.rows(name)
    assert not [c for c in rows[0] if re.search(r"_(in|lb|psi|in_lb|ft|psf)$", c)]
    assert [c for c in rows[0] if re.search(r"_(mm|kN|kN_m|MPa|kg)$", c)]


def test_units_of_the_checks(made: Made) -> None:
    assert {r["unit"] for r in made.rows("assessment.csv")} <= {"mm", "kN", "MPa", "-", "kN-m"}


def test_sheets_and_cut_files_are_in_millimetres(made: Made) -> None:
    # AutoCAD DXF reference, header variables: $INSUNITS 4 is millimetres, $MEASUREMENT 1 is metric.
    files = sorted(made.folder.rglob("*.dxf"))
    assert len(files) > 6
    for file in files:
        header = ezdxf.readfile(file).header
        assert (header["$INSUNITS"], header["$MEASUREMENT"]) == (4, 1), file


def test_models_are_in_millimetres(made: Made) -> None:
    for step in (made.folder / "models").glob("*.step"):
        text = step.read_text(encoding="utf-8")
        assert "SI_UNIT(.MILLI.,.METRE.)" in text
        assert "INCH" not in text


def test_a_plate_is_as_large_in_the_cut_file_as_in_the_list(made: Made) -> None:
    for row in made.rows("schedules/parts.csv"):
        if row["file"]:
            (outer,) = ezdxf.readfile(made.folder / row["file"]).modelspace().query('LWPOLYLINE[layer=="CUT_OUTER"]')
            xs, ys = zip(*((p[0], p[1]) for p in outer.get_points()), strict=True)
            assert sorted((max(xs) - min(xs), max(ys) - min(ys))) == pytest.approx(sorted((float(row["length_mm"]), float(row["width_mm"]))), abs=0.1)
            match = re.fullmatch(r"cut/\w+-\d+_([\d.]+)mm_x(\d+)\.dxf", row["file"])
            assert match
            assert float(match[1]) == float(row["thickness_mm"])


def test_no_inch_and_no_pound_on_a_sheet_or_in_what_is_printed(made: Made) -> None:
    for where, text in [("printed", made.answer.out), *((p.name, texts_of(p)) for p in sorted(made.folder.rglob("*.dxf")))]:
        # A figure with a unit of the other system is a slip; one note says both: 1/8 in. (3 mm).
        assert US_WORDS.findall(text) == [], (where, US_WORDS.findall(text))


def test_shop_sizes_are_whole_millimetres(made: Made) -> None:
    """ARCHITECTURE, rule 8: away from the minimum on to the shop grid of 1 mm, plate lengths to the next 5 mm."""
    for row in made.rows("schedules/parts.csv"):
        if row["kind"] == "plate":
            assert float(row["thickness_mm"]) == round(float(row["thickness_mm"]))
            assert float(row["length_mm"]) % 5 == 0


def test_what_is_printed_is_what_is_cut(made: Made) -> None:
    said = words_of(made.answer)
    splices = {m for r in made.rows("schedules/joints.csv") if "splice" in r["joint"] for m in re.findall(r"PL-\d+", r["parts"])}
    assert splices
    for row in made.rows("schedules/parts.csv"):
        if row["mark"] in splices:
            assert f"{float(row['thickness_mm']):g} mm x {float(row['width_mm']):g} mm" in said


def test_the_checker_reads_millimetres(made: Made, tmp_path: Path) -> None:
    drawing = ezdxf.readfile(sheet_of(made.folder))
    holes = [c for c in drawing.modelspace().query("CIRCLE") if c.has_xdata("DETAILGEN")]
    ply = [c for c in holes if "part=ply-near-left" in [v for _, v in c.get_xdata("DETAILGEN")]]
    max(ply, key=lambda c: c.dxf.center.x).translate(5 * 25.4, 0, 0)
    drawing.saveas(tmp_path / "moved.dxf")
    answer = detailgen_run("check", tmp_path / "moved.dxf")
    assert answer.code == 1
    assert "end distance" in answer.out
