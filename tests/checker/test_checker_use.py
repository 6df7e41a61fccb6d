"""The checker at work: findings drawn into a copy, drawings watched, edits accepted into the project, drawings by others, details as JSON."""

from __future__ import annotations

import json
import shutil
import sys
from dataclasses import replace
from pathlib import Path

import ezdxf
import pytest
from click.testing import CliRunner
from face_views import build, holes, move, outline, saved, set_value
from splice_fixture import splice_detail
from test_checker_mutants import every_hole

from detailgen.checker import check_detail, check_paths
from detailgen.checker.accept import Accepted, accepted_layouts, with_override
from detailgen.checker.read_dxf import read_dxf
from detailgen.checker.shapes import MARKS
from detailgen.checker.watch import watch
from detailgen.cli import main
from detailgen.core.errors import OutputError
from detailgen.core.result import State
from detailgen.core.units import parse

sys.path.append(str(Path(__file__).parents[1] / "mutants"))
Sheet = pytest.importorskip("lean_sheet").Sheet
SAMPLE = Path(__file__).parents[2] / "detailgen" / "samples" / "printworks"


def run(*arguments):
    return CliRunner().invoke(main, ["check", *(str(a) for a in arguments)])


# --- findings in a copy ----------------------------------------------------------------------------------------------------------------


def short_edge(doc):
    move(holes(doc, "plate-near")[0], -0.75)


@pytest.mark.parametrize("metric", [False, True])
def test_marked_copy(metric, tmp_path):
    doc = build(metric=metric)
    k = 25.4 if metric else 1.0
    move(holes(doc, "plate-near")[0], -0.75 * k)
    path = saved(doc, tmp_path)
    done = run(path, "--marked", tmp_path / "marked.dxf")
    assert done.exit_code == 1
    copy = ezdxf.readfile(tmp_path / "marked.dxf")
    marks = copy.modelspace().query(f'*[layer=="{MARKS}"]')
    words = [e.dxf.text for e in marks if e.dxftype() == "TEXT"]
    failing = [r for r in check_paths([path]).files[0].results if r.state is not State.PASSES]
    assert sum(w[0].isdigit() and ". " in w for w in words) == len(failing) >= 2
    where = holes(copy, "plate-near")[0].dxf.center
    circles = [e for e in marks if e.dxftype() == "CIRCLE"]
    assert any((c.dxf.center - where).magnitude < 1e-6 * k for c in circles)
    assert len(copy.modelspace()) - len(marks) == len(doc.modelspace())  # nothing else is changed
    assert not [p for p in tmp_path.iterdir() if p.name.startswith(".")]
    assert [r.check for r in check_paths([tmp_path / "marked.dxf"]).files[0].results] == [r.check for r in check_paths([path]).files[0].results]
    assert run(path, "--marked", path).exit_code == 2


def test_what_is_short_is_dimensioned(tmp_path):
    doc = build()
    for part in ("plate-near", "plate-inner", "ply-far", "ply-near-right"):
        for h in holes(doc, part):
            if h.dxf.center.x > 13:
                move(h, -2.5)
    for h in holes(doc, "filler-right") + holes(doc, "filler-left"):
        if h.dxf.center.x > 5:
            move(h, -2.5)
    path = saved(doc, tmp_path)
    run(path, "--marked", tmp_path / "marked.dxf")
    copy = ezdxf.readfile(tmp_path / "marked.dxf")
    dims = [d for d in copy.modelspace().query("DIMENSION") if d.dxf.layer == MARKS]
    assert any("least 2 1/4 in." in d.dxf.text and d.dxf.text.startswith("2 in.") for d in dims)


def test_marking_takes_one_drawing(tmp_path):
    for name in ("a.dxf", "b.dxf"):
        saved(build(), tmp_path, name)
    assert run(tmp_path, "--marked", tmp_path / "out.dxf").exit_code == 2


# --- watching --------------------------------------------------------------------------------------------------------------------------


def test_watching(tmp_path):
    path = saved(build(), tmp_path)
    told: list[str] = []

    def tell(text):
        told.append(text)
        if len(told) == 2:  # after the first look a drafter moves a hole
            doc = build()
            short_edge(doc)
            saved(doc, tmp_path)
        if len(told) == 4:
            path.write_text("no drawing")

    watch([tmp_path], tell, looks=4, pause=0.01)
    assert "0 does not pass" in told[0]
    assert "watching 1 file" in told[1]
    assert "plate-near, hole 1" in told[2]
    assert "found the end of the file" in told[4] or "group code" in told[4]
    assert len(told) == 6


