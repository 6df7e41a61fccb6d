"""Two splices of one ply and the piece between them, as one joint. Axes: x along the chord from the piece's middle."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from detailgen.core.tolerance import rounded_length
from detailgen.core.units import UnitSystem
from detailgen.model.detail import MARKED_OUT, PUT_BACK, Detail, Group, Hole, Part, Timber, Why, Zone
from detailgen.model.marks import signature
from detailgen.model.member import Ply, Wood
from detailgen.model.outlines import rectangle
from detailgen.remedies import usual
from detailgen.remedies.contract import Site
from detailgen.remedies.replacement import parameters as p

SHORE = "Shore the truss both sides of the joint before anything is cut; jack to the stated force with a displacement stop, whichever comes first."
PIECE = "piece"
PUT_BACK_NOTE = (
    "Between the cuts the bolts of the webs at {} pass the ply. They are drawn and put back in their places: the new piece is drilled there on site, "
    "through the old holes; of a worn hole or a bent bolt the engineer is told."
)


@dataclass(frozen=True)
class NewTimber:
    """What a new piece is of, how it is ordered, and what it takes of the chord's force."""

    wood: Wood
    timber: Timber
    shared: str


def _named(key: str, end: str) -> str:
    return f"{key}-{end}"


def _shifted(part: Part, dx: float, group: str, templates: dict[str, str]) -> Part:
    holes = tuple(replace(h, bolt=group, template=templates.get(h.template, h.template)) for h in part.holes)
    place = replace(part.placement, x=rounded_length(part.placement.x + dx))
    return replace(part, key=templates.get(part.key, part.key), holes=holes, placement=place)


def _ply(part: Part, x1: float, x2: float, dx: float) -> Part:
    """A ply's part of a splice, in the axes of the whole joint, from x1 to x2."""
    half = max(v.y for v in part.outline)
    holes = tuple(replace(h, x=rounded_length(h.x + dx)) for h in part.holes)
    return replace(part, outline=rectangle(x1, x2, 2 * half), holes=holes, placement=replace(part.placement, x=0.0), open_ends=())


def build_detail(
    site: Site, ply: Ply, made: NewTimber, left: Detail, right: Detail, units: UnitSystem, lengths: Sequence[float], joints: Mapping[str, float],
    drawn: Sequence[str], bored: Sequence[tuple[float, float, float]],
) -> Detail:  # fmt: skip
    """``made``: what the piece is of; ``left`` and ``right``: the splices at its ends, as the splice remedy draws them; ``lengths``: where the cuts
    are (x, in).

    joints: between the cuts, with their places (x, in); drawn: the webs whose bolts are drawn there and put back; bored: where these pass the
    ply (x of the truss, across the ply's axis) and their diameter (in)
    """
    x1, x2 = lengths
    middle = (x1 + x2) / 2
    half = (x2 - x1) / 2
    reach = half + max(v.x for d in (left, right) for q in d.parts if q.kind == "plate" for v in q.outline) + 12.0
    parts: dict[str, Part] = {}
    holes: dict[str, list[Hole]] = {}
    cut = f"ply-{ply.name}"
    # Joints that are alike are one group, as their plates are one mark and have one face view.
    alike = [signature(q) for q in left.parts if q.kind == "plate"] == [signature(q) for q in right.parts if q.kind == "plate"]
    group = {"1": "B1", "2": "B1" if alike else "B2"}
    for end, detail, dx in (("1", left, -half), ("2", right, half)):
        templates = {q.key: _named(q.key, end) for q in detail.parts if q.kind != "ply"}
        for part in detail.parts:
            if part.kind != "ply":
                moved = _shifted(part, dx, group[end], templates)
                parts[moved.key] = moved
                continue
            drilled = replace(part, holes=tuple(
                replace(h, bolt=group[end], template=templates.get(h.template, h.template)) for h in part.holes
            ))  # fmt: skip
            if part.key == f"{cut}-{'left' if end == '1' else 'right'}":  # what stays of the cut ply
                ends = (-reach, -half) if end == "1" else (half, reach)
                parts[part.key] = replace(_ply(drilled, *ends, dx), open_ends=(-reach if end == "1" else reach,))
            elif part.key.startswith(cut):  # the new piece
                holes.setdefault(PIECE, []).extend(_ply(drilled, -half, half, dx).holes)
            else:
                parts.setdefault(part.key, replace(_ply(replace(drilled, holes=()), -reach, reach, dx), open_ends=(-reach, reach)))
                holes.setdefault(part.key, []).extend(_ply(drilled, -reach, reach, dx).holes)
    stays = parts[f"{cut}-left"]
    parts[PIECE] = replace(
        stays, key=PIECE, kind="piece", name=f"new piece of the {ply.name} ply", existing=False, open_ends=(), holes=(),
        unit_weight=usual.WOOD_WEIGHT, outline=rectangle(-half, half, ply.depth),
        specification=f"{made.wood.species} {made.wood.grade}, dry", timber=made.timber, facts=made.wood.facts,
    )  # fmt: skip
    other = next((k for k in holes if k.startswith("ply-")), MARKED_OUT)  # the other ply's old holes lead the drill
    holes.setdefault(PIECE, []).extend(
        Hole(rounded_length(x - middle), rounded_length(y), D + usual.HOLE_OVER_BOLT, PUT_BACK, other) for x, y, D in bored
    )
    for key, found in holes.items():
        parts[key] = replace(parts[key], holes=tuple(found))
    ordered = tuple(sorted(parts.values(), key=lambda q: (q.placement.z, q.key)))
    names = {cut + "-left": {"1": cut + "-left", "2": PIECE}, cut + "-right": {"1": PIECE, "2": cut + "-right"}}
    groups, bolts = [], []
    for end, detail, dx in (("1", left, -half), ("2", right, half)):
        groups += [_group(g, end, group[end], dx, names) for g in detail.groups]
        bolts += [replace(b, group=group[end], x=rounded_length(b.x + dx)) for b in detail.bolts]
    if alike:
        groups = [_joined(groups)]
    zones = [replace(z, x=rounded_length(z.x + dx)) for d, dx in ((left, -half), (right, half)) for z in d.zones]
    zones += [Zone(rounded_length(x - middle), 0.0, p.AT_JOINT, ply.depth, f"bolts of the webs at {j}, put back") for j, x in joints.items()]
    order = _order(ply, left, right, half * 2, units, joints)
    again = (PUT_BACK_NOTE.format(" and ".join(joints)),) if joints else ()
    notes = (*dict.fromkeys((*left.notes, *right.notes)), *_notes(made), *again)
    return replace(
        left, key=site.key, title=f"New piece of the {ply.name} ply of the {left.member}", remedy="replacement", station=middle, parts=ordered,
        bolts=tuple(bolts), groups=tuple(groups), zones=tuple(dict.fromkeys(zones)), whys=_whys((*left.whys, *right.whys)),
        order=tuple(text for text, _ in order), brings=tuple(k for _, k in order), notes=notes, drawn=tuple(drawn),
        results=(*left.results, *right.results),
    )  # fmt: skip


