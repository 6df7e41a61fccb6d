"""Side members of a bottom chord that is pulled too much: past its panel points, with its dead load jacked off first where that is needed."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from detailgen.analysis.beside import held_by_its_ends
from detailgen.analysis.build import panel_name, panels
from detailgen.assessment.beside import place_of
from detailgen.assessment.members import grade_of, place_name
from detailgen.assessment.sections import holes_of, net_section
from detailgen.assessment.shoring import Jacks
from detailgen.assessment.sistered import OFFSET_TENSION, STATICS, TENSION
from detailgen.core.clause import Calculation, Cite
from detailgen.core.errors import NotCovered
from detailgen.core.result import CheckResult, State
from detailgen.core.tolerance import at_most, rounded
from detailgen.model.added import SideMember
from detailgen.model.assessment import Floats, Place
from detailgen.model.member import Member, Wood
from detailgen.model.project import Truss
from detailgen.remedies.contract import Job, Site, Solved
from detailgen.remedies.cost import PER_HOLE, WEIGHTS
from detailgen.remedies.side_member import parameters as p
from detailgen.remedies.side_member.judge import ALONG, BOTH_WAYS, Handed, Judged, at_station, bolt_checks, polar
from detailgen.remedies.side_member.layout import with_side
from detailgen.remedies.side_member.past import Past, layouts_past, record_of, sizes_of
from detailgen.remedies.side_member.site import PULLED, worst_of
from detailgen.remedies.usual import HOLE_OVER_BOLT, WOOD_WEIGHT

ADDED = Cite("house rule", "shares along and across the grain add up (on the safe side of NDS 2018 12.3.7 and EN 1995-1-1 8.5.1.1)")
ENTERS = Cite("house rule", "one column's share of the force enters a timber half of both thicknesses off its middle")


@dataclass(frozen=True)
class Pulled:
    """One stretch with all that is known before anything is tried."""

    job: Job
    site: Site
    whole: Truss  # with all other repairs of the last round
    bare: Solved
    member: Member
    stretch: tuple[float, float]
    before: CheckResult
    dead: float  # ratio under dead load alone
    profile: tuple[tuple[float, float], ...]  # x of the truss and the ratio there, before

    def record(self, layout: Past, jacks: Mapping[str, float]) -> SideMember:
        return record_of(self.job, self.site.key, self.member, name_of(self.site), layout, tuple(jacks.items()))

    def judged(self, layout: Past, jacks: Mapping[str, float]) -> Judged:
        """A pattern in its truss: its chord at all panels that it reaches into, itself, its bolts."""
        side = self.record(layout, jacks)
        solved = self.job.solve(with_side(self.whole, side))
        low, high = side.outer
        pairs = [q for q in panels(self.member) if self.whole.joints[q[1]][0] > low and self.whole.joints[q[0]][0] < high]
        places = self._looked_at(solved, [place_name(self.member, q) for q in pairs], place_of(side))
        handed = handed_over(self.whole, layout, side, solved, pairs)
        bolts = added(bolt_checks(self.job, self.member, layout, solved, handed))
        off = off_middle(
            self.member, layout, side, places, handed, [c.name for c in solved.forces.combinations], self._in_ply(solved, side),
            self.job.wood.one_section(),
        )  # fmt: skip
        return Judged(layout, side, solved, places, handed, (*bolts, *off))

    def _in_ply(self, solved: Solved, side: SideMember) -> list[tuple[float, Floats]]:
        """What the most loaded ply carries within the timbers' ends, per combination (lb), at each of both ends (x of the truss)."""
        found = []
        for x, inward in ((side.start, 1.0), (side.end, -1.0)):
            pair = next(q for q in panels(self.member) if self.whole.joints[q[0]][0] <= x + inward <= self.whole.joints[q[1]][0])
            f, (low, high) = solved.forces.members[panel_name(pair)], (self.whole.joints[j][0] for j in pair)
            share = max(q.axial_share for q in solved.model.parts[panel_name(pair)])
            at = (x + inward - low) / (high - low) * float(f.station[-1])
            found.append((x, share * at_station(f.station, f.axial, at)))
        return found

    def _looked_at(self, solved: Solved, chord: Sequence[str], side: str) -> tuple[Place, ...]:
        found = {q.name: q for q in solved.check([*chord, side])}
        along = tuple(found[name] for name in chord)
        whole = Place("member", along[0].member, "", f"{self.member.name} {name_of(self.site)}", tuple(r for q in along for r in q.results))
        return whole, found[side]

    def layouts(
        self, size: tuple[float, float], wood: Wood, diameters: Sequence[float], *, as_far_as_it_goes: bool = False,
    ) -> tuple[list[Past], str]:  # fmt: skip
        try:
            self.modulus(wood, *size)
            return layouts_past(self.job, self.whole, self.bare.model, self.member, self.stretch, size, wood, diameters,
                                as_far_as_it_goes=as_far_as_it_goes)  # fmt: skip
        except NotCovered as error:
            return [], f"{error.what} is not covered"

    @cached_property
    def pulls(self) -> tuple[float, float]:
        """Greatest pull in the chord over the stretch, and under dead load alone (lb)."""
        f = [self.bare.forces.members[panel_name(q)].axial for q in panels(self.member)
             if self.whole.joints[q[1]][0] >= self.stretch[0] and self.whole.joints[q[0]][0] <= self.stretch[1]]  # fmt: skip
        names = [c.name for c in self.bare.forces.combinations]
        return max(float(a.max()) for a in f), max(float(a[names.index("D")].max()) for a in f) if "D" in names else 0.0

    @cached_property
    def _woods(self) -> dict[tuple[Wood, float, float], float]:
        return {}

    def modulus(self, wood: Wood, thickness: float, depth: float) -> float:
        if (wood, thickness, depth) not in self._woods:
            self._woods[wood, thickness, depth] = self.job.wood.stiffness(grade_of(wood), thickness, depth).E
        return self._woods[wood, thickness, depth]

    def stiffness(self, layout: Past, *, tight: bool) -> tuple[float, float]:
        """EA (lb) of all timbers with the give of their end bolts, and of the chord beside them."""
        t, count = layout.timber, len(layout.timber.sides)
        own = count * self.modulus(t.wood, t.thickness, t.depth) * t.thickness * t.depth
        chord = sum(self.modulus(q.wood, q.thickness, q.depth) * q.thickness * q.depth for q in self.member.plies)
        slip = self.job.wood.slip_modulus(layout.diameter, grade_of(t.wood), steel=False) * layout.held * len(layout.lines)
        return float(held_by_its_ends(own, count * slip * (1.0 if tight else p.SOFT), layout.counts)), chord

    def weakened(self, layout: Past) -> float:
        """About what the chord stands at beside the bolts of the timbers' ends, where it still carries everything: in line with the section that
        their holes leave."""
        depth = min(q.depth for q in self.member.plies)
        left = 1 - len(layout.lines) * (layout.diameter + HOLE_OVER_BOLT) / depth
        xs, ratios = zip(*self.profile, strict=True)
        at = [x + layout.timber.at.x for group in layout.ends for x in group]
        return float(np.interp(at, xs, ratios).max()) / left

    def relief(self, layout: Past, jacks: Jacks | None) -> float:
        """About what the timbers take of the pull at least (lb): springs beside one another, once the play is gone."""
        own, chord = self.stiffness(layout, tight=False)
        pull, dead = self.pulls
        later = pull - dead + (dead - jacks.left if jacks is not None else 0.0)
        return max(own / (own + chord) * (later - chord * p.PLAY_LEFT / layout.counts), 0.0)

    def lifted(self, layout: Past) -> float:
        """Ratio of the chord if all dead load were off it while they are fitted."""
        whole = replace(self.whole, side_members=tuple(replace(s, lifted=1.0) for s in self.whole.side_members))
        other = replace(self, whole=whole)
        side = replace(self.record(layout, {}), lifted=1.0)
        solved = self.job.solve(with_side(other.whole, side))
        low, high = side.outer
        names = [place_name(self.member, q) for q in panels(self.member) if whole.joints[q[1]][0] > low and whole.joints[q[0]][0] < high]
        worst = worst_of([r for q in solved.check(names) for r in q.results])
        return worst.ratio if worst is not None else math.nan


