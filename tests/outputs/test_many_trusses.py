"""A project of sixty trusses has room on its sheets: numbers, title block, key plan."""

from __future__ import annotations

from dataclasses import replace

from sample_trusses import SLENDER, decided

from detailgen import pipeline
from detailgen.model.package import Package, Repaired
from detailgen.outputs.drawings import register
from detailgen.outputs.drawings.cover_sheet import draw_cover
from detailgen.outputs.drawings.shapes import Drawing, Stamp, Text
from detailgen.outputs.drawings.work_sheet import draw_safety

COUNT = 60


def sixty() -> Package:
    package = decided(SLENDER)
    one = package.trusses[0]
    _, safety = pipeline.stages_of(package.project, one)

    def again(k: int) -> Repaired:
        before = replace(one.before, truss=replace(one.before.truss, mark=f"T{k}"))
        details = tuple(replace(d, key=f"{d.key}-{k}") for d in one.details)
        status = {d.key: package.status for d in details}
        return replace(one, before=before, details=details, status=status, safety=replace(safety, truss=f"T{k}"))

    return replace(package, trusses=tuple(again(k) for k in range(1, COUNT + 1)))


def words(drawings: list[Drawing]) -> list[str]:
    shapes = [s for d in drawings for s in d.paper]
    return [s.text for s in shapes if isinstance(s, Text)] + [f.text.text for s in shapes if isinstance(s, Stamp) for f in s.fields]


def test_no_two_sheets_have_one_number() -> None:
    package = sixty()
    assert len(package.details) > 100
    marks = [t.before.truss.mark for t in package.trusses]
    numbers = [register.COVER, register.SAFETY, register.SCHEDULES, register.SHOP, register.FORM]
    numbers += [f(m, package) for m in marks for f in (register.found_number, register.repair_number, register.work_number)]
    numbers += [register.detail_number(d.key, package) for d in package.details]
    assert len(set(numbers)) == len(numbers)
    assert [register.detail_number(package.details[k].key, package) for k in (0, 98, 99)] == ["S-501", "S-599", "S-5100"]


def test_cover_and_safety_sheet_hold_all_trusses() -> None:
    package = sixty()
    cover = words(draw_cover(package, [("S-201", "Truss T1 as found")]))
    assert "trusses T1 to T60, 60 in all" in cover
    assert {f"truss T{k}" for k in range(1, COUNT + 1)} <= set(cover)  # the key plan
    assert [w for w in cover if w.startswith("KEY PLAN")] == ["KEY PLAN", "KEY PLAN, continued", "KEY PLAN, continued"]
    assert "trusses T1 to T60, 60 in all" in words(draw_safety(package))
