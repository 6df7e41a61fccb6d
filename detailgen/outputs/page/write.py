"""index.html: what a person opens first. One file, no network: the page may load nothing, and only its own script runs."""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Mapping, Sequence
from importlib import resources
from pathlib import Path
from urllib.parse import quote

from detailgen import __version__
from detailgen.core.clause import Cite, TableStatus
from detailgen.core.result import CheckResult
from detailgen.core.templates import template_lines
from detailgen.model.package import Package
from detailgen.outputs.drawings.shapes import Drawing
from detailgen.outputs.page.detail_part import detail_section
from detailgen.outputs.page.html import Child, Html, el, raw
from detailgen.outputs.page.scene import packed
from detailgen.outputs.page.truss_part import fails, largest, truss_section
from detailgen.outputs.report.quantities import Quantities
from detailgen.outputs.report.sheets import SHORT_STATUS, Paper
from detailgen.outputs.schedules.lists import listings

SCRIPTS = ("solid.js", "joint.js", "page.js")
WHOLES = 1_000_000
"""Characters that the solids of whole trusses may take of a page: four or five trusses; the others stay in their files."""
STATUS_LINES = "notes/status.txt"


def write_page(
    package: Package, path: Path, *, sheets: Mapping[str, Sequence[Drawing]], models: Mapping[str, bytes], fit: Mapping[str, Sequence[CheckResult]],
    checked: str, files: Sequence[str], wholes: Mapping[str, bytes] | None = None,
) -> None:  # fmt: skip
    """Write the page. Same package, same bytes.

    sheets, models, fit: by detail key: its drawings, its GLB, what the fit check found
    wholes: by truss mark: the GLB of the whole truss
    checked: what the checker found in the drawings, in one sentence
    files: the package's files, seen from the page
    """
    paper = Paper(Quantities(package.project.units))
    keys: dict[str, str] = {}
    for number, detail in enumerate(package.details, start=1):
        keys[detail.key] = f"repair-{number}"
    sections = []
    kept = _kept(wholes or {})
    for number, one in enumerate(package.trusses, start=1):
        joints = [detail_section(one, d, package, paper, sheets[d.key], models[d.key], fit[d.key], keys[d.key]) for d in one.details]
        sections.append(truss_section(one, package, paper, joints, kept.get(one.before.truss.mark), f"truss-{number}"))
    body: list[Child] = [
        el("a", "To the trusses", href="#truss-1", class_="skip"),
        _header(package, checked),
        _summary(package, keys),
        sections,
        _lists(package),
        _files(files),
        _basis(package),
    ]
    style, script = _own("page.css"), "\n".join(_own(name) for name in SCRIPTS)
    policy = f"default-src 'none'; style-src {_hash(style)}; script-src {_hash(script)}; base-uri 'none'; form-action 'none'"
    head = el(
        "head", el("meta", charset="utf-8"), el("meta", name="viewport", content="width=device-width, initial-scale=1"),
        raw(f'<meta http-equiv="Content-Security-Policy" content="{policy}">'),
        el("title", f"{package.project.name}, revision {package.project.revision}"), raw(f"<style>{style}</style>"),
    )  # fmt: skip
    page = el("html", head, el("body", body, raw(f"<script>{script}</script>")), lang="en")
    path.write_text(f"<!doctype html>\n{page.text}\n", encoding="utf-8", newline="\n")


def _kept(wholes: Mapping[str, bytes]) -> dict[str, str]:
    """The solids of whole trusses that the page takes in, packed, in their order."""
    kept: dict[str, str] = {}
    for mark, glb in wholes.items():
        text = packed(glb)
        if len(text) + sum(map(len, kept.values())) > WHOLES:
            break
        kept[mark] = text
    return kept


def _own(name: str) -> str:
    return resources.files("detailgen.outputs.page").joinpath(name).read_text(encoding="utf-8")


def _hash(text: str) -> str:
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode('ascii')}'"


def _header(package: Package, checked: str) -> Html:
    project = package.project
    status = next((s for s in template_lines(STATUS_LINES) if s.startswith(package.status)), package.status)
    above = " · ".join(t for t in (project.number, project.location, f"revision {project.revision}", project.date, project.view) if t)
    options = [el("option", words, value=value) for value, words in (("", "as the system"), ("light", "light"), ("dark", "dark"))]
    light = el("label", "Light or dark ", el("select", options, data_do="light"), class_="light from")
    cautions = el("ul", [el("li", line) for line in template_lines("notes/cautions.txt")])
    return el(
        "header", el("p", above, class_="above"), el("h1", project.name), el("p", el("b", status), ". ", checked), light,
        el("div", cautions, class_="cautions", role="note"),
    )  # fmt: skip


