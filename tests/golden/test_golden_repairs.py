"""Regression: what is decided and built for the samples that have one repair each, as it was when last agreed to (see test_golden_assessments)."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from sample_trusses import BENT, BRACED, SHORT_END, STRUNG, WEAK_HEEL, project, too_short
from test_golden_assessments import TO_DO, differences, figures

from detailgen import pipeline
from detailgen.model.detail import Detail, Part
from detailgen.model.heels import SIDES, heel_forces
from detailgen.model.package import Repaired
from detailgen.model.stressing import StressingPlan

HERE = Path(__file__).parent


def part(one: Part) -> dict[str, object]:
    """A part as a reader takes it: what it is, its box, its holes."""
    xs, ys = [v.x for v in one.outline], [v.y for v in one.outline]
    holes = [[round(h.x, 4), round(h.y, 4), round(h.diameter, 4), h.made] for h in one.holes]
    slots = [[round(v, 4) for v in (s.x, s.y, s.length, s.width)] for s in one.slots]
    return {
        "name": one.name, "of": one.specification, "box": [round(v, 4) for v in (min(xs), min(ys), max(xs), max(ys), one.thickness)], "holes": holes,
        **({"slots": slots} if slots else {}),
    }  # fmt: skip


def detail(one: Detail) -> dict[str, object]:
    welds = [[w.kind, round(w.size, 4), w.side, round(w.x, 4), round(w.y, 4)] for w in one.welds]
    return {
        "title": one.title, "parts": {p.key: part(p) for p in one.parts}, "order": list(one.order), "notes": list(one.notes),
        "bolts": [[round(b.x, 4), round(b.y, 4), b.diameter, b.length, b.washers] for b in one.bolts],
        **({"welds": welds} if welds else {}),
        "whys": [[w.dimension, w.rule, round(w.required, 4), round(w.provided, 4), f"{w.cite.document} {w.cite.clause}"] for w in one.whys],
    }  # fmt: skip


def strands(plan: StressingPlan) -> dict[str, object]:
    """What the crew and the engineer take from the stressing of a truss."""
    bounds = (plan.least, plan.greatest, plan.jack, plan.locked, plan.lasting, plan.shortening, plan.movement)
    return {
        "what": [plan.count, plan.size, plan.stressing_end, plan.together], "window and forces": [figures(v) for v in bounds],
        "run": [figures(v) for v in (plan.run_height, plan.run_z, *plan.anchor_x, *plan.guides)],
        "pieces": [[s.label, *(figures(v) for v in (s.height, s.between, s.length))] for s in plan.strands],
        "steps": [[s.strand, s.action, *(figures(v) for v in (s.force, s.gauge, s.low, s.high, s.ram_travel)), s.hold] for s in plan.steps],
        "losses": {name: [figures(v) for v in values] for name, values in plan.losses},
        "lift-off": {x.when: [x.due, *(figures(v) for _, v in x.forces)] for x in plan.lift_off},
        "one strand": {f.state: [figures(f.least), f.least_under, figures(f.most), f.most_under] for f in plan.forces},
        "said": [*plan.warnings, *plan.assumptions, *plan.upkeep],
    }  # fmt: skip


def heels(one: Repaired) -> dict[str, object]:
    """Both heels as free bodies under every combination."""
    assert one.truss is not None
    assert one.truss.strands is not None
    found = {}
    for side, seat in zip(SIDES, one.truss.strands.seats, strict=True):
        rows = heel_forces(one.before.truss, one.after.forces, side, seat.on)
        found[side] = {r.combination: [figures(v) for v in (r.thrust, r.strands, r.panel, r.seated, r.bolts)] for r in rows}
    return found


def meaning(one: Repaired) -> dict[str, object]:
    worst = one.after.worst
    return {
        "repairs": {i.key: [i.title, i.because, dict(i.parameters), list(i.runners_up)] for i in one.interventions},
        "refusals": {r.key: r.reason for r in one.refusals},
        "as repaired": [worst[0].name, figures(worst[1].ratio), worst[1].check] if worst else [],
        "details": {d.key: detail(d) for d in one.details},
        **({"stressing": strands(one.stressing), "heels": heels(one)} if one.stressing is not None else {}),
    }


CASES = {
    SHORT_END: (SHORT_END, lambda: project(SHORT_END).trusses),
    f"{SHORT_END}_too_short": (SHORT_END, lambda: (too_short(),)),
    BENT: (BENT, lambda: project(BENT).trusses),
    STRUNG: (STRUNG, lambda: project(STRUNG).trusses),
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
