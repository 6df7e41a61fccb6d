"""Strands stage by stage, solved again from the record by PyNiteFEA, a general three-dimensional frame program that shares no code with ours.

What is taken from ours is the structure, the loads, and the record of the stressing: element, count, locked, lasting. All that makes the stages is
done anew: a strand that is jacked is a pair of outside forces on the anchors, a locked one a member; the force at which each is pulled follows
backwards from the last, by what each later one takes from those before; loads that come later meet all of them; creep is a strain on a softer wood,
put on as forces that hold it. Arms are stiff bars. Every member's axial force and end moments are compared in every stage and combination.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
import pytest
from Pynite import FEModel3D
from sample_trusses import STRUNG, project, truss

from detailgen import pipeline
from detailgen.assessment import stages
from detailgen.assessment.staging import Moment, Works
from detailgen.model.added import Strands
from detailgen.model.assessment import Stressing
from detailgen.model.structure import LoadCase

KIP = 1000.0
HEIGHT = -2.0
RUN = Strands("strands", "bottom chord", 4, 4 * 0.153, 28.5e6, HEIGHT, (8.0, 9.0), 50 * KIP, 40 * KIP, jacked=60 * KIP)
RECORD = Stressing("strands", 4, 50 * KIP, 40 * KIP)
STIFF = 1e3
"""Arms against the stiffest bar."""


@dataclass(frozen=True)
class Ours:
    works: Works
    moments: Mapping[str, Moment]
    told: tuple[tuple[str, tuple[float, ...]], ...]


@pytest.fixture(scope="module")
def ours() -> Ours:
    """The stages as the tool goes through them."""
    wood, loads = pipeline.known_standards()
    job, found = project(STRUNG), truss(STRUNG, "G3")
    seen: dict[str, Moment] = {}
    kept: list[Works] = []
    check, in_service = stages.check, stages.in_service

    def looked(works, moments):
        kept.append(works)
        seen.update({m.title: m for m in moments})
        return check(works, moments)

    def served(works, moments, at_once):
        seen.update({m.title: m for m in moments})
        return in_service(works, moments, at_once)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(stages, "check", looked)
        patch.setattr(stages, "in_service", served)
        work = stages.staged_work(
            job, found, replace(found, strands=RUN), wood[job.wood_standard], loads[job.load_standard], stressing=RECORD
        )
    assert not work.why_not
    return Ours(kept[0], seen, tuple((line.title, line.strands) for line in work.lines))


@dataclass
class Theirs:
    """Answers of the other program: axial force in the middle and moments at both ends, by element of the structure."""

    axial: np.ndarray
    ends: np.ndarray

    def __add__(self, other: Theirs) -> Theirs:
        return Theirs(self.axial + other.axial, self.ends + other.ends)

    def times(self, factor: float) -> Theirs:
        return Theirs(factor * self.axial, factor * self.ends)


class Elsewhere:
    """The structure in the other program with some elements standing; ``softer`` divides their moduli."""

    def __init__(self, works: Works, standing: Sequence[int], cases: Mapping[str, LoadCase], softer: np.ndarray | None = None) -> None:
        s = works.overlay.structure
        self.structure, self.standing = s, list(standing)
        soft = np.ones(len(s.ends)) if softer is None else softer
        model = FEModel3D()
        for k, e in enumerate(s.E):
            model.add_material(f"M{k}", float(e / soft[k]), 1e6, 0.3, 0.0)
        model.add_material("arm", STIFF * float(s.E.max()), 1e6, 0.3, 0.0)
        model.add_section("arm", 100.0, 1000.0, 1000.0, 1000.0)
        used = {int(j) for k in self.standing for j in s.ends[k]}
        for joint in sorted(used):
            x, y = s.joints[joint]
            model.add_node(f"J{joint}", float(x), float(y), 0.0)
            model.def_support(f"J{joint}", bool(s.fixed[joint, 0]), bool(s.fixed[joint, 1]), True, True, True, False)
        strand = works.overlay.strands[0]
        for side in (0, 1):  # all strands share their two anchors, on an arm from each heel
            joint = int(s.ends[strand, side])
            x, y = s.joints[joint] + s.offset[strand, side]
            model.add_node(f"anchor{side}", float(x), float(y), 0.0)
            model.def_support(f"anchor{side}", False, False, True, True, True, False)
            model.add_member(f"arm{side}", f"J{joint}", f"anchor{side}", "arm", "arm")
        for k in self.standing:
            start, end = (f"anchor{i}" if k in works.overlay.strands else f"J{s.ends[k, i]}" for i in (0, 1))
            inertia = float(s.I[k]) or 1.0
            model.add_section(f"S{k}", float(s.A[k]), inertia, inertia, inertia)
            model.add_member(f"E{k}", start, end, f"M{k}", f"S{k}")
            pins = s.spring[k] == 0.0
            model.def_releases(f"E{k}", Rzi=bool(pins[0]), Rzj=bool(pins[1]))
        for name, case in cases.items():
            for joint in sorted(used):
                for direction, value in zip(("FX", "FY", "MZ"), case.nodal[joint], strict=True):
                    if value:
                        model.add_node_load(f"J{joint}", direction, float(value), case=name)
            for k in self.standing:
                for direction, value in zip(("FX", "FY"), case.distributed[k], strict=True):
                    if value:
                        model.add_member_dist_load(f"E{k}", direction, float(value), float(value), case=name)
            for k, fx, fy, place in case.point:
                model.add_member_pt_load(f"E{k}", "FX", fx, place, case=name)
                model.add_member_pt_load(f"E{k}", "FY", fy, place, case=name)
            assert not case.strain.any()
            model.add_load_combo(name, {name: 1.0})
        self.model = model

    def pull(self, name: str, force: float) -> None:
        """A strand that is jacked: both anchors are drawn toward one another."""
        for side, way in ((0, 1.0), (1, -1.0)):
            self.model.add_node_load(f"anchor{side}", "FX", way * force, case=name)
        self.model.add_load_combo(name, {name: 1.0})

    def strain(self, name: str, strains: Mapping[int, float], moduli: np.ndarray) -> None:
        """Stress-free strains, put on by the forces that would hold them."""
        s = self.structure
        for k, strain in strains.items():
            held = float(moduli[k] * s.A[k] * strain)  # pushes its ends apart where it would be longer
            member = self.model.members[f"E{k}"]
            a, b = member.i_node, member.j_node
            way = np.array([b.X - a.X, b.Y - a.Y]) / np.hypot(b.X - a.X, b.Y - a.Y)
            for node, sense in ((a, -1.0), (b, 1.0)):
                for direction, part in zip(("FX", "FY"), sense * held * way, strict=True):
                    self.model.add_node_load(node.name, direction, float(part), case=name)
        self.model.add_load_combo(name, {name: 1.0})

    def solve(self) -> None:
        self.model.analyze_linear(check_stability=False)

    def answer(self, name: str, held: Mapping[int, float] | None = None) -> Theirs:
        """``held``: axial forces that the strains of a case would have by themselves (lb), which come off."""
        m = len(self.structure.ends)
        axial, ends = np.zeros(m), np.zeros((m, 2))
        for k in self.standing:
            member = self.model.members[f"E{k}"]
            length = float(member.L())
            axial[k] = -float(member.axial(length / 2, name))
            ends[k] = [-float(member.moment("Mz", place, name)) for place in (0.0, length)]
            if self.structure.joints[self.structure.ends[k, 1], 0] < self.structure.joints[self.structure.ends[k, 0], 0]:
                ends[k] *= -1.0
        for k, force in (held or {}).items():
            axial[k] -= force
        return Theirs(axial, ends)


def compare(result, row: int, theirs: Theirs, title: str) -> None:
    """To 2e-4 of the greatest of their kind: arms are stiff, not rigid."""
    mine, moments = result.axial[row].mean(axis=1), result.moment[row][:, [0, -1]]
    assert np.abs(mine - theirs.axial).max() <= 2e-4 * np.abs(theirs.axial).max(), title
    assert np.abs(moments - theirs.ends).max() <= 5e-4 * np.abs(theirs.ends).max(), title


@pytest.fixture(scope="module")
def stages_elsewhere(ours: Ours) -> dict[str, Theirs]:
    """Dead load, new weight, and one strand after another."""
    works = ours.works
    bare = [k for k in range(len(works.overlay.structure.ends)) if ours.moments["as found"].build.active[k]]
    strands = list(works.overlay.strands)
    build = ours.moments["new parts fitted"].build
    first = Elsewhere(works, bare, {"D": works.case("D as found", build), "new": works.new_weight(build)})
    first.pull("pull 0", 1.0)
    first.solve()
    state = first.answer("D")
    found = {"as found": state, "drilled": state}
    state = found["new parts fitted"] = state + first.answer("new")
    models = [first]
    for k in range(1, len(strands)):
        model = Elsewhere(works, [*bare, *strands[:k]], {})
        model.pull(f"pull {k}", 1.0)
        model.solve()
        models.append(model)
    units = [model.answer(f"pull {k}") for k, model in enumerate(models)]
    each = RECORD.locked / RECORD.count
    pulls = np.zeros(len(strands))
    for k in reversed(range(len(strands))):  # what later ones take from it is added beforehand
        pulls[k] = each - sum(pulls[n] * units[n].axial[strands[k]] for n in range(k + 1, len(strands)))
    for k, strand in enumerate(strands):
        state = state + units[k].times(float(pulls[k]))
        state.axial[strand] = pulls[k]
        found[f"strands {k + 1} of {len(strands)} locked"] = state
    return found


def test_the_record_is_what_the_stages_end_with(stages_elsewhere, ours: Ours) -> None:
    last = stages_elsewhere["strands 4 of 4 locked"]
    assert last.axial[list(ours.works.overlay.strands)] == pytest.approx(RECORD.locked / RECORD.count)
    first = stages_elsewhere["strands 1 of 4 locked"].axial[ours.works.overlay.strands[0]]
    assert first > 1.01 * RECORD.locked / RECORD.count  # pulled harder, as three more come after it
    assert dict(ours.told)["strands 1 of 4 locked"] == pytest.approx((first,), rel=1e-4)


@pytest.mark.parametrize("title", ["as found", "new parts fitted", *(f"strands {k} of 4 locked" for k in (1, 2, 3, 4))])
def test_every_member_in_every_stage_of_stressing(stages_elsewhere, ours: Ours, title: str) -> None:
    moment = ours.moments[title]
    assert [row.lasts for row in moment.rows] == [1.0]
    compare(moment.result, 0, stages_elsewhere[title], title)


def later(ours: Ours, state: Theirs, title: str) -> None:
    """Every combination in service: what lasts times its factor, and what comes on chord and strands together."""
    works, moment = ours.works, ours.moments[title]
    standing = [k for k in range(len(works.overlay.structure.ends)) if moment.build.active[k]]
    assert set(works.overlay.strands) <= set(standing)
    names = list(dict.fromkeys(n for row in moment.rows for n, _ in row.comes))
    model = Elsewhere(works, standing, {n: works.case(n, moment.build) for n in names})
    model.solve()
    answers = {n: model.answer(n) for n in names}
    assert len(moment.rows) > 5
    for k, row in enumerate(moment.rows):
        total = state.times(row.lasts)
        for name, factor in row.comes:
            total = total + answers[name].times(factor)
        compare(moment.result, k, total, f"{title}: {row.name}")


def test_every_member_under_every_load_that_comes_later(stages_elsewhere, ours: Ours) -> None:
    later(ours, stages_elsewhere["strands 4 of 4 locked"], "in service")


def test_every_member_in_the_long_run(stages_elsewhere, ours: Ours) -> None:
    """Creep: each timber goes on giving way by phi times what it carries more than when it was whole, on wood softer by 1 + phi. What the strands
    lose besides is a shortening of all of them alike, as much as leaves what the record says is left."""
    works, state = ours.works, stages_elsewhere["strands 4 of 4 locked"]
    s, strands = works.overlay.structure, list(works.overlay.strands)
    standing = [k for k in range(len(s.ends)) if ours.moments["in service"].build.active[k]]
    long_since = works.long_since()
    phi, more = np.zeros(len(s.ends)), np.zeros(len(s.ends))
    for run in works.runs(ours.moments["in service"].build):
        phi[run.elements] = 0.5  # K_cr = 1.5 for seasoned sawn lumber (NDS 3.5.2)
        more[run.elements] = state.axial[run.elements] - long_since[run.panel, run.ply]
    strains = {k: float(phi[k] * more[k] / (s.E[k] * s.A[k])) for k in standing if phi[k]}
    soft = Elsewhere(works, standing, {}, softer=1.0 + phi)
    soft.strain("creep", strains, s.E / (1.0 + phi))
    soft.solve()
    crept = state + soft.answer("creep", {k: float(s.E[k] / (1.0 + phi[k]) * s.A[k] * e) for k, e in strains.items()})
    hard = Elsewhere(works, standing, {})
    hard.strain("let go", dict.fromkeys(strands, 1e-3), s.E)
    hard.solve()
    slack = hard.answer("let go", {k: float(s.E[k] * s.A[k] * 1e-3) for k in strands})
    held = float(crept.axial[strands].sum())
    share = (RECORD.lasting - held) / float(slack.axial[strands].sum())
    assert share > 0
    late = crept + slack.times(share)
    assert late.axial[strands].sum() == pytest.approx(RECORD.lasting)
    later(ours, late, "in service, in the long run")
