"""Regression: what is decided and built for the samples that have one repair each, as it was when last agreed to (see test_golden_assessments)."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from sample_trusses import BRACED, SHORT_END, WEAK_HEEL, project, too_short
from test_golden_assessments import TO_DO, differences, figures

from detailgen import pipeline
from detailgen.model.detail import Detail, Part
from detailgen.model.package import Repaired

HERE = Path(__file__).parent


def part(one: Part) -> dict[str, object]:
    """A part as a reader takes it: what it is, its box, its holes."""
    xs, ys = [v.x for v in one.outline], [v.y for v in one.outline]
    holes = [[round(h.x, 4), round(h.y, 4), round(h.diameter, 4), h.made] for h in one.holes]
    return {
        "name": one.name, "of": one.specification, "box": [round(v, 4) for v in (min(xs), min(ys), max(xs), max(ys), one.thickness)], "holes": holes,
    }  # fmt: skip


def detail(one: Detail) -> dict[str, object]:
    return {
        "title": one.title, "parts": {p.key: part(p) for p in one.parts}, "order": list(one.order), "notes": list(one.notes),
        "bolts": [[round(b.x, 4), round(b.y, 4), b.diameter, b.length, b.washers] for b in one.bolts],
        "whys": [[w.dimension, w.rule, round(w.required, 4), round(w.provided, 4), f"{w.cite.document} {w.cite.clause}"] for w in one.whys],
    }  # fmt: skip


def meaning(one: Repaired) -> dict[str, object]:
    worst = one.after.worst
    return {
        "repairs": {i.key: [i.title, i.because, dict(i.parameters), list(i.runners_up)] for i in one.interventions},
        "refusals": {r.key: r.reason for r in one.refusals},
        "as repaired": [worst[0].name, figures(worst[1].ratio), worst[1].check] if worst else [],
        "details": {d.key: detail(d) for d in one.details},
    }


CASES = {
    SHORT_END: (SHORT_END, lambda: project(SHORT_END).trusses),
    f"{SHORT_END}_too_short": (SHORT_END, lambda: (too_short(),)),
    WEAK_HEEL: (WEAK_HEEL, lambda: project(WEAK_HEEL).trusses),
    BRACED: (BRACED, lambda: project(BRACED).trusses),
}
"""The sample and its trusses, by the name of their file."""


@pytest.mark.parametrize("case", CASES)
def test_the_repairs_are_as_agreed(case: str) -> None:
    sample, trusses = CASES[case]
    now = json.loads(json.dumps({t.mark: meaning(pipeline.repair_one(project(sample), t)) for t in trusses()}))
    file = HERE / f"repairs_{case}.json"
    if not file.exists():
        file.write_text(json.dumps(now, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")
        pytest.fail(f"{file.name} was missing: it is written now. Read it, commit it, and run again.")
    moved = differences(json.loads(file.read_text(encoding="utf-8")), now)
    assert not moved, "\n".join([f"{len(moved)} numbers or words moved. {TO_DO.format(name=file.name)}", *moved[:40]])
