"""The answer for a bottom chord that is pulled too much: the repair with its sheet, or the refusal with before, after, and after with shoring."""

from __future__ import annotations

import math
from collections.abc import Sequence

from detailgen.analysis.build import panels
from detailgen.assessment.members import grade_of, place_name
from detailgen.assessment.shoring import Jacks
from detailgen.core.errors import NotCovered
from detailgen.core.tolerance import at_most, rounded, rounded_length
from detailgen.core.units import UnitSystem
from detailgen.model.detail import Bolt, Why, Zone
from detailgen.model.member import Member, Wood
from detailgen.model.package import Intervention, Refusal
from detailgen.model.project import Truss
from detailgen.remedies import usual
from detailgen.remedies.contract import Job, Repair, Site, Solved
from detailgen.remedies.side_member import parameters as p
from detailgen.remedies.side_member.assembly import BOTTOM, DRAWN_BEYOND, NOTES, Told, blocks_of, build_detail, lead_of, side_key, whys_between
from detailgen.remedies.side_member.judge import Judged
from detailgen.remedies.side_member.layout import stack, with_side
from detailgen.remedies.side_member.lift import jacks_that_lift
from detailgen.remedies.side_member.past import Past, sizes_of, way_of
from detailgen.remedies.side_member.pulled import Found, Pulled, name_of, ratio_of, search
from detailgen.remedies.side_member.site import profile, worst_of
from detailgen.remedies.side_member.words import layout_words, timber_words
from detailgen.standards.interface import ALLOWABLE_STRESS, method_of

ONE_SIDED = "on one face alone they are not offered for a chord that is pulled: what they take would bend it sideways"
AT = 12.0
"""Length of the chord (in) that a zone about the bolts of webs takes, at least (ours)."""


def blocked_where_pulled(truss: Truss, sides: Sequence[Sequence[str]]) -> str:
    """Why no timber past panel points is looked into; "" where one is."""
    if all(len(s) == 1 for s in sides):
        return ONE_SIDED
    if truss.strands is not None:
        return "strands relieve this chord already: what comes after them they would have to share with side members, which is not followed"
    return ""


def answered(job: Job, whole: Truss, site: Site, solved: Solved, wood: Wood, diameters: Sequence[float]) -> Repair | Refusal:
    """``whole``: the truss with all other repairs, without this one. Raises: NotCovered"""
    member = whole.member(site.member)
    stretch = (site.x - site.gap / 2, site.x + site.gap / 2)
    bare = job.solve(whole) if len(whole.side_members) != len(solved.truss.side_members) else solved
    pairs = [q for q in panels(member) if whole.joints[q[1]][0] >= stretch[0] and whole.joints[q[0]][0] <= stretch[1]]
    results = [r for q in bare.check([place_name(member, q) for q in pairs]) for r in q.results if r.unit != "in" and r.ratio == r.ratio]
    worst = worst_of(results)
    assert worst is not None
    alone = {c.name for c in bare.forces.combinations if all(name == "D" for name, _ in c.factors)}
    dead = max((r.ratio for r in results if r.combination in alone), default=math.nan)
    pulled = Pulled(job, site, whole, bare, member, stretch, worst, dead, tuple(profile(job, bare, member)))
    lifts = [] if _cut(whole) or method_of(job.wood) != ALLOWABLE_STRESS else jacks_that_lift(whole, bare, [f"{a}-{b}" for a, b in pairs])
    found = search(pulled, _covered(job, wood, member), diameters, lifts, lambda judged: _fails(job, judged))
    return _repair(pulled, found) if found.passes else _refusal(pulled, found, lifts)


def _covered(job: Job, wood: Wood, member: Member) -> Wood:
    """The usual wood where the standard holds values for one of the sizes, else the chord's own."""
    for size in sizes_of(member):
        try:
            job.wood.stiffness(grade_of(wood), *size)
        except NotCovered:
            continue
        return wood
    return member.plies[0].wood


