"""Lists on the sheets of a truss: members, existing bolts and splices, what is removed, where shores are asked for, repairs."""

from __future__ import annotations

import itertools

import numpy as np

from detailgen.core.units import UnitSystem
from detailgen.model.assessment import Forces, Place
from detailgen.model.detail import ACROSS, STRANDS, Detail
from detailgen.model.member import Member
from detailgen.model.package import Package, Repaired
from detailgen.model.project import Truss
from detailgen.model.shores import shore_joints, strand_shores
from detailgen.outputs.drawings.blocks import Listing, listing
from detailgen.outputs.drawings.bubbles import cut_out
from detailgen.outputs.drawings.detail_scene import Scene
from detailgen.outputs.drawings.detail_words import length, number
from detailgen.outputs.drawings.lettering import NO_BREAK
from detailgen.outputs.drawings.register import detail_number, strands_number, work_number
from detailgen.outputs.drawings.sheets import Lettering


def _joined(names: list[str]) -> str:
    return ", ".join(names)


def _sizes(member: Member, units: UnitSystem) -> str:
    """2 plies 2 1/2" x 9 1/2", or each ply by itself where they differ."""
    said = [f"{number(p.thickness, units)} x {number(p.depth, units)}".replace(" ", NO_BREAK) for p in member.plies]
    unit = "" if units.name == "US" else " mm"
    if len(set(said)) == 1:
        return f"{len(said)} {'plies' if len(said) > 1 else 'piece'} {said[0]}{unit}"
    return "; ".join(f"{p.name} {s}{unit}" for p, s in zip(member.plies, said, strict=True))


def _wood(member: Member) -> str:
    woods = [f"{p.wood.species} {p.wood.grade}, {p.wood.product}{', wet' if p.wood.wet else ''}" for p in member.plies]
    return "; ".join(dict.fromkeys(woods))


def members_list(truss: Truss, units: UnitSystem, letters: Lettering) -> Listing:
    """Members alike in size and wood in one row, as measured."""
    rows: dict[tuple[str, str, str], list[str]] = {}
    for member in truss.members:
        rows.setdefault((member.kind, _sizes(member, units), _wood(member)), []).append(member.name)
    said = [
        (kind if names == [kind] else f"{kind} {_joined(names)}", sizes, wood) for (kind, sizes, wood), names in rows.items()
    ]  # fmt: skip
    return listing("MEMBERS, EXISTING", ("Member", "Size, thickness x depth", "Wood"), said, letters, under="As measured.")


def bolts_found(truss: Truss, units: UnitSystem, letters: Lettering) -> Listing:
    """Bolted ends and splices alike in bolts in one row, as surveyed."""
    rows: dict[tuple[str, str], list[str]] = {}
    for c in truss.connections:
        words = f"{len(c.bolts.positions)} of {length(c.bolts.diameter, units)}" + (f", {c.bolts.missing} missing" if c.bolts.missing else "")
        steel = f"{len(c.plates)} plates" if c.plates else "no plates"
        rows.setdefault((words, steel), []).append(f"{c.member} at {c.joint}")
    for s in truss.splices:
        words = f"{len(s.bolts.positions)} of {length(s.bolts.diameter, units)} each side" if s.bolts else "no bolts surveyed"
        steel = f"{len(s.plates)} plates" if s.plates else f"{len(s.scabs)} side pieces" if s.scabs else "no plates"
        rows.setdefault((words, steel), []).append(f"splice {s.name}, {s.ply} ply at {length(s.x, units)}")
    said = [(_joined(where), bolts, steel) for (bolts, steel), where in rows.items()]
    return listing("BOLTS, EXISTING", ("Where", "Bolts", "Steel"), said, letters, under="As surveyed; new work keeps off them.")


