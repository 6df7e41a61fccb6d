"""The roof's load where purlins bring it: single forces on the top chord instead of a load all along it."""

from __future__ import annotations

import numpy as np

from detailgen.loads.roof import slope_at
from detailgen.model.frame import FrameModel
from detailgen.model.project import Truss
from detailgen.model.structure import Floats

AT_JOINT = 1e-6
"""A load closer to an element's end than this part of its length stands at the joint."""
Point = tuple[int, float, float, float]
"""Element, Fx and Fy (lb), distance from the element's start (in)."""


def purlin_loads(stations: Floats, start: Floats, end: Floats, per_plan: Floats) -> Floats:
    """Force (lb) at each station from loads (lb per inch of plan, downward) that are even over intervals [start, end] of x: the lever rule."""
    a, b = stations[:-1], stations[1:]
    low, high = np.maximum(start[:, None], a), np.minimum(end[:, None], b)
    between = np.where(high > low, per_plan[:, None] * (high - low), 0.0)
    part = np.where(high > low, ((low + high) / 2 - a) / (b - a), 0.0)
    loads = np.zeros(len(stations))
    loads[:-1] += (between * (1 - part)).sum(axis=0)
    loads[1:] += (between * part).sum(axis=0)
    return loads


def purlin_places(truss: Truss) -> tuple[Floats, Floats]:
    """x of the purlins and x (in) where their loads act; the heels stand at both ends.

    A purlin that stands square on the chord has its middle off the chord's axis: its load acts on the vertical line through that middle.
    """
    stations = np.array([0.0, *truss.purlins, truss.span])
    places = stations - truss.purlin_height * np.sin(slope_at(truss, stations))
    places[0], places[-1] = 0.0, truss.span
    return stations, np.clip(places, 0.0, truss.span)


def at_purlins(truss: Truss, model: FrameModel, roof: Floats) -> tuple[tuple[Point, ...], Floats]:
    """Point loads on the top chord, and loads (n, 3) at joints where a purlin stands on one, for a roof load (m,) in lb per inch of element.

    The roof load is downward positive. The strips beside the heels bear on the ends of the chord at the heels.
    """
    top = np.flatnonzero(model.is_kind("top chord"))
    start, end = model.start_x[top], model.end_x[top]
    per_plan = roof[top] * model.length[top] / (end - start)
    stations, places = purlin_places(truss)
    forces = purlin_loads(stations, start, end, per_plan)
    order = np.argsort(start)
    owner = order[np.clip(np.searchsorted(start[order], places, side="right") - 1, 0, len(top) - 1)]
    share = np.clip((places - start[owner]) / (end[owner] - start[owner]), 0.0, 1.0)
    point: list[Point] = []
    nodal = np.zeros((len(model.structure.joints), 3))
    for k, force, part in zip(owner, forces, share, strict=True):
        row, side = int(top[k]), int(part > 0.5)
        if abs(part - side) < AT_JOINT and not model.structure.offset[row, side].any():
            nodal[model.structure.ends[row, side], 1] -= force
        elif force:
            point.append((row, 0.0, -float(force), float(part * model.length[row])))
    return tuple(point), nodal
