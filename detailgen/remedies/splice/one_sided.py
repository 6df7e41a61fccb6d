"""What a block between two plies would do where only one of them is cut: the force passes beside that ply's middle, and nothing balances it.

Away from the cut both plies pull, and their middle is the chord's. At the cut the force of the cut ply stands in the block: the middle of all that
pulls has moved toward the sound ply by force times half of ply and block. That moment about the upright axis is there whatever the bolts do; block
and sound ply bend under it by E I. Statics.
"""

from __future__ import annotations

from dataclasses import dataclass

from detailgen.assessment.members import grade_of, place_name
from detailgen.assessment.sistered import TENSION
from detailgen.core.tolerance import rounded
from detailgen.core.units import UnitSystem
from detailgen.model.member import Member
from detailgen.model.project import Truss
from detailgen.remedies.contract import Job, Site, Solved
from detailgen.remedies.splice.search import Demand
from detailgen.remedies.splice.site import gaps_between, panel_at


@dataclass(frozen=True)
class OneSided:
    """A block for one cut ply: force of the cut ply (lb), how far it passes beside its middle (in), the part of the moment that the sound ply takes,
    and what sound ply and block come to (stress of pull and bending over the stress that is allowed in tension)."""

    force: float
    arm: float
    part: float
    sound: float
    block: float

    def words(self, units: UnitSystem) -> str:
        force, arm = units.write_force(self.force), units.write_made(self.arm)
        return (
            f"a block for one cut ply is no way: its {force} would pass {arm} beside its middle, a moment of {force} x {arm} about the upright axis "
            f"that nothing on the other side balances. By E I the ply that runs through takes {100 * self.part:.0f} % of it and would stand at "
            f"{self.sound:.2f} with its own pull, the block at {self.block:.2f}, before any hole; and the chord bows sideways between its braces. "
            "What holds: plates on both faces of the cut ply; where there is no room for them, a new piece that ends where there is, or both plies "
            "cut at one place, which balance each other through the block"
        )


def one_sided(job: Job, truss: Truss, member: Member, site: Site, solved: Solved, demand: Demand) -> OneSided | None:
    """None where it is no question: not one of two plies cut, no gap between them, nothing pulls, or no allowable tension is known."""
    if len(member.plies) != 2 or len(site.plies) != 1:
        return None
    cut, sound = sorted(member.plies, key=lambda q: q.name not in site.plies)
    gap = max((b - a for a, b in gaps_between([(q.z - q.thickness / 2, q.z + q.thickness / 2) for q in member.plies])), default=0.0)
    results = [r for q in solved.check([place_name(member, panel_at(truss, member, site.x))]) for r in q.results if r.check == TENSION]
    known = {r.combination: r.capacity for r in results if r.combination in demand.names and r.capacity > 0}
    governs = max(known, key=lambda name: rounded(float(demand.axial[demand.names.index(name)]) / known[name]), default="")
    force = float(demand.axial[demand.names.index(governs)]) if governs else 0.0
    if gap <= 0 or force <= 0:
        return None
    allowed = known[governs]
    E = {q.name: job.wood.stiffness(grade_of(q.wood), q.thickness, q.depth).E for q in member.plies}
    stiff_ply, stiff_block = E[sound.name] * sound.depth * sound.thickness**3, E[cut.name] * cut.depth * gap**3
    part, arm = stiff_ply / (stiff_ply + stiff_block), (cut.thickness + gap) / 2
    own = force * E[sound.name] * sound.thickness * sound.depth / (E[cut.name] * cut.thickness * cut.depth)

    def stress(pull: float, moment: float, thickness: float, depth: float) -> float:
        return pull / (thickness * depth) + 6 * moment / (depth * thickness**2)

    return OneSided(
        force, arm, part, stress(own, part * force * arm, sound.thickness, sound.depth) / allowed,
        stress(force, (1 - part) * force * arm, gap, cut.depth) / allowed,
    )  # fmt: skip
