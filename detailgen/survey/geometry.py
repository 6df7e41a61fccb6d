"""The truss's lines: joints from panels and the top chord's shape, stations, brace points."""

from __future__ import annotations

import itertools
import math
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, field

from detailgen.core.tolerance import LENGTH_IN, rounded_length
from detailgen.core.units import FOOT, feet_inches
from detailgen.model.project import Arc
from detailgen.survey.document import Report
from detailgen.survey.form import Unusable
from detailgen.survey.type_forms import TopChord, TrussType

Point = tuple[float, float]


def arc_from_radius(span: float, radius: float) -> Arc:
    """The circle through both heels (0, 0) and (span, 0) with its centre on or below the line of the heels.

    span, radius: in, radius at least half the span
    """
    return Arc(radius, span / 2, -math.sqrt(max(radius**2 - (span / 2) ** 2, 0.0)))


def arc_from_rise(span: float, rise: float) -> Arc:
    """The circle through both heels that stands ``rise`` above them at midspan.

    span, rise: in, rise at most half the span
    """
    radius = ((span / 2) ** 2 + rise**2) / (2 * rise)
    return Arc(radius, span / 2, rise - radius)


def arc_height(arc: Arc, x: float) -> float:
    """Height (in) of the arc over the heels at x (in)."""
    return arc.centre_y + math.sqrt(max(arc.radius**2 - (x - arc.centre_x) ** 2, 0.0))


def arc_slope(arc: Arc, x: float) -> float:
    """Slope (radians) of the arc's tangent at x (in), positive where it rises to the right."""
    return math.atan2(arc.centre_x - x, math.sqrt(max(arc.radius**2 - (x - arc.centre_x) ** 2, 0.0)))


def height_between(points: Sequence[Point], x: float) -> float:
    """Height on the straight lines through points ordered by x."""
    right = min(max(bisect_right([p[0] for p in points], x), 1), len(points) - 1)
    (x0, y0), (x1, y1) = points[right - 1], points[right]
    return y0 + (y1 - y0) * (x - x0) / (x1 - x0)


def brace_stations(braces: float | Sequence[float] | None, inner: Sequence[float], length: float) -> tuple[float, ...]:
    """Stations held out of plane. ``braces``: spacing (0 none, -1 at ``inner`` joints), stations, or None for not given."""
    if braces is None:
        return ()
    if not isinstance(braces, float):
        return tuple(braces)
    if braces < 0:
        return tuple(inner)
    count = math.ceil(rounded_length(length / braces) - LENGTH_IN) - 1 if braces else 0
    return tuple(rounded_length(braces * i) for i in range(1, count + 1))


@dataclass
class Outline:
    """What is known of a type's lines; a faulty part stays None and the rest goes on."""

    span: float | None = None
    bottom: tuple[str, ...] | None = None
    top: tuple[str, ...] | None = None
    joints: dict[str, Point] = field(default_factory=dict)
    arc: Arc | None = None

    @property
    def names(self) -> tuple[str, ...] | None:
        """Every joint, or None where panels or top points are faulty."""
        if self.bottom is None or self.top is None:
            return None
        return (*self.bottom, *self.top[1:-1])

    def place(self, joint: str) -> Point:
        if joint not in self.joints:
            raise Unusable(joint)
        return self.joints[joint]

    def panels(self) -> frozenset[frozenset[str]]:
        """Pairs of joints that are panels of a chord."""
        chords = [c for c in (self.bottom, self.top) if c is not None]
        return frozenset(frozenset(pair) for c in chords for pair in itertools.pairwise(c))


def _increasing(form: TrussType, key: str, stations: Sequence[float], span: float, report: Report) -> None:
    before = 0.0
    if not stations:
        report.add(form.place(key), "an empty list", "at least one station")
        raise Unusable(key)
    for x in stations:
        if x <= before + LENGTH_IN:
            found = f"{feet_inches(x)} after {feet_inches(before)}"
            report.add(form.place(key), found, "stations from left to right, each larger than the one before, heels left out")
            raise Unusable(key)
        before = x
    if before >= span - LENGTH_IN:
        report.add(form.place(key), feet_inches(before), f"stations between the heels, less than the span of {feet_inches(span)}")
        raise Unusable(key)


def _bottom(form: TrussType, span: float, report: Report) -> list[float]:
    if form.panels is not None and form.panel_points is not None:
        report.add(form.place("panel points"), "panels and panel points", "one of the two", "Delete one.")
        raise Unusable("panels")
    if form.panel_points is not None:
        _increasing(form, "panel points", form.panel_points, span, report)
        return list(form.panel_points)
    if form.panels is None:
        report.add(form.place("panels"), "neither panels nor panel points", "one of the two", "Add 'panels: 8' or the list of stations.")
        raise Unusable("panels")
    return [rounded_length(span * i / form.panels) for i in range(1, form.panels)]


