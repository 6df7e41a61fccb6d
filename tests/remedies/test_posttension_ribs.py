"""An end plate with ribs: where a plain one is not enough, or where it is asked for; against hand calculations, drawn, listed and judged for fit."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from sample_trusses import STRUNG, project
from test_posttension_parts import ANCHOR
from test_posttension_parts import plate as plain
from test_posttension_plan import asked, granary, refusal, repaired

from detailgen import pipeline
from detailgen.checker.check import check_detail
from detailgen.checker.fit import fits, judge_fit
from detailgen.core.result import State
from detailgen.model.detail import ACROSS, BAR, FROM_LEFT
from detailgen.model.marks import register
from detailgen.model.package import Package
from detailgen.model.project import Override
from detailgen.outputs.schedules.lists import cut_file_name
from detailgen.remedies.contract import Repair
from detailgen.remedies.posttension import parameters as p
from detailgen.remedies.posttension.heel import EndPlate, Ribs, jack_room
from detailgen.remedies.posttension.run import Way
from detailgen.standards.anchorage import PartLoad, RibbedPlate
from detailgen.standards.interface import STRENGTH

KIP = 1000.0


def with_ribs():
    return replace(granary(), overrides=(Override("end plate", "ribs", "lighter to lift"),))


@pytest.fixture(scope="module")
def one():
    return repaired(with_ribs())


def far_out() -> EndPlate:
    """70 kip in all, strands 10 in. from the plane: more than a plate of 2 in. bears."""
    found = plain(70 * KIP, Way((0.0,), 10.0, "", 10.0))
    assert isinstance(found, EndPlate), found
    return found


def test_where_a_plain_plate_is_not_enough_ribs_are_put_on() -> None:
    """By hand, AISC F11: 35 kip at 7 in. on 11-1/4 x 2 in.: 36 x 11.25 x 4 / 4 / 1.67 = 242.5 kip-in., 245 are asked for."""
    assert 36 * 11.25 * 2.0**2 / 4 / 1.67 < 35 * 7.0
    found = far_out()
    assert found.ribs is not None
    assert found.thickness < 2.0
    assert all(r.passes for r in found.results)


def test_bending_of_plate_and_ribs_is_that_of_one_section() -> None:
    """By the theorem of Steiner: plate, two ribs; yield moment at the fibre farthest off (AISC F12), safety factor 1.67."""
    found = far_out()
    ribs = found.ribs
    assert isinstance(ribs, Ribs)
    t, w, d = found.thickness, ribs.thickness, ribs.depth
    b = min(found.height, ribs.at[1] - ribs.at[0] + w + 2 * t)
    areas, middles = [b * t, w * d, w * d], [t / 2, t + d / 2, t + d / 2]
    centre = sum(a * y for a, y in zip(areas, middles, strict=True)) / sum(areas)
    own = [b * t**3 / 12, w * d**3 / 12, w * d**3 / 12]
    inertia = sum(i + a * (y - centre) ** 2 for i, a, y in zip(own, areas, middles, strict=True))
    modulus = inertia / max(centre, t + d - centre)
    bent = next(r for r in found.results if r.check == "plate with ribs, bent")
    assert bent.demand == pytest.approx(35 * KIP * (10.0 - 3.0))
    assert bent.capacity == pytest.approx(36 * KIP * modulus / 1.67, rel=1e-6)
    # four lines of fillet bring over the ribs' share of the shear, V Q / I along the overhang; E70 (J2.4), and half of a rib beside each (J4.2)
    weld = next(r for r in found.results if r.check == "fillet weld")
    flow = 35 * KIP * w * d * (t + d / 2 - centre) / inertia / 2
    assert weld.demand == pytest.approx(flow * 7.0, rel=1e-6)
    metal, beside = 0.6 * 70 * KIP * ribs.leg * math.sqrt(0.5) / 2, min(0.6 * 36 * KIP * w / 2 / 1.5, 0.6 * 58 * KIP * w / 2 / 2)
    assert weld.capacity == pytest.approx(min(metal, beside) * 7.0, rel=1e-3)
    sheared = next(r for r in found.results if r.check == "ribs in shear")
    assert sheared.capacity == pytest.approx(0.6 * 36 * KIP * 2 * w * d / 1.5)


def test_the_plate_itself_spans_from_rib_to_rib() -> None:
    """A barrel of 35 kip in the middle between two ribs: P c / 4 - P D / 8 on a strip half as wide as the span and a barrel, and the plate's edge."""
    found = far_out()
    assert found.ribs is not None
    clear = found.ribs.at[1] - found.ribs.at[0] - found.ribs.thickness
    across = next(r for r in found.results if r.where == "end plate from rib to rib")
    assert across.demand == pytest.approx(35 * KIP * (clear / 4 - ANCHOR.barrel / 8), rel=1e-4)
    strip = min(ANCHOR.barrel + clear, ANCHOR.barrel + p.PLATE_OVER + clear / 2)
    assert across.capacity == pytest.approx(36 * KIP * strip * found.thickness**2 / 4 / 1.67, rel=1e-4)


