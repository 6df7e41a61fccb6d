"""The web's end as a remedy: where it is asked for, which bolts are chosen, why none fit."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from detailgen.core.errors import NotCovered
from detailgen.core.units import QuantityError, parse
from detailgen.model.package import Intervention, Refusal
from detailgen.model.project import Truss
from detailgen.remedies import usual
from detailgen.remedies.contract import Job, Repair, Site, Solved
from detailgen.remedies.web_end import parameters as p
from detailgen.remedies.web_end.asked import Asked, Choice
from detailgen.remedies.web_end.assembly import build_detail
from detailgen.remedies.web_end.cover_choice import best_way
from detailgen.remedies.web_end.cover_search import over_one
from detailgen.remedies.web_end.judge import Judged, judge, stands, with_connection
from detailgen.remedies.web_end.lap import Layout, layouts
from detailgen.remedies.web_end.site import End, end_forces, end_of, hung, joint_of, sites_of

DIAMETER, WAY = "web end bolt diameter", "web end way"
"""Items of a truss's overrides that this remedy obeys."""
BOLTS = "bolts"
"""The way through the lap, by its name among those that an override may ask for."""
COVERED = "covered"
"""Name of a size that is 1 where another way was chosen: with it a later round does not go back to bolts through the lap."""


@dataclass(frozen=True)
class _Wishes:
    diameters: tuple[float, ...] = p.DIAMETERS
    ways: tuple[str, ...] = (BOLTS, p.BLOCKS, *p.COVERS)
    wrong: str = ""


def wishes_of(truss: Truss) -> _Wishes:
    """Overrides of a truss for web ends; a value that means nothing is told, never ignored."""
    wishes = _Wishes()
    for override in truss.overrides:
        if override.item == DIAMETER:
            try:
                wishes = replace(wishes, diameters=(parse(override.value, "length"),))
            except QuantityError as error:
                wishes = replace(wishes, wrong=f"override '{DIAMETER}': {error}")
        elif override.item == WAY:
            if override.value in _Wishes().ways:
                wishes = replace(wishes, ways=(override.value,))
            else:
                wishes = replace(wishes, wrong=f"override '{WAY}': found '{override.value}'; allowed: {', '.join(_Wishes().ways)}")
    return wishes


class WebEndRemedy:
    """Finds bolted ends of webs that fail and bolts them anew."""

    key = "web_end"
    title = "Web end connection"
    order = 40

    def still_failing(self, job: Job, solved: Solved) -> Sequence[Site]:
        return sites_of(job, solved)

    def dimension(self, job: Job, truss: Truss, site: Site, solved: Solved, least: Mapping[str, float], most_lost: float) -> Repair | Refusal:
        """The fewest bolts through the lap that bring the end to 1.0 or below and leave the timbers strong enough; where there are none, the way
        with the least stated cost of the others; else the nearest miss of every way with its numbers. Where the bolts hang the chord's load on too
        little of its depth, first only those that do not."""
        wishes, web = wishes_of(truss), truss.member(site.member)
        end = end_of(truss, solved, web, joint_of(site))
        blocked = wishes.wrong or _blocked(truss, end)
        if blocked or end is None:
            return Refusal(site.key, self.key, site.truss, blocked)
        missed, clause = "not what the override asks for", ""
        asked = Asked(job, truss, site, solved, end, end_forces(truss, solved, web, end.joint), wishes.diameters, least)
        alone = stands(job, truss, solved, end.connection)  # then new bolts are asked for the chord's sake alone
        told: tuple[str, ...] = ()
        # First what mends the chord's shear as well, then at least the end by itself. Where other repairs have mended both the bolts are still made
        # anew: without them the next round would ask again.
        aims = [h for h in (True, False) if (hung(job, truss, solved, end.connection) if h else not alone)] or [True]
        for hangs in aims:
            if BOLTS in wishes.ways and least.get(COVERED, 0.0) > 0.0:
                missed = "not enough in an earlier round"
            elif BOLTS in wishes.ways:
                lap = self._lap(job, truss, site, solved, end, wishes, least, hangs=hangs)
                if isinstance(lap, Repair):
                    return lap
                missed, clause = lap.reason, lap.clause
            # Bearing blocks leave the bolts that hang the load where they are.
            ways = [w for w in wishes.ways if not (hangs and w == p.BLOCKS)]
            chosen, told = best_way(replace(asked, hangs=hangs), ways)
            if chosen is not None:
                return self._covered(job, truss, site, end, chosen, (f"new bolts through the lap: {missed}", *told))
        return Refusal(site.key, self.key, site.truss, f"bolts through the lap: {missed}. {' '.join(told)}", clause)

    def _lap(
        self, job: Job, truss: Truss, site: Site, solved: Solved, end: End, wishes: _Wishes, least: Mapping[str, float],
        *, hangs: bool = False,
    ) -> Repair | Refusal:  # fmt: skip
        if not any(q.member != end.web.name for q in end.drilled):
            return Refusal(site.key, self.key, site.truss, "the old bolts pass no chord: web and chord do not lap as surveyed")
        try:
            found = layouts(truss, solved.model, end, job.project.units.name, wishes.diameters, least)
        except NotCovered as error:
            return Refusal(site.key, self.key, site.truss, f"{error.what} is not covered", error.clause)
        tried: list[Judged] = []
        for layout in found[: p.TRIES]:
            tried.append(judge(job, truss, solved, layout, hangs=hangs))
            if tried[-1].passes:
                return self._repair(job, truss, site, solved, end, tried, found, hangs)
        return self._refusal(job, truss, site, end, tried)

    def _covered(self, job: Job, truss: Truss, site: Site, end: End, chosen: Choice, others: tuple[str, ...]) -> Repair:
        detail, write = chosen.detail, job.project.units.write_made
        diameter = max(b.diameter for b in detail.bolts)
        parameters = {
            "way": chosen.way,
            "layout": chosen.words,
            "bolts": f"{len(detail.bolts)} of {write(diameter)}, {usual.BOLT_GRADE}",
            "web's end with them": f"{chosen.worst.ratio:.2f} ({chosen.worst.where}, {chosen.worst.check})",
            "lap": _lap_words(job, truss, end),
        }
        intervention = Intervention(site.key, self.key, site.truss, detail.title, site.because, parameters, others)
        sizes = {"bolts": float(len(detail.bolts)), "diameter": diameter, COVERED: 1.0}
        return Repair(site, with_connection(truss, chosen.connection), intervention, detail, sizes, chosen.own, "", 0.0)

    def _refusal(self, job: Job, truss: Truss, site: Site, end: End, tried: Sequence[Judged]) -> Refusal:
        lap = _lap_words(job, truss, end)
        if not tried:
            reason = f"no new bolts find a place in the lap of web and chord beside what stands there. {lap}"
            return Refusal(site.key, self.key, site.truss, reason)
        near = min(tried, key=lambda j: (round(j.miss, 6), j.layout.effort))
        worst = near.worst
        stands = f"stands at {over_one(worst.ratio)} ({worst.check})" if worst.ratio == worst.ratio else f"cannot be checked ({worst.missing})"
        reason = f"no new bolts are enough: {len(tried)} patterns tried. The nearest, {_words(near.layout, job)}, {stands}. {lap}"
        return Refusal(site.key, self.key, site.truss, reason, worst.cite.clause and f"{worst.cite.document} {worst.cite.clause}")

    def _repair(
        self, job: Job, truss: Truss, site: Site, solved: Solved, end: End, tried: Sequence[Judged], found: Sequence[Layout],
        hangs: bool,
    ) -> Repair:  # fmt: skip
        judged = tried[-1]
        layout = judged.layout
        detail = build_detail(truss, site, end, judged, end_forces(truss, solved, end.web, end.joint), job.project.units)
        parameters = {
            "bolts": f"{len(layout.bolts)} of {job.project.units.write_made(layout.diameter)}, {usual.BOLT_GRADE}",
            "layout": _words(layout, job),
            "web's end with them": f"{judged.worst.ratio:.2f} ({judged.worst.check})",
            "patterns that find a place": str(len(found)),
            "lap": _lap_words(job, truss, end),
        }
        others = _others(job, truss, solved, found, layout, hangs)
        intervention = Intervention(site.key, self.key, site.truss, detail.title, site.because, parameters, others)
        sizes = {"bolts": float(len(layout.bolts)), "diameter": layout.diameter}
        return Repair(site, with_connection(truss, layout.connection), intervention, detail, sizes, judged.place.results, "", 0.0)


