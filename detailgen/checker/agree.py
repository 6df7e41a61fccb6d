"""Parts that one bolt group holds together must have their holes in the same places, and the rows that one plate holds may not stand too far apart.

No file says where a face view stands in its joint: that is found by laying the hole patterns of every two parts over each other. A turn by half
or by any other angle is only taken where the patterns ask for it.
"""

from __future__ import annotations

import contextlib
import itertools
import math
import re
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from detailgen.checker.drawing import Drawing, Face, FaceHole, length_words
from detailgen.checker.geometry import Point, turned
from detailgen.checker.rules import GREATEST_COLUMNS, READING_IN, at_most, cite_of, rows_of, wrong
from detailgen.checker.tags import fastener
from detailgen.checker.wood import FACE_VIEW
from detailgen.core.errors import NotCovered
from detailgen.core.result import CheckResult, cannot_be_checked
from detailgen.core.tolerance import rounded_length

COINCIDE = 1 / 64
"""Holes whose centres differ by less (in) are in one place: a quarter of the least clearance of a bolt in its hole and the finest drawn step."""
NEAR = 4.0
"""A hole without partner counts as moved, not as missing, if a hole without partner stands this near (in)."""
TURNED = 1.5
"""What a turned placement must save, in holes without partner, to be taken before one that is not turned."""
AS_IN_PLAN = 0.5
"""What a placement gains, in holes without partner, where the plan shows it so."""
MANY = 40
HUBS = 4


@dataclass(frozen=True)
class Placed:
    """Where a part stands in the axes of the group's hub: its places are turned (degrees) about its origin, then shifted."""

    face: Face
    turn: float
    shift: Point
    score: float = 0.0

    def out(self, p: Point) -> Point:
        u, v = turned(p, self.turn)
        return u + self.shift[0], v + self.shift[1]

    def into(self, p: Point) -> Point:
        return turned((p[0] - self.shift[0], p[1] - self.shift[1]), -self.turn)

    def covers(self, p: Point) -> bool:
        return _covers(self.face, self.into(p))


@dataclass(frozen=True)
class Laid:
    """Two placed parts over each other: pairs of holes, and holes without partner where the other part reaches over them."""

    a: Placed
    b: Placed
    pairs: tuple[tuple[FaceHole, FaceHole], ...]
    only_a: tuple[FaceHole, ...]
    only_b: tuple[FaceHole, ...]

    def to_a(self, p: Point) -> Point:
        return self.a.into(self.b.out(p))

    def to_b(self, p: Point) -> Point:
        return self.b.into(self.a.out(p))


def _covers(face: Face, p: Point) -> bool:
    """Does the part reach over this place? Beyond a break line it runs on."""
    x0, _, x1, _ = face.outline.box
    x = p[0]
    if (x < x0 + 1e-3 and face.open_at("left")) or (x > x1 - 1e-3 and face.open_at("right")):
        x = min(max(x, x0 + 1e-2), x1 - 1e-2)
    return face.outline.contains((x, p[1]))


class _Grid:
    """Places by cells, to find the hole at a place."""

    def __init__(self, places: Sequence[tuple[Point, FaceHole]]) -> None:
        self.cells: dict[tuple[int, int], list[tuple[Point, FaceHole]]] = defaultdict(list)
        for p, h in places:
            self.cells[self._cell(p)].append((p, h))

    @staticmethod
    def _cell(p: Point) -> tuple[int, int]:
        return round(p[0] / COINCIDE), round(p[1] / COINCIDE)

    def at(self, p: Point, taken: set[int]) -> FaceHole | None:
        """The nearest hole within reach that is not taken yet."""
        i, j = self._cell(p)
        near = [
            (math.dist(q, p), q, h) for a in (i - 1, i, i + 1) for b in (j - 1, j, j + 1) for q, h in self.cells.get((a, b), ()) if id(h) not in taken
        ]
        best = min(near, key=lambda item: item[:2], default=None)
        return best[2] if best is not None and best[0] < COINCIDE else None


