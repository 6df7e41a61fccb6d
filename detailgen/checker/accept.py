"""An edited drawing that passes -> an override in the project file, so that the next run keeps the edit and everything behind it follows.

The layout is measured in the face views; an edit that no layout of its remedy can express is refused with the reason.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from detailgen.checker import measure
from detailgen.checker.dimensions import DIMENSIONS
from detailgen.checker.drawing import Drawing, Face, length_words
from detailgen.checker.statements import WRITTEN
from detailgen.checker.tags import fastener
from detailgen.core.errors import OutputError
from detailgen.core.units import MM

ITEM = "splice layout of {detail}"
REPEATS = (WRITTEN.document, DIMENSIONS.document)
"""What a sheet says of its own drawing: findings of these only mean that it has been edited."""
SAME = 1 / 64
"""Distances of one layout that differ by less (in) are one."""


@dataclass(frozen=True)
class Accepted:
    """What goes into the project file."""

    detail: str
    item: str
    value: str
    reason: str


def accepted_layouts(drawing: Drawing, file: str) -> list[Accepted]:
    """One override for each splice that the drawing shows. Raises OutputError for what no layout expresses."""
    details = sorted({f.detail for f in drawing.faces if f.detail and any(h.group for h in f.new_holes)})
    if not details:
        raise OutputError(f"{file}: shows no part of a detail with new holes; nothing to accept")
    return [Accepted(d, ITEM.format(detail=d), _layout(drawing, d, file), f"accepted from the edited drawing {file}") for d in details]


def _layout(drawing: Drawing, detail: str, file: str) -> str:
    """Bolt, rows, bolts per row, spacing, gauge, end distance, plate, plate end: as the splice remedy reads them."""
    faces = [f for f in drawing.faces if f.detail == detail]
    plates = [f for f in faces if f.material == "steel"]
    plies = [f for f in faces if f.existing and f.open_ends in ("left", "right") and f.new_holes]
    if not plates or not plies:
        raise OutputError(f"{file}: {detail} shows no splice plate or no cut ply, so that its layout cannot be measured")

    def words(value: float) -> str:
        return f"{value / MM:.4g} mm" if drawing.metric else length_words(value, metric=False).replace('"', " in").replace(" in.", " in")

    def one(values: Sequence[float], what: str) -> float:
        if not values or max(values) - min(values) > SAME:
            told = ", ".join(dict.fromkeys(words(v) for v in values)) or "none"
            raise OutputError(f"{file}: {detail} has no one {what} ({told}); a layout of the remedy has the same everywhere")
        return values[0]

    bolts = {round(fastener(h.fastener).diameter, 6) for f in plates for h in f.new_holes}
    bolt = one(sorted(bolts), "bolt")
    per_row, spacing, plate_ends, gauges, rows = [], [], [], [], []
    for plate in plates:
        found = measure.rows(plate.new_holes, (1.0, 0.0))
        x0, _, x1, _ = plate.outline.box
        rows.append(float(len(found)))
        gauges += [p.distance for p in measure.gauges(found)]
        for row in found:
            middle = (x0 + x1) / 2
            for side in ([x for x in row.along if x < middle], [x for x in row.along if x > middle]):
                per_row.append(float(len(side)))
                spacing += [b - a for a, b in itertools.pairwise(side)]
            plate_ends += [row.along[0] - x0, x1 - row.along[-1]]
    width = one([f.outline.box[3] - f.outline.box[1] for f in plates], "plate width")
    thickness = one([t for f in plates if (t := drawing.thickness(f)) is not None], "plate thickness")
    ends = [_end_distance(f) for f in plies]
    parts = [
        f"bolt {words(bolt)}", f"rows {one(rows, 'number of rows'):.0f}", f"per row {one(per_row, 'number of bolts per row'):.0f}",
        f"spacing {words(one(spacing, 'spacing') if spacing else 0.0)}", f"gauge {words(one(gauges, 'gauge') if gauges else 0.0)}",
        f"end {words(one(ends, 'end distance'))}", f"plate thickness {words(thickness)}", f"plate width {words(width)}",
        f"plate end {words(one(plate_ends, 'end distance of the plates'))}",
    ]  # fmt: skip
    return "; ".join(parts)


def _end_distance(face: Face) -> float:
    x0, _, x1, _ = face.outline.box
    return min((x1 - h.x) if face.open_at("left") else (h.x - x0) for h in face.new_holes)


def with_override(text: str, accepted: Accepted, file: str) -> str:
    """The project file's text with one more override, or with a new value for one that is there. Nothing else in it changes."""
    import yaml

    root = yaml.compose(text, Loader=yaml.SafeLoader)
    trusses = _entry(root, "trusses")
    if not isinstance(trusses, yaml.SequenceNode):
        raise OutputError(f"{file}: has no list 'trusses', so that nothing can be accepted into it")
    marks = {str(m.value): t for t in trusses.value if (m := _entry(t, "mark")) is not None}
    mark = max((m for m in marks if accepted.detail.startswith(f"{m}-")), key=len, default="")
    if not mark:
        raise OutputError(f"{file}: has no truss of the detail {accepted.detail}; its trusses are {', '.join(marks)}")
    truss = marks[mark]
    lines = text.split("\n")
    indent = " " * truss.value[0][0].start_mark.column
    entry = [f"- item: {accepted.item}", f"  value: '{accepted.value}'", f"  reason: {accepted.reason}"]
    overrides = _entry(truss, "overrides")
    if overrides is None:
        at = _end_line(truss)
        return "\n".join([*lines[:at], f"{indent}overrides:", *(f"{indent}  {e}" for e in entry), *lines[at:]])
    if not isinstance(overrides, yaml.SequenceNode) or overrides.flow_style:
        raise OutputError(f"{file}:{overrides.start_mark.line + 1}: 'overrides' of truss {mark} is written in one line; write it as a list of lines")
    deep = " " * (overrides.start_mark.column)
    for old in overrides.value:
        item = _entry(old, "item")
        if item is not None and item.value == accepted.item:
            first, last = old.start_mark.line, _end_line(old)
            return "\n".join([*lines[:first], *(f"{deep}{e}" for e in entry), *lines[last:]])
    at = _end_line(overrides)
    return "\n".join([*lines[:at], *(f"{deep}{e}" for e in entry), *lines[at:]])


def _entry(node: Any, key: str) -> Any:  # noqa: ANN401  a YAML node of any kind
    pairs = node.value if getattr(node, "id", "") == "mapping" else ()
    return next((v for k, v in pairs if k.value == key), None)


def _end_line(node: Any) -> int:  # noqa: ANN401  a YAML node of any kind
    """The line after the last one that holds something of a node."""
    last = node
    while getattr(last, "id", "") in ("mapping", "sequence") and last.value and not last.flow_style:
        last = last.value[-1][1] if last.id == "mapping" else last.value[-1]
    return int(last.end_mark.line) + (1 if last.end_mark.column else 0)
