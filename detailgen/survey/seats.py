"""Where the plates of strands may press at the heels."""

from __future__ import annotations

import contextlib

from detailgen.core.units import feet_inches
from detailgen.model.project import END_GRAIN, SHOE, StrandSeat
from detailgen.survey.forms import SeatForm, TrussType, Unusable
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
