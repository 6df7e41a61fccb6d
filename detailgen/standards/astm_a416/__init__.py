"""ASTM A416: low-relaxation seven-wire strand, Grade 270."""

from __future__ import annotations

from dataclasses import dataclass

from detailgen.standards.anchorage import Strand


@dataclass(frozen=True)
class AstmA416:
    """What the rest of the program may ask of this specification."""

    key: str = "astm_a416"
    name: str = "ASTM A416 (Grade 270)"

    def strand_sizes(self) -> tuple[str, ...]:
        """Names of the sizes, smallest first."""
        from detailgen.standards.astm_a416.strand import sizes

        return sizes()

    def strand(self, size: str) -> Strand:
        """A strand by its size. Raises NotCovered for a size that the table does not hold."""
        from detailgen.standards.astm_a416.strand import strand

        return strand(size)


STANDARD = AstmA416()
