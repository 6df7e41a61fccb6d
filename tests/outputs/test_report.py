"""The report read back from its PDF: its numbers are the Steps', its pages say what they must, its bytes are always the same."""

from __future__ import annotations

import hashlib
import io
import math
import os
import re
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pypdf
import pytest
from hand_made import OVER, make_assessment, make_project, make_truss
from report_package import make_package

from detailgen.core.result import State, cannot_be_checked
from detailgen.core.templates import template_path
from detailgen.model.assessment import Place
from detailgen.model.governing import governing
from detailgen.model.package import PRELIMINARY, Package, Repaired
from detailgen.outputs.report import write_calculations
from detailgen.outputs.report.calculations import report_content
from detailgen.outputs.report.quantities import ratio, written
from detailgen.outputs.report.trail import trail

HERE = Path(__file__).parent
CAUTIONS = template_path("notes/cautions.txt").read_text(encoding="utf-8").splitlines()


def _pages(path: Path) -> list[str]:
    return [re.sub(r"\s+", " ", page.extract_text()) for page in pypdf.PdfReader(io.BytesIO(path.read_bytes())).pages]


@pytest.fixture(scope="module")
def package() -> Package:
    return make_package(trusses=3)


@pytest.fixture(scope="module")
def pages(package, tmp_path_factory) -> list[str]:
    path = tmp_path_factory.mktemp("report") / "calculations.pdf"
    write_calculations(package, path)
    return _pages(path)


def test_every_page_says_project_status_page_and_first_caution(pages):
    assert 15 <= len(pages) <= 60
    for number, text in enumerate(pages, 1):
        assert "Harrow Lane Printworks" in text
        assert "PROPOSED" in text
        assert f"Page {number} of {len(pages)}" in text
        assert CAUTIONS[0] in text


def test_the_cover_has_standards_code_path_assumptions_cautions(pages, package):
    cover = pages[0]
    for words in (*package.standards, package.project.code_path, *package.assumptions, *CAUTIONS, "Truss T2: Gap of 6 in. stays open."):
        assert words in cover
    assert "assessment.csv" in cover


def test_each_truss_has_findings_snow_and_both_ratios(pages, package):
    text = " ".join(pages)
    for one in package.trusses:
        for finding in one.before.findings:
            assert finding.title.split(" at ")[0] in text
        for assessed in (one.before.as_found, one.after):
            assert f"Greatest ratio {ratio(assessed.worst[1].ratio)}" in text
        assert one.before.snow is not None
        assert f"{one.before.snow.flat_roof_allowed * 144:.1f} psf" in text
    assert "The near ply is broken 2'-3\" from splice S1" in text
    assert "No layout fits between the bolts" in text


def test_the_numbers_of_a_joint_are_those_of_its_steps(pages, package):
    """Every printed line of the first joint's checks holds the step's own value."""
    detail = package.trusses[0].details[0]
    results = governing(detail.results)
    assert len(results) >= 9
    squeezed = " ".join(pages).replace(" ", "")
    for r in results:
        assert r.ratio == max(o.ratio for o in detail.results if (o.where, o.check) == (r.where, r.check))
        lines = trail(r)
        assert lines
        for step in lines:
            unit = {"-": "", "in2": "in²", "in3": "in³"}.get(step.unit, step.unit)
            assert f"={written(step.value)}{unit}".replace(" ", "") in squeezed, step
        assert f"{written(r.demand)}/{written(r.capacity)}{r.unit}".replace(" ", "") in squeezed
        assert r.cite.clause.replace(" ", "") in squeezed


def test_the_load_path_letters_forces_and_capacities(pages, package):
    text = " ".join(pages)
    for face in package.trusses[0].details[0].groups[0].interfaces:
        # the subscript of the yield mode stands apart in the text layer
        assert re.search(rf"{face.force:,.0f} lb of {face.capacity:,.0f} lb, mode III ?s, {face.force / face.capacity:.2f}", text)
    assert "tension 13,600 lb in near ply, 0° to grain" in text
    for why in package.trusses[0].details[0].whys:
        assert why.rule in text


def test_look_ups_say_their_table_and_how_far_it_was_read(pages):
    text = " ".join(pages)
    assert "table load duration (seen in print)" in text
    assert "table bolt yield (from memory)" in text


def test_contents_list_trusses_and_joints(pages):
    for words in ("Truss T2", "Truss T3", "Truss T5", "T2-splice-near", "Calculations, as repaired"):
        assert words in pages[1]


def test_si_has_its_own_paper_and_units(tmp_path):
    path = tmp_path / "c.pdf"
    package = make_package("printworks_si")
    write_calculations(package, path)
    box = pypdf.PdfReader(path).pages[0].mediabox
    assert (round(box.width * 25.4 / 72), round(box.height * 25.4 / 72)) == (210, 297)  # ISO 216 A4
    text = " ".join(_pages(path))
    assert " kN" in text
    assert "MPa" in text
    result = max((r for r in package.trusses[0].details[0].results if r.check == "bolts"), key=lambda r: r.ratio)
    assert f"{written(result.demand * 0.0044482216)} / {written(result.capacity * 0.0044482216)} kN" in text
    assert "formula in pounds and inches" in text


def test_a_trail_is_closed_and_in_order(package):
    """Whatever feeds a printed line and was computed above it is printed too."""
    for _, r in package.trusses[0].before.as_found.results():
        kept, steps = trail(r), r.steps
        rest = iter(steps)
        assert all(s in rest for s in kept)  # in the calculation's order
        assert len(set(kept)) == len(kept)
        for step in kept:
            for term in step.terms:
                sources = [s for s in steps[: len(steps) - steps[::-1].index(step) - 1] if s.symbol == term.symbol and s.value == term.value]
                assert not sources or any(s in kept for s in sources), (r.check, step.symbol, term)


