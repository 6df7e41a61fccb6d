"""Plan of a detail, seen from above."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

from detailgen.model.detail import ACROSS, BOUGHT, EDGES, FROM_LEFT, THREADED
from detailgen.outputs.drawings import detail_geometry as geometry
from detailgen.outputs.drawings.detail_canvas import Callout, Canvas
from detailgen.outputs.drawings.detail_dims import Span, chains, column, columns, merged, rows
from detailgen.outputs.drawings.detail_scene import Scene, bolt_beside, bolt_reach, role
from detailgen.outputs.drawings.detail_words import label
from detailgen.outputs.drawings.lettering import text_width
from detailgen.outputs.drawings.shapes import Line, Point, Polyline, Text
from detailgen.outputs.drawings.sheets import Scale
from detailgen.outputs.drawings.tags import plan_tags


def plan(scene: Scene, scale: Scale) -> Canvas:
    """Seen from above: x to the right, z downward, toward the viewer of the elevation."""
    canvas, detail = scene.canvas("plan", scale), scene.detail
    u = canvas.u
    for part in sorted(detail.parts, key=lambda p: (p.placement.z, p.key)):
        a, _, c, _ = geometry.box(part)
        low, high = -(part.placement.z + part.thickness), -part.placement.z
        canvas.draw(Polyline(role(part), ((a, low), (c, low), (c, high), (a, high)), True, tags=plan_tags(part)))
        for x in part.open_ends:
            end = geometry.in_detail(part, (x, 0.0))[0]
            canvas.break_line((end, low), (end, high))
    for x, bolt in {round(b.x, 6): b for b in reversed(detail.bolts)}.items():
        bolt_beside(canvas, bolt, x, "plan", behind=scene.behind)
    x0, _, x1, _ = scene.box
    faces = [(-(p.placement.z + p.thickness), -p.placement.z, p) for p in detail.parts]
    ys = merged([y for f in faces for y in f[:2]])

    def outermost(y: float) -> float:
        """x of the right end, about y, of the part that ends farthest right there."""
        return max(geometry.box(p)[2] for low, high, p in faces if low - 1e-6 <= y <= high + 1e-6)

    layers = [(y, (outermost(y), y)) for y in ys]
    columns(canvas, chains(layers, (), canvas.units, start=0.0, known=ys[-1:]), x1 + 0.3 * u, side=1)
    column(canvas, [Span((x0, ys[0]), (x0, ys[-1]))], x0 - 0.3 * u, side=-1)
    canvas.draw(Line("centre", (0.0, ys[0] - 0.3 * u), (0.0, ys[-1] + 0.3 * u)))
    half = text_width("WP", canvas.letters.note) * u / 2
    near = half + 0.05 * u
    beside = {x > 0 for x in (*_block_starts(scene), *(b.x for b in detail.bolts)) if 1e-6 < abs(x) < near}  # lines through the letters
    low = len(beside) == 2  # there is no room above: it stands under the line
    at = (-near if beside == {True} else near if beside == {False} else 0.0, ys[0] - 0.36 * u - canvas.letters.note * u if low else ys[-1] + 0.36 * u)
    canvas.draw(Text("notes", "WP", at, canvas.letters.note, 0.0, "middle"))
    _plan_callouts(scene, canvas, ys, _blocks_placed(scene, canvas, ys[-1]))
    if detail.axis == ACROSS:
        seen = "seen from above" if abs(scene.slope) < 0.02 else "seen square to the member, from its upper edge"
        canvas.title(f"PLAN, {seen}; {scene.side} side below", ())
    elif detail.axis in EDGES:
        canvas.title("VIEW ALONG THE MEMBER", (f"off its edge below; {scene.side} side of the truss at the right",))
    else:
        right = "near" if detail.axis == FROM_LEFT else "far"
        canvas.title("PLAN, seen from above", (f"{'out of the building' if detail.bought else 'the left heel'} below; {right} side at the right",))
    return canvas


def _block_starts(scene: Scene) -> dict[float, Point]:
    """Where blocks and fillers begin, by place along the member; those over the work point at both their ends."""
    features: dict[float, Point] = {}
    for part in scene.new:
        if part.material != "wood":
            continue
        a, _, c, _ = geometry.box(part)
        for x in (a, c) if a < 0 < c else (min(a, c, key=abs),):  # its length is on its face view
            features.setdefault(round(x, 6), (x, -part.placement.z))
    return features


def _blocks_placed(scene: Scene, canvas: Canvas, top: float) -> float:
    """Where blocks and fillers begin, from the work point, in a row above the plan: they are set before anything is drilled. Returns its y."""
    reaches = [bolt_reach(b, behind=scene.behind) for b in scene.detail.bolts]
    free = max([top, *(-z for r in reaches for z in (r.head, r.tip))])
    features = _block_starts(scene)
    if not features:
        return free
    features[0.0] = (0.0, top + 0.6 * canvas.u)  # above the letters of the work point
    return rows(canvas, chains(sorted(features.items()), (), canvas.units, start=0.0), max(free + 0.3 * canvas.u, top + 0.85 * canvas.u), away=1)


def _plan_callouts(scene: Scene, canvas: Canvas, ys: Sequence[float], free: float) -> None:
    """Far parts from above, near parts from below, each at a free place between the bolts."""
    detail, u = scene.detail, canvas.u
    columns = merged([b.x for b in detail.bolts])
    x0, _, x1, _ = scene.box
    middle = (ys[0] + ys[-1]) / 2
    above: list[Callout] = []
    below: list[Callout] = []
    parts = sorted(detail.parts, key=lambda p: (p.placement.z, p.key))
    named: set[str] = set()
    for turn, part in enumerate(parts):
        same = scene.package.mark_of(detail.key, part.key) if part.kind == "filler" else part.kind if part.kind in BOUGHT else ""
        if same and same in named:
            continue  # a small piece that stands here several times is named once
        named.add(same)
        a, _, c, _ = geometry.box(part)
        y = -(part.placement.z + part.thickness / 2)
        far = y > middle - 1e-6
        words = label(detail, part, scene.package)
        if part.kind == "plate" and not part.existing and detail.axis == ACROSS:
            words += f", {scene.other_side if part.placement.z < 0 else scene.side} side"
        stops = [max(a, x0), *(x for x in columns if a < x < c), min(c, x1)]
        spots = [(p + q) / 2 for p, q in itertools.pairwise(stops) if q - p > 0.1 * u] or [(a + c) / 2]
        k = (turn * 2 + 1) % len(spots)
        ordered = [*spots[k:], *spots[:k]]
        surface = -part.placement.z if far else -(part.placement.z + part.thickness)
        depth = part.thickness if part.thickness < 0.15 * u else 0.5 * part.thickness
        anchor_y = surface - depth if far else surface + depth
        if part.kind in THREADED:  # beside the chord, before it passes the plate
            anchor_y = -part.placement.z - 0.15 * part.thickness
        (above if far else below).append(Callout(words, tuple((x, anchor_y) for x in ordered)))
    reaches = [bolt_reach(b, behind=scene.behind) for b in detail.bolts]
    low = min((-z for r in reaches for z in (r.head, r.tip)), default=0.0)  # lettering keeps off bolt ends
    block = 3.4 if (x1 - x0) / u > 13 else 2.5
    if above:
        canvas.callouts_in_row(above, max(ys[-1] + 0.7 * u, free + 0.4 * u), up=True, block=block)
    if below:
        canvas.callouts_in_row(below, min(ys[0] - 0.5 * u, low - 0.25 * u), up=False, block=block)