def _of(face: Face, group: str) -> list[FaceHole]:
    """The holes of a group; of two in one place, which is reported by itself, the first."""
    return list({(round(h.x, 3), round(h.y, 3)): h for h in reversed(face.new_holes) if h.group == group}.values())[::-1]


def overlay(a: Placed, b: Placed, group: str, grid: _Grid | None = None) -> Laid:
    """Compare two placed parts hole by hole."""
    first, second = _of(a.face, group), _of(b.face, group)
    grid = grid or _Grid([(a.out(h.at), h) for h in first])
    pairs: list[tuple[FaceHole, FaceHole]] = []
    taken: set[int] = set()
    rest = []
    for h in second:
        partner = grid.at(b.out(h.at), taken)
        if partner is None:
            rest.append(h)
        else:
            pairs.append((partner, h))
            taken.add(id(partner))
    only_a = tuple(h for h in first if id(h) not in taken and b.covers(a.out(h.at)))
    return Laid(a, b, tuple(pairs), only_a, tuple(h for h in rest if a.covers(b.out(h.at))))


def place(a: Placed, b: Face, group: str, hint: float | None = None) -> Placed:
    """The placement of b over a that pairs the most holes and leaves the fewest without partner; of equals the one that the plan shows.

    hint: shift along x by the plan (in)
    """
    first, second = _of(a.face, group), _of(b, group)
    places = [(a.out(h.at), h) for h in first]
    grid = _Grid(places)
    best: Placed | None = None
    for turn, p, q in itertools.chain(_hinted([p for p, _ in places], second, hint), _trials([p for p, _ in places], second)):
        u, v = turned(q.at, turn)
        trial = Placed(b, turn, (p[0] - u, p[1] - v))
        laid = overlay(a, trial, group, grid)
        score = len(laid.pairs) - max(len(laid.only_a), len(laid.only_b)) - (TURNED if turn else 0.0)
        score += AS_IN_PLAN if hint is not None and not turn and abs(trial.shift[0] - hint) < COINCIDE else 0.0
        if best is None or score > best.score:
            best = Placed(b, turn, trial.shift, score)
        if score >= min(len(first), len(second)):
            break
    assert best is not None  # both parts have a hole of the group
    return best


def placed_parts(members: Sequence[Face], group: str, drawing: Drawing | None = None) -> list[Placed]:
    """All parts of a group in the axes of the one with most holes; each is laid over the placed part that it agrees with best.

    Where the others do not fit that one, the next one with as many holes is tried: it may be the one that is wrong.
    """
    most = max(len(_of(f, group)) for f in members)
    tried = []
    for hub in [f for f in members if len(_of(f, group)) == most][:HUBS]:
        placed = _placed_over(hub, members, group, drawing)
        misfits = sum(p.score < len(_of(p.face, group)) - 1e-9 - (TURNED if p.turn else 0.0) for p in placed if p.face is not hub)
        tried.append((misfits, placed))
        if misfits <= 1:
            break
    return min(tried, key=lambda t: t[0])[1]


def _placed_over(hub: Face, members: Sequence[Face], group: str, drawing: Drawing | None) -> list[Placed]:
    done = {hub.part: Placed(hub, 0.0, (0.0, 0.0))}
    for face in members:
        if face is hub:
            continue
        best = place(done[hub.part], face, group, _by_plan(drawing, hub, face) if drawing is not None else None)
        if best.score < len(_of(face, group)) / 2:  # the hub has too few of its holes
            others = [place(p, face, group) for p in done.values() if p.face is not hub]
            best = max([best, *others], key=lambda p: p.score)
        done[face.part] = best
    return [done[f.part] for f in members if f.part in done]


