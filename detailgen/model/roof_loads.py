"""The loads that a survey gives: areas in psi, what snow and drifts depend on, what the roof was first designed for."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class SnowInput:
    ground_snow: float  # psi
    exposure: float
    thermal: float
    importance: float
    slippery: bool
    risk: str = "II"
    winter_wind: float = 0.0  # 0: not given
    eaves: tuple[str, str] = ("free", "free")  # left, right: "free", "near" (a roof or the ground close below), "valley" (an adjoining barrel)
    drifts: tuple[DriftInput, ...] = ()


@dataclass(frozen=True)
class DriftInput:
    """A higher roof or parapet beside the roof (in). ``trusses`` are the marks of those it concerns; none: all."""

    kind: str  # "higher roof" or "parapet"
    side: str  # "left", "right", "end wall"
    height: float
    upper: float  # length of the higher roof; 0 for a parapet
    lower: float  # length of this roof at right angles to the step; 0: the span
    distance: float  # from an end wall to the truss
    trusses: tuple[str, ...] = ()


@dataclass(frozen=True)
class GivenLoad:
    """A load that the engineer gives: psi of plan area at x (in), down positive. Snow lies on the balanced snow, rain and wind stand alone."""

    name: str
    kind: str  # "snow", "rain", "wind"
    points: tuple[tuple[float, float], ...]
    trusses: tuple[str, ...] = ()


@dataclass(frozen=True)
class OriginalDesign:
    """The uniform load on plan (psi) that the truss was first designed for, and the tension stress then allowed (psi; 0 = unknown)."""

    total: float
    tension_stress: float = 0.0
    source: str = ""


@dataclass(frozen=True)
class Loads:
    """Area loads in psi."""

    roof_dead: float
    roof_dead_on: str  # "slope" or "plan"
    ceiling_dead: float
    unit_weight: float  # lb/in3; 0 = not given
    roof_live: float
    snow: SnowInput | None
    original: OriginalDesign | None = None
    live_reduced: bool = False  # the roof live load is reduced by area and slope
    concentrated: float = 0.0  # lb, at any joint of the bottom chord, one at a time; 0: none
    given: tuple[GivenLoad, ...] = ()