def _cut(truss: Truss) -> bool:
    """Are plies cut for another repair, for which shores are jacked by themselves? Nor is anything lifted off in strength design: what is jacked is
    a force that is known, and would be factored with the dead load."""
    return bool(truss.pieces) or any(s.new for s in truss.splices)


def _fails(job: Job, judged: Judged) -> str:
    """What fails in a stage of the work that did not fail worse before anything was done."""
    if job.staged is None:
        return ""
    work = job.staged(judged.solved, None)
    first = max((line.ratio for line in work.lines[:1] if math.isfinite(line.ratio)), default=0.0)
    later = [s for s in work.lines[1:] if math.isfinite(s.ratio) and not at_most(s.ratio, max(first, 1.0))]
    worst = max(later, key=lambda s: rounded(s.ratio), default=None)
    return f"in the stage '{worst.title}' {worst.place} stands at {worst.ratio:.2f} ({worst.check})" if worst is not None else ""


def _refusal(pulled: Pulled, found: Found, lifts: Sequence[Jacks]) -> Refusal:
    site, job = pulled.site, pulled.job
    if found.judged is None:
        return Refusal(site.key, "side_member", site.truss, f"{found.why}. The chord stands at {pulled.before.ratio:.2f}")
    judged = found.judged
    layout = judged.layout
    assert isinstance(layout, Past)
    why = found.why or "no side member is enough for the chord"
    if not found.why and not at_most(pulled.dead, 1.0) and not lifts:
        why = f"the chord stands at {pulled.dead:.2f} under the dead load alone, which stays in it: what is added carries later load only"
    shored = f"{pulled.lifted(layout):.2f} if shores lifted all dead load off while they are fitted"
    if found.tried is not None:
        shored = f"{found.shored:.2f} with {_jacked(found.tried, job.project.units)} while they are fitted, {shored}"
    elif not lifts:
        shored += " (no joint at which the survey lets a shore stand takes any off it)"
    worst = judged.worst
    governs = not worst.passes and judged.chord is not worst
    also = f" What governs is {worst.where}, {worst.missing or f'{worst.check} {worst.ratio:.2f}'}." if governs else ""
    reason = (
        f"{why}. Worked out with {layout_words(layout, job)}, past {name_of(site)}: the chord stands at {pulled.before.ratio:.2f} before, "
        f"{found.after:.2f} with them and nothing lifted off, {shored}.{also}"
    )
    return Refusal(site.key, "side_member", site.truss, reason)


def _jacked(jacks: Jacks, units: UnitSystem) -> str:
    each = " and ".join(f"{units.write_force(f)} jacked at {j}" for j, f in jacks.force.items())
    return each + (f" ({jacks.short} lets no more)" if jacks.short else "")


def _repair(pulled: Pulled, found: Found) -> Repair:
    job, site, judged = pulled.job, pulled.site, found.judged
    assert judged is not None
    assert isinstance(judged.layout, Past)
    layout, units, side = judged.layout, job.project.units, judged.side
    told = _told(pulled, layout, found.jacks)
    detail = build_detail(pulled.whole, site, pulled.member, judged, judged.bolts, told, tuple(_longer(pulled, layout)))
    ends = max(float(abs(h.along).max()) for h in judged.handed)
    after = ratio_of(pulled.judged(layout, {})) if found.jacks is not None else ratio_of(judged)
    parameters = {
        "timber": timber_words(layout, job),
        "bolts": f"{layout.count} of {units.write_made(layout.diameter)}, {usual.BOLT_GRADE}",
        "layout": f"{layout_words(layout, job)} in {layout.held} columns at each end, those between at most {units.write_made(layout.widest)} apart",
        "chord before, with side members and nothing lifted off, as built": f"{pulled.before.ratio:.2f}, {after:.2f}, {ratio_of(judged):.2f}",
        "chord under dead load alone": f"{pulled.dead:.2f}",
        "jacked while they are fitted": _jacked(found.jacks, units) if found.jacks is not None else "nothing: later load alone is shared",
        "their part of later pull by E A": "{:.0f} to {:.0f} %".format(*(100 * s for s in shares(pulled, layout))),
        "force that one end of one timber brings in": f"up to {units.write_force(ends)}",
    }
    intervention = Intervention(site.key, "side_member", site.truss, detail.title, site.because, parameters, ())
    sizes = {"held": float(layout.held), "diameter": layout.diameter, "timber": layout.timber.thickness * layout.timber.depth}
    return Repair(site, with_side(pulled.whole, side), intervention, detail, sizes, judged.bolts, "", 0.0)


