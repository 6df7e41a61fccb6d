"""Values of many splice layouts at once are those of the single check of the same bolts; and a hand value of one layout."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from nds_connection_requests import DFL, HEM_FIR, checks, grid, member, only, plate, wood_side

from detailgen.core.errors import NotCovered
from detailgen.standards.interface import OFF_MIDDLE, SpliceLayouts, WoodGrade
from detailgen.standards.nds_2018 import STANDARD

GLULAM = WoodGrade("glulam", "Douglas Fir-Larch", "24F-V4")
PLY, DEPTH, PLATE, WIDTH = 2.5, 9.25, 0.25, 6.0


def layouts(*rows, faces="two steel", wood=DFL, block=0.0, block_wood=None, tension=True, compression=False, root=None, duration="ten years"):
    """Layouts from (diameter, rows, per row, spacing, gauge, end)."""
    D, lines, per_row, spacing, gauge, end = (np.array(c, dtype=float) for c in zip(*rows, strict=True))
    many = np.full(D.shape, 1.0)
    return SpliceLayouts(
        wood, PLY, DEPTH, faces, block, block_wood, D, D if root is None else many * root, lines, per_row, spacing, gauge, end,
        many * PLATE, many * WIDTH, 87000.0, 45000.0, duration, tension, compression,
    )  # fmt: skip


ONE = (0.75, 2, 3, 3.0, 3.0, 5.25)
TIGHT = (0.75, 2, 3, 2.5, 3.0, 4.0)
SINGLE = (0.625, 1, 1, 2.5, 0.0, 5.0)
CASES = [ONE, TIGHT, SINGLE, (1.0, 1, 4, 4.0, 0.0, 7.0), (0.5, 3, 2, 2.0, 2.0, 3.5)]


def single_check(row, faces="two steel", wood=DFL):
    D, rows, per_row, spacing, gauge, end = row
    across = [(k - (rows - 1) / 2) * gauge for k in range(int(rows))]
    bolts = grid(end, spacing, int(per_row), across)
    ply = member(thickness=PLY, bolts=bolts, half_depth=DEPTH / 2, wood=wood)
    steel = plate(bolts=bolts, thickness=PLATE)
    return checks(*([steel, ply, steel] if faces == "two steel" else [steel, ply]), diameter=D)


@pytest.mark.parametrize("wood", [DFL, HEM_FIR, GLULAM, replace(DFL, wet=True)], ids=["DFL", "HF", "glulam", "wet"])
@pytest.mark.parametrize("faces", ["two steel", "one steel"])
def test_the_same_as_the_single_check(faces, wood):
    many = STANDARD.splice_values(layouts(*CASES, faces=faces, wood=wood))
    for k, row in enumerate(CASES):
        single = single_check(row, faces, wood)
        for name, values in many.capacities.items():
            if name in ("one bolt across", OFF_MIDDLE) or math.isinf(values[k]):
                continue
            assert values[k] == pytest.approx(only(single, name).capacity, rel=1e-6), (name, row)
        assert many.modes[k] in ("I_m", "I_s", "II", "III_m", "III_s", "IV")
        for name, (least, provided) in many.least.items():
            if name in ("end distance", "edge distance") or (name == "spacing in a row" and row[2] > 1):
                found = only(single, name)
                assert (least[k], provided[k]) == pytest.approx((found.demand, found.capacity)), (name, row)


def test_a_single_row_has_no_group_tear_out():
    values = STANDARD.splice_values(layouts(SINGLE))
    assert math.isinf(values.capacities["group tear-out"][0])
    assert values.least["spacing in a row"][0][0] == 0.0
    assert values.least["row spacing"][0][0] == 0.0


def test_shorter_distances_cost_in_proportion():
    # 7 D = 5.25 in. and 4 D = 3 in. for the full value: spacing 2.5 in. gives 0.833, end 4.0 in. 0.762; the lesser counts (12.5.1.2).
    full, tight = (STANDARD.splice_values(layouts(r)) for r in (ONE, TIGHT))
    assert (full.full["end distance"][0], full.full["spacing in a row"][0]) == (5.25, 3.0)
    ends = [STANDARD.splice_values(layouts((0.75, 2, 3, 3.0, 3.0, e))).capacities["bolts"][0] for e in (5.25, 4.0, 8.0)]
    assert ends[1] / ends[0] == pytest.approx(4 / 5.25)
    assert ends[2] == ends[0]
    assert tight.capacities["bolts"][0] < ends[1] * 1.01


def test_compression_asks_for_the_shorter_end_and_both_for_the_longer():
    pushed, both = (STANDARD.splice_values(layouts(ONE, tension=t, compression=True)) for t in (False, True))
    assert pushed.full["end distance"][0] == 3.0
    assert pushed.least["end distance"][0][0] == 1.5
    assert both.full["end distance"][0] == 5.25
    assert "row tear-out" not in pushed.capacities
    assert "row tear-out" in both.capacities


def test_block_and_plate_share_the_lesser_plane():
    # A structural block of the ply's own wood: two planes, each worth the lesser of steel on wood and wood on wood (12.3.9).
    with_block = STANDARD.splice_values(layouts(ONE, faces="steel and wood", block=2.5, block_wood=DFL))
    steel_only = STANDARD.splice_values(layouts(ONE, faces="one steel"))
    bolts = ONE[1] * ONE[2]
    alone = single_check(ONE, "one steel")
    wood_to_wood = checks(member(thickness=PLY, bolts=grid(5.25, 3.0, 3, (-1.5, 1.5))), wood_side(bolts=grid(5.25, 3.0, 3, (-1.5, 1.5))))
    Z = [next(s.value for s in only(r, "bolts").steps if s.symbol.startswith("Z, mode")) for r in (alone, wood_to_wood)]
    C_g = next(s.value for s in only(alone, "bolts").steps if s.symbol == "C_g")
    assert steel_only.capacities["bolts"][0] == pytest.approx(bolts * Z[0] * C_g, rel=1e-5)
    assert 0.97 * bolts * 2 * min(Z) < with_block.capacities["bolts"][0] <= bolts * 2 * min(Z)


def test_group_action_of_plate_and_block_together_by_hand():
    from detailgen.standards.nds_2018.group_action import C_g

    values = STANDARD.splice_values(layouts(ONE, faces="steel and wood", block=2.5, block_wood=DFL))
    one_bolt = STANDARD.splice_values(layouts((0.75, 2, 1, 3.0, 3.0, 5.25), faces="steel and wood", block=2.5, block_wood=DFL))
    stiff = 29e6 * PLATE * WIDTH + 1.7e6 * 2.5 * DEPTH
    area = PLATE * WIDTH + 2.5 * DEPTH
    by_hand = float(C_g(3, 3.0, 0.75, 270000 * 0.75**1.5, 1.7e6, PLY * DEPTH, stiff / area, area))
    assert values.capacities["bolts"][0] / one_bolt.capacities["bolts"][0] / 3 == pytest.approx(by_hand, rel=1e-9)


def test_threads_in_the_plane_and_bolts_across_the_grain_carry_less():
    plain, thread = (STANDARD.splice_values(layouts(ONE, root=r)) for r in (None, 0.627))
    assert thread.capacities["bolts"][0] < plain.capacities["bolts"][0]
    # One bolt across the grain: by the ratio of Z, perpendicular over parallel, of the same two plates (hand calculation by 12.3).
    single = float(plain.capacities["one bolt across"][0])
    along = float(plain.capacities["bolts"][0]) / 6
    across = checks(*(plate(thickness=PLATE), member(thickness=PLY, angle=math.pi / 2, end=-50.0), plate(thickness=PLATE)))
    Z_across = next(s.value for s in only(across, "bolts").steps if s.symbol.startswith("Z, mode"))
    Z_along = next(s.value for s in only(single_check(ONE), "bolts").steps if s.symbol.startswith("Z, mode"))
    assert single / along == pytest.approx(Z_across / Z_along, rel=1e-6)


def test_outer_rows_and_slip_modulus():
    wide = STANDARD.splice_values(layouts((0.75, 3, 2, 3.0, 2.75, 5.25)))
    apart, limit = (float(v[0]) for v in wide.least["outer rows through steel"])
    assert (apart, limit) == (5.5, 5.0)
    assert STANDARD.splice_values(layouts(ONE, wood=GLULAM)).least["outer rows through steel"][1][0] == 10.0
    assert STANDARD.slip_modulus(0.75) == pytest.approx(270000 * 0.75**1.5)


def test_what_chapter_12_does_not_cover():
    with pytest.raises(NotCovered, match=r"over 1 in\."):
        STANDARD.splice_values(layouts((1.125, 1, 2, 4.5, 0.0, 8.0)))
    with pytest.raises(NotCovered, match="held by"):
        STANDARD.splice_values(layouts(ONE, faces="glue"))
    with pytest.raises(NotCovered):
        STANDARD.splice_values(layouts(ONE, faces="steel and wood"))
