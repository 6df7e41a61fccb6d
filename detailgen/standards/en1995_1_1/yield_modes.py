"""Resistance of one shear plane of one fastener: every yield mode of an arrangement, the rope effect, the least of them. Safe for arrays.

Arrangements: two parts (one plane), or three of which the outer ones are alike (a plane of two). N and mm.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from detailgen.core.clause import Calculation, Number
from detailgen.core.errors import NotCovered
from detailgen.standards.en1995_1_1 import dowels
from detailgen.standards.en1995_1_1.design import DOCUMENT


@dataclass(frozen=True)
class Fastener:
    """Diameter (mm), yield moment (Nmm), axial resistance (N), greatest share of the rope effect, and how much larger holes in steel are (mm)."""

    d: Number
    M_y: Number
    F_ax: Number
    share: float
    tolerance: Number


@dataclass(frozen=True)
class Member:
    """A part as the fastener meets it: thickness (mm) and embedment strength (MPa); None for steel."""

    t: Number
    f_h: Number | None

    @property
    def steel(self) -> bool:
        return self.f_h is None


@dataclass(frozen=True)
class PlaneValue:
    """Characteristic resistance (N) of one plane and one fastener, and the letter of the mode that gives it."""

    F: Number
    mode: NDArray[np.str_]


Modes = list[tuple[str, Number, bool]]
"""Letter, Johansen part, does the rope effect count."""


def _least(modes: Modes, fastener: Fastener, sheet: Calculation) -> PlaneValue:
    values = [
        np.asarray(sheet(dowels.with_rope, johansen=value, F_ax_Rk=fastener.F_ax, share=fastener.share) if rope else value, dtype=float)
        for _, value, rope in modes
    ]
    stacked = np.stack(np.broadcast_arrays(*values))
    letters = np.array([letter for letter, _, _ in modes])
    return PlaneValue(np.min(stacked, axis=0), letters[np.argmin(stacked, axis=0)])


def _wood(first: Member, second: Member) -> tuple[Number, Number]:
    if first.f_h is None or second.f_h is None:
        raise NotCovered("steel on steel passes its force without wood", f"{DOCUMENT} 8.2")
    return first.f_h, second.f_h


def _wood_wood(first: Member, second: Member, fastener: Fastener, sheet: Calculation, *, double: bool) -> PlaneValue:
    f_1, f_2 = _wood(first, second)
    beta, d, M_y = f_2 / f_1, fastener.d, fastener.M_y
    hinge = sheet(dowels.mode_hinge_second, f_h_1=f_1, t_1=first.t, d=d, beta=beta, M_y_Rk=M_y)
    both = sheet(dowels.mode_two_hinges, f_h_1=f_1, d=d, beta=beta, M_y_Rk=M_y)
    one = sheet(dowels.mode_embedment, f_h=f_1, t=first.t, d=d)
    if double:
        middle = sheet(dowels.mode_middle, f_h=f_2, t_2=second.t, d=d)
        return _least([("g", one, False), ("h", middle, False), ("j", hinge, True), ("k", both, True)], fastener, sheet)
    other = sheet(dowels.mode_embedment, f_h=f_2, t=second.t, d=d)
    turn = sheet(dowels.mode_rotation, f_h_1=f_1, t_1=first.t, d=d, beta=beta, t_2=second.t)
    back = sheet(dowels.mode_hinge_first, f_h_1=f_1, t_2=second.t, d=d, beta=beta, M_y_Rk=M_y)
    modes: Modes = [("a", one, False), ("b", other, False), ("c", turn, True), ("d", hinge, True), ("e", back, True), ("f", both, True)]
    return _least(modes, fastener, sheet)


def _between(plate: Member, thin: PlaneValue, thick: PlaneValue, fastener: Fastener, sheet: Calculation) -> PlaneValue:
    """A plate counts as thick only where its holes are less than 0.1 d larger than the bolt; between thin and thick straight."""
    tight = np.where(np.asarray(fastener.tolerance) < 0.1 * np.asarray(fastener.d), plate.t, 0.0)
    F = sheet(dowels.F_between, t=tight, d=fastener.d, F_thin=thin.F, F_thick=thick.F)
    return PlaneValue(F, np.where(tight < np.asarray(fastener.d), thin.mode, thick.mode))


def _outer_plate(plate: Member, wood: Member, fastener: Fastener, sheet: Calculation, *, double: bool) -> PlaneValue:
    f_h, d, M_y = wood.f_h, fastener.d, fastener.M_y
    if f_h is None:
        raise NotCovered("steel on steel passes its force without wood", f"{DOCUMENT} 8.2.3")
    hinge = sheet(dowels.mode_thin_hinge, f_h=f_h, d=d, M_y_Rk=M_y)
    both = sheet(dowels.mode_thick_two_hinges, f_h=f_h, d=d, M_y_Rk=M_y)
    if double:
        middle = sheet(dowels.mode_middle, f_h=f_h, t_2=wood.t, d=d)
        thin = _least([("j", middle, False), ("k", hinge, True)], fastener, sheet)
        thick = _least([("l", middle, False), ("m", both, True)], fastener, sheet)
    else:
        turn = sheet(dowels.mode_thin_embedment, f_h=f_h, t_1=wood.t, d=d)
        whole = sheet(dowels.mode_embedment, f_h=f_h, t=wood.t, d=d)
        one = sheet(dowels.mode_thick_one_hinge, f_h=f_h, t_1=wood.t, d=d, M_y_Rk=M_y)
        thin = _least([("a", turn, False), ("b", hinge, True)], fastener, sheet)
        thick = _least([("c", whole, False), ("d", one, True), ("e", both, True)], fastener, sheet)
    return _between(plate, thin, thick, fastener, sheet)


def single(first: Member, second: Member, fastener: Fastener, sheet: Calculation) -> PlaneValue:
    """One plane between two parts (8.6, 8.9, 8.10)."""
    if first.steel or second.steel:
        plate, wood = (first, second) if first.steel else (second, first)
        return _outer_plate(plate, wood, fastener, sheet, double=False)
    return _wood_wood(first, second, fastener, sheet, double=False)


def double(side: Member, middle: Member, fastener: Fastener, sheet: Calculation) -> PlaneValue:
    """One of the two planes of a part between two that are alike (8.7, 8.11, 8.12, 8.13)."""
    if side.steel:
        return _outer_plate(side, middle, fastener, sheet, double=True)
    if middle.steel:
        f_h, d, M_y = side.f_h, fastener.d, fastener.M_y
        whole = sheet(dowels.mode_embedment, f_h=f_h, t=side.t, d=d)
        one = sheet(dowels.mode_thick_one_hinge, f_h=f_h, t_1=side.t, d=d, M_y_Rk=M_y)
        both = sheet(dowels.mode_thick_two_hinges, f_h=f_h, d=d, M_y_Rk=M_y)
        return _least([("f", whole, False), ("g", one, True), ("h", both, True)], fastener, sheet)
    return _wood_wood(side, middle, fastener, sheet, double=True)
