"""Two pages that a reviewer can follow with a pocket calculator: loads, reactions, a chord force, a joint, a connection.

What is worked here comes from areas, lengths and statics alone; beside it stands what the frame analysis says.
"""

from __future__ import annotations

import itertools
import math

import numpy as np

from detailgen.core.result import CheckResult
from detailgen.core.tolerance import rounded
from detailgen.loads.cases import WOOD_WEIGHT
from detailgen.model.assessment import Combination, Floats, HandCheck, HandForce, HandLine, TrussAssessment
from detailgen.model.project import Project, Truss
from detailgen.model.structure import FrameResult, LoadCase, Structure


def _combination(before: TrussAssessment) -> Combination | None:
    """Dead load with balanced snow where there is any, else with roof live load, else dead load alone."""
    names = {c.name: c for c in before.combinations if c.factors}
    wanted = [n for n in names if "S balanced" in n] + [n for n in names if "Lr full" in n] + ["D", "1.4 D"]
    return next((names[n] for n in wanted if n in names), None)


def _arc_length(truss: Truss) -> float:
    """Length (in) of the roof over the truss, on its curve or its straight pieces."""
    if truss.arc is not None:
        half = math.asin(min(1.0, truss.span / 2 / truss.arc.radius))
        return 2 * half * truss.arc.radius
    corners = [truss.joints[j] for j in truss.top]
    return sum(math.dist(a, b) for a, b in itertools.pairwise(corners))


class _Vertical:
    """The vertical loads of one combination: line loads (lb, evenly from one x to another) and single forces (lb at x), downward."""

    def __init__(self, structure: Structure, cases: tuple[LoadCase, ...], combination: Combination) -> None:
        factors = dict(combination.factors)
        ends = structure.joints[structure.ends] + structure.offset
        length = np.hypot(*(ends[:, 1] - ends[:, 0]).T)
        self.low, self.high = ends[:, :, 0].min(axis=1), ends[:, :, 0].max(axis=1)
        self.line = np.zeros(len(length))
        at, single = [*structure.joints[:, 0]], np.zeros(len(structure.joints))
        extra = []
        for case in cases:
            f = factors.get(case.name, 0.0)
            self.line -= f * case.distributed[:, 1] * length
            single -= f * case.nodal[:, 1]
            for element, _, fy, distance in case.point:
                part = distance / length[element]
                at.append(float(ends[element, 0, 0] * (1 - part) + ends[element, 1, 0] * part))
                extra.append(-f * fy)
        self.at, self.single = np.array(at), np.array([*single, *extra])

    @property
    def total(self) -> float:
        return float(self.line.sum() + self.single.sum())

    def moment(self, about: float, *, left_of: float = math.inf) -> float:
        """Moment (in-lb) about a point at x of what stands to the left of another: a load left of the point counts as positive."""
        run = self.high - self.low
        reached = np.clip(left_of - self.low, 0.0, run)
        part = np.where(run > 0, reached / np.where(run > 0, run, 1.0), self.low < left_of)
        lines = (self.line * part * (about - self.low - reached / 2)).sum()
        return float(lines + (self.single * (about - self.at))[self.at < left_of - 1e-6].sum())


def _row(answers: FrameResult, combination: Combination, field: Floats) -> Floats:
    if combination.name in answers.names:  # solved by itself
        alone: Floats = field[answers.names.index(combination.name)]
        return alone
    total: Floats = sum((f * field[answers.names.index(n)] for n, f in combination.factors), start=np.zeros(field.shape[1:]))
    return total


