"""Which cautions come with what is said of refrigerant and vehicle."""

import pytest

from app.job.refrigerants import fluid_of
from app.screen.safety import caution_of, safety
from app.words.phrases import english


def told(refrigerant: str) -> str:
    return str(safety(english, refrigerant, "combustion"))


@pytest.mark.parametrize(
    "written", ["", "R-1234yf", "r1234yf", "1234YF", "HFO-1234yf ", "R-152a", "propane", "?"]
)
def test_what_may_burn_is_warned_of_however_it_is_written(written: str) -> None:
    assert "flammable" in told(written)
    assert "without flame" in caution_of(english, "heat", written)


@pytest.mark.parametrize("written", ["R-134a", "R134A", "HFC 134a", "R-744", "CO2", "R12"])
def test_what_does_not_burn_is_not(written: str) -> None:
    assert "flammable" not in told(written)
    assert caution_of(english, "heat", written) == ""


@pytest.mark.parametrize("written", ["R-744", "R744", "co2"])
def test_high_pressure_is_warned_of_however_it_is_written(written: str) -> None:
    assert "high pressure" in told(written)
    fluid = fluid_of(written)
    assert fluid is not None
    assert fluid.name == "R-744"
