"""The splice as a remedy: sites, choice, consequences."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from detailgen.assessment.members import grade_of, place_name
from detailgen.core.errors import NotCovered
from detailgen.core.units import QuantityError, parse
from detailgen.model.assessment import TrussAssessment
from detailgen.model.imposed import Imposed
from detailgen.model.member import Member, Ply, Wood
from detailgen.model.package import Intervention, Refusal
from detailgen.model.project import Truss
from detailgen.remedies import usual
from detailgen.remedies.contract import Job, Repair, Site, Solved
from detailgen.remedies.cost import weights_of
from detailgen.remedies.splice import parameters as p
from detailgen.remedies.splice.accepted import accepted_layout
from detailgen.remedies.splice.assembly import build_detail, new_splice
from detailgen.remedies.splice.candidates import Candidate, arrangements_that_lost, block_words, candidates, plate_words, runners_up, words
from detailgen.remedies.splice.chosen import Chosen
from detailgen.remedies.splice.leave import Left, make_room, told
from detailgen.remedies.splice.one_sided import one_sided
from detailgen.remedies.splice.results import developed, plate_results, whys, wood_results
from detailgen.remedies.splice.search import (
    Answer,
    Demand,
    Layouts,
    Question,
    as_plates,
    grid,
    nearest_miss,
)
from detailgen.remedies.splice.site import Obstacle, demand, gaps_between, healed, obstacles, panel_at, room, sites_of
from detailgen.remedies.splice.two_woods import asked, weaker
from detailgen.standards.interface import (
    BOLTS,
)
from detailgen.stock.plates import steel_unit_weight

DIAMETER, ARRANGEMENT, PREFERENCE, LAYOUT = "splice bolt diameter", "splice arrangement", "splice preference", "splice layout"
"""Items of a truss's overrides that this remedy obeys; the last is followed by "of" and the key of the detail."""
TAKEN = "arrangement"
"""Among the sizes of a repair: its place in p.ARRANGEMENTS."""


@dataclass(frozen=True)
class _Wishes:
    """What the engineer has set for this truss."""

    diameters: tuple[float, ...] = p.DIAMETERS
    arrangement: str = ""
    order: str = ""  # "": the first of p.ORDERS, and the arrangement by stated cost
    layout: Layouts | None = None  # of this site, as accepted from an edited drawing
    wrong: str = ""

    @property
    def preference(self) -> str:
        return self.order or next(iter(p.ORDERS))


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
    alike, two = len({(q.thickness, q.depth, q.wood) for q in member.plies}) == 1, len(member.plies) <= 2
    equal = alike and two
    allowed = [
        a for a in p.ARRANGEMENTS if a.single_ply == single and (every or not a.every_ply_cut) and (equal or a.plates_per_ply == 2)
    ]  # fmt: skip
    if not wishes.arrangement:
        return allowed, ""
    chosen = [a for a in allowed if a.key == wishes.arrangement]
    if chosen:
        return chosen, ""
    cut = f"{len(site.plies)} of {len(member.plies)} plies are cut here"
    cut += "" if alike else " and the plies are not alike"
    cut += "" if two else ", and only two plies balance each other"
    reason = f"'{wishes.arrangement}' is asked for, but {cut}"
    return [], f"{reason}: a plate on one side of a ply would bend it by force times half of ply and plate; possible: {_names(allowed)}"


def _names(arrangements: Sequence[p.Arrangement]) -> str:
    return ", ".join(a.key for a in arrangements) or "none"


