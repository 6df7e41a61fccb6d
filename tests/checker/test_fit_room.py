"""Room at a joint: sockets, drills, bolts on their way, old bolts' heads, jacks and what is brought in; each broken by one thing in its way.

Sizes of sockets and washers are those of the stock tables; envelopes of drill and jack are stated in the code (common practice, no published source).
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely
from detail_package import make_package
from hypothesis import given
from test_fit import bad, judged, part_changed, polygons, sound

from detailgen.checker.fit import judge_fit
from detailgen.checker.fit.bodies import Body, middle_of, overlap, shared
from detailgen.checker.fit.jacks import NEARBY
from detailgen.core.clause import Cite
from detailgen.core.result import CheckResult, State
from detailgen.model.assessment import Shore, StagedWork
from detailgen.model.detail import Vertex
from detailgen.model.member import Bolts, Connection, Member, Ply
from detailgen.model.project import Access
from detailgen.model.shores import BLOCK, HIGH
from detailgen.stock.bolts import wrench_room

FIRST = min((b.x, b.y) for b in sound().bolts)


def old_bolt(x: float, y: float, diameter: float = 0.75):
    """An old bolt of the bottom chord at a place of the joint."""

    def added(truss):
        bolt = Connection("old", "bottom chord", "L0", Bolts(diameter, ((300.0 + x, y),), 45000.0), 0.0)
        return replace(truss, connections=(*truss.connections, bolt))

    return added


def wide_plies(truss):
    """The hand-made truss with the plies of the hand-made joint: outer faces at 4.25 in."""
    plies = tuple(replace(p, thickness=2.5, z=3.0 if p.z > 0 else -3.0) for p in truss.members[0].plies)
    return replace(truss, members=(replace(truss.members[0], plies=plies), *truss.members[1:]))


def board(x: float, y: float, z: float):
    """A board of 4 in. that crosses the truss in front of or behind it, its middle at a place of the joint."""

    def added(truss):
        wood = truss.members[0].plies[0].wood
        joints = {**truss.joints, "P": (300.0 + x, y - 40.0), "Q": (300.0 + x, y + 40.0)}
        member = Member("board", "web", ("P", "Q"), (Ply("only", 1.0, 4.0, z, wood),))
        return replace(truss, joints=joints, members=(*truss.members, member))

    return added


def without_webs(truss):
    return replace(truss, members=truss.members[:2], connections=tuple(c for c in truss.connections if c.member in ("bottom chord", "top chord")))


def both(*changes):
    def added(truss):
        for change in changes:
            truss = change(truss)
        return truss

    return added


def checks(results, words: str) -> list:
    return [r for r in results if words in r.check]


@pytest.mark.parametrize(("away", "fits"), [(0.02, True), (-0.02, False)])
def test_a_socket_needs_its_room_beside_an_old_head(away: float, fits: bool):
    """The old bolt stands beside the plate, its head as wide over corners as 1.5 diameters over flats make it."""
    head = 1.5 * 0.75 / 3**0.5
    last = max((b.x, b.y) for b in sound().bolts)
    detail = sound()
    plate = detail.part("plate-near")
    # A plate that is cut back to the bolts' last column, so that the old head is not under it but beside it.
    short = part_changed(detail, "plate-near", outline=tuple(replace(v, x=min(v.x, last[0] + 1.0)) for v in plate.outline))
    gap = wrench_room(0.75) + head + away
    results = judged(short, change_truss=both(wide_plies, old_bolt(last[0] + gap, last[1])))
    (near,) = checks(results, "room for a socket, near side")
    assert (near.state is State.PASSES) == fits
    if not fits:
        assert "near end of old bolt of bottom chord at L0" in near.check
        assert near.demand - near.capacity == pytest.approx(0.02)


def test_an_old_head_under_a_new_plate_is_told_with_its_place():
    results = bad(judged(sound(), change_truss=both(wide_plies, old_bolt(5.0, 3.0))))
    told = [r for r in results if "plate-near" in r.where and r.check.startswith("runs")]
    assert [r.check for r in told] == ["runs into the near end of old bolt of bottom chord at L0 at (5, 3) in"]
    assert told[0].capacity == pytest.approx(-0.25)


def test_a_hole_lets_an_old_head_through():
    detail = sound()
    hole = replace(detail.part("plate-near").holes[0], x=5.0, y=3.0, diameter=1.5, bolt="")
    for key in ("plate-near", "plate-inner"):
        detail = part_changed(detail, key, holes=(*detail.part(key).holes, hole))
    results = bad(judged(detail, change_truss=both(wide_plies, old_bolt(5.0, 3.0))))
    assert not [r for r in results if "runs into the" in r.check]
    small = part_changed(detail, "plate-near", holes=(*sound().part("plate-near").holes, replace(hole, diameter=1.25)))
    assert [r for r in bad(judged(small, change_truss=both(wide_plies, old_bolt(5.0, 3.0)))) if "runs into the near end" in r.check]


@pytest.mark.parametrize(("z", "what"), [(12.0, {"bolt", "drill"}), (16.0, {"drill"}), (20.0, {"drill"}), (21.1, set()), (-20.0, set())])
def test_what_stands_before_a_bolt(z: float, what: set[str]):
    """The bolts' heads bear at 4.5 in., the bolts are 10 in. long, a drill needs 14 in. beyond 2 in. before the plate."""
    faults = bad(judged(sound(), change_truss=board(FIRST[0], 0.0, z)))
    told = {"bolt" if "goes in and comes out" in f.check else "drill" for f in faults if "board stands in it" in f.check}
    assert told == what
    if what:
        assert any(f"bolt B1 at ({FIRST[0]:g}, {FIRST[1]:g}) in" in f.where for f in faults)


