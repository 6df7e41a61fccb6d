"""The web's sister as a remedy: where it is asked for, which is chosen, what a brace line would do instead."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from detailgen.core.errors import NotCovered
from detailgen.core.tolerance import at_most
from detailgen.core.units import QuantityError, parse
from detailgen.model.member import Member
from detailgen.model.package import Intervention, Refusal
from detailgen.model.project import Truss
from detailgen.remedies import usual
from detailgen.remedies.contract import Job, Repair, Site, Solved
from detailgen.remedies.sister import parameters as p
from detailgen.remedies.sister.assembly import build_detail
from detailgen.remedies.sister.judge import Judged, braced, judge, web_as, with_sister
from detailgen.remedies.sister.layout import Layout, layouts
from detailgen.remedies.sister.room import Room, free_length, in_the_way, panel_of, sites_of
from detailgen.stock.bolts import wrench_room

DIAMETER, SIDES = "sister bolt diameter", "sister sides"
"""Items of a truss's overrides that this remedy obeys."""


@dataclass(frozen=True)
class _Wishes:
    """What the engineer has set for this truss."""

    diameters: tuple[float, ...] = p.DIAMETERS
    sides: tuple[tuple[str, ...], ...] = tuple(p.SIDES.values())
    wrong: str = ""


def wishes_of(truss: Truss) -> _Wishes:
    """Overrides of a truss for sisters; a value that means nothing is told, never ignored."""
    diameters: tuple[float, ...] = p.DIAMETERS
    sides, wrong = tuple(p.SIDES.values()), ""
    for override in truss.overrides:
        if override.item == DIAMETER:
            try:
                diameters = (parse(override.value, "length"),)
            except QuantityError as error:
                wrong = f"override '{DIAMETER}': {error}"
        elif override.item == SIDES:
            if override.value in p.SIDES:
                sides = (p.SIDES[override.value],)
            else:
                wrong = f"override '{SIDES}': found '{override.value}'; allowed: {', '.join(p.SIDES)}"
    return _Wishes(diameters, sides, wrong)


class SisterRemedy:
    """Finds webs that fail in compression and bolts a timber along them."""

    key = "sister"
    title = "Web sister"
    order = 30

    def still_failing(self, job: Job, solved: Solved) -> Sequence[Site]:
        return sites_of(job, solved)

    def dimension(self, job: Job, truss: Truss, site: Site, solved: Solved, least: Mapping[str, float], most_lost: float) -> Repair | Refusal:
        """The sister with the least effort that brings the web and its own bolts to 1.0 or below, or the nearest miss with its numbers."""
        web, wishes = truss.member(site.member), wishes_of(truss)
        room = free_length(truss, web)
        length = math.dist(*(truss.joints[j] for j in web.joints))
        blocked = wishes.wrong or _blocked(job, truss, web, room, length)
        if blocked:
            return Refusal(site.key, self.key, site.truss, blocked)
        try:
            found = layouts(site.key, web, room, usual.new_wood(job.wood, web.plies[0].wood), wishes.sides, wishes.diameters, job.project.units.name,
                            truss.bolts_from)  # fmt: skip
            found = [x for x in found if all(_size(x, name) >= size - 1e-6 for name, size in least.items())]
            reach = {x.diameter: wrench_room(x.diameter) for x in found}
            free = [x for x in found if not in_the_way(truss, web, x.sister.bolts.positions, reach[x.diameter])]
            tried: list[Judged] = []
            for layout in free:
                tried.append(judge(job, truss, solved, web, layout))
                if tried[-1].passes:
                    return self._repair(job, truss, site, web, room, solved, tried[-1], found, length)
        except NotCovered as error:
            return Refusal(site.key, self.key, site.truss, f"{error.what} is not covered", error.clause)
        return self._refusal(job, truss, site, web, room, solved, tried, len(found), length)

    def _refusal(
        self, job: Job, truss: Truss, site: Site, web: Member, room: Room, solved: Solved, tried: Sequence[Judged], fitting: int, length: float,
    ) -> Refusal:  # fmt: skip
        units = job.project.units
        where = f"Free length {units.write_length(room.end - room.start)}, from {room.at_start} to {room.at_end}"
        brace = _brace_words(job, truss, web, solved, length)
        if not tried:
            why = "every one has a bolt in a no-drill zone" if fitting else "no stocked timber and pattern of bolts fits the web"
            return Refusal(site.key, self.key, site.truss, f"no sister fits: {why}. {where}. {brace}")
        near = min(tried, key=lambda j: (round(j.worst.ratio, 6) if math.isfinite(j.worst.ratio) else math.inf, j.layout.effort))
        worst = near.worst
        reason = (
            f"no sister is enough: {len(tried)} tried. The nearest, {_words(near.layout, job)}, stands at {worst.ratio:.2f} ({worst.where}: "
            f"{worst.missing or worst.check}). {where}. {brace}"
        )
        return Refusal(site.key, self.key, site.truss, reason)

    def _repair(
        self, job: Job, truss: Truss, site: Site, web: Member, room: Room, solved: Solved, judged: Judged, found: Sequence[Layout], length: float,
    ) -> Repair:  # fmt: skip
        layout, units = judged.layout, job.project.units
        detail = build_detail(truss, site, web, room, judged, judged.bolts, units)
        slender = next((r for r in judged.place.results if r.check == "slenderness"), None)
        parameters = {
            "timber": _timber_words(layout, job),
            "bolts": f"{len(layout.sister.bolts.positions)} of {units.write_made(layout.diameter)}, {usual.BOLT_GRADE}",
            "layout": _words(layout, job),
            "web with its sister": f"{judged.place.worst.ratio:.2f}" if judged.place.worst else "not checked",
            "free length": f"{units.write_length(room.end - room.start)}, from {room.at_start} to {room.at_end}",
        }
        if slender is not None:
            parameters["length over width, as of a bare web"] = f"{slender.demand:.0f} (at most {slender.capacity:.0f})"
        others = [_other_words(job, truss, solved, web, found, layout), _brace_words(job, truss, web, solved, length)]
        intervention = Intervention(site.key, self.key, site.truss, detail.title, site.because, parameters, tuple(o for o in others if o))
        sizes = {"timber": layout.timber, "diameter": layout.diameter}
        return Repair(site, with_sister(truss, layout), intervention, detail, sizes, judged.bolts, "", 0.0)


