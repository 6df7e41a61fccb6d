"""Plausible surveys by seed: sound bowstring trusses of the samples' kinds, each with faults planted, each fault labelled by the remedy meant for it.

A base truss is varied in tributary width and snow until it passes as found; then a fault is planted that lies within the bounds of one remedy:
damage, something built too weak, something taken away, or more load than it was built for. A few lie beyond these bounds, as the trade draws them,
and say why. What comes of it is ``solved`` (everything as repaired passes and the labelled remedies are in the plan), ``otherwise`` (everything
passes by what others do), ``refused`` (the tool tells why not), ``harmless`` (the planted fault fails nothing) or ``silent`` (something fails and the
tool does not say why: a defect).
"""

from __future__ import annotations

import bisect
import math
import random
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from sample_trusses import BENT, BRACED, SHORT_END, SLENDER, STRUNG, US_SAMPLE, WEAK_HEEL, project, truss

from detailgen import pipeline
from detailgen.analysis.build import panel_name, panels
from detailgen.core.result import State
from detailgen.model.member import Connection, Damage, Member
from detailgen.model.package import Repaired
from detailgen.model.project import Access, AnchoredBay, Project, Truss

BASES = ((SHORT_END, "G3"), (SLENDER, "C"), (US_SAMPLE, "T2"))
SOUND_TRIES = 12
"""How often a base is drawn anew, each time with less load, until it passes as found."""


@dataclass(frozen=True)
class Planted:
    """A survey with its faults: the remedies meant for them, in words."""

    seed: int
    project: Project
    truss: Truss
    meant: tuple[str, ...]
    words: str
    beyond: str = ""  # why the fault lies beyond the bounds of the remedy that would answer it, by the trade; "": it does not


@dataclass(frozen=True)
class Outcome:
    planted: Planted
    answer: str  # solved, otherwise, refused, harmless, silent
    made: tuple[str, ...]  # remedies of its repairs
    reasons: tuple[tuple[str, str], ...]  # every refusal: remedy and reason, whatever came of the truss
    ratio: float

    @property
    def label(self) -> str:
        """What it counts with."""
        if self.planted.beyond:
            return "beyond bounds"
        return self.planted.meant[0] if len(self.planted.meant) == 1 else "two faults"

    @property
    def wordless(self) -> tuple[str, ...]:
        """Reasons that give the engineer neither a number nor a way on."""
        return tuple(f"{remedy}: {reason}" for remedy, reason in self.reasons if not NUMBER.search(reason) and not WAY_ON.search(reason))


NUMBER = re.compile(r"\d+(\.\d+)?( ?(%|in\.|ft|lb|psi|\")|'-|/| tried| to the)|\d\.\d\d")
"""A number that says how much: a length, a force, a share, a ratio. Those in the names of joints and plies do not count."""
WAY_ON = re.compile(r"\b(enter|state|set) '")
"""What to write into the survey."""


def _as_built(found: Truss) -> Truss:
    return found


def _sound(seed: random.Random, bases: Sequence[tuple[str, str]] = BASES, built: Callable[[Truss], Truss] = _as_built) -> tuple[Project, Truss]:
    """A truss of one of the samples without damage, its webs' ends long enough, loaded so that it passes as found. ``built``: as it once stood."""
    sample, mark = seed.choice(bases)
    job, base = project(sample), built(truss(sample, mark))
    connections = tuple(
        replace(c, end=max(c.end, 6.75)) if base.member(c.member).kind == "web" else c for c in base.connections
    )  # fmt: skip
    base = replace(base, damage=(), forces=None, connections=connections)
    width = base.tributary_width * seed.uniform(0.75, 1.05)
    snow = job.loads.snow
    assert snow is not None
    ground = snow.ground_snow * seed.uniform(0.5, 1.0)
    for k in range(SOUND_TRIES):
        less = 0.92**k
        found = replace(base, tributary_width=round(width * less, 1))
        loads = replace(job.loads, snow=replace(snow, ground_snow=ground * less), concentrated=job.loads.concentrated * less)
        varied = replace(job, loads=loads, trusses=(found,), access=None)  # how long a piece may be is asked elsewhere
        if pipeline.structure_passes(pipeline.assess_one(varied, found).as_found):
            return varied, found
    raise AssertionError(f"{sample} {mark} never passes as found")