def hand_check(before: TrussAssessment, project: Project) -> HandCheck | None:
    """The hand check of a truss as found; None where no frame was solved for it."""
    structure, answers, combination = before.structure, before.answers, _combination(before)
    if structure is None or answers is None or combination is None or before.as_found.forces is None:
        return None
    truss, loads, u = before.truss, project.loads, project.units
    factors = dict(combination.factors)
    vertical = _Vertical(structure, before.cases, combination)
    reaction = _row(answers, combination, answers.reaction)
    lines: list[HandLine] = []

    # Loads from areas.
    weight = loads.unit_weight or WOOD_WEIGHT
    roof_length = _arc_length(truss) if loads.roof_dead_on == "slope" else truss.span
    roof = loads.roof_dead * roof_length * truss.tributary_width
    ceiling = loads.ceiling_dead * truss.span * truss.tributary_width
    wood = 0.0
    for member in truss.members:
        run = _arc_length(truss) if member.kind == "top chord" else sum(
            math.dist(truss.joints[a], truss.joints[b]) for a, b in zip(member.joints[:-1], member.joints[1:], strict=True)
        )  # fmt: skip
        wood += sum(p.thickness * p.depth for p in member.plies) * run * weight
    by_hand = factors.get("D", 0.0) * (roof + ceiling + wood)
    width = u.write_length(truss.tributary_width)
    words = [f"roof {u.write_area_load(loads.roof_dead)} × {u.write_length(roof_length)} × {width} = {u.write_force(roof)}"]
    words += [f"ceiling {u.write_force(ceiling)}", f"wood {u.write_force(wood)}"]
    for name, factor in combination.factors:
        picture = next((p for p in before.pictures if p.name == name), None)
        if picture is not None:
            area = float(np.trapezoid(picture.pressure, picture.x)) * truss.tributary_width
            by_hand += factor * area
            words.append(f"{'' if factor == 1 else f'{factor:g} × '}{name} {u.write_force(area)}")
    lines.append(HandLine("loads", "all loads", "; ".join(words), by_hand, "lb", vertical.total))

    # Reactions.
    joint = {name: k for k, name in enumerate(structure.joint_names)}
    left, right = (joint[s.joint] for s in truss.supports)
    x_left, x_right = (float(structure.joints[k, 0]) for k in (left, right))
    by_moments = vertical.moment(x_right) / (x_right - x_left)
    words_left = f"moments about the right bearing: loads times their distances, over {u.write_length(x_right - x_left)}"
    lines.append(HandLine("reactions", "left", words_left, by_moments, "lb", float(reaction[left, 1])))
    total = vertical.total
    lines.append(HandLine("reactions", "right", "all loads less the left reaction", total - by_moments, "lb", float(reaction[right, 1])))

    lines += _chord(before, combination, vertical, by_moments, reaction[left])
    name, forces, rest = _joint(before, combination)
    place, result = _connection(before, combination)
    return HandCheck(truss.mark, combination.name, tuple(lines), name, forces, rest, place, result)


def _chord(before: TrussAssessment, combination: Combination, vertical: _Vertical, by_moments: float, at_left: Floats) -> list[HandLine]:
    """Method of sections just right of the top joint nearest to the middle, moments about that joint."""
    truss, structure, answers = before.truss, before.structure, before.answers
    assert structure is not None
    assert answers is not None
    joint = {name: k for k, name in enumerate(structure.joint_names)}
    top = min(truss.top[1:-1], key=lambda j: (abs(truss.joints[j][0] - truss.span / 2), j))
    x, y = (float(v) for v in structure.joints[joint[top]])
    x_left, y_left = (float(v) for v in structure.joints[joint[truss.supports[0].joint]])
    moment = by_moments * (x - x_left) - vertical.moment(x, left_of=x) + float(at_left[0]) * (y_left - y)
    cut = _cut(structure, answers, combination, x)
    pairs = {f"{a}-{b}" for a, b in zip(truss.bottom[:-1], truss.bottom[1:], strict=True)}
    ours, h, panel, others = math.nan, math.nan, "", 0.0
    for member, place, push, couple in cut:
        lever = (place - y) * -push[0]
        if member in pairs:
            ours, h, panel = float(push[0]), y - place, member
            others += couple
        else:
            others += lever + couple
    return [
        HandLine("chord", f"moment at {top}", "left reaction times its distance, less the loads to the left times theirs", moment, "in-lb", math.nan),
        HandLine("chord", f"height at {top}", "between the axes of the chords", h, "in", math.nan),
        HandLine("chord", f"tension in {panel}", "moment over height: the chords' own bending and the webs are left out", moment / h, "lb", ours),
        HandLine("chord", "bending and webs", "what chords carry by bending, and webs by their lever about this joint", others, "in-lb", math.nan),
        HandLine("chord", f"tension in {panel}", "moment less that, over height", (moment - others) / h, "lb", ours),
    ]


