"""Load cases on a truss's frame: dead, roof live on full and half span, snow, and the load of the original design."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from detailgen.core.units import UNITS
from detailgen.loads.roof import roof_curve
from detailgen.model.assessment import LoadPicture
from detailgen.model.frame import FrameModel
from detailgen.model.project import Loads, Truss
from detailgen.model.structure import LoadCase
from detailgen.standards.interface import Floats, LoadStandard, RoofPressure, SnowSite

WOOD_WEIGHT = 35 * UNITS["unit weight"]["pcf"]
"""Weight of seasoned softwood framing (lb/in3) where the survey gives none: common practice, no published source."""

ORIGINAL = "original design"


@dataclass(frozen=True)
class LoadSet:
    """The load cases of a truss, which kind of load each one is, and their pictures along the span."""

    cases: tuple[LoadCase, ...]
    kinds: Mapping[str, tuple[str, ...]]  # kind -> names of its cases
    pictures: tuple[LoadPicture, ...]
    pressures: tuple[RoofPressure, ...]  # snow, with the steps of its calculation
    assumptions: tuple[str, ...]


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


def _case(name: str, model: FrameModel, vertical: Floats) -> LoadCase:
    """A load case with a vertical line load (lb per inch of element, downward positive here)."""
    n, m = len(model.structure.joints), len(model.structure.ends)
    distributed = np.zeros((m, 2))
    distributed[:, 1] = -vertical
    return LoadCase(name, np.zeros((n, 3)), distributed, (), np.zeros(m), np.zeros((n, 3)))


def build_cases(truss: Truss, loads: Loads, model: FrameModel, standard: LoadStandard) -> LoadSet:
    """Load cases on the frame of a truss.

    Raises: NotCovered where the load standard does not cover the roof's shape
    """
    start, end, length = model.start_x, model.end_x, model.length
    plan = np.abs(end - start) / length  # horizontal part of an inch of element
    on_top, on_bottom = model.is_kind("top chord"), model.is_kind("bottom chord")
    width = truss.tributary_width
    span = truss.span
    assumptions = []
    weight = loads.unit_weight
    if weight == 0.0:
        weight = WOOD_WEIGHT
        assumptions.append("Wood weighs 35 pcf (5.5 kN/m3): no weight was given (common practice, no published source).")

    roof = loads.roof_dead * width * np.where(on_top, 1.0 if loads.roof_dead_on == "slope" else plan, 0.0)
    dead = roof + loads.ceiling_dead * width * np.where(on_bottom, plan, 0.0) + weight * model.wood_area + model.added_weight
    cases = [_case("D", model, dead)]
    kinds: dict[str, tuple[str, ...]] = {"D": ("D",)}
    pictures: list[LoadPicture] = []

    def add(kind: str, name: str, x: Floats, pressure: Floats) -> None:
        mean = _mean_pressure(pressure, x, np.minimum(start, end), np.maximum(start, end))
        cases.append(_case(name, model, np.where(on_top, mean * plan * width, 0.0)))
        kinds[kind] = (*kinds.get(kind, ()), name)
        pictures.append(LoadPicture(name, x, pressure))

    if loads.roof_live > 0:
        half, live = span / 2, loads.roof_live
        add("Lr", "Lr full span", np.array([0.0, span]), np.array([live, live]))
        add("Lr", "Lr left half", np.array([0.0, half, half, span]), np.array([live, live, 0.0, 0.0]))
        add("Lr", "Lr right half", np.array([0.0, half, half, span]), np.array([0.0, 0.0, live, live]))
    pressures: tuple[RoofPressure, ...] = ()
    if loads.snow is not None:
        s = loads.snow
        pressures = tuple(standard.snow(roof_curve(truss), SnowSite(s.ground_snow, s.exposure, s.thermal, s.importance, s.slippery)))
        for pressure in pressures:
            add("S", pressure.name, pressure.x, pressure.pressure)
    if loads.original is not None:
        total = loads.original.total
        add(ORIGINAL, ORIGINAL, np.array([0.0, span]), np.array([total, total]))
    return LoadSet(tuple(cases), kinds, tuple(pictures), pressures, tuple(assumptions))
