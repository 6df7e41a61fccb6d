"""One truss on the page: before and after, what fails and why, both pictures, every place."""

from __future__ import annotations

import math
from collections.abc import Sequence

from detailgen.core.result import CheckResult
from detailgen.model.assessment import Assessed
from detailgen.model.package import Package, Repaired
from detailgen.outputs.drawings.truss_notes import damage_words, snow_words
from detailgen.outputs.page.elevation import as_repaired, picture
from detailgen.outputs.page.html import Child, Html, data_block, el
from detailgen.outputs.page.numbers import calculation
from detailgen.outputs.page.solid_part import Words, solid_block
from detailgen.outputs.page.truss_scene import truss_scene
from detailgen.outputs.report.quantities import ratio
from detailgen.outputs.report.sheets import Paper, over

CUTS = (("", "not cut"), ("across", "upright, across the span"), ("level", "level"), ("faces", "parallel to the truss"))


def largest(assessed: Assessed) -> str:
    """The greatest ratio of a structure in words."""
    if assessed.no_safe_load_path:
        return "no safe load path"
    return "–" if assessed.worst is None else ratio(assessed.worst[1].ratio)


def fails(assessed: Assessed) -> bool:
    return bool(assessed.no_safe_load_path) or any(over(r) for _, r in assessed.results())


def figure(key: str, drawing: tuple[Html, Sequence[str]], caption: str) -> Html:
    svg, missing = drawing
    rest = el("span", f" No room in the picture for: {', '.join(missing)}.") if missing else None
    return el("figure", el("div", svg, class_="wide", tabindex=0, role="region", aria_label=caption), el("figcaption", caption, rest), id=key)


def _findings(one: Repaired) -> Html:
    before = one.before
    found = [f for f in before.findings if not (before.as_found.no_safe_load_path and f.kind == "no safe load path")]
    if not found:
        return el("p", "Nothing fails as found.")
    rows = []
    for f in found:
        known = not math.isnan(f.ratio)
        number = el("b", ratio(f.ratio) if known else "", class_="over" if known and f.ratio > 1 else None)
        rows.append(el("div", number, el("div", el("p", el("b", _sentence(f.title))), el("p", f.cause)), class_="finding"))
    return el("div", rows)


def _sentence(text: str) -> str:
    text = text[:1].upper() + text[1:]
    return text if not text or text.endswith(".") else f"{text}."


def _cell(result: CheckResult | None, paper: Paper) -> list[Html]:
    short = paper.short(result)
    return [el("td", str(short["ratio"]) or "–", class_="n over" if short["over"] else "n"), el("td", str(short["check"]))]


def _places(one: Repaired, paper: Paper) -> Html:
    old = {p.name: p.worst for p in one.before.as_found.places}
    new = {p.name: p.worst for p in one.after.places}
    rows = [el("tr", el("th", name, scope="row"), _cell(old.get(name), paper), _cell(new.get(name), paper)) for name in dict.fromkeys((*old, *new))]
    head = el("tr", el("th", "place", scope="col"), el("th", "as found", scope="col", colspan=2), el("th", "as repaired", scope="col", colspan=2))
    table = el("table", head, rows, class_="roomy")
    return el("details", el("summary", f"Every place, as found and as repaired ({len(rows)})"), el("div", table, class_="wide"))


def _worst(assessed: Assessed, paper: Paper, words: str) -> Html | None:
    if assessed.no_safe_load_path or assessed.worst is None:
        return None
    place, result = assessed.worst
    return calculation(result, paper, f"{words}: {place.name}")


def _whole(one: Repaired, package: Package, glb: str | None, key: str) -> Html:
    """The solid of the whole truss, or where it is found."""
    mark = one.before.truss.mark
    if glb is None:
        return el("p", f"The solid of the whole truss is not in this page, to keep it small: files of truss {mark} under models.", class_="from")
    scene = truss_scene(one, package)
    words = Words(f"Solid of truss {mark} as repaired", f"Truss {mark} as repaired", CUTS)
    return el("div", solid_block(scene, None, key, words, "joint whole"), data_block(key, scene.content(glb, package.project.units.name)))


def truss_section(one: Repaired, package: Package, paper: Paper, details: Sequence[Html], glb: str | None, key: str) -> Html:
    """The whole section; ``details`` are those of its joints, ``glb`` the whole truss's solid, packed, if the page holds it."""
    before, truss = one.before, one.before.truss
    units = package.project.units
    about = f"Type {truss.type}, {truss.bay}. Span {units.write_length(truss.span)}, spacing {units.write_length(truss.tributary_width)}."
    broken = before.as_found.no_safe_load_path
    refusals = [el("li", el("b", f"{r.key}: "), f"{_sentence(r.reason)} {r.clause}".strip()) for r in one.refusals]
    damage = [el("li", damage_words(d, units)) for d in truss.damage]
    mind = [*before.flags, *(f"{o.item}: {o.value} ({o.reason})" for o in truss.overrides)]
    shown: list[Child] = [el("p", "No repair is proposed for this truss: it stays as found.")]
    if one.details:
        repaired = picture(as_repaired(one), package, f"Truss {truss.mark} as repaired")
        shown = [figure(f"{key}-repaired", repaired, "As repaired, with the weight, holes and slip of the new work counted.")]
        shown.append(_worst(one.after, paper, "Largest as repaired"))
        shown.append(_whole(one, package, glb, f"{key}-model"))
    return el(
        "section",
        el("h2", f"Truss {truss.mark}"),
        el("p", about),
        el("h3", "As found"),
        el("p", el("b", "No safe load path: "), broken, ". The ratios in the picture are those of the truss as if undamaged.", class_="over")
        if broken else None,
        figure(f"{key}-found", picture(before, package, f"Truss {truss.mark} as found"), "As found. Ratios are demand over capacity; over 1 fails."),
        el("h4", "What fails and why"),
        _findings(one),
        el("h4", "Damage found"),
        el("ul", damage) if damage else el("p", "None in the survey."),
        el("p", el("b", "Snow it may carry as found: "), snow_words(before, units)),
        el("div", el("h4", "Mind"), el("ul", [el("li", m) for m in mind])) if mind else None,
        _worst(before.as_found, paper, "Largest as found"),
        el("h3", "As repaired"),
        shown,
        el("div", el("h4", "No repair was possible"), el("ul", refusals)) if refusals else None,
        _places(one, paper),
        details,
        id=key,
    )  # fmt: skip