def _others(job: Job, truss: Truss, solved: Solved, found: Sequence[Layout], chosen: Layout, hangs: bool) -> tuple[str, ...]:
    """The same work with other bolts: the fewest of each other diameter."""
    told = []
    for D in p.DIAMETERS:
        same = [x for x in found if x.diameter == D and chosen.diameter != D]
        best = next((j for j in (judge(job, truss, solved, x, hangs=hangs) for x in same[:20]) if j.passes), None)
        if best is not None:
            told.append(f"{job.project.units.write_made(D)} bolts: {_words(best.layout, job)}; the end then stands at {best.worst.ratio:.2f}")
        elif same:
            told.append(f"{job.project.units.write_made(D)} bolts: none of the {min(len(same), 20)} patterns that find a place passes")
    return tuple(told)


def _blocked(truss: Truss, end: End | None) -> str:
    """Why no bolts can be dimensioned here at all; "" where they can."""
    if end is None:
        return ("no connection was surveyed at this end: what stands in the way of new bolts is not known; enter 'connections: [{members: ..., "
                "joints: ..., bolts: ..., end: ...}]'")  # fmt: skip
    if any(d.kind == "break" and d.member == end.web.name for d in truss.damage):
        return "the web is broken: bolts at its end help nothing"
    if end.connection.plates:
        return "the end is held by old plates, not by a lap with the chord: bolts through the lap and covers over them are not offered"
    return ""


def _words(layout: Layout, job: Job) -> str:
    write = job.project.units.write_made
    if layout.in_old_holes:
        return f"{len(layout.bolts)} bolts {write(layout.diameter)} in the holes of the old ones, drilled out"
    text = f"{layout.rows} row{'s' if layout.rows > 1 else ''} of {layout.per_row} bolt{'s' if layout.per_row > 1 else ''} {write(layout.diameter)}"
    if layout.per_row > 1:
        text += f", {write(layout.spacing)} apart"
    return text + (f", rows {write(layout.gauge)} apart" if layout.rows > 1 else "")


def _lap_words(job: Job, truss: Truss, end: End) -> str:
    """What there is to bolt into."""
    write = job.project.units.write_made
    depth = max(ply.depth for ply in end.web.plies)
    chords = {m.name: max(ply.depth for ply in m.plies) for m in truss.members if m.kind != "web" and end.joint in m.joints}
    lap = " and ".join(f"the {name}, {write(d)} deep" for name, d in chords.items())
    old = len(end.old)
    beyond = end.connection.end
    runs = f"runs {write(beyond)} past the work point" if beyond >= 0 else f"stops {write(-beyond)} short of the work point"
    return f"The web is {write(depth)} deep and {runs}; it laps {lap}; old bolts there: {old}"


REMEDY = WebEndRemedy()
