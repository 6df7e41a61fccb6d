"""Before any repair: how much snow the truss may carry now, when the building is cleared, and where shores help in an emergency."""

from __future__ import annotations

import math
from collections.abc import Sequence

from detailgen.analysis.frame import Unstable
from detailgen.analysis.staged import Build
from detailgen.assessment.shoring import may_stand
from detailgen.assessment.stage_checks import Checks, check, passes
from detailgen.assessment.staging import Moment, Row, Works
from detailgen.core.errors import NotCovered
from detailgen.core.tolerance import at_most, rounded
from detailgen.core.units import UNITS
from detailgen.model.assessment import SafetyNow, SnowDepth, TrussAssessment
from detailgen.model.project import Project, Truss
from detailgen.standards.interface import LoadStandard, WoodStandard

PCF = UNITS["unit weight"]["pcf"]
WATCH, CLOSE = 0.5, 0.75
"""Parts of the snow that may lie there at which somebody looks after the truss, and at which the building is cleared (ours): depth and weight of
snow are known to no better than a quarter."""
KINDS = (("new, dry snow", 6.0), ("settled or wind-packed snow", 16.0), ("wet snow or slush", 30.0))
"""Weights of snow (pcf): common practice, no published source (a foot of new snow or a third of packed snow weigh about 5 psf)."""
SHARES = (0.25, 0.5, 0.75)
"""Shares of today's snow that are tried on the shored truss where all of it is too much (ours)."""


def snow_depths(watch: float, close: float, ground_snow: float, standard: LoadStandard) -> tuple[SnowDepth, ...]:
    """Depths at which kinds of snow weigh these loads (psi); ground_snow: of the site, psi."""
    found = [(kind, weight * PCF, "common practice") for kind, weight in KINDS]
    site, cite = standard.snow_weight(ground_snow)
    found.append(("as counted in drifts here", site, str(cite)))
    return tuple(SnowDepth(kind, w, watch / w, close / w, source) for kind, w, source in sorted(found, key=lambda f: f[1]))


def safety_now(project: Project, one: TrussAssessment, wood: WoodStandard, standard: LoadStandard) -> SafetyNow:
    """The safety of one truss as it was found."""
    snow, given, truss = one.snow, project.loads.snow, one.truss
    today = snow.flat_roof_today if snow is not None else 0.0
    allowed = snow.flat_roof_allowed if snow is not None else 0.0
    watch, close = WATCH * allowed, CLOSE * allowed
    ground_snow = given.ground_snow if given is not None else 0.0
    ground = close * ground_snow / today if today > 0 else 0.0
    depths = snow_depths(watch, close, ground_snow, standard) if allowed > 0 else ()
    notes = []
    if one.as_found.no_safe_load_path:
        notes.append(f"No safe load path as found: {one.as_found.no_safe_load_path}. Nobody goes under it before it is shored.")
    elif given is None:
        notes.append("The project file says that there is no snow: no limit is worked out.")
    elif snow is None:
        notes.append("How much snow it may carry could not be worked out: treat it as none.")
    elif allowed == 0.0:
        notes.append("Even without snow something is over its capacity: clear the building and shore it.")
    shores: tuple[tuple[str, float], ...] = ()
    shored, least = 0.0, False
    if truss.forces is not None:
        notes.append("Forces come from another analysis: what shores would do is not worked out.")
    elif project.modelling.one_by_one or truss.one_sided:
        notes.append("Each combination is solved by itself (free travel, deformed truss, members of one sense): what shores do is not worked out.")
    elif given is not None:
        try:
            shores, shored, least = _shored(project, one, wood, standard)
        except (Unstable, NotCovered):
            notes.append("No shores were found on which it could stand.")
        if not shores:
            notes.append("No place of shores under the bottom chord lets it carry more snow: nothing but clearing roof and building helps.")
    governing = snow.governing if snow is not None else ""
    return SafetyNow(
        truss.mark, snow is not None, today, allowed, snow is not None and snow.at_least, governing, watch, close, ground, depths, shores, shored,
        least, tuple(notes),
    )  # fmt: skip


