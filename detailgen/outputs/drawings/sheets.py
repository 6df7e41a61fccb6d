"""Paper and scales."""

from __future__ import annotations

from dataclasses import dataclass

from detailgen.core.units import MM


@dataclass(frozen=True)
class Lettering:
    """Text heights, inches of paper. The smallest still reads at half size."""

    note: float
    heading: float
    title: float

    @property
    def line(self) -> float:
        """From one line of notes to the next."""
        return 1.55 * self.note


US_LETTERS, SI_LETTERS = Lettering(1 / 8, 3 / 16, 1 / 4), Lettering(3.5 * MM, 5 * MM, 7 * MM)


@dataclass(frozen=True)
class Sheet:
    """Paper in landscape; lengths in inches of paper. Margins are left, bottom, right, top.

    ``column``: width of the column over the title block, at the right
    """

    name: str
    width: float
    height: float
    margins: tuple[float, float, float, float]
    letters: Lettering
    column: float = 0.0

    @property
    def inner(self) -> tuple[float, float, float, float]:
        """The frame: x0, y0, x1, y1."""
        left, bottom, right, top = self.margins
        return left, bottom, self.width - right, self.height - top


@dataclass(frozen=True)
class Scale:
    """``factor`` inches of the truss to one inch of paper."""

    factor: float
    label: str


ANSI_B = Sheet("ANSI B", 17.0, 11.0, (0.375, 0.375, 0.375, 0.375), US_LETTERS)
ISO_A3 = Sheet("ISO A3", 420 * MM, 297 * MM, (20 * MM, 10 * MM, 10 * MM, 10 * MM), SI_LETTERS)
SHEETS = {"US": ANSI_B, "SI": ISO_A3}
"""Paper of a truss's own drawing beside its assessment; the set's is in ``templates``."""
SCALES: dict[str, tuple[Scale, ...]] = {
    "US": tuple(
        Scale(12 / inch, f'{words}" = 1\'-0"')
        for inch, words in (
            (1.0, "1"),
            (3 / 4, "3/4"),
            (1 / 2, "1/2"),
            (3 / 8, "3/8"),
            (1 / 4, "1/4"),
            (3 / 16, "3/16"),
            (1 / 8, "1/8"),
            (3 / 32, "3/32"),
            (1 / 16, "1/16"),
        )
    ),
    "SI": tuple(Scale(float(n), f"1:{n}") for n in (10, 20, 25, 50, 100, 200)),
}


DETAIL_SCALES: dict[str, tuple[Scale, ...]] = {
    "US": tuple(
        Scale(12 / inch, f'{words}" = 1\'-0"')
        for inch, words in ((6.0, "6"), (3.0, "3"), (1.5, "1 1/2"), (1.0, "1"), (3 / 4, "3/4"), (1 / 2, "1/2"), (3 / 8, "3/8"), (1 / 4, "1/4"))
    ),
    "SI": tuple(Scale(float(n), f"1:{n}") for n in (2, 5, 10, 20, 25, 50)),
}
