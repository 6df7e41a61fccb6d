"""Fasteners in wood parts, judged by the standard that the part names. Every distance is measured in the face view."""

from __future__ import annotations

from collections.abc import Sequence

from detailgen.checker.drawing import FACE_VIEW, Drawing, Face, FaceHole
from detailgen.checker.rules import wrong
from detailgen.checker.steel import STRAND
from detailgen.checker.strand_slots import judge_strand_slot
from detailgen.checker.tags import fastener
from detailgen.checker.wood_distances import GroupInWood, document_of
from detailgen.checker.wood_holes import judge_hole_sizes, judge_neighbours
from detailgen.core.errors import NotCovered
from detailgen.core.result import CheckResult, cannot_be_checked

_NO_HOLE = "a hole of this group: the part says that it loads it"


def _strand_of(holes: Sequence[FaceHole]) -> float:
    """Diameter of the strand (in) that passes a group of slots; 0 where it is another group."""
    try:
        kinds = [fastener(h.fastener) for h in holes if h.slot]
    except NotCovered:
        return 0.0
    return kinds[0].diameter if len(kinds) == len(holes) and all(k.kind == STRAND for k in kinds) else 0.0


def judge_wood(drawing: Drawing, face: Face) -> list[CheckResult]:
    """Every group of new holes in one wood part."""
    out: list[CheckResult] = []
    for group in face.groups:
        holes = list(face.of_group(group))
        strand = _strand_of(holes)
        if strand:
            out += [r for hole in holes for r in judge_strand_slot(drawing, face, hole, strand)]
            continue
        out += judge_hole_sizes(drawing, face, holes)
        inside = [h for h in holes if face.outline.contains(h.at)]
        known = {id(h) for h in inside}
        where = f"{face.name}, group {group}"
        for hole in holes:
            if id(hole) not in known:
                out.append(wrong(f"{face.name}, {face.hole_name(hole, drawing.metric)}", "hole stands outside its part", hole.diameter, FACE_VIEW))
        try:
            if inside:
                out += GroupInWood(drawing, face, group, inside).judged()
        except NotCovered as missing:
            out.append(cannot_be_checked(where, "distances of bolts in wood", missing.what, document_of(face)))
    out += judge_neighbours(drawing, face)
    for load in face.loads:
        if load.group not in face.groups and max(load.tension, load.compression) > 0:
            where = f"{face.name}, group {load.group}"
            out.append(cannot_be_checked(where, "distances of bolts in wood", _NO_HOLE, FACE_VIEW))
    return out
