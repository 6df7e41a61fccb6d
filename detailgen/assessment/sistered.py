"""A web with a sister: between two bounds, as nobody knows how far bolts in old wood slip.

Lower bound: web and sister slip freely on one another. Each bends by itself, the stiffnesses add, the web alone carries the force.
Upper bound (sister on one side only): both act as one piece, and the force at the web's axis is off the middle of the whole.
The sister stops short of the chords, so the rules for built-up columns (NDS 15.3: all laminations of full length) are not called upon: the column
is a stepped one. Bracing of the web counts by itself; the shorter effective length of both is taken, as each is safe.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from detailgen.analysis.stepped import stepped_factor
from detailgen.core.clause import Calculation, Cite
from detailgen.core.result import CheckResult, State
from detailgen.core.tolerance import at_most, rounded
from detailgen.model.added import Sister
from detailgen.model.frame import Part
from detailgen.model.member import Member
from detailgen.model.project import Truss
from detailgen.standards.interface import MemberRequest, WoodGrade, WoodStandard

ONE_PIECE = "web and sister as one piece"
OFFSET_TENSION = "tension off the middle"
TENSION = "tension on net section"
"""The check of both wood standards that holds the stress of a pull against the wood."""
STATICS = Cite("statics", "force beside the middle of a section: P/A (1 + 6 e/T)")


def sister_of(truss: Truss, member: Member) -> Sister | None:
    return next((s for s in truss.sisters if s.member == member.name), None)


def bare_share(sister: Sister, length: float) -> float:
    """The longer end of the web without sister, as a share of its length: both are counted as long."""
    return max(sister.start, length - sister.end, 0.0) / length


def stiffened_length(sister: Sister, part: Part, web: float, own: float, length: float) -> float:
    """Effective length (in) of the bare web that buckles out of plane under the same load as web and sister, slipping on one another.

    web, own: modulus of elasticity (psi) of the web and of the sister
    """
    added = len(sister.sides) * own * sister.depth * sister.thickness**3 / (web * part.depth * part.thickness**3)
    return length * stepped_factor(bare_share(sister, length), 1 + added)


def offset(sister: Sister) -> float:
    """From the web's axis to the middle of web and sister together (in): none where there is one on each face."""
    return sister.thickness / 2 if len(sister.sides) == 1 else 0.0


def as_one_piece(sister: Sister, request: MemberRequest, own: WoodGrade, standard: WoodStandard) -> list[CheckResult]:
    """Web and sister as one piece of the weaker wood, the force at the web's axis: compression with its offset, tension with its offset.

    The least depth of both counts for both; holes take from it what they take from the web.
    """
    length = request.zero_moment_length
    thickness, depth = request.thickness + sister.thickness, min(request.depth, sister.depth)
    left = request.net_area / (request.thickness * request.depth)
    share = request.net_modulus / (request.thickness * request.depth**2 / 6)
    whole = (thickness / request.thickness) ** 3 * depth / request.depth
    factor = stepped_factor(bare_share(sister, length), whole) * math.sqrt(whole)  # counted on the whole section
    results: list[CheckResult] = []
    for wood in dict.fromkeys((request.wood, own)):
        one = replace(
            request, where=f"{request.where}, {ONE_PIECE} ({wood.species} {wood.grade})", wood=wood, thickness=thickness, depth=depth,
            net_area=left * thickness * depth, net_modulus=share * thickness * depth**2 / 6, length_out_of_plane=length * factor,
            bow=abs(request.bow) + offset(sister), connection_depth=None, connection_to_end=None,
        )  # fmt: skip
        (found,) = standard.member_checks([one])
        results += found
        results += [_off_middle(r, sister, thickness) for r in found if r.check == TENSION and np.isfinite(r.ratio)]
    return results


def _off_middle(tension: CheckResult, sister: Sister, thickness: float) -> CheckResult:
    """The largest stress of a pull beside the middle, held against what the wood may take in tension: in bending it may take no less."""
    sheet = Calculation()
    e = sheet.given("e", offset(sister), "in", Cite("detail", "from the web's axis to the middle of web and sister"))
    f_t = sheet.given("f_t", tension.demand, tension.unit, tension.cite)
    demand = float(sheet.given("f_max", f_t * (1 + 6 * e / thickness), tension.unit, STATICS))
    ratio = rounded(demand / tension.capacity)
    state = State.PASSES if at_most(ratio, 1.0) else State.DOES_NOT_PASS
    return replace(tension, check=OFFSET_TENSION, demand=demand, ratio=ratio, state=state, cite=STATICS, calculation=sheet, entry=0)
