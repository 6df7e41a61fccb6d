"""The work in stages in the report: shores, what governs in each stage, and the safety of the truss as found."""

from __future__ import annotations

import math

from detailgen.core.tolerance import rounded
from detailgen.model.assessment import SafetyNow, StagedWork
from detailgen.outputs.drawings.work_lists import depth_words, weight_words
from detailgen.outputs.report.quantities import ratio
from detailgen.outputs.report.sheets import Json, Paper


def stages_content(work: StagedWork | None, paper: Paper) -> Json | None:
    """None where nothing is repaired."""
    if work is None:
        return None
    if work.why_not:
        return {"words": [f"The work in stages is not worked out: {work.why_not}."], "rows": [], "shores": [], "warnings": [], "bearing": None}
    q = paper.quantities
    words = []
    if work.pull > 0:
        left = f"; {q.write(work.left, 'lb')} of it stay" if work.left > 0 else ""
        words.append(f"The jacks take {q.write(work.pull, 'lb')} of dead load off the panel{left}: new parts share only what comes later.")
    if work.member:
        gap = "by less than 0.01" if work.difference < 1e-4 else f"by {100 * work.difference:.2f}"
        words.append(f"Built so, axial forces differ {gap} % of the greatest from the answer for all loads at once, most in {work.member}.")
    if not math.isnan(work.snow):
        snow = q.system.write_area_load(work.snow)
        words.append(f"While least stands (stage '{work.snow_stage}') the roof may carry {snow} of snow, on all of it or on one half.")
    rows = [
        {
            "title": n.title, "place": n.place, "check": n.check, "combination": n.combination,
            "ratio": "" if math.isnan(n.ratio) else ratio(n.ratio), "over": n.ratio > 1.0,
            "left": _travel(n.moved[0], paper), "right": _travel(n.moved[1], paper),
            "strands": ", ".join(q.write(f, "lb") for f in n.strands),
        }
        for n in work.lines
    ]  # fmt: skip
    shores = [
        [s.joint, q.length(s.x), q.write(s.force, "lb"), q.length(s.lift), q.length(s.stop), q.write(s.most, "lb"), q.length(s.block),
         ratio(s.bearing.ratio)]
        for s in work.shores
    ]  # fmt: skip
    hardest = max(work.shores, key=lambda s: rounded(s.bearing.ratio), default=None)
    sheet = None if hardest is None else paper.sheet(hardest.bearing, hardest.bearing.where)
    return {"words": words, "rows": rows, "shores": shores, "warnings": list(work.warnings), "bearing": sheet}


def _travel(value: float, paper: Paper) -> str:
    """A movement of a bearing: hundredths of an inch, tenths of a millimetre."""
    system = paper.quantities.system
    return f"{value:+.2f} in." if system.name == "US" else f"{value * system.length:+.1f} mm"


def safety_content(safety: SafetyNow | None, paper: Paper) -> Json | None:
    if safety is None:
        return None
    q = paper.quantities
    area = q.system.write_area_load
    words = []
    if safety.known and safety.allowed > 0:
        words.append(
            f"Look after the truss at {area(safety.watch)} of snow on the roof, clear the building at {area(safety.close)} "
            f"(a half and three quarters of what it may carry); on the ground beside it that is about {area(safety.ground)}."
        )
    system = q.system
    depths = [[d.kind, weight_words(d.weight, system), depth_words(d.watch, system), depth_words(d.close, system), d.source] for d in safety.depths]
    shores = ""
    if safety.shores:
        at = ", ".join(f"{j} ({q.write(f, 'lb')})" for j, f in safety.shores)
        least = "at least " if safety.shored_at_least else ""
        carries = f"let it carry {least}{area(safety.shored)} of snow (in brackets: their push then)"
        shores = f"In an emergency, shores brought up snug and not jacked at {at} {carries}."
    return {"words": words, "depths": depths, "shores": shores, "notes": list(safety.notes)}
