"""A detail in a neutral form (JSON) -> the record, to be checked before anything is drawn.

    {"unit": "in", "key": "D1",
     "parts":  [{"key": "chord", "material": "wood", "specification": "Douglas Fir-Larch No.1", "thickness": 2.5, "grain": 0, "existing": true,
                 "outline": [[0, 0], [40, 0], [40, 9.5], [0, 9.5]], "open_ends": [0],
                 "holes": [{"x": 30, "y": 3, "diameter": 0.8125, "group": "B1"}]}],
     "groups": [{"key": "B1", "diameter": 0.75, "loads": [{"part": "chord", "tension": 11400, "compression": 0, "angle": 0, "duration": "snow"}]}]}

Lengths in the unit (in or mm), forces in lb (in kN where the unit is mm), angles in degrees. A load may stand there once for
each duration. A part may have "facts": {"product": "sawn", "service": "dry", "Ft": "675 psi"}.
"""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

from detailgen.core.errors import InputError, InputProblem
from detailgen.core.units import MM
from detailgen.model.detail import Detail, Group, Hole, Part, Placement, PlyLoad, Vertex

KILONEWTON = 1000 / 4.4482216152605
LARGEST = 50_000_000


class _Reading:
    """Takes values out of nested entries; every fault is kept with its path."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.problems: list[InputProblem] = []

    def fault(self, field: str, found: object, allowed: str) -> None:
        self.problems.append(InputProblem(str(self.path), 0, field, f"'{str(found)[:40]}'", allowed))

    def number(self, entry: Any, key: str, field: str, default: float | None = None) -> float:  # noqa: ANN401
        value = entry.get(key, default) if isinstance(entry, dict) else default
        if isinstance(value, bool) or not isinstance(value, int | float) or not abs(value) < 1e9:
            self.fault(f"{field}.{key}", value, "a number")
            return 1.0
        return float(value)

    def text(self, entry: Any, key: str, field: str, default: str | None = None) -> str:  # noqa: ANN401
        value = entry.get(key, default) if isinstance(entry, dict) else default
        if not isinstance(value, str) or (default is None and not value):
            self.fault(f"{field}.{key}", value, "a text")
            return "?"
        return value

    def entries(self, entry: Any, key: str, field: str) -> list[Any]:  # noqa: ANN401
        value = entry.get(key, []) if isinstance(entry, dict) else None
        if not isinstance(value, list):
            self.fault(f"{field}.{key}".lstrip("."), value, "a list")
            return []
        return value


def read_neutral(path: Path) -> Detail:
    """Raises InputError with every fault."""
    allowed = "a detail in the neutral form (JSON)"
    try:
        if path.stat().st_size > LARGEST:
            raise InputError([InputProblem(str(path), 0, "", f"{path.stat().st_size / 1e6:,.0f} MB", f"up to {LARGEST / 1e6:.0f} MB")])
        data = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, UnicodeDecodeError, RecursionError) as fault:
        raise InputError([InputProblem(str(path), 0, "", f"a file that cannot be read ({type(fault).__name__})", allowed)]) from fault
    except json.JSONDecodeError as fault:
        raise InputError([InputProblem(str(path), fault.lineno, "", f"no JSON ({fault.msg})", allowed)]) from fault
    if not isinstance(data, dict) or "parts" not in data or "groups" not in data:
        raise InputError([InputProblem(str(path), 0, "", "no detail", f"{allowed}, with parts and groups")])
    read = _Reading(path)
    unit = read.text(data, "unit", "", "in")
    if unit not in ("in", "mm"):
        read.fault("unit", unit, "in or mm")
    k, f = (MM, KILONEWTON) if unit == "mm" else (1.0, 1.0)
    parts = tuple(_part(read, e, f"parts[{n}]", k) for n, e in enumerate(read.entries(data, "parts", "")))
    groups = tuple(_group(read, e, f"groups[{n}]", k, f, parts) for n, e in enumerate(read.entries(data, "groups", "")))
    known = {p.key for p in parts}
    for n, group in enumerate(groups):
        for load in group.loads:
            if load.part not in known:
                read.fault(f"groups[{n}].loads", load.part, f"a part: {', '.join(sorted(known))}")
    if read.problems:
        raise InputError(read.problems)
    return Detail(
        key=read.text(data, "key", "", path.stem), title="", truss="", remedy="", member="", station=0.0, parts=parts, bolts=(), groups=groups,
        zones=(), whys=(), order=(), notes=(),
    )  # fmt: skip


def _part(read: _Reading, e: Any, field: str, k: float) -> Part:  # noqa: ANN401
    outline = []
    for n, corner in enumerate(read.entries(e, "outline", field)):
        if not isinstance(corner, list) or len(corner) not in (2, 3) or not all(isinstance(v, int | float) and abs(v) < 1e9 for v in corner):
            read.fault(f"{field}.outline[{n}]", corner, "[x, y] or [x, y, bulge]")
            continue
        outline.append(Vertex(corner[0] * k, corner[1] * k, float(corner[2]) if len(corner) == 3 else 0.0))
    if len(outline) < 2:
        read.fault(f"{field}.outline", outline, "three corners at least")
        outline = [Vertex(0, 0), Vertex(1, 0), Vertex(0, 1)]
    holes = tuple(
        Hole(read.number(h, "x", f"{field}.holes[{n}]") * k, read.number(h, "y", f"{field}.holes[{n}]") * k,
             read.number(h, "diameter", f"{field}.holes[{n}]") * k, read.text(h, "group", f"{field}.holes[{n}]", ""))
        for n, h in enumerate(read.entries(e, "holes", field))
    )  # fmt: skip
    material = read.text(e, "material", field)
    if material not in ("wood", "steel"):
        read.fault(f"{field}.material", material, "wood or steel")
    grain = math.nan if not isinstance(e, dict) or e.get("grain") is None else math.radians(read.number(e, "grain", field))
    opens = tuple(float(x) * k for x in read.entries(e, "open_ends", field) if isinstance(x, int | float))
    return Part(
        key=read.text(e, "key", field), kind="", name="", outline=tuple(outline), holes=holes, slots=(),
        thickness=read.number(e, "thickness", field) * k, placement=Placement(0, 0, 0), material=material,
        specification=read.text(e, "specification", field, ""), grain=grain,
        existing=bool(isinstance(e, dict) and e.get("existing") is True), unit_weight=0.0, open_ends=opens, facts=_facts(read, e, field),
    )  # fmt: skip


def _facts(read: _Reading, e: Any, field: str) -> tuple[tuple[str, str], ...]:  # noqa: ANN401
    facts = e.get("facts", {}) if isinstance(e, dict) else {}
    if not isinstance(facts, dict) or not all(isinstance(v, str) for v in facts.values()):
        read.fault(f"{field}.facts", facts, "texts by name: product, service, Ft, Fv")
        return ()
    return tuple((str(k), v) for k, v in facts.items())


def _group(read: _Reading, e: Any, field: str, k: float, f: float, parts: tuple[Part, ...]) -> Group:  # noqa: ANN401
    by_part: dict[tuple[str, float], list[tuple[str, float, float]]] = {}
    for n, x in enumerate(read.entries(e, "loads", field)):
        here = f"{field}.loads[{n}]"
        tension, compression = (read.number(x, k, here, 0.0) * f for k in ("tension", "compression"))
        angle = math.radians(read.number(x, "angle", here, 0.0))
        by_part.setdefault((read.text(x, "part", here), angle), []).append((read.text(x, "duration", here, ""), tension, compression))
    loads = tuple(
        PlyLoad(part, max(x[1] for x in lasting), max(x[2] for x in lasting), angle, tuple(lasting)) for (part, angle), lasting in by_part.items()
    )
    key = read.text(e, "key", field)
    held = tuple(p.key for p in parts if any(h.bolt == key for h in p.holes))
    return Group(key, read.number(e, "diameter", field) * k, (), held, (), loads, 0, 0, 0.0, 0.0)
