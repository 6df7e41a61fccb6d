"""The brace line as a remedy: where it is asked for, how many lines, which timber, what its anchor must take."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from detailgen.core.errors import NotCovered
from detailgen.core.units import QuantityError, UnitSystem, parse
from detailgen.model.added import BraceLine
from detailgen.model.member import Member
from detailgen.model.package import Intervention, Refusal
from detailgen.model.project import AnchoredBay, Truss
from detailgen.remedies import usual
from detailgen.remedies.brace import parameters as p
from detailgen.remedies.brace.assembly import build_detail
from detailgen.remedies.brace.judge import ANCHOR, Judged, judge, needs_of
from detailgen.remedies.brace.layout import Layout, layouts
from detailgen.remedies.brace.site import axis_of, bay_for, braced, judged, sites_of, stations_for, to_hold
from detailgen.remedies.contract import Job, Repair, Site, Solved

DIAMETER = "brace bolt diameter"
"""Item of a truss's overrides that this remedy obeys."""


@dataclass(frozen=True)
class _Wishes:
    diameters: tuple[float, ...] = p.DIAMETERS
    wrong: str = ""


def wishes_of(truss: Truss) -> _Wishes:
    """Overrides of a truss for brace lines; a value that means nothing is told, never ignored."""
    for override in truss.overrides:
        if override.item == DIAMETER:
            try:
                return _Wishes((parse(override.value, "length"),))
            except QuantityError as error:
                return _Wishes(wrong=f"override '{DIAMETER}': {error}")
    return _Wishes()


class BraceRemedy:
    """Finds webs and chords that buckle out of the truss and holds them by lines along the building."""

    key = "brace"
    title = "Brace line"
    order = 35

    def still_failing(self, job: Job, solved: Solved) -> Sequence[Site]:
        return sites_of(job, solved)

    def dimension(self, job: Job, truss: Truss, site: Site, solved: Solved, least: Mapping[str, float], most_lost: float) -> Repair | Refusal:
        """The fewest lines, then the least timber and bolts, that bring the member and all of the line to 1.0 or below; or what is missing."""
        member, wishes = truss.member(site.member), wishes_of(truss)
        bay = bay_for(job, truss, member)
        pairs = to_hold(job, truss, solved, site)
        if wishes.wrong:
            return self._refused(site, wishes.wrong)
        without = [r for x in judged(job, truss, solved, member, pairs) for r in x.results]
        if all(r.passes for r in without):
            now = max((r.ratio for r in without), default=math.nan)
            return self._refused(site, f"with the other repairs in it stands at {now:.2f} without a line: nothing asks for one any more")
        if bay is None:
            return self._refused(site, _no_bay(job, truss, member, pairs, solved))
        span = bay.spacing or truss.tributary_width
        wood = usual.new_wood(job.wood, member.plies[0].wood)
        blocked = _blocked(job, member, span)
        if blocked:
            return self._refused(site, blocked)
        try:
            found = layouts(member, span, span / job.wood.greatest_slenderness()[0], wishes.diameters, job.project.units.name)
        except NotCovered as error:
            return Refusal(site.key, self.key, site.truss, f"{error.what} is not covered", error.clause)
        found = [x for x in found if x.height * x.width >= least.get("timber", 0.0) - 1e-6 and x.diameter >= least.get("diameter", 0.0) - 1e-6]
        if not found:
            return self._refused(site, _nothing_fits(job, span))
        tried: list[Judged] = []
        clash = ""
        for layout in found:
            lines, why = stations_for(job, truss, solved, member, pairs, (layout.height, layout.width))
            clash = clash or why
            if lines:
                stations = tuple(x for xs in lines.values() for x in xs)
                held = braced(truss, member, stations)
                needs = needs_of(job, held, solved, tuple(lines), stations)
                tried.append(judge(job, solved, member, layout, needs, bay, wood))
                if tried[-1].passes:
                    now = max((r.ratio for x in judged(job, held, solved, member, pairs) for r in x.results), default=math.nan)
                    return self._repair(job, held, site, stations, tried[-1], bay, solved, now)
        return self._refused(site, _why_none(job, tried, bay, clash))

    def _refused(self, site: Site, why: str) -> Refusal:
        return Refusal(site.key, self.key, site.truss, why)

    def _repair(
        self, job: Job, held: Truss, site: Site, stations: Sequence[float], chosen: Judged, bay: AnchoredBay, solved: Solved, now: float,
    ) -> Repair:  # fmt: skip
        layout, units, member = chosen.layout, job.project.units, held.member(site.member)
        edge = "lower" if "lower" in axis_of(member) else "upper"
        lines = tuple(
            BraceLine(f"{site.key}.{k}", member.name, x, edge, layout.width, layout.height, layout.weight) for k, x in enumerate(stations, 1)
        )
        truss = replace(held, lines=(*held.lines, *lines))
        wood = usual.new_wood(job.wood, member.plies[0].wood)
        detail = build_detail(site, member, stations, chosen, bay, wood, solved, job)
        parameters = {
            "lines": f"{len(stations)}, at {', '.join(units.write_length(x) for x in stations)}{' along the web' if member.kind == 'web' else ''}",
            "timber": f"{_size(layout, units)}, {wood.species} {wood.grade}, {units.write_length(layout.span)} from truss to truss",
            "bolts": f"{layout.count} of {units.write_made(layout.diameter)} on each side of its joint, {usual.BOLT_GRADE}",
            "free length": f"{units.write_length(chosen.needs.free)} at most",
            "member with its line": f"{now:.2f}",
            "force at one truss": f"{units.write_force_up(chosen.needs.most)} (2 % of the compression, common practice, or more for a bowed member)",
            "force at the anchored bay": f"{units.write_force_up(chosen.needs.most * bay.leaning)} of {bay.leaning} trusses; it takes "
            f"{units.write_force(bay.takes)} ({bay.where})",
            "anchored bay": "by the engineer; what it costs is not in the stated cost",
        }  # fmt: skip
        intervention = Intervention(site.key, self.key, site.truss, detail.title, site.because, parameters, ())
        sizes = {"timber": layout.height * layout.width, "diameter": layout.diameter, "lines": float(len(stations))}
        return Repair(site, truss, intervention, detail, sizes, chosen.results, "", 0.0)


