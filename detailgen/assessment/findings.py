"""What is wrong and why, in sentences an engineer would write."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from detailgen.analysis.build import panel_name, panels
from detailgen.core.result import CheckResult
from detailgen.core.tolerance import at_most, rounded
from detailgen.core.units import UnitSystem
from detailgen.model.added import Splice
from detailgen.model.assessment import Assessed, Finding, Forces, Place
from detailgen.model.frame import FrameModel
from detailgen.model.member import Damage, Member
from detailgen.model.project import Truss

BENDING_MATTERS = 0.25
"""A cause names bending where it makes more than a quarter of the ratio (ours)."""
NEAR_DAMAGE = 60.0
"""A splice or a pushing web within this distance (in) of a damage is named with it (ours)."""
REVERSAL = 0.05
"""A force that is less than this share of its opposite does not count as a change of sign."""
MOST_NAMED = 4
_NUMBER = re.compile(r"\d+(?:\.\d+)?")
_NUMBER_IN = re.compile(_NUMBER.pattern + r"(?:( in\.)(?![a-z]))?")
"""A number with the inches that may stand after it; a standard writes them "in."."""


@dataclass(frozen=True)
class _Case:
    """What the sentences are about."""

    truss: Truss
    model: FrameModel
    forces: Forces
    units: UnitSystem

    def axial(self, member: str) -> np.ndarray[tuple[int, ...], np.dtype[np.float64]]:
        """Mean axial force (lb) of a member under each combination."""
        mean: np.ndarray[tuple[int, ...], np.dtype[np.float64]] = self.forces.members[member].axial.mean(axis=1)
        return mean

    def combination(self, name: str) -> int:
        return next(k for k, c in enumerate(self.forces.combinations) if c.name == name)

    def force(self, value: float) -> str:
        kind = "tension" if value > 0 else "compression"
        return f"{self.units.write_force(abs(value))} {kind}"

    def owner(self, panel: str) -> Member:
        return next(m for m in self.truss.members if any(panel_name(p) == panel for p in panels(m)))


def _clause(result: CheckResult) -> str:
    """Document and clause; the name of our own table file says nothing to a reader."""
    return f"{result.cite.document} {result.cite.clause}"


def _step(result: CheckResult, symbol: str) -> float | None:
    return next((s.value for s in reversed(result.steps) if s.symbol == symbol), None)


def _same_combination(place: Place, result: CheckResult, check: str) -> CheckResult | None:
    """Another check of the same piece under the same combination."""
    return next((r for r in place.results if r.check == check and r.combination == result.combination and r.where == result.where), None)


def reversing_webs(forces: Forces, truss: Truss) -> dict[str, tuple[float, float]]:
    """Webs whose force changes sign between combinations: largest tension and largest compression (lb)."""
    found = {}
    for member in truss.members:
        if member.kind != "web" or member.name not in forces.members:
            continue
        axial = forces.members[member.name].axial
        tension, compression = max(float(axial.max()), 0.0), max(float(-axial.min()), 0.0)
        if min(tension, compression) > REVERSAL * max(tension, compression) and max(tension, compression) > 0:
            found[member.name] = (tension, compression)
    return found


def _web_cause(case: _Case, place: Place, result: CheckResult) -> str:
    """Why a web fails: mostly it goes into compression under one-sided load and is too slender for it."""
    axial = case.axial(place.member)
    now = float(axial[case.combination(result.combination)])
    if now >= 0:
        return f"{case.force(now)} under {result.combination} is more than its section allows."
    slender, buckling = _same_combination(place, result, "slenderness"), _same_combination(place, result, "compression with buckling")
    ratio, limit = (slender.demand, slender.capacity) if slender else (None, math.nan)
    factor = _step(buckling, "C_P") if buckling else None
    best = max(range(len(axial)), key=lambda k: rounded(float(axial[k])))
    under = f"under {result.combination} ({case.units.write_force(-now)})"
    text = f"The web is in compression {under}"
    if axial[best] > REVERSAL * abs(now):
        pulled = f"{case.forces.combinations[best].name} ({case.units.write_force(float(axial[best]))})"
        text = f"In tension under {pulled}, the web goes into compression {under}"
    if ratio is not None and result.check == "slenderness":
        text += f": length over least width is {ratio:.0f}, and {limit:.0f} is allowed"
    elif ratio is not None and factor is not None:
        text += f" and is too slender for it: length over least width is {ratio:.0f}, and only {100 * factor:.0f} % of the wood's strength is left"
    return text + "."


def splice_title(splice: Splice) -> str:
    """A splice for people: 'splice S1', or 'the splice at 26'-3"' where the survey gave it no name of its own."""
    return f"the splice at {splice.name.rpartition(' at ')[2]}" if splice.name.startswith(splice.chord) else f"splice {splice.name}"


