"""Lists from which a truss is set out: work points of the top chord with the bevel there, pieces between them, webs from work point to work point."""

from __future__ import annotations

import itertools
import math

from detailgen.core.bevel import bevel_words
from detailgen.core.units import UnitSystem
from detailgen.model.member import Member
from detailgen.model.project import Truss
from detailgen.model.work_points import arc_of, measured_along, point_at
from detailgen.outputs.drawings.blocks import Listing, listing
from detailgen.outputs.drawings.detail_words import length
from detailgen.outputs.drawings.sheets import Lettering


def chord_points(truss: Truss, units: UnitSystem, letters: Lettering) -> Listing | None:
    """Each work point of the top chord: place, tape along the chord, bevel of the tangent; of a bent chord the bevel of the piece that follows."""
    top = next((m for m in truss.members if m.kind == "top chord"), None)
    if top is None:
        return None
    arc = arc_of(truss, top)
    x0, y0 = truss.joints[top.joints[0]]
    rows = []
    for k, joint in enumerate(top.joints):
        x, y = truss.joints[joint]
        along = measured_along(truss, top, x0, x)
        if arc is not None:
            at = point_at(truss, top, x)
            bevel = bevel_words(at.angle, units) if at is not None else ""
        else:
            bevel = _piece(truss, top, k, units)
        rows.append((joint, length(x - x0, units), length(y - y0, units), length(along, units), bevel))
    if arc is not None:
        under = (f"Curved, R {length(arc.radius, units)} to the centre line; centre {length(arc.centre_x - x0, units)} from {top.joints[0]}, "
                 f"{length(y0 - arc.centre_y, units)} below it. Bevel: rise to run of the tangent, to the right.")  # fmt: skip
        header = ("Joint", "Along the span", "Up", "Along the curve", "Bevel there")
    else:
        under = "Straight from joint to joint. Bevel: rise to run of the piece that follows, to the right."
        header = ("Joint", "Along the span", "Up", "Along the chord", "Bevel, next piece")
    return listing("TOP CHORD, WORK POINTS", header, rows, letters, under=under)


def _piece(truss: Truss, top: Member, k: int, units: UnitSystem) -> str:
    if k + 1 == len(top.joints):
        return "end"
    (xa, ya), (xb, yb) = truss.joints[top.joints[k]], truss.joints[top.joints[k + 1]]
    return bevel_words(math.atan2(yb - ya, xb - xa), units)


def web_points(truss: Truss, units: UnitSystem, letters: Lettering) -> Listing:
    """Webs from work point to work point, those alike in length and steepness in one row."""
    rows: dict[tuple[str, str], list[str]] = {}
    for member in truss.members:
        if member.kind != "web":
            continue
        for a, b in itertools.pairwise(member.joints):
            (xa, ya), (xb, yb) = sorted((truss.joints[a], truss.joints[b]))
            bevel = bevel_words(math.atan2(yb - ya, xb - xa), units).replace(" up", "").replace(" down", "")
            rows.setdefault((length(math.dist((xa, ya), (xb, yb)), units), bevel), []).append(f"{a}-{b}")
    said = [(", ".join(names), long, bevel) for (long, bevel), names in rows.items()]
    return listing("WEBS, WORK POINT TO WORK POINT", ("Web", "Length", "Bevel"), said, letters, under="Rise to run; not the length to cut.")
