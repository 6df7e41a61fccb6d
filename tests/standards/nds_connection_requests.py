"""Bolt groups for the tests of NDS connections: parts of a horizontal member whose end stands at x = 0, seen in its own axes."""

from __future__ import annotations

import math

import numpy as np

from detailgen.core.result import CheckResult
from detailgen.standards.interface import ConnectedPart, ConnectionRequest, WoodGrade
from detailgen.standards.nds_2018 import STANDARD

DFL = WoodGrade("sawn", "Douglas Fir-Larch", "No.1")
HEM_FIR = WoodGrade("sawn", "Hem-Fir", "No.2")
ONE_BOLT = np.array([[8.0, 0.0]])


def grid(first, spacing, count, across=(0.0,)):
    """Bolts in rows along the member."""
    return np.array([[first + k * spacing, y] for y in across for k in range(count)])


def member(name="member", thickness=2.5, bolts=ONE_BOLT, end=0.0, half_depth=4.625, wood=DFL, condition=1.0, angle=math.pi):
    """A part of the member: in tension the bolts push it towards its end at x = ``end``."""
    return ConnectedPart(name, "wood", thickness, "member", angle, bolts, (end, math.inf), (-half_depth, half_depth), wood, 0.0, condition)


def wood_side(name="side", thickness=2.5, bolts=ONE_BOLT, end=math.inf, half_depth=4.625, wood=DFL, angle=0.0):
    return ConnectedPart(name, "wood", thickness, "other", angle, bolts, (-math.inf, end), (-half_depth, half_depth), wood)


def plate(name="plate", bolts=ONE_BOLT, thickness=0.25, strength=87000.0):
    return ConnectedPart(name, "steel", thickness, "other", 0.0, bolts, (-math.inf, math.inf), (-3.0, 3.0), None, strength)


def filler(bolts=ONE_BOLT, thickness=2.5):
    return ConnectedPart("filler", "wood", thickness, "filler", 0.0, bolts, (-math.inf, math.inf), (-3.0, 3.0), DFL)


def request(*parts, gaps=None, axial=(1000.0,), durations=None, diameter=0.75, reverses=False, oversize=1 / 16, bending_yield=45000.0):
    axial = np.array(axial, dtype=float)
    return ConnectionRequest(
        "web at L3", diameter, bending_yield, tuple(parts), tuple(gaps or [0.0] * (len(parts) - 1)), axial,
        tuple(f"combination {k}" for k in range(len(axial))), tuple(durations or ["ten years"] * len(axial)), reverses, "service", oversize,
    )  # fmt: skip


def checks(*parts, **options) -> list[CheckResult]:
    return list(STANDARD.connection_checks(request(*parts, **options)))


def only(results, check, combination=0) -> CheckResult:
    return next(r for r in results if r.check == check and r.combination == f"combination {combination}")


def steps_of(result) -> dict[str, float]:
    return {step.symbol: step.value for step in result.steps}
