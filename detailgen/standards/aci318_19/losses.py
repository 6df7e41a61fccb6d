"""Losses of an external strand along a straight wood chord: friction, seating, elastic interaction, creep, shrinkage, relaxation, temperature.

The standard says which losses count (20.3.2.6.1). Friction and relaxation have printed formulas; the others are compatibility: strand and chord
shorten alike between the anchors, wood creeps by phi and its stress falls meanwhile, which an age-adjusted modulus counts (chi = 1 is exact for
creep that recovers).
"""

from __future__ import annotations

import numpy as np

from detailgen.core.clause import Number, require
from detailgen.core.table import read_table
from detailgen.standards.aci318_19.limits import TABLES


def P_x(P_j: Number, K: Number, l: Number, mu: Number, alpha: Number) -> Number:
    """Force at a distance from the jack.

    P_j: force at the jack, lb
    K: wobble coefficient, 1/ft
    l: length of the run, ft
    mu: friction coefficient at deviations, -
    alpha: sum of the angles of deviation, rad
    Returns: lb
    Source: ACI 318-11, 18.6.2.1, equation 18-1
    """
    return P_j * np.exp(-(K * l + mu * alpha))


def elongation(P: Number, L: Number, A_p: Number, E_p: Number) -> Number:
    """Elongation of the strand itself.

    P: mean force in the strand, lb
    L: length between the grips, in
    A_p: area of the strand, in2
    E_p: modulus of the strand, psi
    Returns: in
    Source: ACI 318-19, 20.3.2.6.1 (mechanics: Hooke's law; compared with the record by 26.10.2)
    """
    return P * L / (A_p * E_p)


def delta_f_seat(slip: Number, L: Number, E_p: Number) -> Number:
    """Loss of stress as the wedges seat, friction along the run being nil.

    slip: travel of the wedges, in
    L: length between the grips, in
    E_p: modulus of the strand, psi
    Returns: psi
    Source: ACI 318-19, 20.3.2.6.1 (mechanics: the strand shortens by the slip)
    """
    return slip / L * E_p


def delta_f_strain(strain: Number, E_p: Number) -> Number:
    """Change of stress of a strand whose length between the anchors changes.

    strain: shortening over length, -
    E_p: modulus of the strand, psi
    Returns: psi
    Source: ACI 318-19, 20.3.2.6.1 (mechanics: Hooke's law)
    """
    return strain * E_p


def delta_P(delta_f: Number, A_p: Number) -> Number:
    """Loss of force of a strand.

    delta_f: loss of stress, psi
    A_p: area of the strand, in2
    Returns: lb
    Source: ACI 318-19, 20.3.2.6.1 (mechanics: stress times area)
    """
    return delta_f * A_p


def strain_temperature(alpha_steel: Number, alpha_wood: Number, dT: Number) -> Number:
    """Strain of a strand that warms with its chord, relative to the wood.

    alpha_steel: expansion of steel, millionths
    alpha_wood: expansion of wood along the grain, millionths
    dT: rise of temperature, F
    Returns: -
    Source: ACI 318-19, 20.3.2.6.1 (mechanics: difference of free expansions)
    """
    return (alpha_steel - alpha_wood) * 1e-6 * dT


def delta_P_elastic(P_later: Number, E_p: Number, A_p: Number, E_w: Number, A_w: Number, A_locked: Number) -> Number:
    """Loss of one locked strand while others are jacked against the same chord.

    P_later: force that is jacked on after it was locked, lb
    E_p: modulus of the strand, psi
    A_p: area of this strand, in2
    E_w: modulus of the wood, psi
    A_w: area of the chord, in2
    A_locked: area of all strands locked before, this one included, in2
    Returns: lb
    Source: ACI 318-19, 20.3.2.6.1 (mechanics: compatibility of chord and locked strands)
    """
    return P_later * E_p * A_p / (E_w * A_w + E_p * A_locked)


def delta_P_creep(P: Number, phi: Number, chi: Number, eps_sh: Number, E_p: Number, A_p: Number, E_w: Number, A_w: Number) -> Number:
    """Loss of all strands together to creep and shrinkage of the chord.

    P: permanent compression of the chord by strands less its tension, lb
    phi: creep coefficient of the wood, -
    chi: ageing coefficient, -
    eps_sh: shrinkage along the grain, -
    E_p: modulus of the strand, psi
    A_p: area of all strands, in2
    E_w: modulus of the wood, psi
    A_w: area of the chord, in2
    n: stiffness of strands over chord, -
    Returns: lb
    Source: ACI 318-19, 20.3.2.6.1 (mechanics: compatibility with the age-adjusted modulus of the wood)
    """
    n = E_p * A_p / (E_w * A_w)
    return E_p * A_p * (phi * P / (E_w * A_w) + eps_sh) / (1 + n * (1 + chi * phi))


def delta_f_relaxation(f_pi: Number, f_py: Number, hours: Number, divisor: Number, from_share: Number) -> Number:
    """Loss of stress of low-relaxation strand held at its length.

    f_pi: stress after lock-off, psi
    f_py: yield stress, psi
    hours: time since lock-off, h
    divisor: constant of the kind of strand, -
    from_share: share of the yield stress under which nothing is lost, -
    Returns: psi
    Source: PCI committee on prestress losses, 1975 (ACI 318-19, 20.3.2.6.1: relaxation counts)
    """
    require(hours >= 1, "relaxation: one hour or more", "PCI committee on prestress losses")
    return f_pi * np.log10(hours) / divisor * np.maximum(f_pi / f_py - from_share, 0.0)


def strand_share(E_p: Number, A_p: Number, E_w: Number, A_w: Number) -> Number:
    """Share of a later axial force that locked strands take beside the chord.

    E_p: modulus of the strand, psi
    A_p: area of all strands, in2
    E_w: modulus of the wood, psi
    A_w: area of the chord, in2
    Returns: -
    Source: ACI 318-19, 20.3.2.6.1 (mechanics: compatibility of chord and strands)
    """
    return E_p * A_p / (E_p * A_p + E_w * A_w)


def N_chord(N_D: Number, P: Number, dN: Number, share: Number) -> Number:
    """Axial force of a chord that is stressed and then loaded.

    N_D: tension at stressing, lb
    P: force of all strands at lock-off, lb
    dN: later axial force of chord and strands together, lb
    share: share of the strands in it, -
    Returns: lb
    Source: ACI 318-19, 20.3.2.6.1 (mechanics: equilibrium: strands being jacked are external forces, locked ones members)
    """
    return N_D - P + (1 - share) * dN


def P_strands(P: Number, dN: Number, share: Number) -> Number:
    """Force of all strands after a later load.

    P: force at lock-off, lb
    dN: later axial force of chord and strands together, lb
    share: share of the strands in it, -
    Returns: lb
    Source: ACI 318-19, 20.3.2.6.1 (mechanics: compatibility of chord and strands)
    """
    return P + share * dN


def expansions() -> tuple[float, float]:
    """Thermal expansion of steel and of wood along the grain, millionths per degree F."""
    table = read_table(TABLES, "expansion")
    steel, wood = (float(table.find(material=m)["per_degree"]) for m in ("steel", "wood along the grain"))
    return steel, wood
