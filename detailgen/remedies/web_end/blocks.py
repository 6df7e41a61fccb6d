"""Bearing blocks: pads on the web's faces that stand on the chord take what the web is pushed with; the bolts through the lap hold its pull alone."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from detailgen.assessment.connections import check_connection
from detailgen.assessment.members import grade_of
from detailgen.core.errors import NotCovered
from detailgen.core.result import CheckResult, governs
from detailgen.core.tolerance import rounded_length
from detailgen.model.assessment import Place
from detailgen.model.detail import Bolt, Detail, Group, Hole, Interface, Part, PlyLoad, Why
from detailgen.model.member import Blocks, Connection, Ply, Wood
from detailgen.remedies import usual
from detailgen.remedies.contract import lasting
from detailgen.remedies.usual import mode_of
from detailgen.remedies.web_end import assembly, cover
from detailgen.remedies.web_end import cover_search as search
from detailgen.remedies.web_end import parameters as p
from detailgen.remedies.web_end.asked import Asked, Choice, missed
from detailgen.remedies.web_end.cover import Asking, Cover, Pattern
from detailgen.remedies.web_end.cover_detail import new_timber
from detailgen.remedies.web_end.cover_search import Nearest
from detailgen.remedies.web_end.judge import Judged, weakened, with_connection
from detailgen.remedies.web_end.lap import Layout, layouts
from detailgen.remedies.web_end.seat import Seat, in_the_way
from detailgen.standards.interface import AcrossRequest, BearingRequest

NOTES = (
    "The blocks stand tight on the chord's edge and take what the web is pushed with; the bolts through web and chord hold its pull alone.",
    "Where daylight shows between block and chord drive steel shims from both sides before the bolts of the blocks are drilled.",
)


OLD_BOLTS = "Old bolts stay where they are, tight, and are counted as carrying nothing."


@dataclass(frozen=True)
class _Standing:
    """Blocks with the bolts through the lap (None: the old ones as they are), and all that was checked."""

    pads: Cover
    lap: Layout | None
    connection: Connection
    rows: tuple[CheckResult, ...]
    own: tuple[CheckResult, ...]


def blocks(asked: Asked, seat: Seat) -> Iterator[Choice | Nearest]:
    """The least blocks of every diameter, with the least bolts through the lap that hold the pull."""
    job, end, axial = asked.job, asked.end, asked.axial
    if abs(np.cos(seat.angle)) > p.SQUARE:
        yield Nearest("the web slants to the chord: blocks on its edge would slide")
        return
    if not seat.recess:
        yield Nearest("web and chord are flush: blocks beside the web would stand on nothing")
        return
    if not _under(seat):
        yield Nearest("no ply of the chord lies under what stands out beside the web: blocks would stand on nothing")
        return
    if not (axial < 0).any():
        yield Nearest("the web is never pushed")
        return
    ply = end.web.plies[0]
    wood = cover.pad_wood(ply.wood, job.wood.known_woods().get(f"sawn: {ply.wood.species}", ()))
    for D in (d for d in asked.wished if d >= asked.least.get("diameter", 0.0) - 1e-6):
        try:
            yield _of_diameter(asked, seat, ply, wood, D)
        except NotCovered as error:
            yield Nearest(f"{error.what} is not covered")


def _of_diameter(asked: Asked, seat: Seat, ply: Ply, wood: Wood, D: float) -> Choice | Nearest:
    job, truss, end = asked.job, asked.truss, asked.end
    pushed = replace(cover.asking(truss, asked.solved, end, asked.axial), axial=np.minimum(asked.axial, 0.0))
    spacing = p.COVER_SPACING * D
    shapes = [Pattern(1, n, spacing, 0.0, 0.0) for n in p.COVER_PER_ROW]
    first = Cover(p.BLOCKS, job.project.units.name, seat, D, 0.0, (ply.depth, ply.thickness), end.connection.end, shapes[0], shapes[0], shapes[0])
    trials = [cover.up_the_web(replace(first, A=q), 0.0) for q in shapes]
    pads, bad = search.fewest(trials, lambda x: job.wood.connection_checks(cover.pads_to_web(pushed, x, truss, end, wood)))
    if bad is not None:
        return missed(_words(asked, pads, None), bad)
    if pads.pad[1] > seat.length:
        return Nearest(f"{_words(asked, pads, None)} would reach too far up the web", 1.0)
    box = search.outline(*pads.pad, ply.depth / 2)
    stands = in_the_way(end, seat, [(box, seat.high - seat.recess, seat.high), (box, seat.low, seat.low + seat.recess)], box)
    if stands:
        return Nearest(f"{_words(asked, pads, None)} would stand where {stands} stands", 1.0)
    own = (*_bearing(asked, pushed, pads, wood), *search.couple(job, pushed, pads))
    laps: list[Layout | None] = [None]
    if any(q.member != end.web.name for q in end.drilled):
        laps += layouts(truss, asked.solved.model, end, job.project.units.name, asked.wished, {})[: p.TRIES]
    near: Nearest | None = None
    for lap in laps:
        one = _judged(asked, pads, lap, wood, own)
        if all(r.passes for r in one.rows):
            detail = _detail(asked, one, wood)
            return Choice(p.BLOCKS, _words(asked, pads, lap), governs(one.rows), own, detail, one.connection, asked.cost(detail))
        miss = missed(_words(asked, pads, lap), governs(one.rows))
        near = miss if near is None or miss.miss < near.miss else near
    assert near is not None
    return near


def _under(seat: Seat) -> list[Ply]:
    """The chord's plies at its faces, on which blocks beside the web would stand."""
    return [q for q in seat.chord.plies if min(q.z + q.thickness / 2 - seat.low, seat.high - q.z + q.thickness / 2) <= seat.recess + p.FLUSH]