def _middle(seed: random.Random, found: Truss) -> float:
    """A place in the middle of a panel of the bottom chord."""
    k = seed.randrange(1, len(found.bottom) - 2)
    a, b = (found.joints[j][0] for j in found.bottom[k : k + 2])
    return round((a + b) / 2 + seed.uniform(-4.0, 4.0), 1)


def broken_ply(seed: random.Random, found: Truss) -> tuple[Truss, str]:
    at, ply = _middle(seed, found), seed.choice([p.name for p in found.member("bottom chord").plies])
    length = seed.choice((2.0, 4.0, 6.0))
    return replace(found, damage=(*found.damage, Damage("break", "bottom chord", ply, at, length, "S1", 0.0, ""))), f"break of the {ply} ply at {at}"


def decayed_ply(seed: random.Random, found: Truss) -> tuple[Truss, str]:
    joint = found.bottom[len(found.bottom) // 2]
    at, ply = found.joints[joint][0], seed.choice([p.name for p in found.member("bottom chord").plies])
    damage = Damage("decay", "bottom chord", ply, at, seed.choice((8.0, 14.0)), "S2", 0.15, "probed")
    return replace(found, damage=(*found.damage, damage)), f"decay of the {ply} ply at {joint}"


def _one_layer(found: Truss) -> bool:
    """Are all webs of one ply, in the gap of the chords, and nothing else there?"""
    return all(len(m.plies) == 1 for m in found.members if m.kind == "web") and not found.splices


def slender_webs(seed: random.Random, found: Truss) -> tuple[Truss, str]:
    """All webs sawn thinner; some bow."""
    thick = next(m.plies[0].thickness for m in found.members if m.kind == "web")
    thin = round(thick * seed.uniform(0.72, 0.92), 2)
    bows = [seed.choice((0.0, 0.25, 0.5)) if m.kind == "web" else 0.0 for m in found.members]
    return thinner(found, thin, *bows), f"all webs only {thin} in. thick"


def thinner(found: Truss, thin: float, *bows: float) -> Truss:
    """All webs of this thickness, the chords' plies and heel plates moved together so that they still touch. ``bows``: one for all or one each."""
    thick = next(m.plies[0].thickness for m in found.members if m.kind == "web")
    nearer = (thick - thin) / 2

    def moved(z: float) -> float:
        return z if z == 0 else (z - nearer if z > 0 else z + nearer)

    members = []
    for k, m in enumerate(found.members):
        plies = tuple(replace(q, thickness=thin) if m.kind == "web" else replace(q, z=moved(q.z)) for q in m.plies)
        members.append(replace(m, plies=plies, bow=bows[k % len(bows)] if m.kind == "web" else m.bow))
    connections = tuple(replace(c, plates=tuple(replace(q, z=moved(q.z)) for q in c.plates)) for c in found.connections)
    return replace(found, members=tuple(members), connections=connections)


def _lone(found: Truss) -> list[Connection]:
    """Webs' ends that stand alone at their joint of the bottom chord: the bounds of new bolts through the lap."""
    webs = [c for c in found.connections if found.member(c.member).kind == "web" and c.joint in found.bottom]
    return [c for c in webs if sum(o.joint == c.joint for o in webs) == 1]


def short_end(seed: random.Random, found: Truss) -> tuple[Truss, str]:
    """The end of a web that stands alone at its joint, cut short, with one bolt near its end."""
    one = seed.choice(_lone(found))
    at = round(-seed.uniform(0.5, 1.5), 2)
    cut = replace(one, end=round(-at + seed.uniform(1.0, 2.0), 2), bolts=replace(one.bolts, positions=((at, 0.0),)))
    return replace(found, connections=tuple(cut if c is one else c for c in found.connections)), f"end of {one.member} at {one.joint} cut short"


LOADED = {"side_member": (BENT, "R4"), "posttension": (STRUNG, "G3"), "heel": (WEAK_HEEL, "H3")}
"""A truss whose weakest place under more load is one that the remedy answers: a top chord bent by purlins, the pull of the bottom chord, heels."""
STEPS = 60
"""How often a truss is loaded by 2 % more until it fails."""


def overloaded(seed: random.Random, job: Project, found: Truss) -> tuple[Project, Truss, str]:
    """More roof for the truss to carry than it can: the first step of 2 % at which something fails, and up to 6 % beyond that.

    What fails under some load fails under more of it, so the step is found by halving.
    """

    def more(step: int) -> Truss:
        return replace(found, tributary_width=round(found.tributary_width * 1.02**step, 1))

    def fails(step: int) -> bool:
        return not pipeline.structure_passes(pipeline.assess_one(replace(job, trusses=(more(step),)), more(step)).as_found)

    step = bisect.bisect_left(range(1, STEPS), True, key=fails) + 1
    assert step < STEPS, f"{found.mark} never fails"
    heavy = replace(found, tributary_width=round(more(step).tributary_width * seed.uniform(1.0, 1.06), 1))
    share = 100 * (heavy.tributary_width / found.tributary_width - 1)
    return replace(job, trusses=(heavy,)), heavy, f"{share:.0f} % more load than where it passes"


LINED = ((BRACED, "R3"), (SLENDER, "C"))
"""Trusses with webs too long for their thickness: they were built with lines along the building at the middle of these webs, and at every panel
point of the bottom chord."""
SHARE = 0.02
"""Of the compression in each truss that leans on it an anchored bay must take (common practice, no published source)."""
BEYOND = 0.15
"""This share of the lines gone, and of the decayed plies, lies beyond the bounds of its remedy."""
LEAST_SOUND = 12.0
"""Of sound wood (in) beside decay are needed for any joint (common practice, no published source)."""
LONGEST_FREE = 50.0
"""A web over this length over its thickness was built with a line (NDS 2018 3.7.1.4)."""


def _lined(webs: float, bow: float) -> Callable[[Truss], Truss]:
    """As built: all webs so thick (in), and lines where the webs or the bottom chord are too slender to do without."""

    def built(found: Truss) -> Truss:
        thin = thinner(found, webs, bow)
        return replace(thin, members=tuple(replace(m, braces=_lines_of(thin, m)) for m in thin.members))

    return built


def _lines_of(found: Truss, member: Member) -> tuple[float, ...]:
    if member.kind == "bottom chord":
        return tuple(found.joints[j][0] for j in found.bottom[1:-1])
    if member.kind != "web":
        return member.braces
    length = math.dist(*(found.joints[j] for j in member.joints))
    return (round(length / 2, 2),) if length > LONGEST_FREE * member.plies[0].thickness else ()


def lines_gone(seed: random.Random) -> tuple[Project, Truss, str, str]:
    """A line along the building that held webs or the bottom chord was taken out; where it ran a bay is anchored, by the trade's rule.

    The truss passes with its lines, so what holds its members at the same places is enough. One web or all on one side, or one to three lines side by
    side of the bottom chord. Beyond bounds are some whose bay takes less than the rule asks for.
    """
    base = seed.choice(LINED)
    thick = {BRACED: (2.0, 2.25, 2.5), SLENDER: (1.5, 1.62, 1.75)}[base[0]]
    job, found = _sound(seed, (base,), _lined(seed.choice(thick), seed.choice((0.0, 0.125, 0.25))))
    held = [m for m in found.members if m.kind == "web" and m.braces]
    if base[0] == BRACED and seed.random() < 0.5:  # wind lifts this roof and pushes the bottom chord together
        stations = found.member("bottom chord").braces
        count = seed.choice((1, 2, 3))
        first = seed.randrange(len(stations) - count + 1)
        lost, kind = {"bottom chord": stations[first : first + count]}, "bottom chord"
        said = f"{count} of {len(stations)} lines of the bottom chord gone, from {found.bottom[first + 1]} on"
    else:
        pairs = [m for m in held if found.joints[m.joints[0]][0] < found.span / 2] if len(held) > 1 else held
        some = pairs if seed.random() < 0.3 else [seed.choice(held)]
        lost, kind = {m.name: m.braces for m in some}, "webs"
        said = f"the line at the middle of {', '.join(lost)} gone"
    forces = pipeline.assess_one(job, found).as_found.forces
    assert forces is not None
    pushed = max(-float(forces.members[panel_name(q)].axial.min()) for m in lost for q in panels(found.member(m)))
    members = tuple(replace(m, braces=tuple(x for x in m.braces if x not in lost.get(m.name, ()))) for m in found.members)
    found = replace(found, members=members)
    leaning = seed.choice((2, 3, 4))
    asked = leaning * SHARE * pushed
    takes, beyond = math.ceil(asked * seed.uniform(1.1, 2.0) / 10) * 10.0, ""
    if seed.random() < BEYOND and asked > 20.0:
        takes = math.floor(asked * seed.uniform(0.5, 0.9) / 10) * 10.0
        beyond = f"a bay must take {SHARE:.0%} of the compression of every truss that leans on it, {asked:,.0f} lb"
    bay = AnchoredBay("a bay with crossed rods", kind, leaning, takes, spacing=seed.choice((72.0, 84.0, 96.0)))
    return replace(job, trusses=(found,), anchored=(bay,)), found, f"{said}; the bay takes {takes:,.0f} lb of {leaning}", beyond


def no_access(job: Project, found: Truss) -> tuple[Project, str]:
    """A hatch that lets in only pieces with less than a foot of sound wood on either side of the decay: nothing can be joined to that."""
    longest = max(d.length for d in found.damage if d.kind == "decay") + 2 * LEAST_SOUND
    return replace(
        job, access=Access(longest=longest)
    ), f"no piece over {longest:.0f} in. gets there: too little beside the decay to join anything to"


FAULTS: dict[str, Callable[[random.Random, Truss], tuple[Truss, str]]] = {
    "splice": broken_ply, "replacement": decayed_ply, "sister": slender_webs, "web_end": short_end,
}  # fmt: skip


def plant(number: int) -> Planted:
    """The survey of one seed: every fifth is overloaded, every tenth has lost lines; of the others every fourth has two faults and the rest one."""
    seed = random.Random(f"planted {number}")
    if number % 5 == 4:  # too much load instead of something wrong with the truss
        remedy = sorted(LOADED)[number // 5 % len(LOADED)]
        job, found, said = overloaded(seed, *_sound(seed, (LOADED[remedy],)))
        return Planted(number, job, found, (remedy,), said)
    if number % 10 == 6:
        job, found, said, beyond = lines_gone(seed)
        return Planted(number, job, found, ("brace",), said, beyond)
    job, found = _sound(seed)
    count = 2 if number % 4 == 3 else 1
    bounds = {"web_end": bool(_lone(found)), "sister": _one_layer(found)}
    possible = [k for k in sorted(FAULTS) if bounds.get(k, True)]
    if "sister" in possible:  # only here
        possible += ["sister"] * 2
    meant = list(dict.fromkeys(seed.sample(possible, len(possible))))[:count]
    words = []
    for remedy in meant:
        found, said = FAULTS[remedy](seed, found)
        words.append(said)
    job, beyond = replace(job, trusses=(found,)), ""
    if meant == ["replacement"] and seed.random() < BEYOND:
        job, beyond = no_access(job, found)
    return Planted(number, job, found, tuple(meant), "; ".join(words), beyond)


def outcome(planted: Planted) -> Outcome:
    """What the tool makes of it, by what the tool itself says."""
    one: Repaired = pipeline.repair_one(planted.project, planted.truss)
    worst = one.after.worst
    ratio = worst[1].ratio if worst is not None else float("nan")
    results = [r for _, r in one.after.results()]
    made = tuple(sorted({i.remedy for i in one.interventions}))
    missing = [("cannot be checked", r.missing) for r in results if r.state is State.CANNOT_BE_CHECKED]
    told = [(r.remedy, r.reason) for r in one.refusals] + missing
    if not one.after.no_safe_load_path and all(r.state is State.PASSES for r in results):
        answer = "solved" if set(made) >= set(planted.meant) else "otherwise"
        if not made and pipeline.structure_passes(one.before.as_found):
            answer = "harmless"
    else:
        answer = "refused" if told or one.after.no_safe_load_path else "silent"
    return Outcome(planted, answer, made, tuple(dict.fromkeys(told)), ratio)
