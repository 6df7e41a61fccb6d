"""index.html as text: what stands in it, that it loads nothing, that no text of a survey becomes markup."""

from __future__ import annotations

import base64
import gzip
import hashlib
import json
import re
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path

import pytest
from detail_package import make_package
from hypothesis import given
from hypothesis import strategies as st
from report_package import make_package as sample_package

from detailgen.checker.fit import package_fit
from detailgen.core.units import SI, US
from detailgen.model.package import Package
from detailgen.outputs.drawings.detail_sheet import draw_detail
from detailgen.outputs.page import write_page
from detailgen.outputs.page.html import data_block, el
from detailgen.outputs.page.numbers import formula, symbol
from detailgen.outputs.page.scene import packed, scene_of
from detailgen.outputs.page.truss_scene import truss_scene
from detailgen.outputs.solids import write_glb
from detailgen.outputs.solids.glb import glb_bytes
from detailgen.outputs.solids.mesh import Made
from detailgen.outputs.solids.truss import assembly_of_truss

HOSTILE = "</script><script>alert(1)</script><img src=x onerror=alert(2)>\"'&<!--\\u2028]]>{{7*7}}"
VOID = {"meta", "input", "br", "hr", "link", "img"}


class Read(HTMLParser):
    """Elements with attributes, and the text outside of scripts and styles; every element must be closed in order."""

    def __init__(self, text: str) -> None:
        super().__init__(convert_charrefs=True)
        self.open: list[str] = []
        self.elements: list[tuple[str, dict[str, str | None]]] = []
        self.words = ""
        self.blocks: list[tuple[dict[str, str | None], str]] = []
        self.feed(text)
        self.close()
        assert self.open == []

    def handle_starttag(self, tag, attrs):
        self.elements.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)
        if tag in ("script", "style"):
            self.blocks.append((dict(attrs), ""))

    def handle_startendtag(self, tag, attrs):
        self.elements.append((tag, dict(attrs)))

    def handle_endtag(self, tag):
        assert self.open.pop() == tag

    def handle_data(self, data):
        if self.open and self.open[-1] in ("script", "style"):
            self.blocks[-1] = (self.blocks[-1][0], self.blocks[-1][1] + data)
        else:
            self.words += data


def page_of(package: Package, folder: Path) -> str:
    models = {d.key: write_glb(d, package, folder / "m.glb") for d in package.details}
    wholes = {t.before.truss.mark: glb_bytes(assembly_of_truss(t, package), "whole", Made()) for t in package.trusses if t.details}
    sheets = {d.key: draw_detail(d, package) for d in package.details}
    files = ["drawings/a b.dxf", "package.json"]
    said = "All drawings pass the checker."
    fit = package_fit(package)
    write_page(package, folder / "index.html", sheets=sheets, models=models, fit=fit, checked=said, files=files, wholes=wholes)
    return (folder / "index.html").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def sample(tmp_path_factory: pytest.TempPathFactory) -> tuple[Package, str]:
    package = sample_package()
    return package, page_of(package, tmp_path_factory.mktemp("page"))


def test_the_page_says_what_a_person_opens_it_for(sample):
    package, text = sample
    read = Read(text)
    one, detail = package.trusses[0], package.details[0]
    for words in (
        package.project.name, "PROPOSED: not accepted by the engineer", "Not for construction until reviewed and sealed by a licensed engineer.",
        "Local code governs.", "1.39", one.before.findings[0].cause, detail.title, detail.order[0], "PL-1", "No repair was possible",
        one.refusals[0].reason, one.interventions[0].runners_up[0], package.assumptions[0], "Tables not read against print", "sawn reference",
    ):  # fmt: skip
        assert words in read.words, words
    for why in detail.whys:
        assert why.rule in read.words
    links = [a["href"] for t, a in read.elements if t == "a"]
    assert "drawings/a%20b.dxf" in links
    ids = [a["id"] for _, a in read.elements if "id" in a]
    assert len(ids) == len(set(ids))
    assert {h[1:] for h in links if h.startswith("#")} <= set(ids)


def test_a_result_opens_to_its_formula_with_numbers_and_clause(sample):
    _, text = sample
    steps = re.findall(r'<span class="math">(.*?)</span> <span class="from">(.*?)</span>', text)
    plain = [(re.sub(r"<[^>]+>", "", m), source) for m, source in steps]
    assert all(source for _, source in plain)
    line, source = next((m, s) for m, s in plain if m.startswith("Ft′ = "))
    value = re.search(r"= Ft \u00d7 .* = ([\d.,]+) \u00d7 ([\d. \u00d7]+) = ([\d,.]+) psi$", line)
    product = float(value[1].replace(",", ""))
    for factor in value[2].split("\u00d7"):
        product *= float(factor)
    assert product == pytest.approx(float(value[3].replace(",", "")), rel=2e-3)
    assert source.startswith("NDS 2018 4.3.1")