def name_of(site: Site) -> str:
    """Where a timber stands, by the panel points that it runs past: "L1", "L1-L3"."""
    return site.key.partition(PULLED)[2]


def handed_over(truss: Truss, layout: Past, side: SideMember, solved: Solved, pairs: Sequence[tuple[str, str]]) -> tuple[Handed, ...]:
    """What the bolts of both ends bring in, and what one column between them hands over, to one timber.

    Where two elements meet, the timber's axial force jumps by what the bolts on both sides of it pass as far as the middles of both; what comes
    across there one column is asked for by itself.
    """
    f = solved.forces.members[side.element]
    share, rows = 1 / len(side.sides), len(layout.lines)
    found = []
    for name, columns, inner in zip(("left end", "right end"), layout.ends, (0.0, side.length), strict=True):
        M, V, N = (at_station(f.station, values, inner) * share for values in (f.moment, f.shear, f.axial))
        turned = np.abs(M) + np.abs(V) * layout.outside(columns)
        furthest = math.hypot(columns[-1] - columns[0], layout.gauge) / 2
        count = len(columns) * rows
        each = np.abs(V) / count + turned * furthest / polar(columns, layout.lines)
        found.append(Handed(name, columns, each, N, each * count))
    if layout.between:
        along, across = _between(f.station, f.axial, f.shear, layout, side)
        across = across * share + side.weight * share / len(layout.columns)
        found.append(Handed("between", layout.between, across / rows, along * share, across))
    return tuple(found)


