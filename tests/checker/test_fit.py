"""Does it go together: a joint that does, and the same joint with one thing wrong at a time, told with parts, place and amount.

Plane geometry is checked against shapely (a general-purpose library); the sizes of washers and sockets are those of the stock tables.
"""

from __future__ import annotations

import math
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import shapely
import shapely.affinity
from hypothesis import example, given
from hypothesis import strategies as st

sys.path.insert(0, str(Path(__file__).parent.parent / "outputs"))

from detail_package import make_package
from splice_fixture import splice_detail

from detailgen.checker.fit import fits, judge_fit
from detailgen.checker.fit.bodies import Body, Round, convex_pieces, distance_to, hull, overlap, round_overlap
from detailgen.core.result import CheckResult, State
from detailgen.model.detail import Detail, Hole, Placement, Slot, Vertex
from detailgen.model.member import Bolts, Connection
from detailgen.model.project import Access

BRINGS = (("filler-right", "filler-left"), ("plate-near",), ("plate-inner",), ())


def sound() -> Detail:
    return replace(splice_detail(), brings=BRINGS, station=300.0)


def judged(detail: Detail, access: Access | None = None, change_truss=lambda t: t) -> list[CheckResult]:
    package = make_package(detail=detail)
    one = package.trusses[0]
    before = replace(one.before, truss=change_truss(replace(one.before.truss, splices=())))
    one = replace(one, before=before)
    package = replace(package, trusses=(one,), project=replace(package.project, access=access))
    return judge_fit(one, detail, package)


def bad(results: list[CheckResult]) -> list[CheckResult]:
    return [r for r in results if r.state is not State.PASSES]


def part_changed(detail: Detail, key: str, **changes) -> Detail:
    return replace(detail, parts=tuple(replace(p, **changes) if p.key == key else p for p in detail.parts))


def bolt_changed(detail: Detail, **changes) -> Detail:
    return replace(detail, bolts=(replace(detail.bolts[0], **changes), *detail.bolts[1:]))


def test_a_sound_joint_fits():
    results = judged(sound(), Access(144, 120, 60, 60, 96, 36))
    assert bad(results) == []
    checks = " ".join(r.check for r in results)
    for words in ("a hole with room", "open gaps", "two threads", "thread reaches", "washers whole", "socket", "washers beside", "no part through",
                  "a straight way in from below", "a straight way in from the near side", "weight", "withdraw", "drill"):  # fmt: skip
        assert words in checks
    assert fits(results)


def test_a_hole_out_of_place_is_told_with_its_amount():
    part = sound().part("plate-inner")
    holes = (replace(part.holes[0], x=part.holes[0].x + 0.1), *part.holes[1:])
    (fault,) = bad(judged(part_changed(sound(), "plate-inner", holes=holes)))
    assert "plate-inner" in fault.where
    assert fault.capacity == pytest.approx(1 / 32 - 0.1)  # 1/32 in. of room all round, less a tenth


def test_a_missing_hole_and_a_hole_too_many():
    part = sound().part("plate-inner")
    faults = bad(judged(part_changed(sound(), "plate-inner", holes=part.holes[1:])))
    assert any("no hole for bolt B1" in f.check for f in faults)
    extra = part_changed(sound(), "plate-inner", holes=(*part.holes, Hole(0.0, 0.0, 0.8125, "B1")))
    assert [f.check for f in bad(judged(extra))] == ["no bolt in the hole at (0, 0) in of the part"]


def test_a_slot_leaves_room_along_itself_only():
    part = sound().part("plate-near")
    first = part.holes[0]
    slotted = part_changed(sound(), "plate-near", holes=part.holes[1:], slots=(Slot(first.x + 0.5, first.y, 2.0, 0.8125, 0.0, "B1"),))
    assert bad(judged(slotted)) == []
    across = part_changed(sound(), "plate-near", holes=part.holes[1:], slots=(Slot(first.x + 0.5, first.y, 2.0, 0.8125, math.pi / 2, "B1"),))
    assert any("plate-near" in f.where for f in bad(judged(across)))


def test_short_bolts_and_threads_that_do_not_reach():
    needed = next(r for r in judged(sound()) if "two threads" in r.check).demand
    fault = next(f for f in bad(judged(bolt_changed(sound(), length=needed - 0.25))))
    assert fault.demand - fault.capacity == pytest.approx(0.25, abs=1e-5)
    long = bad(judged(bolt_changed(sound(), length=16.0)))
    assert any("thread reaches under the nut" in f.check for f in long)


def test_a_bolt_may_not_cross_an_open_gap():
    detail = sound()
    without = replace(detail, parts=tuple(p for p in detail.parts if p.key != "filler-right"), brings=(("filler-left",), *BRINGS[1:]))
    fault = next(f for f in bad(judged(without)) if "open gap" in f.check)
    assert fault.demand == pytest.approx(detail.part("filler-right").thickness)