@pytest.mark.parametrize(("beside", "hits"), [(3.4, True), (3.6, False)])
def test_a_drill_has_a_width(beside: float, hits: bool):
    """Its side is 1-1/2 in. from its axis, the board's edge 2 in. from its own."""
    outer = max(b.x for b in sound().bolts)
    faults = bad(judged(sound(), change_truss=board(outer + beside, 0.0, 16.0)))
    assert any("room for the drill" in f.check for f in faults) == hits


def test_an_old_bolt_across_the_gap_stops_what_is_slid_in():
    """Below the filler's place a bolt crosses from ply to ply; with the webs away it comes from above, unless a bolt is there too."""
    below = both(wide_plies, without_webs, old_bolt(12.0, -4.4, 0.5))
    results = judged(sound(), change_truss=below)
    (way,) = [r for r in results if "filler-right" in r.where and "straight way in" in r.check]
    assert "from above" in way.check
    shut = both(below, old_bolt(12.0, 4.4, 0.5))
    (fault,) = [r for r in bad(judged(sound(), change_truss=shut)) if "filler-right" in r.where]
    assert "old bolt of bottom chord at L0 stands in it" in fault.check


def test_old_bolts_that_are_drawn_for_the_work_are_in_nobodys_way():
    change = both(wide_plies, old_bolt(12.0, -4.4, 0.5), old_bolt(5.0, 3.0))
    assert bad(judged(sound(), change_truss=change))
    assert not bad(judged(replace(sound(), drawn=("bottom chord at L0",)), change_truss=both(change, without_webs)))
    assert bad(judged(replace(sound(), drawn=("bottom chord at L1",)), change_truss=both(change, without_webs)))


@given(polygons, polygons)
def test_pieces_near_a_box_are_enough(a, b):
    """What two bodies share does not change when only pieces near each other are compared; a star has many."""
    star = [p for k, q in enumerate(a) for p in (q, ((q[0] + a[(k + 1) % len(a)][0]) / 3, (q[1] + a[(k + 1) % len(a)][1]) / 3))]
    plan = shapely.Polygon(star)
    if not plan.is_valid or not plan.exterior.is_ccw or plan.area < 1:
        return
    one, two = Body("a", tuple(star), 0, 1), Body("b", tuple(b), 0, 1)
    shares = plan.intersection(shapely.Polygon(b)).area
    if shares > 0.05:
        assert overlap(one, two) > 0
    elif shares == 0:
        assert overlap(one, two) == 0


