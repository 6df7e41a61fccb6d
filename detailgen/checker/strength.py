"""Splice plates against the force of their group, from measured geometry: yield, rupture of the net section, bearing and tear-out, block shear.

AISC 360-16 D2, J4.1, J3.10, J4.3 by allowable strength, or by design strength where the outline says that its loads are factored.
The plates that hold one group share its force alike; how many there are the plan says. The wood has a file of its own.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from detailgen.checker import measure
from detailgen.checker.bridging import bridges
from detailgen.checker.drawing import FACE_VIEW, Drawing, Face, FaceHole
from detailgen.checker.rules import table_of
from detailgen.checker.tags import fastener
from detailgen.checker.wood_values import factored_loads
from detailgen.core.clause import Calculation, Cite
from detailgen.core.errors import NotCovered
from detailgen.core.result import CheckResult, State, cannot_be_checked

MOST = 1500
"""Holes through which the worst way across is looked for."""
LONG_ACROSS = 1.0 / 1.2
"""J3.10: bearing in a long slot across the load over that in a round hole."""
NET_HOLE = 1 / 16
"""What the net section counts beside a hole (in): B4.3b."""


def judge_strength(drawing: Drawing) -> list[CheckResult]:
    """Every group that wood parts say they load along x and that steel parts hold."""
    out: list[CheckResult] = []
    for detail, group in sorted({(f.detail, x.group) for f in drawing.faces for x in f.loads}):
        plates = [f for f in drawing.joint(detail) if f.material == "steel" and group in f.by_group]
        force = tension_along(drawing, detail, group)
        count = sum(parts_of_this_size(drawing, p) for p in plates)
        if not plates or not count or not force > 0:
            continue
        for plate in plates:
            where, what = f"{plate.name}, group {group}", "tension from the splice"
            try:
                out += _plate(drawing, plate, group, force / count, where)
            except NotCovered as missing:
                out.append(cannot_be_checked(where, what, missing.what, FACE_VIEW))
    return out


def tension_along(drawing: Drawing, detail: str, group: str) -> float:
    """Tension (lb) that passes from one side to the other: what the parts that pull one way pull together; nan where it is not along x."""
    sides: dict[int, float] = {}
    for face in drawing.joint(detail):
        if bridges(drawing, face, group):
            continue  # it brings no force, it takes a part of it across beside the plates, which are judged as if it did not
        for load in face.loads if face.material == "wood" else ():
            if load.group == group:
                turn = load.direction % 180
                if min(turn, 180 - turn) > 1e-6:
                    return math.nan
                side = round(math.cos(math.radians(load.direction)))
                sides[side] = sides.get(side, 0.0) + load.tension
    return max(sides.values(), default=0.0)


def parts_of_this_size(drawing: Drawing, plate: Face) -> int:
    """Parts of this plate's size in the plan; 0 where there is no plan (a cut file)."""
    own = drawing.box_in_plan(plate)
    if own is None:
        return drawing.on_edge_like(plate)
    size = own[2] - own[0], own[3] - own[1]
    return 1 + len(drawing.unseen_of_size(*size))


