"""The splice as a remedy: sites, choice, consequences."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from detailgen.assessment.members import grade_of, place_name
from detailgen.core.clause import Calculation, Cite
from detailgen.core.errors import NotCovered
from detailgen.core.result import CheckResult, State
from detailgen.core.tolerance import at_most, rounded
from detailgen.core.units import QuantityError, parse
from detailgen.model.assessment import TrussAssessment
from detailgen.model.detail import Why
from detailgen.model.package import Intervention, Refusal
from detailgen.model.project import Member, Ply, Truss
from detailgen.remedies import usual
from detailgen.remedies.contract import Job, Repair, Site, Solved
from detailgen.remedies.splice import parameters as p
from detailgen.remedies.splice.assembly import Chosen, build_detail, new_splice, ordered_bolt
from detailgen.remedies.splice.search import (
    Answer,
    Demand,
    Layouts,
    Question,
    accepted_layout,
    as_plates,
    as_splice,
    best,
    evaluate,
    grid,
    measures,
    nearest_miss,
)
from detailgen.remedies.splice.site import Obstacle, demand, gaps_between, healed, obstacles, panel_at, room, sites_of
from detailgen.standards.interface import BOLTS, NET_SECTION, ONE_ACROSS, PlateRequest, PlateValues, SpliceValues
from detailgen.stock.plates import plate_steel, steel_unit_weight

DIAMETER, ARRANGEMENT, PREFERENCE, LAYOUT = "splice bolt diameter", "splice arrangement", "splice preference", "splice layout"
"""Items of a truss's overrides that this remedy obeys; the last is followed by "of" and the key of the detail."""
PLATE_END = "plate end distance"
"""What steel standards call the distance that grows with a plate's length."""
HOUSE = Cite("house rule", "a splice develops half of the intact ply's net tension")


@dataclass(frozen=True)
class _Wishes:
    """What the engineer has set for this truss."""

    diameters: tuple[float, ...] = p.DIAMETERS
    arrangement: str = ""
    order: str = next(iter(p.ORDERS))
    layout: Layouts | None = None  # of this site, as accepted from an edited drawing
    wrong: str = ""


def wishes_of(truss: Truss, site: str = "") -> _Wishes:
    """Overrides of a truss for splices, and of one site for its layout; a value that means nothing is told, never ignored."""
    wishes = _Wishes()
    for override in truss.overrides:
        if override.item == f"{LAYOUT} of {site}":
            try:
                layout = accepted_layout(override.value)
                wishes = replace(wishes, layout=layout, diameters=(layout.one("diameter"),))
            except (QuantityError, ValueError) as error:
                wishes = replace(wishes, wrong=f"override '{override.item}': {error}")
        if override.item == DIAMETER:
            try:
                wishes = replace(wishes, diameters=(parse(override.value, "length"),))
            except QuantityError as error:
                wishes = replace(wishes, wrong=f"override '{DIAMETER}': {error}")
        elif override.item == ARRANGEMENT:
            known = [a.key for a in p.ARRANGEMENTS]
            wrong = "" if override.value in known else f"override '{ARRANGEMENT}': found '{override.value}'; allowed: {', '.join(known)}"
            wishes = replace(wishes, arrangement=override.value, wrong=wishes.wrong or wrong)
        elif override.item == PREFERENCE:
            wrong = "" if override.value in p.ORDERS else f"override '{PREFERENCE}': found '{override.value}'; allowed: {', '.join(p.ORDERS)}"
            wishes = replace(wishes, order=override.value if not wrong else wishes.order, wrong=wishes.wrong or wrong)
    return wishes


def arrangements_for(member: Member, site: Site, wishes: _Wishes) -> tuple[list[p.Arrangement], str]:
    """Arrangements that this chord and these cuts allow, and why a wished one is not among them."""
    every, single = len(site.plies) == len(member.plies), len(member.plies) == 1
    # A plate on one face pulls its ply by force times half of ply and plate off line. Two equal plies balance each other through the blocks
    # between them; unequal ones would bend, so they are held on both faces.
    equal = len({(q.thickness, q.depth, q.wood) for q in member.plies}) == 1
    allowed = [
        a for a in p.ARRANGEMENTS if a.single_ply == single and (every or not a.every_ply_cut) and (equal or a.plates_per_ply == 2)
    ]  # fmt: skip
    if not wishes.arrangement:
        return allowed, ""
    chosen = [a for a in allowed if a.key == wishes.arrangement]
    if chosen:
        return chosen, ""
    cut = f"{len(site.plies)} of {len(member.plies)} plies are cut here" + ("" if equal else " and the plies are not alike")
    reason = f"'{wishes.arrangement}' is asked for, but {cut}"
    return [], f"{reason}: a plate on one side of a ply would bend it by force times half of ply and plate; possible: {_names(allowed)}"


