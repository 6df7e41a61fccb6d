"""What chapter 12 does not cover of what a bolt passes."""

from __future__ import annotations

import itertools
import math
from pathlib import Path

import numpy as np

from detailgen.core.errors import NotCovered
from detailgen.core.table import read_table
from detailgen.core.tolerance import LENGTH_IN
from detailgen.standards.interface import ConnectionRequest

TABLES = Path(__file__).parent / "tables"
DOCUMENT = "NDS 2018"


def refuse(request: ConnectionRequest) -> None:
    """Raise NotCovered for what chapter 12 does not cover or the request leaves open."""
    n = len(request.parts[0].bolts) if request.parts else 0
    if len(request.parts) < 2:
        raise NotCovered("a connection needs two parts")
    if n == 0:
        raise NotCovered("there are no bolts")
    sizes = read_table(TABLES, "bolt_size")
    size = sizes.find(quantity="diameter")
    if not float(size["least"]) - LENGTH_IN <= request.diameter <= float(size["greatest"]) + LENGTH_IN:
        allowed = f"{size['least']:g} in. to {size['greatest']:g} in."
        raise NotCovered(f"bolt of {request.diameter:g} in.: chapter 12 covers {allowed}", f"{DOCUMENT} 12.1.3.1")
    hole = sizes.find(quantity="hole over diameter")
    if not float(hole["least"]) - LENGTH_IN <= request.hole_oversize <= float(hole["greatest"]) + LENGTH_IN:
        allowed = f"{hole['least']:g} in. to {hole['greatest']:g} in."
        raise NotCovered(f"holes are {request.hole_oversize:g} in. larger than the bolts, covered are {allowed}", f"{DOCUMENT} 12.1.3.2")
    if not any(p.material == "wood" for p in request.parts if p.side != "filler"):
        raise NotCovered("no part is of wood")
    for part in request.parts:
        if len(part.bolts) != n:
            raise NotCovered(f"{part.name} holds {len(part.bolts)} bolts, others {n}")
        if part.side not in ("member", "other", "filler"):
            raise NotCovered(f"{part.name}: side '{part.side}' is not member, other or filler")
        if part.side == "filler":
            continue
        if part.material == "steel" and not part.bearing_strength > 0:
            raise NotCovered(f"{part.name}: its dowel bearing strength is missing")
        if part.material == "wood":
            if part.wood is None:
                raise NotCovered(f"{part.name}: species and grade are missing")
            inside = np.all((part.bolts > (part.ends[0], part.edges[0])) & (part.bolts < (part.ends[1], part.edges[1])))
            if not (np.all(np.isfinite(part.edges)) and inside):
                raise NotCovered(f"{part.name}: a bolt stands outside its ends or edges")
    places = request.parts[0].bolts
    if any(math.dist(a, b) < request.diameter for a, b in itertools.combinations(places, 2)):
        raise NotCovered("two bolts overlap")
