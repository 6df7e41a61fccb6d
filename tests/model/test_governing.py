"""What is kept of a truss is all that anything but a table tells of it: report, page, statuses and ratios from it are those from the whole truss."""

from __future__ import annotations

import gc
import pickle
import tracemalloc
from collections.abc import Callable
from dataclasses import replace

import pytest
from sample_trusses import SLENDER, STRUNG, US_SAMPLE, decided

from detailgen import packing, pipeline
from detailgen.core.shelf import Shelf
from detailgen.model.package import Package, Repaired
from detailgen.outputs.drawings.ratings import rate
from detailgen.outputs.page.write import unread_tables
from detailgen.outputs.report.calculations import report_content
from detailgen.outputs.report.hand_check import chosen, hand_check_content
from detailgen.outputs.schedules.assessment_tables import checks_of, forces_of, summary_json
from detailgen.outputs.schedules.stages import stage_checks_of
from detailgen.outputs.schedules.truss_model import model_of


@pytest.fixture(scope="module", params=[SLENDER, STRUNG, US_SAMPLE])
def both(request: pytest.FixtureRequest) -> tuple[Package, Package]:
    """A package with its trusses whole, and with what is kept of them."""
    whole, shelf = decided(request.param), Shelf()
    return whole, replace(whole, trusses=tuple(packing.set_aside(packing.told_of(t, whole.project, t.after), shelf) for t in whole.trusses))


def test_report_and_tables_not_read_are_the_same(both: tuple[Package, Package]) -> None:
    whole, kept = both
    assert report_content(kept) == report_content(whole)
    checks = [(chosen(one), one) for one in (kept, whole)]
    few, full = (hand_check_content(one, check) for check, one in checks if check is not None)
    assert few == full
    assert unread_tables(kept) == unread_tables(whole)


def test_answers_about_the_trusses_are_the_same(both: tuple[Package, Package]) -> None:
    whole, kept = both
    units = whole.project.units
    for full, few in zip(whole.trusses, kept.trusses, strict=True):
        for a, b in ((full.before.intact, few.before.intact), (full.before.as_found, few.before.as_found), (full.after, few.after)):
            # By their words, as no nan that has been fetched from a file is the same as another.
            assert repr([(p.name, p.worst) for p in a.places]) == repr([(p.name, p.worst) for p in b.places])
            assert [p.name for p in a.failing] == [p.name for p in b.failing]
            assert repr(a.worst and a.worst[1]) == repr(b.worst and b.worst[1])
            assert a.count == b.count
            assert a.count.results == sum(1 for _ in a.results())
            assert pipeline.structure_passes(a) is pipeline.structure_passes(b)
        assert rate(full.before) == rate(few.before)
        assert packing.statuses(full, ()) == packing.statuses(few, ())
        assert few.rows is not None
        assert few.rows.checks == checks_of(full.before, units, full.after)
        assert few.rows.forces == forces_of(full.before, units, full.after)
        assert few.rows.model == model_of(full.before, whole.project)
        assert few.rows.stages == stage_checks_of(full, units)
    assert summary_json([t.before for t in whole.trusses], whole.project) == summary_json([t.before for t in kept.trusses], whole.project)


def test_lines_of_what_governs_are_those_of_its_own_entry(both: tuple[Package, Package]) -> None:
    whole, kept = both
    full, few = whole.trusses[0], kept.trusses[0]
    known = {(r.where, r.check, r.combination, str(r.station)): r for _, r in full.after.results()}
    printed = [r for _, r in few.after.results() if r.calculation.recorded]
    assert printed
    for r in printed:
        assert r.steps == known[r.where, r.check, r.combination, str(r.station)].steps
        assert r.table_status == known[r.where, r.check, r.combination, str(r.station)].table_status


def test_few_results_are_kept(both: tuple[Package, Package]) -> None:
    whole, kept = both
    for full, few in zip(whole.trusses, kept.trusses, strict=True):
        assert sum(1 for _ in few.after.results()) < 0.25 * full.after.count.results


def test_little_of_a_truss_stays_in_memory(both: tuple[Package, Package]) -> None:
    """Of many trusses, as they come from the processes that worked on them: at most 0.3 MB each as Python counts it, of more than 1 MB."""
    whole, _ = both
    told = pickle.dumps([packing.told_of(t, whole.project, t.after) for t in whole.trusses])
    shelf, times = Shelf(), 3

    def held(keep: Callable[[Repaired], Repaired]) -> float:
        gc.collect()
        tracemalloc.start()
        several = [[keep(t) for t in pickle.loads(told)] for _ in range(times)]
        gc.collect()
        size, _ = tracemalloc.get_traced_memory()
        tracemalloc.stop()
        return size / sum(map(len, several))

    assert held(lambda t: t) > 1e6
    assert held(lambda t: packing.set_aside(t, shelf)) < 0.3e6
