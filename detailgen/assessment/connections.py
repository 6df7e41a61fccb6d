"""Checks of surveyed bolted ends and splices, asked of the wood standard run by run."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace

import numpy as np

from detailgen.analysis.build import panel_name, panels
from detailgen.assessment.bolts import BoltGroup, GroupPart, Run, beyond, group_of_connection, group_of_splice
from detailgen.assessment.heels import REACH, check_heel, condition_of, end_condition, heel_name
from detailgen.assessment.members import grade_of, place_name
from detailgen.core.clause import Cite
from detailgen.core.result import CheckResult, cannot_be_checked
from detailgen.model.added import END_GRAIN, Splice
from detailgen.model.assessment import Floats, Forces, Place
from detailgen.model.frame import FrameModel
from detailgen.model.member import Bolts, Connection, EndBearing
from detailgen.model.project import Truss
from detailgen.standards.anchorage import SteelPartStandard
from detailgen.standards.interface import BearingRequest, ConnectedPart, ConnectionRequest, WoodStandard

SURVEY = Cite("survey", "connections")
REVERSAL_FRACTION, REVERSAL_FORCE = 0.05, 500.0
"""A group reverses if the opposite force exceeds 5 % of the governing one or 500 lb (DECISIONS 5, ours)."""


def reverses(axial: Floats) -> bool:
    """Does a bolt group see force of both signs that matters? axial: lb, all combinations."""
    tension, compression = max(float(axial.max()), 0.0), max(float(-axial.min()), 0.0)
    smaller, larger = sorted((tension, compression))
    return smaller > min(REVERSAL_FRACTION * larger, REVERSAL_FORCE) and smaller > 0.0


def _part(part: GroupPart, condition: float, count: int) -> ConnectedPart:
    return ConnectedPart(
        name=part.name, material="wood" if part.wood else "steel", thickness=part.thickness, side=part.side, load_angle=part.load_angle,
        bolts=part.bolts[:count], ends=part.ends, edges=(-part.depth / 2, part.depth / 2), wood=grade_of(part.wood) if part.wood else None,
        bearing_strength=part.bearing_strength, condition=condition,
        per_row=part.per_row,
    )  # fmt: skip


def _check_run(where: str, run: Run, bolts: Bolts, condition: float, axial: Floats, forces: Forces, standard: WoodStandard) -> list[CheckResult]:
    carried = " and ".join(p.name for p in run.parts if p.side == "member")
    place = f"{where}, {carried}"
    if run.why_not:
        return [cannot_be_checked(place, "bolts", run.why_not, SURVEY, stage=forces.stage)]
    standing = len(bolts.positions) - bolts.missing
    if standing < 1:
        return [cannot_be_checked(place, "bolts", "no bolt is left in this group", SURVEY, stage=forces.stage)]
    shared = axial * run.share
    request = ConnectionRequest(
        where=place, diameter=bolts.diameter, bolt_bending_yield=bolts.bending_yield,
        parts=tuple(_part(p, condition, standing) for p in run.parts), gaps=tuple(0.0 for _ in run.parts[1:]), axial=shared,
        combinations=tuple(c.name for c in forces.combinations), durations=tuple(c.duration for c in forces.combinations),
        reverses=reverses(shared), stage=forces.stage, root_diameter=bolts.root, distances=forces.distances,
    )  # fmt: skip
    return list(standard.connection_checks(request))


def _condition(truss: Truss, name: str, surveyed: float, *, damaged: bool) -> float:
    """Condition of a connection: as surveyed, times what a 'failed connector' leaves."""
    for damage in truss.damage if damaged else ():
        if damage.kind == "failed connector" and damage.connection == name:
            surveyed *= damage.factor
    return surveyed


def _at_the_heel(truss: Truss, connection: Connection) -> float:
    """What splits, checks and decay leave of a chord about its bolts at a heel."""
    member = truss.member(connection.member)
    if member.kind == "web":
        return 1.0
    x, way = truss.joints[connection.joint][0], 1.0 if connection.joint == member.joints[0] else -1.0
    along = [x + way * a for a, _ in connection.bolts.positions]
    return condition_of(truss, member, min(along) - REACH, max(along) + REACH)


def _bolts(bolts: Bolts, *, damaged: bool) -> Bolts:
    return bolts if damaged else replace(bolts, missing=0)


def end_name(truss: Truss, name: str, joint: str) -> str:
    """A member's end for people: 'web U2-L3 at L3'."""
    member = truss.member(name)
    pairs = panels(member)
    return f"{place_name(member, pairs[0] if joint == pairs[0][0] else pairs[-1])} at {joint}"


