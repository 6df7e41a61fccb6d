"""Splices of bottom chords at each bound of the grid that is searched: the whole search on a broken chord, with these sizes alone in stock."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from functools import cache

import pytest
from bounds import Example, accepted
from sample_trusses import US_SAMPLE, project, truss

from detailgen import pipeline
from detailgen.core.units import MM, SI
from detailgen.model.member import Damage
from detailgen.model.package import Refusal
from detailgen.model.project import Override, Truss
from detailgen.remedies.contract import Job, Repair, Site, Solved
from detailgen.remedies.splice import REMEDY, search
from detailgen.remedies.splice import parameters as p

RULES: dict[str, str] = {}
MORE: dict[str, object] = {system: p.shop(system) for system in ("US", "SI")}


def broken(depth: float, load: float, length: float) -> Truss:
    """A break at midspan of the printworks' truss T2 with another depth of its chord, and another load."""
    found = truss(US_SAMPLE, "T2")
    members = tuple(
        replace(m, plies=tuple(replace(q, depth=depth) for q in m.plies)) if m.kind == "bottom chord" else m for m in found.members)  # fmt: skip
    damage = (Damage("break", "bottom chord", "near", 18.5 * 12, length, "P1", 0.0, ""),)
    return replace(found, members=members, damage=damage, tributary_width=load * found.tributary_width)


@cache
def solved_of(depth: float, load: float, length: float) -> tuple[Job, Truss, Site, Solved]:
    """What the remedy is asked with: whichever sizes are offered, the site and its forces are the same."""
    found = broken(depth, load, length)
    job = replace(project(US_SAMPLE), trusses=(found,))
    wood, loads = pipeline.standards_of(job)

    def solve(changed: Truss) -> Solved:
        return Solved(changed, *pipeline.solve_repaired(job, changed, wood, loads))

    asked = Job(job, wood, pipeline.steel_standard(job.method), solve)
    (site,) = REMEDY.sites(asked, pipeline.assess_one(job, found))
    return asked, found, site, solve(REMEDY.healed(found, site))


def answer(
    depth: float = 9.5, load: float = 1.0, diameter: str = "", system: str = "US", per_row: Sequence[int] = p.PER_ROW, length: float = 4.0,
    **offered: object,
) -> Repair | Refusal:  # fmt: skip
    """``offered``: fields of the shop; a gauge goes by its number of rows."""
    job, found, site, solved = solved_of(depth, load, length)
    if system == "SI":
        job = replace(job, project=replace(job.project, units=SI))
    found = replace(found, overrides=(Override("splice bolt diameter", diameter, "a test"),) if diameter else ())
    with pytest.MonkeyPatch.context() as patch:
        stock = replace(p.shop(system), **offered)  # type: ignore[arg-type]
        patch.setattr(p, "shop", lambda _: stock)
        patch.setattr(p, "PER_ROW", tuple(per_row))
        # Grids are kept by their questions: those of another stock must neither be found here nor stay behind.
        patch.setattr(search, "_grid", search._grid.__wrapped__)
        patch.setattr(search, "_whole_grid", search._whole_grid.__wrapped__)
        return REMEDY.dimension(job, found, site, solved, {}, math.inf)


