"""Quantities in, quantities out."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from detailgen.core.units import SI, US, QuantityError, feet_inches, parse


@pytest.mark.parametrize(
    ("text", "kind", "value"),
    [
        ("2-1/2 in", "length", 2.5),
        ("2 1/2 in", "length", 2.5),
        ("3'-6 1/4\"", "length", 42.25),
        ("3'-6-1/4\"", "length", 42.25),
        ("3’-6”", "length", 42.0),
        ("60'-0\"", "length", 720.0),
        ("3 ft 6 in", "length", 42.0),
        ("-1'-6\"", "length", -18.0),
        ("38 mm", "length", 38 / 25.4),
        ("24 kip", "force", 24000.0),
        ("20 psf", "area load", 20 / 144),
        ("12 deg", "angle", math.radians(12)),
        # NIST SP 811 appendix B: 1 lbf = 4.448222 N, 1 psi = 6894.757 Pa, 1 lbf/ft2 = 47.88026 Pa
        ("4.4482216 N", "force", 1.0),
        ("6.894757 MPa", "stress", 1000.0),
        ("0.04788026 kPa", "area load", 1 / 144),
        ("0.1129848 kN-m", "moment", 1000.0),
    ],
)
def test_read(text: str, kind: str, value: float) -> None:
    assert parse(text, kind) == pytest.approx(value, rel=1e-6)


@pytest.mark.parametrize(
    ("text", "kind", "said"),
    [
        ("20", "area load", "bare number"),
        ("20 psi", "area load", "unit of stress"),
        ("20 psf", "stress", "unit of area load"),
        ("20 furlong", "length", "no unit known"),
        ("1/0 in", "length", "division by zero"),
        ("", "length", "found ''"),
        ("2-1/2", "length", "bare number"),
        ("two inches", "length", "found"),
    ],
)
def test_refused_with_what_is_allowed(text: str, kind: str, said: str) -> None:
    with pytest.raises(QuantityError, match=said) as caught:
        parse(text, kind)
    assert "such as" in str(caught.value) or "a number" in str(caught.value)


@given(st.integers(min_value=-40000, max_value=40000))
def test_feet_and_inches_read_back(sixteenths: int) -> None:
    assert parse(feet_inches(sixteenths / 16), "length") == sixteenths / 16


@pytest.mark.parametrize(
    ("inches", "text"),
    [(42.25, "3'-6 1/4\""), (0.0, '0"'), (0.5, '1/2"'), (12.0, "1'-0\""), (11.99, "1'-0\""),
     (-6.0625, '-6 1/16"'), (12.5, "1'-0 1/2\"")]
)  # fmt: skip
def test_feet_and_inches_as_the_trade_writes_them(inches: float, text: str) -> None:
    assert feet_inches(inches) == text


def test_each_system_writes_its_own() -> None:
    assert (US.write_length(42.25), SI.write_length(42.25)) == ("3'-6 1/4\"", "1073 mm")
    assert (US.write_force(12346.0), SI.write_force(12346.0)) == ("12,350 lb", "54.9 kN")
    assert (US.write_area_load(20 / 144), SI.write_area_load(20 / 144)) == ("20.0 psf", "0.96 kPa")