def short_of_the_end(doc):
    for k in (6, 7):
        every_hole(doc, k, -4.5)


FINDINGS = {
    "end too short": (short_of_the_end, ("not allowed (least 3.5 D)", "required 2 5/8 in.", "provided 2 1/2 in.", "NDS 2018 12.5.1",
                                         "by 1/8 in. at least")),
    "hole moved in one part": (lambda d: move(holes(d, "plate-near")[2], 0.2), ("hole 3 at", "stands 0.200 in. off", "move it back")),
    "hole too large": (lambda d: setattr(holes(d, "plate-near")[0].dxf, "radius", 0.5), ("allowed at most 13/16 in.", "provided 1 in.", "too large")),
    "too much force": (lambda d: set_value(outline(d, "ply-near-left"), "load", "B1;tension=60000;compression=0;direction=0;duration=snow"),
                       ("demand 60,000 lb", "capacity", "Appendix E.3", "times what it carries: more bolts")),
    "hole twice": (lambda d: d.modelspace().add_entity(holes(d, "plate-near")[0].copy()), ("hole stands twice", "delete one of the two")),
}  # fmt: skip


@pytest.mark.parametrize("name", FINDINGS)
def test_a_finding_names_place_rule_figures_clause_and_what_to_do(name, tmp_path):
    change, words = FINDINGS[name]
    doc = build()
    change(doc)
    lines = run(saved(doc, tmp_path)).output.split("\n")
    assert any(all(w in line for w in (*words, "To do: ")) for line in lines), "\n".join(lines)


def test_in_millimetres_the_figures_are_millimetres(tmp_path):
    doc = build(metric=True)
    set_value(outline(doc, "ply-near-left"), "load", "B1;tension=60000;compression=0;direction=0;duration=snow")
    move(holes(doc, "plate-near")[2], 5)
    text = run(saved(doc, tmp_path)).output
    assert "5 mm off" in text
    assert "demand 266.9 kN" in text


def test_the_list_of_findings_is_a_page_of_the_copy(tmp_path):
    doc = build()
    move(holes(doc, "plate-near")[2], 0.2)
    path = saved(doc, tmp_path)
    for _ in range(2):  # written over what an earlier check wrote
        run(path, "--marked", tmp_path / "marked.dxf", "--quiet")
    page = ezdxf.readfile(tmp_path / "marked.dxf").layouts.get("CHECK-FINDINGS")
    texts = [t.dxf.text for t in page.query("TEXT")]
    assert texts[0] == "Findings in sheet.dxf"
    assert any("does not pass: plate-near, hole" in t for t in texts), texts
    again = run(tmp_path / "marked.dxf", "--marked", tmp_path / "twice.dxf")
    assert again.exit_code == 1
    assert ezdxf.readfile(tmp_path / "twice.dxf").layouts.names().count("CHECK-FINDINGS") == 1


# --- accepting -------------------------------------------------------------------------------------------------------------------------


def repaired(folder):
    """The splice of the first truss of a project, as the next run would draw it."""
    from detailgen import pipeline

    project = pipeline.read_project(folder / "project.yaml")
    return pipeline.repair_one(project, next(t for t in project.trusses if t.mark == "T2")).details[0]


@pytest.fixture(scope="module")
def project(tmp_path_factory):
    folder = tmp_path_factory.mktemp("accept") / "project"
    shutil.copytree(SAMPLE, folder)
    return folder, repaired(folder)


def sheet_of(detail, folder):
    (folder / "T2-splice-1.dxf").write_text(Sheet(detail).text())
    return folder / "T2-splice-1.dxf"


def test_the_layout_is_measured(project, tmp_path):
    """Held against the record from which the sheet was drawn."""
    _, detail = project
    (one,) = accepted_layouts(read_dxf(sheet_of(detail, tmp_path)), "T2.dxf")
    group = detail.groups[0]
    assert one.item == "splice layout of T2-splice-1"
    said = {p.rsplit(" ", 1)[0]: p.rsplit(" ", 1)[1] for p in one.value.split("; ") if p.startswith(("rows", "per row"))}
    assert said == {"rows": str(group.rows), "per row": str(group.per_row)}
    lengths = {name: next(p for p in one.value.split("; ") if p.startswith(f"{name} ")) for name in ("bolt", "spacing", "gauge")}
    for name, value in (("bolt", group.diameter), ("spacing", group.spacing), ("gauge", group.gauge)):
        assert parse(lengths[name].removeprefix(f"{name} "), "length") == pytest.approx(value)


