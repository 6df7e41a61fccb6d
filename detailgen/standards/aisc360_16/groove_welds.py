"""Groove welds (J2.1, tables J2.1, J2.3, J2.5): complete and partial penetration between plates and bars, and the steel beside them (J4)."""

from __future__ import annotations

from detailgen.core.clause import Calculation, Number, require
from detailgen.core.errors import NotCovered
from detailgen.core.table import read_table
from detailgen.core.tolerance import rounded_length
from detailgen.standards.aisc360_16.strength import DOCUMENT, KSI, TABLES, Omega, R_allowable
from detailgen.standards.aisc360_16.tension import R_n_rupture, R_n_yield
from detailgen.standards.aisc360_16.welds import R_n_shear_rupture, R_n_shear_yield, R_n_weld
from detailgen.standards.anchorage import GrooveWeld


def throat_partial(S: Number, less: Number) -> Number:
    """Effective throat of one groove of partial penetration.

    S: depth of the groove, in
    less: what process, position and shape of the groove take off, in
    Returns: in
    Source: AISC 360-16, J2.1a, table J2.1
    """
    return S - less


def A_we_groove(throat: Number, sides: Number, l: Number) -> Number:
    """Effective area of a groove weld: throat times length, for a groove on one side or on both.

    throat: effective throat of one groove, in
    sides: grooves, 1 or 2, -
    l: length, in
    Returns: in2
    Source: AISC 360-16, J2.1a
    """
    return throat * sides * l


def F_nw_groove(k: Number, F_EXX: Number) -> Number:
    """Nominal stress of weld metal on the throat of a groove weld of partial penetration.

    k: share of the electrode's strength by the kind of load, -
    F_EXX: strength of the electrode, psi
    Returns: psi
    Source: AISC 360-16, J2.4(a), table J2.5
    """
    return k * F_EXX


def least_throat(t: float) -> float:
    """Least effective throat (in) of partial penetration by the thinner part joined, table J2.3."""
    return next(float(r["least"]) for r in read_table(TABLES, "groove_least") if rounded_length(t) <= float(r["thickness_to"]))


def throat_less(process: str, position: str, groove: str) -> float:
    """What table J2.1 takes off the depth of a groove (in). Raises NotCovered for what it does not list."""
    for row in read_table(TABLES, "groove_throat"):
        asked = ((process, "process"), (position, "position"), (groove, "groove"))
        if all(value in str(row[column]).split("; ") for value, column in asked):
            return float(row["less"])
    raise NotCovered(f"a groove '{groove}' welded {position} by {process}", f"{DOCUMENT} table J2.1")


def matching(F_y: float, t: float) -> float:
    """Strength (psi) of the electrode that matches a steel of F_y (psi), t (in) thick. Raises NotCovered for stronger steel."""
    for row in read_table(TABLES, "matching_electrodes"):
        if F_y <= float(row["F_y_to"]) * KSI and rounded_length(t) <= float(row["thickness_to"]):
            return float(row["F_EXX"]) * KSI
    raise NotCovered(f"no matching electrode for steel of {F_y / KSI:g} ksi", f"{DOCUMENT} table J2.5 with AWS D1.1")


def _base_metal(weld: GrooveWeld, load: str, sheet: Calculation) -> list[Number]:
    """Allowable forces of the thinner part beside the weld, by J4."""
    area = weld.length * weld.thinner
    if load == "shear":
        return [
            sheet(R_allowable, R_n=sheet(R_n_shear_yield, F_y=weld.F_y, A_gv=area), Omega=Omega("shear yield", sheet)),
            sheet(R_allowable, R_n=sheet(R_n_shear_rupture, F_u=weld.F_u, A_nv=area), Omega=Omega("shear rupture", sheet)),
        ]
    yielding = sheet(R_n_yield, F_y=weld.F_y, A_g=area)
    if load == "tension":
        rupture = sheet(R_n_rupture, F_u=weld.F_u, A_e=area)
        return [
            sheet(R_allowable, R_n=yielding, Omega=Omega("tension yield", sheet)),
            sheet(R_allowable, R_n=rupture, Omega=Omega("tension rupture", sheet)),
        ]
    return [sheet(R_allowable, R_n=yielding, Omega=Omega("compression", sheet))]


def _throat(weld: GrooveWeld, sheet: Calculation) -> float:
    table = read_table(TABLES, "groove_throat")
    less = sheet.given("less", throat_less(weld.process, weld.position, weld.groove), "in", table.cite())
    throat, least = float(sheet(throat_partial, S=weld.depth, less=less)), least_throat(weld.thinner)
    require(weld.sides in (1, 2), f"a weld from {weld.sides} sides; 1 or 2", f"{DOCUMENT} J2.1")
    total = weld.sides * weld.depth
    what = f"grooves {total:g} in. deep in {weld.thinner:g} in.: that is complete penetration"
    require(rounded_length(total) < rounded_length(weld.thinner), what, f"{DOCUMENT} J2.1a")
    what = f"effective throat of {throat:g} in. on {weld.thinner:g} in., at least {least:g} in."
    require(rounded_length(throat) >= rounded_length(least), what, f"{DOCUMENT} table J2.3")
    return throat


def groove_allowable(weld: GrooveWeld, load: str, sheet: Calculation | None = None) -> float:
    """Allowable force (lb) of a groove weld: the base metal for complete penetration, the weaker of weld metal and base metal for partial.

    load: "tension" and "compression" across the weld, "shear" along it
    Raises: NotCovered outside tables J2.1 and J2.5; OutOfRange for a throat under table J2.3, or an electrode under the matching one
    """
    sheet = sheet or Calculation()
    if load not in ("tension", "compression", "shear"):
        raise NotCovered(f"load '{load}' on a groove weld", f"{DOCUMENT} table J2.5")
    table = read_table(TABLES, "electrodes")
    row = table.find(electrode=weld.electrode)
    F_EXX = sheet.given("F_EXX", float(row["F_EXX"]) * KSI, "psi", table.cite(row))
    base = _base_metal(weld, load, sheet)
    if weld.complete:
        needed = matching(weld.F_y, weld.thinner)
        what = f"{weld.electrode} on steel of {weld.F_y / KSI:g} ksi, at least the matching {needed / KSI:g} ksi in complete penetration"
        require(needed <= F_EXX, what, f"{DOCUMENT} table J2.5")
        return float(min(base))
    area = sheet(A_we_groove, throat=_throat(weld, sheet), sides=float(weld.sides), l=weld.length)
    stresses = read_table(TABLES, "groove_stress")
    row = stresses.find(load="bearing compression" if load == "compression" and weld.bears else load)
    k = sheet.given("k", float(row["k"]), "-", stresses.cite(row))
    metal = sheet(R_n_weld, F_nw=sheet(F_nw_groove, k=k, F_EXX=F_EXX), A_we=area)
    return float(min(*base, sheet(R_allowable, R_n=metal, Omega=Omega(str(row["limit_state"]), sheet))))