def test_nothing_is_loaded_and_only_the_own_script_runs(sample):
    _, text = sample
    read = Read(text)
    for tag, attributes in read.elements:
        assert tag not in ("link", "iframe", "img", "object", "embed", "base", "use", "image")
        assert not any(k.startswith("on") or k in ("src", "srcset", "style", "xlink:href") for k in attributes), (tag, attributes)
        assert not str(attributes.get("href", "")).startswith(("http", "//", "javascript", "data"))
    policy = next(a["content"] for t, a in read.elements if t == "meta" and a.get("http-equiv") == "Content-Security-Policy")
    assert policy.startswith("default-src 'none'")
    for attributes, block in read.blocks:
        if attributes.get("type") != "application/json":
            assert base64.b64encode(hashlib.sha256(block.encode()).digest()).decode() in policy
    assert "://" not in text.replace('"http://www.w3.org/2000/svg"', "")  # the name of SVG is no address that is asked


def hostile(package: Package) -> Package:
    one = package.trusses[0]
    detail = one.details[0]
    parts = tuple(replace(p, name=HOSTILE, specification=HOSTILE) if p.kind == "filler" else p for p in detail.parts)
    bad = replace(detail, title=HOSTILE, notes=(HOSTILE,), order=(HOSTILE,), parts=parts, whys=(replace(detail.whys[0], rule=HOSTILE),))
    finding = replace(one.before.findings[0], title=HOSTILE, cause=HOSTILE)
    truss = replace(one.before.truss, bay=HOSTILE)
    before = replace(one.before, truss=truss, findings=(finding,), flags=(HOSTILE,))
    project = replace(package.project, name=HOSTILE, location=HOSTILE, view=HOSTILE, assumptions=(HOSTILE,))
    return replace(package, project=project, trusses=(replace(one, before=before, details=(bad,)),), assumptions=(HOSTILE,))


def test_hostile_words_stay_words(tmp_path: Path):
    clean, bad = Read(page_of(make_package(), tmp_path)), page_of(hostile(make_package()), tmp_path)
    read = Read(bad)
    assert {t for t, _ in read.elements} == {t for t, _ in clean.elements}
    assert sum(t == "script" for t, _ in read.elements) == sum(t == "script" for t, _ in clean.elements)
    assert read.words.count(HOSTILE) >= 9
    assert not any("alert" in str(k) for _, a in read.elements for k in a)
    data = next(json.loads(b) for a, b in read.blocks if a.get("type") == "application/json")
    assert any(HOSTILE in item["facts"] for item in data["items"])


@given(st.text())
def test_any_text_survives_as_text(words: str):
    if "\r" in words or "\0" in words:
        words = words.replace("\r", " ").replace("\0", " ")  # HTML itself reads these as something else
    read = Read(el("p", words, title=words).text)
    assert [t for t, _ in read.elements] == ["p"]
    assert read.words == words
    assert read.elements[0][1]["title"] == words
    block = Read(data_block("k", {"a": words}).text).blocks[0][1]
    assert json.loads(block) == {"a": words}


def test_symbols_and_formulas_are_set_as_the_document_has_them():
    def text(children) -> str:
        return el("p", children).text

    assert text(symbol("F_c_star")) == "<p><i>F</i><sub>c</sub>*</p>"
    assert text(symbol("E_min_prime")) == "<p><i>E</i><sub>min</sub>′</p>"
    assert text(symbol("C_delta")) == "<p><i>C</i><sub>Δ</sub></p>"
    assert text(symbol("distance provided")) == "<p>distance provided</p>"
    assert text(formula("min(a, F_t) / (1 - x)")) == "<p>min(<i>a</i>, <i>F</i><sub>t</sub>) / (1 - <i>x</i>)</p>"
    assert text(formula("A - A_holes", {"A": "9.5", "A_holes": "-2"})) == "<p>9.5 - (-2)</p>"


@pytest.mark.parametrize("units", [US, SI])
def test_the_scene_names_every_leaf_of_the_model(units, tmp_path: Path):
    package = make_package(units)
    detail = package.details[0]
    scene = scene_of(detail, package)
    content = scene.content(packed(write_glb(detail, package, tmp_path / "m.glb")), units.name)
    glb = gzip.decompress(base64.b64decode(content["glb"]))
    nodes = json.loads(glb[20 : 20 + int.from_bytes(glb[12:16], "little")])["nodes"]
    leaves = [n for n in nodes if "mesh" in n]
    assert len(scene.leaves) == len(leaves)
    for (item, _), node in zip(scene.leaves, leaves, strict=True):
        if "extras" in node:
            assert scene.items[item].name.split(" (E)")[0] in (node["name"], detail.part(node["extras"]["part"]).name)
        else:
            assert scene.items[item].name == "bolts B1"
    heads = [p for p in scene.points if p[4] == "centre of bolt head"]
    assert sorted((round(x, 6), round(y, 6)) for x, y, *_ in heads) == sorted((round(b.x, 6), round(b.y, 6)) for b in detail.bolts)
    assert len({round(shift, 6) for _, shift in scene.leaves}) > 4  # pulled apart, layers stand apart