def _measured(top: TopChord, span: float, report: Report) -> list[Point]:
    """Measured points with both heels at the ends."""
    points = list(top.points or [])
    for x, y in points:
        heel = min(abs(x), abs(x - span)) <= LENGTH_IN
        if heel and abs(y) > LENGTH_IN:
            report.add(top.place("points"), f"the heel at {feet_inches(x)} with y = {feet_inches(y)}", "heels at y = 0, or points without the heels")
            raise Unusable("points")
        if not heel and (y <= LENGTH_IN or not 0 < x < span):
            found = f"the point [{feet_inches(x)}, {feet_inches(y)}]"
            report.add(top.place("points"), found, f"points above the heels (y more than 0), with x between 0 and the span of {feet_inches(span)}")
            raise Unusable("points")
    inner = [p for p in points if min(abs(p[0]), abs(p[0] - span)) > LENGTH_IN]
    if not inner or any(b[0] <= a[0] + LENGTH_IN for a, b in itertools.pairwise(points)):
        found = "no point between the heels" if not inner else "points that do not go from left to right"
        report.add(top.place("points"), found, "points from left to right, at least one between the heels")
        raise Unusable("points")
    return [(0.0, 0.0), *inner, (span, 0.0)]


def _arc(top: TopChord, span: float, report: Report) -> Arc:
    if top.radius is not None:
        if top.radius < span / 2 - LENGTH_IN:
            allowed = f"at least half the span, {feet_inches(span / 2)}"
            report.add(top.place("radius"), f"a radius of {feet_inches(top.radius)} over a span of {feet_inches(span)}", allowed)
            raise Unusable("radius")
        return arc_from_radius(span, top.radius)
    rise = top.rise or 0.0
    if not 0 < rise <= span / 2 + LENGTH_IN:
        report.add(top.place("rise"), f"a rise of {feet_inches(rise)}", f"more than 0 and at most half the span, {feet_inches(span / 2)}")
        raise Unusable("rise")
    return arc_from_rise(span, rise)


def _top_stations(form: TrussType, span: float, inner: Sequence[float] | None, measured: Sequence[Point] | None, report: Report) -> list[float]:
    wanted = form.top_points
    if wanted is None:
        if measured is not None:
            return [p[0] for p in measured[1:-1]]
        allowed = "above, between, or a list of stations"
        report.add(form.place("top points"), "nothing", allowed, "Add 'top points: above' where the top joints stand over the bottom joints.")
        raise Unusable("top points")
    if isinstance(wanted, list):
        _increasing(form, "top points", wanted, span, report)
        return list(wanted)
    if inner is None:
        raise Unusable("panels")
    if wanted == "above":
        return list(inner)
    ends = [0.0, *inner, span]
    return [rounded_length((a + b) / 2) for a, b in itertools.pairwise(ends)]


def outline(form: TrussType, report: Report) -> Outline:
    """Joints and arc of a type; faults go to the report."""
    out = Outline()
    try:
        span = out.span = form.span
        if span < FOOT:
            report.add(form.place("span"), feet_inches(span), "a span of 1 ft or more")
            raise Unusable("span")
    except Unusable:
        return out
    inner: list[float] | None = None
    try:
        inner = _bottom(form, span, report)
        out.bottom = tuple(f"L{i}" for i in range(len(inner) + 2))
        out.joints = {name: (x, 0.0) for name, x in zip(out.bottom, (0.0, *inner, span), strict=True)}
    except Unusable:
        pass
    measured: list[Point] | None = None
    shape = True
    try:
        top = form.top_chord
        given = [k for k in ("radius", "rise", "points") if top.has(k)]
        if len(given) != 1:
            found = " and ".join(given) if given else "none of them"
            where = top.place(given[-1]) if given else top.place()
            report.add(where, found, "one of radius, rise or points", "The shape of the top chord needs exactly one.")
            raise Unusable("top chord")
        if given == ["points"]:
            measured = _measured(top, span, report)
        else:
            out.arc = _arc(top, span, report)
    except Unusable:
        shape = False
    try:
        if measured is None and not shape and not form.has("top points"):
            raise Unusable("top points")
        stations = _top_stations(form, span, inner, measured, report)
        names = [f"U{i}" for i in range(1, len(stations) + 1)]
        if out.bottom is not None:
            out.top = (out.bottom[0], *names, out.bottom[-1])
        if shape:
            arc = out.arc
            for name, x in zip(names, stations, strict=True):
                y = arc_height(arc, x) if arc is not None else height_between(measured or (), x)
                out.joints[name] = (x, rounded_length(y))
    except Unusable:
        pass
    return out