def _pushing_web(case: _Case, panel: str, combination: int) -> tuple[str, str, float] | None:
    """The web in compression that pushes hardest across a chord at either end of one of its panels: (web, joint, its force)."""
    (a, b) = panel.split("-")
    found = []
    for member in case.truss.members:
        if member.kind != "web" or member.name not in case.forces.members:
            continue
        joint = next((j for j in member.joints if j in (a, b)), None)
        force = float(case.axial(member.name)[combination])
        if joint is not None and force < 0:
            (x1, y1), (x2, y2) = (case.truss.joints[j] for j in member.joints)
            found.append((rounded(abs(force) * abs(y2 - y1) / math.dist((x1, y1), (x2, y2))), member.name, joint, force))
    if not found:
        return None
    _, name, joint, force = max(found)
    return name, joint, force


def _broken_near(case: _Case, panel: str) -> Damage | None:
    owner = case.owner(panel)
    pair = tuple(panel.split("-"))
    low, high = (case.truss.joints[j][0] for j in pair)
    return next((d for d in case.truss.damage if d.kind == "break" and d.member == owner.name and low - 1 <= d.at <= high + 1), None)


def _splice_near(truss: Truss, damage: Damage, units: UnitSystem) -> str:
    """', 1'-6" from splice S1' or nothing."""
    near = min(((abs(s.x - damage.at), splice_title(s)) for s in truss.splices if s.chord == damage.member), default=(math.inf, ""))
    return f", {units.write_length(near[0])} from {near[1]}" if near[0] <= NEAR_DAMAGE else ""


def _chord_cause(case: _Case, place: Place, result: CheckResult) -> str:
    """Why a chord fails: which part of it is tension or thrust, which bending, who bends it, and what is broken."""
    index = case.combination(result.combination)
    owner = case.owner(place.member)
    force = float(case.axial(place.member)[index])
    pure = _same_combination(place, result, "tension on net section" if force > 0 else "compression with buckling")
    text = f"{case.force(force)} in the chord under {result.combination}"
    bending = 0.0
    if pure is not None and result.check.startswith(("tension and", "compression and")) and result.ratio > 0:
        direct = pure.ratio if force > 0 else pure.ratio**2
        bending = max(0.0, 1 - direct / result.ratio)
        text += f"; the axial force makes {100 * (1 - bending):.0f} % of the ratio and bending {100 * bending:.0f} %"
    text += "."
    if result.check.startswith("slenderness"):
        slender = f"its length between braces is {result.demand:.0f} times its width, and {result.capacity:.0f} is allowed"
        text += f" It is too slender: {slender} ({_clause(result)})."
    broken = [p.ply for p in case.model.parts[place.member] if p.broken]
    left = [p.ply for p in case.model.parts[place.member] if not p.broken]
    if broken:
        text += f" The {' and '.join(broken)} ply is broken here, so the {' and '.join(left)} ply carries all of it."
    cut = [s for s in case.truss.splices if s.chord == owner.name and s.behaviour == "one ply continuous" and not math.isnan(result.station)]
    here = [s for s in cut if abs(_place_on_chord(case, place.member, result.station) - s.x) <= 2.0]
    if here and not broken:
        text += f" At {splice_title(here[0])} the {here[0].ply} ply is cut, so what runs past it carries more."
    if bending > BENDING_MATTERS:
        push = _pushing_web(case, place.member, index)
        if push is not None and owner.kind == "bottom chord":
            text += f" Web {push[0]}, in compression ({case.units.write_force(-push[2])}), pushes on the chord at {push[1]} and bends it"
            text += ", there where it broke." if _broken_near(case, place.member) else "."
        elif owner.kind == "top chord":
            text += " The roof load and the curve of the chord bend it between its panel points."
    return text


def _place_on_chord(case: _Case, panel: str, station: float) -> float:
    a, b = panel.split("-")
    x1, x2 = case.truss.joints[a][0], case.truss.joints[b][0]
    return x1 + (x2 - x1) * station / case.model.member_length[panel]


def _connection_cause(case: _Case, place: Place, result: CheckResult) -> str:
    if result.unit == "in":
        have, need = case.units.write_length(result.capacity), case.units.write_length(result.demand)
        if have == need:  # the same in sixteenths (or whole millimetres): the difference is smaller
            have, need = (f"{value * case.units.length:.2f} {case.units.length_unit}" for value in (result.capacity, result.demand))
        return f"{result.check.capitalize()} is {have}, and at least {need} is needed ({_clause(result)})."
    if result.unit != "lb":
        stress, limit = result.demand * case.units.stress, result.capacity * case.units.stress
        return f"{stress:.4g} {case.units.stress_unit} under {result.combination} against {limit:.4g} ({_clause(result)})."
    carried = "its bolts carry" if result.check == "bolts" else f"{result.check} allows"
    capacity = case.units.write_force(result.capacity) if result.capacity > 0 else "nothing"
    return f"{case.units.write_force(result.demand)} under {result.combination}; {carried} {capacity} ({_clause(result)})."