def _hinted(first: Sequence[Point], second: Sequence[FaceHole], hint: float | None) -> Iterator[tuple[float, Point, FaceHole]]:
    """Pairs of holes that stand over each other where the plan shows the parts."""
    for q in second if hint is not None else ():
        yield from ((0.0, p, q) for p in first if abs(p[0] - q.x - (hint or 0.0)) < COINCIDE)


def _by_plan(drawing: Drawing, hub: Face, face: Face) -> float | None:
    """By how much a part is shifted along the hub's x, as the plan shows both: from ends that are really there."""
    one, other = _box_in_plan(drawing, hub), _box_in_plan(drawing, face)
    if one is None or other is None or hub.open_ends != "none" or face.open_ends == "both":
        return None
    x0, _, x1, _ = face.outline.box
    end = other[2] - x1 if face.open_at("left") else other[0] - x0
    return end - (one[0] - hub.outline.box[0])


def _trials(first: Sequence[Point], second: Sequence[FaceHole]) -> Iterator[tuple[float, Point, FaceHole]]:
    """Turns and one pair of holes to lay on each other: untouched ones first, then half and quarter turns, then whatever two holes suggest."""
    order = sorted(second, key=lambda h: (round(h.x, 3), h.y))
    targets = sorted(first, key=lambda p: (round(p[0], 3), p[1]))
    anchors = list(dict.fromkeys([order[0], order[-1], order[len(order) // 2]]))
    for turn in (0.0, 180.0, 90.0, 270.0):
        for q in anchors:
            for p in targets:
                yield turn, p, q
    if len(second) < 2 or len(first) > MANY:
        return
    a, b = order[0], order[-1]
    length, angle = math.dist(a.at, b.at), math.atan2(b.y - a.y, b.x - a.x)
    for s, t in itertools.permutations(targets, 2):
        if abs(math.dist(s, t) - length) < COINCIDE:
            yield (math.degrees(math.atan2(t[1] - s[1], t[0] - s[0]) - angle)) % 360, s, a


@dataclass(frozen=True)
class _Node:
    """One place of one part that does not agree: a hole, or a place without one."""

    part: str
    hole: FaceHole | None
    at: Point


@dataclass(frozen=True)
class _Quarrel:
    first: _Node
    second: _Node
    distance: float  # nan: nothing there at all


def _quarrels(laid: Laid) -> list[_Quarrel]:
    a, b = laid.a.face, laid.b.face
    rest = list(laid.only_b)
    out = []
    for h in laid.only_a:
        near = min(rest, key=lambda r: math.dist(laid.to_a(r.at), h.at), default=None)
        if near is not None and math.dist(laid.to_a(near.at), h.at) <= NEAR:
            rest.remove(near)
            out.append(_Quarrel(_Node(a.part, h, h.at), _Node(b.part, near, near.at), math.dist(laid.to_a(near.at), h.at)))
        else:
            u, v = laid.to_b(h.at)
            out.append(_Quarrel(_Node(a.part, h, h.at), _Node(b.part, None, (round(u, 3), round(v, 3))), math.nan))
    for h in rest:
        u, v = laid.to_a(h.at)
        out.append(_Quarrel(_Node(b.part, h, h.at), _Node(a.part, None, (round(u, 3), round(v, 3))), math.nan))
    return out


def judge_agreement(drawing: Drawing) -> list[CheckResult]:
    """Every group that more than one part of the drawing shows; and the plan view, where all parts of a detail lie along it."""
    slanted: set[str] = set()
    out: list[CheckResult] = []
    faces: dict[tuple[str, str], list[Face]] = defaultdict(list)
    for face in drawing.faces:
        for group in face.groups:
            faces[face.detail, group].append(face)
    for (detail, group), members in sorted(faces.items()):
        quarrels: list[_Quarrel] = []
        met: set[tuple[str, FaceHole]] = set()
        offset = 0.0
        placed = placed_parts(members, group, drawing)
        slanted |= {detail} if any(p.turn % 180 for p in placed) else set()
        for one, other in itertools.combinations(placed, 2):
            laid = overlay(one, other, group)
            a, b = one.face, other.face
            quarrels += _quarrels(laid)
            offset = max([offset, *(math.dist(laid.to_a(q.at), p.at) for p, q in laid.pairs)])
            met |= {(a.part, p) for p, _ in laid.pairs} | {(b.part, q) for _, q in laid.pairs}
            out += _outer_rows(drawing, a, b, laid, group)
        if not any(p.turn % 180 for p in placed):
            out += _in_plan(drawing, members, group)
        for p in placed if not quarrels else ():
            if p.turn and p.face.open_ends in ("left", "right"):
                missing = f"which way round the view is: it fits the others only turned by {p.turn:g} degrees"
                out.append(cannot_be_checked(p.face.name, f"holes of group {group}", missing, FACE_VIEW))
        if len(members) < 2:
            continue
        out += _one_bolt(drawing, members, group)
        named = {f.part: f for f in members}
        found = list(_blamed(drawing, named, quarrels, group))
        blamed = {(n.part, n.hole) for q in quarrels for n in (q.first, q.second)}
        for face in members:
            for h in face.new_holes:
                if h.group == group and (face.part, h) not in met and (face.part, h) not in blamed:
                    where = f"{face.name}, {face.hole_name(h, drawing.metric)}"
                    found.append(wrong(where, f"hole of group {group} meets no hole of another part", h.diameter, FACE_VIEW,
                                       spots=(face.frame.at(h.at),)))
        if not found:
            names = ", ".join(f.name for f in members)
            found.append(at_most(f"group {group}", f"holes coincide in {names}", COINCIDE, round(offset, 5), FACE_VIEW))
        out += found
    return out + [r for f in drawing.faces if f.detail not in slanted for r in _plan(drawing, f)]


def _one_bolt(drawing: Drawing, members: Sequence[Face], group: str) -> Iterator[CheckResult]:
    """All parts name the same bolt for a group; those that few agree with are told."""
    named: dict[float, list[tuple[Face, FaceHole]]] = defaultdict(list)
    for face in members:
        for h in _of(face, group):
            with contextlib.suppress(NotCovered):  # a lost name is told with the hole
                named[round(fastener(h.fastener).diameter, 4)].append((face, h))
    if len(named) < 2:
        return
    usual = max(named, key=lambda d: (len(named[d]), d))
    words = {d: length_words(d, drawing.metric) for d in named}
    for d, same in sorted(named.items()):
        for face, h in same if d != usual else ():
            text = f"names a bolt of {words[d]}; most holes of group {group} name one of {words[usual]}"
            yield wrong(f"{face.name}, {face.hole_name(h, drawing.metric)}", text, abs(d - usual), FACE_VIEW, spots=(face.frame.at(h.at),))


def _in_plan(drawing: Drawing, members: Sequence[Face], group: str) -> list[CheckResult]:
    """Most holes of a part meet those of the part with most of them also where the plan puts both, measured from an end that is really there.

    New parts may be turned by half; a view seen from the other side has its plan seen from there too.
    """
    whole = [f for f in members if f.open_ends == "none"]
    hub = max(whole, key=lambda f: (len(_of(f, group)), f.material == "steel"), default=None)
    box = _box_in_plan(drawing, hub) if hub is not None else None
    if hub is None or box is None:
        return []
    out: list[CheckResult] = []
    boxes = _boxes_alike(drawing, hub, box)
    for side in (1.0, -1.0):
        target = [x for b in boxes for x in _in_box(hub, group, b, side, "left")]
        found: list[CheckResult] = []
        compared = 0
        for face in members:
            own = _box_in_plan(drawing, face)
            ends = [s for s in ("left", "right") if not face.open_at(s)]
            if face is hub or own is None or not ends:
                continue
            compared += 1
            ways = (1.0, -1.0) if not face.existing else (side,)
            off = min((sorted(min(abs(x - t) for t in target) for x in _in_box(face, group, own, w, ends[0])) for w in ways), key=sum)
            if off and off[len(off) // 2 - (len(off) % 2 == 0)] > COINCIDE + READING_IN:
                away = length_words(off[-1], drawing.metric)
                text = f"holes of group {group} do not meet those of {hub.name} where the plan shows both: {away} off"
                found.append(wrong(face.name, text, off[-1], FACE_VIEW))
        if not found:
            return []
        if len(found) > 1 and len(found) > compared / 2:  # most do not agree with one: it is that one
            text = f"holes of group {group} do not meet those of the other parts where the plan shows them"
            found = [wrong(hub.name, text, found[0].demand, FACE_VIEW)]
        out = out or found
    return out


def _boxes_alike(drawing: Drawing, hub: Face, box: tuple[float, float, float, float]) -> list[tuple[float, float, float, float]]:
    """Where the plan shows parts of the size and material of one that has a face view, itself first: a mark may be used at several places."""
    others = {f.part for f in drawing.faces if f.material != hub.material}
    size = box[2] - box[0], box[3] - box[1]
    same = [b for (_, part), b in drawing.stack.items() if part not in others and b != box]
    return [box, *(b for b in same if abs(b[2] - b[0] - size[0]) + abs(b[3] - b[1] - size[1]) < COINCIDE)]


def _box_in_plan(drawing: Drawing, face: Face) -> tuple[float, float, float, float] | None:
    return drawing.stack.get((face.detail, face.part)) or drawing.stack.get(("", face.part))


def _in_box(face: Face, group: str, box: tuple[float, float, float, float], way: float, end: str) -> list[float]:
    """Places of the holes along the plan, measured from one end of the part; ``way`` -1: turned round."""
    x0, _, x1, _ = face.outline.box
    from_end = [(h.x - x0) if end == "left" else (x1 - h.x) for h in _of(face, group)]
    at_left = (end == "left") == (way > 0)
    return [box[0] + u if at_left else box[2] - u for u in from_end]


def _plan(drawing: Drawing, face: Face) -> list[CheckResult]:
    """A whole part is as long in the plan view as in its face view."""
    length, _ = drawing.plan.get((face.detail, face.part)) or drawing.plan.get(("", face.part)) or (math.nan, 0.0)
    x0, _, x1, _ = face.outline.box
    off = abs(length - (x1 - x0))
    if math.isnan(length) or face.open_ends != "none" or off <= COINCIDE:
        return []
    text = f"length {length_words(x1 - x0, drawing.metric)} in the face view, {length_words(length, drawing.metric)} in the plan view"
    return [wrong(face.name, text, off, FACE_VIEW)]


def _blamed(drawing: Drawing, faces: dict[str, Face], quarrels: Sequence[_Quarrel], group: str) -> Iterator[CheckResult]:
    """Of every quarrel the side that most parts disagree with, once, naming one of them and how many more."""
    rest = list(quarrels)
    in_quarrel = {(n.part, id(n.hole)) for q in rest for n in (q.first, q.second) if n.hole is not None}
    most = {f.part for f in faces.values() if sum(p == f.part for p, _ in in_quarrel) >= len(_of(f, group)) / 2}
    while rest:
        count: dict[_Node, int] = defaultdict(int)
        for q in rest:
            count[q.first] += 1
            count[q.second] += 1
        node = max(count, key=lambda n: (count[n], n.part in most, n.hole is None, n.part, n.at))
        mine = [q for q in rest if node in (q.first, q.second)]
        rest = [q for q in rest if q not in mine]
        others = [q.second if q.first == node else q.first for q in mine]
        others.sort(key=lambda o: (o.hole is None, faces[o.part].material != "steel", o.part))
        other = others[0]
        more = f" and {len(others) - 1} more" if len(others) > 1 else ""
        face, partner = faces[node.part], faces[other.part]
        beside = f"{partner.name}, {partner.hole_name(other.hole, drawing.metric) if other.hole else 'no hole'}"
        if node.hole is None:
            where = f"{face.name}, {face.place(node.at, drawing.metric)}"
            bare = [h for h in face.holes if not h.tagged and math.dist(h.at, node.at) < NEAR / 4]
            if bare:
                yield cannot_be_checked(where, f"hole of group {group}", f"the tags of the circle here (against {beside}{more})", FACE_VIEW)
                continue
            yield wrong(where, f"no hole of group {group} here, against {beside}{more}", other.hole.diameter if other.hole else 0.0, FACE_VIEW,
                        spots=(face.frame.at(node.at),))
            continue
        where = f"{face.name}, {face.hole_name(node.hole, drawing.metric)}"
        off = next((q.distance for q in mine if not math.isnan(q.distance)), math.nan)
        if math.isnan(off):
            yield wrong(where, f"hole of group {group} that is missing in {partner.name}{more}", node.hole.diameter, FACE_VIEW,
                        spots=(face.frame.at(node.at),))
        else:
            text = f"hole of group {group} stands {length_words(off, drawing.metric)} off its place by {beside}{more}"
            yield wrong(where, text, off, FACE_VIEW, spots=(face.frame.at(node.at),))


def _product(face: Face) -> str:
    """Sawn or glulam: as stated, else as the specification says; "" where neither does."""
    if stated := face.facts.get("product", ""):
        return stated
    if re.search(r"glulam|\b\d\dF", face.specification, re.IGNORECASE):
        return "glulam"
    return "sawn" if re.search(r"No\. ?\d|Select|Structural|Construction|Standard|Stud", face.specification, re.IGNORECASE) else ""


def _outer_rows(drawing: Drawing, a: Face, b: Face, laid: Laid, group: str) -> list[CheckResult]:
    """Rows of a wood part that one steel part holds with round holes: how far the outer ones stand apart across the grain."""
    if {a.material, b.material} != {"steel", "wood"}:
        return []
    wood, steel = (a, b) if a.material == "wood" else (b, a)
    held = [(p if a is wood else q) for p, q in laid.pairs if not (q if a is wood else p).slot]
    if wood.grain is None or not held:
        return []  # the missing grain is reported with the distances
    g = math.radians(wood.grain)
    across = [h.y * math.cos(g) - h.x * math.sin(g) for h in held]
    where, what = f"{wood.name} and {steel.name}, group {group}", "outer rows through one steel part"
    kinds = set()
    for h in held:
        with contextlib.suppress(NotCovered):
            kinds.add(fastener(h.fastener).kind)
    try:
        found = [(t, r) for kind in sorted(kinds) for t, r in rows_of(wood.standard, GREATEST_COLUMNS, kind) if r["quantity"] == "outer_rows"]
    except NotCovered as missing:
        return [cannot_be_checked(where, what, missing.what, FACE_VIEW)]
    if not found:
        return []  # the standard sets no greatest distance for this fastener
    product, table = _product(wood), found[0][0]
    rows = [r for _, r in found]
    rows = [r for r in rows if not product or r["product"] in (product, "any")]
    for fact in ("made", "service"):
        if told := wood.facts.get(fact, ""):
            rows = [r for r in rows if r[fact] in (told, "any")]
    span = max(across) - min(across)
    if not rows:
        return [cannot_be_checked(where, what, f"a row for {product}", FACE_VIEW)]
    strict = min(rows, key=lambda r: float(r["greatest"]))
    if rounded_length(span) > float(strict["greatest"]) and len({float(r["greatest"]) for r in rows}) > 1:
        stated = {"sawn or glulam": product, "moisture when made": wood.facts.get("made"), "moisture in service": wood.facts.get("service")}
        missing_facts = " and ".join(name for name, value in stated.items() if not value)
        return [cannot_be_checked(where, f"{what}: {length_words(span, drawing.metric)} apart", missing_facts, cite_of(table, strict))]
    return [at_most(where, what, float(strict["greatest"]), span, cite_of(table, strict))]


