"""Checks of the steel parts around an anchor under every combination: struts, welds, plates bent flat, brackets."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from detailgen.core.clause import Calculation, Cite
from detailgen.core.errors import NotCovered
from detailgen.core.result import CheckResult, State, cannot_be_checked
from detailgen.core.tolerance import at_most, rounded
from detailgen.standards.aisc360_16 import bolts, compression, groove_welds, plate_bending, struts, tension, welds
from detailgen.standards.aisc360_16.strength import DOCUMENT, M_allowable, Omega, R_allowable, elastic_modulus
from detailgen.standards.anchorage import (
    Barrel,
    Bracket,
    Contact,
    FilletWeld,
    GrooveWeld,
    Overhang,
    PartLoad,
    PulledPlate,
    RibbedPlate,
    Rod,
    SteelStrut,
)  # fmt: skip
from detailgen.standards.interface import Floats, Ints

STRUT, STRUT_BENT, OVERHANG = "strut in compression", "strut in compression and bending", "plate bent flat"
PULLED, AT_THE_SLOT = "whole section in tension", "net section at the slot"
RIBBED, RIBS_SHEAR = "plate with ribs, bent", "ribs in shear"
WELD, GROOVE = "fillet weld", "groove weld"
BEARING = "barrel on the plate"
ROD = "threaded rod in tension"
CONTACT = "steel on steel"
BOLT_SHEAR, BOLT_TENSION = "bolts of the bracket in shear", "bolts of the bracket in tension with shear"
GIVEN = Cite("analysis", "force on the part")


def _results(
    load: PartLoad, check: str, clause: str, unit: str, numbers: tuple[Floats, Floats], sheet: Calculation, counts: Ints,
) -> list[CheckResult]:  # fmt: skip
    """One result per combination whose force is not zero; (demand, capacity) per counted combination."""
    found = []
    demand, capacity = (np.broadcast_to(x, counts.shape) for x in numbers)
    cite = Cite(DOCUMENT, clause, "", sheet.status)
    for k, c in enumerate(counts.tolist()):
        has, may = rounded(float(demand[k])), rounded(float(capacity[k]))
        ratio = rounded(has / may) if may > 0 else math.inf
        state = State.PASSES if at_most(ratio, 1.0) else State.DOES_NOT_PASS
        found.append(CheckResult(load.where, check, has, may, unit, ratio, state, load.combinations[c], load.stage, math.nan, cite, sheet, k))
    return found


def _checked(load: PartLoad, check: str, counts: Ints, work: Callable[[Ints], list[CheckResult]]) -> list[CheckResult]:
    """The results; one 'cannot be checked' where the rules end. Nothing where no combination loads the part."""
    if not len(counts):
        return []
    try:
        return work(counts)
    except NotCovered as problem:
        clause = problem.clause.removeprefix(f"{DOCUMENT} ") or "chapter J"
        return [cannot_be_checked(load.where, check, problem.what, Cite(DOCUMENT, clause), stage=load.stage)]


def strut_checks(strut: SteelStrut, load: PartLoad) -> list[CheckResult]:
    """E3 for every combination that compresses the strut; with an eccentricity H1 too, the moment grown by appendix 8."""
    counts = np.flatnonzero(load.force < 0)

    def work(counts: Ints) -> list[CheckResult]:
        sheet = Calculation()
        P_r = sheet.given("P_r", -load.force[counts], "lb", GIVEN)
        P_c = struts.strut_allowable(strut, sheet)
        found = _results(load, STRUT, "E3", "lb", (P_r, np.asarray(P_c)), sheet.copy(), counts)
        if strut.eccentricity == 0:
            return found
        if not strut.section_modulus > 0:
            raise NotCovered("an eccentric strut without its section modulus", f"{DOCUMENT} H1")
        slender = compression.slenderness(1.0, strut.length, strut.radius)
        P_e1 = sheet.given("P_e1", compression.F_e(elastic_modulus(Calculation()), slender) * strut.area, "lb", Cite(DOCUMENT, "appendix 8"))
        alpha = sheet.given("alpha", 1.6, "-", Cite(DOCUMENT, "appendix 8 (service loads)"))
        grown = sheet(struts.B_1, alpha=alpha, P_r=P_r, P_e1=P_e1)
        moment = sheet(struts.M_r_strut, B_1=grown, P_r=P_r, e=abs(strut.eccentricity))
        M_n = sheet(struts.M_n_first_yield, F_y=strut.F_y, S=strut.section_modulus)
        M_c = sheet(M_allowable, M_n=M_n, Omega=Omega("bending yield", sheet))
        total = sheet(compression.interaction, P_r=P_r, P_c=P_c, M_r=moment, M_c=M_c)
        return found + _results(load, STRUT_BENT, "H1, appendix 8", "-", (np.asarray(total), np.asarray(1.0)), sheet, counts)

    return _checked(load, STRUT, counts, work)


def weld_checks(weld: FilletWeld, load: PartLoad) -> list[CheckResult]:
    """J2.4 and J4.2: weld metal and the steel beside it, whichever is weaker."""

    def work(counts: Ints) -> list[CheckResult]:
        sheet = Calculation()
        allowed = welds.fillet_allowable(weld, sheet)
        return _results(load, WELD, "J2.4, J4.2", "lb", (np.abs(load.force[counts]), np.asarray(allowed)), sheet, counts)

    return _checked(load, WELD, np.flatnonzero(load.force), work)


def groove_checks(weld: GrooveWeld, load: PartLoad) -> list[CheckResult]:
    """J2.4 and J4 for a groove weld: in shear along it, in tension (force above zero) and compression (below) across it."""
    ways = {"shear": load.force != 0} if weld.along else {"tension": load.force > 0, "compression": load.force < 0}

    def of(way: str) -> Callable[[Ints], list[CheckResult]]:
        def work(counts: Ints) -> list[CheckResult]:
            sheet = Calculation()
            allowed = groove_welds.groove_allowable(weld, way, sheet)
            return _results(load, GROOVE, "J2.1, J2.4, J4", "lb", (np.abs(load.force[counts]), np.asarray(allowed)), sheet, counts)

        return work

    found = [result for way, counts in ways.items() for result in _checked(load, GROOVE, np.flatnonzero(counts), of(way))]
    return next(([r] for r in found if r.state is State.CANNOT_BE_CHECKED), found)  # a weld outside the rules is so either way: told once


def overhang_checks(plate: Overhang, load: PartLoad) -> list[CheckResult]:
    """F11: a plate that overhangs what holds it, bent about its weak axis."""

    def work(counts: Ints) -> list[CheckResult]:
        sheet, force = Calculation(), np.abs(load.force[counts])
        if plate.even:
            pressure = force / (plate.width * plate.arm)
            moment = sheet(plate_bending.M_uniform, q=pressure, b=plate.width, arm=plate.arm)
        else:
            moment = sheet(plate_bending.M_line, P=force, arm=plate.arm)
        M_n = sheet(plate_bending.M_n_flat, F_y=plate.F_y, b=plate.width, t=plate.thickness)
        allowed = sheet(M_allowable, M_n=M_n, Omega=Omega("bending yield", sheet))
        return _results(load, OVERHANG, "F11.1", "in-lb", (np.asarray(moment), np.asarray(allowed)), sheet, counts)

    return _checked(load, OVERHANG, np.flatnonzero(load.force), work)


def pulled_checks(plate: PulledPlate, load: PartLoad) -> list[CheckResult]:
    """J4.1: yielding of the gross section, rupture of what a slot leaves of it (U = 1, at most 0.85 of the gross section)."""

    def pulled(counts: Ints) -> list[CheckResult]:
        sheet, force = Calculation(), np.abs(load.force[counts])
        area = sheet(tension.A_g, w=plate.width, t=plate.thickness)
        allowed = sheet(R_allowable, R_n=sheet(tension.R_n_yield, F_y=plate.F_y, A_g=area), Omega=Omega("tension yield", sheet))
        return _results(load, PULLED, "J4.1(a)", "lb", (force, np.asarray(allowed)), sheet, counts)

    def beside(counts: Ints) -> list[CheckResult]:
        sheet, force = Calculation(), np.abs(load.force[counts])
        left = sheet.given("A_n", (plate.width - plate.cut) * plate.thickness, "in2", Cite("detail", "beside the slot"))
        most = sheet.given("0.85 A_g", 0.85 * plate.width * plate.thickness, "in2", Cite(DOCUMENT, "J4.1(b)"))
        net = sheet.given("A_e", min(left, most), "in2", Cite(DOCUMENT, "J4.1(b)"))
        allowed = sheet(R_allowable, R_n=sheet(tension.R_n_rupture, F_u=plate.F_u, A_e=net), Omega=Omega("tension rupture", sheet))
        return _results(load, AT_THE_SLOT, "J4.1(b)", "lb", (force, np.asarray(allowed)), sheet, counts)

    counts = np.flatnonzero(load.force)
    return [*_checked(load, PULLED, counts, pulled), *_checked(load, AT_THE_SLOT, counts, beside)]


def ribbed_checks(plate: RibbedPlate, load: PartLoad) -> list[CheckResult]:
    """F12.1 for plate and ribs together to first yield, and J4.2 for the ribs, which take the whole shear."""

    def bent(counts: Ints) -> list[CheckResult]:
        sheet, force = Calculation(), np.abs(load.force[counts])
        moment = sheet(plate_bending.M_line, P=force, arm=plate.arm)
        middle, inertia = plate_bending.ribbed_section(plate, sheet)
        S = sheet(plate_bending.S_least, I=inertia, y_bar=middle, height=plate.thickness + plate.depth)
        allowed = sheet(M_allowable, M_n=sheet(plate_bending.M_n_yield, F_y=plate.F_y, S=S), Omega=Omega("bending yield", sheet))
        return _results(load, RIBBED, "F12.1", "in-lb", (np.asarray(moment), np.asarray(allowed)), sheet, counts)

    def sheared(counts: Ints) -> list[CheckResult]:
        sheet, force = Calculation(), np.abs(load.force[counts])
        area = sheet.given("A_gv", plate.ribs * plate.rib * plate.depth, "in2", Cite("detail", "ribs"))
        V_n = sheet(welds.R_n_shear_yield, F_y=plate.F_y, A_gv=area)
        allowed = sheet(R_allowable, R_n=V_n, Omega=Omega("shear yield", sheet))
        return _results(load, RIBS_SHEAR, "J4.2", "lb", (force, np.asarray(allowed)), sheet, counts)

    counts = np.flatnonzero(load.force)
    return [*_checked(load, RIBBED, counts, bent), *_checked(load, RIBS_SHEAR, counts, sheared)]


def barrel_checks(barrel: Barrel, load: PartLoad) -> list[CheckResult]:
    """J7: a round barrel that bears about a hole of a plate."""

    def work(counts: Ints) -> list[CheckResult]:
        sheet, force = Calculation(), np.abs(load.force[counts])
        area = sheet(plate_bending.A_ring, D=barrel.diameter, d=barrel.hole)
        R_n = sheet(plate_bending.R_n_bearing, F_y=barrel.F_y, A_pb=area)
        allowed = sheet(R_allowable, R_n=R_n, Omega=Omega("bearing on steel", sheet))
        return _results(load, BEARING, "J7", "lb", (force, np.asarray(allowed)), sheet, counts)

    return _checked(load, BEARING, np.flatnonzero(load.force), work)


def contact_checks(contact: Contact, load: PartLoad) -> list[CheckResult]:
    """J7: finished steel that presses on steel."""

    def work(counts: Ints) -> list[CheckResult]:
        sheet, force = Calculation(), np.abs(load.force[counts])
        area = sheet.given("A_pb", contact.area, "in2", Cite("detail", "contact of both parts"))
        R_n = sheet(plate_bending.R_n_bearing, F_y=contact.F_y, A_pb=area)
        allowed = sheet(R_allowable, R_n=R_n, Omega=Omega("bearing on steel", sheet))
        return _results(load, CONTACT, "J7", "lb", (force, np.asarray(allowed)), sheet, counts)

    return _checked(load, CONTACT, np.flatnonzero(load.force), work)


def _pulled(bracket: Bracket, load: PartLoad, counts: Ints) -> tuple[Calculation, bolts.BracketForces]:
    sheet = Calculation()
    P = sheet.given("P", np.abs(load.force[counts]), "lb", GIVEN)
    return sheet, bolts.bracket_forces(P, bracket.eccentricity, bracket.lines, float(bracket.per_line), sheet)


def bracket_checks(bracket: Bracket, load: PartLoad) -> list[CheckResult]:
    """J3.6 and J3.7: shear of every bolt, and the tension of the bolts farthest out, under that shear."""

    def work(counts: Ints) -> list[CheckResult]:
        allowed = bolts.bolt_shear_allowable(bracket.bolt, bracket.diameter)
        every = _pulled(bracket, load, counts)
        bolts.bolt_shear_allowable(bracket.bolt, bracket.diameter, every[0])
        found = _results(load, BOLT_SHEAR, "J3.6", "lb", (np.asarray(every[1].shear), np.asarray(allowed)), every[0], counts)
        left = counts[np.asarray(every[1].shear) <= allowed]  # J3.7 has no tension for a bolt whose shear is too much by itself
        if len(left):
            sheet, forces = _pulled(bracket, load, left)
            tension = bolts.bolt_tension_allowable(bracket.bolt, bracket.diameter, forces.shear, sheet)
            found += _results(load, BOLT_TENSION, "J3.7", "lb", (np.asarray(forces.tension), np.asarray(tension)), sheet, left)
        return found

    return _checked(load, BOLT_SHEAR, np.flatnonzero(load.force), work)


def rod_checks(rod: Rod, load: PartLoad) -> list[CheckResult]:
    """J3.6: a threaded rod for every combination that pulls it (force above zero)."""

    def work(counts: Ints) -> list[CheckResult]:
        sheet = Calculation()
        P = sheet.given("P", load.force[counts], "lb", GIVEN)
        allowed = bolts.bolt_tension_allowable(rod.kind, rod.diameter, 0.0, sheet)
        return _results(load, ROD, "J3.6", "lb", (P, np.asarray(allowed)), sheet, counts)

    return _checked(load, ROD, np.flatnonzero(load.force > 0), work)
