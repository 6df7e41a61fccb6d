"""Marks: one for identical parts over the whole project, kept from run to run."""

from __future__ import annotations

import hashlib
import json
import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, replace

from detailgen.model.detail import ACROSS, Detail, Part, Vertex
from detailgen.model.outlines import edges_of
from detailgen.model.package import Marked

Row = tuple[float, ...]
Book = Mapping[str, str]
"""Marks by signature of the part, as marks.json keeps them; a freed number stays taken."""
PREFIX = {"plate": "PL", "bar": "FL", "filler": "FB", "block": "SB", "sister": "WS", "piece": "RP", "side member": "SM", "brace": "BL"}
"""Kinds of parts that get a mark, and the letters of it; existing plies have none."""
GRID, AWAY = 1e-3, 0.37e-3
"""Lengths (in) count as equal in steps of GRID; the steps begin AWAY from zero, so that no size on a shop's grid lies between two of them."""


def _step(value: float) -> int:
    return math.floor((value - AWAY) / GRID)


def _way(angle: float) -> tuple[int, int]:
    """A direction without a sense, so that a line turned by half a turn is the same."""
    return _step(math.cos(2 * angle)), _step(math.sin(2 * angle))


def _face(part: Part, base: tuple[Vertex, Vertex], *, over: bool) -> tuple[Row, ...]:
    """Everything of a part's face that a shop could tell apart, seen from the start of one edge along it; ``over``: seen from the other side."""
    a, b = base if not over else base[::-1]
    turn = math.atan2(b.y - a.y, b.x - a.x)
    c, s = math.cos(turn), math.sin(turn)
    flip = -1.0 if over else 1.0

    def at(x: float, y: float) -> tuple[int, int]:
        return _step(c * (x - a.x) + s * (y - a.y)), _step(flip * (c * (y - a.y) - s * (x - a.x)))

    rows: list[Row] = []
    for p, q in edges_of(part.outline):
        rows.append((0.0, *at(*((q.x, q.y) if over else (p.x, p.y))), *at(*((p.x, p.y) if over else (q.x, q.y))), round(p.bulge, 3) + 0.0))
    rows += [(1.0, *at(h.x, h.y), _step(h.diameter), h.made == "field") for h in part.holes]
    rows += [(2.0, *at(o.x, o.y), _step(o.length), _step(o.width), *_way(flip * (o.angle - turn))) for o in part.slots]
    if part.material == "wood" and not math.isnan(part.grain):
        rows.append((3.0, *_way(flip * (part.grain - turn))))
    return tuple(sorted(rows))


def signature(part: Part) -> str:
    """Equal for parts that are one mark: a part may be turned round; a flat plate turned over too, unless something on one face makes it handed."""
    ways = (False, True) if part.material == "steel" and not part.handed else (False,)
    face = min(_face(part, edge, over=over) for edge in edges_of(part.outline) for over in ways)
    fixed = [part.kind, _step(part.thickness), part.material, part.specification, part.finish, part.handed]
    if part.timber is not None:
        fixed += [part.timber.product, part.timber.treatment, _step(part.timber.camber)]
    return hashlib.sha256(json.dumps([fixed, face]).encode()).hexdigest()[:16]


def other_hand(part: Part) -> Part:
    """The part as a mirror shows it."""
    v = part.outline
    outline = tuple(Vertex(-v[k].x + 0.0, v[k].y, v[k - 1].bulge) for k in range(len(v) - 1, -1, -1))
    holes = tuple(replace(h, x=-h.x + 0.0) for h in part.holes)
    slots = tuple(replace(o, x=-o.x + 0.0, angle=-o.angle) for o in part.slots)
    return replace(part, outline=outline, holes=holes, slots=slots, grain=-part.grain)


def opposite_hands(marks: Sequence[Marked]) -> dict[str, str]:
    """By mark, the mark that is its mirror image and yet another part."""
    by_signature = {signature(m.part): m.mark for m in marks}
    pairs = {m.mark: by_signature.get(signature(other_hand(m.part)), "") for m in marks}
    return {mark: other for mark, other in pairs.items() if other and other != mark}


def register(details: Iterable[Detail], book: Book) -> tuple[tuple[Marked, ...], dict[str, str]]:
    """Marks by order of first use; known signatures keep theirs, new ones take the next free number.

    Returns: the marks with their uses, and the book to keep
    """
    kept = dict(book)
    uses: dict[str, list[tuple[str, str]]] = {}
    first: dict[str, Part] = {}
    for detail in details:
        for part in (p.as_cut for p in detail.parts):
            if part.existing or part.kind not in PREFIX:
                continue
            key = signature(part)
            if key not in kept:
                taken = [int(m.rsplit("-", 1)[1]) for m in kept.values() if m.startswith(PREFIX[part.kind] + "-")]
                kept[key] = f"{PREFIX[part.kind]}-{max(taken, default=0) + 1}"
            first.setdefault(key, part)
            uses.setdefault(key, []).extend([(detail.key, part.key)] * detail.times)
    return tuple(Marked(kept[k], first[k], tuple(uses[k])) for k in uses), kept


USUAL: dict[str, object] = {"axis": ACROSS, "also_at": (), "welds": (), "joint": "", "beside": (), "drawn": (), "removed": (), "longer": ()}
USUAL_OF_A_PART: dict[str, object] = {"handed": "", "timber": None, "stands": False}
USUAL_OF_A_TIMBER: dict[str, object] = {"sawn_from": 0.0}
USUAL_OF_A_BOLT: dict[str, object] = {"head": "near"}
"""What says nothing of a joint, a part or a bolt is left out of its hash, so that it stays what it was before there was such a word."""


def detail_hash(detail: Detail) -> str:
    """What an acceptance is tied to: everything of the joint that is built (results aside)."""
    record = asdict(replace(detail, results=()))
    record.pop("results")
    record.pop("shores")  # words that change nothing of what is built
    for said, usual in ((record, USUAL), *((part, USUAL_OF_A_PART) for part in record["parts"]),
                        *((part["timber"], USUAL_OF_A_TIMBER) for part in record["parts"] if part["timber"] is not None),
                        *((bolt, USUAL_OF_A_BOLT) for bolt in record["bolts"])):  # fmt: skip
        for name, value in usual.items():
            if said[name] == value:
                said.pop(name)

    def plain(value: object) -> object:
        if isinstance(value, float):
            return f"{value:.6g}"
        if isinstance(value, dict):
            return {str(k): plain(v) for k, v in value.items()}
        if isinstance(value, list | tuple):
            return [plain(v) for v in value]
        return str(value)

    return hashlib.sha256(json.dumps(plain(record), sort_keys=True).encode()).hexdigest()
