"""A sister on its web: the web judged by the code that judged it as found, the bolts by what they must bring over."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from detailgen.analysis.build import panels
from detailgen.analysis.stepped import stepped_factor
from detailgen.assessment.members import bow_of, check_member, grade_of
from detailgen.assessment.sections import hole_groups
from detailgen.assessment.sistered import bare_share, offset
from detailgen.core.clause import Calculation, Cite
from detailgen.core.result import CheckResult, State, governs
from detailgen.core.tolerance import at_most, rounded
from detailgen.model.assessment import Floats, Place
from detailgen.model.member import Member
from detailgen.model.project import Truss
from detailgen.remedies import usual
from detailgen.remedies.contract import Job, Solved
from detailgen.remedies.sister import parameters as p
from detailgen.remedies.sister.layout import Layout
from detailgen.remedies.sister.room import panel_of
from detailgen.standards.interface import ConnectedPart, ConnectionRequest


@dataclass(frozen=True)
class Judged:
    """A layout with the checks of its web and of its bolts, and the force (lb) that each half of its bolts brings into one sister."""

    layout: Layout
    place: Place
    bolts: tuple[CheckResult, ...]
    brought: Floats
    durations: tuple[str, ...]  # of the same combinations

    @property
    def results(self) -> tuple[CheckResult, ...]:
        return (*self.place.results, *self.bolts)

    @property
    def worst(self) -> CheckResult:
        return governs(self.results)

    @property
    def passes(self) -> bool:
        return all(r.passes for r in self.results)


def with_sister(truss: Truss, layout: Layout) -> Truss:
    others = tuple(s for s in truss.sisters if s.member != layout.sister.member)
    return replace(truss, sisters=(*others, layout.sister))


def web_as(job: Job, truss: Truss, solved: Solved, web: Member) -> Place:
    """A web of a changed truss under the forces of the last round."""
    holes = hole_groups(truss, solved.model, (panel_of(web),))
    return check_member(truss, truss.member(web.name), panels(web)[0], solved.model, solved.forces, holes, job.wood, damaged=True)


def braced(truss: Truss, web: Member, length: float) -> Truss:
    """The truss with this web held out of plane at its middle."""
    held = replace(web, braces=(*web.braces, length / 2))
    return replace(truss, members=tuple(held if m.name == web.name else m for m in truss.members))


def brought_over(job: Job, truss: Truss, solved: Solved, web: Member, layout: Layout) -> Floats:
    """Most force (lb) that comes into one sister between its end and its middle if web and sister act as one piece, per combination.

    Its share of the web's force by stiffness, and what the bending of the bowed (one side: also off-middle) whole puts into it.
    """
    ply, sister = web.plies[0], layout.sister
    length = math.dist(*(truss.joints[j] for j in web.joints))
    E = job.wood.stiffness(grade_of(ply.wood), ply.thickness, ply.depth).E
    n = job.wood.stiffness(grade_of(sister.wood), sister.thickness, sister.depth).E / E
    count, depth = len(sister.sides), n * sister.depth
    own, all_of = depth * sister.thickness, ply.depth * ply.thickness + count * depth * sister.thickness
    apart = (ply.thickness + sister.thickness) / 2  # from the web's axis to the sister's
    shift = own * apart / all_of if count == 1 else 0.0
    inertia = ply.depth * ply.thickness**3 / 12 + count * (depth * sister.thickness**3 / 12 + own * apart**2) - all_of * shift**2
    bare = ply.depth * ply.thickness**3 / 12
    buckles = math.pi**2 * p.SOFTENED * E * bare / (length * stepped_factor(bare_share(sister, length), max(inertia / bare, 1.0))) ** 2
    force = solved.forces.members[panel_of(web)].axial
    # Of each combination the station with the largest force: a web's own weight alone makes it differ.
    strongest = np.take_along_axis(force, np.abs(force).argmax(axis=1)[:, None], axis=1)[:, 0]
    grown = 1 / np.maximum(1 - np.maximum(-strongest, 0.0) / buckles, 1e-3)
    bent = np.abs(strongest) * (bow_of(truss, web, damaged=True) + max(shift, offset(sister) if count == 1 else 0.0)) * grown
    whole: Floats = np.abs(strongest) * own / all_of + bent * own * (apart - shift) / inertia
    return np.copysign(whole, strongest)


def judge(job: Job, truss: Truss, solved: Solved, web: Member, layout: Layout) -> Judged:
    changed = with_sister(truss, layout)
    brought = brought_over(job, truss, solved, web, layout)
    own = (*_bolts(job, truss, solved, web, layout, brought), _effective(job, truss, web, layout))
    return Judged(layout, web_as(job, changed, solved, web), own, brought, tuple(c.duration for c in solved.forces.combinations))


def _effective(job: Job, truss: Truss, web: Member, layout: Layout) -> CheckResult:
    """How the effective length comes about on which the web's buckling rests, held against the most that its thickness allows."""
    ply, sister = web.plies[0], layout.sister
    length = math.dist(*(truss.joints[j] for j in web.joints))
    sheet, mechanics = Calculation(), Cite("statics", "stepped pinned column, the parts slipping freely on one another")
    values = [job.wood.stiffness(grade_of(x.wood), x.thickness, x.depth) for x in (ply, sister)]
    E_web, E_own = (sheet.given(f"E of the {name}", v.E, "psi", v.cite) for name, v in zip(("web", "sister"), values, strict=True))
    I_web = sheet.given("I of the web", ply.depth * ply.thickness**3 / 12, "in4", mechanics)
    I_own = sheet.given("I of all sisters", len(sister.sides) * sister.depth * sister.thickness**3 / 12, "in4", mechanics)
    stiff = sheet.given("EI with sister over EI without", 1 + E_own * I_own / (E_web * I_web), "-", mechanics)
    bare = sheet.given("longer bare end over length", bare_share(sister, length), "-", Cite("detail", "place of the sister"))
    factor = sheet.given("effective length over length", stepped_factor(bare, stiff), "-", mechanics)
    effective = float(sheet.given("l_e", factor * length, "in", mechanics))
    slenderness, cite = job.wood.greatest_slenderness()
    limit = slenderness * ply.thickness
    ratio = rounded(effective / limit)
    state = State.PASSES if at_most(ratio, 1.0) else State.DOES_NOT_PASS
    return CheckResult(f"web and sister of {sister.name}", "effective length out of the truss", effective, limit, "in", ratio, state, "", "service",
                       math.nan, cite, sheet, 0)  # fmt: skip


