"""Marks: one for identical parts over the whole project, kept from run to run."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping
from dataclasses import asdict

from detailgen.model.detail import Detail, Part
from detailgen.model.package import Marked

PREFIX = {"plate": "PL", "filler": "FB", "block": "SB", "sister": "WS", "piece": "RP"}
"""Kinds of parts that get a mark, and the letters of it; existing plies have none."""
TURNED = ((1, 1), (-1, -1))
TURNED_OVER = ((-1, 1), (1, -1))

Book = Mapping[str, str]
"""Marks by signature of the part, as marks.json keeps them; a freed number stays taken."""


def _seen(part: Part, sx: int, sy: int, centre: tuple[float, float]) -> tuple[tuple[float, ...], ...]:
    """Everything of a part's face that a shop could tell apart, turned about its centre."""
    cx, cy = centre
    flip = sx * sy
    rows: list[tuple[float, ...]] = [(0.0, round(sx * (v.x - cx), 4), round(sy * (v.y - cy), 4), round(flip * v.bulge, 6)) for v in part.outline]
    rows += [(1.0, round(sx * (h.x - cx), 4), round(sy * (h.y - cy), 4), round(h.diameter, 4)) for h in part.holes]
    for s in part.slots:
        rows.append((2.0, round(sx * (s.x - cx), 4), round(sy * (s.y - cy), 4), round(s.length, 4), round(s.width, 4), round(flip * s.angle, 6)))
    return tuple(sorted(tuple(v + 0.0 for v in row) for row in rows))


def signature(part: Part) -> str:
    """Equal for parts that are one mark: flat plates may be rotated or turned over, timbers only rotated."""
    xs, ys = [v.x for v in part.outline], [v.y for v in part.outline]
    centre = ((min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2)
    ways = TURNED + TURNED_OVER if part.material == "steel" else TURNED
    face = min(_seen(part, sx, sy, centre) for sx, sy in ways)
    fixed = [part.kind, round(part.thickness, 4), part.material, part.specification, part.finish, sorted({h.made for h in part.holes})]
    return hashlib.sha256(json.dumps([fixed, face]).encode()).hexdigest()[:16]


def register(details: Iterable[Detail], book: Book) -> tuple[tuple[Marked, ...], dict[str, str]]:
    """Marks by order of first use; known signatures keep theirs, new ones take the next free number.

    Returns: the marks with their uses, and the book to keep
    """
    kept = dict(book)
    uses: dict[str, list[tuple[str, str]]] = {}
    first: dict[str, Part] = {}
    for detail in details:
        for part in detail.parts:
            if part.existing or part.kind not in PREFIX:
                continue
            key = signature(part)
            if key not in kept:
                taken = [int(m.rsplit("-", 1)[1]) for m in kept.values() if m.startswith(PREFIX[part.kind] + "-")]
                kept[key] = f"{PREFIX[part.kind]}-{max(taken, default=0) + 1}"
            first.setdefault(key, part)
            uses.setdefault(key, []).append((detail.key, part.key))
    return tuple(Marked(kept[k], first[k], tuple(uses[k])) for k in uses), kept


def detail_hash(detail: Detail) -> str:
    """What an acceptance is tied to: everything of the joint that is built (results aside)."""
    record = asdict(detail)
    record.pop("results")
    record.pop("shores")
    for name in ("joint", "beside"):  # say nothing of joints that are elsewhere, whose hash stays
        if not record[name]:
            record.pop(name)

    def plain(value: object) -> object:
        if isinstance(value, float):
            return f"{value:.6g}"
        if isinstance(value, dict):
            return {str(k): plain(v) for k, v in value.items()}
        if isinstance(value, list | tuple):
            return [plain(v) for v in value]
        return str(value)

    return hashlib.sha256(json.dumps(plain(record), sort_keys=True).encode()).hexdigest()
