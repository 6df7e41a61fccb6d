"""Section of a detail through a bolt column."""

from __future__ import annotations

import math
from collections.abc import Sequence

from detailgen.model.detail import Bolt, Part
from detailgen.outputs.drawings import detail_geometry as geometry
from detailgen.outputs.drawings.detail_canvas import Callout, Canvas
from detailgen.outputs.drawings.detail_dims import Span, merged, rows
from detailgen.outputs.drawings.detail_scene import Scene, bolt_beside, bolt_reach
from detailgen.outputs.drawings.detail_words import label, length, size
from detailgen.outputs.drawings.plane import meet_circle
from detailgen.outputs.drawings.shapes import Arc, Hatch, Point, Polyline
from detailgen.outputs.drawings.sheets import Scale
from detailgen.outputs.solids.hardware import size_for

RING = 0.11
"""Between the rings of end grain, in of paper."""
STEEL_HATCH = 0.06


BESIDE = 3.0
"""A section this near to the work point (in) would be lettered over it."""


def section_column(scene: Scene) -> float | None:
    """x of the bolt column for section A-A: on the right of the work point, where most parts are cut, nearest to it."""
    columns = merged([b.x for b in scene.detail.bolts])
    if not columns:
        return None
    rights = [x for x in columns if x > BESIDE] or [x for x in columns if x > 0] or columns
    return max(rights, key=lambda x: (sum(geometry.cut_at(p, x) is not None for p in scene.detail.parts), -abs(x)))


def section(scene: Scene, scale: Scale, x: float) -> Canvas:
    """Cut at a bolt column, looking left: the side of the elevation is on the left."""
    canvas, detail = scene.canvas("section", scale), scene.detail
    u, units = canvas.u, canvas.units
    bolts = sorted((b for b in detail.bolts if abs(b.x - x) < 1e-6), key=lambda b: b.y)
    cut: list[tuple[Part, float, float]] = []
    for part in sorted(detail.parts, key=lambda p: (p.placement.z, p.key)):
        span = geometry.cut_at(part, x)
        if span is None:
            continue
        cut.append((part, *span))
        left, right = -(part.placement.z + part.thickness), -part.placement.z
        _hatched(canvas, part, left, right, span, bolts)
    for bolt in bolts:
        bolt_beside(canvas, bolt, bolt.y, "section", behind=scene.behind)
    lefts = [-(p.placement.z + p.thickness) for p, _, _ in cut]
    rights = [-p.placement.z for p, _, _ in cut]
    low, high = min(c[1] for c in cut), max(c[2] for c in cut)
    s = size_for(bolts[0].diameter)
    first = min(bolts, key=lambda b: b.y)
    ends = bolt_reach(first, behind=scene.behind)
    line = low - 0.45 * u
    reach = s.washer_diameter / 2 + 0.02 * u
    grip = Span((-first.high, first.y), (-first.low, first.y), "grip <>")
    whole = Span((-ends.under_head, first.y - reach), (-ends.tip, first.y - reach), "bolt <>")
    rows(canvas, [[grip], [whole]], line, away=-1)
    near_items: list[Callout] = []
    far_items: list[Callout] = []
    middle = (min(lefts) + max(rights)) / 2
    levels = [low + (high - low) * t for t in (0.9, 0.72, 0.55, 0.38, 0.2)]
    for k, (part, a, b) in enumerate(sorted(cut, key=lambda c: c[0].placement.z)):
        z = -(part.placement.z + part.thickness / 2)
        text = f"{label(detail, part, scene.package)}, {size(part, units)}" if not part.existing else f"{label(detail, part, scene.package)}"
        y = min(max(levels[k % len(levels)], a + 0.1 * (b - a)), b - 0.1 * (b - a))
        tops = [y, *(a + (b - a) * t for t in (0.95, 0.85, 0.5, 0.15, 0.05))]
        (near_items if z < middle else far_items).append(Callout(text, tuple((z, t) for t in tops)))
    left_level = -max(ends.head, ends.tip) - 0.35 * u
    right_level = -min(ends.head, ends.tip) + 0.35 * u
    canvas.callouts_in_column(near_items, left_level, right=False, width=1.9)
    canvas.callouts_in_column(far_items, right_level, right=True, width=1.9)
    for words, x_label, anchor in ((scene.facing[0], min(lefts) + 0.3 * u, "end"), (scene.facing[1], max(rights) - 0.3 * u, "start")):
        canvas.place_text(words, [(x_label, high + (0.12 + 0.1 * k) * u) for k in range(20)], anchor=anchor)
    canvas.title("SECTION A-A", (f"at {length(abs(x), units)} {'right' if x > 0 else 'left'} of WP",))
    return canvas


def _hatched(canvas: Canvas, part: Part, left: float, right: float, span: tuple[float, float], bolts: Sequence[Bolt]) -> None:
    """The cut face of a part between the bolts that pass it: steel by lines at 45 degrees, end grain by rings."""
    low, high = span
    u = canvas.u
    canvas.draw(Polyline("cut", ((left, low), (right, low), (right, high), (left, high)), True))
    at = low
    strips: list[tuple[float, float]] = []
    for bolt in bolts:
        if low < bolt.y < high:
            strips.append((at, bolt.y - bolt.diameter / 2))
            at = bolt.y + bolt.diameter / 2
    strips.append((at, high))
    along = abs(math.sin(part.grain + part.placement.angle)) < 0.5 if part.material == "wood" else False
    pith = ((left + right) / 2 + 0.2 * (right - left), low - 0.9 * (right - left))
    for a, b in strips:
        region = ((left, a), (right, a), (right, b), (left, b))
        if part.material == "steel":
            canvas.draw(Hatch("hatch", region, math.radians(45), STEEL_HATCH, (left, low)))
        elif not along:
            canvas.draw(Hatch("hatch", region, math.radians(90), RING, (left, low)))
        else:
            _rings(canvas, region, pith, RING * u)


def _rings(canvas: Canvas, region: tuple[Point, ...], pith: Point, step: float) -> None:
    """Rings of end grain about the pith, inside a rectangle."""
    far = max(math.dist(pith, p) for p in region)
    n = math.ceil(far / (2.2 * step))
    for k in range(1, n + 1):
        radius = k * 2.2 * step
        cuts = []
        for (ax, ay), (bx, by) in zip(region, (*region[1:], region[0]), strict=True):
            for t in meet_circle((ax, ay), (bx - ax, by - ay), pith, radius):
                if 0 <= t < 1:
                    cuts.append(math.atan2(ay + t * (by - ay) - pith[1], ax + t * (bx - ax) - pith[0]) % (2 * math.pi))
        cuts.sort()
        for start, end in zip(cuts, [*cuts[1:], *(c + 2 * math.pi for c in cuts[:1])], strict=False):
            middle = (start + end) / 2
            x, y = pith[0] + radius * math.cos(middle), pith[1] + radius * math.sin(middle)
            if region[0][0] < x < region[2][0] and region[0][1] < y < region[2][1] and (end - start) * radius > 0.02 * step:
                canvas.draw(Arc("hatch", pith, radius, start, end))