def shares(pulled: Pulled, layout: Past) -> tuple[float, float]:
    """The part of a later pull that goes into the timbers, least and most: springs beside the chord, over the length that counts."""
    least, most = (pulled.stiffness(layout, tight=tight) for tight in (False, True))
    return least[0] / sum(least), most[0] / sum(most)


def _longer(pulled: Pulled, layout: Past) -> list[Bolt]:
    """The longer bolts that take the places of webs' bolts."""
    layers = stack(pulled.member, layout.timber)
    low, high = layers[0][1], layers[-1][2]
    return [Bolt(b.where, b.x, b.y, b.ordered.diameter, low, high, b.ordered.length, usual.BOLT_GRADE, b.ordered.washers,
                 pulled.whole.bolts_from) for b in layout.bored]  # fmt: skip


def _told(pulled: Pulled, layout: Past, jacks: Jacks | None) -> Told:
    truss, member, units, name = pulled.whole, pulled.member, pulled.job.project.units, name_of(pulled.site)
    t, half = layout.timber, layout.timber.length / 2
    ends = sorted(truss.joints[j][0] for j in (member.joints[0], member.joints[-1]))
    reach = max(-(half + DRAWN_BEYOND), ends[0] - t.at.x), min(half + DRAWN_BEYOND, ends[1] - t.at.x)
    drawn = tuple(dict.fromkeys(b.where for b in layout.bored))
    joints = [j for j in member.joints if abs(truss.joints[j][0] - t.at.x) < half]
    shores = "at " + " and ".join(jacks.force) if jacks is not None else "" if drawn else "none: no timber is cut"
    past = f"past {name.replace('-', ' to ')}"
    return Told(
        reach, f"Side members on both faces of the {member.name}, {past}", tuple(_zones(pulled, layout, joints)), _whys(layout),
        _order(pulled, layout, jacks, joints), (*_notes(pulled, layout, units, joints), NOTES[0]), drawn, shores,
    )  # fmt: skip


def _whys(layout: Past) -> tuple[Why, ...]:
    """The reasons of every side member, but for the spacing of a column that is pressed."""
    return tuple(w for w in whys_between(layout, BOTTOM) if w.dimension != "greatest spacing of bolts")


def _zones(pulled: Pulled, layout: Past, joints: Sequence[str]) -> list[Zone]:
    """About each panel point what stands there, or the bolts that are drawn."""
    depth, at = max(q.depth for q in pulled.member.plies), layout.timber.at.x
    found = []
    for joint in joints:
        x = pulled.whole.joints[joint][0] - at
        taken = [(a - at, b - at) for a, b, _ in way_of(pulled.whole, pulled.bare.model, pulled.member).columns if a - at <= x <= b - at]
        low, high = min([x - AT / 2, *(a for a, _ in taken)]), max([x + AT / 2, *(b for _, b in taken)])
        found.append(Zone(rounded_length((low + high) / 2), 0.0, rounded_length(high - low), depth, f"bolts of the webs at {joint}, put back"))
    return found


