"""Withdrawal, pull-through and combined load of screws and nails, against printed values."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from detailgen.core.errors import OutOfRange
from detailgen.standards.nds_2018 import withdrawal as w

# NDS 2015 table 12.2A, page 77, as a city's permit records reproduce it (lfportal.everettwa.gov, document 1831805, page 33). lb/in.
DIAMETERS = (0.25, 0.3125, 0.375, 0.4375, 0.5, 0.625, 0.75, 0.875, 1.0, 1.125, 1.25)
TABLE_12_2A = {
    0.73: (397, 469, 538, 604, 668, 789, 905, 1016, 1123, 1226, 1327),
    0.67: (349, 413, 473, 531, 587, 694, 796, 893, 987, 1078, 1167),
    0.55: (260, 307, 352, 395, 437, 516, 592, 664, 734, 802, 868),
    0.50: (225, 266, 305, 342, 378, 447, 513, 576, 636, 695, 752),
    0.42: (173, 205, 235, 264, 291, 344, 395, 443, 490, 535, 579),
    0.36: (137, 163, 186, 209, 231, 273, 313, 352, 389, 425, 460),
    0.31: (110, 130, 149, 167, 185, 218, 250, 281, 311, 339, 367),
}


@pytest.mark.parametrize("G", TABLE_12_2A)
def test_lag_screws_as_printed(G):
    computed = w.W_lag(G, np.array(DIAMETERS))
    assert np.floor(computed + 0.5).tolist() == list(TABLE_12_2A[G])


# NDS table 12.2C, common nails, and 12.2B, wood screws; from memory.
@pytest.mark.parametrize(
    ("clause", "G", "D", "printed"),
    [
        (w.W_nail, 0.50, 0.131, 32), (w.W_nail, 0.50, 0.162, 40), (w.W_nail, 0.55, 0.162, 50),
        (w.W_screw, 0.50, 0.164, 117), (w.W_screw, 0.50, 0.19, 135),
    ],
)  # fmt: skip
def test_nails_and_wood_screws_as_recalled(clause, G, D, printed):
    assert math.floor(clause(G, D) + 0.5) == printed


def test_nails_as_a_handbook_computes_them():
    # Example of a public engineering handbook (engineeringtoolbox.com/nails-spikes-withdrawal-load-d_1814.html): G 0.45, 0.203 in.: 38 lb/in.
    assert w.W_nail(0.45, 0.203) == pytest.approx(38, abs=0.5)


def test_hand_values_bind_what_rounded_tables_leave_open():
    assert w.W_lag(0.5, 1.0) == pytest.approx(636.396, abs=0.001)
    assert w.W_screw(0.5, 0.2) == pytest.approx(142.5)
    assert w.W_nail(0.25, 1.0) == pytest.approx(1380 / 32)
    assert w.W_ring_nail(0.5, 0.2) == pytest.approx(90.0)  # from memory: 1800 G2 D
    assert w.W_H(0.5, 0.3, 0.5) == pytest.approx(690 * math.pi * 0.3 * 0.25 * 0.5)  # from memory: thin side member
    assert w.W_H(0.5, 0.3, 2.0) == pytest.approx(1725 * math.pi * 0.3**2 * 0.25)  # and a thick one


def test_pull_through_is_continuous_where_thin_becomes_thick():
    assert w.W_H(0.5, 0.3, 0.75 - 1e-9) == pytest.approx(w.W_H(0.5, 0.3, 0.75 + 1e-9), rel=1e-8)


def test_adjusted_value_is_the_product():
    assert w.W_prime(100.0, 2.0, 1.15, 0.7, 0.8, 0.75, 0.67) == pytest.approx(100 * 2 * 1.15 * 0.7 * 0.8 * 0.75 * 0.67)


def test_combined_load_at_its_ends_and_at_45_degrees():
    for combined in (w.Z_alpha, w.Z_alpha_linear):
        assert combined(300.0, 500.0, 0.0) == pytest.approx(500.0)
        assert combined(300.0, 500.0, math.pi / 2) == pytest.approx(300.0)
    assert w.Z_alpha(300.0, 500.0, math.pi / 4) == pytest.approx(2 * 300 * 500 / 800)
    assert w.Z_alpha_linear(300.0, 500.0, math.pi / 4) == pytest.approx(300 * 500 / (800 * math.sqrt(0.5)))
    with pytest.raises(OutOfRange):
        w.Z_alpha(300.0, 500.0, -0.1)
    with pytest.raises(OutOfRange):
        w.Z_alpha_linear(300.0, 500.0, 1.7)


@given(st.floats(10, 5000), st.floats(10, 5000), st.floats(0, math.pi / 2))
def test_a_lag_screw_lies_between_its_ends_and_a_nail_below_it(W_p, Z, alpha):
    value = float(w.Z_alpha(W_p, Z, alpha))
    assert min(W_p, Z) * (1 - 1e-9) <= value <= max(W_p, Z) * (1 + 1e-9)
    assert float(w.Z_alpha_linear(W_p, Z, alpha)) <= value * (1 + 1e-9)


@pytest.mark.parametrize("clause", [w.W_lag, w.W_screw, w.W_nail, w.W_ring_nail])
@given(G=st.floats(0.31, 0.72), D=st.floats(0.1, 1.0))
def test_denser_wood_and_thicker_fasteners_hold_more(clause, G, D):
    assert clause(G + 0.01, D) > clause(G, D)
    assert clause(G, D + 0.01) > clause(G, D)
    with pytest.raises(OutOfRange):
        clause(0.0, D)
