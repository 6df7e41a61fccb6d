"""The edge of this folder: inch, pound-force and psi outside, millimetre, newton and N/mm2 within. Nothing else converts."""

from __future__ import annotations

from typing import TypeVar

import numpy as np

from detailgen.core import units
from detailgen.standards.interface import Floats

Size = TypeVar("Size", float, Floats)


def to_mm(value_in: Size) -> Size:
    return value_in / units.MM


def to_mm2(value_in2: Size) -> Size:
    return value_in2 / units.MM**2


def to_mm3(value_in3: Size) -> Size:
    return value_in3 / units.MM**3


def to_N(value_lb: Size) -> Size:
    return value_lb / units.NEWTON


def to_Nmm(value_in_lb: Size) -> Size:
    return value_in_lb / (units.NEWTON * units.MM)


def to_MPa(value_psi: Size) -> Size:
    return value_psi / units.MPA


def from_mm(value_mm: Size) -> Size:
    return value_mm * units.MM


def from_N(value_N: Size) -> Size:
    return value_N * units.NEWTON


def from_MPa(value_MPa: Size) -> Size:
    return value_MPa * units.MPA


def slip_from(value_N_per_mm: float) -> float:
    """Slip modulus: N/mm to lb/in."""
    return value_N_per_mm * units.NEWTON / units.MM


def array(value: object) -> Floats:
    return np.asarray(value, dtype=float)