def places_of_need(one: TrussAssessment) -> tuple[str, ...]:
    """Inner joints of the bottom chord nearest to what fails or was found broken, the worst first."""
    truss = one.truss
    failing = [(p.worst.ratio, p.member) for p in one.as_found.places if p.worst is not None and not at_most(p.worst.ratio, 1.0)]
    names = [m for _, m in sorted(failing, key=lambda f: (-rounded(f[0]), f[1]))]
    wanted = [j for name in names for j in name.split("-")]
    at = [truss.joints[j][0] for j in wanted if j in truss.joints]
    at += [d.at for d in truss.damage if d.kind == "break" and truss.member(d.member).kind != "web"]
    inner = truss.bottom[1:-1]
    return tuple(dict.fromkeys(j for x in at for j in sorted(inner, key=lambda j: (abs(truss.joints[j][0] - x), j))[:2]))


def _sets(truss: Truss, one: TrussAssessment) -> list[tuple[str, ...]]:
    may = may_stand(truss)
    need = tuple(j for j in truss.bottom if j in places_of_need(one)[:3] and j in may)
    return [s for s in dict.fromkeys((need, may)) if s]


def _shored(
    project: Project, one: TrussAssessment, wood: WoodStandard, standard: LoadStandard,
) -> tuple[tuple[tuple[str, float], ...], float, bool]:  # fmt: skip
    """Shores snug on a clear roof: joints with their greatest push, the snow it then carries, and whether that is all that was tried."""
    truss = one.truss
    joints = may_stand(truss)
    works = Works(project, truss, truss, wood, standard, joints)
    plain = one.snow.flat_roof_allowed if one.snow is not None else 0.0
    today = works.loads.flat_roof_snow
    builds: list[tuple[tuple[str, ...], Build]] = []
    for chosen in _sets(truss, one):
        build = Build(works.overlay.structure, works.overlay.standing_as_found)
        from_zero = bool(one.as_found.no_safe_load_path)
        if not from_zero:
            build.add(works.case("D as found", build))
        build.stand([works.overlay.shores[j] for j in chosen])
        if from_zero:
            build.add(works.case("D as found", build))
        builds.append((chosen, build))
    # All of today's snow first; only where that is too much for every set of shores it is less.
    best: tuple[float, tuple[str, ...], Moment] | None = None
    for shares in ((1.0,), SHARES):
        tried = [(chosen, works.moment(f"{k}", build, _rows(works, k, shares), "found")) for k, (chosen, build) in enumerate(builds)]
        checks = check(works, [m for _, m in tried])
        for k, (chosen, moment) in enumerate(tried):
            held = _held(checks, k, (0.0, *shares))
            reach = held * today if held > 0 or shares == SHARES else -1.0
            if best is None or reach > best[0]:
                best = (reach, chosen, moment)
        if best is not None and best[0] > 0:
            break
    if best is None or best[0] < 0 or (best[0] <= plain and plain > 0):
        return (), 0.0, False
    reach, chosen, moment = best
    rows = [k for k, row in enumerate(moment.rows) if float(row.stage.split(" at ")[1]) * today <= reach + 1e-12]
    pushes = {j: -moment.result.axial[rows, works.overlay.shores[j]].mean(axis=1) for j in chosen}
    return tuple((j, max(float(p.max()), 0.0)) for j, p in pushes.items()), reach, math.isclose(reach, today)


def _held(checks: Checks, which: int, shares: Sequence[float]) -> float:
    """The greatest share under which, as under all below it, everything passes; -1 where nothing does."""
    reach = -1.0
    for share in shares:
        if not passes(checks[f"{which} at {share:g}"]):
            break
        reach = share
    return reach


def _rows(works: Works, which: int, shares: Sequence[float]) -> Sequence[Row]:
    """Dead load, and shares of every arrangement of today's snow."""
    dead, snow = works.factors.snow
    rows = [Row("D", works.factors.alone, (), "permanent", interim=False, stage=f"{which} at 0")]
    rows += [
        Row(f"D + {share:g} {name}", dead, ((name, snow * share),), "snow", interim=False, stage=f"{which} at {share:g}")
        for share in shares for name in works.loads.kinds.get("S", ())
    ]  # fmt: skip
    return rows
