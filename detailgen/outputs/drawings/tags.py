"""Facts that a drawing cannot show, as the checker reads them back: ``key=value``. No length, distance or result is among them."""

from __future__ import annotations

import math
from functools import cache
from pathlib import Path

import detailgen
from detailgen.core.table import read_table
from detailgen.core.units import MM, UnitSystem, feet_inches
from detailgen.model.detail import Detail, Group, Hole, Part, PlyLoad, Slot, passing_group, slotted_group
from detailgen.model.project import Project

STEEL_STANDARD = "aisc360_16"
_STANDARDS = Path(detailgen.__file__).parent / "standards"


@cache
def _kinds(standard: str) -> tuple[tuple[str, str], ...]:
    """Species and whether each is softwood or hardwood, longest names first."""
    table = read_table(_STANDARDS / standard / "tables", "bolt_wood_kinds")
    return tuple(sorted(((str(r["species"]), str(r["kind"])) for r in table), key=lambda pair: (-len(pair[0]), pair[0])))


def wood_kind(specification: str, standard: str) -> str:
    """Softwood or hardwood by the species that a specification begins with; one that is not listed counts as softwood, as the table says."""
    return next((kind for species, kind in _kinds(standard) if specification.startswith(species)), "softwood")


def bolt_words(diameter: float, units: UnitSystem) -> str:
    """A bolt (in) by its designation: bolt 3/4 in, bolt 1-1/8 in, bolt 19 mm."""
    if units.name == "US":
        return f"bolt {feet_inches(diameter).strip(chr(34)).replace(' ', '-')} in"
    return f"bolt {round(diameter / MM, 1):.0f} mm"


def open_ends(part: Part) -> str:
    """Which ends of a part are cut off by a break line: none, left, right, both."""
    middle = (min(v.x for v in part.outline) + max(v.x for v in part.outline)) / 2
    sides = {"left" if x < middle else "right" for x in part.open_ends}
    return "both" if len(sides) == 2 else next(iter(sides), "none")


def load_direction(part: Part, group: Group, load: PlyLoad) -> float:
    """Direction (deg, own axes) of the force of the bolts on a part when the connected member is in tension.

    They pull the part's end back toward the joint: away from where it runs on, or from its middle to the bolts where both ends are seen.
    The angle of the load to the grain is counted counter-clockwise.
    """
    ends = open_ends(part)
    grain = 0.0 if math.isnan(part.grain) else part.grain
    if ends in ("left", "right"):
        base = grain if ends == "left" else grain + math.pi
    else:
        held = [(h.x, h.y) for h in part.holes if h.bolt == group.key] + [(s.x, s.y) for s in part.slots if s.bolt == group.key]
        along = [x * math.cos(grain) + y * math.sin(grain) for x, y in held]
        corners = [v.x * math.cos(grain) + v.y * math.sin(grain) for v in part.outline]
        base = grain if sum(along) / len(along) >= (min(corners) + max(corners)) / 2 else grain + math.pi
    return round(math.degrees(base + load.angle), 6) % 360


def outline_tags(detail: Detail, part: Part, mark: str, project: Project) -> tuple[str, ...]:
    """On the outline of a face view. Loads of strength design are said to be factored: no drawing shows that."""
    wood_standard = project.wood_standard
    tags = ["kind=outline", "view=face", f"detail={detail.key}", f"part={part.key}", f"mark={mark}", f"material={part.material}"]
    tags.append(f"specification={part.specification}")
    if part.material == "wood":
        tags += [f"wood={wood_kind(part.specification, wood_standard)}", f"standard={wood_standard}", f"grain={math.degrees(part.grain):g}"]
    else:
        tags.append(f"standard={STEEL_STANDARD}")
    tags += [f"{name}={value}" for name, value in part.facts]
    tags += [f"existing={'yes' if part.existing else 'no'}", f"open={open_ends(part)}"]
    if project.method == "strength":
        tags.append("loads=factored")
    if detail.times > 1:
        tags.append(f"times={detail.times}")
    for group in detail.groups:
        for load in (x for x in group.loads if x.part == part.key):
            direction = load_direction(part, group, load)
            for lasts, tension, compression in load.lasting or (("", load.tension, load.compression),):
                forces = f"load={group.key};tension={tension:.7g};compression={compression:.7g};direction={direction:g}"
                tags.append(f"{forces};duration={lasts}" if lasts else forces)
    return tuple(tags)


def hole_tags(detail: Detail, part: Part, hole: Hole, units: UnitSystem) -> tuple[str, ...]:
    """On a hole of a face view."""
    diameter = next((g.diameter for g in detail.groups if g.key == hole.bolt), None)
    fastener = "" if diameter is None else bolt_words(diameter, units)
    group = hole.bolt
    if group.startswith(("strand ", "rod ")):  # a hole for a strand or a rod names it
        group, fastener = passing_group(part.key, group), group
    return (
        "kind=hole", "view=face", f"part={part.key}", f"group={group}", f"fastener={fastener}", f"made={hole.made}", f"template={hole.template}",
    )  # fmt: skip


def slot_tags(detail: Detail, part: Part, slot: Slot, units: UnitSystem) -> tuple[str, ...]:
    """On a slot of a face view; slots of new parts are made in the shop."""
    diameter = next((g.diameter for g in detail.groups if g.key == slot.bolt), None)
    group, fastener = slot.bolt, "" if diameter is None else bolt_words(diameter, units)
    if group.startswith("strand "):
        group, fastener = slotted_group(part.key, group), group
    made = "field" if part.existing else "shop"
    return "kind=slot", "view=face", f"part={part.key}", f"group={group}", f"fastener={fastener}", f"made={made}", "template="


def edge_tags(part: Part) -> tuple[str, ...]:
    """On the edge of a plate that stands across the truss, as the elevation shows it: its sides are length and thickness of the plate."""
    return "kind=outline", "view=edge", f"part={part.key}"


def plan_tags(part: Part) -> tuple[str, ...]:
    """On a part's rectangle in the plan: its extent across is the thickness, but of a plate that stands across the truss."""
    if part.stands:
        return ()
    return "kind=outline", "view=plan", f"part={part.key}"
