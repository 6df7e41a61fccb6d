"""A chord with timbers beside it: what was there before them stays in the old chord, what comes later they share with it.

Dead load, their own weight in it, meets the chord as it was; every other load meets chord and timbers side by side. Where shores lifted part of the
dead load off while they were fitted, that part meets both. The timbers have elements of their own in the frame, so each is judged for what it gets.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import replace

import numpy as np

from detailgen.analysis.build import SIDE
from detailgen.analysis.extremes import true_moments
from detailgen.analysis.frame import solve
from detailgen.assessment.sections import Hole, depth_at_connection, holes_of, net_section
from detailgen.model.added import SideMember
from detailgen.model.assessment import Floats, Forces, Place
from detailgen.model.frame import FrameModel
from detailgen.model.member import Member, Wood
from detailgen.model.project import Truss
from detailgen.model.structure import Bools, FrameResult, LoadCase
from detailgen.standards.interface import Demands, MemberRequest, WoodGrade, WoodStandard

DEAD = "D"
WHAT = ("displacement", "reaction", "axial", "shear", "moment", "end_moment")
MUCH = 0.25
"""Combinations with less than this part of the greatest force in a chord do not say how much of it passes on (ours)."""
PASSED = 12.0
"""Holes for bolts of webs weaken a timber at stations within this distance (in) of them (ours; stations are at the joints and between)."""
AT_END = 0.15
"""The part of a timber's length at each end over which its end bolts hang load on it (ours): shear counts there as at a connection."""


def solve_as_built(
    model: FrameModel, cases: Sequence[LoadCase], active: Bools, lifted: float = 0.0, fitted: Sequence[SideMember] = (),
) -> FrameResult:  # fmt: skip
    """Answers to all load cases on what stands in the end; where there are timbers beside a chord, dead load on what stood before them.

    lifted: the part of the dead load (0 to 1) that was taken off while they were fitted
    fitted: the timbers; what is jacked meanwhile pushes the truss without them and is let down on the truss with them, and their bolts run through
        their play before they pull: what dead load does not open of it, each later load has to (ours: exact for one later load in full)
    Raises: Unstable
    """
    after = solve(model.structure, cases, active=active)
    side = model.is_kind(SIDE)
    if not side.any():
        return after
    row = [c.name for c in cases].index(DEAD)
    jacks = _jacked(model, jacks_of(fitted))
    before = solve(model.structure, [cases[row], jacks], active=active & ~side)
    late = solve(model.structure, [jacks, *(_lacking(model, s) for s in fitted)], active=active) if fitted else None
    changed = {}
    for what in WHAT:
        values = getattr(after, what).copy()
        dead, push = getattr(before, what)
        values[row] = (1 - lifted) * dead + lifted * values[row]
        if late is not None:
            values[row] += push - getattr(late, what)[0]
        changed[what] = values
    for k, one in enumerate(fitted, start=1):
        own = np.array(model.structure.member) == one.element
        if late is None or one.tight or one.play <= 0 or not own.any():
            continue
        opened = _opened(changed["axial"][:, own].mean(axis=(1, 2)), -float(late.axial[k, own].mean()), row)
        for what, values in changed.items():
            lack = getattr(late, what)[k]
            values += opened.reshape(-1, *(1,) * lack.ndim) * lack
    return replace(after, **changed)


def _opened(pull: Floats, play: float, row: int) -> Floats:
    """Which part of its play each load case opens: dead load (``row``) first, each later one what is left.

    pull: on a timber without play, by load case (lb); play: the force (lb) that would open all of it
    """
    first = min(max(float(pull[row]) / play, 0.0), 1.0)
    found: Floats = np.clip(pull / play, 0.0, 1.0 - first)
    found[row] = first
    return found


def jacks_of(fitted: Sequence[SideMember]) -> dict[str, float]:
    """What is jacked under each joint (lb) while timbers are fitted: all of them while it is there, of two wishes for one joint the greater."""
    found: dict[str, float] = {}
    for joint, force in (pair for s in fitted for pair in s.jacks):
        found[joint] = max(found.get(joint, 0.0), force)
    return found


def _nothing(model: FrameModel, name: str) -> LoadCase:
    n, m = len(model.structure.joints), len(model.structure.ends)
    return LoadCase(name, np.zeros((n, 3)), np.zeros((m, 2)), (), np.zeros(m), np.zeros((n, 3)))


def _jacked(model: FrameModel, jacks: Mapping[str, float]) -> LoadCase:
    """Jacks that push joints up."""
    case = _nothing(model, "jacks")
    for joint, force in jacks.items():
        case.nodal[model.structure.joint_names.index(joint), 1] += force
    return case


def _lacking(model: FrameModel, side: SideMember) -> LoadCase:
    """What the bolts of a timber run through before they pull, as if it were so much longer than its place."""
    case = _nothing(model, f"play of {side.name}")
    case.strain[np.array(model.structure.member) == side.element] = side.play / side.length
    return case


def beside_of(truss: Truss, member: Member, pair: tuple[str, str]) -> list[SideMember]:
    """The timbers beside a chord between two of its joints."""
    if member.kind == "web":
        return []
    low, high = (truss.joints[j][0] for j in pair)
    return [s for s in truss.side_members if s.chord == member.name and s.share_in(low, high) > 0]


