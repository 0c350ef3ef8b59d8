import math

import pytest

from sensors.units import PA_PER_UNIT, celsius_from, unit_in_name, unit_named


@pytest.mark.parametrize(
    ("unit", "pa"),
    [
        # NIST SP 811 (2008), appendix B.8, as printed there to seven digits.
        ("torr", 1.333224e2),
        ("micron", 1.333224e-1),
        ("mtorr", 1.333224e-1),
        ("mbar", 1.0e2),
        ("inhg", 3.386389e3),
        ("hpa", 1.0e2),
        ("kpa", 1.0e3),
        ("pa", 1.0),
    ],
)
def test_factors_against_print(unit: str, pa: float) -> None:
    assert PA_PER_UNIT[unit] == pytest.approx(pa, rel=4e-7)


def test_there_are_no_other_units() -> None:
    assert set(PA_PER_UNIT) == set("pa hpa kpa mbar torr mtorr micron inhg".split())


def test_micron_and_millitorr_differ_in_the_seventh_digit() -> None:
    # Conventional mercury against 101325/760: 1.4e-7 apart.
    assert PA_PER_UNIT["micron"] / PA_PER_UNIT["mtorr"] - 1 == pytest.approx(1.43e-7, rel=0.01)


@pytest.mark.parametrize(
    ("text", "unit"),
    [
        ("Microns", "micron"),
        ("\N{MICRO SIGN}mHg", "micron"),
        ("\N{GREEK SMALL LETTER MU}mHg", "micron"),
        ("um Hg", "micron"),
        ("mTorr", "mtorr"),
        ("hPa", "hpa"),
        ("(mbar)", "mbar"),
        ("psig", None),
        ("bar", None),
        ("", None),
    ],
)
def test_spellings(text: str, unit: str | None) -> None:
    assert unit_named(text) == unit


def test_a_bare_unit_is_no_name_with_a_unit() -> None:
    assert unit_in_name("Pressure (mTorr)") == "mtorr"
    assert unit_in_name("pa") is None
    assert unit_in_name("pressure") is None


def test_temperatures() -> None:
    # Fixed points by definition: water freezes at 32 F and boils at 212 F; 0 C = 273.15 K.
    assert celsius_from(32, "F") == 0
    assert celsius_from(212, "degF") == pytest.approx(100)
    assert celsius_from(273.15, "K") == pytest.approx(0)
    assert celsius_from(21.5, "") == 21.5
    for value, unit in [(-300, "C"), (math.inf, "C"), (math.nan, ""), (5, "micron")]:
        with pytest.raises(ValueError, match=r"."):
            celsius_from(value, unit)
