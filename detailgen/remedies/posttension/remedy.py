"""Post-tensioning as a remedy: where it is asked for, and which strands are chosen."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

from detailgen.analysis.build import panels
from detailgen.assessment.members import place_name
from detailgen.core.errors import NotCovered
from detailgen.core.tolerance import at_most, rounded
from detailgen.model.member import Member
from detailgen.model.package import Refusal
from detailgen.model.project import Truss
from detailgen.remedies.contract import Anchorage, Job, Repair, Site, Solved
from detailgen.remedies.posttension import parameters as p
from detailgen.remedies.posttension.candidate import NO_HEIGHT, NO_MORE, NO_ROOM, Candidate, Miss, candidate, hopeless, sizes_to_try
from detailgen.remedies.posttension.record import repair_of
from detailgen.remedies.posttension.rivals import bolted_alone, rivals
from detailgen.standards.interface import ALLOWABLE_STRESS

BOTTOM = "bottom chord"
PULLED = "tension"
"""In the name of every check in which the pull counts: squeezing the chord changes no shear beside its bolts."""


class PostTensionRemedy:
    """Finds bottom chords that are pulled too much and squeezes them between plates at their ends."""

    key = "posttension"
    title = "Post-tensioning"
    order = 60

    def __init__(self) -> None:
        self._last: tuple[Job, Truss, Site, Mapping[str, float], Repair | Refusal] | None = None

    def still_failing(self, job: Job, solved: Solved) -> Sequence[Site]:
        """A whole bottom chord that is pulled too much between its joints. One that is still broken has no place for strands to push on."""
        truss = solved.truss
        if truss.strands is not None or job.anchorage is None or any(d.kind == "break" and d.member == BOTTOM for d in truss.damage):
            return ()
        chord = truss.member(BOTTOM)
        names = [c.name for c in solved.forces.combinations]
        over = []
        for place in solved.check([place_name(chord, pair) for pair in panels(chord)]):
            pulled = [r for r in place.results if PULLED in r.check and r.combination in names and math.isfinite(r.ratio)]
            worst = max(pulled, key=lambda r: rounded(r.ratio), default=None)
            if place.kind != "member" or worst is None or at_most(worst.ratio, 1.0):
                continue
            axial = float(solved.forces.members[place.member].axial[names.index(worst.combination)].max())
            if axial > 0:
                over.append((rounded(worst.ratio), place.name, worst.combination, worst.check, axial))
        if not over:
            return ()
        ratio, name, combination, check, axial = max(over, key=lambda o: o[0])
        units = job.project.units
        because = (f"{name} stands at {ratio:.2f} under {combination} ({check}, {units.write_force(axial)} tension)"
                   + (f", and {len(over) - 1} more panels are over 1.00" if len(over) > 1 else ""))  # fmt: skip
        plies = tuple(q.name for q in chord.plies)
        return (Site(f"{truss.mark}-strands", truss.mark, BOTTOM, plies, truss.span / 2, 0.0, because),)

    def dimension(self, job: Job, truss: Truss, site: Site, solved: Solved, least: Mapping[str, float], most_lost: float) -> Repair | Refusal:
        """The fewest and smallest strands whose window is open and that go in; else the nearest miss with its numbers.

        Asked again for the same truss, as the walk does until nothing moves, it answers what it has found.
        """
        if self._last is not None and self._last[0] is job and self._last[1:4] == (truss, site, least):
            return self._last[4]
        answer = self._found(job, truss, site, solved, least)
        self._last = (job, truss, site, dict(least), answer)
        return answer

    def _found(self, job: Job, truss: Truss, site: Site, solved: Solved, least: Mapping[str, float]) -> Repair | Refusal:
        chord, anchorage = truss.member(BOTTOM), job.anchorage
        wish = next((o.value for o in truss.overrides if o.item == p.ANCHORED_AT), "")
        blocked = _blocked(job, truss, chord) or _wished(job, truss, chord, solved, wish)
        if blocked or anchorage is None:
            return Refusal(site.key, self.key, site.truss, blocked or "no standard for strand is installed")
        misses: list[Miss] = []
        try:
            for anchored in (wish,) if wish else (p.END_PLATES, p.BRACKET):
                found = _search(job, anchorage, truss, chord, anchored, least)
                if isinstance(found, Candidate):
                    return repair_of(job, anchorage, truss, site, chord, found, rivals(job, truss, chord, solved, found))
                misses.append(found)
                if found.stage != NO_ROOM:
                    break
        except NotCovered as error:
            return Refusal(site.key, self.key, site.truss, f"{error.what} is not covered", error.clause)
        return Refusal(site.key, self.key, site.truss, ". ".join(m.why for m in misses) + _opened(misses))


def _search(job: Job, anchorage: Anchorage, truss: Truss, chord: Member, anchored: str, least: Mapping[str, float]) -> Candidate | Miss:
    """The fewest and smallest strands that fit, anchored in one way; else the nearest miss."""
    misses: list[Miss] = []
    for strand, count, anchor in sizes_to_try(job, anchorage, least):
        if anchored == p.END_PLATES and (tight := hopeless(job, truss, anchor)):
            return Miss(tight, NO_ROOM)  # known before anything is solved
        found = candidate(job, anchorage, truss, chord, strand, count, anchor, anchored)
        if isinstance(found, Candidate):
            return found
        misses.append(found)
        if found.stage in NO_MORE:
            break
    nearest, fewest = min(misses, key=lambda m: m.rank), misses[0]
    # The fewest that find no way say what stands in it, however far more of them would come.
    return replace(nearest, why=f"{fewest.why}. {nearest.why}") if fewest.stage == NO_HEIGHT != nearest.stage else nearest


def _opened(misses: Sequence[Miss]) -> str:
    return ". What would open it: a hole cored through the wall in line with the strands" if any(m.stage == NO_ROOM for m in misses) else ""


def _wished(job: Job, truss: Truss, chord: Member, solved: Solved, wish: str) -> str:
    """Why an override of the anchorage is not followed; "" where it is, or where there is none."""
    known = (p.END_PLATES, p.BRACKET, p.CORED, p.BOLTED)
    if wish and wish not in known:
        return f"override '{p.ANCHORED_AT}': found '{wish}'; allowed: {', '.join(known[:3])}"
    return bolted_alone(job, truss, chord, solved, None) if wish == p.BOLTED else ""


def _blocked(job: Job, truss: Truss, chord: Member) -> str:
    """Why strands are not looked into at all; "" where they are."""
    ys = [truss.joints[j][1] for j in chord.joints]
    if max(ys) - min(ys) > 1e-6:
        off = job.project.units.write_length(max(ys) - min(ys))
        return f"the bottom chord is {off} off a straight line: strands would push it up or down at every bend, which is not offered"
    if any(d.kind == "break" and d.member == chord.name for d in truss.damage):
        return "the chord is broken and not repaired: strands would have nothing to push on there"
    if job.project.method != ALLOWABLE_STRESS:
        return "strands are worked out for loads in service only; set 'method: allowable stress'"
    if truss.forces is not None:
        return f"the forces of this truss come from {truss.forces.file}: what strands do to it must be solved by the same analysis"
    if job.project.modelling.one_by_one or truss.one_sided:
        return "each combination is solved by itself (free travel, second order, members of one sense): stages of stressing cannot be added up"
    wrong = next((o for o in truss.overrides if o.item == p.END_PLATE and o.value != p.RIBS), None)
    if wrong is not None:
        return f"override '{p.END_PLATE}': found '{wrong.value}'; allowed: {p.RIBS}"
    if min(truss.heel_room) <= 0:
        return ("the room behind the bottom chord's ends is not surveyed: enter 'heel room: {left: ..., right: ...}' of this type (clear distance "
                "from the end grain to what stands behind it)")  # fmt: skip
    if truss.supports[0].kind == truss.supports[1].kind:
        return f"both bearings are {truss.supports[0].kind}s: the chord must be free to shorten, one end pinned and the other sliding"
    if abs(sum(q.z * q.thickness * q.depth for q in chord.plies)) > 1e-6:
        return "the chord's plies are not alike on both sides of the truss's plane: a pair of strands would bend it sideways"
    return ""


REMEDY = PostTensionRemedy()
