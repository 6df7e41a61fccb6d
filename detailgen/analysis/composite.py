"""Two parts that act as one: transformed section, and a side member added to one that already carries load. Statics; no document."""

from __future__ import annotations

from dataclasses import dataclass

from detailgen.core.clause import Number


@dataclass(frozen=True)
class TwoParts:
    """Rectangles side by side over the same depth, bent across their joint; lengths in inches, psi."""

    centroid: Number  # from the first part's far face, in
    EI: Number  # lb-in2
    ratio: Number  # EI over that of the first part alone


def transformed_section(E_1: Number, b_1: Number, E_2: Number, b_2: Number, h: Number) -> TwoParts:
    """A part b_1 thick and one b_2 thick glued to its face, both h deep, bent over their thickness."""
    A_1, A_2 = E_1 * b_1 * h, E_2 * b_2 * h
    y_1, y_2 = b_1 / 2, b_1 + b_2 / 2
    y = (A_1 * y_1 + A_2 * y_2) / (A_1 + A_2)
    own = A_1 * b_1**2 / 12
    EI = own + A_1 * (y - y_1) ** 2 + A_2 * b_2**2 / 12 + A_2 * (y_2 - y) ** 2
    return TwoParts(y, EI, EI / own)


@dataclass(frozen=True)
class Widened:
    """A section widened from b_1 to b_2 by a glued piece of the same wood: factors on its first self."""

    inertia: Number
    area: Number
    F_cE: Number
    slenderness: Number
    centroid_shift: Number  # in


def widened(b_1: Number, b_2: Number) -> Widened:
    """What a glued sister on one face does to a member that buckles over its thickness (in)."""
    factor = b_2 / b_1
    return Widened(factor**3, factor, factor**2, 1 / factor, (b_2 - b_1) / 2)


@dataclass(frozen=True)
class Shared:
    """Axial forces (lb) of an old member and its side member, and the old member's stresses (psi)."""

    N_1: Number
    N_2: Number
    share_old: Number
    sigma_dead: Number  # under the force locked in, whole section
    sigma_net: Number  # with the side member, at its new holes
    sigma_alone: Number  # without it, whole section
    sigma_unstaged: Number  # as if both had carried everything from the start: wrong, to compare


def staged_sister(
    *, E_1: Number, A_1: Number, E_2: Number, A_2: Number, N_dead: Number, N_later: Number, holes: Number = 0.0, efficiency: Number = 1.0,
    weight: Number = 0.0, relieved: Number = 0.0,
) -> Shared:  # fmt: skip
    """A side member fitted to a member that carries N_dead: it takes part only of what comes later.

    E psi, A in2, N lb; holes: area of the old member that its fasteners take, in2; efficiency: of its fastening, 0 to 1, on its stiffness
    weight: force that its own weight adds, lb; relieved: part of N_dead that is jacked off while it is fitted, 0 to 1
    """
    k_1, k_2 = E_1 * A_1, efficiency * E_2 * A_2
    later = relieved * N_dead + N_later + weight
    old = k_1 / (k_1 + k_2)
    N_1 = (1 - relieved) * N_dead + old * later
    return Shared(N_1, later * (1 - old), old, N_dead / A_1, N_1 / (A_1 - holes), (N_dead + N_later) / A_1, (N_dead + N_later) / (A_1 + A_2))


def crept_over(*, E_1: Number, A_1: Number, E_2: Number, A_2: Number, N_dead: Number, phi_old: Number, phi_new: Number, chi: Number) -> Number:
    """Force (lb) that creep moves in the long run from an old member under N_dead to the side member fitted to it.

    phi_old: creep that the old member still has before it, phi_new: that of the side member, chi: aging coefficient (1: recoverable creep)
    """
    k_1, k_2 = E_1 * A_1, E_2 * A_2
    return N_dead * phi_old / k_1 / ((1 + chi * phi_old) / k_1 + (1 + chi * phi_new) / k_2)
