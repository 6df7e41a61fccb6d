"""The search is exhaustive: on a thinned grid it finds exactly what a plain loop finds."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from detailgen.model.member import Member
from detailgen.remedies.contract import Site
from detailgen.remedies.splice import parameters as p
from detailgen.remedies.splice.chosen import Chosen
from detailgen.remedies.splice.results import plate_results
from detailgen.remedies.splice.search import Demand, Layouts, Question, best, evaluate, grid, measures, nearest_miss
from detailgen.standards.aisc360_16 import STANDARD as STEEL
from detailgen.standards.interface import STRENGTH, PlateRequest, WoodGrade, by_method
from detailgen.standards.nds_2018 import STANDARD as WOOD
from detailgen.stock.bolts import diameters
from detailgen.stock.plates import flat_bar_widths, plate_thicknesses

DFL = WoodGrade("sawn", "Douglas Fir-Larch", "No.1")
DEMAND = Demand(
    axial=np.array([6000.0, 13600.0, 11000.0, -900.0]), moment=np.array([2000.0, 4000.0, -3000.0, 500.0]),
    shear=np.array([100.0, 200.0, 150.0, 50.0]),
    durations=("permanent", "snow", "construction", "construction"), names=("D", "D + S", "D + Lr", "D + Lr left"),
)  # fmt: skip
BOTH_FACES, SINGLE, BLOCK, OUTER, ALONE = p.ARRANGEMENTS


def question(arrangement: p.Arrangement = BOTH_FACES, **changed) -> Question:
    asked = Question(DFL, 2.5, 9.5, arrangement, 3.5, DEMAND, 6.0, 40.0, 0.5)
    return replace(asked, **changed)


def steel_edge(D: float) -> float:
    """AISC 360-16 table J3.4 (p. 16.1-131)."""
    return {0.5: 0.75, 0.625: 0.875, 0.75: 1.0, 0.875: 1.125, 1.0: 1.25}[D]


def by_hand(q: Question, D, rows, n, s, gauge, end, t, w, plate_end) -> bool:
    """One layout judged by hand formulas: NDS 2018 chapters 11, 12 and Appendix E, AISC 360-16 D2, J3, J4 (ASD); from memory.

    Double shear of a steel-wood-steel joint by the yield equations, C_g by 11.3-1, everything written out once more.
    """
    C_D = {"permanent": 0.9, "snow": 1.15, "construction": 1.25}
    Fe, Fes, Fyb = 11200 * 0.5, 87000.0, 45000.0
    Fe_perp = 6100 * 0.5**1.45 / math.sqrt(D)

    def Z(fe: float, K: float) -> float:
        Re = fe / Fes
        k3 = -1 + math.sqrt(2 * (1 + Re) / Re + 2 * Fyb * (2 + Re) * D**2 / (3 * fe * t**2))
        return min(D * 2.5 * fe / (4 * K), 2 * D * t * Fes / (4 * K), 2 * k3 * D * t * fe / ((2 + Re) * 3.2 * K),
                   2 * D**2 / (3.2 * K) * math.sqrt(2 * fe * Fyb / (3 * (1 + Re))))  # fmt: skip

    gamma = 270000 * D**1.5
    apart = q.plates_per_face
    in_plate = rows // apart
    EA = (1.7e6 * 2.5 * q.ply_depth, 29e6 * 2 * apart * t * w)
    REA = min(EA) / max(EA)
    u = 1 + gamma * s / 2 * (1 / EA[0] + 1 / EA[1])
    m = u - math.sqrt(u * u - 1)
    Cg = m * (1 - m ** (2 * n)) / (n * ((1 + REA * m**n) * (1 + m) - 1 + m ** (2 * n))) * (1 + REA) / (1 - m)
    Cdelta = min(1.0, s / (4 * D), end / (7 * D))
    across = rows * (rows**2 - 1) / 12 * gauge**2 * n
    along = n * (n**2 - 1) / 12 * s**2 * rows
    y, x = (rows - 1) / 2 * gauge, (n - 1) / 2 * s
    if apart > 1:  # a couple of two plates: each bolt of a row takes M / (gauge n), none of it across the grain
        along, across, y, x = 0.0, gauge * n, 1.0, 0.0
    ok = s >= 3 * D - 1e-6 and end >= 3.5 * D and (rows == 1 or gauge >= max(1.5 * D, 8 / 3 * D) - 1e-6) and s >= 8 / 3 * D - 1e-6
    ok &= (in_plate - 1) * gauge <= 5.0 + 1e-9
    edge = max(1.5 * D, gauge / 2) if 2.5 / D > 6 else 1.5 * D
    ok &= q.ply_depth / 2 - (rows - 1) * gauge / 2 >= edge - 1e-6
    ok &= plate_end >= steel_edge(D) and (w - (in_plate - 1) * gauge) / 2 >= steel_edge(D) - 1e-6
    ok &= s <= min(24 * t, 12) + 1e-9 and plate_end <= min(12 * t, 6) and (w - (in_plate - 1) * gauge) / 2 <= min(12 * t, 6) + 1e-9
    ok &= in_plate == 1 or gauge <= min(24 * t, 12) + 1e-9
    ok &= q.gap / 2 + end + (n - 1) * s + plate_end <= q.room + 1e-6
    hole = D + 1 / 16
    for duration in C_D:
        c = C_D[duration]
        these = [k for k, d in enumerate(DEMAND.durations) if d == duration]
        N = max(max(DEMAND.axial[k] for k in these), 0.0)
        P = max(max(-DEMAND.axial[k] for k in these), 0.0)
        M, V = max(abs(DEMAND.moment[k]) for k in these), max(abs(DEMAND.shear[k]) for k in these)
        Ft, Fv = 675 * 1.1 * c, 180 * c
        net = Ft * 2.5 * (q.ply_depth - rows * hole)
        N = max(N, q.develop * net)
        z, z_across = Z(Fe, 1.0) * c * Cg * Cdelta, Z(Fe_perp, 1.25) * c * Cg * Cdelta
        bolts = (max(N, P) / (rows * n) + M * y / (along + across)) / z + (V / (rows * n) + M * x / (along + across)) / z_across
        row = n * Fv * 2.5 * min(end, s)
        group = math.inf if rows == 1 else row + Ft * 2.5 * (rows - 1) * (gauge - hole)
        ok &= bolts <= 1 + 1e-6 and net * (1 + 1e-6) >= N and rows * row * (1 + 1e-6) >= N and group * (1 + 1e-6) >= N
        one = steel_by_the_standard(q, D, in_plate, n, s, gauge, t, w, plate_end, end)
        couple, bent = (0.0, M / 2 / one.bending[0]) if apart == 1 else (M / gauge, 0.0)
        ok &= all((N / apart + couple) / 2 / cap[0] + bent <= 1 + 1e-6 for cap in one.tension.values())
        ok &= all((P / apart + couple) / 2 / cap[0] + bent <= 1 + 1e-6 for cap in one.compression.values())
    return bool(ok)


def steel_by_the_standard(q, D, rows, n, s, gauge, t, w, plate_end, end):
    """Plate strengths one at a time, through the scalar door of the steel standard (its own tests hold its values)."""
    from detailgen.standards.interface import PlateLayouts

    a = [np.array([v], dtype=float) for v in (t, w, D, D + 1 / 16, rows, n, s, gauge, plate_end, q.gap + 2 * end)]
    return STEEL.plate_values(PlateLayouts(36000.0, 58000.0, *a))


@pytest.mark.parametrize(("plates_per_face", "step"), [(1, 37), (2, 11)])
def test_the_feasible_set_is_that_of_a_plain_loop(plates_per_face: int, step: int) -> None:
    q = question(plates_per_face=plates_per_face)
    full = grid(q)
    thin = full.take(np.arange(0, len(full.diameter), step))
    answer = evaluate(q, thin, WOOD, STEEL)
    rows = zip(*(getattr(thin, name) for name in thin.__dataclass_fields__), strict=True)
    hand = [by_hand(q, D, int(r), int(n), s, g, e, t, w, pe) for D, r, n, s, g, e, t, w, pe in rows]
    assert answer.feasible.tolist() == hand
    assert 20 < sum(hand) < len(hand) - 20


def test_the_grid_is_what_a_loop_would_write() -> None:
    q = question()
    layouts = grid(q)
    wanted = sum(
        len(np.arange(max(math.ceil(3 * D / 0.5 - 1e-9) * 0.5, 0), p.shop("US").greatest_spacing + 1e-9, 0.5)) * len(p.PER_ROW)
        for D, rows, t, w in itertools.product(p.DIAMETERS, (2, 3), p.shop("US").thicknesses, p.shop("US").widths)
        for gauge in p.shop("US").gauges[rows]
        if (rows - 1) * gauge + 2 * D <= w <= 9.5
    )
    assert len(layouts.diameter) == wanted > 20000


@pytest.mark.parametrize("arrangement", p.ARRANGEMENTS, ids=lambda a: a.key)
@pytest.mark.parametrize("order", list(p.ORDERS))
def test_the_winner_is_the_least_by_its_order(arrangement: p.Arrangement, order: str) -> None:
    q = question(arrangement)
    if arrangement is ALONE:  # a block as thick as one ply and a half does not carry what two plies do
        q = question(arrangement, demand=replace(DEMAND, axial=0.6 * DEMAND.axial, moment=0.6 * DEMAND.moment))
    answer = evaluate(q, grid(q), WOOD, STEEL)
    k = best(q, answer, order)
    assert k is not None
    keys = measures(q, answer.layouts)
    columns = np.column_stack([keys[name] for name in p.ORDERS[order]])
    feasible = columns[answer.feasible]
    assert tuple(columns[k]) == min(map(tuple, feasible))
    assert answer.feasible[k]
    assert answer.ratio[k] <= 1.0 + 1e-6


def test_no_layout_in_too_little_room_names_the_nearest_miss() -> None:
    q = question(room=9.0)
    answer = evaluate(q, grid(q), WOOD, STEEL)
    assert best(q, answer, "fewest bolts") is None
    index, rule, short = nearest_miss(q, answer)
    worst = np.max(np.stack(list(answer.violations.values())), axis=0)
    assert short == pytest.approx(worst.min(), abs=1e-6)
    assert short > 0
    assert answer.violations[rule][index] == pytest.approx(short, abs=1e-6)


def test_sizes_may_not_shrink_when_told() -> None:
    free = question()
    answer = evaluate(free, grid(free), WOOD, STEEL)
    first = answer.layouts.take(best(free, answer, "fewest bolts"))
    bound = question(least={"bolts": float(first.bolts[0]) + 2, "diameter": 0.75})
    held = evaluate(bound, grid(bound), WOOD, STEEL)
    second = held.layouts.take(best(bound, held, "fewest bolts"))
    assert second.bolts[0] >= first.bolts[0] + 2
    assert second.diameter[0] >= 0.75


# The trade's four arrangements at one 3/4 in. bolt, two 2-1/2 in. plies, 1/4 in. plates, Douglas Fir-Larch, C_D 1.0: lb for both plies.
# Common practice, no published source; recomputed from the yield equations of NDS 2018 12.3.1.
@pytest.mark.parametrize(
    ("arrangement", "block", "value"), [(OUTER, 3.0, 2530), (BOTH_FACES, 3.0, 5250), (BLOCK, 3.0, 5060), (BLOCK, 2.5, 4830)]
)  # fmt: skip
def test_values_of_the_arrangements(arrangement: p.Arrangement, block: float, value: float) -> None:
    from detailgen.remedies.splice.search import as_splice

    one = Layouts(*(np.array([v]) for v in (0.75, 1.0, 1.0, 6.0, 0.0, 10.0, 0.25, 7.0, 1.25)))
    asked = question(arrangement, block_thickness=block, demand=replace(DEMAND, axial=np.array([1.0])))
    values = WOOD.splice_values(as_splice(asked, one, "ten years"))
    assert round(2 * float(values.capacities["bolts"][0]), -1) == value


def test_kept_values_of_the_whole_grid_are_those_computed_afresh() -> None:
    for duration in ("snow", "construction"):
        q = question(demand=replace(DEMAND, durations=(duration,) * 4))
        kept, afresh = evaluate(q, grid(q), WOOD, STEEL), evaluate(q, grid(q).take(np.arange(len(grid(q).diameter))), WOOD, STEEL)
        assert np.array_equal(kept.ratio, afresh.ratio)
        assert np.array_equal(kept.feasible, afresh.feasible)


@pytest.mark.parametrize("arrangement", p.ARRANGEMENTS, ids=lambda a: a.key)
def test_what_holds_is_what_violates_no_rule(arrangement: p.Arrangement) -> None:
    """The search leaves out what breaks a distance before it works out ratios; asked rule by rule every layout gives the same answer."""
    share = 0.3 if arrangement.second else 1.0
    demand = replace(DEMAND, axial=share * DEMAND.axial, moment=share * DEMAND.moment, shear=share * DEMAND.shear)
    q = question(arrangement, demand=demand, room=30.0, most_lost=1.7, least={"bolts": 8.0, "diameter": 0.625}, block_thickness=3.5)
    answer = evaluate(q, grid(q), WOOD, STEEL)
    worst = np.max(np.stack(list(answer.violations.values())), axis=0)
    assert 0 < answer.feasible.sum() < len(worst)
    assert np.array_equal(answer.feasible, worst <= 0)


@pytest.mark.parametrize("system", ["US", "SI"])
def test_the_grid_holds_what_is_stocked_and_made(system: str) -> None:
    """Sizes come from the stock tables, positions and lengths from the shop's grids: 1/16 and 1/4 in., or 1 and 5 mm (ARCHITECTURE, rule 8)."""
    shop = p.shop(system)
    unit, holes, lengths = (1.0, 1 / 16, 1 / 4) if system == "US" else (25.4, 1.0, 5.0)
    assert all(any(abs(t - s) < 1e-9 for s in plate_thicknesses(system)) for t in shop.thicknesses)
    assert all(any(abs(w - s) < 1e-9 for s in flat_bar_widths(system)) for w in shop.widths)
    assert set(p.DIAMETERS) <= set(diameters())
    layouts = grid(question(system=system))
    for name, step in (("spacing", holes), ("end", holes), ("plate_end", lengths)):
        in_steps = getattr(layouts, name) * unit / step
        assert np.abs(in_steps - np.round(in_steps)).max() < 1e-6, name


