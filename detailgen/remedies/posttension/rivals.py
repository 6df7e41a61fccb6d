"""What else would anchor strands at a heel without room, with its numbers: a core through the wall, and why a bracket is not merely bolted on."""

from __future__ import annotations

from detailgen.analysis.build import panels
from detailgen.assessment.members import place_name
from detailgen.core.tolerance import at_most
from detailgen.model.member import Member
from detailgen.model.project import Truss
from detailgen.remedies.contract import Job, Solved
from detailgen.remedies.posttension import parameters as p
from detailgen.remedies.posttension.bracket import least_inboard
from detailgen.remedies.posttension.candidate import Candidate, Core, least_core
from detailgen.remedies.posttension.heel import fixed_room, jack_room
from detailgen.remedies.posttension.run import ends_of


def rivals(job: Job, truss: Truss, chord: Member, solved: Solved, chosen: Candidate) -> tuple[str, ...]:
    """In words, for strands that stop at a bracket or go through a cored wall; nothing for others."""
    if chosen.bracket is not None:
        core = core_instead(job, truss, chosen)
        told = [f"a cored wall (override '{p.ANCHORED_AT}: {p.CORED}'): {core_words(job, core)}"] if core is not None else [
            "a cored wall: both heels would have to be cored"
        ]  # fmt: skip
        pull = job.project.units.write_force(chosen.count * chosen.jack)
        strut = (f"struts between bracket and end plate: the strands pull the bracket away from the heel, {pull} in all, so what joins it to the end "
                 "plate is pulled; a strut that bears carries nothing of that")  # fmt: skip
        return (*told, bolted_alone(job, truss, chord, solved, chosen.way.inboard), strut)
    if chosen.core is not None:
        return ("a bracket inboard with ties to the end plate, which leaves what stands behind the heel as it is: chosen unless an override says "
                "otherwise",)  # fmt: skip
    return ()


def core_instead(job: Job, truss: Truss, chosen: Candidate) -> Core | None:
    """The core that end plates with a jack behind one of them would ask for."""
    tools, plate, anchor = job.project.stressing, chosen.plate, chosen.anchor
    wide = max(tools.jack_diameter, anchor.barrel) + p.CORE_OVER
    needs = jack_room(plate, anchor, tools.jack_length, tools.stroke)
    return least_core(truss.heel_room, needs, fixed_room(plate, anchor), wide, 2 * len(chosen.way.heights))


def core_words(job: Job, core: Core) -> str:
    write = job.project.units.write_length
    return (f"{core.count} holes, {write(core.diameter)} in diameter, {write(core.depth)} deep into what stands behind the {core.side} heel, in line "
            f"with the strands, make {write(core.room)} of room there")  # fmt: skip


def bolted_alone(job: Job, truss: Truss, chord: Member, solved: Solved, inboard: float | None) -> str:
    """Why a bracket is not merely bolted to the chord: what it leaves in tension between it and the heel, with the ratio there.

    Strands that end at a bracket squeeze the chord between the bracket and the other end; from the bracket to the heel the chord carries what it
    carries without them.
    """
    units, tools = job.project.units, job.project.stressing
    left, right = ends_of(truss, chord)
    tight_left = truss.heel_room[0] <= truss.heel_room[1]
    length = inboard if inboard is not None else least_inboard(p.ANCHORS["1/2 in."], tools)
    inward = length - (left if tight_left else right)
    start = truss.joints[chord.joints[0]][0]
    x = start + inward if tight_left else truss.joints[chord.joints[-1]][0] - inward
    names = [place_name(chord, pair) for pair in panels(chord)
             if (truss.joints[pair[0]][0] < x if tight_left else truss.joints[pair[1]][0] > x)]  # fmt: skip
    worst, name = None, ""
    for place in solved.check(names):
        if place.kind == "member" and place.worst is not None and (worst is None or place.worst.ratio > worst.ratio):
            worst, name = place.worst, place.name
    side = "left" if tight_left else "right"
    stands = f"{name} stays at {worst.ratio:.2f} under {worst.combination} ({worst.check})" if worst is not None else "nobody knows at what"
    over = worst is None or not at_most(worst.ratio, 1.0)
    why = "over 1.00" if over else "and bolts through the chord would have to bring all of the force into it"
    return (f"a bracket that is merely bolted to the chord {units.write_length(length)} from the {side} end leaves that length in tension: {stands}, "
            f"{why}")  # fmt: skip