def test_ribs_leave_room_for_barrels_welds_and_the_jacks_nose() -> None:
    for found in (far_out(), repaired(with_ribs()).details[0]):
        if not isinstance(found, EndPlate):
            bars = [q for q in found.parts if q.kind == BAR]
            plate = found.part("end-plate")
            clear = bars[1].placement.y - bars[0].placement.y - 0.75
            assert clear >= p.NOSE + 2 * p.NOSE_PLAY - 1e-9
            assert all(q.placement.z == pytest.approx(plate.placement.z + plate.thickness) for q in bars)
            continue
        assert found.ribs is not None
        inner = found.ribs.at[1] - found.ribs.thickness / 2
        assert inner >= ANCHOR.barrel / 2 + p.RIB_CLEAR + found.ribs.leg - 1e-9
        assert found.ribs.at[1] + found.ribs.thickness / 2 + found.ribs.leg <= found.height / 2 + 1e-9


def test_the_heel_grows_by_nothing_that_its_face_does_not_show(one) -> None:
    """Barrels stand on the plate between the ribs, so the strands are as long as plate and pads make them."""
    left = next(d for d in one.details if d.axis == FROM_LEFT)
    plate, pad = left.part("end-plate"), left.part("pad-near")
    assert one.stressing.strands[0].between == pytest.approx(576 + 2 * 6 + 2 * (plate.thickness + pad.thickness))
    assert plate.thickness == 1.0


def test_welds_stand_on_the_sheet_and_bars_are_marks_without_a_cut_file(one) -> None:
    left = next(d for d in one.details if d.axis == FROM_LEFT)
    assert [(w.kind, w.side, w.size) for w in left.welds] == [("fillet", "both", 0.25)] * 2
    marks, _ = register(one.details, {})
    bars = [m for m in marks if m.part.kind == BAR]
    assert [(m.mark, m.quantity) for m in bars] == [("FL-1", 4)]
    assert cut_file_name(bars[0], project(STRUNG).units) == ""
    assert any("Ribs are flat bars on edge" in n for n in left.notes)
    assert any("nose" in n for n in left.notes)


def test_heels_with_ribs_go_together_and_pass_the_checker(one) -> None:
    marks, _ = register(one.details, {})
    settled = replace(one, status={d.key: "PROPOSED" for d in one.details})
    package = Package(project(STRUNG), (settled,), marks, "PROPOSED", (), ())
    for detail in (d for d in one.details if d.axis != ACROSS):
        results = judge_fit(settled, detail, package)
        assert fits(results), [r for r in results if r.state is not State.PASSES]
        assert any("jack's nose" in r.check for r in results) == (one.stressing.stressing_end in detail.title.lower())
        assert all(r.state is State.PASSES for r in check_detail(detail))


def test_the_fit_looks_behind_the_anchors(one) -> None:
    """Plate 1 in., pad 3/8, barrel 2, jack 22 and stroke 8: 33-3/8 in.; with a wall at 30 in. the end does not go together."""
    marks, _ = register(one.details, {})
    left = next(d for d in one.details if d.axis == FROM_LEFT)
    tight = replace(one, before=replace(one.before, truss=replace(one.before.truss, heel_room=(30.0, 20.0))))
    package = Package(project(STRUNG), (tight,), marks, "PROPOSED", (), ())
    short = [r for r in judge_fit(tight, left, package) if r.state is State.DOES_NOT_PASS]
    assert [r.check for r in short] == ["room behind the end grain for a jack with its ram out"]
    assert (short[0].demand, short[0].capacity) == pytest.approx((33.375, 30.0))


def test_rooms_and_ribs_asked_for_by_the_engineer() -> None:
    answer = asked(with_ribs())
    assert isinstance(answer, Repair)
    assert "2 ribs 3/4\" x 2 1/2\" on edge, fillets 1/4\"" in answer.intervention.parameters["end plates"]
    found = far_out()
    assert jack_room(found, ANCHOR, 22.0, 8.0) == pytest.approx(found.pad + found.thickness + 2 + 22 + 8 + 6)
    wrong = replace(granary(), overrides=(Override("end plate", "channel", "as I like"),))
    assert "override 'end plate': found 'channel'; allowed: ribs" in refusal(wrong)


def test_a_plate_that_is_too_low_for_ribs_says_so() -> None:
    said = plain(400 * KIP, Way((-4.0, 4.0), 12.0, "", 12.0))
    assert isinstance(said, str)
    assert "ribs have no room over and under the barrels" in said


def test_factored_loads_are_refused_for_ribs_too() -> None:
    standard = pipeline.steel_standard(STRENGTH)
    one = RibbedPlate(1.0, 6.0, 4.0, 36 * KIP, 2, 0.75, 3.0)
    (result,) = standard.ribbed_checks(one, PartLoad("plate", np.array([KIP]), ("D",)))  # type: ignore[attr-defined]
    assert result.state is State.CANNOT_BE_CHECKED
