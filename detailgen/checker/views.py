"""The elevation beside the face views: bolts seen from their end, no-drill zones, where the section is cut, and the scales of all views."""

from __future__ import annotations

import itertools
import math
import re

from detailgen.checker.drawing import FaceHole
from detailgen.checker.geometry import Point
from detailgen.checker.rules import wrong
from detailgen.checker.statements import Names, Told
from detailgen.core.clause import Cite

SAME_BOLT = 1 / 64
"""Bolts and holes whose centres differ by less (in) are in one place."""
MANY_HEADS = 500
ZONES = Cite("no-drill zones", "as drawn in the elevation")
_SECTION = re.compile(r"^at (?P<x>\S.*?)(?: (?P<side>right|left) of)? WP\b")
_ZONE = re.compile(r"No-drill zone, [^:]+: from (?P<from>.+?) to (?P<to>.+?)\.$")
_SCALE = re.compile(r"Scale (?:(?P<paper>[\d/. ]+\") = (?P<real>\d+'(?:-\d+\")?)|1:(?P<ratio>[\d.]+))")


def judge_views(told: Told, names: Names) -> None:
    _heads(told)
    wp = _work_point(told, names)
    if wp is not None:
        _sections(told, names, wp)
        _zones(told, names, wp)
    _bolts_in_zones(told)
    _scales(told, names)


def _heads(told: Told) -> None:
    """Bolts seen from their end stand as the holes of their group stand, seen from either side."""
    drawing = told.drawing
    if not drawing.heads or len(drawing.heads) > MANY_HEADS:
        return
    for detail, group in sorted({(f.detail, g) for f in drawing.faces for g in f.groups if g}):
        face = max(drawing.joint(detail), key=lambda f: (len(f.of_group(group)), len(f.holes)))  # with others it lies as the elevation does
        holes = face.of_group(group)
        best: list[tuple[float, FaceHole]] = []
        anchors = list(dict.fromkeys((holes[0], holes[-1], holes[len(holes) // 2])))  # one of them may be the one that is wrong
        for side, anchor, head in itertools.product((1.0, -1.0), anchors, drawing.heads):
            dx, dy = head[0] - side * anchor.x, head[1] - anchor.y
            places = [(side * h.x + dx, h.y + dy) for h in holes]
            off = [(min(math.dist(p, q) for q in drawing.heads), h) for p, h in zip(places, holes, strict=True)]
            if not best or sum(d <= SAME_BOLT for d, _ in off) > sum(d <= SAME_BOLT for d, _ in best):
                best = off
        told.sound += sum(d <= SAME_BOLT for d, _ in best)
        for off_by, h in best:
            if off_by > SAME_BOLT:
                check = f"no bolt where {face.name} has {face.hole_name(h, drawing.metric)}; the next one stands {told.words(off_by)} off"
                told.differs(f"elevation, group {group}", check, off_by, 0.0, "in")


def _work_point(told: Told, names: Names) -> Point | None:
    """The place of the word WP that stands nearest to the bolts of the elevation."""
    heads = told.drawing.heads
    if not heads:
        return None
    x, y = (sum(h[k] for h in heads) / len(heads) for k in (0, 1))
    return min((p.at for p in names.paragraphs if p.text == "WP"), key=lambda p: math.dist(p, (x, y)), default=None)


def _from_wp(told: Told, words: str) -> float:
    if words.strip() in ("WP", ""):
        return 0.0
    sign = -1.0 if "left of" in words else 1.0
    return sign * told.length(words.split(" right of")[0].split(" left of")[0])


def _sections(told: Told, names: Names, wp: Point) -> None:
    for p in names.paragraphs:
        if m := _SECTION.search(p.text):
            stated = told.length(m["x"]) * (-1 if m["side"] == "left" else 1)
            nearest = min((h[0] - wp[0] for h in told.drawing.heads), key=lambda x: abs(x - stated))
            told.same(f"section '{m[0]}'", "is cut at", stated, nearest)


def _zones(told: Told, names: Names, wp: Point) -> None:
    """A zone that a note names is drawn from and to where the note says."""
    zones = told.drawing.zones
    for text in names.sentences:
        if (m := _ZONE.search(text)) and zones:
            low, high = _from_wp(told, m["from"]), _from_wp(told, m["to"])
            x0, x1 = min(((z[0] - wp[0], z[2] - wp[0]) for z in zones), key=lambda z: abs(z[0] - low) + abs(z[1] - high))
            told.same(f"note '{text}'", "begins at", low, x0)
            told.same(f"note '{text}'", "ends at", high, x1)


def _bolts_in_zones(told: Told) -> None:
    for x0, y0, x1, y1 in told.drawing.zones:
        inside = [h for h in told.drawing.heads if x0 < h[0] < x1 and y0 < h[1] < y1]
        for h in inside:
            deep = min(h[0] - x0, x1 - h[0], h[1] - y0, y1 - h[1])
            told.results.append(wrong("elevation", "a new bolt in a no-drill zone", deep, ZONES, spots=(h,)))
        told.sound += not inside


def _scales(told: Told, names: Names) -> None:
    """The scale under a view is that of the window in the sheet that shows it."""
    for p in names.paragraphs:
        if not (m := _SCALE.search(p.text)):
            continue
        over = [w for w in told.drawing.windows if w.holds(p.at)]
        if not over:
            continue
        stated = 1 / float(m["ratio"]) if m["ratio"] else told.length(m["paper"]) / told.length(m["real"])
        window = min(over, key=lambda w: abs(w.scale - stated))
        if abs(window.scale / stated - 1) < 0.005:
            told.sound += 1
        else:
            told.differs(f"'{m[0]}'", f"the view is shown at 1:{1 / window.scale:.4g}, which is not what is stated", stated, window.scale)
