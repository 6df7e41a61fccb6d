"""Plates of bolted splices, many at once: PlateLayouts in, PlateValues out. ``checks.py`` runs the same functions on one plate.

The bolts of one side stand in ``rows`` (along the plate) by ``per_row``, evenly about the plate's middle. In tension they bear toward the
plate's end, in compression toward the cut.

Blocks (J4.3): between the plate's edges and its rows lie strips. A block is any choice of strips that tear out while the others stay: at a row
between a strip that goes and one that stays there is one shear plane, at a row between two that stay there are two, at a row between two that go
there is none. All go: rupture of the net section; all stay: tear-out of the bolts; both have clauses of their own. The least block counts.

Effective length (table effective_length): two or more bolt columns on each side of the cut press the plate flat on the wood, so that it
leaves them straight, and the plies hold it in line: fixed ends without sway, K = 0.65 (recommended value of the commentary's table). A single
column holds a place and no direction: pinned ends, K = 1.0.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable
from functools import cache

import numpy as np

from detailgen.core.clause import Calculation, Cite
from detailgen.core.table import read_table
from detailgen.standards.aisc360_16 import bolt_holes, compression, strength, tension
from detailgen.standards.aisc360_16.strength import TABLES, available, available_moment
from detailgen.standards.interface import ALLOWABLE_STRESS, Floats, PlateLayouts, PlateValues

Capacity = Callable[[PlateLayouts, Calculation, str], Floats]
YIELD, RUPTURE, BLOCK, BEARING, BUCKLING, BENDING = "yield", "rupture", "block shear", "bearing and tear-out", "yield or buckling", "bending"
END, EDGE, SPACING, GAUGE = "plate end distance", "plate edge distance", "plate spacing", "plate gauge"


def _array(value: object) -> Floats:
    return np.asarray(value, dtype=float)


def tension_yield(plate: PlateLayouts, sheet: Calculation, method: str = ALLOWABLE_STRESS) -> Floats:
    A_g = sheet(tension.A_g, w=plate.width, t=plate.thickness)
    R_n = sheet(tension.R_n_yield, F_y=plate.F_y, A_g=A_g)
    return _array(available(R_n, "tension yield", sheet, method))


def tension_rupture(plate: PlateLayouts, sheet: Calculation, method: str = ALLOWABLE_STRESS) -> Floats:
    A_g = sheet(tension.A_g, w=plate.width, t=plate.thickness)
    d_net = sheet(tension.d_net, d_h=plate.hole)
    A_n = sheet(tension.A_n, w=plate.width, t=plate.thickness, n_holes=plate.rows, d_net=d_net)
    A_e = sheet(tension.A_e_splice, A_n=A_n, A_g=A_g)
    R_n = sheet(tension.R_n_rupture, F_u=plate.F_u, A_e=A_e)
    return _array(available(R_n, "tension rupture", sheet, method))


@cache
def blocks(rows: int) -> tuple[tuple[int, int, int], ...]:
    """Blocks of a plate with so many rows: (shear planes, strips to an edge, strips between rows); those that another beats are left out."""
    found = set()
    for out in itertools.product((0, 1), repeat=rows + 1):
        if 0 < sum(out) < len(out):
            planes = sum(2 - a - b for a, b in itertools.pairwise(out))
            found.add((planes, out[0] + out[-1], sum(out[1:-1])))
    return tuple(sorted(b for b in found if not any(a != b and all(x <= y for x, y in zip(a, b, strict=True)) for a in found)))


def edge_of(plate: PlateLayouts) -> Floats:
    """From the outer rows to the plate's edges (in)."""
    return (plate.width - (plate.rows - 1) * plate.gauge) / 2


