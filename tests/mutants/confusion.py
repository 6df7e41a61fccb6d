"""Runs mutants through the checker and counts: found where it is, found elsewhere, missed, passed, wrongly accused."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import replace

from faults import EDGE_STEEL, mutants, plates_long_enough, reshaped
from splice_fixture import splice_detail

from detailgen.checker import check_file
from detailgen.core.result import State

FOUND, ELSEWHERE, MISSED, PASSED, ACCUSED = "found", "accused beside it", "missed", "passed", "wrongly accused"


def variants():
    """The hand-made splice with other bolts and another wood, sound by construction."""
    base = splice_detail()
    out = [base]
    for bolt in (0.5, 0.625, 0.875, 1.0):
        parts = tuple(replace(p, holes=tuple(replace(h, diameter=bolt + 1 / 16) for h in p.holes)) for p in base.parts)
        group = replace(base.groups[0], diameter=bolt)
        made = replace(base, parts=parts, groups=(group,), key=f"bolts of {bolt:g}")
        reach = max(h.x for p in parts if p.kind == "plate" for h in p.holes) + EDGE_STEEL[bolt] + 0.5
        made = reshaped(made, "filler", lambda v: replace(v, x=v.x + 0.5) if v.x > 1 else v)
        out.append(plates_long_enough(made, reach))
    facts = ("product", "sawn"), ("Ft", "475 psi"), ("Fv", "170 psi")
    oak = replace(base, parts=tuple(
        replace(p, specification="Red Oak No.2", facts=facts) if p.material == "wood" else p for p in base.parts), key="oak")  # fmt: skip
    return [*out, reshaped(oak, "nothing", lambda v: v)]


def run(details, rng, count, folder):
    """Confusion table by kind, and what went wrong."""
    table: dict[tuple[str, str], Counter[str]] = {}
    wrong = []
    path = folder / "mutant.dxf"
    for m in mutants(details, rng, count):
        path.write_text(m.sheet.text(), encoding="utf-8")
        found = [r for r in check_file(path) if r.state is not State.PASSES]
        named = [any(w in r.where for w in m.where) or m.anywhere for r in found]
        of_breach = MISSED if not any(named) else FOUND if all(named) else ELSEWHERE
        verdict = of_breach if m.where else ACCUSED if found else PASSED
        group = "inside" if not m.where else "beyond" if m.delta else "gross"
        table.setdefault((group, m.kind), Counter())[verdict] += 1
        if verdict in (ELSEWHERE, MISSED, ACCUSED):
            told = [f"{r.state.value}: {r.where}: {r.check} {r.missing}" for r in found]
            wrong.append((group, m.kind, m.delta, sorted(m.where), verdict, m.sheet, told))
    return table, wrong


def lines(table):
    verdicts = (FOUND, ELSEWHERE, MISSED, PASSED, ACCUSED)
    out = [f"{'':8}{'fault':24}" + "".join(f"{v:>20}" for v in verdicts)]
    total = Counter()
    for (group, kind), counts in sorted(table.items()):
        out.append(f"{group:8}{kind.replace('_', ' '):24}" + "".join(f"{counts[v] or '':>20}" for v in verdicts))
        total += counts
    out.append(f"{'':8}{'all':24}" + "".join(f"{total[v]:>20}" for v in verdicts))
    return out


def least_delta(wrong):
    return min((abs(w[2]) for w in wrong), default=math.inf)