def _between(station: Floats, axial: Floats, shear: Floats, layout: Past, side: SideMember) -> tuple[Floats, Floats]:
    inner = [k for k in range(1, len(station)) if abs(station[k] - station[k - 1]) < 1e-6]
    ends = [0.0, *(float(station[k]) for k in inner), float(station[-1])]
    along, across = np.zeros(len(axial)), np.zeros(len(axial))
    for a, b, c, k in zip(ends, ends[1:], ends[2:], inner, strict=False):
        near = [x for x in layout.columns if (a + b) / 2 <= x + side.length / 2 <= (b + c) / 2]
        jump = (axial[:, k] - axial[:, k - 1]) / max(len(near), 1)
        along = np.where(np.abs(jump) > np.abs(along), jump, along)
        across = np.maximum(across, np.abs(shear[:, k] - shear[:, k - 1]))
    return along, across


def added(results: Sequence[CheckResult]) -> tuple[CheckResult, ...]:
    """The results of both directions, and for each group and combination the sum of what is used along and across the grain."""
    across = {(r.where, r.combination): r for r in results if r.check == "bolts" and not r.where.endswith(ALONG)}
    sums = []
    for r in results:
        other = across.get((r.where.removesuffix(ALONG), r.combination))
        if r.check != "bolts" or not r.where.endswith(ALONG) or other is None or r.ratio != r.ratio or other.ratio != other.ratio:
            continue
        sheet = Calculation()
        along_part = sheet.given("r_along", r.ratio, "", r.cite)
        across_part = sheet.given("r_across", other.ratio, "", other.cite)
        total = rounded(float(sheet.given("r", along_part + across_part, "", ADDED)))
        sums.append(CheckResult(r.where.removesuffix(ALONG), BOTH_WAYS, total, 1.0, "", total, _state(total), r.combination, r.stage, math.nan,
                                ADDED, sheet))  # fmt: skip
    return (*results, *sums)


def _state(ratio: float) -> State:
    return State.PASSES if at_most(ratio, 1.0) else State.DOES_NOT_PASS


