"""The loads of the project file: what is given, what is assumed, what does not fit together."""

from __future__ import annotations

import contextlib
import itertools
from collections.abc import Sequence

from detailgen.core.units import UNITS, feet_inches
from detailgen.model.project import Modelling, Truss
from detailgen.model.roof_loads import DriftInput, GivenLoad, Loads, OriginalDesign, SnowInput
from detailgen.survey.document import Report
from detailgen.survey.fill import choice, suggest
from detailgen.survey.form import Unusable
from detailgen.survey.forms import AnalysisForm, Drift, FirstDesign, GivenLoadForm, LoadsForm, Snow, TrussForm

PSF = UNITS["area load"]["psf"]
UNUSUAL_SNOW = 300 * PSF
"""Ground snow (psi) above which one asks whether the unit is right (ours)."""


def load_assumptions(form: LoadsForm) -> list[str]:
    """What was taken where the file says nothing, and what is unusual."""
    out = []
    if not form.has("roof dead on"):
        out.append("Loads: it is not said on which area the roof's dead load acts; it is taken per sloped area.")
    if form.ceiling_dead is None:
        out.append("Loads: no ceiling load is given; none hangs on the bottom chord.")
    if form.snow == "none":
        out.append("Loads: the project file says that there is no snow; none is counted.")
    elif isinstance(form.snow, Snow):
        for key in ("exposure", "thermal", "importance"):
            if not form.snow.has(key):
                out.append(f"Loads: the {key} factor for snow is not given; it is taken as 1.0.")
        if form.snow.ground > UNUSUAL_SNOW:
            out.append(f"Loads: a ground snow load of {form.snow.ground / PSF:.0f} psf is unusual; check the number and its unit.")
        if not form.snow.has("slippery"):
            out.append("Loads: it is not said whether the roof is slippery; it is taken as not slippery.")
    return out


def _drift(form: Drift) -> DriftInput:
    return DriftInput(
        form.beside, form.side, form.height, form.roof_above or 0.0, form.roof_below or 0.0, form.distance or 0.0, tuple(form.trusses)
    )  # fmt: skip


def _snow(form: Snow) -> SnowInput:
    return SnowInput(
        form.ground, form.exposure, form.thermal, form.importance, form.slippery, form.risk_category, form.winter_wind or 0.0,
        (form.left_eave, form.right_eave), tuple(_drift(d) for d in form.drifts),
    )  # fmt: skip


def _on_something(given: GivenLoadForm, made: Sequence[Truss], report: Report) -> None:
    """A given load that lies on nothing, or beyond a truss that it concerns."""
    points = given.points
    if len(points) > 1 and (points[-1][0] == points[0][0] or not any(p for _, p in points)):
        found = "a load on no length" if points[-1][0] == points[0][0] else "no load at any of its points"
        report.add(given.place("points"), found, "a load that is not zero on some length of the truss")
    for truss in made:
        if (not given.trusses or truss.mark in given.trusses) and points and points[-1][0] > truss.span + 1e-6:
            found = f"{feet_inches(points[-1][0])}, beyond the right heel of truss {truss.mark}"
            allowed = f"points between the heels, up to {feet_inches(truss.span)}"
            report.add(given.place("points"), found, allowed, "Name the trusses that it lies on with 'trusses:'.")


def check_loads(form: LoadsForm, trusses: list[TrussForm], made: Sequence[Truss], report: Report) -> None:
    """What one entry of the loads says about another, or about the trusses; ``made`` are those that could be read."""
    marks = [t.mark for t in trusses if t.has("mark")]

    def known(entry: Drift | GivenLoadForm) -> None:
        for mark in entry.trusses:
            if mark not in marks:
                report.add(entry.place("trusses"), f"'{mark}', no truss of this file", choice(tuple(marks)), suggest(mark, tuple(marks)))

    for given in form.given:
        with contextlib.suppress(Unusable):
            known(given)
            if len(given.points) < 2 or any(b[0] < a[0] for a, b in itertools.pairwise(given.points)):
                report.add(given.place("points"), "points that do not go from left to right", "two points or more, each at or beyond the one before")
            else:
                _on_something(given, made, report)
    if not isinstance(form.snow, Snow):
        if any(g.kind == "snow" for g in form.given):
            report.add(form.place("given"), "snow that you give, on a roof without snow", "snow with its ground load", "Give the site's snow.")
        return
    for drift in form.snow.drifts:
        with contextlib.suppress(Unusable):
            known(drift)
            if drift.beside == "higher roof" and drift.roof_above is None:
                report.add(drift.place("roof above"), "nothing", "the length of the higher roof", "Add 'roof above: 60 ft'.")
            if drift.side == "end wall" and drift.distance is None:
                report.add(drift.place("distance"), "nothing", "the distance from the end wall to the truss", "Add 'distance: 8 ft'.")


def loads_of(form: LoadsForm) -> Loads:
    """The loads in inside units."""
    snow = form.snow
    first: FirstDesign | None = form.original_design
    return Loads(
        form.roof_dead,
        form.roof_dead_on,
        form.ceiling_dead or 0.0,
        form.wood_weight or 0.0,
        form.roof_live,
        _snow(snow) if isinstance(snow, Snow) else None,
        None if first is None else OriginalDesign(first.total, first.tension_stress or 0.0, first.source),
        form.roof_live_reduction,
        form.concentrated or 0.0,
        tuple(GivenLoad(g.name, g.kind, tuple(g.points), tuple(g.trusses)) for g in form.given),
    )


def check_modelling(form: AnalysisForm | None, trusses: Sequence[Truss], report: Report) -> None:
    """Free travel, or members that carry one sense only, and the deformed truss are not found together."""
    if form is None or not form.second_order:
        return
    if form.free_travel:
        allowed = "one of the two: each combination is solved once"
        report.add(form.place("free travel"), "free travel of bolts beside 'second order: yes'", allowed, "Delete one of them.")
    for truss in trusses:
        if truss.one_sided:
            name = next(m.name for m in truss.members if m.carries != "both")
            allowed = "'no' where members carry tension or compression only: which of them carry is found on the undeformed truss"
            report.add(form.place("second order"), f"yes, and web {name} of truss {truss.mark} carries one sense only", allowed)


def modelling_of(form: AnalysisForm | None) -> Modelling:
    """What the analysis counts beyond the plain frame."""
    return Modelling() if form is None else Modelling(form.shear, form.web_bolts_slip, form.free_travel or 0.0, form.second_order)