def _names(arrangements: Sequence[p.Arrangement]) -> str:
    return ", ".join(a.key for a in arrangements) or "none"


class SpliceRemedy:
    """Finds broken plies of bottom chords and splices them."""

    key = "splice"
    title = "Bottom-chord splice"
    mends = ("break",)

    def sites(self, job: Job, before: TrussAssessment) -> Sequence[Site]:
        return sites_of(before, p.shop(job.project.units.name).lengths)

    def healed(self, truss: Truss, site: Site) -> Truss:
        return healed(truss, site)

    def dimension(self, job: Job, truss: Truss, site: Site, solved: Solved, least: Mapping[str, float], most_lost: float) -> Repair | Refusal:
        """The preferred feasible layout over all arrangements, or the nearest miss with its numbers."""
        truss = healed(truss, site)
        member = truss.member(site.member)
        wishes = wishes_of(truss, site.key)
        allowed, why_not = arrangements_for(member, site, wishes)
        if wishes.wrong or why_not:
            return Refusal(site.key, self.key, site.truss, wishes.wrong or why_not)
        found = obstacles(truss, solved.model, member)
        free, bound = room(site, found)
        plies = [ply for ply in member.plies if ply.name in site.plies]
        shares = _shares(job, member)
        demands = {ply.name: demand(solved, site, ply, shares[ply.name]) for ply in plies}
        heaviest = max(plies, key=lambda ply: float(np.abs(demands[ply.name].axial).max()))
        gaps = gaps_between([(q.z - q.thickness / 2, q.z + q.thickness / 2) for q in member.plies])
        block = max((high - low for low, high in gaps), default=0.0)
        try:
            questions = self._questions(wishes, allowed, member, heaviest, block, demands, site, free, least, job.project.units.name,
                                        truss.bolts_from)  # fmt: skip
            questions = [replace(q, most_lost=most_lost) for q in questions]
            answers = [(q, evaluate(q, wishes.layout or grid(q), job.wood, job.steel)) for q in questions]
            if wishes.layout is None and not any(a.feasible.any() for _, a in answers):
                # Rows farther apart than one piece of steel may hold them: a plate for each row, which is more to fit and so the second choice.
                apart = [replace(q, plates_per_face=2) for q in questions]
                answers += [(q, evaluate(q, grid(q), job.wood, job.steel)) for q in apart]
        except NotCovered as error:
            return Refusal(site.key, self.key, site.truss, f"{error.what} is not covered", error.clause)
        winners = [(q, a, k) for q, a in answers for k in [best(q, a, wishes.order)] if k is not None]
        if not winners:
            return self._refusal(site, answers, free, bound, job)
        question, answer, index = min(winners, key=lambda w: _preference(w[0], w[1], w[2], wishes.order))
        chosen = Chosen(question, answer.layouts.take(index), site, member, truss.bolts_from)
        try:
            bolt = ordered_bolt(chosen)
        except NotCovered as error:
            return Refusal(site.key, self.key, site.truss, error.what, error.clause)
        if bolt.threads_in_shear and not question.threads_in_planes:
            return Refusal(site.key, self.key, site.truss, f"the thread of a {bolt.length:g} in. bolt reaches a shear plane")
        return self._repair(job, truss, site, chosen, demands, answers, wishes, float(answer.ratio[index]), bound, found)

    def _questions(
        self, wishes: _Wishes, allowed: Sequence[p.Arrangement], member: Member, ply: Ply, block: float, demands: Mapping[str, Demand],
        site: Site, free: float, least: Mapping[str, float], system: str, heads: str,
    ) -> list[Question]:  # fmt: skip
        wood, asked = grade_of(ply.wood), demands[ply.name]
        # From the side of the heads, threads reach the planes of a ply behind others. Then the root diameter counts for all.
        behind = 1.0 if heads == "near" else -1.0
        far = member.plies[0] if len(member.plies) == 1 else min(member.plies, key=lambda q: behind * q.z)
        threads = far.name in site.plies
        return [
            Question(wood, ply.thickness, ply.depth, a, block, asked, site.gap, free, p.SHARE_OF_CHORD, wishes.diameters, threads, least, system)
            for a in allowed
        ]

    def _refusal(self, site: Site, answers: Sequence[tuple[Question, Answer]], free: float, bound: str, job: Job) -> Refusal:
        tried = sum(len(a.layouts.diameter) for _, a in answers)
        misses = [(nearest_miss(q, a), q, a) for q, a in answers if len(a.layouts.diameter)]
        if not misses:
            return Refusal(site.key, self.key, site.truss, "no stocked plate is narrow enough for this chord")
        (index, rule, short), question, answer = min(misses, key=lambda m: m[0][2])
        near = Chosen(question, answer.layouts.take(index), site, Member("", "", (), ()))
        length = job.project.units.write_made
        reason = (
            f"no layout fits: {tried:,} tried. The nearest, {_words(near, job)} ({question.arrangement.key}), misses {rule} by {100 * short:.0f} % "
            f"of what is required. Room beside the cut: {length(max(free, 0.0))} to {bound}"
        )
        return Refusal(site.key, self.key, site.truss, reason)

    def _repair(
        self, job: Job, truss: Truss, site: Site, chosen: Chosen, demands: Mapping[str, Demand], answers: Sequence[tuple[Question, Answer]],
        wishes: _Wishes, ratio: float, bound: str, found: tuple[Obstacle, ...],
    ) -> Repair:  # fmt: skip
        layout, question = chosen.layout, chosen.question
        durations = dict.fromkeys(question.demand.durations)
        values = {d: job.wood.splice_values(as_splice(question, layout, d)) for d in durations}
        plate_values = job.steel.plate_values(as_plates(question, layout))
        slip = job.wood.slip_modulus(layout.one("diameter"), question.wood) * layout.one("rows") * layout.one("per_row") / 2
        steel = steel_unit_weight() * chosen.length * layout.one("plate_width") * layout.one("plate_thickness") * chosen.plates_per_ply
        repaired = truss
        for name in site.plies:
            ply = next(x for x in chosen.member.plies if x.name == name)
            repaired = replace(repaired, splices=(*repaired.splices, new_splice(chosen, ply, slip, steel)))
        results = _plate_results(job, site, chosen, demands) + _developed(site, chosen, values)
        duration = max(durations, key=lambda d: float(np.max(np.where([x == d for x in question.demand.durations], question.demand.axial, -np.inf))))
        capacity = {name: float(values[duration].capacities[BOLTS][0]) for name in site.plies}
        modes = dict.fromkeys(site.plies, values[duration].modes[0])
        runners = _runners_up(job, answers, wishes, site)
        length = job.project.units.write_made
        parameters = {
            "bolts": f"{int(layout.bolts[0])} of {length(layout.one('diameter'))}, {usual.BOLT_GRADE}",
            "layout": _words(chosen, job),
            "arrangement": question.arrangement.key,
            "plates": _plate_words(chosen, job),
            "largest ratio in the search": f"{ratio:.2f}",
            "layouts tried": f"{sum(len(a.layouts.diameter) for _, a in answers):,}",
            "room ends at": bound,
        }
        because = f"{site.because}; the splice carries the larger of the demand and {100 * p.SHARE_OF_CHORD:.0f} % of the ply's net tension"
        longer = (chosen.length - float(layout.length(question.gap)[0])) / 2
        detail = build_detail(chosen, dict(demands), capacity, modes, _whys(values[duration], plate_values, longer), found, tuple(results), ())
        intervention = Intervention(site.key, self.key, site.truss, detail.title, because, parameters, runners)
        sizes = {"bolts": float(layout.bolts[0]), "diameter": layout.one("diameter"), "plate_thickness": layout.one("plate_thickness"),
                 "plate_width": layout.one("plate_width")}  # fmt: skip
        place = place_name(chosen.member, panel_at(truss, chosen.member, site.x))
        return Repair(site, repaired, intervention, detail, sizes, tuple(results), place, float(layout.lost[0]))