EXAMPLES = (
    Example("least in two rows", {"DIAMETERS": 0.5, "US thicknesses": 0.25, "US gauges 2": 2.0},
            lambda: answer(load=0.5, diameter="1/2 in", thicknesses=(0.25,), gauges={2: (2.0,)}), narrow=False),
    Example("largest in two rows", {"DIAMETERS": 1.0, "US thicknesses": 0.5, "US widths": 8.0, "US gauges 2": 5.0},
            lambda: answer(11.25, diameter="1 in", thicknesses=(0.5,), widths=(8.0,), gauges={2: (5.0,)}), narrow=False),
    Example("three rows, narrow", {"US gauges 3": 1.5}, lambda: answer(diameter="1/2 in", gauges={3: (1.5,)}), narrow=False),
    Example("three rows, wide", {"US gauges 3": 2.5}, lambda: answer(diameter="1/2 in", gauges={3: (2.5,)}), narrow=False),
    Example("two in a row", {"PER_ROW": 2}, lambda: answer(load=0.5, per_row=(2,)), narrow=False),
    Example("ten in a row", {"PER_ROW": 10}, lambda: answer(diameter="1/2 in", per_row=(10,), length=1.0), narrow=False),
    Example("as far apart as may be", {"US greatest_spacing": 7.0}, lambda: answer(load=0.5, spacing_step=Fraction(7)), narrow=False),
    Example("rows in plates of their own, near", {"US wide_gauges": 5.5, "US widths": 3.0},
            lambda: answer(11.25, widths=(3.0,), gauges={}, wide_gauges=(5.5,)), narrow=False),
    Example("rows in plates of their own, far", {"US wide_gauges": 10.0},
            lambda: answer(13.5, 0.7, length=1.0, gauges={}, wide_gauges=(10.0,)), narrow=False),
    Example("millimetres, least", {"SI thicknesses": 6 * MM, "SI gauges 2": 50 * MM},
            lambda: answer(load=0.5, system="SI", thicknesses=(6 * MM,), gauges={2: (50 * MM,)}), narrow=False),
    Example("millimetres, largest", {"SI thicknesses": 12 * MM, "SI widths": 200 * MM, "SI gauges 2": 125 * MM},
            lambda: answer(11.25, system="SI", thicknesses=(12 * MM,), widths=(200 * MM,), gauges={2: (125 * MM,)}), narrow=False),
    Example("millimetres, three rows, narrow", {"SI gauges 3": 40 * MM}, lambda: answer(system="SI", diameter="1/2 in", gauges={3: (40 * MM,)}),
            narrow=False),
    Example("millimetres, three rows, wide", {"SI gauges 3": 63 * MM}, lambda: answer(system="SI", diameter="1/2 in", gauges={3: (63 * MM,)}),
            narrow=False),
    Example("millimetres, as far apart as may be", {"SI greatest_spacing": 180 * MM},
            lambda: answer(load=0.5, system="SI", spacing_step=Fraction(1800, 254)), narrow=False),
    Example("millimetres, plates of their own, near", {"SI wide_gauges": 130 * MM, "SI widths": 80 * MM},
            lambda: answer(11.25, system="SI", widths=(80 * MM,), gauges={}, wide_gauges=(130 * MM,)), narrow=False),
    Example("millimetres, plates of their own, far", {"SI wide_gauges": 250 * MM},
            lambda: answer(13.5, 0.7, length=1.0, system="SI", gauges={}, wide_gauges=(250 * MM,)), narrow=False),
)  # fmt: skip


def plates(repair: Repair):
    return [q for q in repair.detail.parts if q.kind == "plate"]


def width(repair: Repair) -> set[float]:
    return {max(v.y for v in q.outline) - min(v.y for v in q.outline) for q in plates(repair)}


def group(repair: Repair, what: str) -> set[float]:
    return {float(getattr(g, what)) for g in repair.detail.groups}


READS = {"DIAMETERS": lambda r: {b.diameter for b in r.detail.bolts}, "PER_ROW": lambda r: group(r, "per_row")} | {
    f"{system} {name}": read for system in ("US", "SI") for name, read in (
        ("thicknesses", lambda r: {q.thickness for q in plates(r)}), ("widths", width), ("gauges 2", lambda r: group(r, "gauge")),
        ("gauges 3", lambda r: group(r, "gauge")), ("wide_gauges", lambda r: group(r, "gauge")), ("greatest_spacing", lambda r: group(r, "spacing")),
    )
}  # fmt: skip


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda e: e.name)
def test_an_accepted_splice_at_each_bound(example: Example) -> None:
    accepted(example, p, READS)
