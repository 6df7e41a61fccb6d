"""What stands in the solid model of a detail, before any kernel is asked: products, each made once, and where their instances stand."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from fractions import Fraction

from detailgen.core.errors import OutputError
from detailgen.core.units import MM
from detailgen.model.detail import BOUGHT, Bolt, Detail, Part
from detailgen.model.package import Package
from detailgen.outputs.solids.congruence import Motion, motion_between
from detailgen.outputs.solids.hardware import Piece, stack_of

STEEL, NEW_WOOD, EXISTING_STEEL, EXISTING_WOOD, BOLTS, SHORING = "steel", "new wood", "existing steel", "existing wood", "bolts", "shoring"
COLOURS = {
    STEEL: (0.44, 0.55, 0.66),
    NEW_WOOD: (0.89, 0.69, 0.36),
    EXISTING_STEEL: (0.68, 0.69, 0.70),
    EXISTING_WOOD: (0.76, 0.71, 0.64),
    BOLTS: (0.22, 0.24, 0.27),
    SHORING: (0.71, 0.54, 0.58),
}
"""Red, green, blue from 0 to 1; what exists is paler than what is new."""
EXISTING, NEW, TEMPORARY = "existing", "new", "temporary"


@dataclass(frozen=True)
class Frame:
    """Where an instance stands (in, rad): turned over about its own x axis or not, turned about z, then about y by ``turn``, then about z
    again by ``last``, then moved."""

    x: float = 0.0
    y: float = 0.0
    z: float = 0.0
    angle: float = 0.0
    over: bool = False
    turn: float = 0.0
    last: float = 0.0

    @property
    def rows(self) -> tuple[tuple[float, float, float], ...]:
        """The turning as rows of a matrix, cosines freed of noise: a quarter or half turn is exact."""
        c, s, ct, st = (round(f(a), 15) for a in (self.angle, self.turn) for f in (math.cos, math.sin))
        f = -1.0 if self.over else 1.0
        rows = (c * ct, -s * f * ct + 0.0, st * f + 0.0), (s, c * f, 0.0), (-c * st + 0.0, s * f * st, ct * f)
        if not self.last:
            return rows
        cl, sl = (round(g(self.last), 15) for g in (math.cos, math.sin))
        across, up, out = rows
        turned = ((cl * a - sl * b + 0.0, sl * a + cl * b + 0.0) for a, b in zip(across, up, strict=True))
        (a0, b0), (a1, b1), (a2, b2) = turned
        return (a0, a1, a2), (b0, b1, b2), out

    def place(self, x: float, y: float, z: float) -> tuple[float, float, float]:
        """A point of the instance's axes in those around it."""
        u, v, w = (a * x + b * y + c * z for a, b, c in self.rows)
        return self.x + u, self.y + v, self.z + w


@dataclass(frozen=True, eq=False)
class Product:
    """Something that is made once: one solid (``source``), or an assembly of instances."""

    name: str
    source: Part | Piece | None = None
    colour: str = ""
    children: list[Instance] = field(default_factory=list)


@dataclass(frozen=True)
class Instance:
    name: str
    product: Product
    frame: Frame
    part: str = ""  # key of the detail's part, "" for bolts and groups


def assembly_of(detail: Detail, package: Package) -> Product:
    """The detail as an assembly of ``existing`` and ``new``; equal parts and bolts are instances of one product.

    Raises: OutputError for a new part without a mark, a mark on two different pieces, a bolt that does not fit
    """
    shop = Shop(package)
    groups = {EXISTING: Product(EXISTING), NEW: Product(NEW)}
    for part in detail.parts:
        groups[EXISTING if part.existing else NEW].children.append(shop.part(detail.key, part))
    groups[NEW].children.extend(shop.bolts(detail))
    return Product(detail.key, children=[Instance(name, group, Frame()) for name, group in groups.items() if group.children])


