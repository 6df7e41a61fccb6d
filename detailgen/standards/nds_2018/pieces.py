"""Pieces that are checked in one go: of one section and wood, under the same combinations, their points laid end to end.

A truss has a hundred pieces of a handful of sections, each with few points: one by one most of the time goes into calls, not into numbers.
"""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass

import numpy as np

from detailgen.core.clause import Cite, Number
from detailgen.standards.interface import Demands, Floats, Ints, MemberRequest, WoodGrade
from detailgen.standards.nds_2018.members import bending_length_factors


@dataclass(frozen=True)
class Pieces:
    """Requests as one: the fields of MemberRequest, lengths and bows per point where the pieces differ in them."""

    wheres: tuple[str, ...]  # by piece
    slot: Ints  # per point: piece times number of combinations, plus combination
    owner: Ints  # per point: the piece
    wood: WoodGrade
    thickness: float
    depth: float
    laminations: int
    radius: float
    demands: Demands
    net_area: Floats
    net_modulus: Floats
    condition: Floats
    length_in_plane: Number
    length_out_of_plane: Number
    unbraced_bending: Number
    bow: Number
    zero_moment_length: Number
    connection_depth: Floats | None
    connection_to_end: Floats | None
    k_u: float  # of the effective length in bending, with k_d
    k_d: float
    k_cite: Cite


def alike(request: MemberRequest) -> Hashable:
    """What must be the same for two requests to be checked in one go: all that decides which clauses apply."""
    r, d = request, request.demands
    lengths = (r.length_in_plane, r.length_out_of_plane, r.unbraced_bending, r.zero_moment_length)
    factors = bending_length_factors("any", r.unbraced_bending, r.depth)[:2] if r.unbraced_bending > 0 else ()
    return (
        r.wood, r.thickness, r.depth, r.laminations, r.radius, d.combinations, d.durations, d.stage, d.interim, *(x > 0 for x in lengths), factors,
        r.connection_depth is None or r.connection_to_end is None, len(d.shear) > 0,
    )  # fmt: skip


def _shared(values: Sequence[float], counts: Sequence[int]) -> Number:
    """One value where all pieces have the same, else one per point."""
    return values[0] if len(set(values)) == 1 else np.repeat(np.array(values), counts)


def together(requests: Sequence[MemberRequest]) -> Pieces:
    """Requests that are ``alike`` as one."""
    first, demands = requests[0], [r.demands for r in requests]
    counts = [len(d.axial) for d in demands]
    owner = np.repeat(np.arange(len(requests)), counts)
    joined = demands[0] if len(requests) == 1 else Demands(
        np.concatenate([d.axial for d in demands]), np.concatenate([d.moment for d in demands]), np.concatenate([d.shear for d in demands]),
        np.concatenate([d.station for d in demands]), np.concatenate([d.combination for d in demands]), demands[0].combinations,
        demands[0].durations, demands[0].stage, demands[0].interim,
    )  # fmt: skip
    hung = [r.connection_depth for r in requests if r.connection_depth is not None]
    to_end = [r.connection_to_end for r in requests if r.connection_to_end is not None]
    k_u, k_d, k_cite = bending_length_factors("any", first.unbraced_bending, first.depth)
    return Pieces(
        wheres=tuple(r.where for r in requests), slot=joined.combination + owner * len(joined.combinations), owner=owner, wood=first.wood,
        thickness=first.thickness, depth=first.depth, laminations=first.laminations, radius=first.radius, demands=joined,
        net_area=np.concatenate([r.net_area for r in requests]), net_modulus=np.concatenate([r.net_modulus for r in requests]),
        condition=np.concatenate([r.condition for r in requests]),
        length_in_plane=_shared([r.length_in_plane for r in requests], counts),
        length_out_of_plane=_shared([r.length_out_of_plane for r in requests], counts),
        unbraced_bending=_shared([r.unbraced_bending for r in requests], counts), bow=_shared([r.bow for r in requests], counts),
        zero_moment_length=_shared([r.zero_moment_length for r in requests], counts),
        connection_depth=np.concatenate(hung) if len(hung) == len(requests) else None,
        connection_to_end=np.concatenate(to_end) if len(to_end) == len(requests) else None, k_u=k_u, k_d=k_d, k_cite=k_cite,
    )  # fmt: skip
