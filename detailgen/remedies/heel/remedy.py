"""The heel as a remedy: where it is asked for, which steel is chosen, why none fits."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from detailgen.assessment.members import place_name
from detailgen.core.errors import NotCovered
from detailgen.core.units import UnitSystem
from detailgen.model.package import Intervention, Refusal
from detailgen.model.project import Truss
from detailgen.remedies import usual
from detailgen.remedies.contract import Job, Repair, Site, Solved
from detailgen.remedies.heel import parameters as p
from detailgen.remedies.heel.assembly import build_detail
from detailgen.remedies.heel.bolts import Heelwork, Pattern, demand, effort, heelwork, patterns, places
from detailgen.remedies.heel.shoe import Shoe, shoe_for
from detailgen.remedies.heel.site import BOTTOM, Corner, blocked, corner_of, joint_of, sites_of
from detailgen.standards.anchorage import SteelPartStandard
from detailgen.standards.interface import ALLOWABLE_STRESS

TRIES = 24
"""Patterns of one thickness that are judged by the survey's own code at most, the fewest bolts first (ours)."""


class HeelRemedy:
    """Finds heels that do not bear and makes them anew."""

    key = "heel"
    title = "Heel"
    order = 45

    def still_failing(self, job: Job, solved: Solved) -> Sequence[Site]:
        return sites_of(job, solved)

    def dimension(self, job: Job, truss: Truss, site: Site, solved: Solved, least: Mapping[str, float], most_lost: float) -> Repair | Refusal:
        """The fewest bolts and the thinnest steel that carry all, or the nearest miss with its numbers."""
        parts = job.steel
        corner = corner_of(truss, replace(solved, truss=truss), joint_of(site))
        if isinstance(corner, str):
            return Refusal(site.key, self.key, site.truss, corner)
        why = blocked(truss, corner, job.project.method == ALLOWABLE_STRESS, job.project.units)
        if why or not isinstance(parts, SteelPartStandard):
            return Refusal(site.key, self.key, site.truss, why or "no standard for welds and bent plates is installed")
        found: list[Heelwork] = []
        tried: list[Heelwork] = []
        missed: list[str] = []
        placed = places(truss, corner, job.project.units.name, least, most_lost)
        try:
            for side in p.SIDES[job.project.units.name]:
                if least.get("side", 0.0) - 1e-6 > side:
                    continue
                shoe = shoe_for(job, parts, truss, corner, side)
                if not isinstance(shoe, Shoe):
                    missed.append(f"{job.project.units.write_made(side)} side plates: {shoe[1]}")
                    continue
                good = patterns(job, corner, solved, shoe, placed)
                if not good:
                    missed.append(_no_pattern(job.project.units, corner, side))
                for pattern in good[:TRIES]:
                    tried.append(heelwork(job, truss, corner, solved, shoe, pattern))
                    if tried[-1].passes:
                        found.append(tried[-1])
                        break
        except NotCovered as error:
            return Refusal(site.key, self.key, site.truss, f"{error.what} is not covered", error.clause)
        if not found:
            return _refusal(job.project.units, site, corner, tried, missed)
        found.sort(key=lambda w: (*effort(corner, w.shoe, w.pattern), w.shoe.side))
        return self._repair(job, truss, site, solved, found, missed)

    def _repair(self, job: Job, truss: Truss, site: Site, solved: Solved, found: Sequence[Heelwork], missed: Sequence[str]) -> Repair:
        work, units = found[0], job.project.units
        shoe, q, corner = work.shoe, work.pattern, work.shoe.corner
        write = units.write_made
        detail = build_detail(truss, site, work, demand(corner, solved, q), units)
        worst = work.worst
        parameters = {
            "plate of the shoe": f"{write(shoe.plate)} x {write(shoe.height)} x {write(corner.width)}, {p.PLATE_STEEL}, over the whole end grain",
            "top chord cut back": write(shoe.cut) if shoe.cut > 1e-6 else "no",
            "flanges and side plates": f"{write(shoe.side)}, {p.PLATE_STEEL}",
            "fillets of the flanges": f"{write(shoe.leg)}, {p.ELECTRODE}",
            "bolts of the shoe": f"{len(shoe.bolts)} of {write(shoe.diameter)}, {usual.BOLT_GRADE}",
            "sole": f"{write(shoe.sole)} x {write(shoe.sole_length)} x {write(shoe.sole_width)}, {p.PLATE_STEEL}",
            "bolts of the bottom chord": _words(units, q),
            "new parts stand at": f"{worst.ratio:.2f} ({worst.where}: {worst.check})",
            **_body_words(units, corner),
        }
        others = tuple(f"{write(w.shoe.side)} side plates: {_words(units, w.pattern)}, {len(w.shoe.bolts)} bolts of the shoe" for w in found[1:])
        because = f"{site.because}; the new steel carries the whole thrust, and old shoe, straps and bolts come out"
        intervention = Intervention(site.key, self.key, site.truss, detail.title, because, parameters, (*others, *missed))
        sizes = {"bolts": float(len(q.bolts)), "diameter": q.diameter, "side": shoe.side}
        pair = truss.bottom[:2] if corner.inward > 0 else truss.bottom[-2:]
        place = place_name(truss.member(BOTTOM), (pair[0], pair[1]))
        return Repair(site, work.truss, intervention, detail, sizes, work.results, place, q.lost)