def off_middle(
    member: Member, layout: Past, side: SideMember, places: tuple[Place, ...], handed: Sequence[Handed], names: Sequence[str],
    chords: Sequence[tuple[float, Floats]], together: float,
) -> tuple[CheckResult, ...]:  # fmt: skip
    """Plies and timbers bend sideways where force passes between them: one column's share at half of both thicknesses (blocking and bolts hold both
    straight at every column), on top of the stress of the pull there, which in the chord is still the whole one."""
    t, holes = layout.timber, holes_of(side.bolts)
    ply = min(member.plies, key=lambda q: (q.thickness * q.depth, q.name))
    arm = (ply.thickness + t.thickness) / 2
    most = np.max([np.abs(h.along) for h in handed if h.name != "between"], axis=0)
    whole = most + np.max([c for _, c in chords], axis=0)
    found = []
    for place, thickness, depth, pull in ((places[0], ply.thickness, ply.depth, whole), (places[1], t.thickness, t.depth, most)):
        area, _ = net_section(thickness, depth, holes, together)
        known: dict[str, CheckResult] = {}
        for r in place.results:
            if r.check == TENSION and r.combination in names and r.ratio == r.ratio:
                known.setdefault(r.combination, r)
        for name, r in known.items():
            sheet = Calculation()
            N = sheet.given("N", max(float(pull[names.index(name)]), 0.0), "lb", ENTERS)
            P = sheet.given("P", float(most[names.index(name)]) / layout.held, "lb", ENTERS)
            demand = float(sheet.given("f_max", N / area + 6 * P * arm / (area * thickness), r.unit, STATICS))
            ratio = rounded(demand / r.capacity)
            found.append(CheckResult(r.where, OFFSET_TENSION, demand, r.capacity, r.unit, ratio, _state(ratio), name, r.stage, math.nan, ENTERS,
                                     sheet))  # fmt: skip
    return tuple(found)


@dataclass(frozen=True)
class Found:
    """What was found: the pattern that passes with the jacks that it needs, or the nearest miss and why nothing passes. Ratios of the chord: with
    timbers and nothing lifted off (``after``), with the jacks that the survey allows (``shored``)."""

    judged: Judged | None
    jacks: Jacks | None = None
    passes: bool = False
    why: str = ""
    after: float = math.nan
    shored: float = math.nan
    tried: Jacks | None = None


def search(
    pulled: Pulled, wood: Wood, diameters: Sequence[float], lifts: Sequence[Jacks], fails: Callable[[Judged], str],
) -> Found:  # fmt: skip
    """Without jacks where that is enough, else with the fewest: the pattern that relieves most says whether any does, then the one with the least
    work that is foreseen to.

    fails: what fails while the work is done, "" where nothing does
    """
    sizes = sizes_of(pulled.member)
    if not sizes:
        return Found(None, why="no stocked timber suits the chord")
    strongest, why = pulled.layouts(max(sizes, key=_area), wood, diameters)
    if not strongest:
        return _worth(pulled, wood, diameters, lifts, f"no side member fits: {why or 'no pattern of bolts fits it'}")
    laid: list[Past] = []
    nearest, told, last, after, shored = None, "", None, math.nan, math.nan
    for jacks in (None, *lifts):
        force = jacks.force if jacks is not None else {}
        most = max(_beside_holes(pulled, strongest), key=lambda x: rounded(pulled.relief(x, jacks)))
        best = pulled.judged(most, force)
        if jacks is None:
            after = ratio_of(best)
        elif not shored <= ratio_of(best):
            shored, last = ratio_of(best), jacks
        if nearest is None or ratio_of(best) < ratio_of(nearest):
            nearest = best
        if not at_most(ratio_of(best), 1.0):
            continue
        if told := fails(best):
            continue
        laid = laid or _beside_holes(pulled, [x for size in sizes for x in pulled.layouts(size, wood, diameters)[0]])
        known = _least(pulled, laid, best, jacks)
        if known.passes:
            told = fails(known)
            if not told:
                return Found(known, jacks, passes=True, after=after, shored=shored)
        nearest = known
        if not known.passes:
            break  # the chord is relieved enough; what is lifted off besides gives timbers and bolts more to carry, not less
    return Found(nearest, None, why=told, after=after, shored=shored, tried=last)