# Jacks.


def at_station(station: float, access: Access | None = None, **changes):
    return judged(replace(sound(), station=station, **changes), access)


def test_jacks_beside_a_splice_have_room():
    results = at_station(300.0, Access(below=96.0))
    where = [r.where for r in checks(results, "room for a jack")]
    assert where == ["T2-splice-near, jack at L3", "T2-splice-near, jack at L4"]  # at 270 and 360 in.; the plates reach from 279.75 to 320.25 in.
    assert bad(results) == []
    height = checks(results, "height under the chord")
    assert [(r.demand, r.capacity) for r in height] == [(HIGH, 96.0)] * 2


def test_low_headroom_leaves_no_height_for_a_jack():
    faults = bad(at_station(300.0, Access(below=24.0)))
    assert [(f.demand, f.capacity) for f in faults if "height under the chord" in f.check] == [(HIGH, 24.0)] * 2


def staged_fit(detail, *joints: str, change_truss=lambda t: t, block: float = 12.0):
    """What is said where the work in stages places the jacks, which may be elsewhere than the sheet asks."""
    package = make_package(detail=detail)
    one = package.trusses[0]
    truss = change_truss(replace(one.before.truss, splices=()))
    bears = CheckResult("", "", 1.0, 2.0, "psi", 0.5, State.PASSES, "", "", 0.0, Cite("hand", "made"))
    shores = tuple(Shore(j, one.before.truss.joints[j][0], 1000.0, 0.1, 0.25, 1200.0, block, bears, 96.0) for j in joints)
    staged = StagedWork("T2", shores=shores)
    return judge_fit(replace(one, before=replace(one.before, truss=truss), staged=staged), detail, package)


@pytest.mark.parametrize(("hangs", "fits"), [(BLOCK - 0.1, True), (BLOCK + 0.1, False)])
def test_a_plate_that_hangs_below_the_chord_stands_in_a_jacks_room(hangs: float, fits: bool):
    """The outer plate is made to pass over L4 and to hang below the chord by a little; it stands outside the blocks, inside the jack's 12 in."""
    detail = replace(sound(), station=300.0)
    wide = tuple(replace(v, x=62.0 if v.x > 0 else v.x, y=-4.75 - hangs if v.y < 0 else v.y) for v in detail.part("plate-near").outline)
    results = staged_fit(part_changed(detail, "plate-near", outline=wide), "L4")
    faults = [f for f in bad(results) if "its room; PL-1 outer splice plate" in f.check]
    assert bool(faults) != fits
    if not fits:
        assert faults[0].where == "T2-splice-near, jack at L4"
        assert faults[0].capacity == pytest.approx(-0.1)
        assert "at (58, " in faults[0].check  # the jack stands from 54 to 66 in., the plate ends at 62 in.


def one_ply(truss):
    """The hand-made truss with nothing but the near ply in its chord."""
    chord = wide_plies(truss).members[0]
    return replace(truss, members=(replace(chord, plies=tuple(p for p in chord.plies if p.z > 0)), *truss.members[1:]))