def _words(units: UnitSystem, q: Pattern) -> str:
    write = units.write_made
    text = f"{len(q.bolts)} of {write(q.diameter)}, {q.rows} row{'s' if q.rows > 1 else ''} of {q.per_row}, {write(q.spacing)} apart"
    return text + (f", rows {write(q.gauge)} apart" if q.rows > 1 else "") + f", first {write(q.start)} from the work point"


def _body_words(units: UnitSystem, corner: Corner) -> dict[str, str]:
    """The heel as a free body where its thrust is greatest."""
    body = corner.body
    k = int(np.argmax(body.thrust))
    write = units.write_force
    offset = float(body.reaction[1][k]) * abs(body.offset[0])
    return {
        "free body": f"{body.combinations[k]}: thrust {write(float(body.thrust[k]))} at {np.degrees(body.slope):.1f} degrees, pull of the bottom "
                     f"chord {write(float(body.tension[k]))}, reaction {write(float(body.reaction[1][k]))}",
        "moment of the offset": f"{_moment(units, offset)} (reaction {units.write_length(abs(body.offset[0]))} from the work point), taken by the "
                                "bolts of the bottom chord",
    }  # fmt: skip


def _moment(units: UnitSystem, value: float) -> str:
    return f"{round(value * units.moment, -2):,.0f} in-lb" if units.name == "US" else f"{value * units.moment:.2f} kN-m"


def _no_pattern(units: UnitSystem, corner: Corner, side: float) -> str:
    write = units.write_made
    pull = units.write_force(float(corner.body.tension.max()))
    return (f"{write(side)} side plates: no pattern of bolts in the bottom chord carries {pull}; from the work point inward {write(corner.room)} are "
            f"free, to {corner.bound}, with {len(corner.old)} old holes")  # fmt: skip


def _refusal(units: UnitSystem, site: Site, corner: Corner, tried: Sequence[Heelwork], missed: Sequence[str]) -> Refusal:
    reason = "no new heel fits. "
    if tried:
        near = min(tried, key=lambda w: (round(w.worst.ratio, 6) if w.worst.ratio == w.worst.ratio else 1e9, len(w.pattern.bolts)))
        worst = near.worst
        stands = f"stands at {worst.ratio:.2f}" if worst.ratio == worst.ratio else f"cannot be checked ({worst.missing})"
        reason += f"The nearest, {_words(units, near.pattern)}: {worst.where}, {worst.check}, {stands}. "
    reason += "; ".join(missed)
    thrust = units.write_force(float(corner.body.thrust.max()))
    return Refusal(site.key, "heel", site.truss, f"{reason.rstrip('; ')}. Thrust of the top chord: {thrust}")


REMEDY = HeelRemedy()