def _joined(groups: Sequence[Group]) -> Group:
    """Both joints as one group; a part that both load is loaded by the larger force."""
    first, second = groups
    loads = {x.part: x for x in first.loads}
    for load in second.loads:
        known = loads.get(load.part, load)
        loads[load.part] = replace(load, tension=max(load.tension, known.tension), compression=max(load.compression, known.compression))
    return replace(
        first, positions=(*first.positions, *second.positions), parts=tuple(dict.fromkeys((*first.parts, *second.parts))),
        interfaces=(*first.interfaces, *second.interfaces), loads=tuple(loads.values()),
    )  # fmt: skip


def _group(group: Group, end: str, key: str, dx: float, names: dict[str, dict[str, str]]) -> Group:
    def named(key: str) -> str:
        if key in names:
            return names[key][end]
        return key if key.startswith("ply-") else _named(key, end)

    return replace(
        group, key=key, positions=tuple((rounded_length(x + dx), y) for x, y in group.positions),
        parts=tuple(named(k) for k in group.parts),
        interfaces=tuple(replace(i, first=named(i.first), second=named(i.second)) for i in group.interfaces),
        loads=tuple(replace(x, part=named(x.part)) for x in group.loads),
    )  # fmt: skip


def _whys(found: Sequence[Why]) -> tuple[Why, ...]:
    """Of two splices that differ the tighter place, which is what the checker measures too."""
    kept: dict[tuple[str, str], Why] = {}
    for why in found:
        key = (why.dimension, why.rule)
        if key not in kept:
            kept[key] = why
            continue
        pick = max if why.rule == "at most" else min
        kept[key] = replace(kept[key], required=max(kept[key].required, why.required), provided=pick(kept[key].provided, why.provided))
    return tuple(kept.values())


def _order(ply: Ply, left: Detail, right: Detail, length: float, units: UnitSystem, joints: Iterable[str]) -> list[tuple[str, tuple[str, ...]]]:
    def both(kind: str, chosen: bool) -> tuple[str, ...]:
        found = []
        for end, d in (("1", left), ("2", right)):
            found += [_named(q.key, end) for q in d.parts if not q.existing and (q.kind == "plate") == (kind == "plate")
                      and (("-inner" in q.key) == chosen or kind != "plate")]  # fmt: skip
        return tuple(found)

    inner = both("plate", True)
    at = " and ".join(joints)
    return [
        (SHORE, ()),
        (f"Prove zero tension in the {ply.name} ply: shore load reached and a saw kerf that does not open. One ply at a time.", ()),
        *([(f"Hold the webs at {at}, then draw the bolts that pass the {ply.name} ply there.", ())] if at else []),
        (f"Cut {units.write_length(length)} out of the {ply.name} ply, square, both ends in sound dry wood. More decay than drawn: stop, tell the "
         "engineer.", ()),
        ("Fit the new piece tight between both cuts, in line with the ply, hardwood shims driven from both faces; drill nothing yet.", (PIECE,)),
        ("Fit the blocks tight between the plies at every bolt column: no bolt crosses an open gap.", both("block", False)),
        ("Clamp the outer plates on the chord's centre line over both joints; they are the drilling templates.", both("plate", False)),
        *([("Slide in the inner plates before drilling through.", inner)] if inner else []),
        ("Drill square through plate holes into wood and far parts, one joint after the other; check the exit side of the first hole.", ()),
        ("Set bolts with washers under head and nut, tighten snug, check again after the wood has dried for a season.", ()),
        *([(f"Drill the new piece at {at} through the old holes of the webs and of the other ply; bolt the webs as they were. A bent or worn bolt is "
            "replaced by a new one of its size.", ())] if at else []),
        ("Release the shores evenly and record the movement.", ()),
    ]  # fmt: skip


def _notes(made: NewTimber) -> tuple[str, ...]:
    what = "sawn timber" if made.timber.product == "sawn" else "glued laminated timber"
    return (
        f"New piece: {what}, {made.timber.made_of}. No camber: it follows the line of the shored chord.",
        f"Share of the chord's force by E A: {made.shared}.",
    )
