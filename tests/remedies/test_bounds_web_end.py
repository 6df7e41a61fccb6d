"""New ends of webs at each bound of what they are made of (bolts through the lap, gussets, timbers past the end), by the remedy's own search."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from bounds import Example, accepted, thickness
from sample_trusses import SHORT_END, butting, project
from test_web_end_covers import KEY, WEB, job_of
from test_web_end_plan import DEEP, malthouse, sized

from detailgen.core.units import MM, SI
from detailgen.model.member import Ply
from detailgen.model.package import Refusal
from detailgen.model.project import Override, Truss
from detailgen.remedies.contract import Repair
from detailgen.remedies.web_end import REMEDY
from detailgen.remedies.web_end import parameters as p

RULES: dict[str, str] = {}
MORE: dict[str, object] = {}


def answer(found: Truss, diameter: str = "", way: str = "", system: str = "US", load: float = 1.0) -> Repair | Refusal:
    """The repair of the web's lower end under so much of its load."""
    job = job_of()
    if system == "SI":
        job = replace(job, project=replace(project(SHORT_END), units=SI))
    found = replace(found, tributary_width=load * found.tributary_width)
    solved = job.solve(found)
    site = next(s for s in REMEDY.still_failing(job, solved) if s.key == KEY)
    items = {"web end bolt diameter": diameter, "web end way": way}
    asked = replace(found, overrides=tuple(Override(k, v, "a test") for k, v in items.items() if v))
    return REMEDY.dimension(job, asked, site, solved, {}, math.inf)


def web(found: Truss, **changes: float) -> Truss:
    """Another timber for the web."""
    return replace(found, members=tuple(
        replace(m, plies=tuple(replace(q, **changes) for q in m.plies)) if m.name == WEB else m for m in found.members))  # fmt: skip


def thin(found: Truss, thickness: float) -> Truss:
    """Thinner plies of the bottom chord, which still touch the web: where so little wood bears, rows may stand near (NDS 2018 table 12.5.1D)."""
    def ply(q: Ply) -> Ply:
        return replace(q, thickness=thickness, z=math.copysign(abs(q.z) - q.thickness / 2 + thickness / 2, q.z))

    return replace(found, members=tuple(replace(m, plies=tuple(ply(q) for q in m.plies)) if m.name == "bottom chord" else m for m in found.members))


LAP = sized(*DEEP)
EXAMPLES = (
    Example("two bolts in one row", {"DIAMETERS": 0.5, "ROWS": 1, "PER_ROW": 2, "LEAST_BOLTS": 2, "SPACINGS": 3.0}, lambda: answer(LAP, "1/2 in")),
    Example("one bolt in each of two rows", {"PER_ROW": 1}, lambda: answer(malthouse(), "5/8 in")),
    Example("eight bolts", {"ROWS": 2, "PER_ROW": 4, "MOST_BOLTS": 8, "SPACINGS": 4.0}, lambda: answer(LAP, "1/2 in")),
    Example("rows near", {"ROWS": 2, "GAUGES": 3.0}, lambda: answer(thin(sized(6.0, *DEEP[1:]), 1.375), "1 in")),
    Example("rows far, the largest bolts", {"DIAMETERS": 1.0, "ROWS": 2, "GAUGES": 5.0, "GREATEST_GAUGE": 5.0}, lambda: answer(LAP, "1 in")),
    Example("the least gussets", {"COVER_ROWS": 1, "COVER_PER_ROW": 2, "CHORD_ROWS": 1, "CHORD_PER_ROW": 2, "GUSSETS US": 0.25,
                                  "LEAST_PLATE_EDGE": 1.25}, lambda: answer(butting(), "1/2 in", "gussets")),
    Example("the largest gussets", {"COVER_ROWS": 2, "COVER_PER_ROW": 4, "CHORD_ROWS": 2, "CHORD_PER_ROW": 3, "GUSSETS US": 0.5},
            lambda: answer(butting(), "1/2 in", "gussets")),
    Example("the thinnest gussets, millimetres", {"GUSSETS SI": 6 * MM}, lambda: answer(butting(), "1/2 in", "gussets", "SI")),
    Example("the thickest gussets, millimetres", {"GUSSETS SI": 12 * MM}, lambda: answer(butting(), "1/2 in", "gussets", "SI")),
    Example("the thinnest timbers", {"TIMBERS": 1.5}, lambda: answer(butting(), "1/2 in", "extended end")),
    Example("the thickest timbers", {"TIMBERS": 3.5}, lambda: answer(butting(), "1/2 in", "extended end")),
    Example("the thinnest pads", {"LEAST_PAD": 1.0}, lambda: answer(web(butting(), thickness=6.5), "1/2 in", "gussets")),
    Example("rows of a cover far apart", {"COVER_ROWS": 2, "CHORD_ROWS": 2, "GAUGES": 5.0, "GREATEST_ROWS": 5.0},
            lambda: answer(web(butting(), depth=11.25), "1 in", "extended end")),
)  # fmt: skip


def groups(repair: Repair, what: str, chord: bool) -> set[float]:
    """Of the bolts of covers: those through the chord are the last group."""
    found = repair.detail.groups
    return {float(getattr(g, what)) for g in (found[-1:] if chord else found[:-1])}


def every(repair: Repair, what: str) -> set[float]:
    return {float(getattr(g, what)) for g in repair.detail.groups}


def in_diameters(repair: Repair, what: str) -> set[float]:
    return {getattr(g, what) / g.diameter for g in repair.detail.groups}


def plate_edge(repair: Repair) -> set[float]:
    """From the outermost holes to the ends of a gusset."""
    plate = repair.detail.part("cover-near")
    ends, holes = [v.x for v in plate.outline], [h.x for h in plate.holes]
    return {min(holes) - min(ends), max(ends) - max(holes)}


READS = {
    "DIAMETERS": lambda r: {b.diameter for b in r.detail.bolts},
    "ROWS": lambda r: every(r, "rows"), "PER_ROW": lambda r: every(r, "per_row"),
    "LEAST_BOLTS": lambda r: {len(r.detail.bolts)}, "MOST_BOLTS": lambda r: {len(r.detail.bolts)},
    "SPACINGS": lambda r: in_diameters(r, "spacing"), "GAUGES": lambda r: in_diameters(r, "gauge"),
    "GREATEST_GAUGE": lambda r: every(r, "gauge"), "GREATEST_ROWS": lambda r: every(r, "gauge"),
    "COVER_ROWS": lambda r: groups(r, "rows", False), "COVER_PER_ROW": lambda r: groups(r, "per_row", False),
    "CHORD_ROWS": lambda r: groups(r, "rows", True), "CHORD_PER_ROW": lambda r: groups(r, "per_row", True),
    "GUSSETS US": lambda r: thickness(r.detail, "cover"), "GUSSETS SI": lambda r: thickness(r.detail, "cover"),
    "TIMBERS": lambda r: thickness(r.detail, "cover"), "LEAST_PAD": lambda r: thickness(r.detail, "pad"), "LEAST_PLATE_EDGE": plate_edge,
}  # fmt: skip


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda e: e.name)
def test_an_accepted_end_at_each_bound(example: Example) -> None:
    accepted(example, p, READS)
