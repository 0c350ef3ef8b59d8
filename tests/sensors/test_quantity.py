import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sensors.quantity import (
    ATMOSPHERE_PA,
    Quantity,
    parse_quantity,
    pressure_from,
    temperature_from,
)


@pytest.mark.parametrize(
    ("text", "value", "unit", "status"),
    [
        ("523", 523.0, "", "ok"),
        ("+5.23E+02", 523.0, "", "ok"),
        ("523 micron", 523.0, "micron", "ok"),
        ("523micron", 523.0, "micron", "ok"),
        (".5 mbar", 0.5, "mbar", "ok"),
        ("5.", 5.0, "", "ok"),
        ("1e3Pa", 1000.0, "Pa", "ok"),
        (">25000", 25000.0, "", "over-range"),
        ("< 1 micron", 1.0, "micron", "under-range"),
        ("OL", None, "", "over-range"),
        ("Over-Range", None, "", "over-range"),
        ("under", None, "", "under-range"),
        # SCPI-1999's infinities [from memory]
        ("9.9E37", None, "", "over-range"),
        ("-9.90E+37", None, "", "under-range"),
    ],
)
def test_read(text: str, value: float | None, unit: str, status: str) -> None:
    quantity = parse_quantity(text, is_decimal_comma=False)
    assert (quantity.value, quantity.unit, quantity.status) == (value, unit, status)


def test_a_decimal_comma_only_where_it_is_one() -> None:
    assert parse_quantity("1,5e-1", is_decimal_comma=True).value == 0.15
    with pytest.raises(ValueError, match="separates fields"):
        parse_quantity("1,5", is_decimal_comma=False)


@pytest.mark.parametrize("text", ["", "nan", "-inf", "Infinity", "9.91E37", "1e999", "--", "LO"])
def test_no_number(text: str) -> None:
    with pytest.raises(ValueError, match=r"."):
        parse_quantity(text, is_decimal_comma=False)


@pytest.mark.parametrize("text", ["1.2.3", "1_000", "0x10", "12:30", "1e5e", "5 6"])
def test_numbers_with_a_tail_are_no_pressure(text: str) -> None:
    with pytest.raises(ValueError, match="no unit"):
        pressure_from(parse_quantity(text, is_decimal_comma=False), "", None)


def test_the_unit_beside_the_number_counts_before_the_option_and_the_name() -> None:
    written = Quantity(2.0, "mbar", "ok")
    bare = Quantity(2.0, "", "ok")
    assert pressure_from(written, "pressure_kpa", "pa") == 200.0
    assert pressure_from(bare, "pressure_kpa", "pa") == 2.0
    assert pressure_from(bare, "pressure_kpa", None) == 2000.0
    # 1 micron of mercury = 0.133322 Pa (NIST SP 811, appendix B.8)
    assert pressure_from(bare, "", None) == pytest.approx(2 * 0.1333224, rel=1e-6)


def test_the_unknown_ends_of_the_range() -> None:
    assert pressure_from(Quantity(None, "", "over-range"), "", None) == ATMOSPHERE_PA
    assert pressure_from(Quantity(None, "", "under-range"), "", None) == 0.0


def test_negative_and_minus_zero() -> None:
    with pytest.raises(ValueError, match="negative"):
        pressure_from(Quantity(-1e-9, "", "ok"), "", None)
    zero = pressure_from(Quantity(-0.0, "", "ok"), "", None)
    assert math.copysign(1, zero) == 1


@given(st.text(max_size=20), st.booleans())
def test_any_text_is_a_quantity_or_a_value_error(text: str, is_decimal_comma: bool) -> None:
    try:
        quantity = parse_quantity(text, is_decimal_comma=is_decimal_comma)
        pressure_pa = pressure_from(quantity, "", None)
    except ValueError:
        return
    assert math.isfinite(pressure_pa)
    assert pressure_pa >= 0


@pytest.mark.parametrize("text", ["1e300", "1e9", "80000000", "100001 hPa"])
def test_what_no_vacuum_gauge_reads_is_no_pressure(text: str) -> None:
    quantity = parse_quantity(text, is_decimal_comma=False)
    with pytest.raises(ValueError, match="over 100 bar"):
        pressure_from(quantity, "", None)


@pytest.mark.parametrize("text", ["1e300 C", "1e6", "1900 F"])
def test_what_no_gauge_stands_in_is_no_temperature(text: str) -> None:
    with pytest.raises(ValueError, match="over 1000"):
        temperature_from(parse_quantity(text, is_decimal_comma=False))


@given(st.floats(0, 1e30))
def test_numbers_come_back_as_written(value: float) -> None:
    assert parse_quantity(repr(value), is_decimal_comma=False).value == value