def test_a_jack_must_bear_on_wood_that_stays():
    """At L3 (270 in.), under the cut of a joint at 272 in., where the chord has no other ply."""
    detail = replace(sound(), station=272.0)
    cut = [f for f in bad(staged_fit(detail, "L3", change_truss=one_ply)) if "under the cut in the near ply" in f.check]
    assert [(f.where, f.capacity) for f in cut] == [("T2-splice-near, jack at L3", pytest.approx(-6.0))]  # the cut, 269 to 275 in., is over the block
    half = replace(detail, station=277.0)  # the cut from 274 to 280 in., the block from 264 to 276 in.
    cut = [f for f in bad(staged_fit(half, "L3", change_truss=one_ply)) if "under the cut" in f.check]
    assert [f.capacity for f in cut] == [pytest.approx(-2.0)]
    assert not checks(staged_fit(half, "L3", change_truss=one_ply, block=8.0), "under the cut")  # a block of 8 in. ends where the cut begins
    assert not checks(staged_fit(replace(detail, station=281.0), "L3", change_truss=one_ply), "under the cut")


def test_a_jack_that_bears_on_the_other_ply_alone_is_told():
    results = staged_fit(replace(sound(), station=272.0), "L3", change_truss=wide_plies)
    (told,) = checks(results, "mind: while the near ply is cut there it bears on the other ply alone")
    assert told.where == "T2-splice-near, jack at L3"
    assert told.state is State.PASSES
    assert not checks(staged_fit(replace(sound(), station=281.0), "L3", change_truss=wide_plies), "mind:")


def test_where_no_jack_stands_nearby_that_is_said():
    far = at_station(405.0 + 8.0)  # the panel L4-L5 from 360 to 450 in.: plates from 392.75 to 433.25 in.
    assert len(checks(far, "room for a jack")) == 2
    package_words = f"no jack stands within {NEARBY:g} in of the new parts"
    assert not checks(far, package_words)
    web = judged(replace(sound(), member="L2-U2", station=180.0))
    (told,) = checks(web, package_words)
    assert told.check.endswith("none is asked for")
    assert told.state is State.PASSES


def test_a_jack_stops_what_comes_from_below():
    """The left block lies from 269.75 to 282.5 in., a jack at L3 from 264 to 276 in."""

    def way(joint: str) -> str:
        results = staged_fit(replace(sound(), station=290.0), joint, change_truss=both(wide_plies, without_webs))
        return next(r.check for r in results if "filler-left" in r.where and "way in" in r.check)

    assert "from below" in way("L5")
    assert "from above" in way("L3")


def test_a_metric_project_reads_places_in_millimetres():
    from detailgen.checker.fit.bolts import Rig
    from detailgen.core.units import SI

    rig = Rig(sound(), {}, {}, SI)
    assert rig.place(1.0, -2.0) == "(25.4, -50.8) mm"
    assert rig.size(12, 30) == "304.8 x 762 mm"
    assert Rig(sound(), {}, {}).place(5.0, 3.25) == "(5, 3.25) in"


# Geometry behind the places that are told.


@given(polygons, polygons)
def test_what_two_plans_share_is_what_shapely_says(a, b):
    found = shared(np.array(a), np.array(b))
    area = shapely.Polygon(a).intersection(shapely.Polygon(b))
    if area.area > 0.05:
        assert shapely.Polygon(found).area == pytest.approx(area.area, rel=1e-6)
        x0, y0, x1, y1 = area.bounds
        one, two = Body("a", tuple(a), 0, 1), Body("b", tuple(b), 0, 1)
        if overlap(one, two) > 0:
            assert middle_of(one, two) == pytest.approx(((x0 + x1) / 2, (y0 + y1) / 2), abs=1e-6)


def test_a_plate_in_a_plate_is_told_with_its_place():
    detail = sound()
    outline = (Vertex(0, 0), Vertex(2, 0), Vertex(2, 1), Vertex(0, 1))
    extra = replace(detail.part("plate-near"), key="clip", name="clip", outline=outline, holes=(), placement=replace(
        detail.part("plate-near").placement, x=19.0, y=3.0))  # fmt: skip
    marked = replace(detail, parts=(*detail.parts, extra), brings=(*detail.brings[:3], ("clip",)))
    faults = [f for f in bad(judged(marked)) if "clip" in f.where or "clip" in f.check]
    assert any("at (19.62, 3.25) in" in f.check and f.capacity == pytest.approx(-0.25) for f in faults)