def _bearing(asked: Asked, pushed: Asking, pads: Cover, wood: Wood) -> tuple[CheckResult, ...]:
    """The chord across its grain under the pads, and the pads' end grain."""
    seat, depth, job = pads.seat, pads.web[0], asked.job
    under = _under(seat)
    thickness = sum(min(q.thickness, seat.recess) for q in under)
    ends = [abs(x) for q in asked.end.drilled if q.member == seat.chord.name for x in q.ends if np.isfinite(x)]
    across = AcrossRequest(
        where=f"chord under the blocks, {pushed.where}", wood=grade_of(under[0].wood), thickness=thickness, depth=under[0].depth, length=depth,
        end=min(ends, default=np.inf) - depth / 2, push=-pushed.axial, combinations=pushed.combinations, durations=pushed.durations,
        plies=len(under),
    )  # fmt: skip
    grain = BearingRequest(
        where=f"blocks' end grain, {pushed.where}", wood=grade_of(wood), thickness=seat.recess, depth=depth, area=thickness * depth, steel_face=False,
        axial=pushed.axial, combinations=pushed.combinations, durations=pushed.durations,
    )  # fmt: skip
    return (*job.wood.across_checks(across), *job.wood.bearing_checks(grain))


def _judged(asked: Asked, pads: Cover, lap: Layout | None, wood: Wood, own: Sequence[CheckResult]) -> _Standing:
    truss, end, solved = asked.truss, asked.end, asked.solved
    assert pads.A is not None
    made = cover.connection_of(pads, truss, end, wood)  # its bolts and pads are those of the blocks
    base = lap.connection if lap is not None else end.connection
    weight = search.weight_of(pads, truss) + (base.weight if lap is not None else 0.0)
    connection = replace(base, name=f"{base.name}, blocks", blocks=Blocks(made.bolts, made.pads), passing=(made.bolts,), weight=weight, new=True)
    changed = with_connection(truss, connection)
    place = check_connection(changed, solved.model, connection, solved.forces, asked.job.wood, damaged=True)
    rows = (*place.results, *own)
    fails: tuple[CheckResult, ...] = ()
    if all(r.passes for r in rows):
        fails = weakened(asked.job, truss, changed, solved, connection, {end.web.name, pads.seat.chord.name})
    return _Standing(pads, lap, connection, (*rows, *fails), (*place.results, *own))


def _words(asked: Asked, pads: Cover, lap: Layout | None) -> str:
    write = asked.job.project.units.write_made
    assert pads.A is not None
    sizes = " x ".join(write(v) for v in (pads.seat.recess, pads.web[0], pads.pad[1] - pads.pad[0]))
    through = f"{len(lap.bolts)} new bolts {write(lap.diameter)} through the lap" if lap is not None else "the old bolts through the lap"
    return f"2 blocks {sizes} on the chord, {len(pads.A.places)} bolts {write(pads.diameter)}, for its pull {through}"


