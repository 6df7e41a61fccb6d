"""The side member as a remedy: where it is asked for, which is chosen, and what it would be worth if the dead load were lifted off."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from detailgen.analysis.beside import elements_of
from detailgen.analysis.build import by_ply, panel_name
from detailgen.assessment.members import grade_of, place_name
from detailgen.core.errors import NotCovered
from detailgen.core.tolerance import at_most, rounded
from detailgen.core.units import QuantityError, parse
from detailgen.model.added import SideMember
from detailgen.model.member import Member, Wood
from detailgen.model.package import Intervention, Refusal
from detailgen.model.project import Truss
from detailgen.model.work_points import measured_along
from detailgen.remedies import usual
from detailgen.remedies.contract import Job, Repair, Site, Solved
from detailgen.remedies.side_member import parameters as p
from detailgen.remedies.side_member.assembly import build_detail, told_between
from detailgen.remedies.side_member.judge import Judged, bolt_checks, handed_over, judge, reversed_need, sense_of, solved_with
from detailgen.remedies.side_member.layout import Layout, Timber, patterns, side_member, timbers, with_side
from detailgen.remedies.side_member.pulled_repair import answered, blocked_where_pulled
from detailgen.remedies.side_member.site import PULLED, Room, free_length, pair_of, sites_of, worst_of
from detailgen.remedies.side_member.words import layout_words, timber_words

DIAMETER, SIDES = "side member bolt diameter", "side members on"
"""Items of a truss's overrides that this remedy obeys."""


ONE_FACE = (
    "on one face alone they are offered only for a top chord of one ply: bolts through a second ply would hang that on nothing, and a pull off its "
    "axis bends the chord sideways"
)


@dataclass(frozen=True)
class _Wishes:
    """What the engineer has set for this truss."""

    diameters: tuple[float, ...] = p.DIAMETERS
    sides: tuple[tuple[str, ...], ...] = (p.SIDES["both"],)
    wrong: str = ""


def wishes_of(truss: Truss) -> _Wishes:
    """Overrides of a truss for side members; a value that means nothing is told, never ignored."""
    found = _Wishes()
    for override in truss.overrides:
        if override.item == DIAMETER:
            try:
                found = replace(found, diameters=(parse(override.value, "length"),))
            except QuantityError as error:
                found = replace(found, wrong=f"override '{DIAMETER}': {error}")
        elif override.item == SIDES:
            if override.value in p.SIDES:
                found = replace(found, sides=(p.SIDES[override.value],))
            else:
                found = replace(found, wrong=f"override '{SIDES}': found '{override.value}'; allowed: {', '.join(p.SIDES)}")
    return found


def new_wood(job: Job, old: Wood) -> Wood:
    """Dry sawn timber of the chord's species in the usual grade; the chord's own where the standard does not hold that grade."""
    if p.NEW_GRADE in job.wood.known_woods().get(f"sawn: {old.species}", ()):
        return Wood("sawn", old.species, p.NEW_GRADE)
    return Wood(old.product, old.species, old.grade, values=old.values, source=old.source)


@dataclass(frozen=True)
class _Asked:
    """One site with all that is known of it before anything is tried."""

    job: Job
    site: Site
    whole: Truss  # with all other repairs of the last round
    member: Member
    pair: tuple[str, str]
    room: Room
    before: float  # ratio of the chord without side members here
    dead: float  # the same under what is there when they are fitted
    sense: float

    @property
    def panel(self) -> str:
        return panel_name(self.pair)

    def side(self, layout: Layout) -> SideMember:
        return side_member(self.job, self.site.key, self.member, self.panel, layout)

    def judged(self, layout: Layout) -> Judged:
        return judge(self.job, self.whole, self.member, self.pair, layout, self.side(layout))

    def lifted(self, side: SideMember) -> float:
        """Ratio of the chord if all dead load were off it while they are fitted."""
        whole = replace(self.whole, side_members=tuple(replace(s, lifted=1.0) for s in self.whole.side_members))
        _, places = solved_with(self.job, whole, self.member, self.pair, replace(side, lifted=1.0))
        worst = worst_of(places[0].results)
        return worst.ratio if worst is not None else math.nan


