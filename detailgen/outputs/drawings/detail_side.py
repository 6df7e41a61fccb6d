"""From which side a detail is drawn: the one from which the new steel is seen, so that nothing is dimensioned to a hidden line."""

from __future__ import annotations

from dataclasses import replace

from detailgen.core.tolerance import rounded
from detailgen.model.detail import Bolt, Detail, Part, Vertex

LEFT, RIGHT = ", left of the cut", ", right of the cut"


def _exposed(detail: Detail, *, behind: bool) -> bool:
    """Is some of the new steel (new timber where there is none) in sight from this side, before all existing timber?"""
    new = [p for p in detail.parts if not p.existing and p.material == "steel"] or [p for p in detail.parts if not p.existing]
    old = [p for p in detail.parts if p.existing]
    if not new or not old:
        return not behind
    if behind:
        return min(p.placement.z for p in new) <= min(p.placement.z for p in old)
    return max(p.placement.z + p.thickness for p in new) >= max(p.placement.z + p.thickness for p in old)


def from_behind(detail: Detail) -> bool:
    """Only from the far side can the new steel be seen."""
    return not _exposed(detail, behind=False) and _exposed(detail, behind=True)


def _part(part: Part, ends: tuple[str, str]) -> Part:
    """A part as its own axes show it from behind: x runs the other way, corners stay counter-clockwise."""
    v = part.outline
    outline = tuple(Vertex(-v[k].x + 0.0, v[k].y, v[k - 1].bulge) for k in range(len(v) - 1, -1, -1))
    place = part.placement
    return replace(
        part,
        name=part.name.replace(LEFT, f", {ends[0]} side of the cut").replace(RIGHT, f", {ends[1]} side of the cut"),
        outline=outline,
        holes=tuple(replace(h, x=-h.x + 0.0) for h in part.holes),
        slots=tuple(replace(s, x=-s.x + 0.0, angle=-s.angle) for s in part.slots),
        placement=replace(place, x=-place.x + 0.0, z=rounded(-(place.z + part.thickness)), angle=-place.angle),
        grain=-part.grain + 0.0,
        open_ends=tuple(-x for x in part.open_ends),
    )


def turn_bolt(bolt: Bolt) -> Bolt:
    """A bolt as it is seen from behind; where its head is must be told besides."""
    return replace(bolt, x=-bolt.x + 0.0, low=-bolt.high, high=-bolt.low)


def turned_about(detail: Detail, ends: tuple[str, str]) -> Detail:
    """The same joint as it is seen from the far side: x runs the other way, near and far are exchanged.

    ends: names of the joints at the left and the right end of the member, seen from the near side: left and right would be misread
    """
    groups = tuple(
        replace(g, positions=tuple((-x + 0.0, y) for x, y in g.positions), loads=tuple(replace(load, angle=-load.angle + 0.0) for load in g.loads))
        for g in detail.groups
    )
    return replace(
        detail,
        parts=tuple(_part(p, ends) for p in detail.parts),
        bolts=tuple(turn_bolt(b) for b in detail.bolts),
        groups=groups,
        zones=tuple(replace(z, x=-z.x + 0.0) for z in detail.zones),
        welds=tuple(replace(w, x=-w.x + 0.0) for w in detail.welds),
    )
