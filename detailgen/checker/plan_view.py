"""Face views against the plan view: where its parts stand, and how long they are."""

from __future__ import annotations

import bisect
import math
from collections.abc import Sequence

from detailgen.checker.drawing import FACE_VIEW, Drawing, Face, length_words
from detailgen.checker.placing import COINCIDE, holes_of
from detailgen.checker.rules import READING_IN, wrong
from detailgen.core.result import CheckResult


def judge_places(drawing: Drawing, members: Sequence[Face], group: str) -> list[CheckResult]:
    """Most holes of a part meet those of the part with most of them also where the plan puts both, measured from an end that is really there.

    New parts may be turned by half; a view seen from the other side has its plan seen from there too.
    """
    whole = [f for f in members if f.open_ends == "none"]
    hub = max(whole, key=lambda f: (len(holes_of(f, group)), f.material == "steel"), default=None)
    box = drawing.box_in_plan(hub) if hub is not None else None
    if hub is None or box is None:
        return []
    out: list[CheckResult] = []
    # A mark may be used at several places, with or without a face view at each: the plan shows them all.
    alike = drawing.of_size(box[2] - box[0], box[3] - box[1])
    boxes = [box, *(b for part, b in alike if drawing.materials.get(part, hub.material) == hub.material)]
    for side in (1.0, -1.0):
        target = sorted(x for b in boxes for x in _in_box(hub, group, b, side, "left"))
        found: list[CheckResult] = []
        compared = 0
        for face in members:
            own = drawing.box_in_plan(face)
            ends = [s for s in ("left", "right") if not face.open_at(s)]
            if face is hub or own is None or not ends:
                continue
            compared += 1
            ways = (1.0, -1.0) if not face.existing else (side,)
            off = min((sorted(_to_next(target, x) for x in _in_box(face, group, own, w, ends[0])) for w in ways), key=sum)
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


def _to_next(places: Sequence[float], x: float) -> float:
    """Distance to the nearest of sorted places."""
    k = bisect.bisect_left(places, x)
    return min(abs(x - p) for p in places[max(k - 1, 0) : k + 1])


def _in_box(face: Face, group: str, box: tuple[float, float, float, float], way: float, end: str) -> list[float]:
    """Places of the holes along the plan, measured from one end of the part; ``way`` -1: turned round."""
    x0, _, x1, _ = face.outline.box
    from_end = [(h.x - x0) if end == "left" else (x1 - h.x) for h in holes_of(face, group)]
    at_left = (end == "left") == (way > 0)
    return [box[0] + u if at_left else box[2] - u for u in from_end]


def judge_lengths(drawing: Drawing, face: Face) -> list[CheckResult]:
    """A whole part is as long in the plan view as in its face view."""
    length, _ = drawing.extent_in_plan(face) or (math.nan, 0.0)
    x0, _, x1, _ = face.outline.box
    off = abs(length - (x1 - x0))
    if math.isnan(length) or face.open_ends != "none" or off <= COINCIDE:
        return []
    text = f"length {length_words(x1 - x0, drawing.metric)} in the face view, {length_words(length, drawing.metric)} in the plan view"
    return [wrong(face.name, text, off, FACE_VIEW)]