class SideMemberRemedy:
    """Finds chords that bend too much and bolts timbers to their faces."""

    key = "side_member"
    title = "Side member"
    order = 70

    def __init__(self) -> None:
        self._known: dict[str, tuple[Job, Truss, Mapping[str, float], Repair | Refusal]] = {}

    def still_failing(self, job: Job, solved: Solved) -> Sequence[Site]:
        return sites_of(job, solved)

    def dimension(self, job: Job, truss: Truss, site: Site, solved: Solved, least: Mapping[str, float], most_lost: float) -> Repair | Refusal:
        """The side member with the least timber and bolts that brings the chord, itself and its bolts to 1.0 or below, or the nearest miss.

        Asked again beside the same other repairs, as the walk does until nothing moves, it answers what it has found.
        """
        member, wishes = truss.member(site.member), wishes_of(truss)
        blocked = wishes.wrong or _blocked(job, truss, member) or (blocked_where_pulled(truss, wishes.sides) if PULLED in site.key else "")
        if blocked:
            return Refusal(site.key, self.key, site.truss, blocked)
        whole = replace(solved.truss, side_members=tuple(s for s in solved.truss.side_members if s.name != site.key))
        if any(k[0] is not job for k in self._known.values()):
            self._known.clear()  # another truss: nothing of the last one is asked for again
        known = self._known.get(site.key)
        if known is None or known[1:3] != (whole, least):
            try:
                if PULLED in site.key:
                    answer = answered(job, whole, site, solved, new_wood(job, member.plies[0].wood), wishes.diameters)
                else:
                    answer = self._found(job, whole, site, solved, least, member, pair_of(site, truss), wishes)
            except NotCovered as error:
                answer = Refusal(site.key, self.key, site.truss, f"{error.what} is not covered", error.clause)
            known = self._known[site.key] = (job, whole, dict(least), answer)
        answer = known[3]
        if isinstance(answer, Refusal):
            return answer
        return replace(answer, truss=with_side(truss, next(s for s in answer.truss.side_members if s.name == site.key)))

    def _found(
        self, job: Job, whole: Truss, site: Site, solved: Solved, least: Mapping[str, float], member: Member, pair: tuple[str, str], wishes: _Wishes,
    ) -> Repair | Refusal:  # fmt: skip
        bare = job.solve(whole) if len(whole.side_members) != len(solved.truss.side_members) else solved
        room = free_length(whole, bare.model, member, pair)
        ways = tuple(s for s in wishes.sides if len(s) == 2 or (len(member.plies) == 1 and member.kind == "top chord"))
        if not ways:
            return Refusal(site.key, self.key, site.truss, ONE_FACE)
        sizes, why = timbers(job, whole, member, room, new_wood(job, member.plies[0].wood), ways)
        sizes = [t for t in sizes if all(_size(t, name) >= size - 1e-6 for name, size in least.items() if name in ("timber", "stock"))]
        units = job.project.units
        free = measured_along(whole, member, room.start, room.end) if room.end > room.start else 0.0
        where = f"Free length {units.write_length(free)}, from {room.at_start} to {room.at_end}"
        if not sizes:
            return Refusal(site.key, self.key, site.truss, f"no side member fits: {why or 'too little of the chord is free'}. {where}")
        place = bare.check([place_name(member, pair)])[0]
        worst = worst_of(place.results)
        assert worst is not None
        alone = {c.name for c in bare.forces.combinations if all(name == "D" for name, _ in c.factors)}
        dead = max((r.ratio for r in place.results if r.combination in alone and r.unit != "in" and r.ratio == r.ratio), default=math.nan)
        asked = _Asked(job, site, whole, member, pair, room, worst.ratio, dead, sense_of(bare, pair, worst))
        return self._tried(asked, sizes, least, wishes, where)

    def _tried(
        self, asked: _Asked, sizes: Sequence[Timber], least: Mapping[str, float], wishes: _Wishes, where: str,
    ) -> Repair | Refusal:  # fmt: skip
        """The stiffest first: where that is not enough on both faces nothing is; then from the least timber upward."""
        laid = {t: _laid(asked, t, least, wishes) for t in sizes}
        sizes = sorted((t for t in sizes if laid[t]), key=lambda t: -len(laid[t][0].lines))  # one row only where two fit nowhere
        key = asked.site.key
        if not sizes:
            return Refusal(key, self.key, asked.site.truss, f"no pattern of bolts fits the side members that there is room for. {where}")
        stiffest = max(sizes, key=lambda t: (_stiffness(t), -t.volume))
        best = asked.judged(laid[stiffest][0])
        if not at_most(asked.dead, 1.0):
            return self._refused(asked, best, where, (
                f"the chord stands at {asked.dead:.2f} under the dead load alone, which stays in it: what is added carries later load only, and adds "
                "its weight and its holes"))  # fmt: skip
        if (best.chord is None or not at_most(best.chord.ratio, 1.0)) and all(len(t.sides) == 2 for t in sizes):
            return self._refused(asked, best, where, "no side member is enough for the chord")
        nearest, tried = best, 0
        for timber in sizes:
            if tried == p.TRIES or _foreseen(asked, best, laid[timber][0]) > 1 + p.NEARLY:
                continue
            known = best
            while tried < p.TRIES and (layout := _with_bolts(asked, known, laid[timber])) is not None:
                tried += 1
                known = asked.judged(layout)
                if known.passes:
                    return self._decided(asked, known, where)
                nearest = min(nearest, known, key=lambda j: rounded(j.worst.ratio) if j.worst.ratio == j.worst.ratio else math.inf)
                if known.chord is None or not at_most(known.chord.ratio, 1.0):
                    break
                short = worst_of(known.bolts)  # more bolts are stiffer, and get more to hand over
                more = known.layout.count * max(short.ratio if short is not None else 1.0, 1.0)
                laid[timber] = [x for x in laid[timber] if x.count > more or x.diameter > known.layout.diameter]
        return self._refused(asked, nearest, where, "no side member is enough")

    def _decided(self, asked: _Asked, judged: Judged, where: str) -> Repair | Refusal:
        other = reversed_need(asked.job, asked.whole, asked.member, asked.pair, judged.side, asked.sense)
        if other is not None:
            return self._refused(asked, judged, where, (
                f"the chord fails in both senses ({other.ratio:.2f} under {other.combination}, where it bends the other way): bolts run through "
                "their play before they help in the second one"))  # fmt: skip
        job, layout, side, units = asked.job, judged.layout, judged.side, asked.job.project.units
        press = press_words(asked, layout, judged)
        told = told_between(asked.whole, asked.member, asked.pair, asked.room, layout, press, units)
        detail = build_detail(asked.whole, asked.site, asked.member, judged, judged.bolts, told)
        low, high = shares(asked, side)
        ends = max(float(abs(h.along).max()) for h in judged.handed)
        parameters = {
            "timber": timber_words(layout, job),
            "sawing": "band-sawn to the curve" if layout.timber.radius else "straight",
            "bolts": f"{layout.count} of {units.write_made(layout.diameter)}, {usual.BOLT_GRADE}",
            "layout": layout_words(layout, job),
            "chord before, with side members, and if the dead load were lifted off": (
                f"{asked.before:.2f}, {judged.chord.ratio if judged.chord else math.nan:.2f}, {asked.lifted(side):.2f}"
            ),
            "chord under dead load alone, which stays in it": f"{asked.dead:.2f}",
            "their part of later bending": f"{100 * low:.0f} to {100 * high:.0f} %",
            "force along the chord at each end of one": f"none to {units.write_force(ends)}",
            "free length": where.removeprefix("Free length "),
        }
        intervention = Intervention(asked.site.key, self.key, asked.site.truss, detail.title, asked.site.because, parameters, ())
        found = {"timber": _size(layout.timber, "timber"), "stock": layout.timber.stock, "diameter": layout.diameter, "bolts": float(layout.count)}
        return Repair(asked.site, with_side(asked.whole, side), intervention, detail, found, judged.bolts, "", 0.0)

    def _refused(self, asked: _Asked, judged: Judged, where: str, why: str) -> Refusal:
        after, check = (judged.chord.ratio, judged.chord.check) if judged.chord is not None else (math.nan, "not checked")
        worst = judged.worst
        also = "" if judged.chord is worst else f" What governs is {worst.where}, {worst.missing or f'{worst.check} {worst.ratio:.2f}'}."
        also += _beyond(asked, judged)
        reason = (
            f"{why}. Worked out with {layout_words(judged.layout, asked.job)}: the chord stands at {asked.before:.2f} before, "
            f"{after:.2f} with them ({check}), "
            f"{asked.lifted(judged.side):.2f} if shores lifted all dead load off while they are fitted.{also} {where}"
        )
        return Refusal(asked.site.key, self.key, asked.site.truss, reason)


