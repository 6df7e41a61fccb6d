"""Single faults of sheets, with what must come of each: a breach and the parts where it is, or nothing.

A third are gross faults of one place; a third lie up to 1/16 in. beyond a limit, a third up to 1/16 in. inside it and must pass. The limits are
written here by hand, apart from the tables that the checker reads:
NDS 2018 12.5.1, tables 12.5.1A to D, 12.1.3.2 (from memory); AISC 360-16 table J3.4 (print, page 16.1-131), J3.3, J3.5 and table J3.3 (from memory).
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from lean_sheet import Sheet, open_ends

from detailgen.model.detail import Vertex

SIXTEENTH = 1 / 16
EDGE_STEEL = {0.5: 0.75, 0.625: 0.875, 0.75: 1.0, 0.875: 1.125, 1.0: 1.25}
HOLE_STEEL = {0.5: 0.5625, 0.625: 0.6875, 0.75: 0.8125, 0.875: 0.9375, 1.0: 1.125}


@dataclass(frozen=True)
class Mutant:
    kind: str
    where: frozenset[str]  # parts that may be named; empty where it must pass
    sheet: Sheet
    delta: float = 0.0
    anywhere: bool = False  # the fault is of the whole sheet


def loads(detail):
    return {x.part: x for g in detail.groups for x in g.loads if max(x.tension, x.compression) > 0}


def least_end(detail, part):
    """Absolute least end distance in diameters: 3.5 softwood or 2.5 hardwood in tension, 2 in compression."""
    x = loads(detail)[part.key]
    return (2.5 if "Oak" in part.specification else 3.5) if x.tension > 0 else 2.0


def moved_bolts(detail, to: Callable[[float, float], tuple[float, float]]):
    """Every hole of every part goes where its bolt goes."""
    parts = []
    for p in detail.parts:
        c, s = math.cos(p.placement.angle), math.sin(p.placement.angle)
        holes = []
        for h in p.holes:
            x, y = p.placement.x + h.x * c - h.y * s, p.placement.y + h.x * s + h.y * c
            u, v = to(x, y)
            u, v = u - p.placement.x, v - p.placement.y
            holes.append(replace(h, x=u * c + v * s, y=-u * s + v * c))
        parts.append(replace(p, holes=tuple(holes)))
    return replace(detail, parts=tuple(parts))


def reshaped(detail, key, to: Callable[[Vertex], Vertex]):
    """Another outline for one part, or for all of a kind."""
    return replace(detail, parts=tuple(
        replace(p, outline=tuple(to(v) for v in p.outline)) if key in (p.key, p.kind) else p for p in detail.parts
    ))  # fmt: skip


def near(rng, outside):
    """How far beyond (or inside) a limit: up to 1/16 in., seldom next to nothing."""
    return (1 if outside else -1) * (rng.uniform(0.0005, SIXTEENTH) if rng.random() < 0.8 else rng.uniform(5e-5, 0.001))


def columns(detail):
    plate = next(p for p in detail.parts if p.kind == "plate")
    return sorted({round(h.x + plate.placement.x, 6) for h in plate.holes}), sorted({round(h.y + plate.placement.y, 6) for h in plate.holes})


def at_limit(detail, rng, outside, metric) -> Mutant | None:
    """One distance brought to its limit and a little beyond or inside."""
    kind = rng.choice(LIMITS)
    d = near(rng, outside)
    made = kind(detail, rng, d)
    if made is None:
        return None
    changed, where = made
    return Mutant(kind.__name__, frozenset(where) if outside else frozenset(), Sheet(changed, metric=metric), d)


def end_of_a_ply(detail, rng, d):
    part = rng.choice([p for p in detail.parts if p.key in loads(detail)])
    bolt = detail.groups[0].diameter
    least = least_end(detail, part) * bolt - d
    if open_ends(part) == "left":
        end = max(h.x for h in part.holes) + least
        return reshaped(detail, part.key, lambda v: replace(v, x=end) if v.x == max(w.x for w in part.outline) else v), [part.key]
    end = min(h.x for h in part.holes) - least
    return reshaped(detail, part.key, lambda v: replace(v, x=end) if v.x == min(w.x for w in part.outline) else v), [part.key]


def edge_of_a_ply(detail, rng, d):
    part = rng.choice([p for p in detail.parts if p.kind == "ply"])
    bolt = detail.groups[0].diameter
    _, rows = columns(detail)
    gauge = max((b - a for a, b in itertools.pairwise(rows)), default=0.0)
    least = 1.5 * bolt
    if part.thickness / bolt > 6 and part.key in loads(detail):
        least = max(least, gauge / 2)
    top = max(h.y for h in part.holes) + least - d
    high = max(w.y for w in part.outline)
    return reshaped(detail, part.key, lambda v: replace(v, y=top) if v.y == high else v), [part.key]


def spacing_in_a_row(detail, rng, d):
    xs, _ = columns(detail)
    bolt = detail.groups[0].diameter
    right = [x for x in xs if x > 0]
    if len(right) < 2:
        return None
    step = 3 * bolt - d
    out = right[-1]
    ply = [p.key for p in detail.parts if p.kind == "ply" and any(h.x + p.placement.x > 0 for h in p.holes)]
    others = [p.key for p in detail.parts if p.kind == "filler"]
    changed = moved_bolts(detail, lambda x, y: (right[-2] + step if abs(x - out) < 1e-3 else x, y))
    if step < (8 / 3) * bolt:
        others += [p.key for p in detail.parts if p.kind == "plate"]
    plate_end = right[-2] + step + EDGE_STEEL[bolt] + 0.25
    changed = reshaped(changed, "plate", lambda v: replace(v, x=plate_end) if v.x > 0 else v)
    return changed, [*ply, *others]


def plates_long_enough(detail, reach):
    """Plates as long as their bolts need: 1-1/4 in. for every size but the largest."""
    return reshaped(detail, "plate", lambda v: replace(v, x=math.copysign(reach, v.x)))


def rows_closed_up(detail, rng, d):
    _, rows = columns(detail)
    if len(rows) != 2:
        return None
    bolt = detail.groups[0].diameter
    gauge = (8 / 3) * bolt - d
    middle = sum(rows) / 2
    return moved_bolts(detail, lambda x, y: (x, middle + math.copysign(gauge / 2, y - middle))), [p.key for p in detail.parts if p.kind == "plate"]


def outer_rows(detail, rng, d):
    _, rows = columns(detail)
    part = [p for p in detail.parts if p.kind == "ply"]
    if len(rows) != 2 or min(max(v.y for v in p.outline) for p in part) < 2.5 + 1.6 * detail.groups[0].diameter:
        return None
    gauge, middle = 5.0 + d, sum(rows) / 2
    wide = gauge / 2 + EDGE_STEEL[detail.groups[0].diameter] + 0.1
    changed = reshaped(detail, "plate", lambda v: replace(v, y=math.copysign(wide, v.y)))
    changed = reshaped(changed, "filler", lambda v: replace(v, y=math.copysign(max(wide, 2.5 + 1.6 * detail.groups[0].diameter), v.y)))
    changed = moved_bolts(changed, lambda x, y: (x, middle + math.copysign(gauge / 2, y - middle)))
    return changed, [p.key for p in detail.parts if p.holes]


def end_of_a_plate(detail, rng, d):
    part = rng.choice([p for p in detail.parts if p.kind == "plate"])
    end = max(h.x for h in part.holes) + EDGE_STEEL[detail.groups[0].diameter] - d
    high = max(v.x for v in part.outline)
    return reshaped(detail, part.key, lambda v: replace(v, x=end) if v.x == high else v), [part.key]


def far_end_of_a_plate(detail, rng, d):
    part = rng.choice([p for p in detail.parts if p.kind == "plate"])
    greatest = min(12 * part.thickness, 6.0)
    high = max(v.x for v in part.outline)
    end = max(h.x for h in part.holes) + greatest + d
    if end < high:
        return None
    return reshaped(detail, part.key, lambda v: replace(v, x=end) if v.x == high else v), [part.key]


def _other_hole(detail, part, k, diameter):
    holes = tuple(replace(h, diameter=diameter) if n == k else h for n, h in enumerate(part.holes))
    return replace(detail, parts=tuple(replace(p, holes=holes) if p.key == part.key else p for p in detail.parts))


def hole_too_large(detail, rng, d):
    part = rng.choice([p for p in detail.parts if p.holes])
    bolt = detail.groups[0].diameter
    greatest = HOLE_STEEL[bolt] if part.kind == "plate" else bolt + SIXTEENTH
    d = max(d, -1 / 33)  # inside both limits
    return _other_hole(detail, part, rng.randrange(len(part.holes)), greatest + d), [part.key]


def hole_too_tight(detail, rng, d):
    part = rng.choice([p for p in detail.parts if p.holes])
    bolt = detail.groups[0].diameter
    least = bolt if part.kind == "plate" else bolt + 1 / 32
    d = math.copysign(min(abs(d), 1 / 33), d)  # inside both limits
    return _other_hole(detail, part, rng.randrange(len(part.holes)), least - d), [part.key]


def load_at_strength(detail, rng, d):
    """NDS 2018 Appendix E by hand for No.1 Douglas Fir-Larch, 2-1/2 x 9-1/2: F_t 675 psi times 1.1 for its width (both print), F_v 180 psi, C_D 1."""
    wood = [p for p in detail.parts if p.key in loads(detail) and p.specification == "Douglas Fir-Larch No.1"]
    parts = [p for p in wood if p.thickness == 2.5 and sorted({v.y for v in p.outline}) == [-4.75, 4.75]]
    if not parts:
        return None
    part = rng.choice(parts)
    tension, shear, t, hole = 675 * 1.1, 180.0, 2.5, part.holes[0].diameter
    lines = sorted({round(h.y, 6) for h in part.holes})
    left = open_ends(part) == "left"
    end = max(v.x for v in part.outline) if left else min(v.x for v in part.outline)
    torn = []
    for y in lines:
        xs = sorted(abs(end - h.x) for h in part.holes if abs(h.y - y) < 1e-6)
        torn.append(len(xs) * shear * t * min([xs[0], *(b - a for a, b in itertools.pairwise(xs))]))
    least = min(sum(torn), tension * t * (9.5 - len(lines) * hole))
    if len(lines) > 1:
        least = min(least, torn[0] / 2 + torn[-1] / 2 + tension * t * (lines[-1] - lines[0] - (len(lines) - 1) * hole))
    force = least * (1 + d)
    group = detail.groups[0]
    heavier = tuple(replace(x, tension=force, lasting=(("ten years", force, 0.0),)) if x.part == part.key else x for x in group.loads)
    return replace(detail, groups=(replace(group, loads=heavier), *detail.groups[1:])), [part.key]


LIMITS = (
    end_of_a_ply, edge_of_a_ply, spacing_in_a_row, rows_closed_up, outer_rows, end_of_a_plate, far_end_of_a_plate, hole_too_large, hole_too_tight,
    load_at_strength,
)  # fmt: skip


def gross(detail, rng, metric) -> Mutant | None:
    """One fault of one place that no rounding excuses."""
    sheet = Sheet(detail, metric=metric)
    kind = rng.choice(GROSS)
    where = kind(detail, rng, sheet)
    if where is None:
        return None
    return Mutant(kind.__name__, frozenset(where), sheet, anywhere="*" in where)


def _drilled(detail, rng):
    return rng.choice([p for p in detail.parts if p.holes])


def hole_moved(detail, rng, sheet):
    part = _drilled(detail, rng)
    hole = rng.choice(sheet.holes[part.key])
    away, angle = rng.uniform(1 / 32, 1.0), rng.uniform(0, math.tau)
    hole[0], hole[1] = hole[0] + away * math.cos(angle), hole[1] + away * math.sin(angle)
    return [part.key]


def hole_deleted(detail, rng, sheet):
    part = _drilled(detail, rng)
    sheet.holes[part.key].pop(rng.randrange(len(sheet.holes[part.key])))
    return [part.key]


def hole_doubled(detail, rng, sheet):
    part = _drilled(detail, rng)
    hole = list(rng.choice(sheet.holes[part.key]))
    if rng.random() < 0.5:
        hole[0] += rng.uniform(0.05, 0.4)
    sheet.holes[part.key].append(hole)
    return [part.key]


def another_diameter(detail, rng, sheet):
    part = _drilled(detail, rng)
    bolt = rng.choice([b for b in EDGE_STEEL if b != detail.groups[0].diameter])
    chosen = sheet.holes[part.key] if rng.random() < 0.3 else [rng.choice(sheet.holes[part.key])]
    for hole in chosen:
        hole[3] = hole[3] | {"fastener": f"bolt {bolt * 25.4:.0f} mm" if sheet.metric else f"bolt {bolt:g} in"}
    return [part.key]


def grain_turned(detail, rng, sheet):
    part = rng.choice([p for p in detail.parts if p.key in loads(detail)])
    sheet.outlines[part.key][1]["grain"] = str(rng.choice((90, 45, 60, 75)))
    return [part.key]


def load_reversed(detail, rng, sheet):
    part = rng.choice([p for p in detail.parts if p.key in loads(detail)])
    facts = sheet.outlines[part.key][1]
    head, direction = facts["load"].rsplit("=", 1)
    facts["load"] = f"{head}={(float(direction) + 180) % 360:g}"
    return [part.key]


def fact_lost(detail, rng, sheet):
    part = rng.choice([p for p in detail.parts if p.material == "wood" and p.holes])
    facts = sheet.outlines[part.key][1]
    lost = rng.choice(["wood", "standard", "material", "grain", *(["load"] if "load" in facts else [])])
    del facts[lost]
    return [part.key]


def outline_nicked(detail, rng, sheet):
    """A notch in the upper edge, down to within a bolt of a hole."""
    part = rng.choice([p for p in detail.parts if p.holes and len(p.outline) == 4])
    points, _ = sheet.outlines[part.key]
    x, y, _, _ = max(sheet.holes[part.key], key=lambda h: (h[1], rng.random()))
    top, bolt = max(p[1] for p in points), detail.groups[0].diameter
    side = rng.choice((-1, 1))
    near_, far, floor = x + side * rng.uniform(0.1, 0.3), x + side * rng.uniform(0.7, 1.2), y + rng.uniform(0.1, 0.5) * bolt
    low, high = sorted((near_, far))
    corners = [p for p in points if p[1] < top]
    x0, x1 = min(p[0] for p in points), max(p[0] for p in points)
    if low <= x0 or high >= x1:
        return None
    right = [(x1, top, 0), (high, top, 0), (high, floor, 0), (low, floor, 0), (low, top, 0), (x0, top, 0)]
    sheet.outlines[part.key][0] = [*sorted(corners), *right]
    return [part.key]


def unit_flag(detail, rng, sheet):
    sheet.unit_flag = rng.choice([u for u in (1, 2, 4, 5, 6) if u != sheet.unit_flag])
    return [p.key for p in detail.parts if p.holes] + ["*"]


def copy_scaled(detail, rng, sheet):
    part = _drilled(detail, rng)
    k = rng.choice((0.5, 2.0, 25.4, 1 / 25.4, rng.uniform(1.3, 5.0), rng.uniform(0.2, 0.8), rng.uniform(1.005, 1.2)))
    points, facts = sheet.outlines[part.key]
    x0, y0 = min(p[0] for p in points), min(p[1] for p in points)

    def to(x, y):
        return x0 + (x - x0) * k, y0 + (y - y0) * k

    sheet.outlines[part.key] = [[(*to(x, y), b) for x, y, b in points], facts]
    sheet.holes[part.key] = [[*to(x, y), d * k, said] for x, y, d, said in sheet.holes[part.key]]
    a, b, text = sheet.dimensions[part.key]
    sheet.dimensions[part.key] = [to(*a), to(*b), text]
    return [part.key]


def part_in_plan_only(detail, rng, sheet):
    """Shortened in one view of two."""
    part = rng.choice([p for p in detail.parts if open_ends(p) == "none"])
    x0, y0, x1, y1 = sheet.plans[part.key]
    sheet.plans[part.key] = (x0, y0, x1 - rng.uniform(1 / 32, 1.0), y1)
    return [part.key]


def dimension_text(detail, rng, sheet):
    part = rng.choice(detail.parts)
    (ax, _), (bx, _), _ = sheet.dimensions[part.key]
    length = (bx - ax) + rng.choice((-1, 1)) * rng.uniform(0.1, 2.0)
    sheet.dimensions[part.key][2] = f"{length * 25.4:.1f}" if sheet.metric else f'{length:.3f}"'
    return ["dimension"]


GROSS = (
    hole_moved, hole_deleted, hole_doubled, another_diameter, grain_turned, load_reversed, fact_lost, outline_nicked, unit_flag, copy_scaled,
    part_in_plan_only, dimension_text,
)  # fmt: skip


def mutants(details, rng, count) -> Iterator[Mutant]:
    """A third gross, a third beyond a limit, a third inside it; in inches and in millimetres."""
    made = 0
    while made < count:
        detail, metric = details[rng.randrange(len(details))], rng.random() < 0.25
        mutant = gross(detail, rng, metric) if made % 3 == 0 else at_limit(detail, rng, made % 3 == 1, metric)
        if mutant is not None:
            made += 1
            yield mutant
