"""What the assessment says of a truss, and that it changes when the truss does."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from sample_trusses import SI_SAMPLE, SLENDER, US_SAMPLE, assessed, project, truss

from detailgen import pipeline
from detailgen.assessment.assess import assess_truss
from detailgen.core.errors import InputError
from detailgen.core.result import State
from detailgen.model.member import Damage, Wood
from detailgen.model.project import Support
from detailgen.pipeline import known_standards

WOOD, LOADS = known_standards()


def assess(owner, changed):
    return assess_truss(owner, changed, WOOD["nds_2018"], LOADS["asce7_16"])


def ratio(result, place: str, check: str, combination: str) -> float:
    return max(r.ratio for p in result.places if p.name == place for r in p.results if (r.check, r.combination) == (check, combination))


def test_the_sample_fails_where_it_broke_and_only_there() -> None:
    # As found one ratio over 1.2, one web that reverses and stays at or under 1.0
    found = assessed(US_SAMPLE, "T2")
    over = [f for f in found.findings if f.kind == "overstress"]
    assert [f.member for f in over] == ["L2-L3"]
    assert over[0].ratio > 1.2
    assert "near ply is broken here" in over[0].cause
    assert all(p.worst.ratio <= 1.0 for p in found.intact.places)
    web = found.intact.forces.members["U3-L4"].axial
    assert web.max() > 1000 > -1000 > web.min()


def test_tension_of_the_broken_panel_by_hand() -> None:
    """Far ply alone, 2-1/2 x 9-1/2 Douglas Fir-Larch No.1: F_t 675 psi, C_F 1.1 (10 in. wide), snow 1.15 (NDS Supplement, see the tables)."""
    found = assessed(US_SAMPLE, "T2").as_found
    axial = float(found.forces.members["L2-L3"].axial[[c.name for c in found.forces.combinations].index("D + S balanced")].max())
    # At L2 the 3/4 in. bolt of the upright stands 1-1/2 in. up, the 7/8 in. bolt of the diagonal 1-1/2 in. along it: their holes overlap
    # across the grain. The diagonal falls from U1 (on the circle, 21 ft from the middle) to L2, 7 ft further in. At L3 less is lost.
    height = math.sqrt(672**2 - 252**2) - 672 * math.sqrt(3) / 2
    diagonal = 1.5 * height / math.hypot(84, height)
    lost = (1.5 + 13 / 32) - (diagonal - 15 / 32)
    by_hand = axial / (2.5 * (9.5 - lost)) / (675 * 1.1 * 1.15)
    assert ratio(found, "bottom chord L2-L3", "tension on net section", "D + S balanced") == pytest.approx(by_hand, rel=1e-6)


def test_chord_force_by_hand() -> None:
    """Method of sections with the frame's own loads: the chords' couple carries the simple-beam moment at midspan."""
    result = assessed(US_SAMPLE, "T2").intact.forces
    k = [c.name for c in result.combinations].index("D + Lr full span")
    span, rise = 672.0, 672 * (1 - math.sqrt(3) / 2)
    arc = 672 * math.pi / 3
    chords = 2 * 2.5 * 9.5 * (arc + 672) * 35 / 1728
    uniform = (12 / 144 * arc / 672 + 2 / 144 + 20 / 144) * 144 + chords / 672
    assert result.members["L3-L4"].axial[k].mean() == pytest.approx(uniform * span**2 / 8 / rise, rel=0.03)


def test_slender_webs_go_into_compression_under_one_sided_snow() -> None:
    found = assessed(SLENDER, "C")
    over = {f.member: f for f in found.findings if f.kind == "overstress"}
    assert set(over) == {"U3-L3", "L3-U4"}
    assert "unbalanced" in over["U3-L3"].combination
    for words in ("In tension under", "goes into compression under", "too slender", "47"):
        assert words in over["U3-L3"].cause


def test_si_twin_gives_the_same_answers() -> None:
    for mark in ("T2", "T3", "T5"):
        us, si = assessed(US_SAMPLE, mark).as_found.worst, assessed(SI_SAMPLE, mark).as_found.worst
        assert (us[0].name, us[1].check, us[1].combination) == (si[0].name, si[1].check, si[1].combination)
        assert si[1].ratio == pytest.approx(us[1].ratio, rel=0.03)  # sizes are rounded to whole millimetres


@pytest.mark.parametrize(
    ("what", "change"),
    [
        ("one inch of span", lambda p, t: (p, replace(t, **_wider(t)))),
        ("ten percent of snow", lambda p, t: (_more_snow(p, 1.1), t)),
        ("another grade", lambda p, t: (p, replace(t, members=tuple(_graded(m, "No.2") for m in t.members)))),
        ("tributary width", lambda p, t: (p, replace(t, tributary_width=t.tributary_width + 6))),
    ],
)  # fmt: skip
def test_every_input_reaches_the_numbers(what: str, change) -> None:
    before = assessed(US_SAMPLE, "T2").as_found.worst[1].ratio
    after = assess(*change(project(US_SAMPLE), truss(US_SAMPLE, "T2"))).as_found.worst[1].ratio
    assert abs(after / before - 1) > 5e-4, what


def _more_snow(p, factor: float):
    return replace(p, loads=replace(p.loads, snow=replace(p.loads.snow, ground_snow=factor * p.loads.snow.ground_snow)))


def _graded(member, grade: str):
    return replace(member, plies=tuple(replace(p, wood=replace(p.wood, grade=grade)) for p in member.plies))


def _wider(t):
    factor = (t.span + 1) / t.span
    return {"span": t.span + 1, "joints": {n: (x * factor, y) for n, (x, y) in t.joints.items()}, "arc": None, "curved": False}


def test_more_load_never_helps() -> None:
    owner, chosen = project(SLENDER), truss(SLENDER, "C")
    ratios = [assess(owner, replace(chosen, tributary_width=w * 12.0)).intact.worst[1].ratio for w in (6, 8, 10, 11)]
    assert ratios == sorted(ratios)


def test_snow_capacity_is_where_the_first_check_reaches_one() -> None:
    owner, chosen = project(SLENDER), truss(SLENDER, "C")
    found = assess(owner, chosen)
    for factor, passes in ((found.snow.factor, True), (found.snow.factor + 0.002, False)):
        # the drift surcharge of a curved roof is linear in the ground snow load, so a scaled ground load is a scaled snow
        again = assess(_more_snow(owner, factor), chosen)
        with_snow = max(r.ratio for _, r in again.as_found.results() if " S " in f" {r.combination} " and r.unit != "in")
        assert (with_snow <= 1.0 + 1e-6) is passes


def test_a_chord_with_every_ply_broken_has_no_safe_load_path() -> None:
    owner, chosen = project(US_SAMPLE), truss(US_SAMPLE, "T2")
    broken = Damage("break", "bottom chord", "", 24 * 12.0, 4.0, "P1", 0.0, "")
    found = assess(owner, replace(chosen, damage=(broken,)))
    assert "over 3" in found.as_found.no_safe_load_path  # the curved chord alone cannot span
    assert found.as_found.places == ()
    assert found.snow is None
    assert found.findings[0].kind == "no safe load path"
    assert found.intact.places


def test_a_heel_cut_off_leaves_a_mechanism() -> None:
    owner, chosen = project(US_SAMPLE), truss(US_SAMPLE, "T2")
    cut = tuple(Damage("break", chord, "", 30.0, 4.0, "P1", 0.0, "") for chord in ("bottom chord", "top chord"))
    found = assess(owner, replace(chosen, damage=cut))
    assert "mechanism" in found.as_found.no_safe_load_path
    assert found.as_found.places == ()
    assert found.answers is None


def test_a_ratio_over_three_passes_no_numbers_on() -> None:
    owner, chosen = project(SLENDER), truss(SLENDER, "C")
    found = assess(owner, replace(chosen, tributary_width=16 * 12.0))
    assert "over 3" in found.as_found.no_safe_load_path
    assert found.as_found.places == ()
    assert found.answers is None
    assert not [f for f in found.findings if 0 < f.ratio < math.inf]


def test_an_intact_mechanism_is_refused_by_naming_the_joint() -> None:
    owner, chosen = project(US_SAMPLE), truss(US_SAMPLE, "T2")
    left, right = chosen.supports
    sliding = replace(chosen, supports=(replace(left, kind="roller"), replace(right, kind="roller")))
    with pytest.raises(InputError, match=r"cannot stand.*joint \w+"):
        assess(owner, sliding)


def test_a_bearing_beside_the_heel_bends_the_chord_by_force_times_distance() -> None:
    owner, chosen = project(US_SAMPLE), truss(US_SAMPLE, "T2")
    inward = (Support("L0", "pin", (6.0, 0.0)), Support("L8", "roller", (-6.0, 0.0)))
    moved = assess(owner, replace(chosen, supports=inward)).intact.forces
    k = 0
    names = [c.name for c in moved.combinations]
    assert names[k] == "D"
    forces = moved.members["L0-L1"]
    # The top chord is pinned at the heel, so the bottom chord alone takes the moment of the heel's forces about the bearing point:
    # its own shear there, and what the top chord brings down, act 6 in. from the bearing.
    top = moved.members["L0-U1"]
    rise = chosen.arc.centre_y + math.sqrt(chosen.arc.radius**2 - (21 - chosen.arc.centre_x) ** 2)
    slope = math.atan2(rise, 21.0)
    upward = top.axial[k, 0] * math.sin(slope) - top.shear[k, 0] * math.cos(slope) - forces.shear[k, 0]
    assert forces.moment[k, 0] == pytest.approx(6.0 * upward, rel=1e-6)
    assert abs(forces.moment[k, 0]) > 1000


def test_plies_share_by_stiffness_and_a_cut_ply_gives_its_share_away() -> None:
    owner, chosen = project(US_SAMPLE), truss(US_SAMPLE, "T2")
    bare = replace(chosen, damage=(), splices=(replace(chosen.splices[0], behaviour="one ply continuous", bolts=None, plates=(), fillers=()),))
    found = assess(owner, bare).intact
    place = next(p for p in found.places if p.name == "bottom chord L3-L4")
    tension = {r.where: r.ratio for r in place.results if r.check == "tension on net section" and r.combination == "D + S balanced"}
    cut, through = (next(v for k, v in tension.items() if ply in k) for ply in ("near", "far"))
    assert through == pytest.approx(2 * cut, rel=0.25)


def test_missing_bolt_and_failed_connector_weaken_the_heel() -> None:
    owner, chosen = project(US_SAMPLE), truss(US_SAMPLE, "T2")
    name = next(c.name for c in chosen.connections if c.member == "bottom chord" and c.joint == "L8")
    place = next(p.name for p in assessed(US_SAMPLE, "T2").as_found.places if p.kind == "connection" and p.joint == "L8" and p.member == "L7-L8")
    sound = ratio(assess(owner, replace(chosen, damage=())).as_found, place, "bolts", "D + S balanced")
    failed = Damage("failed connector", "", "", 0.0, 0.0, "P1", 0.5, "half of the group is loose", connection=name)
    weak = ratio(assess(owner, replace(chosen, damage=(failed,))).as_found, place, "bolts", "D + S balanced")
    assert weak == pytest.approx(2 * sound, rel=1e-6)


def test_decay_reduces_the_section_where_it_is() -> None:
    owner, chosen = project(US_SAMPLE), truss(US_SAMPLE, "T2")
    decay = Damage("decay", "bottom chord", "near", 45 * 12.0, 24.0, "P1", 0.5, "probed to half the depth")
    sound, weak = (assess(owner, replace(chosen, damage=d)).as_found for d in ((), (decay,)))
    args = ("bottom chord L6-L7", "tension on net section", "D + S balanced")
    k = [c.name for c in weak.forces.combinations].index("D + S balanced")
    stress = float(weak.forces.members["L6-L7"].axial[k].max()) / 2 / (0.5 * 2.5 * 9.5)
    assert ratio(weak, *args) == pytest.approx(stress / (675 * 1.1 * 1.15), rel=1e-3)
    assert ratio(weak, *args) > 1.2 * ratio(sound, *args)


def test_ends_that_nobody_surveyed_cannot_be_checked() -> None:
    owner, chosen = project(US_SAMPLE), truss(US_SAMPLE, "T2")
    found = assess(owner, replace(chosen, bearings=()))
    missing = [r for _, r in found.intact.results() if r.state is State.CANNOT_BE_CHECKED]
    assert {r.where for r in missing} == {"top chord L0-U1 at L0", "top chord U7-L8 at L8"}
    assert "no connection was surveyed here" in missing[0].missing


def test_imported_forces_give_the_same_downstream_result() -> None:
    """Our own forces, handed in as a table, come out as our own assessment."""
    owner, chosen = project(US_SAMPLE), truss(US_SAMPLE, "T2")
    own = assessed(US_SAMPLE, "T2")
    tables = {
        a.structure: ([c.name for c in a.forces.combinations], dict(a.forces.members)) for a in (own.intact, own.as_found)
    }
    from detailgen.model.project import ForceImport

    handed = assess_truss(
        owner, replace(chosen, forces=ForceImport("other.csv")), WOOD["nds_2018"], LOADS["asce7_16"], lambda _: tables
    )
    ours, theirs = ([(p.name, r.check, r.combination, r.ratio) for p, r in a.as_found.results()] for a in (own, handed))
    assert ours == theirs
    assert any("other.csv" in a for a in handed.assumptions)
    assert handed.snow == own.snow


def test_every_result_has_its_steps() -> None:
    checks = {}
    for place, result in assessed(US_SAMPLE, "T3").as_found.results():
        checks.setdefault(result.check, result)
        assert result.combination
        assert place.name
    for check, result in checks.items():
        steps = result.steps
        assert steps, check
        assert all(s.symbol and str(s.cite) for s in steps)
        last = [s.value for s in steps]
        assert any(v == pytest.approx(x, rel=1e-6) for v in last for x in (result.capacity, result.demand, result.ratio)), check
    assert {"tension on net section", "tension and bending, tension face", "compression with buckling", "compression and bending", "slenderness",
            "shear", "bolts", "row tear-out", "group tear-out", "end bearing"} <= set(checks)  # fmt: skip


def test_original_design_stands_beside_today() -> None:
    found = assessed(US_SAMPLE, "T2")
    (note,) = [n for n in found.notes if n.startswith("Original design")]
    assert "35.0 psf" in note
    axial = found.original.forces.members["L3-L4"].axial
    span, rise = 672.0, 672 * (1 - math.sqrt(3) / 2)
    assert float(np.mean(axial)) == pytest.approx(35 / 144 * 144 * span**2 / 8 / rise, rel=0.03)  # simple-beam moment over the rise


def test_read_once_assess_in_processes() -> None:
    with_jobs = pipeline.assess_one(project(US_SAMPLE), truss(US_SAMPLE, "T2"))
    import pickle

    again = pickle.loads(pickle.dumps(with_jobs))
    assert again.as_found.worst[1].ratio == with_jobs.as_found.worst[1].ratio
    assert again.as_found.worst[1].steps == with_jobs.as_found.worst[1].steps


def test_a_web_in_compression_bends_the_chord_where_it_broke() -> None:
    """A web that lands alone between two panel points: pulled under balanced load, it pushes the broken chord under one-sided snow."""
    owner, chosen = project(US_SAMPLE), truss(US_SAMPLE, "T2")
    joints = {}
    for name, place in chosen.joints.items():
        joints[name] = place
        if name == "L3":
            joints["M"] = (294.0, 0.0)
    bottom = ("L0", "L1", "L2", "L3", "M", "L4", "L5", "L6", "L7", "L8")
    members = []
    for member in chosen.members:
        if member.name == "bottom chord":
            members.append(replace(member, joints=bottom))
        elif member.name == "U3-L4":
            members.append(replace(member, name="U3-M", joints=("U3", "M")))
        else:
            members.append(member)
    connections = tuple(
        replace(c, member="U3-M", joint="M" if c.joint == "L4" else c.joint) if c.member == "U3-L4" else c for c in chosen.connections
    )
    broken = (Damage("break", "bottom chord", "near", 290.0, 4.0, "P9", 0.0, ""),)
    lone = replace(chosen, joints=joints, bottom=bottom, members=tuple(members), connections=connections)
    found = assess(owner, replace(lone, splices=(), damage=broken, tributary_width=96.0))
    causes = [f.cause for f in found.findings if f.member in ("L3-M", "M-L4")]
    assert causes
    assert any("Web U3-M, in compression" in c and "pushes on the chord at M and bends it, there where it broke" in c for c in causes), causes


@pytest.mark.parametrize("curved", [True, False])
def test_the_radius_of_a_curved_glulam_chord_reaches_its_checks(curved) -> None:
    """5.3.8 and 5.4.1 ask for it; a chord of straight pieces and a bottom chord have none."""
    whole = truss(US_SAMPLE, "T2")
    wood = Wood("glulam", "Douglas Fir-Larch", "24F-V4")
    members = tuple(replace(m, plies=tuple(replace(p, wood=wood) for p in m.plies)) if "chord" in m.kind else m for m in whole.members)
    found = assess(project(US_SAMPLE), replace(whole, members=members, curved=curved)).intact
    places = {p.name.split(",")[0] for p in found.places if any(r.check.startswith("radial stress") for r in p.results)}
    assert bool(places) is curved
    assert not any("bottom" in name for name in places)
    if curved:
        result = next(r for p in found.places for r in p.results if r.check.startswith("radial stress"))
        steps = {s.symbol: s.value for s in result.steps}
        assert steps["f_r"] == pytest.approx(3 * steps["M"] / (2 * 672 * 2.5 * 9.5))  # radius 56 ft


def test_combinations_that_imported_forces_do_not_hold_are_told() -> None:
    told = [a for a in assessed(US_SAMPLE, "T5").assumptions if "nothing is checked under them" in a]
    combinations = "D + Lr at L1, D + Lr at L2, D + Lr at L3 and 6 more"
    assert told == [f"forces_T5.csv holds no forces of truss T5 under {combinations}: nothing is checked under them."]


def test_what_old_joints_rest_on_is_told() -> None:
    """NDS 2018 table 11.3.3: several rows of bolts set in green wood that dries in place keep 0.4 of their value (from memory)."""
    assert any("made of dry wood" in a and "0.4" in a for a in assessed(US_SAMPLE, "T2").assumptions)
    single = replace(truss(US_SAMPLE, "T2"), splices=(), connections=())
    assert not any("made of dry wood" in a for a in pipeline.assess_one(project(US_SAMPLE), single).assumptions)


def test_lengths_in_reasons_are_written_as_the_project_writes_them():
    """Reasons that differ only in numbers are one; lengths leave a standard in inches and reach the reader in the project's units."""
    from detailgen.assessment.findings import _in_one
    from detailgen.core.units import SI, US

    reasons = [f"end distance is {a} in., the least is 2.625 in.; 3 rows" for a in ("1.5", "1.25")]
    assert _in_one(reasons, US) == 'end distance is 1 1/4" to 1 1/2", the least is 2 5/8"; 3 rows'
    assert _in_one(reasons, SI) == "end distance is 31.75 mm to 38.1 mm, the least is 66.67 mm; 3 rows"
