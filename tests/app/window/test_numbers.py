"""Numbers as people type them, in several countries' ways."""

from collections.abc import Iterator

import pytest
from PySide6.QtCore import QLocale

from app.window.numbers import shown_number, typed_number


@pytest.fixture(autouse=True)
def _locale() -> Iterator[None]:
    before = QLocale()
    yield
    QLocale.setDefault(before)


@pytest.mark.parametrize("name", ["en_US", "en_GB", "de_DE", "fr_FR", "de_CH", "nl_NL"])
def test_point_and_comma_are_both_the_decimal_mark(name: str) -> None:
    QLocale.setDefault(QLocale(name))
    for text, value in (("10.5", 10.5), ("10,5", 10.5), ("0.350", 0.35), ("0,350", 0.35)):
        assert typed_number(text) == value
    assert typed_number(" 1 250 ") == 1250.0
    assert typed_number("-3,25") == -3.25
    assert typed_number("11 bar") is None
    assert {typed_number(text) for text in ("nan", "inf", "-inf")} == {None}


@pytest.mark.parametrize("name", ["en_US", "de_DE", "fr_FR", "de_CH"])
@pytest.mark.parametrize("gap", [" ", "\u00a0", "\u202f", "'", "\u2019"])
def test_a_gap_sets_thousands_apart_and_nothing_else(name: str, gap: str) -> None:
    """9 8 bar, with the point left out, was 98 bar."""
    QLocale.setDefault(QLocale(name))
    assert typed_number(f"12{gap}345") == 12_345.0
    assert typed_number(f"1{gap}234{gap}567.5") == 1_234_567.5
    for text in (f"9{gap}8", f"12{gap}5", f"1{gap}23", f"{gap}{gap}", f"1{gap}2345"):
        assert typed_number(text) is None


def test_what_may_be_thousands_is_asked_for_again() -> None:
    """9.875 bar was 9875 bar, and 1,250 L could be 1250 L."""
    QLocale.setDefault(QLocale("de_DE"))
    assert typed_number("9.875") is None
    assert typed_number("9,875") == 9.875
    QLocale.setDefault(QLocale("en_US"))
    assert typed_number("1,250") is None
    assert typed_number("1.250") == 1.25
    assert typed_number("1,234,567") is None


@pytest.mark.parametrize("name", ["en_US", "de_DE", "fr_FR", "de_CH"])
@pytest.mark.parametrize("value", [0.35, 9.875, 1250.0, 12345.6, -3.25])
def test_what_is_shown_can_be_read_again(name: str, value: float) -> None:
    QLocale.setDefault(QLocale(name))
    assert typed_number(shown_number(value)) == value