def _detail(asked: Asked, one: _Standing, wood: Wood) -> Detail:
    """The joint of the lap, with the blocks on it."""
    truss, end, pads, site, units = asked.truss, asked.end, one.pads, asked.site, asked.job.project.units
    assert pads.A is not None
    reach = max(pads.pad[1], abs(pads.seat.free)) + p.REACH / 2
    key, size = ("B2" if one.lap is not None else "B1"), pads.diameter + usual.HOLE_OVER_BOLT
    bolt = cover.ordered(pads, truss, "A")
    bare = Layout(pads.diameter, 0, 0, 0.0, 0.0, (), end.connection, tuple(sorted(end.drilled, key=lambda q: q.z)), bolt, 0.0)
    lap = one.lap or bare
    parts = assembly.timbers_of(truss, end, lap, reach)
    fillers = assembly.fillers_of(truss, end, lap, units.name) if one.lap is not None else []
    (x1, x2), half = pads.pad, pads.web[0] / 2

    def holes(template: str, shift: float) -> tuple[Hole, ...]:
        assert pads.A is not None
        return tuple(Hole(rounded_length(x - shift), y, size, key, template) for x, y in pads.A.places)

    web = next(x for x in parts if x.key.startswith("end-"))
    parts[parts.index(web)] = web = replace(web, holes=(*web.holes, *holes("pad-near", 0.0)))
    new = [
        new_timber(f"pad-{side}", "block", f"{side} block", wood, (x1, -half, x2, half), z, pads.seat.recess, holes(template, x1))
        for side, z, template in (("near", pads.seat.high - pads.seat.recess, ""), ("far", pads.seat.low, "pad-near"))
    ]
    every = tuple(sorted([*parts, *fillers, *new], key=lambda x: (x.placement.z, x.key)))
    low, high = pads.grip("A")
    bolts = [Bolt(key, x, y, pads.diameter, low, high, bolt.length, usual.BOLT_GRADE, 2 + bolt.packing_washers, truss.bolts_from)
             for x, y in pads.A.places]  # fmt: skip
    groups = [_group(asked, one, key, web, new)]
    stand = "Stand both blocks tight on the chord's edge, clamp them to the web, drill through the near one, bolt them."
    order: list[tuple[str, tuple[str, ...]]] = [(stand, ("pad-near", "pad-far"))]
    whys: tuple[Why, ...] = ()
    notes = [assembly.where(end, lap, units), OLD_BOLTS] if one.lap is not None else [_where(asked, pads)]
    if one.lap is not None:
        pulled = replace(one.lap, connection=one.connection)
        judged = Judged(pulled, replace(_place(one), results=tuple(r for r in one.rows if "on its blocks" not in r.where)), ())
        found = assembly.group_of(end, pulled, [x for x in every if x not in new], judged, np.maximum(asked.axial, 0.0))
        groups.insert(0, found)
        (a, b), through = one.lap.grip, one.lap.ordered
        bolts = [*(Bolt("B1", x, y, one.lap.diameter, a, b, through.length, usual.BOLT_GRADE, 2 + through.packing_washers, truss.bolts_from)
                   for x, y in one.lap.bolts), *bolts]  # fmt: skip
        whys = assembly.whys_of(judged, every, pulled)
        first = assembly.order_of(one.lap, fillers)
        order = [*first[:-1], *order, first[-1]]
    else:
        order = [("Work without snow on the roof. No timber is cut and no old bolt is loosened; tighten the old bolts.", ()), *order,
                 ("Check all bolts again after the wood has dried for a season.", ())]  # fmt: skip
    return Detail(
        key=site.key, title=f"Bearing blocks of web {end.web.name} at {end.joint}", truss=site.truss, remedy="web_end", member=end.web.name,
        station=site.x, parts=every, bolts=tuple(bolts), groups=tuple(groups), zones=assembly.zones_of(end, lap), whys=whys,
        order=tuple(text for text, _ in order), notes=(*notes, *NOTES, *assembly.NOTES), results=one.own, brings=tuple(k for _, k in order),
        joint=end.joint, beside=(pads.seat.chord.name,), shores="none: no timber is cut, no old bolt is drawn",
    )  # fmt: skip


def _place(one: _Standing) -> Place:
    return Place("connection", "", one.connection.joint, "", one.rows)


def _where(asked: Asked, pads: Cover) -> str:
    end = asked.end
    other = next(j for j in end.web.joints if j != end.joint)
    return (
        f"WP is the work point of {end.joint}; to the right here the web runs to {other}. The blocks begin at the chord's edge. "
        "The truss is turned here so that the web lies level."
    )


def _group(asked: Asked, one: _Standing, key: str, web: Part, new: Sequence[Part]) -> Group:
    """The bolts of the blocks: the web is pushed, each block takes half."""
    assert one.pads.A is not None
    push = np.minimum(asked.axial, 0.0)
    most = float(-push.min())
    mine = [r for r in one.rows if "on its blocks" in r.where and r.check == "bolts"]
    capacity = min((r.capacity for r in mine), default=np.nan)
    faces = tuple(Interface(web.key, x.key, most / 2, capacity / 2, mode_of(mine)) for x in new)
    loads = [PlyLoad(web.key, 0.0, most, assembly.part_load(web, key, np.pi), lasting(push, asked.durations))]
    loads += [PlyLoad(x.key, 0.0, most / 2, assembly.part_load(x, key, 0.0), lasting(push / 2, asked.durations)) for x in new]
    A = one.pads.A
    return Group(key, one.pads.diameter, A.places, (web.key, *(x.key for x in new)), faces, tuple(loads), A.rows, A.per_row, A.spacing, A.gauge)
