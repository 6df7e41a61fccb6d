"""A drawing by others with a small file of facts beside it: which layer is which part, what goes through the holes, grain, load.

unit: mm                       # only where the drawing does not say
parts:
  - layer: TIMBER              # every closed line on this layer
    part: chord
    material: wood             # or steel
    specification: Douglas Fir-Larch No.1
    wood: softwood             # or hardwood
    standard: nds_2018
    grain: 0                   # degrees to the drawing's x
    thickness: 2-1/2 in
    existing: no
    open: left                 # end that is cut off: none, left, right, both
    tension: 11400 lb          # of the member, by the holes' group
    compression: 0 lb
    direction: 180             # degrees: force of the bolts on this part while the member is in tension
    loads: service             # or factored, where they are those of strength design
    duration: snow             # of the shortest load in it, as the standard names it; without it some wood cannot be judged
    service: dry               # or wet; product: sawn or glulam, where the specification does not say
holes:
  - layer: HOLES
    fastener: bolt 3/4 in
    group: B1
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from detailgen.checker.drawing import Drawing
from detailgen.checker.dxf_text import read_text
from detailgen.checker.read_dxf import UNITS, drawing_of, unit_code
from detailgen.checker.shapes import Shapes, Walk
from detailgen.checker.tags import Tags, read_tags
from detailgen.core.errors import InputError, InputProblem
from detailgen.core.units import QuantityError, parse

UNIT_NAMES = {"in": 1, "ft": 2, "mm": 4, "cm": 5, "m": 6}
PART = ("layer", "part", "material", "specification", "wood", "standard", "grain", "thickness", "existing", "open", "tension", "compression",
        "direction", "loads", "duration", "product", "made", "service")  # fmt: skip
HOLE = ("layer", "fastener", "group")
MUST = {"parts": ("layer", "part", "material", "standard"), "holes": ("layer", "fastener", "group")}


@dataclass(frozen=True)
class Facts:
    """What the side file says; ``line`` of each entry for what is found wrong later."""

    path: Path
    unit: int
    parts: tuple[Mapping[str, str], ...]
    holes: tuple[Mapping[str, str], ...]


def read_facts(path: Path) -> Facts:
    """Raises InputError with every fault."""
    import yaml

    try:
        text = path.read_text(encoding="utf-8")
        data = yaml.load(text, Loader=yaml.BaseLoader)
    except (OSError, UnicodeDecodeError) as error:
        raise InputError([InputProblem(str(path), 0, "", f"a file that cannot be read ({type(error).__name__})", "a YAML file of facts")]) from error
    except (yaml.YAMLError, RecursionError) as error:
        mark = getattr(error, "problem_mark", None)
        line = mark.line + 1 if mark is not None else 0
        raise InputError([InputProblem(str(path), line, "", "no YAML", "unit, parts and holes")]) from error
    problems: list[InputProblem] = []

    def fault(field: str, found: str, allowed: str) -> None:
        problems.append(InputProblem(str(path), 0, field, found, allowed))

    if not isinstance(data, dict) or not isinstance(data.get("parts"), list) or not isinstance(data.get("holes"), list):
        fault("", "no lists 'parts' and 'holes'", "both, see README")
        raise InputError(problems)
    unit = str(data.get("unit", ""))
    if unit and unit not in UNIT_NAMES:
        fault("unit", f"'{unit}'", ", ".join(UNIT_NAMES))
    lists: dict[str, list[dict[str, str]]] = {}
    for name, fields in (("parts", PART), ("holes", HOLE)):
        lists[name] = []
        for k, entry in enumerate(data[name]):
            if not isinstance(entry, dict):
                fault(f"{name}[{k}]", f"'{entry}'", f"an entry with {', '.join(fields)}")
                continue
            for key in entry:
                if key not in fields:
                    fault(f"{name}[{k}]", f"'{key}'", ", ".join(fields))
            for key in MUST[name]:
                if not entry.get(key):
                    fault(f"{name}[{k}].{key}", "nothing", f"the {key}")
            for key in ("thickness", "tension", "compression"):
                try:
                    _ = parse(entry[key], "length" if key == "thickness" else "force") if key in entry else 0.0
                except QuantityError as error:
                    fault(f"{name}[{k}].{key}", f"'{entry[key]}' ({error})", "a quantity with its unit")
            for key in ("grain", "direction"):
                try:
                    _ = float(entry.get(key, "0"))
                except ValueError:
                    fault(f"{name}[{k}].{key}", f"'{entry[key]}'", "degrees")
            lists[name].append({str(k): str(v) for k, v in entry.items()})
    if problems:
        raise InputError(problems)
    return Facts(path, UNIT_NAMES.get(unit, 0), tuple(lists["parts"]), tuple(lists["holes"]))


def read_foreign(path: Path, facts: Facts) -> Drawing:
    """A drawing whose shapes get their tags from the facts. Raises InputError."""
    text = read_text(path)
    code = unit_code(text) or facts.unit
    if code not in UNITS:
        raise InputError([InputProblem(str(path), 0, "unit", "none stated in the drawing", f"'unit' in {facts.path}: {', '.join(UNIT_NAMES)}")])
    found = Walk(text, UNITS[code]).found
    thickness = _tag_parts(found, facts, path)
    _tag_holes(found, facts)
    drawing = drawing_of(found, path.stem, metric=code in (4, 5, 6))
    return replace(drawing, plan={**drawing.plan, **{("", part): (math.nan, t) for part, t in thickness.items()}})


def _tag_parts(found: Shapes, facts: Facts, path: Path) -> dict[str, float]:
    thickness: dict[str, float] = {}
    by_layer = {e["layer"].upper(): e for e in facts.parts}
    count: dict[str, int] = {}
    groups = list(dict.fromkeys(h["group"] for h in facts.holes))
    for k, (tags, outline, at) in enumerate(found.outlines):
        entry = by_layer.get(at.layer.upper())
        if tags is not None or entry is None:
            continue
        count[entry["part"]] = count.get(entry["part"], 0) + 1
        n = count[entry["part"]]
        part = entry["part"] if n == 1 else f"{entry['part']} {n}"
        found.outlines[k] = (_part_tags(entry, part, groups), outline, at)
        if "thickness" in entry:
            thickness[part] = parse(entry["thickness"], "length")
    missing = [e for e in facts.parts if e["part"] not in count]
    if missing:
        problems = [InputProblem(str(path), 0, f"layer {e['layer']}", "no closed line", f"the outline of '{e['part']}' there") for e in missing]
        raise InputError(problems)
    return thickness


def _part_tags(entry: Mapping[str, str], part: str, groups: list[str]) -> Tags:
    said = [f"{k}={entry[k]}" for k in ("material", "specification", "wood", "standard", "loads", "product", "made", "service") if k in entry]
    if entry["material"] == "wood" and "grain" in entry:
        said.append(f"grain={entry['grain']}")
    said += [f"existing={'yes' if entry.get('existing', 'no') in ('yes', 'true') else 'no'}", f"open={entry.get('open', 'none')}"]
    if "direction" in entry and ("tension" in entry or "compression" in entry):
        tension, compression = (parse(entry.get(k, "0 lb"), "force") for k in ("tension", "compression"))
        forces = f"tension={tension};compression={compression};direction={entry['direction']};duration={entry.get('duration', '')}"
        said += [f"load={g};{forces}" for g in groups]
    return read_tags(("kind=outline", "view=face", f"part={part}", *said))


def _tag_holes(found: Shapes, facts: Facts) -> None:
    by_layer: dict[str, Any] = {e["layer"].upper(): e for e in facts.holes}
    views = [(t["part"], o, at) for t, o, at in found.outlines if t is not None and t["kind"] == "outline"]
    for k, (tags, hole, at) in enumerate(found.circles):
        entry = by_layer.get(at.layer.upper())
        if tags is not None or entry is None:
            continue
        part = next((p for p, o, own in views if own.layout == at.layout and o.contains(hole.at)), "")
        said = ("kind=hole", "view=face", f"part={part}", f"group={entry['group']}", f"fastener={entry['fastener']}")
        found.circles[k] = (read_tags(said), hole, at)
