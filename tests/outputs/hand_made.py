"""An assessment put together by hand: a 60 ft bowstring of 8 panels, arc radius 60 ft, two-ply chords. Ratios are invented."""

from __future__ import annotations

import math

import numpy as np

from detailgen.core.clause import Cite, TableStatus
from detailgen.core.result import CheckResult, State, cannot_be_checked
from detailgen.core.units import US
from detailgen.model.added import Splice
from detailgen.model.assessment import Assessed, Combination, Finding, Forces, MemberForces, Place, SnowCapacity, TrussAssessment
from detailgen.model.member import Bolts, Connection, Damage, Member, Ply, Wood
from detailgen.model.project import Arc, Project, Support, Truss
from detailgen.model.roof_loads import Loads, SnowInput
from detailgen.model.structure import FrameResult, LoadCase, Structure

CITE = Cite("NDS 2018", "3.8.1", "4A", TableStatus.FROM_MEMORY)
WOOD = Wood("sawn", "Douglas Fir-Larch", "No. 1")
R, SPAN, N = 720.0, 720.0, 8


def make_truss(mark: str = "T3", *, panels: int = N, span: float = SPAN, curved: bool = True, damage: bool = True) -> Truss:
    radius = span
    drop = math.sqrt(radius**2 - (span / 2) ** 2)
    stations = [span * k / panels for k in range(panels + 1)]
    joints = {f"L{k}": (x, 0.0) for k, x in enumerate(stations)}
    joints |= {f"U{k}": (x, math.sqrt(radius**2 - (x - span / 2) ** 2) - drop) for k, x in enumerate(stations) if 0 < k < panels}
    bottom = tuple(f"L{k}" for k in range(panels + 1))
    top = ("L0", *(f"U{k}" for k in range(1, panels)), f"L{panels}")
    chord = (Ply("near", 1.5, 9.5, 1.5, WOOD), Ply("far", 1.5, 9.5, -1.5, WOOD))
    webs = [(f"L{k}", f"U{k}") for k in range(1, panels)]
    webs += [(f"U{k}", f"L{k + 1}") for k in range(1, panels // 2)]
    webs += [(f"U{k}", f"L{k - 1}") for k in range(panels // 2 + 1, panels)]
    members = [Member("bottom chord", "bottom chord", bottom, chord), Member("top chord", "top chord", top, chord)]
    members += [Member(f"{a}-{b}", "web", (a, b), (Ply("only", 1.5, 5.5, 0.0, WOOD),)) for a, b in webs]
    bolts = Bolts(0.75, ((1.5, 1.5), (1.5, -1.5)), 45000.0)
    connections = [Connection(f"C {a}-{b} {j}", f"{a}-{b}", j, bolts, 4.0) for a, b in webs for j in (a, b)]
    connections += [
        Connection(f"C heel {j}", "top chord", j, Bolts(0.75, ((6.0, 0.0), (10.0, 0.0), (14.0, 0.0)), 45000.0), 0.0) for j in ("L0", f"L{panels}")
    ]
    splice_bolts = Bolts(0.75, ((6.0, 2.0), (6.0, -2.0), (10.0, 2.0), (10.0, -2.0)), 45000.0)
    found = (
        Damage("break", "bottom chord", "near", span * 0.45, 14.0, "12", 0.0, "seen from both sides"),
        Damage("check", f"U{panels // 2 - 1}-L{panels // 2}", "", 45.0, 30.0, "17", 0.8, "depth a third of the thickness, both faces"),
    )
    return Truss(
        mark=mark,
        type="A",
        bay="3",
        tributary_width=192.0,
        span=span,
        joints=joints,
        bottom=bottom,
        top=top,
        arc=Arc(radius, span / 2, -drop),
        curved=curved,
        members=tuple(members),
        connections=tuple(connections),
        splices=(Splice("S1", "bottom chord", "near", span * 0.5625, "hinge", 0.0, splice_bolts),),
        supports=(Support("L0", "pin", (0.0, -4.75)), Support(f"L{panels}", "roller", (0.0, -4.75))),
        damage=found if damage else (),
    )


def result(where: str, ratio: float, *, check: str = "compression and bending", unit: str = "psi", station: float = 45.0) -> CheckResult:
    if math.isnan(ratio):
        return cannot_be_checked(where, check, "the grade is not in the tables", CITE, combination="D + S", stage="service")
    state = State.PASSES if ratio <= 1.0 else State.DOES_NOT_PASS
    return CheckResult(where, check, 1000.0 * ratio, 1000.0, unit, ratio, state, "D + S", "service", station, CITE)


def ratio_of(k: int) -> float:
    """Invented, spread over the members, none of them over 1.0."""
    return 0.21 + 0.07 * ((7 * k) % 11)


def make_places(truss: Truss, over: dict[str, float], unchecked: tuple[str, ...] = ()) -> tuple[Place, ...]:
    places = []
    k = 0
    for member in truss.members:
        for a, b in zip(member.joints[:-1], member.joints[1:], strict=True):
            name, k = f"{a}-{b}", k + 1
            ratio = math.nan if name in unchecked else over.get(name, ratio_of(k))
            label = f"{member.kind} {name}"
            places.append(Place("member", name, "", label, (result(label, ratio), result(label, ratio / 2, check="tension", unit="lb", station=0.0))))
            if member.kind == "web":
                for joint in (a, b):
                    where = f"web {name} at {joint}"
                    end = over.get(f"{name} at {joint}", 0.4)
                    places.append(Place("connection", name, joint, where, (result(where, end, check="bolts", unit="lb", station=math.nan),)))
    for splice in truss.splices:
        where = f"bottom chord splice {splice.name}"
        places.append(
            Place("splice", "L4-L5", splice.name, where, (result(where, over.get(splice.name, 0.93), check="bolts", unit="lb", station=math.nan),))
        )
    return tuple(places)


COMBINATIONS = (
    Combination("D", (("dead", 1.0),), "permanent", CITE),
    Combination("D + S", (("dead", 1.0), ("snow balanced", 1.0)), "snow", CITE),
)


def make_forces(truss: Truss, structure: str) -> Forces:
    members = {}
    for member in truss.members:
        for a, b in zip(member.joints[:-1], member.joints[1:], strict=True):
            station = np.array([0.0, 45.0, 90.0])
            base = 1000.0 * len(members) + 0.123456789
            members[f"{a}-{b}"] = MemberForces(f"{a}-{b}", station, np.full((2, 3), base), np.full((2, 3), -10.0), np.tile([0.0, 500.0, 0.0], (2, 1)))
    return Forces(structure, "service", COMBINATIONS, members, "analysis")


def make_frame() -> tuple[Structure, tuple[LoadCase, ...], FrameResult]:
    """Three joints, two bars: enough to see every field written."""
    structure = Structure(
        ("L0", "L1", "L2"),
        np.array([[0.0, 0.0], [360.0, 96.0], [720.0, 0.0]]),
        np.array([[0, 1], [1, 2]]),
        np.array([1.6e6, 1.6e6]),
        np.array([28.5, 28.5]),
        np.array([214.34, 214.34]),
        np.array([[np.inf, 0.0], [1e6, np.inf]]),
        np.array([[[0.0, 2.0], [0.0, 0.0]], [[0.0, 0.0], [0.0, 0.0]]]),
        np.array([[True, True, False], [False, False, False], [False, True, False]]),
        ("L0-L1", "L1-L2"),
        np.array([0.0, 0.0]),
    )
    nothing = np.zeros(2)
    cases = tuple(
        LoadCase(
            name,
            np.array([[0.0, 0.0, 0.0], [0.0, -load, 0.0], [0.0, 0.0, 0.0]]),
            np.array([[0.0, -1.0], [0.0, -1.0]]),
            ((0, 0.0, -50.0, 12.0),),
            nothing,
            np.zeros((3, 3)),
        )
        for name, load in (("dead", 800.0), ("snow balanced", 1600.0))
    )
    k, m, n, s = 2, 2, 3, 3
    answers = FrameResult(
        ("dead", "snow balanced"),
        np.arange(k * n * 3, dtype=float).reshape(k, n, 3) / 1000,
        np.arange(k * n * 3, dtype=float).reshape(k, n, 3) * 10,
        np.arange(k * m * s, dtype=float).reshape(k, m, s) * 100,
        np.arange(k * m * s, dtype=float).reshape(k, m, s),
        np.arange(k * m * s, dtype=float).reshape(k, m, s) * 7,
        np.arange(k * m * 2, dtype=float).reshape(k, m, 2),
        np.array([0.0, 0.5, 1.0]),
    )
    return structure, cases, answers


def make_assessment(truss: Truss, over: dict[str, float], *, unchecked: tuple[str, ...] = (), no_path: str = "") -> TrussAssessment:
    structure, cases, answers = make_frame()
    places = make_places(truss, over, unchecked)
    findings = tuple(
        Finding(
            "overstress",
            name,
            "",
            f"{name}: {ratio:.2f} under D + S, unbalanced from the left",
            "Snow moved to one side turns this web from tension into compression; "
            "at its length it buckles out of the plane of the truss before the wood is crushed.",
            ratio,
            "D + S",
        )
        for name, ratio in sorted(over.items(), key=lambda item: -item[1])
    )
    if truss.damage:
        findings += (
            Finding(
                "damage",
                "bottom chord",
                "",
                "Bottom chord, near ply, broken at 27'-0\"",
                "The far ply carries the whole tension past the break; its net section at the bolts is too small for that.",
                math.nan,
            ),
        )
    return TrussAssessment(
        truss=truss,
        combinations=COMBINATIONS,
        cases=cases,
        pictures=(),
        intact=Assessed("intact", make_forces(truss, "intact"), places),
        as_found=Assessed("as found", None, (), no_path) if no_path else Assessed("as found", make_forces(truss, "as found"), places),
        findings=findings,
        snow=None if no_path else SnowCapacity(0.62, 20 / 144, "web U3-L4, compression and bending, D + S unbalanced from the left"),
        assumptions=("Top chord curved between panel points.",),
        flags=("The top chord was taken as curved between panel points: the survey does not say.", "Two grades rest on tables from memory."),
        structure=None if no_path else structure,
        answers=None if no_path else answers,
    )


def make_project(truss: Truss, units: object = US) -> Project:
    loads = Loads(15 / 144, "slope", 5 / 144, 0.0, 20 / 144, SnowInput(25 / 144, 1.0, 1.0, 1.0, False))
    return Project(
        name="Mill Street warehouse",
        number="2024-017",
        location="Spokane, Washington",
        revision="A",
        date="2024-03-05",
        units=units,
        code_path="ASCE 7-16, NDS 2018",
        view="looking north",
        grid="grid line 3",
        wood_standard="nds_2018",
        load_standard="asce7_16",
        loads=loads,
        trusses=(truss,),
        assumptions=("Bolts A307.",),
    )


OVER = {"U3-L4": 1.64, "L3-L4": 1.18, "U5-L4": 1.21, "U3-L4 at L4": 1.32}
