"""Of every arrangement that was tried its best layout, what it costs, and how it is told."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from detailgen.core.errors import NotCovered
from detailgen.model.member import Member
from detailgen.remedies.contract import Job, Site
from detailgen.remedies.cost import Effort, effort_of
from detailgen.remedies.splice import parameters as p
from detailgen.remedies.splice.assembly import build_detail, ordered_bolt
from detailgen.remedies.splice.chosen import Chosen
from detailgen.remedies.splice.search import Answer, Demand, Question, best, measures, nearest_miss


@dataclass(frozen=True)
class Candidate:
    """The best layout of one arrangement, with the largest demand over capacity in the search."""

    chosen: Chosen
    ratio: float
    demands: Mapping[str, Demand]

    @cached_property
    def effort(self) -> Effort:
        plies = self.chosen.site.plies
        return effort_of(build_detail(self.chosen, dict(self.demands), dict.fromkeys(plies, 1.0), dict.fromkeys(plies, ""), (), (), (), ()))

    def measured(self, order: str) -> tuple[float, ...]:
        keys = measures(self.chosen.question, self.chosen.layout)
        return tuple(float(keys[name][0]) for name in p.ORDERS[order])


def candidates(
    answers: Sequence[tuple[Question, Answer]], order: str, site: Site, member: Member, heads: str, demands: Mapping[str, Demand],
) -> tuple[list[Candidate], tuple[str, str]]:  # fmt: skip
    """The best by an order of preference of each arrangement for which there is a bolt; why there is none for another (reason and clause)."""
    found, no_bolt = [], ("", "")
    for question, answer in answers:
        index = best(question, answer, order)
        if index is None:
            continue
        chosen = Chosen(question, answer.layouts.take(index), site, member, heads)
        try:
            bolt = ordered_bolt(chosen)
        except NotCovered as error:
            no_bolt = error.what, error.clause
            continue
        if bolt.threads_in_shear and not question.threads_in_planes:
            no_bolt = f"the thread of a bolt of {bolt.length:g} in. reaches a shear plane", ""
            continue
        found.append(Candidate(chosen, float(answer.ratio[index]), demands))
    return found, no_bolt


def words(chosen: Chosen, job: Job) -> str:
    length = job.project.units.write_made
    layout = chosen.layout
    rows = int(layout.one("rows"))
    text = f"{rows} row{'s' if rows > 1 else ''} of {int(layout.one('per_row'))} bolts {length(layout.one('diameter'))} each side"
    gauge = f", rows {length(layout.one('gauge'))} apart" if rows > 1 else ""
    return f"{text}, {length(layout.one('spacing'))} apart{gauge}, first {length(layout.one('end'))} from the cut"


def plate_words(chosen: Chosen, job: Job) -> str:
    length = job.project.units.write_made
    layout = chosen.layout
    count = chosen.plates_per_ply * len(chosen.site.plies)
    return f"{count} of {length(layout.one('plate_thickness'))} x {length(layout.one('plate_width'))} x {length(chosen.length)}, {p.PLATE_GRADE}"


def runners_up(job: Job, answer: Answer, taken: Chosen, preference: str) -> tuple[str, ...]:
    """The winners by the other orders of preference in the arrangement that was taken, where they differ."""
    found = []
    for order in p.ORDERS:
        index = best(taken.question, answer, order) if order != preference else None
        if index is None:
            continue
        chosen = replace(taken, layout=answer.layouts.take(index))
        plates = f", {plate_words(chosen, job)}" if chosen.plates_per_ply else ""
        if words(chosen, job) + plates != words(taken, job) + (f", {plate_words(taken, job)}" if plates else ""):
            found.append(f"{order}: {words(chosen, job)}{plates}")
    return tuple(found)


def arrangements_that_lost(
    job: Job, winners: Sequence[Candidate], best_of: Candidate, answers: Sequence[tuple[Question, Answer]], weights: Mapping[str, float],
) -> tuple[str, ...]:  # fmt: skip
    """Of each other arrangement that was tried its best layout with its cost, or what its nearest miss misses."""
    found = []
    for question, answer in answers:
        if question is best_of.chosen.question or not len(answer.layouts.diameter):
            continue
        name = question.arrangement.key + (", a plate for each row" if question.plates_per_face > 1 else "")
        held = next((w for w in winners if w.chosen.question is question), None)
        if held is not None:
            found.append(f"{name}: {words(held.chosen, job)}, {held.effort.words(weights, job.project.units)}")
        elif not answer.feasible.any():
            _, rule, short = nearest_miss(question, answer)
            found.append(f"{name}: no layout fits, the nearest misses {rule} by {100 * short:.0f} % of what is required")
    return tuple(found)


def block_words(chosen: Chosen, job: Job) -> str:
    length, question = job.project.units.write_made, chosen.question
    return f"{length(question.block_thickness)} x {length(question.ply_depth)} x {length(2 * chosen.block_half)}, as the plies"