def _notes(pulled: Pulled, layout: Past, units: UnitSystem, joints: Sequence[str]) -> list[str]:
    """How the crew finds the place, what comes through old holes."""
    truss, t = pulled.whole, layout.timber
    near = min(joints or pulled.member.joints, key=lambda j: abs(truss.joints[j][0] - t.at.x))
    away = truss.joints[near][0] - t.at.x
    side = "left" if away > 0 else "right"
    where = f"{units.write_length(abs(away))} to the {side} of the work point of {near}" if abs(away) > 1e-6 else f"at the work point of {near}"
    low, high = shares(pulled, layout)
    found = [
        f"WP is {where}. The middle of the side members stands there, on the centre line; ends square, no joint in them.",
        f"They take {100 * low:.0f} to {100 * high:.0f} % of the pull that comes after them, by E A with the give of their end bolts; the old chord "
        "keeps the rest and all that was in it.",
    ]
    if layout.bored:
        sizes = sorted({(b.ordered.diameter, b.ordered.length) for b in layout.bored})
        each = " and ".join(f"{sum((b.ordered.diameter, b.ordered.length) == s for b in layout.bored)} of {units.write_made(s[0])} x "
                            f"{units.write_made(s[1])}" for s in sizes)  # fmt: skip
        found.append(
            f"Bolts of the webs at {' and '.join(joints)} pass the side members: longer ones take their places through the old holes "
            f"({each}, {usual.BOLT_GRADE}, washers under head and nut). Of a worn hole or a bent bolt the engineer is told."
        )
    return found


def _order(pulled: Pulled, layout: Past, jacks: Jacks | None, joints: Sequence[str]) -> list[tuple[str, tuple[str, ...]]]:
    units, keys = pulled.job.project.units, tuple(side_key(s) for s in layout.timber.sides)
    fillers = tuple(k for k, _ in blocks_of(layout)) if len(stack(pulled.member, layout.timber)) > len(pulled.member.plies) + 2 else ()
    shift, play = p.SHIFT * usual.HOLE_OVER_BOLT, usual.HOLE_OVER_BOLT
    at, template = " and ".join(joints), lead_of(pulled.whole, layout)
    first = (
        f"No snow on the roof. Shores by the sheet of the work: {_jacked(jacks, units)}, all together in quarters of their force. Hold point: the "
        "engineer reads force and lift of every jack; without them the side members are not fitted."
        if jacks is not None else "No snow on the roof while the work goes on; only load that comes after it is shared."
    )  # fmt: skip
    return [
        (first, ()),
        ("Look the chord over: straight, sound, joints tight. A split or a bow over what the survey says is told to the engineer before anything is "
         "drilled.", ()),
        *([(f"With the chord shored on both sides of {at} hold the webs there with clamps on blocks, then draw their bolts.", ())]
          if layout.bored else []),
        *([("Fit the blocking tight between the plies: no bolt crosses an open gap.", fillers)] if fillers else []),
        (f"Clamp the side members tight to the chord, WP on WP; the {template} one is the drilling template.", keys),
        *([(f"Drill the side members at {at} through the old holes; put in the longer bolts, nuts snug, and take the clamps of the webs off.", ())]
          if layout.bored else []),
        ("Drill the columns of the left end square through, check the exit side of the first hole; no bolts yet.", ()),
        (f"Slack the clamps, push both side members {units.write_made(shift)} to the right, clamp, and drill the columns of the right end. Hold "
         f"point: the engineer or inspector lays a gauge strip of {units.write_made(shift)} between the marks.", ()),
        (f"Push them back by {units.write_made(play)} and put in the bolts of both ends, unforced: each bears in its holes, so that nothing "
         "slips before it pulls.", ()),
        ("Drill and bolt the columns between, from the middle outward.", ()),
        ("Washers under head and nut, nuts snug so that the faces touch; check again after the wood has dried for a season.", ()),
        *([("Let all jacks down together, a quarter of their force at a time; watch the ends of the side members.", ())]
          if jacks is not None else []),
    ]  # fmt: skip