def test_a_washer_over_an_edge_and_two_washers_on_each_other():
    detail = sound()
    short = part_changed(detail, "plate-near", outline=tuple(replace(v, y=v.y * 0.68) for v in detail.part("plate-near").outline))
    fault = next(f for f in bad(judged(short)) if "washers whole on the face, near side" in f.check)
    assert fault.capacity < fault.demand == 1.0  # half of the 2 in. washer of a 3/4 in. bolt
    close = replace(detail, bolts=(*detail.bolts, replace(detail.bolts[0], x=detail.bolts[0].x + 1.5)))
    assert any("washers beside each other" in f.check and f.capacity == pytest.approx(1.5) for f in bad(judged(close)))


def test_two_parts_in_one_place():
    inner = sound().part("plate-inner")
    moved = part_changed(sound(), "plate-inner", placement=replace(inner.placement, z=inner.placement.z - 0.125))
    clashes = [f for f in bad(judged(moved)) if "runs into" in f.check]
    assert len(clashes) == 2  # both fillers
    assert all(f.capacity == pytest.approx(-0.125) for f in clashes)


def test_new_work_into_an_old_web_and_its_bolts():
    """The web L4-U4 stands at 360 in., between the plies; a splice whose filler reaches it does not fit."""
    results = judged(replace(sound(), station=345.0))
    assert any("filler block" in f.where and f.check.startswith("runs into L4-U4 at (") for f in bad(results))
    assert any("shank of bolt B1" in f.where and f.check == "runs into L4-U4" for f in bad(results))


def test_an_old_bolt_head_under_a_new_plate():
    def with_bolt(truss):
        bolt = Connection("old", "bottom chord", "L0", Bolts(0.75, ((300.0, 0.0),), 45000.0), 0.0)
        return replace(truss, connections=(*truss.connections, bolt))

    faults = bad(judged(sound(), change_truss=with_bolt))
    # The hand-made truss's chord ends at z = 2.25 in., so the bolt passes the inner plate (z from 1.5 in.) and ends before the outer one (4.25 in.).
    assert ["plate-inner" in f.where for f in faults] == [True] * len(faults)
    told = next(f for f in faults if f.check == "runs into the old bolt of bottom chord at L0 at (0, 0) in")
    assert told.capacity == pytest.approx(-0.75)  # the least way out: along the bolt, beyond its end


@pytest.mark.parametrize(("across", "hits"), [(-2.2, True), (-1.5, True), (-1.2, False), (0.5, False), (2.2, False), (1.5, False)])
def test_an_old_bolt_beside_a_new_one(across: float, hits: bool):
    """The first bolt of the fixture stands 2 in. under the axis: a 3/4 in. old bolt at its station, less than 3/4 in. from it, is in its way."""
    first = min((b.x, b.y) for b in sound().bolts)

    def with_bolt(truss):
        bolt = Connection("old", "bottom chord", "L0", Bolts(0.75, ((300.0 + first[0], across),), 45000.0), 0.0)
        return replace(truss, connections=(*truss.connections, bolt))

    only_first = replace(sound(), bolts=tuple(b for b in sound().bolts if (b.x, b.y) == first))
    faults = [f for f in bad(judged(only_first, change_truss=with_bolt)) if "runs into old bolt" in f.check]
    assert bool(faults) == hits


def test_an_old_bolt_on_the_very_axis_of_a_new_one_is_no_other_bolt():
    """A new bolt may take the hole of an old one."""
    first = min((b.x, b.y) for b in sound().bolts)

    def with_bolt(truss):
        bolt = Connection("old", "bottom chord", "L0", Bolts(0.75, ((300.0 + first[0], first[1]),), 45000.0), 0.0)
        return replace(truss, connections=(*truss.connections, bolt))

    assert not [f for f in bad(judged(sound(), change_truss=with_bolt)) if "runs into old bolt" in f.check]


def test_what_cannot_be_brought_in():
    detail = sound()
    filler = detail.part("filler-right")
    closed = tuple(
        replace(filler, key=f"filler-lid-{k}", outline=(Vertex(0, y0), Vertex(20, y0), Vertex(20, y1), Vertex(0, y1)), holes=(), placement=replace(
            filler.placement, x=filler.placement.x - 1))
        for k, (y0, y1) in enumerate(((-5.75, -4.0), (4.0, 5.75)))
    )  # fmt: skip
    shut = (("filler-lid-1", "filler-lid-0", "filler-right", "filler-left"), *BRINGS[1:])
    (fault,) = bad(judged(replace(detail, parts=(*detail.parts, *closed), brings=shut)))
    assert "filler-right" in fault.where
    assert "a straight way in as number 3" in fault.check
    assert "stands in it" in fault.check
    above_last = (("filler-right", "filler-left", "filler-lid-0", "filler-lid-1"), *BRINGS[1:])  # a web stands over the upper lid
    assert ["filler-lid-1" in f.where for f in bad(judged(replace(detail, parts=(*detail.parts, *closed), brings=above_last)))] == [True]
    below_last = (("filler-lid-1", "filler-right", "filler-left", "filler-lid-0"), *BRINGS[1:])
    assert bad(judged(replace(detail, parts=(*detail.parts, *closed), brings=below_last))) == []


