"""Bolts put in from the far side: the survey says so, and heads, nuts and thread stand there in every view, list, solid and judgement."""

from __future__ import annotations

from dataclasses import replace

import pytest
from detail_package import make_package
from sample_trusses import project as sample
from sheet_reader import read_dxf
from splice_fixture import splice_detail

from detailgen.checker.fit import judge_fit
from detailgen.checker.fit.bolts import cylinders
from detailgen.core.result import State
from detailgen.model.detail import Detail
from detailgen.model.marks import detail_hash
from detailgen.model.project import Access
from detailgen.outputs.drawings import write_dxf
from detailgen.outputs.drawings.detail_scene import bolt_reach, scene_of
from detailgen.outputs.drawings.detail_sheet import draw_detail
from detailgen.outputs.solids.assembly import assembly_of
from detailgen.outputs.solids.picture import _bolt_prisms


def far_heads(detail: Detail | None = None) -> Detail:
    detail = detail or splice_detail()
    return replace(detail, bolts=tuple(replace(b, head="far") for b in detail.bolts))


def test_heads_and_nuts_change_sides():
    near, far = splice_detail().bolts[0], far_heads().bolts[0]
    middle = near.low + near.high
    here, there = ({r.name: (r.low, r.high) for r in cylinders(b, "b") if "washer" not in r.name} for b in (near, far))
    assert set(here) == set(there)
    for name, (low, high) in here.items():
        assert there[name] == pytest.approx((middle - high, middle - low))
    reach = bolt_reach(far, behind=False)
    usual = bolt_reach(near, behind=False)
    assert reach.head == pytest.approx(middle - usual.head)
    assert reach.tip == pytest.approx(middle - usual.tip)
    assert far.seat == near.low


def test_the_sheet_shows_nuts_in_front_and_says_where_the_heads_are(tmp_path):
    texts = {}
    for name, detail in (("near", splice_detail()), ("far", far_heads())):
        package = make_package(detail=detail)
        write_dxf(draw_detail(package.details[0], package)[0], tmp_path / f"{name}.dxf")
        doc, found, _ = read_dxf(tmp_path / f"{name}.dxf")
        words = " ".join(t for t, _ in found["model"])
        texts[name] = words
        circles = [e for e in doc.modelspace().query("CIRCLE") if e.dxf.layer == "S-TRUS-BOLT-N" and abs(e.dxf.radius - 0.375) < 1e-9]
        assert len(circles) == (len(detail.bolts) if name == "far" else 0)  # the end of the thread is seen in the nut
    assert "head on the near side" in texts["near"]
    assert "head on the far side" in texts["far"]
    assert "head on the far side" not in texts["near"]


def test_seen_from_behind_the_heads_are_in_front(tmp_path):
    detail = splice_detail()
    turned = tuple(replace(p, placement=replace(p.placement, z=-p.placement.z - p.thickness)) for p in detail.parts)
    behind = far_heads(replace(detail, parts=turned, bolts=tuple(replace(b, low=-b.high, high=-b.low) for b in detail.bolts)))
    package = make_package(detail=behind)
    scene = scene_of(behind, package)
    assert scene.behind
    first = scene.detail.bolts[0]
    assert bolt_reach(first, behind=True).head > first.high
    write_dxf(draw_detail(behind, package)[0], tmp_path / "a.dxf")
    doc, _, _ = read_dxf(tmp_path / "a.dxf")
    assert not [e for e in doc.modelspace().query("CIRCLE") if e.dxf.layer == "S-TRUS-BOLT-N" and abs(e.dxf.radius - 0.375) < 1e-9]


def test_solids_and_picture_turn_with_them():
    detail = far_heads()
    package = make_package(detail=detail)
    bolts = [i for group in assembly_of(detail, package).children for i in group.product.children if not i.part]
    assert {(i.frame.z, i.frame.over) for i in bolts} == {(detail.bolts[0].low, True)}
    usual = [i for group in assembly_of(splice_detail(), make_package()).children for i in group.product.children if not i.part]
    assert {(i.frame.z, i.frame.over) for i in usual} == {(detail.bolts[0].high, False)}
    middle = detail.bolts[0].low + detail.bolts[0].high
    spans = sorted((round(p.low, 6), round(p.high, 6)) for p in _bolt_prisms(detail))
    turned = sorted((round(middle - p.high, 6), round(middle - p.low, 6)) for p in _bolt_prisms(splice_detail()))
    assert [v for pair in spans for v in pair] == pytest.approx([v for pair in turned for v in pair], abs=1e-5)


def test_room_is_asked_for_where_the_bolts_go_in():
    detail = replace(far_heads(), brings=(("filler-right", "filler-left"), ("plate-near",), ("plate-inner",), ()), station=300.0)
    package = make_package(detail=detail)
    one = package.trusses[0]
    one = replace(one, before=replace(one.before, truss=replace(one.before.truss, splices=())))
    for access, fine in ((Access(near=0.5, far=60.0), True), (Access(near=60.0, far=6.0), False)):
        changed = replace(package, trusses=(one,), project=replace(package.project, access=access))
        (room,) = [r for r in judge_fit(one, detail, changed) if "withdraw the longest bolt" in r.check]
        assert "far side" in room.check
        assert (room.state is State.PASSES) == fine


def test_only_what_differs_changes_the_hash():
    assert detail_hash(splice_detail()) != detail_hash(far_heads())


def test_a_sample_with_its_heads_behind_is_dimensioned_and_drawn():
    """Threads that are in shear depend on where heads stand: each ply's planes are counted from there."""
    from detailgen import pipeline

    project = sample("boathouse")
    turned = replace(project, trusses=tuple(replace(t, bolts_from="far") for t in project.trusses))
    found = {name: pipeline.repair_one(p, p.trusses[0]) for name, p in (("near", project), ("far", turned))}
    heads = {name: {b.head for d in one.details for b in d.bolts} for name, one in found.items()}
    assert heads == {"near": {"near"}, "far": {"far"}}
    assert [len(one.details) for one in found.values()] == [2, 2]
    for side, one in found.items():  # a sister on one side stands where the bolts go in, and is the template
        for d in one.details:
            (new,) = [p for p in d.parts if not p.existing]
            (old,) = [p for p in d.parts if p.existing]
            assert new.key == f"sister-{side}"
            assert {h.template for h in old.holes} == {new.key}
            assert (new.placement.z > old.placement.z) == (side == "near")
            first, last = d.member.split("-")
            left, right = (first, last) if side == "near" else (last, first)
            assert any(f"{left} is at the left here, {right} at the right" in text for text in d.notes)
            assert any(f"the {side} one is the drilling template" in text for text in d.order)
        assert {r.state for p in one.after.places for r in p.results} == {State.PASSES}
