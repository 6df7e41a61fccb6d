"""Strands in the report: window, losses, forces over time, the pulls, both heels as free bodies, what keeps them."""

from __future__ import annotations

from detailgen.model.heels import SIDES, heel_forces
from detailgen.model.package import Repaired
from detailgen.outputs.report.sheets import Json, Paper


def strands_content(one: Repaired, paper: Paper) -> Json | None:
    """None where the truss has no strands. Tables with their titles, and paragraphs."""
    plan, forces, run = one.stressing, one.after.forces, one.truss.strands if one.truss is not None else None
    if plan is None or forces is None or run is None:
        return None
    q = paper.quantities

    def force(value: float) -> str:
        return q.write(value, "lb", name=False)

    unit = q.large("lb")[0]
    words = [
        f"{plan.count} strands {plan.size}, {force(plan.jack)} {unit} each at the jack, {force(plan.locked)} {unit} in all of them when the last one "
        f"is locked, {force(plan.lasting)} {unit} after all losses. At least {force(plan.least)} {unit} must be left after losses "
        f"({plan.least_where}), at most {force(plan.greatest)} {unit} may be in them at lock-off ({plan.greatest_where}). Both count that "
        "strands, as ties beside the chord, take their share of every load that comes after them."
    ]
    if plan.usual_each:
        words.append(
            f"Common practice takes one anchor of a half-inch strand as good for about {force(plan.usual_each)} {unit} (no published source)."
        )
    on = ", ".join(f"at the {side} heel on the {seat.on}" for side, seat in zip(SIDES, run.seats, strict=True))
    tables: list[Json] = [
        _table("Losses of each strand, in the order of stressing", ["loss", *(s.label for s in plan.strands)],
               [[name, *(force(v) for v in values)] for name, values in plan.losses], f"In {unit}."),
        _table("Force of one strand", ["state", "least", "under", "greatest", "under"],
               [[s.state, force(s.least), s.least_under, force(s.most), s.most_under] for s in plan.forces], f"In {unit}, over all combinations."),
        _table("Lift-off", ["force", "measured", *(s.label for s in plan.strands)],
               [[x.when, x.due, *(force(v) for _, v in x.forces)] for x in plan.lift_off],
               f"Expected at the anchor, in {unit}, dead load alone, as warm as on the day of stressing."),
        _table("Stressing, step by step", ["step", "strand", "action", "share", "force each", "hold"],
               [[str(s.number), s.strand, s.action, f"{100 * s.share:.0f} %", force(s.force), s.hold or "go on"] for s in plan.steps],
               f"Force in {unit}; gauge, elongation with its limits and ram travel: field/stressing.csv and the sheet of the strands."),
    ]  # fmt: skip
    for side, seat in zip(SIDES, run.seats, strict=True):
        rows = [
            [h.combination, *(force(v) for v in (h.thrust, h.strands, h.panel, h.seated, h.bolts))]
            for h in heel_forces(one.before.truss, forces, side, seat.on)
        ]
        tables.append(_table(
            f"The {side} heel as a free body", ["combination", "thrust", "strands", "chord's panel", "top chord on its seat", "old heel bolts"], rows,
            f"In {unit}, along the bottom chord; a push of the bolts below zero. The strands push {on}. Thrust = strands + panel; the bolts hand "
            "over the whole thrust where strands push on the chord's end grain, otherwise what is left of it.",
        ))  # fmt: skip
    return {"words": words, "tables": tables, "upkeep": list(plan.upkeep)}


def _table(title: str, header: list[str], rows: list[list[str]], under: str) -> Json:
    return {"title": title, "header": header, "rows": [cell for row in rows for cell in row], "under": under}