def _plate(drawing: Drawing, plate: Face, group: str, force: float, where: str) -> list[CheckResult]:
    thickness = drawing.thickness(plate)
    if thickness is None:
        raise NotCovered("the thickness of the part (its plan view)")
    grade = table_of(plate.standard, "steel_grades").find(grade=plate.specification)
    yielding, tensile = float(grade["F_y"]) * 1000, float(grade["F_u"]) * 1000
    factors = table_of(plate.standard, "omega")
    factored = factored_loads(plate)
    column, symbol = ("phi", "phi") if factored else ("omega", "Omega")
    found = {
        str(r["limit_state"]): (float(r[column]), Cite(factors.document, str(r["clause"]), factors.name, factors.cite(r).status)) for r in factors
    }  # fmt: skip
    x0, y0, x1, y1 = plate.outline.box
    middle = (x0 + x1) / 2
    out = []
    for side, sign in (("left", -1.0), ("right", 1.0)):
        holes = [h for h in plate.of_group(group) if (h.x - middle) * sign > 0]
        if not holes:
            continue
        gross = (y1 - y0) * thickness
        net = _net(plate, holes) * thickness
        values = (
            ("tension yield", yielding * gross), ("tension rupture", tensile * net),
            ("bearing and tear-out", _tear_out(plate, holes, sign, thickness, tensile)),
            ("block shear", _block(plate, holes, sign, thickness, yielding, tensile)),
        )  # fmt: skip
        for state, nominal in values:
            factor, cite = found[state]
            sheet = Calculation()
            sheet.given("nominal strength", nominal, "lb", cite)
            sheet.given(symbol, factor, "-", cite)
            available = nominal * factor if factored else nominal / factor
            ratio = force / available if available > 0 else math.inf
            passes = State.PASSES if ratio <= 1 + 1e-6 else State.DOES_NOT_PASS
            text = f"{state} of the plate at the {side} bolts, its share of the group's tension"
            out.append(CheckResult(where, text, force, available, "lb", ratio, passes, "member in tension", "", math.nan, cite, sheet))
    return [r for r in out if r.state is not State.PASSES] or ([max(out, key=lambda r: round(r.ratio, 9))] if out else [])


def _net(plate: Face, holes: Sequence[FaceHole]) -> float:
    """Width (in) of the worst chain across, each hole 1/16 in. larger."""
    _, y0, _, y1 = plate.outline.box
    if len(holes) > MOST:
        raise NotCovered(f"a way across {len(holes):,} holes; at most {MOST:,} on each side of the joint are followed")
    places = sorted((h.y, h.x, measure.extent(h, (0.0, 1.0)) + NET_HOLE) for h in holes)
    loss: list[float] = []
    for k, (y, x, d) in enumerate(places):
        before = [loss[j] - (x - u) ** 2 / (4 * (y - v)) for j, (v, u, _) in enumerate(places[:k]) if y - v > measure.SAME_LINE]
        loss.append(d + max([0.0, *before]))
    return y1 - y0 - max(loss)


def _tear_out(plate: Face, holes: Sequence[FaceHole], sign: float, t: float, tensile: float) -> float:
    """J3.10: the lesser of 1.2 l_c t F_u and 2.4 d t F_u (long slots across the load: 1.0 and 2.0), each hole with its own clear distance toward
    the plate's end."""
    total = 0.0
    for h in holes:
        in_line = [o for o in holes if (o.x - h.x) * sign > measure.SAME_LINE and abs(o.y - h.y) < h.diameter]
        half = measure.extent(h, (1.0, 0.0)) / 2
        ahead = [abs(o.x - h.x) - measure.extent(o, (1.0, 0.0)) / 2 - half for o in in_line]
        end = plate.outline.ray(h.at, (sign, 0.0)) - half
        share = LONG_ACROSS if h.length > 1.5 * h.diameter and half < h.length / 4 else 1.0
        total += share * min(1.2 * min([end, *ahead]) * t * tensile, 2.4 * fastener(h.fastener).diameter * t * tensile)
    return total


def _block(plate: Face, holes: Sequence[FaceHole], sign: float, t: float, yielding: float, tensile: float) -> float:
    """J4.3 with U_bs 1: shear along the outer rows to the plate's end, tension between them; one row: the block to the nearer edge."""
    rows = measure.rows(holes, (1.0, 0.0))
    first = min(holes, key=lambda h: h.x * sign)
    length = plate.outline.ray(first.at, (sign, 0.0))
    d = max(measure.extent(h, (0.0, 1.0)) for h in holes) + NET_HOLE
    count = min(len(r.holes) for r in rows)
    planes = 2 if len(rows) > 1 else 1
    gross_shear = planes * length * t
    net_shear = gross_shear - planes * (count - 0.5) * d * t
    if len(rows) > 1:
        tension = (rows[-1].high - rows[0].low - (len(rows) - 1) * d) * t
    else:
        tension = (min(plate.outline.ray(first.at, (0.0, s)) for s in (-1.0, 1.0)) - d / 2) * t
    return min(0.6 * tensile * net_shear, 0.6 * yielding * gross_shear) + tensile * tension