def test_an_accepted_layout_is_kept_by_the_next_run(project, tmp_path):
    """A drafter draws the bolts 1/2 in. further apart than the search would: the next run has them so in every part, and all that follows."""
    folder, detail = project
    group = detail.groups[0]
    (one,) = accepted_layouts(read_dxf(sheet_of(detail, tmp_path)), "T2.dxf")
    old = next(p for p in one.value.split("; ") if p.startswith("spacing "))
    wider = Accepted(one.detail, one.item, one.value.replace(old, f"spacing {group.spacing + 0.5:g} in"), one.reason)
    copy = tmp_path / "project"
    shutil.copytree(folder, copy)
    path = copy / "project.yaml"
    path.write_text(with_override(path.read_text(), wider, str(path)))
    after = repaired(copy)
    assert after.groups[0].spacing == pytest.approx(group.spacing + 0.5)
    assert {len(p.holes) for p in after.parts} == {len(p.holes) for p in detail.parts}
    plates = [max(v.x for v in p.outline) - min(v.x for v in p.outline) for d in (detail, after) for p in d.parts if p.kind == "plate"]
    assert plates[-1] > plates[0]
    assert all(r.state is State.PASSES for r in check_detail(after))


def test_accept_by_the_command(project, tmp_path):
    folder, detail = project
    path = sheet_of(detail, tmp_path)
    copy = tmp_path / "project"
    shutil.copytree(folder, copy)
    before = (copy / "project.yaml").read_text()
    done = run(path, "--accept", copy, "--quiet")
    assert done.exit_code == 0, done.output
    after = (copy / "project.yaml").read_text()
    assert "splice layout of T2-splice-1" in after
    assert [line for line in after.split("\n") if line in before.split("\n")] == before.split("\n")  # nothing else is changed
    assert run(path, "--accept", copy, "--quiet").exit_code == 0
    assert (copy / "project.yaml").read_text() == after  # the same edit twice is one override
    stale = Sheet(detail)
    stale.dimensions["ply-near-left"][2] = '99"'  # what a sheet says of itself is written anew by the next run
    (tmp_path / "stale.dxf").write_text(stale.text())
    assert run(tmp_path / "stale.dxf", "--accept", copy, "--quiet").exit_code == 1
    assert [x for x in (copy / "project.yaml").read_text().split("\n") if "reason" not in x] == [x for x in after.split("\n") if "reason" not in x]
    (copy / "project.yaml").write_text(after)
    bad = Sheet(detail)
    bad.holes["ply-near-left"][0][0] += 1.0
    (tmp_path / "bad.dxf").write_text(bad.text())
    assert run(tmp_path / "bad.dxf", "--accept", copy, "--quiet").exit_code == 2
    assert (copy / "project.yaml").read_text() == after


def test_an_override_that_cannot_be_read_is_told(project, tmp_path):
    """Nothing of it is guessed: the remedy refuses with the words that it did not understand."""
    from detailgen import pipeline

    folder, _ = project
    copy = tmp_path / "project"
    shutil.copytree(folder, copy)
    path = copy / "project.yaml"
    path.write_text(with_override(path.read_text(), Accepted("T2-splice-1", "splice layout of T2-splice-1", "rows many", "a test"), "p"))
    read = pipeline.read_project(path)
    refusals = pipeline.repair_one(read, next(t for t in read.trusses if t.mark == "T2")).refusals
    assert [r.key for r in refusals if "rows many" in r.reason] == ["T2-splice-1"]


def test_an_irregular_pattern_is_refused():
    from detailgen.checker.from_detail import drawing_of

    detail = splice_detail()
    assert "rows 2; per row 3; spacing 4 1/2 in; gauge 4 in; end 7 in" in accepted_layouts(drawing_of(detail), "x")[0].value
    drawing = drawing_of(detail)
    plate = next(f for f in drawing.faces if f.part == "plate-near")
    odd = tuple(h for h in plate.holes if h is not plate.holes[0])
    changed = replace(drawing, faces=tuple(replace(f, holes=odd) if f is plate else f for f in drawing.faces))
    with pytest.raises(OutputError, match="has no one number of bolts per row"):
        accepted_layouts(changed, "x")


