"""The neutral record -> face views, as the sheet shows them: for checking a detail before it is drawn."""

from __future__ import annotations

import math
from collections.abc import Mapping

from detailgen.checker.drawing import Drawing, Face, FaceHole, in_own_axes
from detailgen.checker.geometry import outline_of
from detailgen.checker.rules import table_of
from detailgen.checker.tags import Load
from detailgen.model.detail import BOUGHT, Detail, Group, Part, PlyLoad, passing_group, slotted_group


def designation(diameter: float) -> str:
    """A bolt's name as a drawing tags it, kept to a hundred-thousandth of an inch."""
    return f"bolt {diameter:.10g} in"


def face_view(part: Part) -> bool:
    """New parts have one, and existing ones that are drilled."""
    return part.kind not in BOUGHT and (not part.existing or bool(part.holes or part.slots))


def open_ends(part: Part) -> str:
    """none, left, right or both."""
    low, high = (pick(v.x for v in part.outline) for pick in (min, max))
    left = any(abs(x - low) < 1e-6 for x in part.open_ends)
    right = any(abs(x - high) < 1e-6 for x in part.open_ends)
    return "both" if left and right else "left" if left else "right" if right else "none"


def direction(part: Part, group: Group, load: PlyLoad) -> float:
    """Direction (degrees to the part's x) of the force of the bolts on a part while the member is in tension.

    Away from where the part runs on; where both ends are seen, or both run on, from its middle towards the bolts.
    """
    along = part.grain if not math.isnan(part.grain) else 0.0
    ends = open_ends(part)
    turn_round = ends == "right"
    if ends not in ("left", "right"):
        c, s = math.cos(along), math.sin(along)
        held = [h.x * c + h.y * s for h in part.holes if h.bolt == group.key]
        held += [slot.x * c + slot.y * s for slot in part.slots if slot.bolt == group.key]
        reach = [v.x * c + v.y * s for v in part.outline]
        turn_round = sum(held) / max(len(held), 1) < (min(reach) + max(reach)) / 2
    return round(math.degrees(along + load.angle) + (180 if turn_round else 0), 6) % 360


def drawing_of(
    detail: Detail, marks: Mapping[str, str] | None = None, wood_standard: str = "nds_2018", steel_standard: str = "aisc360_16",
) -> Drawing:  # fmt: skip
    """Face views of a detail. ``marks``: by part key, where the register has given them; parts of one mark have one face view, the first one's."""
    groups = {g.key: g for g in detail.groups}
    shown: dict[str, Part] = {}
    for part in detail.parts:
        if face_view(part):
            shown.setdefault((marks or {}).get(part.key) or f"part {part.key}", part)
    cut = [part.as_cut for part in shown.values()]
    faces = [_face(detail, part, groups, (marks or {}).get(part.key, ""), wood_standard, steel_standard) for part in cut]
    plan = {(detail.key, p.key): (math.nan, p.thickness) for p in detail.parts if not p.stands}
    placed = len({p.placement for p in detail.parts}) > 1  # a neutral detail says of no part where it stands
    stack = {(detail.key, p.key): _in_plan(p) for p in detail.parts if not p.stands} if placed else {}
    return Drawing(tuple(sorted(faces, key=lambda f: f.part)), plan, stack=stack)


def _in_plan(part: Part) -> tuple[float, float, float, float]:
    """Along the detail and through it, as the plan shows a part."""
    c, s = math.cos(part.placement.angle), math.sin(part.placement.angle)
    xs = [part.placement.x + v.x * c - v.y * s for v in part.outline]
    return min(xs), part.placement.z, max(xs), part.placement.z + part.thickness


def _face(detail: Detail, part: Part, groups: Mapping[str, Group], mark: str, wood_standard: str, steel_standard: str) -> Face:
    def fastener(key: str) -> str:
        if key.startswith(("strand ", "rod ")):
            return key
        return designation(groups[key].diameter) if key in groups else ""

    def group(key: str) -> str:
        return passing_group(part.key, key)

    holes = [FaceHole(h.x, h.y, h.diameter, group(h.bolt), fastener(h.bolt), h.made, h.template, tagged=bool(h.bolt)) for h in part.holes]
    made = "field" if part.existing else "shop"
    holes += [
        FaceHole(s.x, s.y, s.width, slotted_group(part.key, s.bolt), fastener(s.bolt), made, "", bool(s.bolt), s.length, math.degrees(s.angle))
        for s in part.slots
    ]
    loads = tuple(
        Load(g.key, x.tension, x.compression, direction(part, g, x), x.lasting or (("", x.tension, x.compression),))
        for g in groups.values() for x in g.loads if x.part == part.key
    )  # fmt: skip
    standard = wood_standard if part.material == "wood" else steel_standard
    face = Face(
        part=part.key, mark=mark, detail=detail.key, material=part.material, specification=part.specification,
        wood=wood_kind(wood_standard, part.specification) if part.material == "wood" else "", standard=standard,
        grain=None if math.isnan(part.grain) else math.degrees(part.grain), existing=part.existing, open_ends=open_ends(part), loads=loads,
        outline=outline_of([(v.x, v.y, v.bulge) for v in part.outline]), holes=tuple(holes), facts=dict(part.facts),
    )  # fmt: skip
    return in_own_axes(face)


def wood_kind(standard: str, specification: str) -> str:
    """softwood or hardwood by the species with which a specification begins; one that is not listed counts as softwood, as the index says."""
    rows = sorted(table_of(standard, "bolt_wood_kinds"), key=lambda r: -len(str(r["species"])))
    return next((str(r["kind"]) for r in rows if specification.startswith(str(r["species"]))), "softwood")