def test_an_order_that_names_not_every_part_cannot_be_judged():
    (fault,) = bad(judged(replace(sound(), brings=BRINGS[:2])))
    assert fault.state is State.CANNOT_BE_CHECKED
    assert "plate-inner" in fault.missing


@pytest.mark.parametrize(
    ("access", "words"),
    [
        (Access(longest=30), "length"), (Access(heaviest=10), "weight"), (Access(near=12), "withdraw"), (Access(near=20), "drill"),
        (Access(below=10), "room from below"), (Access(near=3), "room from the near side"),
    ],
)  # fmt: skip
def test_access_that_is_too_small(access: Access, words: str):
    faults = bad(judged(sound(), access))
    assert any(words in f.check for f in faults)
    assert all(f.capacity < f.demand for f in faults)


def test_without_a_survey_of_the_access_nothing_is_said_of_it():
    assert not any("access" in r.check or "room to" in r.check or "weight" in r.check for r in judged(sound()))


polygons = st.lists(st.tuples(st.integers(-40, 40), st.integers(-40, 40)), min_size=3, max_size=9).map(
    lambda points: hull([(x / 4, y / 4) for x, y in points])
).filter(lambda p: len(p) > 2)  # fmt: skip


@given(polygons, polygons)
def test_overlap_is_what_shapely_says(a, b):
    one, two = Body("a", tuple(a), 0, 2), Body("b", tuple(b), 1, 3)
    shared = shapely.Polygon(a).intersection(shapely.Polygon(b)).area
    depth = overlap(one, two)
    if shared > 0.05:
        assert 0 < depth <= 1

        def left(way: float) -> float:
            """What they share, at least, once one has moved by that much in some direction."""
            turns = np.linspace(0, math.tau, 73)
            moved = [shapely.affinity.translate(shapely.Polygon(b), way * math.cos(t), way * math.sin(t)) for t in turns]
            return min(shapely.Polygon(a).intersection(m).area for m in moved)

        if depth < 1:  # else the way out is through the thickness
            assert left(depth) < shared
            assert left(depth / 2) > 0
    elif shared == 0:
        assert depth == 0


@example([(0.0, 0.25), (0.25, 0.0), (0.0, 0.5)], 0.0, -3.3e-266)  # next to nothing below a corner
@given(polygons, st.floats(-12, 12), st.floats(-12, 12))
def test_distance_is_what_shapely_says(a, x, y):
    away = distance_to(Body("a", tuple(a), 0, 1), x, y)
    polygon, point = shapely.Polygon(a), shapely.Point(x, y)
    edge = polygon.exterior.distance(point)
    assert abs(away) == pytest.approx(edge, abs=1e-9)
    if edge > 1e-9:
        assert (away < 0) == polygon.contains(point)


@given(st.integers(3, 24), st.randoms(use_true_random=False))
def test_convex_pieces_cover_any_star(count, random):
    angles = sorted({random.randrange(0, 3600) for _ in range(count)})
    if len(angles) < 3 or max(np.diff([*angles, angles[0] + 3600])) >= 1750:
        return
    star = [(r * math.cos(math.radians(t / 10)), r * math.sin(math.radians(t / 10))) for t in angles for r in (random.uniform(1, 9),)]
    pieces = [shapely.Polygon(p) for p in convex_pieces(star)]
    assert sum(p.area for p in pieces) == pytest.approx(shapely.Polygon(star).area)
    assert shapely.union_all(pieces).area == pytest.approx(shapely.Polygon(star).area)


def test_cylinders_touch_and_run_into_each_other():
    a = Round("a", 0, 0, 1, 0, 1)
    assert round_overlap(a, Round("b", 2, 0, 1, 0, 1)) == 0
    assert round_overlap(a, Round("b", 1.75, 0, 1, 0, 1)) == pytest.approx(0.25)
    assert round_overlap(a, Round("b", 1.75, 0, 1, 1, 2)) == 0
    wall = Body("w", ((0.5, -5), (5, -5), (5, 5), (0.5, 5)), 0.9, 3)
    assert round_overlap(a, wall) == pytest.approx(0.1)
    assert round_overlap(replace(a, high=5), wall) == pytest.approx(0.5)


def test_a_turned_part_is_where_its_placement_says():
    detail = part_changed(sound(), "filler-left", placement=Placement(-11.0, 0.0, -1.75, math.pi))
    assert any("filler-left" in f.where for f in bad(judged(detail)))  # moved, so its holes miss the bolts