def _least_block(plate: PlateLayouts) -> tuple[Floats, Floats, Floats]:
    """The block that tears out first: shear planes, strips to an edge, strips between rows, per plate."""
    d_net = tension.d_net(plate.hole)
    length = tension.L_v(plate.end, plate.per_row, plate.spacing)
    one_A_gv, one_A_nv = tension.A_gv(1.0, length, plate.thickness), tension.A_nv(1.0, length, plate.per_row, d_net, plate.thickness)
    one_edge = tension.A_nt(1.0, edge_of(plate), 0.0, plate.gauge, d_net, plate.thickness)
    one_gap = tension.A_nt(0.0, edge_of(plate), 1.0, plate.gauge, d_net, plate.thickness)
    plane = _array(tension.R_n_block(plate.F_u, one_A_nv, plate.F_y, one_A_gv, 1.0, 0.0))
    chosen = np.zeros((3, plate.rows.size))
    for count in np.unique(plate.rows).tolist():
        here = np.flatnonzero(plate.rows == count)
        trials = np.array(blocks(int(count)), dtype=float)
        values = np.stack([plane[here], plate.F_u * _array(one_edge)[here], plate.F_u * _array(one_gap)[here]])
        chosen[:, here] = trials[np.argmin(trials @ values, axis=0)].T
    return chosen[0], chosen[1], chosen[2]


def block_shear(plate: PlateLayouts, sheet: Calculation, method: str = ALLOWABLE_STRESS) -> Floats:
    planes, edges, gaps = _least_block(plate)
    d_net = sheet(tension.d_net, d_h=plate.hole)
    length = sheet(tension.L_v, end=plate.end, n=plate.per_row, s=plate.spacing)
    A_gv = sheet(tension.A_gv, n_planes=planes, L_v=length, t=plate.thickness)
    A_nv = sheet(tension.A_nv, n_planes=planes, L_v=length, n=plate.per_row, d_net=d_net, t=plate.thickness)
    A_nt = sheet(tension.A_nt, n_edges=edges, edge=edge_of(plate), n_gaps=gaps, g=plate.gauge, d_net=d_net, t=plate.thickness)
    U_bs = sheet.given("U_bs", 1.0, "-", Cite(strength.DOCUMENT, "J4.3 (uniform tension)"))
    R_n = sheet(tension.R_n_block, F_u=plate.F_u, A_nv=A_nv, F_y=plate.F_y, A_gv=A_gv, U_bs=U_bs, A_nt=A_nt)
    return _array(available(R_n, "block shear", sheet, method))


def _bearing(plate: PlateLayouts, sheet: Calculation, clear: Floats, method: str) -> Floats:
    between = sheet(bolt_holes.l_c_between, s=plate.spacing, d_h=plate.hole)
    outer = sheet(bolt_holes.R_n_bolt, l_c=clear, t=plate.thickness, d=plate.diameter, F_u=plate.F_u)
    inner = sheet(bolt_holes.R_n_bolt, l_c=between, t=plate.thickness, d=plate.diameter, F_u=plate.F_u)
    R_n = sheet(bolt_holes.R_n_bolts, rows=plate.rows, R_n_outer=outer, n=plate.per_row, R_n_inner=inner)
    return _array(available(R_n, "bearing and tear-out", sheet, method))


def bearing_to_end(plate: PlateLayouts, sheet: Calculation, method: str = ALLOWABLE_STRESS) -> Floats:
    return _bearing(plate, sheet, sheet(bolt_holes.l_c_end, end=plate.end, d_h=plate.hole), method)


def bearing_to_cut(plate: PlateLayouts, sheet: Calculation, method: str = ALLOWABLE_STRESS) -> Floats:
    return _bearing(plate, sheet, sheet(bolt_holes.l_c_between, s=plate.free, d_h=plate.hole), method)


def buckling(plate: PlateLayouts, sheet: Calculation, method: str = ALLOWABLE_STRESS) -> Floats:
    table = read_table(TABLES, "effective_length")
    one, more = (float(table.find(held_by=x)["K"]) for x in ("one bolt column", "two or more bolt columns"))
    E = strength.elastic_modulus(sheet)
    K = sheet.given("K", np.where(plate.per_row > 1, more, one), "-", table.cite())
    length = sheet(compression.L_free, free=plate.free, s=plate.spacing, n=plate.per_row)
    slender = sheet(compression.slenderness, K=K, L=length, r=sheet(compression.r, t=plate.thickness))
    F_e = sheet(compression.F_e, E=E, slenderness=slender)
    F_cr = sheet(compression.F_cr, F_y=plate.F_y, F_e=F_e, E=E, slenderness=slender)
    P_n = sheet(compression.P_n, F_cr=F_cr, A_g=sheet(tension.A_g, w=plate.width, t=plate.thickness))
    return _array(available(P_n, "compression", sheet, method))


