"""One repair joint on the page: why, its sheet beside its solid, what governs its dimensions, its checks, its order of work."""

from __future__ import annotations

from collections.abc import Sequence

from detailgen.core.result import CheckResult, State
from detailgen.core.tolerance import rounded
from detailgen.model.detail import Detail
from detailgen.model.governing import governing, results_of
from detailgen.model.package import Package, Repaired
from detailgen.outputs.drawings.layers import LAYERS
from detailgen.outputs.drawings.shapes import Drawing
from detailgen.outputs.drawings.svg import svg_text
from detailgen.outputs.page.elevation import inline
from detailgen.outputs.page.html import Html, data_block, el
from detailgen.outputs.page.numbers import calculation, lines
from detailgen.outputs.page.scene import packed, scene_of
from detailgen.outputs.page.solid_part import Words, solid_block
from detailgen.outputs.report.sheets import Paper, source
from detailgen.outputs.solids.picture import picture


def _sheets(drawings: Sequence[Drawing]) -> Html:
    buttons = [
        el("button", text, type="button", value=value, data_do="size", aria_label=words)
        for value, text, words in (("1.5", "+", "sheet larger"), ("0.6667", "−", "sheet smaller"), ("whole", "whole sheet", "whole sheet"))
    ]
    papers = [inline(svg_text(d), f"Sheet {d.name}: {d.title}") for d in drawings]
    names = ", ".join(d.name for d in drawings)
    shown = el("div", el("div", papers, class_="paper"), class_="window", tabindex=0, role="region", aria_label=f"Sheet {names}")
    return el("div", el("div", el("span", f"Sheet {names}"), buttons, class_="tools"), shown, class_="sheet")


def _still(detail: Detail) -> Html:
    """The joint in lines: on paper, and where a browser cannot turn it."""
    drawn = picture(detail)
    x0, y0, x1, y1 = drawn.box
    groups = []
    for layer in dict.fromkeys(s.layer for s in drawn.strokes):
        way = "".join(f"M{s.start[0]:.3f} {-s.start[1]:.3f}L{s.end[0]:.3f} {-s.end[1]:.3f}" for s in drawn.strokes if s.layer == layer)
        width = f"{LAYERS[layer].width * (x1 - x0) / 150:.3f}"  # as wide as on a picture of 150 mm
        groups.append(el("path", d=way, stroke=LAYERS[layer].colour, stroke_width=width))
    box = f"{x0 - 1:.2f} {-y1 - 1:.2f} {x1 - x0 + 2:.2f} {y1 - y0 + 2:.2f}"
    return el("svg", groups, viewBox=box, fill="none", stroke_linecap="round", role="img", aria_label=f"{detail.key}, seen from the upper right")


def _whys(detail: Detail, paper: Paper, found: Sequence[CheckResult]) -> Html:
    """Why each dimension is what it is; the numbers are those of the check that bears the dimension's name."""
    q = paper.quantities
    by_name = {r.check: r for r in reversed(found)}  # the worst of each name stands first
    rows = [
        el("tr", el("th", w.dimension, scope="row"), el("td", q.length(w.required), class_="n"), el("td", q.length(w.provided), class_="n"),
           el("td", w.rule), el("td", source(w.cite)), el("td", lines(by_name[w.dimension], paper) if w.dimension in by_name else None))
        for w in detail.whys
    ]  # fmt: skip
    head = el("tr", [el("th", t, scope="col") for t in ("dimension", "limit", "provided", "rule", "clause", "")])
    return el("div", el("table", head, rows, class_="roomy"), class_="wide")


def fit_list(fit: Sequence[CheckResult], paper: Paper) -> Html:
    """Does it go together: what does not and by how much, else how much was looked at."""
    bad = [r for r in fit if r.state is not State.PASSES]
    mind = [el("li", f"{r.where}: {r.check}.") for r in fit if r.check.startswith("mind: ")]
    if not bad:
        said = el("p", f"Fits: {len(fit)} checks of clearance, length and reach pass.")
        return el("div", said, el("ul", mind)) if mind else said
    return el("ul", [el("li", f"Does not fit: {r.where}: {r.check}, {_amount(r, paper)}.", class_="over") for r in bad], mind)


def _amount(r: CheckResult, paper: Paper) -> str:
    if r.missing:
        return f"not known: {r.missing}"

    def write(value: float) -> str:
        return paper.quantities.length(value) if r.unit == "in" else paper.quantities.write(value, r.unit)

    return f"by {write(-r.capacity)}" if r.demand == 0 else f"needs {write(r.demand)}, there is {write(r.capacity)}"


def _because(one: Repaired, detail: Detail) -> str:
    """Why it is built; of a further detail which repair says so."""
    for chosen in one.interventions:
        if chosen.key == detail.key:
            return f"{chosen.because[:1].upper()}{chosen.because[1:]}."
        if detail.key.startswith(f"{chosen.key}-"):
            return f"Part of repair {chosen.key}: see there why."
    return ""


def detail_section(
    one: Repaired, detail: Detail, package: Package, paper: Paper, drawings: Sequence[Drawing], glb: bytes, fit: Sequence[CheckResult],
    key: str,
) -> Html:  # fmt: skip
    """The whole section of a joint."""
    q = paper.quantities
    scene = scene_of(detail, package)
    chosen = next((i for i in one.interventions if i.key == detail.key), None)
    worst_first = sorted(governing(results_of(detail, one.after)), key=lambda r: -rounded(r.ratio) if r.ratio == r.ratio else 0.0)
    found = [calculation(r, paper, r.where) for r in worst_first]
    facts = [el("tr", el("th", k, scope="row"), el("td", v)) for k, v in (chosen.parameters.items() if chosen else ())]
    others = [el("li", text) for text in chosen.runners_up] if chosen else []
    away = "from" if detail.station >= 0 else "outside of"
    place = f"Truss {detail.truss}, {detail.member}, {q.length(abs(detail.station))} {away} the left heel."
    because = _because(one, detail)
    return el(
        "section",
        el("h3", f"Repair {detail.key}: {detail.title}"),
        el("p", f"{place} Status: ", el("b", package.status_of(detail.key)), "."),
        el("p", because) if because else None,
        el("div", _sheets(drawings), solid_block(scene, _still(detail), f"{key}-model", Words(f"Solid of {detail.key}")), class_="pair"),
        el("h4", "Dimensions that govern"),
        _whys(detail, paper, worst_first),
        [el("h4", "Checks, worst first"), *found] if found else None,
        el("h4", "Does it go together"),
        fit_list(fit, paper),
        el("h4", "Choice") if chosen else None,
        el("div", el("table", facts), class_="wide") if facts else None,
        el("div", el("p", "Instead:"), el("ul", others)) if others else None,
        el("h4", "Order of work"),
        el("ol", [el("li", step) for step in detail.order]),
        el("ul", [el("li", note) for note in detail.notes]) if detail.notes else None,
        data_block(f"{key}-model", scene.content(packed(glb), package.project.units.name)),
        id=key, class_="detail",
    )  # fmt: skip
