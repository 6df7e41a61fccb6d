"""NDS 2018: sizes at and just over every step of the tables by size, and floors. Values recalled, keyed a second time; the Supplement decides."""

from __future__ import annotations

import pytest

from detailgen.core.errors import NotCovered
from detailgen.standards.interface import WoodGrade
from detailgen.standards.nds_2018 import reference, section

WIDTHS = (2, 3, 4, 5, 6, 8, 10, 12, 14)
# table 4A: F_b up to 3 in. thick, F_b over it, F_t, F_c by nominal width; table 4B has 1 throughout and 0.9 from 14 in. on
SOFTWOOD = {
    2: (1.5, 1.5, 1.5, 1.15), 3: (1.5, 1.5, 1.5, 1.15), 4: (1.5, 1.5, 1.5, 1.15), 5: (1.4, 1.4, 1.4, 1.1), 6: (1.3, 1.3, 1.3, 1.1),
    8: (1.2, 1.3, 1.2, 1.05), 10: (1.1, 1.2, 1.1, 1.0), 12: (1.0, 1.1, 1.0, 1.0), 14: (0.9, 1.0, 0.9, 0.9),
}  # fmt: skip


@pytest.mark.parametrize("thickness", [1.5, 3.0, 3.03, 4.0, 4.05])
def test_size_factors_at_and_over_each_width(thickness):
    """Full-sawn widths stand in their own column, a hair over them in the next; all over 14 in. in the last."""
    for width, wider in zip(WIDTHS, (*WIDTHS[1:], 14), strict=True):
        for measured, column in ((width - 0.25, width), (float(width), width), (width + 0.02, wider), (width * 1.015, wider)):
            if measured < thickness:
                continue
            thin, thick, F_t, F_c = SOFTWOOD[column]
            row, _ = reference.size_factor_row("Douglas Fir-Larch", thickness, measured)
            assert (row["Fb"], row["Ft"], row["Fc"]) == (thin if thickness <= 3 else thick, F_t, F_c), measured
            pine, _ = reference.size_factor_row("Southern Pine", thickness, measured)
            assert (pine["Fb"], pine["Ft"], pine["Fc"]) == ((0.9,) * 3 if column == 14 else (1.0,) * 3), measured


def test_southern_pine_goes_by_width():
    """Table 4B, No.2: F_b 1100 for 2 to 4 in. nominal, 1000 for 5 and 6, 925 for 8, 800 for 10, 750 from 12 on; here No.1 and better end at 4."""
    widths = {1.5: 1100, 2.5: 1100, 3.5: 1100, 4.5: 1000, 5.5: 1000, 7.25: 925, 9.25: 800, 11.25: 750, 13.25: 750}
    for width, F_b in widths.items():
        assert reference.wood_values(WoodGrade("sawn", "Southern Pine", "No.2"), 1.5, width).Fb == F_b
    for grade, F_b in (("Select Structural", 2350), ("No.1", 1500)):
        for width in (1.5, 2.5, 3.5):
            assert reference.wood_values(WoodGrade("sawn", "Southern Pine", grade), 1.5, width).Fb == F_b
        with pytest.raises(NotCovered, match="nominal width 5"):
            reference.wood_values(WoodGrade("sawn", "Southern Pine", grade), 1.5, 4.5)


def test_what_damage_leaves_is_never_quite_nothing():
    """Ours: 1e-9 in2, in3 or lb, so that no stress is divided by nothing."""
    for value in (section.A(2.5, 9.25, 0.0), section.A_n(0.0, 1.0), section.S(0.0, 0.5), section.V_left(1000.0, 0.0)):
        assert float(value) == pytest.approx(1e-9, rel=1e-6, abs=0)
