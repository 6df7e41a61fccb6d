"""A truss in the report: before and after, findings, loads, key forces, the calculations that govern."""

from __future__ import annotations

import math
from collections.abc import Sequence

from detailgen.core.result import CheckResult
from detailgen.model.assessment import Assessed, Forces, LoadPicture, Place, TrussAssessment
from detailgen.model.governing import of_each_kind, others
from detailgen.model.package import Package, Repaired
from detailgen.model.project import Truss
from detailgen.model.roof_loads import Loads
from detailgen.outputs.report.details import detail_content
from detailgen.outputs.report.pictures import load_shape
from detailgen.outputs.report.quantities import Quantities, ratio, written
from detailgen.outputs.report.sheets import Json, Paper, over, source
from detailgen.outputs.report.stages import safety_content, stages_content
from detailgen.outputs.report.strands import strands_content
from detailgen.outputs.schedules.heels import bodies


def _failing(assessed: Assessed) -> list[tuple[Place, CheckResult]]:
    """For each kind of place the result that is most over."""
    return [(p, r) for p, r in of_each_kind(assessed.places) if over(r)]


def _places(before: Assessed, after: Assessed, paper: Paper) -> list[Json]:
    old = {p.name: p for p in before.places}
    new = {p.name: p for p in after.places}
    rows: list[Json] = []
    for name in dict.fromkeys((*old, *new)):
        was, now = old.get(name), new.get(name)
        first, second = paper.short(was.worst if was else None), paper.short(now.worst if now else None)
        rows.append({"place": name, "found": first, "repaired": second})
    return rows


def _unchecked(assessed: Assessed) -> list[list[str]]:
    seen = {(p.name, r.check, r.missing): None for p in assessed.places for r in p.unchecked}
    return [list(k) for k in seen]


def _extremes(forces: Forces, member: str) -> tuple[tuple[float, str], tuple[float, str], float]:
    m = forces.members[member]
    high, low = m.axial.max(axis=1), m.axial.min(axis=1)
    t, c = int(high.argmax()), int(low.argmin())
    names = [k.name for k in forces.combinations]
    return (max(0.0, float(high[t])), names[t]), (max(0.0, -float(low[c])), names[c]), float(abs(m.moment).max())


def _forces(found: Forces | None, repaired: Forces | None, truss: Truss, q: Quantities) -> list[Json]:
    """Greatest tension, compression and moment of each member between joints; where as found has no numbers, its cells say so."""
    lead = repaired or found
    if lead is None:
        return []
    rows: list[Json] = []
    for member in lead.members:
        cells: list[str] = []
        for forces in (found, repaired):
            if forces is None or member not in forces.members:
                cells += ["–", "–", "–"]
                continue
            (tension, t_name), (compression, c_name), moment = _extremes(forces, member)
            cells += [
                f"{q.write(tension, 'lb', name=False)} ({t_name})" if tension > 0.5 else "–",
                f"{q.write(compression, 'lb', name=False)} ({c_name})" if compression > 0.5 else "–",
                q.write(moment, "in-lb", name=False) if moment > 0.5 else "–",
            ]
        rows.append({"member": member, "cells": cells})
    return rows


def _loads(loads: Loads, pictures: Sequence[LoadPicture], q: Quantities) -> list[list[str]]:
    area = q.system.write_area_load
    rows = [["roof, dead", f"{area(loads.roof_dead)} of {loads.roof_dead_on}"], ["ceiling, dead", area(loads.ceiling_dead)]]
    rows.append(["roof, live", area(loads.roof_live)])
    if loads.snow is not None:
        s = loads.snow
        rows.append(["ground snow", area(s.ground_snow)])
        slippery = "slippery" if s.slippery else "not slippery"
        rows.append(["snow factors", f"exposure {s.exposure:g}, thermal {s.thermal:g}, importance {s.importance:g}, roof {slippery}"])
        rows += [[f"{d.kind}, {d.side}", f"{q.length(d.height)} above the roof"] for d in s.drifts]
    if loads.concentrated > 0:
        rows.append(["concentrated", f"{q.system.write_force(loads.concentrated)} at any bottom-chord joint"])
    rows += [[f"{g.kind}, {g.name}", "given by the engineer"] for g in loads.given]
    rows += [[p.name, p.note] for p in pictures if p.note and not p.forces and p.name.startswith("S ")]
    if loads.original is not None:
        rows.append(["original design", f"{area(loads.original.total)} of plan ({loads.original.source})" if loads.original.source else ""])
    return rows


def _snow(before: TrussAssessment, q: Quantities) -> str:
    snow = before.snow
    if snow is None:
        return ""
    area = q.system.write_area_load
    least = "at least " if snow.at_least else ""
    where = f" First to reach 1.0: {snow.governing}." if snow.governing else ""
    return (
        f"As found the roof may carry {least}{area(snow.flat_roof_allowed)} of flat-roof snow, {least}{snow.factor:.2f} of today's "
        f"{area(snow.flat_roof_today)}.{where}"
    )