def test_the_scene_of_a_whole_truss_names_every_leaf_of_its_model(sample):
    package, text = sample
    one = next(t for t in package.trusses if t.details)
    scene = truss_scene(one, package)
    glb = glb_bytes(assembly_of_truss(one, package), "whole", Made())
    nodes = json.loads(glb[20 : 20 + int.from_bytes(glb[12:16], "little")])["nodes"]
    leaves: list[dict] = []

    def walk(number: int) -> None:
        if "mesh" in nodes[number]:
            leaves.append(nodes[number])
        for child in nodes[number].get("children", ()):
            walk(child)

    walk(0)
    assert len(scene.leaves) == len(leaves)
    groups = {i.group for i in scene.items}
    assert groups == {"existing", "new", "temporary"}
    assert {i.label for i in scene.items if i.group == "new"} == {d.key for d in one.details}
    for (item, _), node in zip(scene.leaves, leaves, strict=True):
        if "extras" in node and scene.items[item].group == "existing":
            assert node["name"].split(" (E)")[0].split("/")[0] in scene.items[item].name or "connection" in node["name"] or "splice" in node["name"]
    xs = [p[0] for p in scene.points if p[4] == "corner" and scene.items[scene.leaves[p[3]][0]].name.startswith("bottom chord")]
    assert max(xs) - min(xs) == pytest.approx(one.before.truss.span + 8.0)  # the sample's chord runs 4 in. past each heel
    data = json.loads(re.search(r'<script type="application/json" id="truss-1-model">(.*?)</script>', text)[1])
    points = json.loads(gzip.decompress(base64.b64decode(data["points"])))
    assert len(points) == len(scene.points)
    assert [i["name"] for i in data["items"]] == [i.name for i in scene.items]


def test_too_many_whole_trusses_stay_in_their_files(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr("detailgen.outputs.page.write.WHOLES", 1000)
    read = Read(page_of(sample_package(), tmp_path))
    assert "The solid of the whole truss is not in this page, to keep it small" in read.words
    assert not any("whole" in (a.get("class") or "") for _, a in read.elements)


def test_a_truss_without_a_repair_says_so_and_no_link_leads_nowhere(tmp_path: Path):
    package = make_package()
    one = package.trusses[0]
    bare = replace(package, trusses=(replace(one, details=(), status={}),), marks=())
    read = Read(page_of(bare, tmp_path))
    assert "No repair is proposed for this truss" in read.words
    ids = {a["id"] for _, a in read.elements if "id" in a}
    assert {a["href"][1:] for t, a in read.elements if t == "a" and a["href"].startswith("#")} <= ids
    assert not any(a.get("class") == "joint" for _, a in read.elements)


def test_a_truss_without_a_load_path_gives_its_reason(tmp_path: Path):
    package = make_package()
    one = package.trusses[0]
    before = replace(one.before, as_found=replace(one.before.as_found, no_safe_load_path="Joint L4 can move down"), snow=None)
    read = Read(page_of(replace(package, trusses=(replace(one, before=before),)), tmp_path))
    assert "No safe load path: Joint L4 can move down" in read.words
    assert "None can be stated" in read.words


def test_what_does_not_fit_is_told_with_its_place(tmp_path: Path):
    package = make_package()
    one = package.trusses[0]
    detail = one.details[0]
    short = replace(detail, bolts=tuple(replace(b, length=9.75) for b in detail.bolts))
    bad = replace(package, trusses=(replace(one, details=(short,)),))
    read = Read(page_of(bad, tmp_path))
    assert "Does not fit: T2-splice-near, bolts B1: length for grip, washers, nut and two threads, needs" in read.words
    assert 'there is 9 3/4"' in read.words
    assert "Fits:" not in read.words


def test_what_must_be_known_on_site_is_told_though_it_fits():
    from detailgen.checker.fit.found import MIND, fit_result
    from detailgen.outputs.page.detail_part import fit_list
    from detailgen.outputs.report.quantities import Quantities
    from detailgen.outputs.report.sheets import Paper

    fits = [fit_result("a", "room", 1.0, 2.0), fit_result("jack at L3", f"{MIND} it bears on the far ply alone", 0.0, 0.0)]
    words = Read(fit_list(fits, Paper(Quantities(US))).text).words
    assert "Fits: 2 checks" in words
    assert "jack at L3: mind: it bears on the far ply alone." in words


def test_same_package_same_page(tmp_path: Path):
    assert page_of(make_package(), tmp_path) == page_of(make_package(), tmp_path)


def test_a_page_of_two_trusses_and_ten_details_is_small(sample):
    """Reach: under 3 MB; a detail adds its sheet, its solid and its checks, a truss two pictures and its places."""
    _, text = sample
    detail = re.search(r'<section id="repair-1".*?</section>', text, re.DOTALL)[0]
    truss = re.search(r'<section id="truss-1".*?</section>\s*<section id="quantities"', text, re.DOTALL)[0]
    rest = len(text) - len(truss)
    assert 10 * len(detail) + 2 * (len(truss) - len(detail)) + rest < 3e6
