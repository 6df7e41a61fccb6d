"""Where the parts that one bolt group holds together stand over each other.

No file says it of a face view: that is found by laying the hole patterns of every two parts over each other. A turn by half or by any other angle
is only taken where the patterns ask for it.
"""

from __future__ import annotations

import itertools
import math
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from detailgen.checker.drawing import Drawing, Face, FaceHole
from detailgen.checker.geometry import Point, turned

COINCIDE = 1 / 64
"""Holes whose centres differ by less (in) are in one place: a quarter of the least clearance of a bolt in its hole and the finest drawn step."""
TURNED = 1.5
"""What a turned placement must save, in holes without partner, to be taken before one that is not turned."""
OUTSIDE = 0.6
"""What a hole without partner costs where the other part does not reach it though it has as many holes: two holes that fit only turned are turned,
rather than laid over each other one by one."""
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
        u, v = turned(p, self.turn) if self.turn else p
        return u + self.shift[0], v + self.shift[1]

    def into(self, p: Point) -> Point:
        u, v = p[0] - self.shift[0], p[1] - self.shift[1]
        return turned((u, v), -self.turn) if self.turn else (u, v)

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


def holes_of(face: Face, group: str) -> list[FaceHole]:
    """The holes of a group; of two in one place, which is reported by itself, the first."""
    return face.places_of_group[group]


def overlay(a: Placed, b: Placed, group: str, grid: _Grid | None = None) -> Laid:
    """Compare two placed parts hole by hole."""
    first, second = holes_of(a.face, group), holes_of(b.face, group)
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
    first, second = holes_of(a.face, group), holes_of(b, group)
    places = [(a.out(h.at), h) for h in first]
    grid = _Grid(places)
    best: Placed | None = None
    for turn, p, q in itertools.chain(_hinted([p for p, _ in places], second, hint), _trials([p for p, _ in places], second)):
        u, v = turned(q.at, turn)
        trial = Placed(b, turn, (p[0] - u, p[1] - v))
        laid = overlay(a, trial, group, grid)
        score = len(laid.pairs) - max(len(laid.only_a), len(laid.only_b)) - (TURNED if turn else 0.0)
        if len(second) <= len(first):
            score -= OUTSIDE * (len(second) - len(laid.pairs) - len(laid.only_b))
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
    most = max(len(holes_of(f, group)) for f in members)
    tried = []
    for hub in [f for f in members if len(holes_of(f, group)) == most][:HUBS]:
        placed = _placed_over(hub, members, group, drawing)
        misfits = sum(p.score < len(holes_of(p.face, group)) - 1e-9 - (TURNED if p.turn else 0.0) for p in placed if p.face is not hub)
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
        if best.score < len(holes_of(face, group)) / 2:  # the hub has too few of its holes
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
    one, other = drawing.box_in_plan(hub), drawing.box_in_plan(face)
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