def _cut(structure: Structure, answers: FrameResult, combination: Combination, x: float) -> list[tuple[str, float, Floats, float]]:
    """Every element just right of x: its member, the height there, and the force and couple with which the right part holds the left one."""
    axial, shear, moment = (_row(answers, combination, f) for f in (answers.axial, answers.shear, answers.moment))
    found = []
    for k, member in enumerate(structure.member):
        start, end = structure.joints[structure.ends[k]] + structure.offset[k]
        low, high = sorted((float(start[0]), float(end[0])))
        if not low - 1e-6 <= x < high - 1e-6:
            continue
        share = (x - float(start[0])) / float(end[0] - start[0])
        length = float(np.hypot(*(end - start)))
        c, s = (end - start) / length * (1.0 if end[0] > start[0] else -1.0)
        pull = float(axial[k, 0] + (axial[k, -1] - axial[k, 0]) * share)
        first, last = float(shear[k, 0]), float(shear[k, -1])
        across = first + (last - first) * share
        couple = float(moment[k, 0]) + length * (first * share + (last - first) * share**2 / 2)
        sense = 1.0 if end[0] > start[0] else -1.0
        height = float(start[1] + (end[1] - start[1]) * share)
        found.append((member, height, np.array([pull * c + across * s, pull * s - across * c]), sense * couple))
    return found


def _joint(before: TrussAssessment, combination: Combination) -> tuple[str, tuple[HandForce, ...], tuple[float, float]]:
    """What pulls at the bottom joint nearest to the middle, and what is left of it all with the load there: nothing, but for rounding."""
    truss, structure, answers = before.truss, before.structure, before.answers
    assert structure is not None
    assert answers is not None
    name = min(truss.bottom[1:-1], key=lambda j: (abs(truss.joints[j][0] - truss.span / 2), j))
    here = structure.joint_names.index(name)
    axial, shear = (_row(answers, combination, f) for f in (answers.axial, answers.shear))
    factors = dict(combination.factors)
    rest = sum((factors.get(case.name, 0.0) * case.nodal[here, :2] for case in before.cases), start=np.zeros(2))
    found = []
    for k, end in zip(*np.nonzero(structure.ends == here), strict=True):
        vector = structure.joints[structure.ends[k, 1]] - structure.joints[structure.ends[k, 0]]
        station, sense = (0, 1.0) if end == 0 else (-1, -1.0)
        c, s = vector / np.hypot(*vector)
        pull, across = float(axial[k, station]), float(shear[k, station])
        push = sense * np.array([pull * c + across * s, pull * s - across * c])
        rest = rest + push
        found.append(HandForce(structure.member[k], pull, math.atan2(sense * s, sense * c), float(push[0]), float(push[1])))
    return name, tuple(found), (float(rest[0]), float(rest[1]))


def _connection(before: TrussAssessment, combination: Combination) -> tuple[str, CheckResult | None]:
    """The bolts that are used most under this combination."""
    found = [(p, r) for p in before.as_found.places for r in p.results
             if p.kind == "connection" and r.check == "bolts" and r.combination == combination.name and r.steps]  # fmt: skip
    if not found:
        return "", None
    place, result = max(found, key=lambda pair: rounded(pair[1].ratio))
    return place.name, result
