"""Nails (8.3) and staples (8.4): embedment, yield moment, effective number, lateral resistance, withdrawal, both together.

The yield modes are those of ``yield_modes``. What is refused: nails over 8 mm (8.3.1.1(6) sends them to bolts), wood that must be predrilled and is
not, wood too thin to be nailed without predrilling, nails too short, spacings under those of table 8.1. Nails in end grain have no function here
(8.3.1.2(4)).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from detailgen.core.clause import Calculation, Cite, Number, require
from detailgen.core.table import Table, read_table
from detailgen.standards.en1995_1_1 import dowels
from detailgen.standards.en1995_1_1.design import DOCUMENT, TABLES
from detailgen.standards.en1995_1_1.yield_modes import Fastener, Member, PlaneValue, double, single


def f_h_k_driven(rho_k: Number, d: Number) -> Number:
    """Embedment strength for nails without predrilling, at any angle to the grain.

    rho_k: characteristic density, kg/m3
    d: diameter, mm
    Returns: MPa
    Source: EN 1995-1-1:2004+A1, 8.3.1.1(5), equation 8.15
    """
    return 0.082 * rho_k * d**-0.3


def f_h_k_predrilled(rho_k: Number, d: Number) -> Number:
    """Embedment strength for nails in predrilled holes, at any angle to the grain.

    rho_k: characteristic density, kg/m3
    d: diameter, mm
    Returns: MPa
    Source: EN 1995-1-1:2004+A1, 8.3.1.1(5), equation 8.16
    """
    return 0.082 * (1 - 0.01 * d) * rho_k


def M_y_Rk_nail(k_M: Number, f_u: Number, d: Number) -> Number:
    """Characteristic yield moment of a nail of smooth wire.

    k_M: 0.3 for round nails, 0.45 for square and grooved ones, -
    f_u: tensile strength of the wire, MPa
    d: diameter, or side of a square nail, mm
    Returns: Nmm
    Source: EN 1995-1-1:2004+A1, 8.3.1.1(4), equation 8.14
    """
    return k_M * f_u * d**2.6


def t_density(d: Number, rho_k: Number) -> Number:
    """Thickness that the density of wood asks for where it is nailed without predrilling.

    d: diameter, mm
    rho_k: characteristic density, kg/m3
    Returns: mm
    Source: EN 1995-1-1:2004+A1, 8.3.1.2(6), second part of equation 8.18
    """
    return (13 * d - 30) * rho_k / 400


def t_driven(d: Number, t_density: Number) -> Number:
    """Least thickness of wood that is nailed without predrilling.

    d: diameter, mm
    t_density: thickness that its density asks for, mm
    Returns: mm
    Source: EN 1995-1-1:2004+A1, 8.3.1.2(6), equation 8.18
    """
    return np.maximum(7 * d, t_density)


def t_driven_splitting(d: Number, t_density: Number) -> Number:
    """Least thickness, nailed without predrilling, of wood that splits easily (fir, Douglas fir, spruce by its note): both parts doubled.

    d: diameter, mm
    t_density: thickness that the density of other wood asks for, mm
    Returns: mm
    Source: EN 1995-1-1:2004+A1, 8.3.1.2(7), equation 8.19
    """
    return np.maximum(14 * d, 2 * t_density)


def n_ef_nails(n: Number, k_ef: Number) -> Number:
    """Effective number of nails or staples in a row along the grain.

    n: nails in the row, -
    k_ef: exponent of table 8.1, -
    Returns: -
    Source: EN 1995-1-1:2004+A1, 8.3.1.1(8), equation 8.17
    """
    return n**k_ef


def f_ax_k_smooth(rho_k: Number) -> Number:
    """Withdrawal strength of smooth nails.

    rho_k: characteristic density on the side of the point, kg/m3
    Returns: MPa
    Source: EN 1995-1-1:2004+A1, 8.3.2(6), equation 8.25
    """
    return 20e-6 * rho_k**2


def f_head_k_smooth(rho_k: Number) -> Number:
    """Strength against the pull of a smooth nail's head through the wood.

    rho_k: characteristic density on the side of the head, kg/m3
    Returns: MPa
    Source: EN 1995-1-1:2004+A1, 8.3.2(6), equation 8.26
    """
    return 70e-6 * rho_k**2


def k_pen_smooth(t_pen: Number, d: Number) -> Number:
    """Factor of withdrawal for smooth nails that are in by 8 to 12 diameters.

    t_pen: length on the side of the point, mm
    d: diameter, mm
    Returns: -
    Source: EN 1995-1-1:2004+A1, 8.3.2(7)
    """
    return np.minimum(t_pen / (4 * d) - 2, 1.0)


def k_pen_threaded(t_pen: Number, d: Number) -> Number:
    """Factor of withdrawal for threaded nails that are in by 6 to 8 diameters.

    t_pen: length of the thread on the side of the point, mm
    d: diameter, mm
    Returns: -
    Source: EN 1995-1-1:2004+A1, 8.3.2(7)
    """
    return np.minimum(t_pen / (2 * d) - 3, 1.0)


def f_drying(f_k: Number) -> Number:
    """Withdrawal or head strength in wood that is nailed wet and dries under load.

    f_k: strength in dry wood, MPa
    Returns: MPa
    Source: EN 1995-1-1:2004+A1, 8.3.2(8)
    """
    return 2 / 3 * f_k


def F_ax_Rk_smooth(f_ax_k: Number, d: Number, t_pen: Number, t: Number, f_head_k: Number, d_h: Number) -> Number:
    """Withdrawal resistance of a smooth nail: the point pulls out, or the head side gives way.

    f_ax_k: withdrawal strength on the side of the point, MPa
    d: diameter, mm
    t_pen: length on the side of the point, mm
    t: thickness on the side of the head, mm
    f_head_k: strength against the head's pull, MPa
    d_h: diameter of the head, mm
    Returns: N
    Source: EN 1995-1-1:2004+A1, 8.3.2(5), equation 8.24
    """
    return np.minimum(f_ax_k * d * t_pen, f_ax_k * d * t + f_head_k * d_h**2)


def F_ax_Rk_threaded(f_ax_k: Number, d: Number, t_pen: Number, f_head_k: Number, d_h: Number) -> Number:
    """Withdrawal resistance of a nail that is not smooth: the point pulls out, or the head pulls through.

    f_ax_k: withdrawal strength, as declared by tests, MPa
    d: diameter, mm
    t_pen: length of the thread on the side of the point, mm
    f_head_k: strength against the head's pull, as declared by tests, MPa
    d_h: diameter of the head, mm
    Returns: N
    Source: EN 1995-1-1:2004+A1, 8.3.2(5), equation 8.23
    """
    return np.minimum(f_ax_k * d * t_pen, f_head_k * d_h**2)


def F_ax_Rk_short(F_ax_Rk: Number, k_pen: Number) -> Number:
    """Withdrawal resistance of a nail whose point may be in by less than the full length.

    F_ax_Rk: resistance by equation 8.23 or 8.24, N
    k_pen: factor of its length in the wood of the point, -
    Returns: N
    Source: EN 1995-1-1:2004+A1, 8.3.2(7)
    """
    return F_ax_Rk * k_pen


def both_smooth(F_ax_Ed: Number, F_ax_Rd: Number, F_v_Ed: Number, F_v_Rd: Number) -> Number:
    """Smooth nails pulled along and across their axis; at most 1.

    F_ax_Ed: force along the axis, N
    F_ax_Rd: design resistance to it, N
    F_v_Ed: force across the axis, N
    F_v_Rd: design resistance to it, N
    Returns: -
    Source: EN 1995-1-1:2004+A1, 8.3.3, equation 8.27
    """
    return F_ax_Ed / F_ax_Rd + F_v_Ed / F_v_Rd


def both_threaded(F_ax_Ed: Number, F_ax_Rd: Number, F_v_Ed: Number, F_v_Rd: Number) -> Number:
    """Nails that are not smooth, pulled along and across their axis; at most 1.

    F_ax_Ed: force along the axis, N
    F_ax_Rd: design resistance to it, N
    F_v_Ed: force across the axis, N
    F_v_Rd: design resistance to it, N
    Returns: -
    Source: EN 1995-1-1:2004+A1, 8.3.3, equation 8.28
    """
    return (F_ax_Ed / F_ax_Rd) ** 2 + (F_v_Ed / F_v_Rd) ** 2


def d_staple(leg_a: Number, leg_b: Number) -> Number:
    """Diameter that stands for the rectangular leg of a staple.

    leg_a: one side of the leg, mm
    leg_b: its other side, mm
    Returns: mm
    Source: EN 1995-1-1:2004+A1, 8.4(2)
    """
    return np.sqrt(leg_a * leg_b)


def M_y_Rk_staple(d: Number) -> Number:
    """Characteristic yield moment of one leg of a staple.

    d: diameter of the leg, mm
    Returns: Nmm
    Source: EN 1995-1-1:2004+A1, 8.4(6), equation 8.29
    """
    return 240 * d**2.6


def F_v_Rk_staple(F_v_Rk: Number, crown: Number) -> Number:
    """Lateral resistance of a staple in one plane: that of two nails, less where the crown lies nearly along the grain.

    F_v_Rk: resistance of one leg as a nail, N
    crown: between the crown and the grain, rad
    Returns: N
    Source: EN 1995-1-1:2004+A1, 8.4(5)
    """
    return np.where(crown > np.pi / 6 * (1 + 1e-9), 2 * F_v_Rk, 0.7 * 2 * F_v_Rk)


@dataclass(frozen=True)
class NailedPart:
    """A part as the nail meets it: its thickness, the length of nail in it (mm), its density (kg/m3); no density for steel.

    ``splits`` is for species that split easily; without another word they do (safe side).
    """

    thickness: float
    length: float
    rho_k: float | None
    splits: bool = True


@dataclass(frozen=True)
class Nail:
    """Kind of table ``nails``, diameter or side (mm), tensile strength of the wire (MPa), predrilled or not, how much larger holes in steel are (mm).

    ``F_ax`` (N) feeds the rope effect and may be left at nothing (safe side). A threaded nail declares its yield moment ``M_y`` (Nmm).
    """

    kind: str
    d: float
    f_u: float
    predrilled: bool
    F_ax: float = 0.0
    hole: float = 0.0
    M_y: float = 0.0


def k_ef(a_1_over_d: float, *, predrilled: bool) -> tuple[float, Cite]:
    """Exponent of the effective number by the spacing in diameters; straight between the rows. Raises OutOfRange under the least row."""
    table = read_table(TABLES, "nail_row_exponent")
    rows = sorted((float(r["a_1"]), float(r["k_ef"])) for r in table if r["hole"] == ("predrilled" if predrilled else "driven"))
    least = rows[0][0]
    what = f"nails {a_1_over_d:.3g} d apart along the grain, at least {least:g} d"
    require(a_1_over_d >= least * (1 - 1e-9), what, f"{DOCUMENT} table 8.1")
    value = float(np.interp(a_1_over_d, [a for a, _ in rows], [k for _, k in rows]))
    return value, table.cite()


def _kind(kind: str) -> tuple[Table, dict[str, str | float]]:
    table = read_table(TABLES, "nails")
    return table, dict(table.find(nail=kind))


def row_number(n: float, a_1: float, d: float, *, predrilled: bool, sheet: Calculation | None = None) -> float:
    """Effective number of the n nails or staples of one row along the grain, a_1 (mm) apart."""
    sheet = sheet or Calculation()
    exponent, cite = k_ef(a_1 / d, predrilled=predrilled)
    return float(sheet(n_ef_nails, n=n, k_ef=sheet.given("k_ef", exponent, "-", cite)))


def _refuse(fastener: Nail, parts: tuple[NailedPart, ...]) -> None:
    """Raise OutOfRange where 8.3.1 or 8.4 leaves the nail or its wood."""
    d, row = fastener.d, _kind(fastener.kind)[1]
    of_kind = f"{DOCUMENT} {row['clause']}"
    limits = {str(r["hole"]): r for r in read_table(TABLES, "nail_limits")}
    most, driven = float(limits["predrilled"]["diameter"]), limits["driven"]
    require(0 < d <= most, f"a nail of {d:g} mm, at most {most:g} mm", f"{DOCUMENT} 8.3.1.1(6)")
    require(fastener.f_u >= float(row["f_u_from"]), f"wire of {fastener.f_u:g} MPa, at least {row['f_u_from']:g} MPa", of_kind)
    point, deep = parts[-1], float(row["penetration"])
    if point.rho_k is not None:
        require(point.length >= deep * d * (1 - 1e-9), f"{point.length:g} mm in the wood of the point, at least {deep:g} diameters", of_kind)
    for part in parts:
        require(0 < part.length <= part.thickness * (1 + 1e-9), "more nail in a part than the part is thick", f"{DOCUMENT} 8.3.1.1(1)")
        if part.rho_k is None or fastener.predrilled:
            continue
        what = f"{part.rho_k:g} kg/m3 and {d:g} mm: predrill over {driven['density']:g} kg/m3 or {driven['diameter']:g} mm"
        may = part.rho_k <= float(driven["density"]) and d <= float(driven["diameter"])
        require(may, what, f"{DOCUMENT} {driven['clause']}")
        if fastener.kind != "staple":
            least = float((t_driven_splitting if part.splits else t_driven)(d, t_density(d, part.rho_k)))
            what = f"wood {part.thickness:g} mm thick nailed without predrilling, at least {least:.3g} mm"
            require(part.thickness >= least * (1 - 1e-9), what, f"{DOCUMENT} 8.3.1.2({7 if part.splits else 6})")


def _member(part: NailedPart, fastener: Nail, sheet: Calculation, name: str) -> Member:
    if part.rho_k is None:
        return Member(part.length, None)
    rho = sheet.given(f"rho_k of the {name}", part.rho_k, "kg/m3", Cite("project", "wood"))
    clause = f_h_k_predrilled if fastener.predrilled else f_h_k_driven
    return Member(part.length, float(sheet(clause, rho_k=rho, d=fastener.d)))


def _fastener(nail: Nail, sheet: Calculation) -> Fastener:
    table, row = _kind(nail.kind)
    if nail.kind == "staple":
        moment = sheet(M_y_Rk_staple, d=nail.d)
    elif nail.kind == "threaded nail":
        require(nail.M_y > 0, "the declared yield moment of a threaded nail is missing", f"{DOCUMENT} 8.3.1.1(4)")
        moment = sheet.given("M_y_Rk", nail.M_y, "Nmm", Cite("project", "declared by tests"))
    else:
        moment = sheet(M_y_Rk_nail, k_M=sheet.given("k_M", float(row["k_M"]), "-", table.cite(row)), f_u=nail.f_u, d=nail.d)
    share = 0.0 if nail.kind == "staple" else dowels.rope_share(str(row["rope"]))
    return Fastener(nail.d, float(moment), nail.F_ax, share, nail.hole)


def lateral_single(nail: Nail, head: NailedPart, point: NailedPart, sheet: Calculation | None = None) -> PlaneValue:
    """One plane between the part under the head and the part that holds the point (8.6, 8.9, 8.10): N and mode. For a staple that of one leg.

    Raises: OutOfRange outside 8.3.1
    """
    _refuse(nail, (head, point))
    sheet = sheet or Calculation()
    first, second = _member(head, nail, sheet, "head side"), _member(point, nail, sheet, "point side")
    return single(first, second, _fastener(nail, sheet), sheet)


def lateral_staple(leg: Nail, head: NailedPart, point: NailedPart, crown: float, width: float, sheet: Calculation | None = None) -> float:
    """F_v_Rk (N) of a staple in one plane.

    leg: one leg, of kind "staple"
    crown: angle between the crown and the grain, 0 to 90 degrees in radians
    width: of the crown, mm
    Raises: OutOfRange for a crown under the least width
    """
    least = float(read_table(TABLES, "staple_crown").find(quantity="width")["least"])
    require(leg.kind == "staple", f"a {leg.kind} is no staple", f"{DOCUMENT} 8.4")
    require(width >= least * leg.d * (1 - 1e-9), f"a crown {width:g} mm wide, at least {least:g} diameters of a leg", f"{DOCUMENT} 8.4(3)")
    sheet = sheet or Calculation()
    one = lateral_single(leg, head, point, sheet)
    return float(sheet(F_v_Rk_staple, F_v_Rk=float(one.F), crown=crown))


def lateral_double(nail: Nail, head: NailedPart, middle: NailedPart, point: NailedPart, sheet: Calculation | None = None) -> PlaneValue:
    """One of two planes; the shorter of head side and point side stands for both (8.3.1.1(1)), the lower embedment of the two as well (ours).

    Raises: OutOfRange outside 8.3.1
    """
    _refuse(nail, (head, middle, point))
    sheet = sheet or Calculation()
    sides = _member(head, nail, sheet, "head side"), _member(point, nail, sheet, "point side")
    between, fastener = _member(middle, nail, sheet, "middle"), _fastener(nail, sheet)
    strengths = [s.f_h for s in sides if s.f_h is not None]
    if len(strengths) == 2:
        side = Member(min(float(s.t) for s in sides), min(float(f) for f in strengths))
        return double(side, between, fastener, sheet)
    return min((double(side, between, fastener, sheet) for side in sides), key=lambda value: float(value.F))


def withdrawal_smooth(nail: Nail, head: NailedPart, point: NailedPart, d_h: float, *, dries: bool, sheet: Calculation | None = None) -> float:
    """F_ax_Rk (N) of a smooth nail in wood. 8.3.2(1): not for forces of permanent or long-term duration; whoever asks must see to it.

    d_h: diameter of the head, mm
    dries: nailed wet and dries under load
    Raises: OutOfRange for a nail in by less than 8 diameters, or steel on the side of the point
    """
    sheet, d, t_pen = sheet or Calculation(), nail.d, point.length
    smooth = nail.kind in ("smooth round nail", "smooth square nail")
    require(smooth, f"a {nail.kind} has no withdrawal strength in the standard: it is declared", f"{DOCUMENT} 8.3.2(6)")
    require(point.rho_k is not None, "withdrawal needs wood on the side of the point", f"{DOCUMENT} 8.3.2")
    least = float(_kind(nail.kind)[1]["penetration"])
    require(t_pen >= least * d * (1 - 1e-9), f"{t_pen:g} mm in the wood of the point, at least {least:g} diameters", f"{DOCUMENT} 8.3.2(7)")
    pull = sheet(f_ax_k_smooth, rho_k=float(point.rho_k or 0.0))
    pull = sheet(f_drying, f_k=pull) if dries else pull
    factor = sheet(k_pen_smooth, t_pen=t_pen, d=d)
    if head.rho_k is None:  # steel lets no head through: the point decides
        whole = sheet(F_ax_Rk_smooth, f_ax_k=pull, d=d, t_pen=t_pen, t=t_pen, f_head_k=0.0, d_h=d_h)
        return float(sheet(F_ax_Rk_short, F_ax_Rk=whole, k_pen=factor))
    through = sheet(f_head_k_smooth, rho_k=head.rho_k)
    through = sheet(f_drying, f_k=through) if dries else through
    whole = sheet(F_ax_Rk_smooth, f_ax_k=pull, d=d, t_pen=t_pen, t=head.thickness, f_head_k=through, d_h=d_h)
    return float(sheet(F_ax_Rk_short, F_ax_Rk=whole, k_pen=factor))