def _bolts(job: Job, truss: Truss, solved: Solved, web: Member, layout: Layout, brought: Floats) -> Sequence[CheckResult]:
    """The bolts between the sister's middle and its end, which bring over all that it takes there."""
    ply, sister = web.plies[0], layout.sister
    half = np.array([(x, y) for x in layout.columns for y in layout.lines if x > 0])
    side = [ConnectedPart(f"sister on the {s} side", "wood", sister.thickness, "other", 0.0, half, (-math.inf, layout.length / 2),
                          (-sister.depth / 2, sister.depth / 2), grade_of(sister.wood)) for s in sister.sides]  # fmt: skip
    length = math.dist(*(truss.joints[j] for j in web.joints))
    middle = ConnectedPart("web", "wood", ply.thickness, "member", math.pi, half, (-math.inf, length - layout.middle),
                           (-ply.depth / 2, ply.depth / 2), grade_of(ply.wood))  # fmt: skip
    parts = (side[0], middle, side[1]) if len(side) == 2 else (middle, side[0])
    combinations = solved.forces.combinations
    request = ConnectionRequest(
        where=f"bolts of one half of {sister.name}", diameter=layout.diameter, bolt_bending_yield=sister.bolts.bending_yield, parts=parts,
        gaps=(0.0,) * (len(parts) - 1), axial=brought * len(side), combinations=tuple(c.name for c in combinations),
        durations=tuple(c.duration for c in combinations), reverses=True, hole_oversize=usual.HOLE_OVER_BOLT, root_diameter=sister.bolts.root,
    )  # fmt: skip
    return job.wood.connection_checks(request)