def chord_force(forces: Forces, truss: Truss, detail: Detail) -> list[tuple[str, float]]:
    """Axial force (lb, tension positive) of the chord at the work point, by combination."""
    joints = next((m.joints for m in truss.members if m.name == detail.member), ())
    for a, b in itertools.pairwise(joints):
        x0, x1 = truss.joints[a][0], truss.joints[b][0]
        found = forces.members.get(f"{a}-{b}")
        if min(x0, x1) <= detail.station <= max(x0, x1) and found is not None:
            share = ((detail.station - x0) / (x1 - x0) if x1 != x0 else 0.5) * float(found.station[-1])
            values = [float(np.interp(share, found.station, row)) for row in found.axial]
            return [(c.name, v) for c, v in zip(forces.combinations, values, strict=True)]
    return []


def force_words(value: float, units: UnitSystem) -> str:
    return f"{units.write_force(abs(value))} {'tension' if value >= 0 else 'compression'}"


def removal_list(one: Repaired, package: Package, letters: Lettering) -> Listing | None:
    """What is cut out, by detail."""
    units = package.project.units
    rows = []
    for detail in one.details:
        for end, start, ply in cut_out(Scene(detail, package)):
            where = f"{detail.member}, {ply}"
            middle = detail.station + (end + start) / 2
            rows.append((detail_number(detail.key, package), where, length(start - end, units), length(middle, units), _why(one, detail)))
    if not rows:
        return None
    header = ("Sheet", "What", "Length", "Middle from left end", "Why")
    under = "Square cuts. Nothing else is cut, drilled or loosened. Keep what is cut out for the engineer."
    return listing("REMOVE", header, rows, letters, under=under)


def _why(one: Repaired, detail: Detail) -> str:
    near = [d for d in one.before.truss.damage if d.member == detail.member and abs(d.at - detail.station) < max(d.length, 24.0)]
    return "; ".join(dict.fromkeys(f"{d.kind}" + (f", photo {d.photo}" if d.photo else "") for d in near)) or "see the report"


def _strand_row(one: Repaired, package: Package) -> list[tuple[str, ...]]:
    """Shores while strands are pulled; no row without strands."""
    joints = strand_shores(one)
    if not joints:
        return []
    number = strands_number(one.before.truss.mark, package)
    return [(number, f"{joints[0]} to {joints[-1]}, each", "under all plies, free to let it rise", "snug", "none")]


def shoring_list(one: Repaired, package: Package, letters: Lettering) -> Listing:
    """Where shores stand, with force and stop of each; where the stages are not worked out they are asked of the engineer, with room for his."""
    truss, units, work = one.before.truss, package.project.units, one.staged
    header = ("For sheet", "At", "Bears", "Force", "Stop at lift")
    if work is not None and work.lines:
        sheets = ", ".join(detail_number(d.key, package) for d in one.details)
        under = f"Stages, blocks, bases and hold points: sheet {work_number(truss.mark, package)}. Nothing is cut before its hold point is signed."
        stressed = [*_strand_row(one, package), *((detail_number(d.key, package), d.held, "by the engineer", "________", "________")
                                                  for d in one.details if d.held)]  # fmt: skip
        if not work.shores:
            return listing("SHORES", header, stressed or [(sheets, "none: no timber is cut", "", "", "")], letters, under=under)
        staged = [
            (sheets, f"{s.joint}, {length(s.x, units)} from the left end", "under all plies", units.write_force(s.force) if s.force > 0 else "snug",
             length(s.stop, units))
            for s in work.shores
        ]  # fmt: skip
        return listing("SHORES", header, [*staged, *stressed], letters, under=under)
    rows = _strand_row(one, package)
    for detail in one.details:
        joints = shore_joints(truss, detail)
        if detail.remedy == STRANDS:
            continue
        if not joints and detail.shores:
            rows.append((detail_number(detail.key, package), detail.shores, "", "", ""))
        elif not joints:
            rows.append((detail_number(detail.key, package), "both sides of the joint", "by the engineer", "________", "________"))
        for joint in joints:
            at = f"{joint}, {length(truss.joints[joint][0], units)} from the left end"
            rows.append((detail_number(detail.key, package), at, "under all plies", "________", "________"))
    why = f" ({work.why_not})" if work is not None and work.why_not else ""
    under = f"Asked of the engineer{why}: forces and lifts are not worked out here; nothing is cut before they are filled in."
    return listing("SHORES", header, rows, letters, under=under)