def test_two_plates_on_a_face_hold_the_moment_as_a_couple() -> None:
    """Statics: force N and moment M of a ply on two faces of two plates, gauge g apart, are N/4 + M/2g and N/4 - M/2g."""
    q = question(plates_per_face=2)
    answer = evaluate(q, grid(q), WOOD, STEEL)
    k = best(q, answer, "fewest bolts")
    assert k is not None
    chosen = Chosen(q, answer.layouts.take(k), Site("S", "T", "chord", ("near",), 0.0, 6.0, "a test"), Member("chord", "bottom chord", (), ()))
    asked: list[PlateRequest] = []
    steel = SimpleNamespace(plate_checks=lambda request: asked.append(request) or [])
    plate_results(SimpleNamespace(steel=steel), chosen.site, chosen, {"near": DEMAND})
    lower, upper = asked
    gauge = chosen.layout.one("gauge")
    assert lower.where.startswith("lower")
    assert lower.axial == pytest.approx(DEMAND.axial / 4 + DEMAND.moment / (2 * gauge))
    assert upper.axial == pytest.approx(DEMAND.axial / 4 - DEMAND.moment / (2 * gauge))
    for request in asked:
        assert not request.moment.any()
        assert (request.bolts[:, 1] == 0).all()
        assert len(request.bolts) == chosen.layout.one("per_row")


def test_both_methods_in_one_run_keep_their_values_apart() -> None:
    """What is kept of a whole grid is of one method: by strength (factored loads half as large again) other values count."""
    strong, steel = by_method(WOOD, STRENGTH), by_method(STEEL, STRENGTH)
    asked = question()
    factored = replace(asked, demand=replace(DEMAND, axial=1.5 * DEMAND.axial, moment=1.5 * DEMAND.moment, shear=1.5 * DEMAND.shear))
    first, second, again = (evaluate(q, grid(q), w, s) for q, w, s in ((asked, WOOD, STEEL), (factored, strong, steel), (asked, WOOD, STEEL)))
    np.testing.assert_array_equal(first.ratio, again.ratio)
    assert not np.allclose(first.ratio, second.ratio, rtol=1e-4)
    alone = evaluate(factored, grid(factored).take(np.arange(50)), strong, steel)
    np.testing.assert_allclose(alone.ratio, second.ratio[:50], rtol=1e-12)
