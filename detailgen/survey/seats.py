"""Where the plates of strands may press at the heels, where the strands are wanted, and what stands in their way."""

from __future__ import annotations

import contextlib
import math

from detailgen.core.units import feet_inches
from detailgen.model.added import END_GRAIN, SHOE, Across, StrandSeat
from detailgen.survey.form import Unusable
from detailgen.survey.type_forms import SeatForm, TrussType
from detailgen.survey.wood import Site

OLD_STEEL = 33000.0, 60000.0
"""Yield stress and strength (psi) of structural steel of the 1930s to 1950s, ASTM A7 (from memory)."""
NEEDED = {END_GRAIN: (), SHOE: ("face", "low", "high", "width", "gap", "weld"), "top chord": ("face", "low", "high")}
ENTRIES = ("face", "low", "high", "width", "gap", "weld", "yield stress", "strength")


def seats_of(form: TrussType, site: Site) -> tuple[StrandSeat, StrandSeat]:
    """Left and right; the bottom chord's end grain where nothing is said. Faults go to the report."""
    found = [StrandSeat(), StrandSeat()]
    with contextlib.suppress(Unusable):
        bearing = form.strand_bearing
        for k, side in enumerate(("left", "right")):
            with contextlib.suppress(Unusable):
                seat = None if bearing is None else getattr(bearing, side)
                if seat is not None:
                    found[k] = _seat(seat, side, site)
    return found[0], found[1]


def _seat(form: SeatForm, side: str, site: Site) -> StrandSeat:
    needed = NEEDED[form.on]
    missing = [key for key in needed if not form.has(key)]
    if missing:
        site.report.add(form.place(missing[0]), "nothing", f"'{missing[0]}', which a plate of strands on '{form.on}' asks for")
        raise Unusable(missing[0])
    kept = (*needed, "yield stress", "strength") if form.on == SHOE else needed
    over = [key for key in ENTRIES if form.has(key) and key not in kept]
    if over:
        site.report.add(form.place(over[0]), f"'{over[0]}' beside 'on: {form.on}'", f"{', '.join(kept) or 'nothing else'} there")
        raise Unusable(over[0])
    if form.on == END_GRAIN:
        return StrandSeat()
    face, low, high = form.face or 0.0, form.low or 0.0, form.high or 0.0
    if high <= low:
        site.report.add(form.place("high"), feet_inches(high), f"a height over the lower edge at {feet_inches(low)}")
        raise Unusable("high")
    if form.on != SHOE:
        return StrandSeat(form.on, face, low, high)
    gap, weld = form.gap or 0.0, form.weld
    if face <= gap or weld is None:
        site.report.add(form.place("gap"), feet_inches(gap), f"less than the {feet_inches(face)} to the outer face of the shoe's back")
        raise Unusable("gap")
    if form.yield_stress is None or form.strength is None:
        site.assume(f"steel of the {side} heel's shoe: yield stress {OLD_STEEL[0]:,.0f} psi, strength {OLD_STEEL[1]:,.0f} psi where not given "
                    "(ASTM A7, from memory).")  # fmt: skip
    return StrandSeat(
        form.on, face, low, high, form.width or 0.0, gap, weld.leg, weld.length, weld.electrode, form.yield_stress or OLD_STEEL[0],
        form.strength or OLD_STEEL[1],
    )  # fmt: skip


def run_of(form: TrussType) -> tuple[float, float]:
    """Height over the chord's axis and distance from the truss's plane at which strands are wanted (in); nan where the tool chooses."""
    height, off = math.nan, math.nan
    with contextlib.suppress(Unusable):
        if form.strand_run is not None:
            with contextlib.suppress(Unusable):
                height = form.strand_run.height if form.strand_run.height is not None else math.nan
            with contextlib.suppress(Unusable):
                off = form.strand_run.off if form.strand_run.off is not None else math.nan
    return height, off


def across_of(form: TrussType, span: float | None, site: Site) -> tuple[Across, ...]:
    """What stands across the bottom chord; faults go to the report."""
    found = []
    with contextlib.suppress(Unusable):
        for one in form.across_the_chord:
            with contextlib.suppress(Unusable):
                if one.high <= one.low:
                    site.report.add(one.place("high"), feet_inches(one.high), f"a height over the lower edge at {feet_inches(one.low)}")
                elif one.outer <= one.inner:
                    site.report.add(one.place("outer"), feet_inches(one.outer), f"more than the {feet_inches(one.inner)} at which it begins")
                elif span is not None and one.at > span:
                    site.report.add(one.place("at"), feet_inches(one.at), f"a place between the heels, up to {feet_inches(span)}")
                else:
                    pulled = one.pulled if one.pulled is not None else math.nan
                    found.append(
                        Across(one.what, one.material == "steel", one.at, one.thickness, one.low, one.high, one.inner, one.outer, one.slot, pulled)
                    )
    return tuple(found)