def _beyond(asked: _Asked, judged: Judged) -> str:
    """Where the chord still fails beside the side members, at a panel point at which they are jointed; "" where it does not."""
    worst, truss = judged.chord, asked.whole
    if worst is None or at_most(worst.ratio, 1.0) or worst.station != worst.station:
        return ""
    low, high = (truss.joints[j][0] for j in asked.pair)
    x = low + (high - low) * worst.station / judged.solved.model.member_length[asked.panel]
    if judged.side.start <= x <= judged.side.end:
        return ""
    near = asked.pair[0] if x < judged.side.start else asked.pair[1]
    return f" It is at {near} that the chord fails, where side members have their joint and the chord carries everything by itself."


def _foreseen(asked: _Asked, best: Judged, layout: Layout) -> float:
    """About what the chord will stand at: in line with the part of bending that it is relieved of. One on one face alone also pulls it off its axis,
    by no such rule: it is tried."""
    if len(layout.timber.sides) < 2:
        return 1.0
    most, now = (shares(asked, side)[0] for side in (best.side, asked.side(layout)))
    return asked.before + ((best.chord.ratio if best.chord is not None else math.inf) - asked.before) * now / most


def _with_bolts(asked: _Asked, best: Judged, laid: Sequence[Layout]) -> Layout | None:
    """The pattern with the fewest bolts that hand over what is foreseen from the stiffest timber's forces; None where none does."""

    def enough(layout: Layout) -> bool:
        scale = shares(asked, asked.side(layout))[1] / shares(asked, best.side)[1]
        handed = handed_over(asked.whole, layout, best.side, best.solved)
        return all(r.passes for r in bolt_checks(asked.job, asked.member, layout, best.solved, handed, scale))

    if not laid or (not enough(laid[-1]) and not any(enough(x) for x in laid if x.diameter != laid[-1].diameter and x.count >= laid[-1].count - 2)):
        return None
    return next((x for x in laid if enough(x)), None)


