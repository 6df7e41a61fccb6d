"""What the stages mean: in service beside all loads at once, and the snow that may lie there while least stands."""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from detailgen.analysis.overlay import STAYS
from detailgen.analysis.staged import Build
from detailgen.assessment.beside import jacks_of
from detailgen.assessment.stage_checks import Checks, check, passes, worst_of
from detailgen.assessment.staging import Moment, Row, Works
from detailgen.core.tolerance import rounded
from detailgen.loads.cases import PARTS_OF_ROOF
from detailgen.model.assessment import Assessed, StageCheck

LEVELS = (0.0, 0.1, 0.2, 0.3, 0.5, 0.75, 1.0)
"""The snow that the roof may carry while the work is at its weakest is looked for among these shares of today's flat-roof snow (ours)."""
SAME = 1e-3
"""Forces that differ by less than this part of the greatest in the truss are the same: what was judged under one holds under the other (ours)."""


def _at_once(works: Works, service: Moment) -> Moment:
    """What the repaired truss carries where all loads come on at once."""
    once = Build(works.overlay.structure, works.overlay.standing_as_repaired)
    once.add(works.case("D", once))
    up, names = once.nothing("jacks"), works.overlay.structure.joint_names
    for joint, force in jacks_of(works.repaired.side_members).items():
        up.nodal[names.index(joint), 1] += force
    once.add(up)
    once.stand([int(e) for r in works.overlay.beside for e in r.elements])  # dead load is there before them, less what is jacked
    once.add(replace(up, name="jacks let down", nodal=-up.nodal))
    return works.moment("at once", once, service.rows, "repaired", drilled=True, sistered=True)


def difference_of(works: Works, service: Moment) -> tuple[str, float]:
    """The member, or ply of one, whose axial force in service differs most from the answer for all loads at once, as a share of the greatest."""
    answer, staged = works.axial(_at_once(works, service)), works.axial(service)
    scale = max((float(np.abs(a).max()) for a in answer.values()), default=0.0)
    gaps = {key: float(np.abs(staged[key] - a).max()) for key, a in answer.items() if key in staged}
    if not gaps or scale == 0.0:
        return "", 0.0
    panel, ply = max(gaps, key=lambda k: rounded(gaps[k]))
    return f"{panel}, {ply} ply" if ply else panel, gaps[panel, ply] / scale


def in_service(works: Works, moments: Sequence[Moment], at_once: Assessed | None) -> Checks:
    """The checks in service, at first and in the long run. Where forces are those of all loads at once, what was judged for these holds."""
    if at_once is None:
        return check(works, moments)
    frames = works.overlay
    once = _at_once(works, moments[0]).result
    found: Checks = {}
    for m in moments:
        other = {r.panel for r in frames.runs if r.life != STAYS}
        for what in ("axial", "moment"):
            was, now = getattr(once, what), getattr(m.result, what)
            wrong = np.abs(now - was).max(axis=(0, 2)) > SAME * np.abs(was).max()
            other |= {r.panel for r in frames.runs if wrong[r.elements].any()}
        other |= {r.panel for r in frames.beside}
        known = [(p, p.worst) for p in at_once.places if p.member not in other and p.kind in ("member", "connection", "splice")]
        held = [
            StageCheck(m.title, p.name, r.check, r.combination, r.demand, r.capacity, r.unit, r.ratio, str(r.cite))
            for p, r in known if r is not None and r.unit != "in" and not math.isnan(r.ratio)
        ]  # fmt: skip
        found[m.title] = [*held, *check(works, [m], other).get(m.title, [])]
    return found


def snow_levels(works: Works, weakest: Moment) -> list[Moment]:
    """More and more snow while least stands: full and on each half."""
    if not works.loads.pressures:
        return []
    (dead, snow), flat = works.factors.snow, works.loads.flat_roof_snow
    rows = [
        Row(f"D + S work {part}", dead, ((f"S work {part}", snow * flat * level),), "snow", interim=True, stage=f"snow {k}")
        for k, level in enumerate(LEVELS) for part, _, _ in PARTS_OF_ROOF[: None if k else 1]
    ]  # fmt: skip
    return [works.moment("snow", weakest.build, rows, weakest.structure, drilled=weakest.drilled, sistered=weakest.sistered)]


def snow_limit(works: Works, checks: Mapping[str, Sequence[StageCheck]]) -> float:
    """The greatest step of snow that everything passes under, with all below it; nan on a roof without snow."""
    if not works.loads.pressures:
        return math.nan
    held = list(itertools.takewhile(lambda k: passes(checks[f"snow {k}"]), range(len(LEVELS))))
    return works.loads.flat_roof_snow * LEVELS[held[-1]] if held else 0.0


def both_ratios(checks: Mapping[str, Sequence[StageCheck]], at_once: Assessed | None) -> tuple[float, float]:
    """The governing ratio in service for all loads at once and staged, of the same places."""
    staged = [*checks.get("in service", ()), *checks.get("in service, in the long run", ())]
    names = {c.place for c in staged}
    known = [p.worst for p in at_once.places if p.name in names] if at_once is not None else []
    once = max((r.ratio for r in known if r is not None and r.unit != "in" and not math.isnan(r.ratio)), default=math.nan)
    worst = worst_of(staged)
    return once, worst.ratio if worst is not None else math.nan
