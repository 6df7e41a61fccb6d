"""A layout on its site, and what lies across the truss there, far to near."""

from __future__ import annotations

from dataclasses import dataclass

from detailgen.core.tolerance import up_to_grid
from detailgen.model.member import Member
from detailgen.remedies.contract import Site
from detailgen.remedies.splice import parameters as p
from detailgen.remedies.splice.search import Layouts, Question, block_end
from detailgen.remedies.splice.site import gaps_between


@dataclass(frozen=True)
class Layer:
    """One thing across the truss: key, kind, from and to in z (in), the ply that it belongs to."""

    key: str
    kind: str  # ply, plate, filler, block
    low: float
    high: float
    ply: str


@dataclass(frozen=True)
class Chosen:
    """A layout on its site: plate length rounded up to the shop grid, and where bolts stand (x, y) about the cut's middle (in)."""

    question: Question
    layout: Layouts
    site: Site
    member: Member
    heads: str = "near"

    @property
    def shop(self) -> p.Shop:
        return p.shop(self.question.system)

    @property
    def length(self) -> float:
        """Length of the plates, or of a block that holds the plies alone."""
        if not self.question.arrangement.plates_per_ply:
            return 2 * self.block_half
        return up_to_grid(float(self.layout.length(self.question.gap)[0]), self.shop.lengths)

    @property
    def block_half(self) -> float:
        """Half the length of a structural block."""
        return self.columns[-1] + float(block_end(self.question, self.layout)[0])

    @property
    def columns(self) -> list[float]:
        first, spacing = self.question.gap / 2 + self.layout.one("end"), self.layout.one("spacing")
        return [first + k * spacing for k in range(int(self.layout.one("per_row")))]

    @property
    def lines(self) -> list[float]:
        rows, gauge = int(self.layout.one("rows")), self.layout.one("gauge")
        return [(k - (rows - 1) / 2) * gauge for k in range(rows)]

    @property
    def plates_per_ply(self) -> int:
        return self.question.arrangement.plates_per_ply * self.question.plates_per_face

    @property
    def plates(self) -> list[tuple[str, float]]:
        """The plates on one face: the end of their keys, and their height on the ply (in)."""
        if self.question.plates_per_face == 1:
            return [("", 0.0)]
        return list(zip(("-lower", "-upper"), self.lines, strict=True))

    @property
    def bolts(self) -> list[tuple[float, float]]:
        return sorted((side * x, y) for side in (-1, 1) for x in self.columns for y in self.lines)


def layers(chosen: Chosen) -> list[Layer]:
    """The stack across the truss, far to near."""
    t = chosen.layout.one("plate_thickness")
    plated, both = chosen.question.arrangement.plates_per_ply > 0, chosen.question.arrangement.plates_per_ply == 2
    centre = sum(ply.z for ply in chosen.member.plies) / len(chosen.member.plies)
    stack = []
    for ply in chosen.member.plies:
        low, high = ply.z - ply.thickness / 2, ply.z + ply.thickness / 2
        stack.append(Layer(f"ply-{ply.name}", "ply", low, high, ply.name))
        if ply.name in chosen.site.plies and plated:
            outside_is_near = ply.z >= centre
            if both or outside_is_near:
                stack.append(Layer(f"plate-{ply.name}-{'outer' if outside_is_near else 'inner'}", "plate", high, high + t, ply.name))
            if both or not outside_is_near:
                stack.append(Layer(f"plate-{ply.name}-{'inner' if outside_is_near else 'outer'}", "plate", low - t, low, ply.name))
    kind = "block" if chosen.question.arrangement.blocked else "filler"
    for number, (low, high) in enumerate(gaps_between([(x.low, x.high) for x in stack]), start=1):
        stack.append(Layer(f"{kind}-{number}", kind, low, high, ""))
    return sorted(stack, key=lambda x: x.low)


def template_of(stack: list[Layer], heads: str = "near") -> Layer:
    """What all others are drilled through: an outer plate, where a drill reaches it; the near one if there are two. Where there is no plate, the ply
    at the side of the bolts' heads, on which the holes are marked out."""
    if not any(x.kind == "plate" for x in stack):
        return stack[0] if heads == "far" else stack[-1]
    return stack[-1] if stack[-1].kind == "plate" else stack[0]
