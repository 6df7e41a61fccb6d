"""One mark, one solid: equal parts turned round or over share it, unequal ones are refused."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from solids_by_kernel import solids_of
from splice_fixture import HOLE, splice_detail
from test_solids_detail import common_volume, cylinders, holes_in_detail
from test_solids_text import SPLICE_MARKS, package_of

from detailgen.core.errors import OutputError
from detailgen.model.detail import Detail, Hole, Part, Placement, Slot, Vertex
from detailgen.outputs.solids.congruence import motion_between


def odd_detail(*, over: bool = False, turn: float = 0.0) -> Detail:
    """Two equal plates without symmetry: the second is the first seen from the other side, or drawn in axes turned round."""
    outline = (Vertex(0, 0), Vertex(10, 0, math.tan(math.pi / 8)), Vertex(12, 2), Vertex(12, 6), Vertex(0.5, 6), Vertex(0, 5.5))
    plate = Part("first", "plate", "clip", outline, (Hole(2, 2, HOLE, ""), Hole(9, 4.25, 0.5625, "")), (Slot(5, 3, 2.0, 0.6875, 0.3),), 0.375,
                 Placement(1, 2, 3, 0.25), "steel", "ASTM A36", math.nan, False, 0.28)  # fmt: skip
    c, s, f = math.cos(turn), math.sin(turn), -1 if over else 1

    def at(x: float, y: float) -> tuple[float, float]:
        return round(4 + c * x - s * f * y, 6), round(-1 + s * x + c * f * y, 6)

    corners = [(at(v.x, v.y), v.bulge) for v in outline]
    if over:  # walked the other way round, from another corner
        corners = [(corners[-k][0], corners[-k - 1][1]) for k in range(len(corners))]
        corners = corners[2:] + corners[:2]
    second = replace(
        plate, key="second", placement=Placement(-3, 1, 8, -0.7), outline=tuple(Vertex(*p, b) for p, b in corners),
        holes=tuple(Hole(*at(h.x, h.y), h.diameter, "") for h in reversed(plate.holes)),
        slots=tuple(Slot(*at(q.x, q.y), q.length, q.width, turn + f * q.angle) for q in plate.slots),
    )  # fmt: skip
    return replace(splice_detail(), parts=(plate, second), bolts=(), groups=())


@pytest.mark.parametrize(("over", "turn"), [(False, 0.0), (False, 1.1), (False, math.pi), (True, 0.0), (True, 2.5)])
def test_equal_parts_turned_round_or_over_share_one_solid(over, turn, tmp_path):
    detail = odd_detail(over=over, turn=turn)
    package = package_of(detail, "US", {"PL-2": ("first", "second")})
    solids = solids_of(detail, package)
    assert [s.product for s in solids] == ["PL-2", "PL-2"]
    for s, part in zip(solids, detail.parts, strict=True):
        assert s.volume == pytest.approx(part.area * part.thickness, rel=1e-6)
        found, wanted = cylinders(s.shape), holes_in_detail(part)
        assert len(found) == 2
        assert all(min(math.dist(f, w) for f in found) < 2e-6 for w in wanted)
        assert (s.low[2], s.high[2]) == pytest.approx((part.placement.z, part.placement.z + 0.375))
    # where its corners are: the second part made by itself fills the same space
    alone = solids_of(detail, package_of(detail, "US", {"PL-2": ("first",), "PL-3": ("second",)}))[1]
    assert alone.product == "PL-3"
    assert common_volume(solids[1].shape, alone.shape, fuzzy=1e-5) == pytest.approx(alone.volume, rel=1e-5)


def test_wood_is_not_turned_over():
    first, second = (replace(p, material="wood") for p in odd_detail(over=True).parts)
    assert motion_between(first, second) is None
    first, second = (replace(p, material="wood") for p in odd_detail(turn=1.1).parts)
    assert motion_between(first, second) is not None


@pytest.mark.parametrize("change", ["hole", "diameter", "slot", "corner", "bulge", "thickness", "specification", "one hole less"])
def test_a_mark_on_two_different_pieces_is_refused(change):
    detail = odd_detail(turn=1.1)
    first, second = detail.parts
    h, q, v = second.holes[0], second.slots[0], second.outline[1]
    second = {
        "hole": replace(second, holes=(replace(h, x=h.x + 0.0625), *second.holes[1:])),
        "diameter": replace(second, holes=(replace(h, diameter=h.diameter + 0.0625), *second.holes[1:])),
        "slot": replace(second, slots=(replace(q, angle=q.angle + 0.01),)),
        "corner": replace(second, outline=(*second.outline[:3], replace(second.outline[3], x=second.outline[3].x + 0.0625), *second.outline[4:])),
        "bulge": replace(second, outline=(second.outline[0], replace(v, bulge=0.3), *second.outline[2:])),
        "thickness": replace(second, thickness=0.5),
        "specification": replace(second, specification="ASTM A572"),
        "one hole less": replace(second, holes=second.holes[1:]),
    }[change]
    detail = replace(detail, parts=(first, second))
    with pytest.raises(OutputError, match="PL-2 stands for two different pieces: first and second"):
        solids_of(detail, package_of(detail, "US", {"PL-2": ("first", "second")}))


def test_existing_parts_of_one_name_but_two_shapes_are_two_products():
    detail = splice_detail()
    parts = tuple(replace(p, holes=p.holes[1:]) if p.key == "ply-near-right" else p for p in detail.parts)
    detail = replace(detail, parts=parts)
    products = {s.part: s.product for s in solids_of(detail, package_of(detail, "US", SPLICE_MARKS))}
    assert products["ply-near-left"] == "near ply (E)"
    assert products["ply-near-right"] == "near ply (E) 2"


def test_a_new_part_without_a_mark_is_refused():
    detail = splice_detail()
    with pytest.raises(OutputError, match="filler-right has no mark"):
        solids_of(detail, package_of(detail, "US", {"PL-1": SPLICE_MARKS["PL-1"]}))