def _area(size: tuple[float, float]) -> tuple[float, float]:
    return rounded(size[0] * size[1]), size[1]


def _beside_holes(pulled: Pulled, laid: Sequence[Past]) -> list[Past]:
    """Those whose holes leave the chord enough where it still carries everything; where none does, those that leave it most."""
    left = [rounded(pulled.weakened(x)) for x in laid]
    limit = max(1.0, min(left))
    return [x for x, stands in zip(laid, left, strict=True) if at_most(stands, limit)]


def _least(pulled: Pulled, laid: Sequence[Past], best: Judged, jacks: Jacks | None) -> Judged:
    """The pattern with the least work that passes, of those that are foreseen to relieve the chord enough; the nearest miss where none does."""
    assert isinstance(best.layout, Past)
    force, relief = jacks.force if jacks is not None else {}, [rounded(pulled.relief(x, jacks)) for x in laid]
    gained = pulled.before.ratio - ratio_of(best)
    need = pulled.relief(best.layout, jacks) * (min((pulled.before.ratio - 1.0 - p.NEARLY) / gained, 1.0) if gained > 0 else 1.0)
    order = sorted((k for k in range(len(laid)) if relief[k] >= rounded(need)), key=lambda k: (_work(laid[k]), k))
    least: dict[float, float] = {}  # by diameter the bolts at an end that were too few
    nearest = best
    for _ in range(p.TRIES):
        k = next((k for k in order if laid[k].at_one_end > least.get(laid[k].diameter, 0.0)), None)
        if k is None:
            break
        known = pulled.judged(laid[k], force)
        if known.passes:
            return known
        nearest = known if score(known) < score(nearest) else nearest
        order = [o for o in order if o != k]
        if not at_most(ratio_of(known), 1.0):
            order = [o for o in order if relief[o] > relief[k]]
            continue
        short = max((r.ratio for r in known.bolts if r.ratio == r.ratio), default=1.0)
        if short > 1.0:  # more bolts are stiffer, and get more to hand over
            least[laid[k].diameter] = max(least.get(laid[k].diameter, 0.0), laid[k].at_one_end * min(short, 2.0) - 1e-6)
    return best if best.passes else nearest


def score(judged: Judged) -> float:
    worst = judged.worst
    return rounded(worst.ratio) if worst.ratio == worst.ratio else math.inf


def _work(layout: Past) -> float:
    """What a pattern costs by the usual weights: timber, bolts, holes."""
    t = layout.timber
    count = layout.count + len(layout.bored)
    return rounded(WEIGHTS["timber"] * t.volume * WOOD_WEIGHT + count * (WEIGHTS["bolts"] + 4 * PER_HOLE * WEIGHTS["field hours"]))


def ratio_of(judged: Judged) -> float:
    return judged.chord.ratio if judged.chord is not None else math.inf


def _worth(pulled: Pulled, wood: Wood, diameters: Sequence[float], lifts: Sequence[Jacks], why: str) -> Found:
    """What timbers would be worth that find no room: the strongest as far as the chord's faces are free."""
    laid = pulled.layouts(max(sizes_of(pulled.member), key=_area), wood, diameters, as_far_as_it_goes=True)[0]
    if not laid:
        return Found(None, why=why)
    best = max(laid, key=lambda x: rounded(pulled.relief(x, None)))
    bare = pulled.judged(best, {})
    shored = [(ratio_of(pulled.judged(best, jacks.force)), jacks) for jacks in lifts[:1]]
    return Found(bare, why=why, after=ratio_of(bare), shored=shored[0][0] if shored else math.nan, tried=shored[0][1] if shored else None)
