"""The brace line as a remedy: where it is asked for, how many lines, which timber, what its anchor must take."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from detailgen.core.errors import NotCovered
from detailgen.core.units import QuantityError, UnitSystem, parse
from detailgen.model.package import Intervention, Refusal
from detailgen.model.project import AnchoredBay, BraceLine, Member, Truss
from detailgen.remedies import usual
from detailgen.remedies.brace import parameters as p
from detailgen.remedies.brace.assembly import build_detail
from detailgen.remedies.brace.judge import ANCHOR, Judged, judge, needs_of
from detailgen.remedies.brace.layout import Layout, layouts
from detailgen.remedies.brace.site import Stretch, axis_of, bay_for, braced, evenly, failing_stretches, judged, laid, sites_of
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
        targets = failing_stretches(job, truss, solved, site)
        if wishes.wrong:
            return self._refused(site, wishes.wrong)
        if bay is None:
            return self._refused(site, _no_bay(job, truss, targets, solved))
        span = bay.spacing or truss.tributary_width
        wood = usual.new_wood(job.wood, member.plies[0].wood)
        blocked = _blocked(job, member, span)
        if blocked:
            return self._refused(site, blocked)
        try:
            found = layouts(member, span, wishes.diameters, job.project.units.name)
        except NotCovered as error:
            return Refusal(site.key, self.key, site.truss, f"{error.what} is not covered", error.clause)
        found = [x for x in found if x.height * x.width >= least.get("timber", 0.0) - 1e-6 and x.diameter >= least.get("diameter", 0.0) - 1e-6]
        if not found:
            return self._refused(site, _nothing_fits(job, span))
        tried: list[Judged] = []
        clash = ""
        for layout in found:
            stations, why = _stations(job, truss, solved, targets, layout)
            clash = clash or why
            if stations:
                held = braced(truss, member, stations)
                needs = needs_of(job, held, solved, targets, stations)
                tried.append(judge(job, solved, member, layout, needs, bay, wood))
                if tried[-1].passes:
                    return self._repair(job, held, site, targets, stations, tried[-1], bay, solved)
        return self._refused(site, _why_none(job, tried, bay, clash))

    def _refused(self, site: Site, why: str) -> Refusal:
        return Refusal(site.key, self.key, site.truss, why)

    def _repair(
        self, job: Job, held: Truss, site: Site, targets: Sequence[Stretch], stations: Sequence[float], chosen: Judged, bay: AnchoredBay,
        solved: Solved,
    ) -> Repair:  # fmt: skip
        layout, units, member = chosen.layout, job.project.units, held.member(site.member)
        edge = "lower" if "lower" in axis_of(member) else "upper"
        lines = tuple(
            BraceLine(f"{site.key}.{k}", member.name, x, edge, layout.width, layout.height, layout.weight) for k, x in enumerate(stations, 1)
        )
        truss = replace(held, lines=(*held.lines, *lines))
        wood = usual.new_wood(job.wood, member.plies[0].wood)
        detail = build_detail(site, member, stations, chosen, bay, wood, solved, units)
        now = max((r.ratio for s in targets for place in judged(job, held, solved, s) for r in place.results), default=math.nan)
        parameters = {
            "lines": f"{len(stations)}, at {' and '.join(units.write_length(x) for x in stations)}{' along the web' if member.kind == 'web' else ''}",
            "timber": f"{_size(layout, units)}, {wood.species} {wood.grade}, {units.write_length(layout.span)} from truss to truss",
            "bolts": f"{layout.count} of {units.write_made(layout.diameter)} on each side of its joint, {usual.BOLT_GRADE}",
            "free length": f"{units.write_length(chosen.needs.free)} at most",
            "member with its line": f"{now:.2f}",
            "force at one truss": f"{units.write_force_up(chosen.needs.most)} (2 % of the compression by common practice, or more for a bowed member)",
            "force at the anchored bay": f"{units.write_force_up(chosen.needs.most * bay.leaning)} of {bay.leaning} trusses; it takes "
            f"{units.write_force(bay.takes)} ({bay.where})",
            "anchored bay": "by the engineer; what it costs is not in the stated cost",
        }  # fmt: skip
        intervention = Intervention(site.key, self.key, site.truss, detail.title, site.because, parameters, ())
        sizes = {"timber": layout.height * layout.width, "diameter": layout.diameter, "lines": float(len(stations))}
        return Repair(site, truss, intervention, detail, sizes, chosen.results, "", 0.0)


def _size(layout: Layout, units: UnitSystem) -> str:
    return " x ".join(units.write_made(v) for v in (layout.height, layout.width))


def _most(member: Member) -> int:
    return 1 if member.kind == "web" else p.MOST_LINES


def _stations(job: Job, truss: Truss, solved: Solved, targets: Sequence[Stretch], layout: Layout | None) -> tuple[tuple[float, ...], str]:
    """The fewest stations that hold every stretch; none and the reason where one cannot be held. Without a layout: evenly, whatever stands there."""
    stations: list[float] = []
    clash = "the lines that may be laid do not hold it"
    for stretch in targets:
        for count in range(1, _most(stretch.member) + 1):
            if layout is None:
                mine: tuple[float, ...] = evenly(stretch, count)
            else:
                mine, why = laid(truss, stretch, count, layout.width, layout.height, layout.height)
                clash = f"no place on the member is free for a line: {why} stands in the way" if why else clash
            held = braced(truss, stretch.member, mine)
            if mine and all(r.passes for place in judged(job, held, solved, stretch) for r in place.results):
                stations += mine
                break
        else:
            return (), clash
    return tuple(stations), ""


def _no_bay(job: Job, truss: Truss, targets: Sequence[Stretch], solved: Solved) -> str:
    """What is missing, and the force that it would have to take."""
    stations, why = _stations(job, truss, solved, targets, None)
    if not stations:
        return why
    units, member, count = job.project.units, targets[0].member, len(stations)
    needs = needs_of(job, braced(truss, member, stations), solved, targets, stations)
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
        return "the member is built up of layers: a line is offered for solid plies"
    access = job.project.access
    if access is not None and 0 < access.longest < span:
        return f"the timber is {units.write_length(span)} long from truss to truss, and no piece over {units.write_length(access.longest)} gets there"
    return ""


def _nothing_fits(job: Job, span: float) -> str:
    units = job.project.units
    stocked = max(min(t) for t in p.timbers())
    if span > p.LIMIT_SLENDER * stocked:
        return (
            f"from truss to truss it is {units.write_length(span)}: a timber that is pushed over it must be "
            f"{units.write_length(span / p.LIMIT_SLENDER)} thick at least, and the thickest dry stock is {units.write_length(stocked)}"
        )
    return "no stocked timber with its bolts keeps its distances beside the member"


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