def _size(layout: Layout, units: UnitSystem) -> str:
    return " x ".join(units.write_made(v) for v in (layout.height, layout.width))


def _no_bay(job: Job, truss: Truss, member: Member, pairs: Sequence[tuple[str, str]], solved: Solved) -> str:
    """What is missing, and the force that it would have to take."""
    found, why = stations_for(job, truss, solved, member, pairs, None)
    if not found:
        return why
    stations = tuple(x for xs in found.values() for x in xs)
    units, count = job.project.units, len(stations)
    needs = needs_of(job, braced(truss, member, stations), solved, tuple(found), stations)
    kind = "webs" if member.kind == "web" else member.kind
    lines = "a brace line" if count == 1 else f"{count} brace lines"
    return (
        f"{lines} would hold it, but a line is worth nothing without an anchor, and the survey states none for {kind}. An anchored bay must take "
        f"{units.write_force_up(needs.most)} of each line for each truss that leans on it, either way along the building. If the engineer has one, "
        f"state it: 'anchored bays: [{{bay: ..., holds: {kind}, takes: ..., leaning: ...}}]'"
    )


def _blocked(job: Job, member: Member, span: float) -> str:
    units = job.project.units
    if any(x.layers for x in member.plies):
        layers = max(len(x.layers) for x in member.plies)
        return f"the member is built up of {layers} layers: a line is offered for solid plies"
    access = job.project.access
    if access is not None and 0 < access.longest < span:
        return f"the timber is {units.write_length(span)} long from truss to truss, and no piece over {units.write_length(access.longest)} gets there"
    return ""


def _nothing_fits(job: Job, span: float) -> str:
    units = job.project.units
    stocked = max(min(t) for t in p.timbers())
    least = span / job.wood.greatest_slenderness()[0]
    if least > stocked:
        return (
            f"from truss to truss it is {units.write_length(span)}: a timber that is pushed over it must be "
            f"{units.write_length(least)} thick at least, and the thickest dry stock is {units.write_length(stocked)}"
        )
    thick = units.write_length(least)
    return (
        f"of {len(p.timbers())} stocked timbers none is {thick} thick at least, no higher than the member is deep, and {p.EDGE:g} diameters of its "
        "bolts from their row to its edges"
    )


def _why_none(job: Job, tried: Sequence[Judged], bay: AnchoredBay, clash: str) -> str:
    units = job.project.units
    if not tried:
        return clash
    near = min(tried, key=lambda j: (sum(not r.passes for r in j.results), round(j.worst.ratio, 6) if math.isfinite(j.worst.ratio) else math.inf))
    worst = near.worst
    anchor = next((r for r in near.results if r.check == ANCHOR and not r.passes), None)
    if anchor is not None:
        return (
            f"the anchored bay ({bay.where}) takes {units.write_force(bay.takes)} of a line, and {bay.leaning} trusses with "
            f"{units.write_force_up(near.needs.most)} each push {units.write_force_up(anchor.demand)} on it"
        )
    return (
        f"no line is enough: {len(tried)} tried. The nearest, a timber of {_size(near.layout, units)} with {near.layout.count} bolts of "
        f"{units.write_made(near.layout.diameter)} on each side of its joint, stands at {worst.ratio:.2f} ({worst.where}: "
        f"{worst.missing or worst.check})"
    )


REMEDY = BraceRemedy()