def test_trails_leave_out_what_serves_other_checks(package):
    results = {r.check: r for _, r in package.trusses[0].before.as_found.results()}
    buckling = results["compression with buckling"]
    symbols = [s.symbol for s in trail(buckling)]
    assert "C_P" in symbols
    assert "F_c_prime" in symbols
    assert "term_1" not in symbols
    # The smaller of both axes is carried over from the line that computed it.
    assert any(s.symbol == "F_cE" and s.formula for s in trail(buckling))


def test_places_of_a_joint_are_calculated_with_the_joint(package):
    """The repaired truss has places of the new joint; their checks stand in the joint, once, and not among the truss's own."""
    first = package.trusses[0]
    detail = first.details[0]
    old = next(p for p in first.after.places if p.kind == "splice")
    own = tuple(replace(r, where=f"splice {detail.key} of the near ply", check=f"new {r.check}") for r in old.results)
    other = tuple(replace(r, where=f"splice {detail.key}1 of another") for r in old.results)
    places = (
        *first.after.places,
        replace(old, name=f"splice {detail.key} of the near ply", results=own),
        replace(old, name=f"splice {detail.key}1 of another", results=other),
    )
    content = report_content(replace(package, trusses=(replace(first, after=replace(first.after, places=places)),)))
    truss = content["trusses"][0]
    checks = [s["check"] for s in truss["details"][0]["summary"]]
    assert "new bolts" in checks
    assert len(checks) == 2 * len(governing(detail.results))
    assert not any(f"splice {detail.key} " in s["title"] for s in truss["repaired_sheets"])


def _odd_package(status: str = PRELIMINARY) -> Package:
    """A truss without a safe load path, with a check that is not possible, no repair, nothing to buy."""
    truss = make_truss()
    before = make_assessment(truss, OVER, no_path="Joint L4 can move down")
    intact = before.intact
    missing = cannot_be_checked("heel shoe", "weld", "the weld's size is not in the survey", intact.places[0].results[0].cite)
    after = replace(intact, structure="as repaired", places=(*intact.places, Place("connection", "L0-U1", "L0", "heel shoe at L0", (missing,))))
    return Package(make_project(truss), (Repaired(before, after, (), (), (), {}),), (), status, ("NDS 2018",), ())


def test_no_safe_load_path_and_what_cannot_be_checked_are_said(tmp_path):
    path = tmp_path / "c.pdf"
    write_calculations(_odd_package(), path)
    text = " ".join(_pages(path))
    assert "No safe load path: Joint L4 can move down." in text
    assert "the weld's size is not in the survey" in text.replace("’", "'")
    assert PRELIMINARY in text
    assert "Parts, bolts, lumber" not in text


def test_content_holds_no_number_that_json_cannot_hold(package):
    import json

    for p in (package, _odd_package()):
        json.dumps(report_content(p), allow_nan=False)


def test_what_does_not_pass_is_marked(package):
    content = report_content(package)
    places = content["trusses"][0]["places"]
    over = [p["place"] for p in places if p["found"]["over"]]
    expected = [p.name for p in package.trusses[0].before.as_found.places if p.worst and p.worst.state is State.DOES_NOT_PASS]
    assert over == expected
    assert len(over) == 1  # the panel with the broken ply
    assert all(math.isfinite(float(p["found"]["ratio"])) for p in places)


SCRIPT = """
import sys, pathlib
sys.path[:0] = [{here!r}, {tests!r}]
from report_package import make_package
from detailgen.outputs.report import write_calculations, write_sheet_set
from detailgen.outputs.report.sheet_set import Page
from detailgen.outputs.schedules.writing import write_lists
folder = pathlib.Path(sys.argv[1])
package = make_package()
write_calculations(package, folder / "calculations.pdf")
write_lists(package, folder)
(folder / "a.svg").write_text('<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 50"><text x="5" y="9">a</text></svg>')
write_sheet_set([Page((folder / "a.svg").read_text(), "S-1", "one", 100, 50)] * 2, folder / "all_sheets.pdf")
"""


def _hashes(folder: Path, seed: str, zone: str) -> dict[str, str]:
    folder.mkdir()
    environment = {**os.environ, "PYTHONHASHSEED": seed, "TZ": zone, "PYTHONPATH": str(HERE.parents[1])}
    subprocess.run([sys.executable, "-c", SCRIPT.format(here=str(HERE), tests=str(HERE.parent)), str(folder)], check=True, env=environment)
    return {f.name: hashlib.sha256(f.read_bytes()).hexdigest() for f in sorted(folder.iterdir())}


def test_bytes_do_not_depend_on_seed_zone_or_time(tmp_path):
    runs = [_hashes(tmp_path / f"r{k}", seed, zone) for k, (seed, zone) in enumerate((("0", "UTC"), ("77", "Asia/Tokyo")))]
    assert set(runs[0]) == {"a.svg", "all_sheets.pdf", "bolts.csv", "calculations.pdf", "cut_list.csv", "joints.csv", "parts.csv", "plates.csv",
                            "schedules.xlsx", "timber_order.csv", "timber_stock.csv"}  # fmt: skip
    assert runs[0] == runs[1]


def test_only_fonts_of_the_templates_and_of_typst_are_used(tmp_path):
    """A system font would change the bytes from machine to machine."""
    path = tmp_path / "c.pdf"
    write_calculations(make_package(), path)
    fonts = {
        str(font.get_object()["/BaseFont"]).split("+")[-1].split("-")[0]
        for page in pypdf.PdfReader(path).pages
        for font in page["/Resources"]["/Font"].values()
    }
    assert fonts <= {"LiberationSans", "LibertinusSerif", "NewCMMath"}
