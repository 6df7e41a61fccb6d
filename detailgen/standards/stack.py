"""What a bolt passes, seen as equilibrium: which parts pass force to each other, and at which shear planes. No document's rule."""

from __future__ import annotations

from dataclasses import dataclass

from detailgen.core.errors import NotCovered
from detailgen.core.tolerance import LENGTH_IN
from detailgen.standards.interface import ConnectedPart, ConnectionRequest


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
