"""One mark for each distinct piece: turned round, or over where nothing makes it handed (common practice of shops, no published source)."""

from __future__ import annotations

import math
import random
from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st
from splice_fixture import splice_detail

from detailgen.model.detail import Hole, Part, Placement, Slot, Timber, Vertex
from detailgen.model.marks import opposite_hands, register, signature
from detailgen.model.package import Marked

TICK = 1 / 16


def plate(seed: int) -> Part:
    """A plate on the shop's grid without any symmetry: skewed outline with one round corner, holes, a slot."""
    draw = random.Random(seed)
    size = draw.randint(8, 30)
    outline = (
        Vertex(0, 0), Vertex(size, 0, math.tan(math.pi / 8)), Vertex(size + 1, 1), Vertex(size + 1, draw.randint(5, 8)),
        Vertex(draw.randint(1, 3), 9),
    )  # fmt: skip
    holes = tuple(Hole(2 + draw.randint(0, 40) * TICK, 2 + k + draw.randint(0, 8) * TICK, 13 / 16, "B1") for k in range(draw.randint(1, 4)))
    slots = (Slot(6 + draw.randint(0, 8) * TICK, 3.0, 2.0, 11 / 16, 0.3, ""),)
    return Part("p", "plate", "plate", outline, holes, slots, 0.25, Placement(0, 0, 0), "steel", "ASTM A36", math.nan, False, 0.28)


def moved(part: Part, turn: float, x: float, y: float, *, over: bool, seed: int) -> Part:
    """The same piece in other axes, its corners counted from another one, its holes in another order."""
    c, s, f = math.cos(turn), math.sin(turn), -1.0 if over else 1.0

    def at(px: float, py: float) -> tuple[float, float]:
        return x + c * px - s * f * py, y + s * px + c * f * py

    v = list(part.outline)
    corners = [Vertex(*at(p.x, p.y), p.bulge) for p in v]
    if over:  # counter-clockwise again: each arc belongs to the corner from which it is now walked
        corners = [replace(corners[-k], bulge=v[-k - 1].bulge) for k in range(len(v))]
    draw = random.Random(seed)
    k = draw.randrange(len(corners))
    holes = [replace(h, x=at(h.x, h.y)[0], y=at(h.x, h.y)[1]) for h in part.holes]
    draw.shuffle(holes)
    slots = tuple(replace(o, x=at(o.x, o.y)[0], y=at(o.x, o.y)[1], angle=turn + f * o.angle) for o in part.slots)
    grain = part.grain if part.material == "steel" else turn + f * part.grain
    return replace(part, outline=tuple(corners[k:] + corners[:k]), holes=tuple(holes), slots=slots, grain=grain)


seeds = st.integers(0, 10_000)


@settings(max_examples=150)
@given(seeds, st.floats(-7, 7), st.floats(-50, 50), st.floats(-50, 50), st.booleans(), seeds)
def test_a_plate_in_any_axes_is_one_mark(seed, turn, x, y, over, other):
    part = plate(seed)
    assert signature(moved(part, turn, x, y, over=over, seed=other)) == signature(part)


@settings(max_examples=100)
@given(seeds, st.sampled_from([k * math.pi / 2 for k in range(4)]), seeds)
def test_handed_parts_and_timbers_are_turned_round_but_not_over(seed, turn, other):
    for part in (replace(plate(seed), handed="weld on one face"), replace(plate(seed), material="wood", grain=0.2, kind="sister")):
        assert signature(moved(part, turn, 3.0, -2.0, over=False, seed=other)) == signature(part)
        assert signature(moved(part, turn, 3.0, -2.0, over=True, seed=other)) != signature(part)


@settings(max_examples=100)
@given(seeds, st.integers(0, 7), st.sampled_from([-1, 1]))
def test_what_differs_by_a_sixteenth_is_another_mark(seed, which, way):
    part = plate(seed)
    step = way * TICK
    hole = part.holes[0]
    others = (
        replace(part, holes=(replace(hole, x=hole.x + step / 2, y=hole.y + step), *part.holes[1:])),
        replace(part, holes=(replace(hole, diameter=hole.diameter + step / 4), *part.holes[1:])),
        replace(part, holes=part.holes[1:]),
        replace(part, thickness=part.thickness + abs(step)),
        replace(part, outline=tuple(replace(v, x=v.x + step) if k == 4 else v for k, v in enumerate(part.outline))),
        replace(part, slots=(replace(part.slots[0], angle=part.slots[0].angle + 0.05),)),
        replace(part, finish="painted"),
        replace(part, holes=(replace(hole, template="other"), *part.holes[1:])),  # this one is drilled on site
    )
    assert signature(others[which]) != signature(part)


def test_grain_and_what_is_ordered_tell_timbers_apart():
    block = splice_detail().part("filler-right")
    assert signature(replace(block, grain=math.pi / 2)) != signature(block)
    assert signature(replace(block, grain=math.pi)) == signature(block)  # grain has no sense
    assert signature(replace(block, timber=Timber("glulam", camber=0.5))) != signature(replace(block, timber=Timber("glulam")))


def test_opposite_hands_are_two_marks_that_name_each_other():
    detail = splice_detail()
    right = replace(plate(3), key="right", handed="bevelled edge")
    left = replace(moved(right, 0.4, 1.0, 2.0, over=True, seed=1), key="left")
    again = replace(moved(right, 2.0, 0.0, 0.0, over=False, seed=2), key="again")
    marks, _ = register([replace(detail, parts=(right, left, again))], {})
    assert [(m.mark, m.quantity) for m in marks] == [("PL-1", 2), ("PL-2", 1)]
    assert opposite_hands(marks) == {"PL-1": "PL-2", "PL-2": "PL-1"}
    plain = [Marked("PL-1", plate(3), (("a", "b"),))]
    assert opposite_hands(plain) == {}


@given(st.lists(seeds, min_size=1, max_size=6), seeds)
def test_one_mark_for_each_distinct_piece_of_the_project(chosen, seed):
    """Quantities add up, whatever the axes in which each piece was written."""
    draw = random.Random(seed)
    pieces = [
        replace(moved(plate(s % 5), draw.uniform(0, 6), 0.0, 0.0, over=draw.random() < 0.5, seed=k), key=f"p{k}") for k, s in enumerate(chosen)
    ]
    marks, book = register([replace(splice_detail(), parts=tuple(pieces))], {})
    assert sum(m.quantity for m in marks) == len(chosen)
    assert len(marks) == len({s % 5 for s in chosen}) == len(book)


def test_a_square_plate_turned_by_a_quarter_is_the_same():
    square = replace(
        plate(1), outline=(Vertex(0, 0), Vertex(6, 0), Vertex(6, 6), Vertex(0, 6)), holes=(Hole(1.5, 2.0, 0.8125, ""),), slots=()
    )
    turned = replace(square, holes=(Hole(4.0, 1.5, 0.8125, ""),))  # (x, y) goes to (6 - y, x)
    assert signature(turned) == signature(square)
    assert signature(replace(square, holes=(Hole(4.5, 1.5, 0.8125, ""),))) != signature(square)