def _shares(job: Job, member: Member) -> dict[str, float]:
    """Each ply's part of the chord's force by axial stiffness, slip not counted: the most that a splice is asked for."""
    stiff = {ply.name: job.wood.stiffness(grade_of(ply.wood), ply.thickness, ply.depth).E * ply.thickness * ply.depth for ply in member.plies}
    return {name: k / sum(stiff.values()) for name, k in stiff.items()}


def _preference(question: Question, answer: Answer, index: int, order: str) -> tuple[float, ...]:
    keys = measures(question, answer.layouts.take(index))
    return tuple(float(keys[name][0]) for name in p.ORDERS[order])


def _words(chosen: Chosen, job: Job) -> str:
    length = job.project.units.write_made
    layout = chosen.layout
    rows = int(layout.one("rows"))
    text = f"{rows} row{'s' if rows > 1 else ''} of {int(layout.one('per_row'))} bolts {length(layout.one('diameter'))} each side"
    gauge = f", rows {length(layout.one('gauge'))} apart" if rows > 1 else ""
    return f"{text}, {length(layout.one('spacing'))} apart{gauge}, first {length(layout.one('end'))} from the cut"


def _plate_words(chosen: Chosen, job: Job) -> str:
    length = job.project.units.write_made
    layout = chosen.layout
    count = chosen.plates_per_ply * len(chosen.site.plies)
    return f"{count} of {length(layout.one('plate_thickness'))} x {length(layout.one('plate_width'))} x {length(chosen.length)}, {p.PLATE_GRADE}"