def _pictures(before: TrussAssessment, q: Quantities) -> list[Json]:
    return [load_shape(p, before.truss, q.system).content() for p in before.pictures]


def _heels(truss: Truss, assessed: Assessed, q: Quantities) -> list[Json]:
    """The surveyed heels as free bodies, combination by combination."""
    found: list[Json] = []
    for b in bodies(truss, assessed):
        rows = [
            [name, *(q.write(float(v[k]), "lb", name=False) for v in (b.thrust, b.tension, b.across)),
             q.write(float(b.moment[k]), "in-lb", name=False),
             *(q.write(float(v[k]), "lb", name=False) if abs(float(v[k])) > 0.5 else "–" for v in b.reaction)]
            for k, name in enumerate(b.combinations)
        ]  # fmt: skip
        inside = f"{q.length(abs(b.offset[0]))} {'inside' if b.offset[0] >= 0 else 'outside'} and {q.length(abs(b.offset[1]))} below"
        about = f"Heel {b.joint}: top chord at {math.degrees(b.slope):.1f} degrees; the bearing stands {inside} the work point."
        found.append({"about": about, "rows": rows})
    return found


def _duration(name: str) -> str:
    return name.replace("_", " ")


def _line(assessed: Assessed) -> str:
    """One sentence about a structure."""
    if assessed.no_safe_load_path:
        return f"No safe load path: {assessed.no_safe_load_path}."
    worst = assessed.worst
    if worst is None:
        return "Nothing could be checked."
    count = sum(any(over(r) for r in p.results) for p in assessed.places)
    place, r = worst
    places = "no place is over 1.0" if not count else ("1 place is over 1.0" if count == 1 else f"{count} places are over 1.0")
    lead = f"Greatest ratio {ratio(r.ratio)}: {place.name}, {r.check}, under {r.combination}; {places}."
    return f"{lead} {assessed.count.results:,} checks at {len(assessed.places)} places."


def truss_content(package: Package, repaired: Repaired, paper: Paper) -> Json:
    before, after, q = repaired.before, repaired.after, paper.quantities
    truss = before.truss
    found = before.as_found
    forces = after.forces or found.forces
    force, moment = q.large("lb")[0], q.large("in-lb")[0]
    after_sheets = [paper.sheet(r, p.name) for p, r in of_each_kind(others(after.places, repaired.details))]
    found_sheets = [paper.sheet(r, p.name) for p, r in _failing(found)]
    return {
        "mark": truss.mark,
        "about": f"Type {truss.type}, {truss.bay}. Span {q.length(truss.span)}, spacing {q.length(truss.tributary_width)}. "
        f"Top chord {'curved' if truss.curved else 'straight'} between panel points.",
        "found_line": _line(found),
        "repaired_line": _line(after),
        "notes": [*before.notes],
        "flags": [*before.flags, *(f"{o.item}: {o.value} ({o.reason})" for o in truss.overrides)],
        "assumptions": [*before.assumptions, *repaired.assumptions],
        "findings": [
            {
                "title": f.title,
                "cause": f.cause,
                "ratio": "" if math.isnan(f.ratio) else ratio(f.ratio),
                "combination": f.combination,
            }
            for f in before.findings
        ],
        "refusals": [{"remedy": r.remedy, "key": r.key, "reason": r.reason, "clause": r.clause} for r in repaired.refusals],
        "snow": _snow(before, q),
        "loads": _loads(package.project.loads, before.pictures, q),
        "combinations": [
            [c.name, " + ".join(n if f == 1.0 else f"{written(f)} × {n}" for n, f in c.factors) or "imported", _duration(c.duration), source(c.cite)]
            for c in before.combinations
        ],
        "pictures": _pictures(before, q),
        "safety": safety_content(repaired.safety, paper),
        "staged": stages_content(repaired.staged, paper),
        "heels": _heels(truss, after if after.forces is not None else found, q),
        "heels_of": (after if after.forces is not None else found).structure,
        "strands": strands_content(repaired, paper),
        "variations": [
            {
                "title": v.title,
                "place": v.place,
                "check": v.check,
                "combination": v.combination,
                "ratio": ratio(v.ratio),
                "over": v.ratio > 1.0,
                "changes": "yes" if v.changes else "no",
            }
            for v in repaired.variations
        ],
        "forces_from": forces.source if forces is not None else "",
        "force_unit": force,
        "moment_unit": moment,
        "forces": _forces(found.forces, after.forces, truss, q),
        "places": _places(found, after, paper),
        "unchecked": _unchecked(after),
        "found_sheets": found_sheets,
        "repaired_sheets": after_sheets,
        "details": [detail_content(package, repaired, d, paper) for d in repaired.details],
    }
