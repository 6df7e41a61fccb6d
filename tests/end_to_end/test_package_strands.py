"""A post-tensioned truss from its survey to the package, as a user makes it: files, numbers that agree between them, sheets, cut files."""

from __future__ import annotations

import json
import re

import ezdxf
import pytest
from command_line import detailgen_run
from package_runs import Made, copy_without_marks, edit, kept_folder, sample_package, words_of


@pytest.fixture(scope="module")
def made() -> Made:
    return sample_package("granary")


def test_it_is_made_and_passes(made: Made) -> None:
    assert made.answer.code == 0, made.answer.out + made.answer.err
    assert "all drawings pass the checker" in words_of(made.answer)
    assert json.loads((made.folder / "checks" / "checks.json").read_text(encoding="utf-8"))["passes"]


def test_nothing_of_strands_is_told_as_not_applicable(made: Made) -> None:
    assert not [name for name in made.manifest["not_applicable"] if "strand" in name or "stressing" in name]


def test_strands_are_as_long_as_their_parts(made: Made) -> None:
    strands = made.rows("schedules/strands.csv")
    assert [s["strand"] for s in strands] == ["near 1", "far 1"]
    for s in strands:
        parts = sum(float(s[f"{name}_in"]) for name in ("anchor_to_anchor", "stressing_tail", "fixed_tail"))
        assert float(s["cut_length_in"]) == pytest.approx(parts)
        # stressing tail: barrel 2 in., jack 22 in., spare 6 in.
        assert float(s["stressing_tail_in"]) == pytest.approx(30)


def test_the_stressing_table_has_limits_holds_and_room_for_the_record(made: Made) -> None:
    rows = made.rows("field/stressing.csv")
    assert rows[-1]["share"] == "100 %"
    for row in rows:
        # a ram of 2-1/4 in.: 3.976 in2
        assert float(row["gauge_psi"]) == pytest.approx(float(row["force_each_lb"]) / 3.976, abs=1)
        assert row["hold"]
        assert {row[c] for c in ("gauge_read_psi", "elongation_read_in", "accepted", "by", "date_time")} == {""}
        if row["elongation_in"] != "zero":
            assert float(row["accept_low_in"]) == pytest.approx(0.93 * float(row["elongation_in"]), abs=0.011)
            assert float(row["accept_high_in"]) == pytest.approx(1.07 * float(row["elongation_in"]), abs=0.011)
            assert float(row["ram_travel_in"]) > float(row["elongation_in"])


def test_lift_offs_fall_with_time(made: Made) -> None:
    rows = made.rows("field/lift_off.csv")
    near = [float(r["expected_lb"]) for r in rows if r["strand"] == "near 1"]
    assert len(near) == 4  # on the day, after the first heating season, after five years, after decades
    assert all(r["due"] for r in rows)
    assert near == sorted(near, reverse=True)


def test_each_anchor_is_listed_at_both_ends(made: Made) -> None:
    rows = [r for r in made.rows("schedules/anchors.csv") if r["what"].startswith("barrel")]
    assert [(r["heel"], r["end"], r["quantity"]) for r in rows] == [("left", "stressing", "2"), ("right", "fixed", "2")]


def test_the_chords_end_is_in_equilibrium_in_every_combination(made: Made) -> None:
    rows = made.rows("schedules/heel_forces.csv")
    assert {r["heel"] for r in rows} == {"left", "right"}
    for r in rows:
        assert float(r["heel_bolts_lb"]) == pytest.approx(float(r["chord_panel_lb"]) + float(r["strands_lb"]), abs=2)
        assert float(r["heel_bolts_lb"]) > 0


def test_forces_of_strands_stand_for_every_combination_of_the_truss(made: Made) -> None:
    mine = {r["combination"] for r in made.rows("schedules/strand_forces.csv")}
    truss = {r["combination"] for r in made.rows("analysis/forces.csv") if r["structure"] == "as repaired"}
    assert mine == truss


def test_end_plates_are_cut_from_files_with_round_holes_where_the_strands_are(made: Made) -> None:
    files = list((made.folder / "cut").glob("PL-*_1-1-2in_x2.dxf"))
    (file,) = files
    circles = [e for e in ezdxf.readfile(file).modelspace() if e.dxftype() == "CIRCLE"]
    assert len(circles) == 2
    assert {round(c.dxf.radius * 2, 4) for c in circles} == {0.6875}
    apart = abs(circles[0].dxf.center.x - circles[1].dxf.center.x)
    text = made.manifest["result"]["G3"]
    assert text["as_repaired"] <= 1.0
    assert apart == pytest.approx(2 * 7.375)


def test_strands_have_no_cut_file_and_no_mark(made: Made) -> None:
    parts = made.rows("schedules/parts.csv")
    assert {p["kind"] for p in parts} == {"plate", "filler"}


def test_a_sheet_shows_the_run_and_both_heels(made: Made) -> None:
    document = ezdxf.readfile(made.folder / "drawings" / "truss_G3_strands.dxf")
    words = " ".join(e.dxf.text for layout in document.layouts for e in layout if e.dxftype() == "TEXT")
    for text in ("LEFT HEEL", "RIGHT HEEL", "STRESSING", "LIFT-OFF", "FORCE WINDOW", "nobody stands behind or above an anchor"):
        assert text in words, text


@pytest.mark.parametrize("sheet", ["truss_G3_strands", "truss_G3_repair", "truss_G3_work"])
def test_every_sheet_of_the_work_has_the_shores_that_let_the_chord_rise(made: Made, sheet: str) -> None:
    document = ezdxf.readfile(made.folder / "drawings" / f"{sheet}.dxf")
    words = " ".join(e.dxf.text if e.dxftype() == "TEXT" else e.plain_text() for layout in document.layouts for e in layout.query("TEXT MTEXT"))
    said = " ".join(words.split())
    assert "let it rise" in said
    assert "no timber is cut" not in said


def test_every_model_is_there(made: Made) -> None:
    names = {f.name for f in (made.folder / "models").glob("*.step")}
    assert names == {"G3.step", "G3-strands.step", "G3-strands-right.step", "G3-strands-guide.step"}
    whole = (made.folder / "models" / "G3.step").read_text(encoding="ascii")
    assert len(re.findall(r"NEXT_ASSEMBLY_USAGE_OCCURRENCE\('\d+','G3-strands-guide\.\d+'", whole)) == 12


def test_two_tight_heels_are_refused_with_both_lengths() -> None:
    home = kept_folder("tight")
    project = copy_without_marks("granary", home / "job")
    edit(project, ("left: 4'-0\", right: 20 in", "left: 4 in, right: 8 in"))
    answer = detailgen_run("package", project, "--out", home / "out")
    assert answer.code == 1
    assert "no room to stress" in words_of(answer)
    assert '4" and 8" are there' in words_of(answer)
