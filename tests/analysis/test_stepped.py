"""A column that is stiffer between two points than at its ends, against the printed table and a solver of its own."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from detailgen.analysis.stepped import stepped_factor

# Timoshenko and Gere, Theory of Elastic Stability (2nd edition), table 2-10: m of P_cr = m E I_2 / l^2 for a pinned bar whose middle part, a share
# a/l of its length, has I_2 and whose ends have I_1. From memory: the rows below were recalled before this function was run.
RATIOS = (0.01, 0.1, 0.2, 0.4, 0.6, 0.8)
PRINTED = {
    0.2: (0.15, 1.47, 2.80, 5.09, 6.98, 8.55),
    0.4: (0.27, 2.40, 4.22, 6.68, 8.19, 9.18),
    0.6: (0.60, 4.50, 6.69, 8.51, 9.24, 9.63),
    0.8: (2.26, 8.59, 9.33, 9.67, 9.78, 9.84),
}


@pytest.mark.parametrize(("middle", "ratio", "m"), [(a, r, m) for a, row in PRINTED.items() for r, m in zip(RATIOS, row, strict=True)])
def test_the_table_of_the_book(middle: float, ratio: float, m: float) -> None:
    factor = stepped_factor((1 - middle) / 2, 1 / ratio)
    assert math.pi**2 * ratio / factor**2 == pytest.approx(m, abs=0.006)


def by_differences(bare: float, stiff: float, pieces: int = 800) -> float:
    """The same factor from the eigenvalue of EI y'' + P y = 0 by finite differences: another way to the answer."""
    x = np.arange(1, pieces) / pieces
    EI = np.where((x > bare) & (x < 1 - bare), stiff, 1.0)
    second = (np.diag(np.full(pieces - 1, 2.0)) - np.diag(np.ones(pieces - 2), 1) - np.diag(np.ones(pieces - 2), -1)) * pieces**2
    root = np.sqrt(EI)
    least = float(np.linalg.eigvalsh(root[:, None] * second * root[None, :])[0])
    return math.pi / math.sqrt(least)


@pytest.mark.parametrize(("bare", "stiff"), [(0.1, 3.0), (0.25, 8.0), (0.05, 1.5)])
def test_finite_differences_agree(bare: float, stiff: float) -> None:
    assert stepped_factor(bare, stiff) == pytest.approx(by_differences(bare, stiff), rel=4e-3)


def test_the_bounds() -> None:
    assert stepped_factor(0.3, 1.0) == pytest.approx(1.0)  # no stiffer anywhere
    assert stepped_factor(0.0, 4.0) == pytest.approx(0.5)  # stiffer all along: P grows as the stiffness
    assert stepped_factor(0.5, 9.0) == pytest.approx(1.0)  # stiffer nowhere
    for wrong in ((-0.1, 2.0), (0.6, 2.0), (0.2, 0.5), (0.2, math.inf), (math.nan, 2.0)):
        with pytest.raises(ValueError, match="bare ends"):
            stepped_factor(*wrong)


@given(st.floats(0, 0.5), st.floats(0, 0.5), st.floats(1, 100), st.floats(1, 100))
def test_more_of_a_stiffer_part_never_shortens_the_wave_less(a: float, b: float, low: float, high: float) -> None:
    bare, more = sorted((a, b))
    weak, stiff = sorted((low, high))
    assert stepped_factor(bare, stiff) <= stepped_factor(more, stiff) + 1e-9
    assert stepped_factor(bare, stiff) <= stepped_factor(bare, weak) + 1e-9
    assert 1 / math.sqrt(stiff) - 1e-9 <= stepped_factor(bare, stiff) <= 1 + 1e-9