class SpliceRemedy:
    """Finds broken plies of bottom chords and splices them."""

    key = "splice"
    title = "Bottom-chord splice"
    mends = ("break",)
    gives_way = True

    def sites(self, job: Job, before: TrussAssessment) -> Sequence[Site]:
        return sites_of(before, p.shop(job.project.units.name).lengths)

    def healed(self, truss: Truss, site: Site) -> Truss:
        return healed(truss, site)

    def dimension(
        self, job: Job, truss: Truss, site: Site, solved: Solved, least: Mapping[str, float], most_lost: float, beyond: Wood | None = None,
        *, told: bool = True,
    ) -> Repair | Refusal:  # fmt: skip
        """The preferred feasible layout over all arrangements, or the nearest miss with its numbers.

        beyond: the wood of a new piece on one side of the cut, where it is another than the ply's: both sides must hold
        told: where nothing fits, is the nearest miss looked for? It takes ten times as long as to see that nothing fits
        """
        truss = healed(truss, site)
        member = truss.member(site.member)
        wishes = wishes_of(truss, site.key)
        allowed, why_not = arrangements_for(member, site, wishes)
        if wishes.wrong or why_not:
            number = "" if wishes.wrong else _of_a_block(job, truss, member, site, solved, beyond, wishes.arrangement)
            return Refusal(site.key, self.key, site.truss, wishes.wrong or f"{why_not}{number}")
        found = obstacles(truss, solved.model, member)
        free, bound = room(site, found)
        plies = [ply for ply in member.plies if ply.name in site.plies]
        shares = _shares(job, member, site, beyond)
        demands = {ply.name: demand(solved, site, ply, shares[ply.name]) for ply in plies}
        heaviest = max(plies, key=lambda ply: float(np.abs(demands[ply.name].axial).max()))
        gaps = gaps_between([(q.z - q.thickness / 2, q.z + q.thickness / 2) for q in member.plies])
        block = max((high - low for low, high in gaps), default=0.0)
        try:
            questions = self._questions(wishes, allowed, member, heaviest, block, demands, site, free, least, job.project.units.name,
                                        truss.bolts_from)  # fmt: skip
            questions = [replace(q, most_lost=most_lost) for q in questions]
            first = [q for q in questions if wishes.arrangement or not q.arrangement.second]
            answers = [(q, asked(q, wishes.layout or grid(q), job.wood, job.steel, beyond)) for q in first]
            feasible = any(a.feasible.any() for _, a in answers)
            if wishes.layout is None and (not feasible or any(way.firm for way in site.asked)):
                # Rows farther apart than one piece of steel may hold them: a plate for each row, which is more to fit and so the second choice.
                more = [replace(q, plates_per_face=2) for q in questions if q.arrangement.plates_per_ply]
                more += [q for q in questions if not any(q is one for one in first)]
                every = [*answers, *((q, asked(q, grid(q), job.wood, job.steel, beyond)) for q in more)]
            else:
                every = answers
        except NotCovered as error:
            return Refusal(site.key, self.key, site.truss, f"{error.what} is not covered", error.clause)
        weights, _ = weights_of(truss)  # what is wrong with them is told once for the truss
        alone = answers if feasible else every

        def held(these: Sequence[tuple[Question, Answer]]) -> tuple[list[Candidate], tuple[str, str]]:
            return candidates(these, wishes.preference, site, member, truss.bolts_from, demands)

        way, answers, declined = make_room(site, member, truss.bolts_from, alone, every, held, job)
        winners, no_bolt = held(answers)
        if not winners:
            reason, clause = no_bolt
            if reason or not told:
                return Refusal(site.key, self.key, site.truss, reason or "no layout fits", clause)
            return self._refusal(site, answers, free, bound, job)

        def preferred(one: Candidate) -> tuple[float, ...]:
            return one.measured(wishes.order) if wishes.order else (one.effort.cost(weights), *one.measured(wishes.preference))

        # Sizes that may not shrink are those of one arrangement: another one takes its place only where it does not hold any more.
        kept = [w for w in winners if w.chosen.question.least]
        best_of = min(kept or winners, key=preferred)
        others = arrangements_that_lost(job, winners, best_of, answers, weights)
        if way is not None:
            freely = min(held(alone)[0], key=preferred)
            if words(freely.chosen, job) != words(best_of.chosen, job):
                others += (f"were nothing asked of it: {words(freely.chosen, job)}, {freely.effort.words(weights, job.project.units)}",)
        return self._repair(job, truss, site, best_of.chosen, demands, answers, wishes, best_of.ratio, bound, found, others, beyond, way, declined)

    def _questions(
        self, wishes: _Wishes, allowed: Sequence[p.Arrangement], member: Member, ply: Ply, block: float, demands: Mapping[str, Demand],
        site: Site, free: float, least: Mapping[str, float], system: str, heads: str,
    ) -> list[Question]:  # fmt: skip
        wood, asked = grade_of(ply.wood), demands[ply.name]
        taken = p.ARRANGEMENTS[int(least[TAKEN])] if TAKEN in least else None
        sizes = {name: size for name, size in least.items() if name != TAKEN}
        # From the side of the heads, threads reach the planes of a ply behind others. Then the root diameter counts for all.
        behind = 1.0 if heads == "near" else -1.0
        far = member.plies[0] if len(member.plies) == 1 else min(member.plies, key=lambda q: behind * q.z)
        threads = far.name in site.plies
        return [
            Question(
                wood, ply.thickness, ply.depth, a, block, asked, site.gap, free, p.SHARE_OF_CHORD, wishes.diameters, threads,
                sizes if a is taken else None, system,
                inner_plates=0 if a.single_ply or a.plates_per_ply < 2 else min(len(site.plies), 2),
            )
            for a in allowed if not a.blocked or block > 0
        ]  # fmt: skip

    def _refusal(self, site: Site, answers: Sequence[tuple[Question, Answer]], free: float, bound: str, job: Job) -> Refusal:
        tried = sum(len(a.layouts.diameter) for _, a in answers)
        misses = [(nearest_miss(q, a), q, a) for q, a in answers if len(a.layouts.diameter)]
        if not answers:
            return Refusal(site.key, self.key, site.truss, f"{ARRANGEMENT}: the plies stand without a gap, so that no block goes between them")
        if not misses:
            return Refusal(site.key, self.key, site.truss, "no stocked plate is narrow enough for this chord")
        (index, rule, short), question, answer = min(misses, key=lambda m: m[0][2])
        near = Chosen(question, answer.layouts.take(index), site, Member("", "", (), ()))
        length = job.project.units.write_made
        reason = (
            f"no layout fits: {tried:,} tried. The nearest, {words(near, job)} ({question.arrangement.key}), misses {rule} by {100 * short:.0f} % "
            f"of what is required. Room beside the cut: {length(max(free, 0.0))} to {bound}"
        )
        return Refusal(site.key, self.key, site.truss, reason)

    def _repair(
        self, job: Job, truss: Truss, site: Site, chosen: Chosen, demands: Mapping[str, Demand], answers: Sequence[tuple[Question, Answer]],
        wishes: _Wishes, ratio: float, bound: str, found: tuple[Obstacle, ...], others: tuple[str, ...],
        beyond: Wood | None, way: Imposed | None, declined: tuple[tuple[Imposed, str], ...],
    ) -> Repair:  # fmt: skip
        layout, question = chosen.layout, chosen.question
        durations = dict.fromkeys(question.demand.durations)
        values = {d: weaker(question, layout, d, job.wood, beyond) for d in durations}
        plated = question.arrangement.plates_per_ply > 0
        plate_values = job.steel.plate_values(as_plates(question, layout)) if plated else None
        one_bolt = job.wood.slip_modulus(layout.one("diameter"), question.wood, steel=plated)
        slip = one_bolt * layout.one("rows") * layout.one("per_row") / 2
        steel = steel_unit_weight() * chosen.length * layout.one("plate_width") * layout.one("plate_thickness") * chosen.plates_per_ply
        if question.arrangement.blocked:  # half of the block on each ply
            steel += usual.WOOD_WEIGHT * 2 * chosen.block_half * question.ply_depth * question.block_thickness / 2
        repaired = truss
        for name in site.plies:
            ply = next(x for x in chosen.member.plies if x.name == name)
            repaired = replace(repaired, splices=(*repaired.splices, replace(new_splice(chosen, ply, slip, steel), declined=declined)))
        results = plate_results(job, site, chosen, demands) if plated else []
        results += developed(site, chosen, values) + wood_results(site, chosen, demands, values)
        left = told(chosen, way, job.project.units) if way is not None else Left()
        results += left.results
        duration = max(durations, key=lambda d: float(np.max(np.where([x == d for x in question.demand.durations], question.demand.axial, -np.inf))))
        capacity = {name: float(values[duration].capacities[BOLTS][0]) for name in site.plies}
        modes = dict.fromkeys(site.plies, values[duration].modes[0])
        answer = next(a for q, a in answers if q is question)
        runners = (*runners_up(job, answer, chosen, wishes.preference), *others)
        length = job.project.units.write_made
        parameters = {
            "bolts": f"{int(layout.bolts[0])} of {length(layout.one('diameter'))}, {usual.BOLT_GRADE}",
            "layout": words(chosen, job),
            "arrangement": question.arrangement.key,
            **({"plates": plate_words(chosen, job)} if plated else {}),
            **({"block": block_words(chosen, job)} if question.arrangement.blocked else {}),
            "largest ratio in the search": f"{ratio:.2f}",
            "layouts tried": f"{sum(len(a.layouts.diameter) for _, a in answers):,}",
            "room ends at": bound,
            **({way.what: left.notes[0]} if way is not None else {}),
        }
        because = f"{site.because}; the splice carries the larger of the demand and {100 * p.SHARE_OF_CHORD:.0f} % of the ply's net tension"
        longer = (chosen.length - float(layout.length(question.gap)[0])) / 2 if plated else 0.0
        why = (*whys(values[duration], plate_values, longer), *left.whys)
        detail = build_detail(chosen, dict(demands), capacity, modes, why, found, tuple(results), left.notes)
        detail = replace(detail, zones=(*detail.zones, *left.zones))
        intervention = Intervention(site.key, self.key, site.truss, detail.title, because, parameters, runners)
        sizes = {"bolts": float(layout.bolts[0])} | {name: layout.one(name) for name in ("diameter", "plate_thickness", "plate_width")}
        sizes[TAKEN] = float(p.ARRANGEMENTS.index(question.arrangement))
        place = place_name(chosen.member, panel_at(truss, chosen.member, site.x))
        return Repair(site, repaired, intervention, detail, sizes, tuple(results), place, float(layout.lost[0]))


