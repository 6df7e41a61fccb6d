"""A layout in words, as it was accepted from an edited drawing."""

from __future__ import annotations

import numpy as np

from detailgen.core.units import parse
from detailgen.remedies.splice.search import Layouts

ACCEPTED = {
    "bolt": "diameter", "rows": "rows", "per row": "per_row", "spacing": "spacing", "gauge": "gauge", "end": "end",
    "plate thickness": "plate_thickness", "plate width": "plate_width", "plate end": "plate_end",
}  # fmt: skip
"""Words of a layout that an engineer accepted from an edited drawing, and what they are here."""


def accepted_layout(words: str) -> Layouts:
    """One layout from words such as "bolt 7/8 in; rows 2; per row 2; spacing 5 1/2 in; ...". Raises ValueError for what it cannot read."""
    found: dict[str, float] = {}
    for part in words.split(";"):
        name = max((k for k in ACCEPTED if part.strip().startswith(f"{k} ")), key=len, default="")
        if not name:
            raise ValueError(f"found '{part.strip()}'; allowed: {', '.join(ACCEPTED)}, each with its value")
        value = part.strip().removeprefix(name).strip()
        if name in ("rows", "per row"):
            if not value.isdecimal() or not 1 <= int(value) <= (3 if name == "rows" else 40):
                raise ValueError(f"found '{part.strip()}'; allowed: a whole number")
            found[ACCEPTED[name]] = float(value)
        else:
            found[ACCEPTED[name]] = parse(value, "length")
    missing = [k for k, field in ACCEPTED.items() if field not in found]
    if missing:
        raise ValueError(f"found no {', '.join(missing)}")
    return Layouts(**{field: np.array([value]) for field, value in found.items()})
