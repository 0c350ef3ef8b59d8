"""Blank-off and pressure test in one line each, as the first page tells them."""

from collections.abc import Mapping

from analysis.closing.blank_off import outcome
from analysis.nitrogen.pressure_test import PressureTest
from analysis.snapshot import BlankOff
from app.words import display

Phrases = Mapping[str, str]


def blank_off_fact(test: BlankOff, phrases: Phrases, unit: str) -> str:
    """Give the outcome in short; the technical page has it in full."""
    return phrases[f"blank-off-{outcome(test)}"].format(
        start=display.pressure(test.ultimate_pa, unit),
        end=display.pressure(test.end_pa, unit),
        duration=display.duration((test.until_s or test.from_s) - test.from_s),
    )


def pressure_test_fact(test: PressureTest, phrases: Phrases) -> str:
    """Give the outcome in short."""
    return phrases[test.finding].format(
        duration=display.duration(test.duration_s),
        pressure=display.high_pressure(test.start.pressure_pa),
        fall=display.high_pressure(abs(test.fall_pa.best)),
    )