def eccentric(beside: SideMember, thickness: float, depth: float, chord: float, own: float, passed: float = 1.0) -> tuple[float, float]:
    """How far off their axes (in) chord and timber carry their axial forces where the timber stands on one face only: (chord, timber).

    What passes from one to the other makes a moment about the upright axis, which both share by stiffness.
    chord, own: modulus of elasticity (psi); passed: force in the timber over that in the chord
    """
    if len(beside.sides) > 1:
        return 0.0, 0.0
    arm = (thickness + beside.thickness) / 2
    stiff, beside_it = chord * depth * thickness**3, own * beside.depth * beside.thickness**3
    return passed * arm * stiff / (stiff + beside_it), arm * beside_it / (stiff + beside_it)


def passed_on(beside: SideMember, forces: Forces, panel: str) -> float:
    """The greatest force in a timber over that in its chord in the same combination, of those that press or pull the chord most."""
    if beside.element not in forces.members:
        return 0.0
    own, chord = (np.abs(forces.members[name].axial.mean(axis=1)) for name in (beside.element, panel))
    much = chord > MUCH * chord.max(initial=0.0)
    return float((own[much] / chord[much]).max(initial=0.0))


def place_of(beside: SideMember) -> str:
    """Its name for people."""
    return f"side member of the {beside.chord} {beside.at}"


def check_beside(
    truss: Truss, model: FrameModel, forces: Forces, standard: WoodStandard, grade_of: Callable[[Wood], WoodGrade],
    only: Collection[str] | None = None,
) -> tuple[Place, ...]:  # fmt: skip
    """The timbers beside chords, each judged as a piece by itself under its share of the force.

    Against buckling in the truss's plane it counts with its whole length, out of it between its bolts, which hold it to the chord.
    """
    asked = [(s, request(truss, s, forces, standard, grade_of)) for s in truss.side_members if s.element in forces.members]
    asked = [(s, r) for s, r in asked if only is None or place_of(s) in only]
    answers = standard.member_checks([r for _, r in asked])
    return tuple(Place(SIDE, s.element, s.name, place_of(s), tuple(found)) for (s, _), found in zip(asked, answers, strict=True))


def request(truss: Truss, beside: SideMember, forces: Forces, standard: WoodStandard, grade_of: Callable[[Wood], WoodGrade]) -> MemberRequest:
    """One of the timbers: those on both faces share alike."""
    f = forces.members[beside.element]
    count, stations = f.axial.shape
    share = 1 / len(beside.sides)
    holes = holes_of(beside.bolts)
    area, modulus = _left(beside, f.station, holes, standard.one_section())
    hung, to_end = _at_ends(beside, f.station, holes)
    member = truss.member(beside.chord)
    ply = member.plies[-1]
    moduli = (standard.stiffness(grade_of(w.wood), w.thickness, w.depth).E for w in (ply, beside))
    radius = truss.arc.radius if member.kind == "top chord" and truss.curved and truss.arc is not None else 0.0
    points = count * stations
    demands = Demands(
        axial=(f.axial * share).ravel(), moment=(true_moments(f) * share).ravel(), shear=(f.shear * share).ravel(),
        station=np.tile(f.station, count), combination=np.repeat(np.arange(count), stations),
        combinations=tuple(c.name for c in forces.combinations), durations=tuple(c.duration for c in forces.combinations), stage=forces.stage,
        interim=tuple(c.interim for c in forces.combinations),
    )  # fmt: skip
    return MemberRequest(
        where=place_of(beside), wood=grade_of(beside.wood), thickness=beside.thickness, depth=beside.depth, demands=demands,
        net_area=np.tile(area, count), net_modulus=np.tile(modulus, count), condition=np.ones(points), length_in_plane=beside.length,
        length_out_of_plane=beside.spacing, unbraced_bending=beside.spacing, bow=eccentric(beside, ply.thickness, ply.depth, *moduli)[1],
        zero_moment_length=beside.length, radius=radius, connection_depth=np.tile(hung, count), connection_to_end=np.tile(to_end, count),
    )  # fmt: skip


def _left(beside: SideMember, station: Floats, holes: tuple[Hole, ...], together: float) -> tuple[Floats, Floats]:
    """Net area and net section modulus at each station: the bolts' holes all along it, the pockets over old bolts where they are."""
    area, modulus = (np.full(len(station), v) for v in net_section(beside.thickness, beside.depth, holes, together))
    pockets = tuple(Hole(*p, p[2]) for p in beside.pockets)
    for k, at in enumerate(station - float(station[-1]) / 2 if pockets else ()):
        here = tuple(p for p in pockets if abs(p.along - at) <= PASSED)
        if here:
            less = net_section(beside.thickness, beside.depth, here, together)
            area[k], modulus[k] = min(area[k], less[0]), min(modulus[k], less[1])
    return area, modulus


def _at_ends(beside: SideMember, station: Floats, holes: tuple[Hole, ...]) -> tuple[Floats, Floats]:
    """Depth that counts for shear at stations where the end bolts hang load on it, and their distance from the end; inf elsewhere."""
    length = float(station[-1])
    near = np.minimum(station, length - station) <= AT_END * length
    to_end = max(beside.length / 2 - max(abs(h.along) for h in holes), 0.0)
    depth = depth_at_connection(beside.depth, [h.across for h in holes], np.zeros(1))
    return np.where(near, depth, np.inf), np.where(near, to_end, np.inf)
