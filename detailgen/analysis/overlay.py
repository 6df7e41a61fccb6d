"""A truss as found and as repaired laid over one another, so that its plies, shores and strands may come and go while it is built.

Where a repair changes nothing a panel stays one element. Where it does, what stays is one, and each ply that goes or comes is another
beside it, between the same joints. Shores and strands are elements of their own.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from detailgen.analysis.build import Modulus, by_ply, panel_name, panels, parts_of
from detailgen.model.assessment import MemberForces
from detailgen.model.frame import FrameModel, Part
from detailgen.model.project import Truss
from detailgen.model.structure import Bools, Floats, FrameResult, Ints, LoadCase, Structure

STAYS, GOES, COMES = "stays", "goes", "comes"
SHORE_E, SHORE_A = 1.2e6, 30.0
"""Stiffness of a shore: a softwood post of 5-1/2 by 5-1/2 in. (ours; a steel prop of the same load is alike within a factor of two)."""
SHORE_HEIGHT = 120.0
"""Height of a shore (in) where nobody surveyed it."""
ALIKE = 1e-9


@dataclass(frozen=True)
class Run:
    """Elements of one panel that come or go together: all plies that stay (ply ""), or one ply that goes or comes."""

    panel: str
    member: str
    ply: str
    life: str
    plies: tuple[str, ...]
    elements: Ints


@dataclass(frozen=True)
class Pull:
    """A run of strands: the element of the repaired frame that stands for all of them, in ``count`` equal ones stressed one after another."""

    element: int
    count: int


@dataclass(frozen=True)
class Overlay:
    """``base`` is the repaired truss's frame of m elements and n joints; ``structure`` has more of both. ``of``: the base element of each, or -1."""

    base: FrameModel
    structure: Structure
    runs: tuple[Run, ...]
    of: Ints
    stiff: Floats  # bending stiffness, by which elements of one panel share a load along it
    shores: Mapping[str, int]
    strands: tuple[int, ...]
    parts: Mapping[str, Mapping[str, tuple[Part, ...]]]  # structure ("found", "repaired") -> panel -> parts
    beside: tuple[Run, ...] = ()  # timbers beside a chord, each by the name of its element

    @cached_property
    def standing_as_found(self) -> list[int]:
        return [int(e) for r in self.runs if r.life in (STAYS, GOES) for e in r.elements]

    @cached_property
    def standing_as_repaired(self) -> list[int]:
        return [int(e) for r in self.runs if r.life in (STAYS, COMES) for e in r.elements]

    def case(self, case: LoadCase, active: Bools) -> LoadCase:
        """A load case of the base on what stands: what lies along a panel goes to its elements by their bending stiffness.

        Where none of them stands it hangs on the joints that they would meet.
        """
        n, m, size = len(self.structure.joints), len(self.structure.ends), len(self.base.length)
        own = self.of >= 0
        weight = np.where(own & active, self.stiff, 0.0)
        whole = np.bincount(self.of[own], weight[own], minlength=size)
        share = np.where(own, weight / np.where(whole[self.of] > 0, whole[self.of], 1.0), 0.0)
        distributed = np.where(own[:, None], case.distributed[self.of] * share[:, None], 0.0)
        nodal = np.zeros((n, 3))
        nodal[: len(case.nodal)] = case.nodal
        for e in np.flatnonzero((whole <= 0) & (np.abs(case.distributed).max(axis=1) > 0)).tolist():
            np.add.at(nodal, (self.base.structure.ends[e], 1), case.distributed[e, 1] * self.base.length[e] / 2)
        beside: dict[int, list[int]] = {}
        for k in np.flatnonzero(own & active).tolist():
            beside.setdefault(int(self.of[k]), []).append(k)
        point = []
        for e, fx, fy, place in case.point:
            if whole[e] > 0:
                point += [(k, float(share[k]) * fx, float(share[k]) * fy, place) for k in beside[e]]
            else:
                for joint, part in zip(self.base.structure.ends[e], (1 - place / self.base.length[e], place / self.base.length[e]), strict=True):
                    nodal[joint, 1] += part * fy
        return LoadCase(case.name, nodal, distributed, tuple(point), np.zeros(m), np.zeros((n, 3)))

    def forces(self, result: FrameResult, runs: Sequence[Run]) -> dict[str, MemberForces]:
        """Forces of these runs by panel; those of one panel are added up."""
        found: dict[str, MemberForces] = {}
        rows = len(result.names)
        for run in runs:
            station = self.base.structure.station[self.of[run.elements]][:, None] + self.base.length[self.of[run.elements]][:, None] * result.fraction
            at = np.minimum(station.ravel(), self.base.member_length[run.panel])
            axial, shear, moment = (v[:, run.elements, :].reshape(rows, -1) for v in (result.axial, result.shear, result.moment))
            before = found.get(run.panel)
            if before is not None:
                axial, shear, moment = axial + before.axial, shear + before.shear, moment + before.moment
            found[run.panel] = MemberForces(run.panel, at, axial, shear, moment)
        return found

    def frame_of(self, structure: str, plies: Mapping[str, Sequence[str]]) -> FrameModel:
        """The base with only these plies of each panel counting (panel -> plies), for checks of what they carry."""
        every = {**self.parts["repaired"], **self.parts[structure]}  # panels that a repair brings stand for nothing before
        held = {name: _only(parts, plies.get(name, ())) for name, parts in every.items()}
        return replace(self.base, parts=held)


