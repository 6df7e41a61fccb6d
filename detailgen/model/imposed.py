"""What one repair asks of the parts of others."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Imposed:
    """Straight ways along both faces of a chord that are to stay clear of other repairs' plates, bolts, washers and nuts.

    by: key of the site that asks
    what: what runs there: "strands"
    heights: of its middles over the chord's axis, in
    z: of its middles off the truss's plane, on both faces, in
    half: from a middle to the nearest steel, at least, in
    firm: the engineer has set where it runs: what is asked may cost more than it would cost to move it
    """

    by: str
    what: str
    member: str
    heights: tuple[float, ...]
    z: float
    half: float
    firm: bool = False

    @property
    def inner(self) -> float:
        """Steel that ends this near to the truss's plane, or nearer, is in nobody's way, whatever its height (in)."""
        return self.z - self.half