def forces_list(one: Repaired, package: Package, letters: Lettering) -> Listing | None:
    """The chord's force at each joint, for whoever designs the shoring."""
    units, rows = package.project.units, []
    forces = one.before.as_found.forces or one.before.intact.forces
    if forces is None:
        return None
    for detail in (d for d in one.details if one.before.truss.member(d.member).kind != "web" and d.remedy != STRANDS):
        found = chord_force(forces, one.before.truss, detail)
        if not found:
            continue
        least, most = min(found, key=lambda f: f[1]), max(found, key=lambda f: f[1])
        dead = [f for c, f in zip(forces.combinations, found, strict=True) if c.duration == "permanent"][:1]
        for label, (name, value) in (*(("dead load alone", d) for d in dead), ("greatest", most), ("least", least)):
            rows.append((detail_number(detail.key, package), label, force_words(value, units), name))
    if not rows:
        return None
    under = f"Of the whole chord at the work point, {forces.structure}, without shores."
    return listing("CHORD FORCE AT THE JOINT", ("Sheet", "Which", "Force", "Combination"), rows, letters, under=under)


def repairs_list(one: Repaired, package: Package, letters: Lettering) -> Listing:
    """Every detail with its ratios before and after."""
    units, rows = package.project.units, []
    for k, detail in enumerate(one.details, start=1):
        before, after = _panel_ratio(one, detail, one.before.as_found.places), _panel_ratio(one, detail, one.after.places)
        where = f"{detail.member}, WP {length(detail.station, units)} from the left end"
        if detail.axis != ACROSS and detail.bought:
            where = f"{detail.member}, end grain {detail.axis}"
        elif detail.also_at:
            where += f", and {len(detail.also_at)} more"
        rows.append((f"{k} / {detail_number(detail.key, package)}", detail.title, where, before, after, one.status[detail.key]))
    header = ("Detail / sheet", "Repair", "Where", "As found", "As repaired", "Status")
    kind = "member" if any(one.before.truss.member(d.member).kind == "web" for d in one.details) else "chord"
    what = f"the {kind} between its joints" + (", of a web's end at its joint" if any(d.joint and not d.removed for d in one.details) else "")
    what += ", of a heel all that is at its joint" if any(d.removed for d in one.details) else ""
    return listing("REPAIRS", header, rows, letters, under=f"Demand over capacity of {what}, worst combination.")


def _panel_ratio(one: Repaired, detail: Detail, places: tuple[Place, ...]) -> str:
    truss = one.before.truss
    joints = next((m.joints for m in truss.members if m.name == detail.member), ())
    xs = {j: truss.joints[j][0] for j in joints}
    whole = detail.remedy == STRANDS  # they run past every panel
    names = {f"{a}-{b}" for a, b in itertools.pairwise(joints) if whole or min(xs[a], xs[b]) <= detail.station <= max(xs[a], xs[b])}
    if detail.removed:  # a heel: both chords' ends, its shoe, its new parts
        heel = [p for p in places if p.kind == "connection" and p.joint == detail.joint and not _of_a_web(p, truss)]
        worst = [p.worst for p in (*heel, *(p for p in places if p.joint == detail.key))]
    elif detail.joint:
        worst = [p.worst for p in places if p.kind == "connection" and p.joint == detail.joint and p.member in names]
    else:
        worst = [p.worst for p in places if p.kind == "member" and p.member in names]
    ratios = [w.ratio for w in worst if w is not None and w.ratio == w.ratio]
    return f"{max(ratios):.2f}" if ratios else "see report"


def _of_a_web(place: Place, truss: Truss) -> bool:
    return any(m.kind == "web" and m.name == place.member for m in truss.members)


def refusals_list(one: Repaired, letters: Lettering) -> Listing | None:
    """What the tool could not repair: it stays with the engineer."""
    rows = [(r.key, r.remedy, r.reason) for r in one.refusals]
    return listing("NOT REPAIRED HERE", ("Where", "Asked for", "Why it was refused"), rows, letters) if rows else None