def _only(parts: tuple[Part, ...], plies: Sequence[str]) -> tuple[Part, ...]:
    left = [p for p in parts if p.ply in plies and not p.broken]
    axial, bending = sum(p.axial_share for p in left) or 1.0, sum(p.bending_share for p in left) or 1.0
    return tuple(
        replace(p, axial_share=p.axial_share / axial, bending_share=p.bending_share / bending, pulls=p.pulls / bending) if p in left
        else replace(p, broken=True, axial_share=0.0, bending_share=0.0, pulls=0.0)
        for p in parts
    )  # fmt: skip


def lay_over(
    found: Truss, repaired: Truss, base: FrameModel, modulus: Modulus, joints: Sequence[str], strands: Sequence[Pull] = (),
) -> Overlay:  # fmt: skip
    """Lay both over one another.

    base: the frame of the repaired truss
    joints: of the bottom chord, at which a shore may stand
    """
    s = base.structure
    owners, special = np.array(s.member), {p.element for p in strands}
    E, A, I = s.E.copy(), s.A.copy(), s.I.copy()  # noqa: E741
    rows: list[tuple[int, float, float]] = []  # base element, axial and bending stiffness of each element beside it
    runs: list[Run] = []
    parts: dict[str, dict[str, tuple[Part, ...]]] = {"found": {}, "repaired": {}}
    old_members = {m.name: m for m in found.members}
    for member in repaired.members:
        for pair in panels(member):
            name = panel_name(pair)
            pieces = np.flatnonzero(owners == name)
            now = by_ply(repaired, member, pair, modulus, damaged=True)
            was: dict[str, tuple[float, float]] = {}
            old = old_members.get(member.name)
            if old is not None and pair in panels(old):
                was = by_ply(found, old, pair, modulus, damaged=True)
                parts["found"][name] = parts_of(found, old, pair, modulus, damaged=True)
            parts["repaired"][name] = parts_of(repaired, member, pair, modulus, damaged=True)
            stays = [p for p in now if p in was and now[p][0] > 0 and np.allclose(now[p], was[p], rtol=ALIKE, atol=0.0)]
            A[pieces] = sum(now[p][0] for p in stays) / E[pieces]
            I[pieces] = sum(now[p][1] for p in stays) / E[pieces]
            if stays:
                runs.append(Run(name, member.name, "", STAYS, tuple(stays), pieces))
            for life, stiffness in ((GOES, was), (COMES, now)):
                for ply, (axial, bending) in stiffness.items():
                    if ply not in stays and axial > 0:
                        elements = np.arange(len(pieces)) + len(s.ends) + len(rows)
                        rows += [(int(e), axial, bending) for e in pieces]
                        runs.append(Run(name, member.name, ply, life, (ply,), elements))
    gone = A <= 0.0
    A[gone], I[gone] = 1.0, 1.0
    copies = np.array([e for e, _, _ in rows], dtype=np.int64)
    pulls = np.array([p.element for p in strands for _ in range(p.count)], dtype=np.int64)
    both = np.concatenate([copies, pulls])
    counts = np.array([p.count for p in strands for _ in range(p.count)], dtype=float)
    E_beside = E[both]
    A_beside = np.concatenate([np.array([a for _, a, _ in rows]) / E[copies], s.A[pulls] / counts])
    I_beside = np.concatenate([np.array([i for _, _, i in rows]) / E[copies], s.I[pulls]])
    shores, grounds = np.array([s.joint_names.index(j) for j in joints], dtype=np.int64), np.arange(len(joints)) + len(s.joints)
    height = repaired.work.height or SHORE_HEIGHT
    k, m = len(joints), len(s.ends) + len(both)

    def longer(values: Floats | None, beside: Floats, at_shores: float) -> Floats | None:
        return None if values is None else np.concatenate([values, beside, np.full(k, at_shores)])

    E_all = np.concatenate([E, E_beside, np.full(k, SHORE_E)])
    A_all = np.concatenate([A, A_beside, np.full(k, SHORE_A)])
    sense = np.zeros(m + k, dtype=np.int64) if s.sense is None else np.concatenate([s.sense, s.sense[both], np.zeros(k, dtype=np.int64)])
    sense[m:], sense[len(s.ends) + len(copies) : m] = -1, 1
    shear = None if s.shear is None else np.concatenate([s.shear * A / s.A, s.shear[both] * A_beside / s.A[both], np.ones(k)])
    zeros = np.zeros((k, 2))
    structure = Structure(
        joint_names=(*s.joint_names, *(f"base of {j}" for j in joints)),
        joints=np.concatenate([s.joints, s.joints[shores] - (0.0, height)]),
        ends=np.concatenate([s.ends, s.ends[both], np.column_stack([grounds, shores])]), E=E_all, A=A_all,
        I=np.concatenate([I, I_beside, np.ones(k)]), spring=np.concatenate([s.spring, s.spring[both], zeros]),
        offset=np.concatenate([s.offset, s.offset[both], np.zeros((k, 2, 2))]), fixed=np.concatenate([s.fixed, np.ones((k, 3), dtype=bool)]),
        member=(*s.member, *(s.member[e] for e in both), *(f"shore {j}" for j in joints)),
        station=np.concatenate([s.station, s.station[both], np.zeros(k)]), shear=shear,
        slip=longer(s.slip, s.slip[both] if s.slip is not None else np.zeros(0), np.inf),
        support_spring=None if s.support_spring is None else np.concatenate([s.support_spring, np.zeros((k, 3))]), sense=sense,
    )  # fmt: skip
    of = np.concatenate([np.arange(len(s.ends)), copies, np.full(len(pulls) + k, -1)])
    of[[*special]] = -1
    stiff = np.where(of >= 0, structure.E * structure.I, 0.0)
    beside = tuple(Run(x.element, x.chord, "", COMES, (), np.flatnonzero(owners == x.element)) for x in repaired.side_members)
    return Overlay(
        base, structure, tuple(runs), of, stiff, {j: m + i for i, j in enumerate(joints)},
        tuple(range(len(s.ends) + len(copies), m)), parts, beside,
    )  # fmt: skip