def _size(layout: Layout, name: str) -> float:
    return layout.timber if name == "timber" else layout.diameter


def _blocked(job: Job, truss: Truss, web: Member, room: Room, length: float) -> str:
    """Why no sister can be put along this web at all; "" where one can."""
    units = job.project.units
    if len(web.plies) != 1:
        return f"the web has {len(web.plies)} plies: a sister is offered for one solid timber"
    if web.plies[0].layers:
        return f"the web is built up of {len(web.plies[0].layers)} layers: a sister is offered for one solid timber"
    if any(d.kind == "break" and d.member == web.name for d in truss.damage):
        size = " x ".join(units.write_made(v) for v in (web.plies[0].thickness, web.plies[0].depth))
        return f"the web is broken: a sister carries no force from joint to joint, so a new web must take its place (the old one is {size})"
    free = room.end - room.start
    if free < p.LEAST_SHARE * length:
        share = f"less than {100 * p.LEAST_SHARE:.0f} % of the web"
        return f"only {units.write_length(max(free, 0.0))} is free between {room.at_start} and {room.at_end}, {share}: too much of it would stay bare"
    access = job.project.access
    if access is not None and 0 < access.longest < free:
        return f"the sister is {units.write_length(free)} long, and no piece over {units.write_length(access.longest)} gets to the truss"
    return ""


def _timber_words(layout: Layout, job: Job) -> str:
    write, sister = job.project.units.write_made, layout.sister
    sizes = " x ".join(write(v) for v in (sister.thickness, sister.depth, layout.length))
    return f"{len(sister.sides)} of {sizes}, {sister.wood.species} {sister.wood.grade}"


def _words(layout: Layout, job: Job) -> str:
    write, rows = job.project.units.write_made, len(layout.lines)
    text = f"{_timber_words(layout, job)}, {rows} row{'s' if rows > 1 else ''} of {len(layout.columns)} bolts {write(layout.diameter)}"
    return f"{text}, {write(layout.spacing)} apart" + (f", rows {write(layout.gauge)} apart" if rows > 1 else "")


def _other_words(job: Job, truss: Truss, solved: Solved, web: Member, found: Sequence[Layout], chosen: Layout) -> str:
    """The best sister of the other kind, one side against both."""
    ways = [x for x in found if len(x.sister.sides) != len(chosen.sister.sides)]
    for layout in ways:
        judged = judge(job, truss, solved, web, layout)
        if judged.passes:
            way = "on both sides" if len(layout.sister.sides) == 2 else "on one side"
            return f"{way}: {_words(layout, job)}; the web then stands at {judged.place.worst.ratio if judged.place.worst else math.nan:.2f}"
    return "the other way, none of those that fit brings the web to 1.00" if ways else ""


def _brace_words(job: Job, truss: Truss, web: Member, solved: Solved, length: float) -> str:
    """What a brace line at the web's middle would do, and what it would have to hold."""
    place = web_as(job, braced(truss, web, length), solved, web)
    if place.worst is None:
        return ""
    push = max(float(-np.min(solved.forces.members[panel_of(web)].axial)), 0.0)
    held = job.project.units.write_force(p.BRACE_FORCE * push)
    enough = "that is enough" if at_most(place.worst.ratio, 1.0) and all(r.passes for r in place.results) else "that is not enough"
    return (
        f"a brace line at mid-length: the web stands at {place.worst.ratio:.2f}, {enough}; the line must hold {held} at this web "
        f"({100 * p.BRACE_FORCE:.0f} % of its force, common practice), added up along the trusses that it passes, and run to an anchored bay "
        "that the engineer designs"
    )


REMEDY = SisterRemedy()