TRUSSES = """\
trusses:
  - mark: T1
    bay: 2  # keep
  - mark: T1b
    overrides:
      - item: two pinned supports
        reason: tied
notes: end
"""


def test_overrides_are_written_where_they_belong():
    one = Accepted("T1-splice-1", "splice layout of T1-splice-1", "rows 2", "accepted from a.dxf")
    text = with_override(TRUSSES, one, "p.yaml")
    assert text.split("\n")[3:7] == [
        "    overrides:", "      - item: splice layout of T1-splice-1", "        value: 'rows 2'", "        reason: accepted from a.dxf",
    ]  # fmt: skip
    two = Accepted("T1b-splice-1", "splice layout of T1b-splice-1", "rows 3", "accepted from b.dxf")
    both = with_override(text, two, "p.yaml")
    assert both.count("overrides:") == 2
    assert both.endswith("        reason: accepted from b.dxf\nnotes: end\n")
    again = with_override(both, Accepted(two.detail, two.item, "rows 1", two.reason), "p.yaml")
    assert "rows 3" not in again
    assert again.count("splice layout") == 2
    with pytest.raises(OutputError, match="no truss of the detail"):
        with_override(TRUSSES, Accepted("X-splice-1", "x", "y", "z"), "p.yaml")


# --- drawings by others ----------------------------------------------------------------------------------------------------------------

FACTS = """\
parts:
  - {layer: TIMBER, part: chord, material: wood, specification: Douglas Fir-Larch No.1, wood: softwood, standard: nds_2018, grain: 0,
     thickness: 2-1/2 in, existing: yes, open: right, tension: 4000 lb, compression: 0 lb, direction: 180, duration: snow, service: dry}
  - {layer: STEEL, part: plate, material: steel, specification: ASTM A36, standard: aisc360_16, thickness: 1/4 in}
holes:
  - {layer: HOLES, fastener: bolt 3/4 in, group: B1}
"""


def foreign(end=5.25, unit=1):
    doc = ezdxf.new("R2010")
    doc.header["$INSUNITS"] = unit
    k = 25.4 if unit == 4 else 1.0
    msp = doc.modelspace()
    msp.add_lwpolyline([(x * k, y * k) for x, y in ((0, 0), (30, 0), (30, 9.5), (0, 9.5))], close=True, dxfattribs={"layer": "TIMBER"})
    msp.add_lwpolyline([(x * k, (y + 50) * k) for x, y in ((0, 0), (7.5, 0), (7.5, 7), (0, 7))], close=True, dxfattribs={"layer": "Steel"})
    for x in (0.0, 4.5):
        for y in (2.75, 6.75):
            msp.add_circle(((end + x) * k, y * k), 0.40625 * k, {"layer": "HOLES"})
            msp.add_circle(((1.5 + x) * k, (y - 1.25 + 50) * k), 0.40625 * k, {"layer": "HOLES"})
    return doc


def test_a_drawing_by_others(tmp_path):
    (tmp_path / "facts.yaml").write_text(FACTS)
    path = saved(foreign(), tmp_path)
    assert run(path).exit_code == 1  # nobody knows what is wood
    done = run(path, "--facts", tmp_path / "facts.yaml", "--json")
    assert done.exit_code == 0, done.output
    results = json.loads(done.output)["files"][0]["results"]
    end = next(r for r in results if r["check"].startswith("end distance at the left end"))
    assert (end["required"], end["provided"]) == (5.25, 5.25)  # 7 D
    saved(foreign(end=2.6), tmp_path)
    done = run(path, "--facts", tmp_path / "facts.yaml", "--json")
    assert done.exit_code == 1
    bad = [r for r in json.loads(done.output)["files"][0]["results"] if r["state"] == "does not pass"]
    assert {r["where"].split(",")[0] for r in bad} == {"chord"}
    assert all(r["required"] == 2.625 for r in bad)  # 3.5 D


