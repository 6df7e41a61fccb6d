"""The replacement piece as a remedy: where it is asked for, where it is cut, how its ends are joined."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from detailgen.assessment.members import grade_of
from detailgen.core.tolerance import up_to_grid
from detailgen.model.added import NewPiece
from detailgen.model.member import Member, Ply, Wood
from detailgen.model.package import Intervention, Refusal
from detailgen.model.project import Truss
from detailgen.remedies import usual
from detailgen.remedies.contract import Job, Repair, Site, Solved
from detailgen.remedies.replacement import parameters as p
from detailgen.remedies.replacement.assembly import NewTimber, build_detail
from detailgen.remedies.replacement.site import cuts, harm_at, healed, joints_between, no_cut, put_back, sites_of
from detailgen.remedies.replacement.timber import combinations, in_stock, ordered, wished
from detailgen.remedies.splice import REMEDY as SPLICE
from detailgen.stock.plates import shop_grid


class ReplacementRemedy:
    """Finds damaged lengths of bottom chords that fail and puts a new piece in."""

    key = "replacement"
    title = "Replacement piece"
    order = 10
    mends = ("break", "decay", "split", "check")

    def still_failing(self, job: Job, solved: Solved) -> Sequence[Site]:
        return sites_of(job, solved)

    def dimension(self, job: Job, truss: Truss, site: Site, solved: Solved, least: Mapping[str, float], most_lost: float) -> Repair | Refusal:
        """The shortest piece whose ends can both be spliced, or why there is none."""
        member = truss.member(site.member)
        ply = next(q for q in member.plies if q.name == site.plies[0])
        if ply.wood.product != "sawn" or ply.layers:
            what = "glulam" if ply.wood.product != "sawn" else f"{len(ply.layers)} layers"
            return Refusal(site.key, self.key, site.truss, f"the ply is of {what}: a replacement piece is offered for one solid sawn timber")
        if not harm_at(truss, site):
            return Refusal(site.key, self.key, site.truss, "nothing is damaged here any more")
        wood, wrong = wished(job, truss, ply)
        if wrong:
            return Refusal(site.key, self.key, site.truss, wrong)
        told: list[str] = []
        first = self._of(job, truss, site, solved, least, most_lost, wood or ply.wood, told)
        if wood is not None or not isinstance(first, Repair) or in_stock(ply, _length(first, job), job.project.units):
            return first
        # No sawn timber of this size is on sale: glued laminated timber of one grade throughout, where it holds.
        told.append(f"sawn {ply.wood.species} {ply.wood.grade}: not on sale in this size; it would have to be sawn to order")
        for other in combinations(job, ply):
            outcome = self._of(job, truss, site, solved, least, most_lost, other, told)
            if isinstance(outcome, Repair):
                return outcome
            told.append(f"glulam {other.grade}: {outcome.reason}")
        return first

    def _of(
        self, job: Job, truss: Truss, site: Site, solved: Solved, least: Mapping[str, float], most_lost: float, wood: Wood, others: Sequence[str],
    ) -> Repair | Refusal:  # fmt: skip
        """The shortest piece of one wood."""
        member = truss.member(site.member)
        ply = next(q for q in member.plies if q.name == site.plies[0])
        beyond = wood if wood != ply.wood else None
        units, access = job.project.units, job.project.access
        ends: list[tuple[float, Repair]] = []
        standing = truss
        for side, word in ((-1, "left"), (1, "right")):
            places = cuts(standing, solved, site, side)
            found: tuple[float, Repair] | None = None
            why = "" if places else no_cut(standing, solved, site, side, units)
            own = {k.partition(" ")[2]: v for k, v in least.items() if k.startswith(f"{word} ")}
            for x, _, _ in places:
                here = Site(f"{site.key}-{word}", site.truss, site.member, site.plies, x, 0.0, site.because, asked=site.asked)
                # Of places at which nothing fits the last one is told of.
                outcome = SPLICE.dimension(job, standing, here, solved, own, most_lost, beyond, told=x == places[-1][0])
                if isinstance(outcome, Repair):
                    found = (x, outcome)
                    break
                why = f"at {units.write_length(x)}: {outcome.reason}"
            if found is None:
                return Refusal(site.key, self.key, site.truss, f"no place for a splice {word} of the damage: {why}")
            ends.append(found)
            standing = found[1].truss
        (x1, left), (x2, right) = ends
        length = up_to_grid(x2 - x1, shop_grid(units.name).plate_length)
        if access is not None and 0 < access.longest < length:
            reason = f"the piece is {units.write_length(length)} long, and no piece over {units.write_length(access.longest)} gets to the truss"
            return Refusal(site.key, self.key, site.truss, reason)
        weight = length * ply.thickness * ply.depth * usual.WOOD_WEIGHT
        if access is not None and 0 < access.heaviest < weight:
            reason = f"the piece weighs {units.write_force(weight)}, and no more than {units.write_force(access.heaviest)} can be lifted there"
            return Refusal(site.key, self.key, site.truss, reason)
        return self._repair(job, site, solved, left, right, (x1, x2), wood, others)

    def _repair(
        self, job: Job, site: Site, solved: Solved, left: Repair, right: Repair, ends: tuple[float, float], wood: Wood, others: Sequence[str],
    ) -> Repair:  # fmt: skip
        x1, x2 = ends
        units = job.project.units
        member = right.truss.member(site.member)
        ply = next(q for q in member.plies if q.name == site.plies[0])
        harmed = harm_at(replace(right.truss, splices=()), site)
        joints = {j: right.truss.joints[j][0] for j in joints_between(right.truss, site, x1, x2)}
        drawn = [f"{c.member} at {c.joint}" for c in right.truss.connections if c.joint in joints and c.member != site.member]
        bored = put_back(right.truss, solved.model, site, joints)
        made = NewTimber(wood, ordered(ply, wood, units), self._shared(job, member, ply, wood))
        detail = build_detail(site, ply, made, left.detail, right.detail, units, (x1, x2), joints, drawn, bored)
        clear = max((p.SOUND[d.kind] for d in harmed), default=0.0)
        parameters = {
            "piece": f"{units.write_length(ply.thickness)} x {units.write_length(ply.depth)} x {units.write_length(x2 - x1)}, "
                     f"{wood.species} {wood.grade}",
            "made of": made.timber.made_of,
            "share of the chord by E A": made.shared,
            "cut": f"at {units.write_length(x1)} and {units.write_length(x2)} from the left end, {units.write_length(clear)} of sound wood beyond "
                   "what is damaged at least",
            **{f"{word} splice, {k}": v for word, end in (("left", left), ("right", right)) for k, v in end.intervention.parameters.items()
               if k in ("bolts", "layout", "plates")},
        }  # fmt: skip
        apart = [abs(s.x - x) for s in right.truss.splices if s.new and s.chord == site.member and s.ply != ply.name for x in ends]
        if apart:
            parameters["joints of the plies"] = f"{units.write_length(min(apart))} apart at least"
        runners = tuple(f"{word} splice, {text}" for word, end in (("left", left), ("right", right)) for text in end.intervention.runners_up)
        intervention = Intervention(site.key, self.key, site.truss, detail.title, site.because, parameters, (*runners, *others))
        sizes = {f"{word} {k}": v for word, end in (("left", left), ("right", right)) for k, v in end.sizes.items()}
        results = (*left.results, *right.results)
        repaired = healed(right.truss, site, x1, x2)
        piece = NewPiece(site.member, ply.name, x1, x2, wood if wood != ply.wood else None)
        repaired = replace(repaired, pieces=(*repaired.pieces, piece))
        return Repair(site, repaired, intervention, detail, sizes, results, left.place, max(left.lost, right.lost))

    def _shared(self, job: Job, member: Member, ply: Ply, wood: Wood) -> str:
        """What the new length takes of the chord's force by E A, beside what the old one took."""
        stiff = {q.name: job.wood.stiffness(grade_of(q.wood), q.thickness, q.depth).E * q.thickness * q.depth for q in member.plies}
        was = stiff[ply.name] / sum(stiff.values())
        stiff[ply.name] = job.wood.stiffness(grade_of(wood), ply.thickness, ply.depth).E * ply.thickness * ply.depth
        now = stiff[ply.name] / sum(stiff.values())
        before = "as the ply had" if f"{now:.2f}" == f"{was:.2f}" else f"the ply had {100 * was:.0f} %"
        return f"{100 * now:.0f} %, {before}; slip of the splices not counted"


def _length(repair: Repair, job: Job) -> float:
    piece = repair.truss.pieces[-1]
    return up_to_grid(piece.end - piece.start, shop_grid(job.project.units.name).plate_length)


REMEDY = ReplacementRemedy()