def splice_name(splice: Splice) -> str:
    """A splice for people; one that the survey gave no name is told by its place."""
    owner = f"of the {splice.ply} ply of the {splice.chord}"
    unnamed = splice.name.startswith(splice.chord)
    return f"splice {owner} at {splice.name.rpartition(' at ')[2]}" if unnamed else f"splice {splice.name} {owner}"


def check_connection(truss: Truss, model: FrameModel, connection: Connection, forces: Forces, standard: WoodStandard, *, damaged: bool) -> Place:
    """A member's bolted end under the force that the member brings."""
    group = group_of_connection(truss, model, connection)
    where = end_name(truss, connection.member, connection.joint)
    blocks = connection.blocks
    if blocks is None:
        results = _runs(truss, where, connection, group, forces, standard, damaged=damaged)
    else:
        pushed = replace(connection, bolts=blocks.bolts, pads=blocks.pads, plates=(), fillers=(), blocks=None)
        on_blocks = group_of_connection(truss, model, pushed)
        results = (
            *_runs(truss, where, connection, group, forces, standard, damaged=damaged, only=1),
            *_runs(truss, f"{where} on its blocks", pushed, on_blocks, forces, standard, damaged=damaged, only=-1),
        )
    return Place("connection", group.panel, connection.joint, where, results)


def check_splice(truss: Truss, model: FrameModel, splice: Splice, forces: Forces, standard: WoodStandard, *, damaged: bool) -> Place:
    """A butt joint of one ply under the force of that ply."""
    group = group_of_splice(truss, model, splice)
    where = splice_name(splice)
    if splice.bolts is None:
        if splice.behaviour == "one ply continuous":
            return Place("splice", group.panel, splice.name, where, ())  # nothing crosses the cut: the other plies carry all
        missing = cannot_be_checked(where, "bolts", "no bolts of this splice were surveyed", SURVEY, stage=forces.stage)
        return Place("splice", group.panel, splice.name, where, (missing,))
    results = _runs(truss, where, splice, group, forces, standard, damaged=damaged)
    new = beyond(truss, splice)
    if new is not None:
        group = group_of_splice(truss, model, splice, new)
        results += _runs(truss, f"{where}, in the new piece", splice, group, forces, standard, damaged=damaged)
    return Place("splice", group.panel, splice.name, where, results)


def _runs(
    truss: Truss, where: str, owner: Connection | Splice, group: BoltGroup, forces: Forces, standard: WoodStandard, *, damaged: bool, only: int = 0,
) -> tuple[CheckResult, ...]:  # fmt: skip
    if owner.bolts is None:
        return ()
    f = forces.members[group.panel]
    at = 0 if group.at_start else -1
    if isinstance(owner, Splice):
        (x1, _), (x2, _) = (truss.joints[j] for j in group.panel.split("-"))
        at = int(np.argmin(np.abs(f.station - (owner.x - x1) / (x2 - x1) * f.station[-1])))
    condition, bolts = _condition(truss, owner.name, owner.condition, damaged=damaged), _bolts(owner.bolts, damaged=damaged)
    if damaged and isinstance(owner, Connection):
        condition *= _at_the_heel(truss, owner)
    axial = f.axial[:, at] + (strands_beside(truss, owner, forces) if isinstance(owner, Connection) else 0.0)
    if only:  # 1: tension alone, -1: compression alone
        axial = only * np.maximum(only * axial, 0.0)
    results = []
    for run in group.runs:
        results += _check_run(where, run, bolts, condition, axial, forces, standard)
    return tuple(results)