def _of_a_block(job: Job, truss: Truss, member: Member, site: Site, solved: Solved, beyond: Wood | None, wished: str) -> str:
    """What a block that is asked for would come to where one ply of two is cut, in numbers; "" where it is no question."""
    if not any(a.blocked and a.key == wished for a in p.ARRANGEMENTS) or len(site.plies) != 1:
        return ""
    (ply,) = (q for q in member.plies if q.name in site.plies)
    beside = one_sided(job, truss, member, site, solved, demand(solved, site, ply, _shares(job, member, site, beyond)[ply.name]))
    return "" if beside is None else f"; {beside.words(job.project.units)}"


def _shares(job: Job, member: Member, site: Site, beyond: Wood | None) -> dict[str, float]:
    """Each ply's part of the chord's force by axial stiffness, slip not counted: the most that a splice is asked for.

    beyond: of a new piece, which counts if it is the stiffer
    """

    def modulus(ply: Ply) -> float:
        woods = [ply.wood, *([beyond] if beyond is not None and ply.name in site.plies else [])]
        return max(job.wood.stiffness(grade_of(w), ply.thickness, ply.depth).E for w in woods)

    stiff = {ply.name: modulus(ply) * ply.thickness * ply.depth for ply in member.plies}
    return {name: k / sum(stiff.values()) for name, k in stiff.items()}


REMEDY = SpliceRemedy()
