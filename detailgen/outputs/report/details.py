"""A repair joint in the report: the choice and why, its load path, what governs its dimensions, its calculations."""

from __future__ import annotations

import math

from detailgen.core.result import CheckResult
from detailgen.core.tolerance import rounded
from detailgen.model.detail import ACROSS, BOUGHT, EDGES, Detail, Group, Part
from detailgen.model.governing import governing, results_of
from detailgen.model.outlines import bounds
from detailgen.model.package import Package, Repaired
from detailgen.outputs.report.pictures import load_path
from detailgen.outputs.report.sheets import Json, Paper, source


def _twins(results: list[CheckResult]) -> list[tuple[CheckResult, list[str]]]:
    """Results that differ in nothing but their place are calculated once: the other places with each."""
    out: dict[tuple[object, ...], tuple[CheckResult, list[str]]] = {}
    for r in results:
        key: tuple[object, ...] = (r.check, r.combination, rounded(r.demand) if not math.isnan(r.demand) else r.where, rounded(r.ratio), r.missing)
        if key in out and _numbers(out[key][0]) == _numbers(r):
            out[key][1].append(r.where)
        else:
            out.setdefault(key if key not in out else (*key, r.where), (r, []))
    return list(out.values())


def _numbers(r: CheckResult) -> list[tuple[str, float]]:
    return [(s.formula, rounded(s.value)) for s in r.steps]


def _group(detail: Detail, group: Group, marks: dict[str, str], paper: Paper) -> Json:
    q = paper.quantities
    pitch = f"{group.per_row} in a row at {q.length(group.spacing)}" if group.per_row > 1 else "one in a row"
    gauge = f", rows {q.length(group.gauge)} apart" if group.rows > 1 else ""
    rows = f"{group.rows} row{'s' if group.rows > 1 else ''}"
    return {
        "title": f"{group.key}: {len(group.positions)} bolts {q.length(group.diameter)}, {rows}, {pitch}{gauge}",
        "picture": load_path(detail, group, marks, q).content(),
    }


def _sentence(text: str) -> str:
    text = text[:1].upper() + text[1:]
    return text if not text or text.endswith(".") else f"{text}."


def _thickness(part: Part, detail: Detail) -> float:
    """Of a chord's end, which is seen from its end grain, what lies across the truss (in)."""
    if detail.axis in (ACROSS, *EDGES) or part.material == "steel":
        return part.as_cut.thickness
    low, _, high, _ = bounds(part.outline)
    return high - low


def detail_content(package: Package, repaired: Repaired, detail: Detail, paper: Paper) -> Json:
    q = paper.quantities
    chosen = next((i for i in repaired.interventions if i.key == detail.key), None)
    marks = {p.key: package.mark_of(detail.key, p.key) for p in detail.parts}
    found = governing(results_of(detail, repaired.after))
    sheets = []
    for result, others in _twins(found):
        sheet = paper.sheet(result, result.where)
        sheet["twins"] = others
        sheets.append(sheet)
    return {
        "key": detail.key,
        "title": detail.title,
        "status": package.status_of(detail.key),
        "place": f"Truss {detail.truss}, {detail.member}, {q.length(detail.station)} from the left heel",
        "because": _sentence(chosen.because) if chosen else "",
        "parameters": [[k, v] for k, v in chosen.parameters.items()] if chosen else [],
        "runners_up": list(chosen.runners_up) if chosen else [],
        "parts": [
            [
                marks[p.key] or ("bought" if p.kind in BOUGHT else "existing"),
                p.name,
                p.specification,
                q.length(_thickness(p, detail)),
                f"{len(p.holes)} {' and '.join(sorted({h.made for h in p.holes}, reverse=True))}" if p.holes else "none",
            ]
            for p in detail.parts
        ],
        "groups": [_group(detail, g, marks, paper) for g in detail.groups],
        "whys": [[w.dimension, w.rule, q.length(w.required), q.length(w.provided), source(w.cite)] for w in detail.whys],
        "order": list(detail.order),
        "notes": list(detail.notes),
        "summary": [{"where": r.where, **paper.short(r)} for r in found],
        "sheets": sheets,
    }
