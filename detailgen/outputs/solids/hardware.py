"""Sizes of bolt heads, nuts and washers, for their solids only: what is bought is named by the bolt list.

Basic (nominal) sizes, from memory, not read against print: inch bolt heads ASME B18.2.1 (hex bolts), inch nuts ASME B18.2.2 (hex nuts), inch washers
ASME B18.21.1 (plain, type A, wide series); metric heads ISO 4014, nuts ISO 4032, washers ISO 7089. Chamfers, washer faces and threads are left out.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from detailgen.core.errors import OutputError
from detailgen.core.units import MM
from detailgen.model.detail import Bolt

NEAR = 1 / 64
"""A bolt takes the sizes of the nominal diameter next to it if it differs by no more (in): a bolt written as 19 mm is a 3/4 in. bolt."""


@dataclass(frozen=True)
class Size:
    """Bolt diameter; flats (width across) and height of head and of nut; hole, outside diameter and thickness of washer (in)."""

    diameter: float
    head_flats: float
    head_height: float
    nut_flats: float
    nut_height: float
    washer_hole: float
    washer_diameter: float
    washer_thickness: float


INCH_SIZES = (
    Size(1 / 4, 7 / 16, 11 / 64, 7 / 16, 7 / 32, 5 / 16, 0.734, 0.065),
    Size(5 / 16, 1 / 2, 7 / 32, 1 / 2, 17 / 64, 3 / 8, 0.875, 0.083),
    Size(3 / 8, 9 / 16, 1 / 4, 9 / 16, 21 / 64, 7 / 16, 1.0, 0.083),
    Size(7 / 16, 5 / 8, 19 / 64, 11 / 16, 3 / 8, 1 / 2, 1.25, 0.083),
    Size(1 / 2, 3 / 4, 11 / 32, 3 / 4, 7 / 16, 9 / 16, 1.375, 0.109),
    Size(5 / 8, 15 / 16, 27 / 64, 15 / 16, 35 / 64, 11 / 16, 1.75, 0.134),
    Size(3 / 4, 1 + 1 / 8, 1 / 2, 1 + 1 / 8, 41 / 64, 13 / 16, 2.0, 0.148),
    Size(7 / 8, 1 + 5 / 16, 37 / 64, 1 + 5 / 16, 3 / 4, 15 / 16, 2.25, 0.165),
    Size(1.0, 1 + 1 / 2, 43 / 64, 1 + 1 / 2, 55 / 64, 1 + 1 / 16, 2.5, 0.165),
)
METRIC_SIZES = tuple(
    Size(*(value * MM for value in row))
    for row in (
        (8, 13, 5.3, 13, 6.8, 8.4, 16, 1.6),
        (10, 16, 6.4, 16, 8.4, 10.5, 20, 2),
        (12, 18, 7.5, 18, 10.8, 13, 24, 2.5),
        (16, 24, 10, 24, 14.8, 17, 30, 3),
        (20, 30, 12.5, 30, 18, 21, 37, 3),
        (22, 34, 14, 34, 19.4, 23, 39, 3),
        (24, 36, 15, 36, 21.5, 25, 44, 4),
    )
)


def size_for(diameter: float) -> Size:
    """The sizes that go with a bolt diameter (in). Raises OutputError where none is known."""
    best = min((*INCH_SIZES, *METRIC_SIZES), key=lambda s: (round(abs(s.diameter - diameter), 9), s.diameter))
    if abs(best.diameter - diameter) > NEAR:
        raise OutputError(f"no head, nut and washer are known for a bolt of {diameter:g} in; the next is {best.diameter:g} in")
    return best


@dataclass(frozen=True)
class HexBolt:
    """Head on the plane z = 0 and above it, shank below it."""

    diameter: float
    length: float
    flats: float
    height: float

    @property
    def volume(self) -> float:
        return hexagon_area(self.flats) * self.height + disc_area(self.diameter) * self.length


@dataclass(frozen=True)
class HexNut:
    """From z = 0 upward; its bore is the bolt's diameter, so that it touches the shank."""

    diameter: float
    flats: float
    height: float

    @property
    def volume(self) -> float:
        return (hexagon_area(self.flats) - disc_area(self.diameter)) * self.height


@dataclass(frozen=True)
class Washer:
    """From z = 0 upward."""

    hole: float
    diameter: float
    thickness: float

    @property
    def volume(self) -> float:
        return (disc_area(self.diameter) - disc_area(self.hole)) * self.thickness


Piece = HexBolt | HexNut | Washer


def hexagon_area(flats: float) -> float:
    return math.sqrt(3) / 2 * flats**2


def disc_area(diameter: float) -> float:
    return math.pi * diameter**2 / 4


@dataclass(frozen=True)
class Stack:
    """What a bolt is made of: (name, piece, z of its origin above the plane under the head's side of the grip)."""

    pieces: tuple[tuple[str, Piece, float], ...]


def stack_of(bolt: Bolt) -> Stack:
    """Head, shank, washers and nut of a bolt; z = 0 is the near face of its grip. Of an odd number of washers the nut gets the one more.

    Raises: OutputError where the bolt does not reach through its nut
    """
    size = size_for(bolt.diameter)
    grip, thick = bolt.high - bolt.low, size.washer_thickness
    at_head, at_nut = bolt.washers // 2, bolt.washers - bolt.washers // 2
    bearing, nut = at_head * thick, -grip - at_nut * thick - size.nut_height
    if bolt.length < bearing - nut - 1e-6:
        raise OutputError(
            f"bolt {bolt.group} at ({bolt.x:g}, {bolt.y:g}) in: {bolt.length:g} in long, but grip, washers and nut take {bearing - nut:.3f} in; "
            "the solid model would show a nut beyond the bolt's end"
        )
    washer = Washer(size.washer_hole, size.washer_diameter, thick)
    bolt_piece: Piece = HexBolt(bolt.diameter, bolt.length, size.head_flats, size.head_height)
    pieces: list[tuple[str, Piece, float]] = [("bolt", bolt_piece, bearing)]
    pieces += [(f"washer {k + 1} at head", washer, k * thick) for k in range(at_head)]
    pieces += [(f"washer {k + 1} at nut", washer, -grip - (k + 1) * thick) for k in range(at_nut)]
    pieces.append(("nut", HexNut(bolt.diameter, size.nut_flats, size.nut_height), nut))
    return Stack(tuple(pieces))