def test_a_drawing_by_others_in_another_unit(tmp_path):
    (tmp_path / "facts.yaml").write_text(FACTS)
    assert run(saved(foreign(unit=4), tmp_path), "--facts", tmp_path / "facts.yaml").exit_code == 0
    path = saved(foreign(unit=0), tmp_path)
    done = run(path, "--facts", tmp_path / "facts.yaml")
    assert done.exit_code == 2
    (tmp_path / "facts.yaml").write_text("unit: in\n" + FACTS)
    assert run(path, "--facts", tmp_path / "facts.yaml").exit_code == 0


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("layer: TIMBER", "layer: NOWHERE", "no closed line"), ("thickness: 2-1/2 in", "thickness: thick", "a quantity with its unit"),
        ("grain: 0", "grain: along", "degrees"), ("part: plate", "piece: plate", "'piece'"), ("holes:", "hollows:", "no lists"),
        ("parts:", "parts: [", "no YAML"), ("parts:", "unit: yards\nparts:", "'yards'"),
    ],
)  # fmt: skip
def test_faulty_facts(old, new, words, tmp_path):
    (tmp_path / "facts.yaml").write_text(FACTS.replace(old, new, 1))
    done = run(saved(foreign(), tmp_path), "--facts", tmp_path / "facts.yaml")
    assert done.exit_code == 2
    assert words in done.output


# --- details as JSON -------------------------------------------------------------------------------------------------------------------


def neutral(detail, unit="in"):
    k, f = (25.4, 4.4482216152605 / 1000) if unit == "mm" else (1.0, 1.0)
    return {
        "unit": unit, "key": detail.key,
        "parts": [
            {
                "key": p.key, "material": p.material, "specification": p.specification, "thickness": p.thickness * k,
                "grain": None if p.material == "steel" else 0, "existing": p.existing, "outline": [[v.x * k, v.y * k, v.bulge] for v in p.outline],
                "open_ends": [x * k for x in p.open_ends], "facts": dict(p.facts),
                "holes": [{"x": h.x * k, "y": h.y * k, "diameter": h.diameter * k, "group": h.bolt} for h in p.holes],
            } for p in detail.parts
        ],
        "groups": [
            {
                "key": g.key, "diameter": g.diameter * k,
                "loads": [
                    {"part": x.part, "tension": tension * f, "compression": compression * f, "angle": 0, "duration": lasts}
                    for x in g.loads for lasts, tension, compression in x.lasting
                ],
            } for g in detail.groups
        ],
    }  # fmt: skip


@pytest.mark.parametrize("unit", ["in", "mm"])
def test_a_neutral_detail(unit, tmp_path):
    path = tmp_path / "detail.json"
    path.write_text(json.dumps(neutral(splice_detail(), unit)))
    found = check_paths([path]).files[0].results
    # where parts stand, and so how many plates share a force, the neutral form does not say
    record = [r for r in check_detail(splice_detail()) if not r.where.startswith("plate") or r.unit != "lb"]
    assert [(r.where, r.check, r.state) for r in found] == [(r.where, r.check, r.state) for r in record]
    assert [r.capacity for r in found] == pytest.approx([r.capacity for r in record], abs=1e-5, rel=1e-9, nan_ok=True)
    assert run(path).exit_code == 0


@pytest.mark.parametrize(
    "change",
    [
        lambda d: d["parts"][0].update(material="tin"), lambda d: d["parts"][0].update(outline="none"), lambda d: d.pop("groups"),
        lambda d: d["parts"][0]["holes"][0].update(x="left"), lambda d: d["groups"][0]["loads"][0].update(part="nobody"),
        lambda d: d["parts"][0].update(thickness=1e300), lambda d: d.update(unit="yd"), lambda d: d["parts"].append(7),
    ],
)  # fmt: skip
def test_faulty_neutral_details(change, tmp_path):
    data = neutral(splice_detail())
    change(data)
    path = tmp_path / "detail.json"
    path.write_text(json.dumps(data))
    done = run(path)
    assert done.exit_code == 2
    assert "Traceback" not in done.output
    path.write_text(json.dumps(data)[:-20])
    assert run(path).exit_code == 2


def test_other_layers_are_left_alone(tmp_path):
    doc = build()
    outline(doc, "plate-near").dxf.layer = MARKS  # what lies on the layer of findings is never read
    assert not check_paths([saved(doc, tmp_path)]).passes