def bending(plate: PlateLayouts, sheet: Calculation, method: str = ALLOWABLE_STRESS) -> Floats:
    """Moment (in-lb) that the method allows in the plate's plane."""
    E = strength.elastic_modulus(sheet)
    C_b = sheet.given("C_b", 1.0, "-", Cite(strength.DOCUMENT, "F1 (no credit for the moment's shape)"))
    M_n = sheet(compression.M_n_yield, F_y=plate.F_y, L_b=plate.free, w=plate.width, t=plate.thickness, E=E, C_b=C_b)
    whole = available_moment(M_n, "bending yield", sheet, method)
    d_net = sheet(tension.d_net, d_h=plate.hole)
    Z_net = sheet(compression.Z_net, w=plate.width, t=plate.thickness, rows=plate.rows, g=plate.gauge, d_net=d_net)
    M_n = sheet(compression.M_n_rupture, F_u=plate.F_u, Z_net=Z_net)
    net = available_moment(M_n, "bending rupture", sheet, method)
    return np.minimum(_array(whole), _array(net))


IN_TENSION: dict[str, tuple[Capacity, str]] = {
    YIELD: (tension_yield, "J4.1(a)"),
    RUPTURE: (tension_rupture, "J4.1(b)"),
    BLOCK: (block_shear, "J4.3"),
    BEARING: (bearing_to_end, "J3.10"),
}
IN_COMPRESSION: dict[str, tuple[Capacity, str]] = {BUCKLING: (buckling, "J4.4, E3"), BEARING: (bearing_to_cut, "J3.10")}


def least_distances(plate: PlateLayouts) -> dict[str, tuple[Floats, Floats]]:
    """Name -> (least, provided), in. A distance that the plate does not have (one bolt in a row, one row) asks for nothing."""
    edge = bolt_holes.least_edge_distance(plate.diameter)
    spacing = bolt_holes.least_spacing(plate.diameter, plate.hole)
    return {
        END: (edge, plate.end),
        EDGE: (edge, edge_of(plate)),
        SPACING: (np.where(plate.per_row > 1, spacing, 0.0), plate.spacing),
        GAUGE: (np.where(plate.rows > 1, spacing, 0.0), plate.gauge),
    }


def greatest_distances(plate: PlateLayouts) -> dict[str, tuple[Floats, Floats]]:
    """Name -> (greatest, provided), in. J3.5 speaks of spacing along the plate; the same is asked across it (ours)."""
    edge, _ = bolt_holes.greatest_distance("edge", plate.thickness)
    spacing, _ = bolt_holes.greatest_distance("spacing", plate.thickness)
    return {
        END: (edge, plate.end),
        EDGE: (edge, edge_of(plate)),
        SPACING: (spacing, np.where(plate.per_row > 1, plate.spacing, 0.0)),
        GAUGE: (spacing, np.where(plate.rows > 1, plate.gauge, 0.0)),
    }


def plate_values(layouts: PlateLayouts, method: str = ALLOWABLE_STRESS) -> PlateValues:
    """Forces (lb) and moment (in-lb) that the method allows, least and greatest distances (in), per layout (L,).

    Raises: OutOfRange for a bolt under 1/2 in. or a free length of zero
    """
    return PlateValues(
        tension={name: capacity(layouts, Calculation(), method) for name, (capacity, _) in IN_TENSION.items()},
        compression={name: capacity(layouts, Calculation(), method) for name, (capacity, _) in IN_COMPRESSION.items()},
        bending=bending(layouts, Calculation(), method),
        least=least_distances(layouts),
        greatest=greatest_distances(layouts),
    )