@dataclass
class Shop:
    """Where products are made, each once: equal pieces and bolts of one model are instances of one product."""

    package: Package
    names: Counter[str] = field(default_factory=Counter)
    made: dict[str, list[Product]] = field(default_factory=dict)
    count: Counter[str] = field(default_factory=Counter)
    sets: dict[tuple[float, float, float, int, str], Product] = field(default_factory=dict)
    pieces: dict[tuple[Piece, str], Product] = field(default_factory=dict)

    def part(self, detail: str, part: Part) -> Instance:
        """An instance of a part; a marked part is of its mark's product, existing ones share where they are equal."""
        mark = "" if part.existing else self.package.mark_of(detail, part.key)
        if not mark and not part.existing and part.kind not in BOUGHT:
            raise OutputError(f"detail {detail}: new part {part.key} has no mark")
        kind = part.name.partition(",")[0] if part.kind in BOUGHT else f"{part.name} (E)"
        product, motion = self._product(part, mark or kind)
        if part.kind in BOUGHT:
            return Instance(part.name, product, _stand(part, motion), part.key)
        self.count[mark] += 1
        name = f"{mark}.{self.count[mark]} {part.name}" if mark else f"{part.key} (E)"
        return Instance(name, product, _stand(part, motion), part.key)

    def _product(self, part: Part, wanted: str) -> tuple[Product, Motion]:
        """The product that a part is an instance of, and how it lies on it."""
        made = self.made.setdefault(wanted, [])
        for product in made:
            assert isinstance(product.source, Part)
            if (motion := motion_between(product.source, part)) is not None:
                return product, motion
        if made and not part.existing and part.kind not in BOUGHT:
            assert isinstance(made[0].source, Part)
            raise OutputError(f"mark {wanted} stands for two different pieces: {made[0].source.key} and {part.key}")
        steel = part.material == "steel"
        colour = (EXISTING_STEEL if steel else EXISTING_WOOD) if part.existing else (STEEL if steel else NEW_WOOD)
        made.append(Product(_unique(wanted, self.names), part, colour))
        return made[-1], Motion()

    def bolts(self, detail: Detail) -> Iterator[Instance]:
        """Bolt sets of a detail, in a fixed order."""
        count: Counter[str] = Counter()
        for bolt in sorted(detail.bolts, key=lambda b: (b.group, b.x, b.y, b.low)):
            key = (bolt.diameter, bolt.length, round(bolt.high - bolt.low, 6), bolt.washers, bolt.grade)
            if key not in self.sets:
                self.sets[key] = self._bolt_set(bolt)
            count[bolt.group] += 1
            yield Instance(f"{bolt.group}.{count[bolt.group]} bolt", self.sets[key], Frame(bolt.x, bolt.y, bolt.seat, over=bolt.way < 0))

    def _bolt_set(self, bolt: Bolt) -> Product:
        diameter, length = self.size(bolt.diameter), self.size(bolt.length)
        whole = Product(_unique(f"bolt set {diameter} x {length}, {bolt.grade}, grip {self.size(bolt.high - bolt.low)}", self.names))
        kind = {"HexBolt": f"hex bolt {diameter} x {length}", "HexNut": f"hex nut {diameter}", "Washer": f"washer {diameter}"}
        for name, piece, z in stack_of(bolt).pieces:
            whole.children.append(Instance(name, self.piece(piece, kind[type(piece).__name__], BOLTS), Frame(z=z)))
        return whole

    def piece(self, piece: Piece, name: str, colour: str) -> Product:
        if (piece, colour) not in self.pieces:
            self.pieces[piece, colour] = Product(_unique(name, self.names), piece, colour)
        return self.pieces[piece, colour]

    def size(self, value: float) -> str:
        """A length (in) of a bolt in its name: 8 3/4 in, 19 mm."""
        if self.package.project.units.name == "SI":
            return f"{round(value / MM)} mm"
        whole, rest = divmod(Fraction(round(value * 16), 16), 1)
        return f"{whole} {rest} in" if whole and rest else f"{rest or whole} in"


def _stand(part: Part, motion: Motion) -> Frame:
    """The part's placement, taken from its own axes to those of its product."""
    at = part.placement
    c, s = math.cos(at.angle), math.sin(at.angle)
    return Frame(
        at.x + c * motion.x - s * motion.y,
        at.y + s * motion.x + c * motion.y,
        at.z + (part.thickness if motion.over else 0.0),
        at.angle + motion.angle,
        motion.over,
    )


def _unique(name: str, names: Counter[str]) -> str:
    names[name] += 1
    return name if names[name] == 1 else f"{name} {names[name]}"
