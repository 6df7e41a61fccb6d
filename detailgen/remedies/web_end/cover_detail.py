"""Covers as they are built: parts, bolts, reasons, order of work. Axes of the end, as in ``assembly``."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

from detailgen.assessment.bolts import GroupPart
from detailgen.core.result import CheckResult
from detailgen.core.tolerance import rounded_length
from detailgen.core.units import UnitSystem
from detailgen.model.assessment import Floats
from detailgen.model.detail import Bolt, Detail, Group, Hole, Interface, Part, Placement, PlyLoad, Vertex, Why
from detailgen.model.member import Ply, Wood
from detailgen.model.outlines import rectangle
from detailgen.model.project import Truss
from detailgen.remedies import usual
from detailgen.remedies.contract import Site, lasting
from detailgen.remedies.usual import mode_of
from detailgen.remedies.web_end import parameters as p
from detailgen.remedies.web_end.assembly import NOTES, part_load
from detailgen.remedies.web_end.cover import Cover, Place, ordered
from detailgen.remedies.web_end.cover_search import Covered
from detailgen.remedies.web_end.site import End
from detailgen.stock.plates import steel_unit_weight

KEYS = {"A": "B1", "B": "B2", "C": "B3"}
"""Groups on the sheet; where no pads are there are no bolts A."""
WORDS = {"A": "through pads and web alone", "B": "of covers and web", "C": "of covers and chord"}
WEB = "end"
OLD_HOLES = (
    "The old bolts of the web here are drawn: the covers lie flat where their heads stood. Their holes stay open and are counted as such; new "
    "bolts carry the whole force of the web's end."
)
PADS = (
    "Pads make the web flush with the chord. Bolts through pads and web only bring the force into the pads, those under the covers bring it on "
    "into the covers: both groups are needed whole."
)


@dataclass(frozen=True)
class _Made:
    """What all parts of the joint are made from."""

    end: End
    covered: Covered
    chord: Sequence[GroupPart]
    reach: float
    axial: Floats
    durations: tuple[str, ...]

    @property
    def cover(self) -> Cover:
        return self.covered.cover

    @property
    def template(self) -> str:
        return "cover-near"

    def holes(self, groups: str, templates: dict[str, str], shift: float = 0.0, angle: float = 0.0) -> tuple[Hole, ...]:
        """Holes of groups in a part turned by ``angle`` whose own x begins at ``shift``."""
        size, c, s = self.cover.diameter + usual.HOLE_OVER_BOLT, math.cos(angle), math.sin(angle)
        return tuple(
            Hole(rounded_length(x * c + y * s - shift), rounded_length(-x * s + y * c), size, KEYS[g], templates[g])
            for g, places in self.cover.bolts if g in groups for x, y in places
        )  # fmt: skip


def _timbers(made: _Made) -> list[Part]:
    end, cover = made.end, made.cover
    web, ply = end.web, end.web.plies[0]
    through = {"A": "pad-near", "B": made.template, "C": made.template}
    found = [
        _old(WEB, f"web {web.name}", ply, rectangle(-end.connection.end, made.reach, ply.depth), made.holes("AB", through), 0.0, (made.reach,)),
    ]
    angle = cover.seat.angle
    for q in made.chord:
        own = next(x for x in cover.seat.chord.plies if x.name == q.ply)
        several = len(cover.seat.chord.plies) > 1
        x1, x2 = max(q.ends[0], -made.reach), min(q.ends[1], made.reach)
        opens = tuple(x for x, limit in ((x1, q.ends[0]), (x2, q.ends[1])) if x != limit)
        name = f"{q.ply} ply of the {q.member}" if several else q.member
        key = f"ply-{q.member.replace(' ', '-')}-{q.ply}"
        found.append(_old(key, name, own, rectangle(x1, x2, q.depth), made.holes("C", through, angle=angle), angle, opens))
    return found


def _old(
    key: str, name: str, ply: Ply, outline: tuple[Vertex, ...], holes: tuple[Hole, ...], angle: float, opens: tuple[float, ...],
) -> Part:  # fmt: skip
    return Part(key, "ply", name, outline, holes, (), ply.thickness, Placement(0.0, 0.0, ply.z - ply.thickness / 2, angle), "wood",
                f"{ply.wood.species} {ply.wood.grade}", 0.0, True, usual.WOOD_WEIGHT, open_ends=opens, facts=ply.wood.facts)  # fmt: skip


def new_timber(
    key: str, kind: str, name: str, wood: Wood, box: tuple[float, float, float, float], z: float, thickness: float, holes: tuple[Hole, ...],
) -> Part:  # fmt: skip
    """A new timber from x, y to x, y, its grain along x of the end."""
    x1, y1, x2, y2 = box
    mid = rounded_length((y1 + y2) / 2)
    own = tuple(Hole(h.x, rounded_length(h.y - mid), h.diameter, h.bolt, h.template) for h in holes)
    return Part(key, kind, name, rectangle(0.0, x2 - x1, y2 - y1), own, (), thickness, Placement(x1, mid, z), "wood",
                f"{wood.species} {wood.grade}, dry", 0.0, False, usual.WOOD_WEIGHT, facts=wood.facts)  # fmt: skip


def _new(made: _Made) -> list[Part]:
    cover, seat, wood = made.cover, made.cover.seat, made.covered.wood
    found: list[Part] = []
    t, half, start, stop = cover.thickness, cover.width / 2, cover.start, cover.stop
    shop = {"B": "", "C": ""} if cover.steel else {"B": made.template, "C": made.template}
    for side, z in (("near", seat.high), ("far", seat.low - t)):
        key = f"cover-{side}"
        if cover.steel:
            holes = made.holes("BC", shop, start)
            found.append(
                Part(key, "plate", f"{side} gusset", rectangle(0.0, stop - start, 2 * half), holes, (), t, Placement(start, 0.0, z), "steel",
                     p.PLATE_GRADE, math.nan, False, steel_unit_weight(), "hot-dip galvanized")
            )  # fmt: skip
        else:
            own = dict.fromkeys("BC", "") if side == "near" else shop
            found.append(new_timber(key, "block", f"{side} timber", wood, (start, -half, stop, half), z, t, made.holes("BC", own, start)))
    if cover.A is not None:
        x1, x2 = cover.pad
        deep = cover.web[0] / 2
        for side, z in (("near", seat.high - seat.recess), ("far", seat.low)):
            through = {"A": "" if side == "near" else "pad-near", "B": made.template}
            box = (x1, -deep, x2, deep)
            found.append(new_timber(f"pad-{side}", "block", f"{side} pad", wood, box, z, seat.recess, made.holes("AB", through, x1)))
    levels = sorted((q.low, q.high) for q in made.chord)
    for low, high in [(a[1], b[0]) for a, b in itertools.pairwise(levels) if b[0] - a[1] > p.FLUSH]:
        for at in (-1, 1) if seat.tail else (0,):
            box = cover.block(at)
            inside = tuple(h for h in made.holes("C", {"C": made.template}, box[0]) if at * h.y >= 0)
            found.append(new_timber(f"filler-{at + 2}", "filler", "filler block", wood, box, low, high - low, inside))
    return found


def _group(made: _Made, parts: Sequence[Part], name: str, places: Sequence[Place], results: Sequence[CheckResult]) -> Group:
    """What a group joins: web and pads, pads (or web) and covers, covers and chord."""
    cover, axial = made.cover, made.axial
    pattern = {"A": cover.A, "B": cover.B, "C": cover.C}[name]
    assert pattern is not None
    held = [x for x in parts if any(h.bolt == KEYS[name] for h in x.holes)]
    covers = [x for x in held if x.key.startswith("cover-")]  # far to near, as all parts
    carried = [x for x in held if x.key.startswith("pad-")] if name == "B" and cover.A is not None else [x for x in held if x.key == WEB]
    if name == "A":
        pairs = [(made_web, pad) for made_web in carried for pad in held if pad.key.startswith("pad-")]
        senses = {x.key: math.pi if x.key == WEB else 0.0 for x in held}
    elif name == "B":
        pairs = [(x, c) for c in covers for x in carried if x.key == WEB or x.key[4:] == c.key[6:]]
        senses = {x.key: math.pi for x in (*carried, *(x for x in held if x.key == WEB))}
    else:
        plies = [x for x in held if x.kind == "ply"]
        pairs = [(plies[0], covers[0]), (plies[-1], covers[-1])]
        senses = {x.key: 0.0 for x in plies}
    if not cover.steel:
        senses |= {x.key: 0.0 if name == "B" else math.pi for x in covers}
    pulled, pushed = max(float(axial.max()), 0.0), max(float(-axial.min()), 0.0)
    capacity = min((r.capacity for r in results if r.check == "bolts"), default=math.nan)
    count = max(len(pairs), 1)
    faces = tuple(Interface(a.key, b.key, max(pulled, pushed) / count, capacity / count, mode_of(results)) for a, b in pairs)
    crossed = {x.key: sum(x in pair for pair in pairs) / count for x in held}
    if name == "B":  # a web between pads is judged as if these bolts alone took its force
        crossed[WEB] = 1.0
    loads = tuple(
        PlyLoad(x.key, pulled * crossed[x.key], pushed * crossed[x.key], part_load(x, KEYS[name], senses[x.key]),
                lasting(axial * crossed[x.key], made.durations))
        for x in held if x.key in senses and crossed[x.key] > 0
    )  # fmt: skip
    return Group(KEYS[name], cover.diameter, tuple(places), tuple(x.key for x in held), faces, loads, pattern.rows, pattern.per_row, pattern.spacing,
                 pattern.gauge)  # fmt: skip


def _order(made: _Made) -> list[tuple[str, tuple[str, ...]]]:
    cover, joint, web = made.cover, made.end.joint, made.end.web.name
    steel = "gusset" if cover.steel else "timber"
    fillers = tuple(x.key for x in _new(made) if x.kind == "filler")
    pads = ("pad-near", "pad-far") if cover.A is not None else ()
    return [
        (f"Shore the chord at {joint} and hold web {web} before any bolt of it is drawn; work without snow on the roof.", ()),
        ("Measure both faces of web and chord and the gap between the plies; tell the engineer what differs. Look for checks and decay.", ()),
        (f"Draw the old bolts of web {web} at {joint}. Fill nothing, drill nothing there again.", ()),
        *([("Fit the filler blocks tight between the plies: no bolt crosses an open gap.", fillers)] if fillers else []),
        *([("Plane the pads flush with the chord's faces, clamp them to the web, drill through the near pad and bolt them where "
           "the covers do not reach.", pads)]
          if pads else []),
        (f"Clamp both {steel}s on the web's axis struck from the work point; the near one is the drilling template.", ("cover-near", "cover-far")),
        ("Drill square through its holes into wood and the far side; check the exit side of the first hole.", ()),
        ("Set all bolts with washers under head and nut, tighten snug from the chord up the web, check again after a season of drying.", ()),
        ("Release the shore and record the movement.", ()),
    ]  # fmt: skip


def _whys(made: _Made, parts: Sequence[Part]) -> tuple[Why, ...]:
    """Distances with least left over: of the old timbers, each named, and of the gussets."""
    named = {q.name: f"(E) {next(x.name for x in parts if x.key.endswith(q.ply) and x.kind == 'ply' and x.key != WEB)}" for q in made.chord}
    named[made.end.web.name] = f"(E) web {made.end.web.name}"
    rows = [r for r in made.covered.rows if r.unit == "in" and r.demand > 0]
    found: list[Why] = []
    for check in ("end distance", "edge distance", "spacing in a row"):
        mine = [(r, n) for r in rows if r.check == check for n in named if f"least {check} of {n}" in {s.symbol for s in r.steps}]
        if mine:
            worst, name = max(mine, key=lambda one: round(one[0].ratio, 6))
            full = float(next((s.value for s in worst.steps if s.symbol == f"{check} for the full value"), worst.demand))
            enough = worst.capacity >= full - 1e-6
            found.append(Why(f"{check}, {named[name]}", "for the full value" if enough else "at least", full if enough else worst.demand,
                             worst.capacity, worst.cite))  # fmt: skip
    for check in ("plate end distance", "plate edge distance", "plate spacing", "plate gauge"):
        plate = [r for r in rows if r.check == check and (check != "plate edge distance" or "at the chord" in r.where)]
        if plate:
            tight = min(plate, key=lambda r: round(r.capacity, 6))
            found.append(Why(check, "at least", max(r.demand for r in plate), tight.capacity, tight.cite))
    return tuple(found)


def build_cover_detail(
    site: Site, truss: Truss, end: End, covered: Covered, chord: Sequence[GroupPart], axial: Floats, durations: tuple[str, ...], units: UnitSystem,
) -> Detail:  # fmt: skip
    cover = covered.cover
    furthest = cover.pad[1] if cover.A is not None else cover.stop
    made = _Made(end, covered, chord, max(furthest, cover.width / 2) + p.REACH / 2, axial, durations)
    parts = tuple(sorted([*_timbers(made), *_new(made)], key=lambda x: (x.placement.z, x.key)))
    bolts: list[Bolt] = []
    notes = [_where(cover, end, units), OLD_HOLES, *([PADS] if cover.A is not None else []), *NOTES]
    for name, places in cover.bolts:
        (low, high), one = cover.grip(name), ordered(cover, truss, name)
        bolts += [Bolt(KEYS[name], x, y, cover.diameter, low, high, one.length, usual.BOLT_GRADE, 2 + one.packing_washers, truss.bolts_from)
                  for x, y in places]  # fmt: skip
        if one.packing_washers:
            more = "1 more washer" if one.packing_washers == 1 else f"{one.packing_washers} more washers"
            notes.append(f"{more} under each nut of the bolts {WORDS[name]}: the thread ends before it would be tight.")
    results = {"A": covered.place.results, "B": covered.place.results if cover.A is None else _of(covered, "bolts B"), "C": _of(covered, "bolts C")}
    groups = tuple(_group(made, parts, name, places, results[name]) for name, places in cover.bolts)
    order = _order(made)
    what = "Gussets" if cover.steel else "Timbers past the end"
    return Detail(
        key=site.key, title=f"{what} of web {end.web.name} at {end.joint}", truss=site.truss, remedy="web_end", member=end.web.name, station=site.x,
        parts=parts, bolts=tuple(bolts), groups=groups, zones=(), whys=_whys(made, parts), order=tuple(text for text, _ in order),
        notes=tuple(notes), results=(*covered.place.results, *covered.own), brings=tuple(k for _, k in order), joint=end.joint,
        beside=(cover.seat.chord.name,), drawn=(f"{end.web.name} at {end.joint}",),
        shores=f"at {end.joint}, and web {end.web.name} held while its bolts are drawn",
    )  # fmt: skip


def _of(covered: Covered, words: str) -> list[CheckResult]:
    return [r for r in covered.own if r.where.startswith(words)]


def _where(cover: Cover, end: End, units: UnitSystem) -> str:
    other = next(j for j in end.web.joints if j != end.joint)
    low, side = units.write_length(abs(cover.start)), "before" if cover.start < 0 else "after"
    return (
        f"WP is the work point of {end.joint}; to the right here the web runs to {other}. The covers begin {low} {side} "
        "WP along the web. The truss is turned here so that the web lies level."
    )