def _laid(asked: _Asked, timber: Timber, least: Mapping[str, float], wishes: _Wishes) -> list[Layout]:
    try:
        found = patterns(asked.whole, asked.member, timber, wishes.diameters, asked.job.project.units.name)
    except NotCovered:
        return []
    return [x for x in found if x.diameter >= least.get("diameter", 0.0) - 1e-6 and x.count >= least.get("bolts", 0.0) - 1e-6]


def _size(timber: Timber, name: str) -> float:
    return timber.stock if name == "stock" else timber.thickness * len(timber.sides)


def _stiffness(timber: Timber) -> float:
    return round(len(timber.sides) * timber.thickness * timber.depth**3, 6)


def shares(asked: _Asked, side: SideMember) -> tuple[float, float]:
    """The part of later bending that goes into the side members, least and most, where they stand."""
    job = asked.job

    def modulus(wood: Wood, thickness: float, depth: float) -> float:
        return job.wood.stiffness(grade_of(wood), thickness, depth).E

    chord = sum(bending for _, bending in by_ply(asked.whole, asked.member, asked.pair, modulus, damaged=True).values())
    found = []
    for tight in (False, True):
        E, _, inertia = elements_of(replace(side, tight=tight), modulus)
        found.append(E * inertia / (E * inertia + chord))
    return found[0], found[1]


def press_words(asked: _Asked, layout: Layout, judged: Judged) -> str:
    """How the play of the bolts is taken out: pressed the way that the chord will bend further, the timbers spring back against their bolts."""
    t, units = layout.timber, asked.job.project.units
    by = p.PLAY * usual.HOLE_OVER_BOLT
    E = asked.job.wood.stiffness(grade_of(t.wood), t.thickness, t.depth).E
    span = layout.columns[-1] - layout.columns[0]
    force = 48 * E * t.thickness * t.depth**3 / 12 * by / span**3
    way = "down" if asked.sense > 0 else "up"
    return (
        f"Press the middle of each side member {way} by {units.write_made(by)} against the chord with a screw clamp or jack, about "
        f"{units.write_force(force)}: it takes the play out of the bolts. Hold point: the engineer or inspector reads the {units.write_made(by)}."
    )


def _blocked(job: Job, truss: Truss, member: Member) -> str:
    """Why no side member is looked into at all; "" where one is."""
    if any(q.layers for q in member.plies):
        return "the chord is built up of layers: side members are offered for solid plies, as bolts between layers were not surveyed"
    if len(member.plies) > 2:
        return f"the chord has {len(member.plies)} plies: side members are offered for one or two"
    if truss.forces is not None:
        return f"the forces of this truss come from {truss.forces.file}: what side members take must be solved by the same analysis, in stages"
    if job.project.modelling.one_by_one or truss.one_sided:
        return "each combination is solved by itself (free travel, second order, members of one sense): what comes later cannot be told apart"
    return ""


REMEDY = SideMemberRemedy()
