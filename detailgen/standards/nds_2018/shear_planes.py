"""What a bolt passes: which parts pass force to each other, at which shear planes, and what chapter 12 does not cover."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from detailgen.core.errors import NotCovered
from detailgen.core.table import read_table
from detailgen.core.tolerance import LENGTH_IN
from detailgen.standards.interface import ConnectedPart, ConnectionRequest

TABLES = Path(__file__).parent / "tables"
DOCUMENT = "NDS 2018"


@dataclass(frozen=True)
class Stack:
    """Carrying parts far to near (fillers left out) and each part's share of the force, every shear plane carrying alike.

    ``runs`` are the parts (indices) that follow each other with a shear plane between every two: no force passes from run to run.
    """

    parts: tuple[ConnectedPart, ...]
    runs: tuple[tuple[int, ...], ...]
    shares: tuple[float, ...]

    @property
    def planes(self) -> int:
        return sum(len(run) - 1 for run in self.runs)


def stack_of(request: ConnectionRequest) -> Stack:
    """Equilibrium of the parts. Raises NotCovered where a force would have to cross an open gap or a filler."""
    parts: list[ConnectedPart] = []
    apart: list[tuple[float, bool]] = []  # before part k: open distance, and is there a filler
    gap, filler = 0.0, False
    for part, before in zip(request.parts, (0.0, *request.gaps), strict=True):
        gap += before
        if part.side == "filler":
            filler = True
            continue
        parts.append(part)
        apart.append((gap, filler))
        gap, filler = 0.0, False
    blocks: list[list[int]] = []
    planes: list[tuple[int, int]] = []
    for k, part in enumerate(parts):
        open_gap, filled = apart[k]
        separated = open_gap > LENGTH_IN or filled
        if k and part.side != parts[k - 1].side:
            between = f"{parts[k - 1].name} and {part.name}"
            if open_gap > LENGTH_IN:
                raise NotCovered(f"an open gap of {open_gap:g} in. lies between {between}, which pass force: no bolt across an open gap")
            if filled:
                raise NotCovered(f"a filler lies between {between}, which pass force: a filler carries nothing")
            planes.append((k - 1, k))
        if k and part.side == parts[k - 1].side and not separated:
            blocks[-1].append(k)
        else:
            blocks.append([k])
    if not planes:
        raise NotCovered("no two neighbouring parts pass force to each other")
    shares = [0.0] * len(parts)
    for block in blocks:
        crossing = sum(1 for plane in planes if plane[0] in block or plane[1] in block)
        if not crossing:
            names = " and ".join(parts[k].name for k in block)
            raise NotCovered(f"{names} has no shear plane with a part of the other side: its force has no way out")
        whole = sum(parts[k].thickness for k in block)
        for k in block:
            shares[k] = crossing / len(planes) * parts[k].thickness / whole
    runs: list[list[int]] = []
    for a, b in planes:
        if runs and runs[-1][-1] == a:
            runs[-1].append(b)
        else:
            runs.append([a, b])
    return Stack(tuple(parts), tuple(tuple(r) for r in runs), tuple(shares))


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
        raise NotCovered(f"bolt of {request.diameter:g} in.: chapter 12 covers {size['least']:g} to {size['greatest']:g} in.", f"{DOCUMENT} 12.1.3.1")
    hole = sizes.find(quantity="hole over diameter")
    if not float(hole["least"]) - LENGTH_IN <= request.hole_oversize <= float(hole["greatest"]) + LENGTH_IN:
        allowed = f"{hole['least']:g} to {hole['greatest']:g} in."
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