def strands_beside(truss: Truss, connection: Connection, forces: Forces) -> Floats:
    """What strands that bear on a chord's end grain add to the force of that end's bolts (lb): these hold the whole thrust as before.

    Between the plate on the end grain and the bolts the chord is pushed by the strands, beyond the bolts it has the strands' push less the thrust.
    Strands that push on the shoe or on the top chord's end meet the thrust before it comes to the bolts: these carry what the panel carries.
    """
    run = truss.strands
    chord = truss.member(connection.member)
    if run is None or forces.strands is None or run.chord != chord.name or connection.joint not in (chord.joints[0], chord.joints[-1]):
        return np.zeros(len(forces.combinations))
    seat = run.seats[0 if connection.joint == chord.joints[0] else 1]
    return forces.strands if seat.on == END_GRAIN else np.zeros(len(forces.combinations))


def check_bearing(truss: Truss, bearing: EndBearing, forces: Forces, standard: WoodStandard, *, damaged: bool = True) -> Place:
    """A member's end that pushes on its shoe, on the part of the contact that damage leaves. Tension there would have to go somewhere else: it
    cannot be checked."""
    member = truss.member(bearing.member)
    pairs = panels(member)
    pair, at = (pairs[0], 0) if bearing.joint == pairs[0][0] else (pairs[-1], -1)
    where = end_name(truss, bearing.member, bearing.joint)
    axial = forces.members[panel_name(pair)].axial[:, at]
    ply = member.plies[0]
    left = end_condition(truss, member, bearing.joint) if damaged else 1.0
    request = BearingRequest(
        where=where, wood=grade_of(ply.wood), thickness=ply.thickness, depth=ply.depth, area=bearing.width * bearing.height * left,
        steel_face=bearing.steel, axial=axial, combinations=tuple(c.name for c in forces.combinations),
        durations=tuple(c.duration for c in forces.combinations), stage=forces.stage,
    )  # fmt: skip
    results = list(standard.bearing_checks(request))
    pulled = float(axial.max())
    if pulled > REVERSAL_FORCE:
        combination = forces.combinations[int(axial.argmax())].name
        missing = f"tension under {combination}, which an end that only bears cannot take"
        results.append(cannot_be_checked(where, "end bearing", missing, SURVEY, combination=combination, stage=forces.stage))
    return Place("connection", panel_name(pair), bearing.joint, where, tuple(results))


def not_surveyed(truss: Truss, forces: Forces) -> tuple[Place, ...]:
    """Web ends and heels without a surveyed connection: they cannot be checked, and that is said."""
    known = {(c.member, c.joint) for c in truss.connections} | {(b.member, b.joint) for b in truss.bearings}
    places = []
    for member in truss.members:
        pairs = panels(member)
        for pair, joint in ((pairs[0], pairs[0][0]), (pairs[-1], pairs[-1][1])):
            if (member.name, joint) not in known:
                where = f"{place_name(member, pair)} at {joint}"
                result = cannot_be_checked(where, "bolts", "no connection was surveyed here", SURVEY, stage=forces.stage)
                places.append(Place("connection", panel_name(pair), joint, where, (result,)))
    return tuple(places)


def check_connections(
    truss: Truss, model: FrameModel, forces: Forces, standard: WoodStandard, *, damaged: bool, only: Collection[str] | None = None,
    parts: SteelPartStandard | None = None,
) -> tuple[Place, ...]:  # fmt: skip
    """All surveyed bolted ends, heels and splices, then the ends that nobody surveyed. Ends of members that are gone are left out.

    only: names of the places that are wanted; all when None
    """
    gone = {name for name, parts in model.parts.items() if all(p.broken for p in parts)}

    def wanted(name: str) -> bool:
        return only is None or name in only

    ends = [
        check_connection(truss, model, c, forces, standard, damaged=damaged) for c in truss.connections if wanted(end_name(truss, c.member, c.joint))
    ]
    heels = [check_heel(truss, h, forces, standard, parts) for h in truss.heels if not h.new and wanted(heel_name(h.joint))]
    bearings = [check_bearing(truss, b, forces, standard, damaged=damaged) for b in truss.bearings if wanted(end_name(truss, b.member, b.joint))]
    splices = [check_splice(truss, model, s, forces, standard, damaged=damaged) for s in truss.splices if wanted(splice_name(s))]
    return tuple(p for p in (*ends, *bearings, *heels, *splices, *not_surveyed(truss, forces)) if p.member not in gone and wanted(p.name))