def _summary(package: Package, keys: Mapping[str, str]) -> Html:
    rows = []
    for number, one in enumerate(package.trusses, start=1):
        snow = one.before.snow
        area = package.project.units.write_area_load
        carries = "" if snow is None else f"{'at least ' if snow.at_least else ''}{area(snow.flat_roof_allowed)} of {area(snow.flat_roof_today)}"
        repairs: list[Html | str] = [el("a", d.key, href=f"#{keys[d.key]}") for d in one.details]
        listed = [x for pair in zip(repairs, [", "] * len(repairs), strict=True) for x in pair][:-1] or ["none"]
        if one.refusals:
            listed.append(f"; {len(one.refusals)} refused")
        rows.append(
            el("tr", el("th", el("a", one.before.truss.mark, href=f"#truss-{number}"), scope="row"),
               el("td", largest(one.before.as_found), class_="n over" if fails(one.before.as_found) else "n"),
               el("td", largest(one.after), class_="n over" if fails(one.after) else "n"), el("td", carries, class_="line"),
               el("td", listed),
               el("td", ", ".join(dict.fromkeys(one.status.values())) or "–"))
        )  # fmt: skip
    heads = ("truss", "as found", "as repaired", "flat-roof snow as found", "repairs", "status")
    head = el("tr", [el("th", t, scope="col", class_="n" if k in (1, 2) else None) for k, t in enumerate(heads)])
    links = [("#truss-1", "trusses"), ("#quantities", "quantities"), ("#files", "files"), ("#basis", "assumptions and tables")]
    if not package.details:
        del links[1]
    nav = el("nav", el("ul", [el("li", el("a", text, href=to)) for to, text in links]), aria_label="On this page")
    return el(
        "section", el("h2", "Before and after"), nav,
        el("p", "Largest demand over capacity; over 1 does not pass.", class_="from"), el("div", el("table", head, rows), class_="wide"),
    )  # fmt: skip


def _lists(package: Package) -> Html | None:
    found = listings(package)
    if not found:
        return None
    tables = []
    for one in found:
        head = el("tr", [el("th", name.replace("_", " "), scope="col") for name in one.header])
        rows = [el("tr", [el("td", text, class_="n" if _number(text) else None) for text in row]) for row in one.texts]
        tables += [el("h3", one.name.replace("_", " ").capitalize()), el("div", el("table", head, rows), class_="wide")]
    return el("section", el("h2", "Quantities"), tables, id="quantities")


def _number(text: str) -> bool:
    return text.replace(".", "", 1).isdigit()


def _files(files: Sequence[str]) -> Html:
    rows = [el("li", el("a", name, href=quote(name))) for name in files]
    return el("section", el("h2", "Files"), el("ul", rows), id="files")


def unread_tables(package: Package) -> list[tuple[Cite, int]]:
    """Tables behind the results that nobody has read against print, and how many results rest on each."""
    count: dict[tuple[str, str], tuple[Cite, int]] = {}
    for assessed in (a for one in package.trusses for a in (one.before.as_found, one.after)):
        for key, (cite, resting) in assessed.count.tables.items():
            if cite.status < TableStatus.READ:
                count[key] = (cite, count.get(key, (cite, 0))[1] + resting)
    return [count[k] for k in sorted(count)]


def _basis(package: Package) -> Html:
    told = [*package.project.assumptions, *package.assumptions]
    rows = [
        el("tr", el("th", cite.document, scope="row"), el("td", f"{cite.table.replace('_', ' ')} ({cite.clause})"),
           el("td", SHORT_STATUS[cite.status]), el("td", f"{used:,}", class_="n"))
        for cite, used in unread_tables(package)
    ]  # fmt: skip
    head = el("tr", [el("th", t, scope="col") for t in ("document", "table", "status", "results that rest on it")])
    return el(
        "section", el("h2", "What this rests on"), el("h3", "Standards"), el("ul", [el("li", s) for s in package.standards]),
        el("h3", "Assumptions"), el("ul", [el("li", a) for a in dict.fromkeys(told)]),
        el("h3", "Tables not read against print"),
        el("div", el("table", head, rows), class_="wide") if rows else el("p", "None."),
        el("p", f"Written by detailgen {__version__}. Local code governs; a licensed engineer reviews and seals.", class_="from"), id="basis",
    )  # fmt: skip
