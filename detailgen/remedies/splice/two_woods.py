"""A splice between a ply and a new piece of another wood: both sides must hold."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from detailgen.assessment.members import grade_of
from detailgen.model.member import Wood
from detailgen.remedies.splice.search import Answer, Layouts, Question, as_splice, evaluate
from detailgen.standards.interface import NET_SECTION, Floats, SpliceValues, SteelStandard, WoodStandard


def asked(question: Question, layouts: Layouts, wood: WoodStandard, steel: SteelStandard, beyond: Wood | None) -> Answer:
    """Every rule for every layout on the ply's side and, where a new piece of another wood lies ``beyond``, on its side as well.

    What the splice has to develop stays the share of the old ply, which the new piece may well surpass.
    Raises: NotCovered for a wood or bolt that the standard does not cover
    """
    own = evaluate(question, layouts, wood, steel)
    if beyond is None or not len(layouts.diameter):
        return own
    duration, one = question.demand.durations[0], layouts.take(0)
    net = [wood.splice_values(as_splice(q, one, duration)).capacities[NET_SECTION][0] for q in (question, _in(question, beyond))]
    other = evaluate(replace(_in(question, beyond), develop=question.develop * float(net[0] / net[1])), layouts, wood, steel)

    def every_rule() -> dict[str, Floats]:
        return {name: np.maximum(v, other.violations.get(name, v)) for name, v in own.violations.items()}

    return Answer(layouts, np.maximum(own.ratio, other.ratio), own.feasible & other.feasible, every_rule)


def weaker(question: Question, layout: Layouts, duration: str, wood: WoodStandard, beyond: Wood | None) -> SpliceValues:
    """Values of one layout: of two woods the lesser capacity; the net section is the old ply's, as its share is what is developed."""
    own = wood.splice_values(as_splice(question, layout, duration))
    if beyond is None:
        return own
    other = wood.splice_values(as_splice(_in(question, beyond), layout, duration))
    capacities = {n: v if n == NET_SECTION else np.minimum(v, other.capacities[n]) for n, v in own.capacities.items()}
    return replace(own, capacities=capacities)


def _in(question: Question, beyond: Wood) -> Question:
    return replace(question, wood=grade_of(beyond))