def overstress(assessed: Assessed, truss: Truss, model: FrameModel, units: UnitSystem) -> list[Finding]:
    """One finding for each place over 1.0, worst first."""
    if assessed.forces is None:
        return []
    case = _Case(truss, model, assessed.forces, units)
    found = []
    for place in assessed.places:
        result = place.worst
        if result is None or math.isnan(result.ratio) or at_most(result.ratio, 1.0):
            continue
        if place.kind != "member":
            cause = _connection_cause(case, place, result)
        elif case.owner(place.member).kind == "web":
            cause = _web_cause(case, place, result)
        else:
            cause = _chord_cause(case, place, result)
        title = f"{place.name} fails in {result.check}" if place.kind == "member" else f"{place.name}: {result.check}"
        found.append(Finding("overstress", place.member, place.joint, title, cause, result.ratio, result.combination))
    return sorted(found, key=lambda f: (-rounded(f.ratio), f.title))


def _damage_title(damage: Damage, truss: Truss, units: UnitSystem) -> str:
    if damage.connection:
        splice = next((s for s in truss.splices if s.name == damage.connection), None)
        return f"{damage.kind} at {splice_title(splice) if splice else damage.connection}"
    owner = f"web {damage.member}" if truss.member(damage.member).kind == "web" else f"the {damage.member}"
    ply = f"the {damage.ply} ply of " if damage.ply else ""
    return f"{damage.kind} of {ply}{owner} at {units.write_length(damage.at)}"


def damages(truss: Truss, units: UnitSystem) -> list[Finding]:
    """What the survey found, in its order."""
    found = []
    for damage in truss.damage:
        title, said = _damage_title(damage, truss, units), ""
        if damage.kind == "break":
            one = bool(damage.ply) and len(truss.member(damage.member).plies) > 1
            said = f"{'This ply' if one else 'The member'} carries nothing in this panel{_splice_near(truss, damage, units)}. "
        elif damage.kind in ("split", "check", "decay", "failed connector"):
            said = f"Condition factor {damage.factor:g} ({damage.basis}). "
        elif damage.kind == "missing bolt":
            groups = {c.name: c.bolts for c in truss.connections} | {s.name: s.bolts for s in truss.splices}
            bolts = groups.get(damage.connection)
            if bolts is not None:
                said = f"{len(bolts.positions) - bolts.missing} of {len(bolts.positions)} bolts are left. "
        elif damage.kind == "bow":
            said = f"{units.write_length(damage.amount)} out of the plane of the truss. "
        elif damage.kind == "sag":
            said = f"{units.write_length(damage.amount)} below its line; the truss as found is analysed with it. "
        found.append(Finding("damage", damage.member, "", title, said + (f"Photo {damage.photo}." if damage.photo else "No photo."), math.nan))
    return found


def unchecked(assessed: Assessed, units: UnitSystem) -> list[Finding]:
    """What could not be checked, one finding for each different reason. Reasons that differ only in their numbers are one."""
    reasons: dict[str, list[tuple[str, str]]] = {}
    for place in assessed.places:
        for result in place.unchecked:
            reasons.setdefault(_NUMBER.sub("#", result.missing), []).append((result.missing, place.name))
    found = []
    for alike in reasons.values():
        unique = list(dict.fromkeys(name for _, name in alike))
        title = f"{unique[0]} cannot be checked" if len(unique) == 1 else f"{len(unique)} places cannot be checked"
        why = _in_one([r for r, _ in alike], units)
        found.append(Finding("cannot be checked", "", "", title, f"{why[0].upper()}{why[1:]}: {', '.join(unique)}.", math.nan))
    return found


def _in_one(reasons: Sequence[str], units: UnitSystem) -> str:
    """Reasons that differ only in their numbers as one sentence: numbers that differ become 'least to greatest'.

    Standards give their reasons in inches; here they become lengths as the project writes them.
    """
    columns = [sorted(set(column), key=float) for column in zip(*(_NUMBER.findall(r) for r in reasons), strict=True)]
    ranges = iter([c[:1] if len(c) == 1 else [c[0], c[-1]] for c in columns])

    def written(found: re.Match[str]) -> str:
        return " to ".join(units.write_made(float(n)) if found[1] else _short(n) for n in next(ranges))

    return _NUMBER_IN.sub(written, reasons[0])


def _short(number: str) -> str:
    return f"{float(number):.2f}" if len(number.partition(".")[2]) > 2 else number


def reversal_note(forces: Forces, truss: Truss, units: UnitSystem) -> str:
    """One sentence on the webs whose force changes sign."""
    webs: Mapping[str, tuple[float, float]] = reversing_webs(forces, truss)
    if not webs:
        return "Intact, no web changes the sign of its force."
    ranked = sorted(webs.items(), key=lambda item: (-rounded(item[1][1]), item[0]))
    listed = [f"{w} ({units.write_force(t)} tension, {units.write_force(c)} compression)" for w, (t, c) in ranked[:MOST_NAMED]]
    more = f" and {len(ranked) - MOST_NAMED} more" if len(ranked) > MOST_NAMED else ""
    start = f"Intact, {len(webs)} webs change the sign of their force" if len(webs) > 1 else "Intact, one web changes the sign of its force"
    return f"{start}: {', '.join(listed)}{more}."
