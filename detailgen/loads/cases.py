"""Load cases on a truss's frame: dead, roof live, snow in all its arrangements, given loads, and the load of the original design."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from detailgen.core.units import UNITS
from detailgen.loads.purlins import Point, at_purlins
from detailgen.loads.roof import roof_curve
from detailgen.model.assessment import LoadPicture
from detailgen.model.frame import FrameModel
from detailgen.model.project import Truss
from detailgen.model.roof_loads import Loads, SnowInput
from detailgen.model.structure import LoadCase
from detailgen.standards.interface import DriftSource, Floats, LoadStandard, RoofLive, RoofPressure, SnowSite

WOOD_WEIGHT = 35 * UNITS["unit weight"]["pcf"]
"""Weight of seasoned softwood framing (lb/in3) where the survey gives none: common practice, no published source."""

ORIGINAL = "original design"
GIVEN_KINDS = {"snow": "S", "rain": "R", "wind": "W"}


@dataclass(frozen=True)
class LoadSet:
    """The load cases of a truss, which kind of load each one is, and their pictures along the span."""

    cases: tuple[LoadCase, ...]
    kinds: Mapping[str, tuple[str, ...]]  # kind -> names of its cases
    pictures: tuple[LoadPicture, ...]
    pressures: tuple[RoofPressure, ...]  # snow, with the steps of its calculation
    assumptions: tuple[str, ...]

    @property
    def flat_roof_snow(self) -> float:
        """Today's flat-roof snow p_f (psi). Only for a roof that has snow."""
        return float(next(s.value for s in self.pressures[0].calculation.steps() if s.symbol == "p_f")) / 144


def _mean_pressure(pressure: Sequence[float] | Floats, at: Sequence[float] | Floats, start: Floats, end: Floats) -> Floats:
    """Exact mean of a piecewise linear pressure over each interval [start, end] of x."""
    x, p = np.asarray(at, dtype=float), np.asarray(pressure, dtype=float)
    area = np.concatenate([[0.0], np.cumsum((p[1:] + p[:-1]) / 2 * np.diff(x))])

    def integral(to: Floats) -> Floats:
        piece = np.clip(np.searchsorted(x, to, side="right") - 1, 0, len(x) - 2)
        value = np.interp(to, x, p)
        total: Floats = area[piece] + (p[piece] + value) / 2 * (to - x[piece])
        return total

    width = end - start
    return np.where(width > 0, (integral(end) - integral(start)) / np.where(width > 0, width, 1.0), 0.0)


def over_span(points: Sequence[tuple[float, float]], span: float) -> tuple[Floats, Floats]:
    """A load given by points (x, psi) over the whole span: nothing outside of the points."""
    x, p = (np.array(c, dtype=float) for c in zip(*points, strict=True))
    ends = [(k, v) for k, v in ((0, 0.0), (len(x), span)) if (x[0] > 0.0 if k == 0 else x[-1] < span)]
    for k, v in reversed(ends):
        edge = x[0] if k == 0 else x[-1]
        x, p = np.insert(x, k, [v, edge] if k == 0 else [edge, v]), np.insert(p, k, [0.0, 0.0])
    return x, p


@dataclass
class _Cases:
    """Load cases as they are found."""

    truss: Truss
    model: FrameModel
    cases: list[LoadCase] = field(default_factory=list)
    kinds: dict[str, tuple[str, ...]] = field(default_factory=dict)
    pictures: list[LoadPicture] = field(default_factory=list)

    def __post_init__(self) -> None:
        m = self.model
        self.plan = np.abs(m.end_x - m.start_x) / m.length  # horizontal part of an inch of element
        self.on_top, self.on_bottom = m.is_kind("top chord"), m.is_kind("bottom chord")

    def case(self, kind: str, name: str, along: Floats, roof: Floats, nodal: Mapping[str, float] | None = None) -> None:
        """A case with vertical loads, downward positive here: ``along`` stays where it is, ``roof`` comes by the purlins where there are any.

        along, roof: lb per inch of element
        nodal: lb at joints
        """
        n, m = len(self.model.structure.joints), len(self.model.structure.ends)
        point: tuple[Point, ...] = ()
        forces = np.zeros((n, 3))
        if self.truss.purlins and roof.any():
            point, forces = at_purlins(self.truss, self.model, roof)
        else:
            along = along + roof
        distributed = np.zeros((m, 2))
        distributed[:, 1] = -along
        for joint, force in (nodal or {}).items():
            forces[self.model.structure.joint_names.index(joint), 1] -= force
        self.cases.append(LoadCase(name, forces, distributed, point, np.zeros(m), np.zeros((n, 3))))
        self.kinds[kind] = (*self.kinds.get(kind, ()), name)

    def area(self, kind: str, name: str, x: Floats, pressure: Floats, note: str = "") -> None:
        """A case with a load per horizontal area on the roof."""
        m = self.model
        mean = _mean_pressure(pressure, x, np.minimum(m.start_x, m.end_x), np.maximum(m.start_x, m.end_x))
        self.case(kind, name, np.zeros(len(m.length)), np.where(self.on_top, mean * self.plan * self.truss.tributary_width, 0.0))
        self.pictures.append(LoadPicture(name, x, pressure, note=note))

    def dead(self, loads: Loads, weight: float) -> None:
        width, model = self.truss.tributary_width, self.model
        roof = loads.roof_dead * width * np.where(self.on_top, 1.0 if loads.roof_dead_on == "slope" else self.plan, 0.0)
        own = loads.ceiling_dead * width * np.where(self.on_bottom, self.plan, 0.0) + weight * model.wood_area + model.added_weight
        self.case("D", "D", own, roof)
        settlement = np.zeros((len(model.structure.joints), 3))
        for support in self.truss.supports:
            settlement[model.structure.joint_names.index(support.joint), :2] = support.settlement
        self.cases[-1] = replace(self.cases[-1], settlement=settlement)

    def roof_live(self, live: float) -> None:
        span = self.truss.span
        half = span / 2
        self.area("Lr", "Lr full span", np.array([0.0, span]), np.array([live, live]))
        self.area("Lr", "Lr left half", np.array([0.0, half, half, span]), np.array([live, live, 0.0, 0.0]))
        self.area("Lr", "Lr right half", np.array([0.0, half, half, span]), np.array([0.0, 0.0, live, live]))

    def concentrated(self, force: float) -> None:
        """One case for each joint of the bottom chord between the heels. It stands in place of the roof's uniform live load (ASCE 7 4.4)."""
        nothing = np.zeros(len(self.model.length))
        for joint in self.truss.bottom[1:-1]:
            self.case("Lr", f"Lr at {joint}", nothing, nothing, {joint: force})
        places = tuple((self.truss.joints[j][0], force) for j in self.truss.bottom[1:-1])
        note = "at any one of these joints of the bottom chord"
        self.pictures.append(LoadPicture("Lr concentrated", np.array([0.0, self.truss.span]), np.zeros(2), places, note))