def _runners_up(job: Job, answers: Sequence[tuple[Question, Answer]], wishes: _Wishes, site: Site) -> tuple[str, ...]:
    """The winners by the other orders of preference."""
    found = []
    for order in p.ORDERS:
        winners = [(q, a, k) for q, a in answers for k in [best(q, a, order)] if k is not None]
        if order != wishes.order and winners:
            q, a, k = min(winners, key=lambda w, o=order: _preference(w[0], w[1], w[2], o))  # type: ignore[misc]
            chosen = Chosen(q, a.layouts.take(k), site, Member("", "", (), ()))
            found.append(f"{order}: {_words(chosen, job)}, {_plate_words(chosen, job)}")
    return tuple(found)


def _plate_results(job: Job, site: Site, chosen: Chosen, demands: Mapping[str, Demand]) -> list[CheckResult]:
    """Steel checks of each ply's plates under each combination."""
    results: list[CheckResult] = []
    layout = chosen.layout
    n, steel = chosen.question.arrangement.plates_per_ply, plate_steel(p.PLATE_GRADE)
    cut = chosen.question.gap / 2
    one_side = np.array([(x - cut, y) for x, y in chosen.bolts if x > 0])
    for ply in site.plies:
        d = demands[ply]
        for end, at in chosen.plates:
            alone = len(chosen.plates) == 1
            # Two plates on a face hold the moment as a couple: what one pulls more the other pulls less.
            couple = 0.0 if alone else d.moment / (n * layout.one("gauge")) * (1 if at < 0 else -1)
            request = PlateRequest(
                where=f"{end.lstrip('-')} plates of the {ply} ply, splice {site.key}".lstrip(), F_y=steel.F_y, F_u=steel.F_u,
                thickness=layout.one("plate_thickness"), width=layout.one("plate_width"), diameter=layout.one("diameter"),
                hole=layout.one("diameter") + usual.HOLE_OVER_BOLT, bolts=one_side if alone else one_side[one_side[:, 1] == at] - (0.0, at),
                end=chosen.length / 2 - chosen.columns[-1], free=2 * chosen.columns[0], axial=d.axial / (n * len(chosen.plates)) + couple,
                moment=d.moment / n if alone else np.zeros(d.moment.shape), combinations=d.names,
            )  # fmt: skip
            results += job.steel.plate_checks(request)
    return results


def _developed(site: Site, chosen: Chosen, values: Mapping[str, SpliceValues]) -> list[CheckResult]:
    """The house's rule that a splice is not weaker than half of the ply it joins."""
    results = []
    for duration, value in values.items():
        sheet = Calculation()
        net = sheet.given("net tension of the intact ply", float(value.capacities[NET_SECTION][0]), "lb", HOUSE)
        least = min(float(capacity[0]) for name, capacity in value.capacities.items() if name not in (NET_SECTION, ONE_ACROSS))
        sheet.given("least capacity of the splice", least, "lb", HOUSE)
        need = rounded(p.SHARE_OF_CHORD * net)
        ratio = rounded(need / least)
        state = State.PASSES if at_most(ratio, 1.0) else State.DOES_NOT_PASS
        results.append(CheckResult(f"splice {site.key}", f"develops {100 * p.SHARE_OF_CHORD:.0f} % of the ply ({duration})", need, least, "lb", ratio,
                                   state, duration, "service", float("nan"), HOUSE, sheet, 0))  # fmt: skip
    return results


def _whys(values: SpliceValues, plates: PlateValues, longer: float) -> tuple[Why, ...]:
    """Governing dimensions: what the rule asks and what is provided. ``longer``: what rounding its length up adds to each end of a plate (in)."""
    found = []
    for name, (least, provided) in values.least.items():
        if float(least[0]) <= 0:
            continue
        full = name in values.full
        required = float(values.full[name][0]) if full else float(least[0])
        cite = values.cites[name]
        if name == "outer rows through steel":
            found.append(Why(name, "at most", float(provided[0]), float(least[0]), cite))
        else:
            found.append(Why(name, "for the full value" if full else "at least", required, float(provided[0]), cite))
    for name, (least, provided) in plates.least.items():
        if float(least[0]) > 0:
            there = float(provided[0]) + (longer if name == PLATE_END else 0.0)
            found.append(Why(name, "at least", float(least[0]), there, plates.cites.get(name, Cite("AISC 360-16", "J3"))))
    return tuple(found)


REMEDY = SpliceRemedy()