def _site(snow: SnowInput, truss: Truss) -> SnowSite:
    drifts = tuple(
        DriftSource(d.kind, d.side, d.height, d.upper, d.lower or truss.span, d.distance, truss.tributary_width)
        for d in snow.drifts
        if not d.trusses or truss.mark in d.trusses
    )
    return SnowSite(
        snow.ground_snow, snow.exposure, snow.thermal, snow.importance, snow.slippery, snow.risk, snow.winter_wind, snow.eaves, drifts
    )  # fmt: skip


def build_cases(truss: Truss, loads: Loads, model: FrameModel, standard: LoadStandard) -> LoadSet:
    """Load cases on the frame of a truss.

    Raises: NotCovered, OutOfRange where the load standard does not cover the roof's shape or a load
    """
    found = _Cases(truss, model)
    assumptions = []
    weight = loads.unit_weight
    if weight == 0.0:
        weight = WOOD_WEIGHT
        assumptions.append("Wood weighs 35 pcf (5.5 kN/m3): no weight was given (common practice, no published source).")
    found.dead(loads, weight)
    curve = roof_curve(truss)
    if loads.roof_live > 0:
        live = loads.roof_live
        if loads.live_reduced:
            live, _ = standard.roof_live(RoofLive(live, truss.span * truss.tributary_width, curve.rise, truss.span, truss.arc is not None))
            us, si = live / UNITS["area load"]["psf"], live / UNITS["area load"]["kPa"]
            assumptions.append(f"Truss {truss.mark}: the roof live load is reduced to {us:.1f} psf ({si:.2f} kPa) by area and slope.")
        found.roof_live(live)
    if loads.concentrated > 0:
        found.concentrated(loads.concentrated)
    pressures: tuple[RoofPressure, ...] = ()
    if loads.snow is not None:
        pressures = tuple(standard.snow(curve, _site(loads.snow, truss)))
        for pressure in pressures:
            found.area("S", pressure.name, pressure.x, pressure.pressure, " ".join(pressure.notes))
    for given in loads.given:
        if given.trusses and truss.mark not in given.trusses:
            continue
        x, p = over_span(given.points, truss.span)
        kind = GIVEN_KINDS[given.kind]
        if kind == "S":
            balanced = pressures[0]
            # A step of the given load must stay one: its places stand twice, those of the balanced snow are added between.
            between = np.setdiff1d(balanced.x, x)
            order = np.argsort(np.concatenate([x, between]), kind="stable")
            p = np.concatenate([p, np.interp(between, x, p)])[order]
            x = np.concatenate([x, between])[order]
            p = p + np.interp(x, balanced.x, balanced.pressure)
        found.area(kind, f"{kind} {given.name}", x, p, "Given by the engineer" + (", on the balanced snow." if kind == "S" else "."))
    if loads.original is not None:
        total = loads.original.total
        found.area(ORIGINAL, ORIGINAL, np.array([0.0, truss.span]), np.array([total, total]))
    return LoadSet(tuple(found.cases), found.kinds, tuple(found.pictures), pressures, tuple(assumptions))


PARTS_OF_ROOF = (("full", 0.0, 1.0), ("left half", 0.0, 0.5), ("right half", 0.5, 1.0))
"""A load of the work lies on all of the span or on one half of it (ours)."""


def window_cases(truss: Truss, model: FrameModel) -> LoadSet:
    """What may lie on the truss while it is worked on, each as 1 psi of plan: snow ("S") and people with material ("C"), full and on each half."""
    found = _Cases(truss, model)
    span, nothing = truss.span, np.zeros(len(model.length))
    for name, start, end in PARTS_OF_ROOF:
        x, p = over_span(((start * span, 1.0), (end * span, 1.0)), span)
        found.area("S", f"S work {name}", x, p)
        if truss.work.construction_on == "roof":
            found.area("C", f"C {name}", x, p)
            continue
        low, high = np.minimum(model.start_x, model.end_x), np.maximum(model.start_x, model.end_x)
        mean = _mean_pressure(p, x, low, high) * found.plan * truss.tributary_width
        found.case("C", f"C {name}", np.where(found.on_bottom, mean, 0.0), nothing)
    return LoadSet(tuple(found.cases), found.kinds, (), (), ())
