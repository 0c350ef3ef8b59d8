"""The pressure test with dry nitrogen before the first pull, corrected for temperature.

In a closed volume p/T stays the same (ideal gas; over 15 K nitrogen at 11 bar keeps to it within
0.15 % of the pressure, at 21 bar within 0.3 %, by CoolProp: far less than a dial's 1 %). A fall
that the temperature does not explain, beyond what a dial can show, is a leak under pressure, where
vacuum may find none; or gas that was still warm from being let in, which a reading half way tells
(``cooling.py``).
"""

import math
from dataclasses import dataclass
from typing import Final, Literal

from analysis.nitrogen.cooling import Halves
from analysis.nitrogen.fall_errors import FallErrors
from analysis.reason import Interval, Reason
from analysis.water import ZERO_CELSIUS_K

PressureFinding = Literal["no-fall-seen", "fell", "rose", "cooling"]

DIAL_SHARE: Final = 0.01  # EN 837-1 class 1.0 is 1 % of the dial's span [from memory]
THERMOMETER_K: Final = 1.0  # of the metal, by a contact thermometer in a workshop [practice]
LEAST_S: Final = 900.0  # 15 to 30 min [practice]
_LOWEST_PA: Final = 110e3  # under this it is no pressure test but the atmosphere


@dataclass(frozen=True, slots=True)
class TestPoint:
    """One reading of the pressurised circuit: absolute pressure and the metal's temperature."""

    __test__ = False  # no test case, for pytest

    pressure_pa: float
    temperature_c: float


@dataclass(frozen=True, slots=True)
class PressureTest:
    """What a pressure test showed.

    Attributes
    ----------
    start, end, duration_s
        As typed in or read.
    expected_pa
        What the end would read had nothing escaped.
    fall_pa
        Fall that the temperature does not explain, with its 80 % interval; negative for a rise.
    smallest_fall_seen_pa
        The smallest fall that this test would have shown.
    finding
        ``no-fall-seen``, ``fell``, ``rose`` (then a reading or a temperature is wrong) or
        ``cooling``: it fell as gas does that was let in warm, so that only a second test tells.
    reasons
        Why, and what to mind.
    middle_pa
        What was read half way, where it was.
    """

    start: TestPoint
    end: TestPoint
    duration_s: float
    expected_pa: float
    fall_pa: Interval
    smallest_fall_seen_pa: float
    finding: PressureFinding
    reasons: tuple[Reason, ...]
    middle_pa: float | None = None


def judge_pressure_test(
    start: TestPoint,
    end: TestPoint,
    duration_s: float,
    *,
    middle_pa: float | None = None,
    dial_pa: float | None = None,
    step_pa: float = 0.0,
    thermometer_k: float = THERMOMETER_K,
    least_s: float = LEAST_S,
    rated_pa: float | None = None,
) -> PressureTest:
    """Judge a pressure test.

    Parameters
    ----------
    start, end
        Absolute pressures, over 1.1 bar, and temperatures.
    duration_s
        Between the two, > 0.
    middle_pa
        Absolute pressure half way, where it was read: it tells a leak from gas that cools. One
        outside of start and end is a slip: it is said, and not heeded.
    dial_pa
        How far one reading may be off, Pa; ``None``: 1 % of the higher reading.
    step_pa
        How finely the dial is read, Pa: each reading may be off by half of it besides.
    thermometer_k
        How far each temperature may be off, K; half of its change comes on top, for what one
        place shows the rest of the metal may be ahead of or behind.
    least_s
        How long a test lasts at least [practice: 15 to 30 min].
    rated_pa
        Highest absolute pressure of the lowest-rated component, where known.

    Raises
    ------
    ValueError
        If a number is not finite or makes no sense; the text names it.
    """
    _check(start, end, duration_s, dial_pa, thermometer_k)
    _check_reading(middle_pa, step_pa)
    highest_pa = max(start.pressure_pa, end.pressure_pa)
    errors = FallErrors.of(
        (start.pressure_pa, start.temperature_c + ZERO_CELSIUS_K),
        end.temperature_c + ZERO_CELSIUS_K,
        dial_pa=DIAL_SHARE * highest_pa if dial_pa is None else dial_pa,
        step_pa=step_pa,
        thermometer_k=thermometer_k,
    )
    fall = errors.around(errors.expected_pa - end.pressure_pa)
    halves = _halves(start, middle_pa, end, duration_s, errors)
    is_outside = halves is not None and halves.is_outside
    finding, why = _found(fall, errors, None if is_outside else halves)
    reasons = [
        _by_heat(start, end, errors.expected_pa),
        why,
        *([Reason("pressure-test-middle-outside")] if is_outside else []),
        *_minded(start, end, duration_s, least_s, rated_pa),
        *_uneven(start, end, errors),
    ]
    return PressureTest(
        start=start,
        end=end,
        duration_s=duration_s,
        expected_pa=errors.expected_pa,
        fall_pa=fall,
        smallest_fall_seen_pa=errors.seen_pa,
        finding=finding,
        reasons=tuple(reasons),
        middle_pa=middle_pa,
    )


def _found(
    fall: Interval, errors: FallErrors, halves: Halves | None
) -> tuple[PressureFinding, Reason]:
    """Give the finding with its reason."""
    if abs(fall.best) <= errors.sure_pa:
        return "no-fall-seen", Reason("pressure-test-no-fall", {"seen_test_pa": errors.seen_pa})
    if fall.best < 0.0:
        return "rose", Reason("pressure-test-rose", {"rise_test_pa": -fall.best})
    course = "unknown" if halves is None else halves.course
    if halves is None or course == "unknown":
        values = {"fall_test_pa": fall.best, "low_test_pa": fall.low, "high_test_pa": fall.high}
        code = "pressure-test-fell" if halves is None else "pressure-test-fell-either"
        return "fell", Reason(code, values)
    parts = {
        "fall_test_pa": fall.best,
        "first_test_pa": max(halves.first_pa, 0.0),
        "second_test_pa": max(halves.second_pa, 0.0),
    }
    if course == "falls-on":
        return "fell", Reason("pressure-test-fell-on", parts)
    return "cooling", Reason("pressure-test-cooling", {**parts, "wait_s": halves.wait_s})


def _halves(
    start: TestPoint,
    middle_pa: float | None,
    end: TestPoint,
    duration_s: float,
    errors: FallErrors,
) -> Halves | None:
    """Part the fall in two, as it would be at the start's temperature, which changed evenly."""
    if middle_pa is None:
        return None
    warmer = errors.expected_pa / start.pressure_pa
    cooled_pa = 2.0 * middle_pa / (1.0 + warmer)
    return Halves(
        first_pa=start.pressure_pa - cooled_pa,
        second_pa=cooled_pa - end.pressure_pa / warmer,
        start_pa=start.pressure_pa,
        duration_s=duration_s,
        dial_pa=math.hypot(errors.dial_pa, 0.5 * errors.step_pa) / math.sqrt(3.0),
        heat_pa=errors.heat_pa / math.sqrt(6.0),
        place_pa=errors.place_pa / math.sqrt(3.0),
        step_pa=errors.step_pa,
    )


def _by_heat(start: TestPoint, end: TestPoint, expected_pa: float) -> Reason:
    if end.temperature_c == start.temperature_c:
        return Reason("pressure-test-as-warm")
    is_warmer = end.temperature_c > start.temperature_c
    values = {"change_test_pa": abs(expected_pa - start.pressure_pa)}
    return Reason("pressure-test-warmer" if is_warmer else "pressure-test-cooler", values)


def _uneven(start: TestPoint, end: TestPoint, errors: FallErrors) -> list[Reason]:
    """Say that what one place showed of the metal counts for more than the thermometer."""
    change_c = abs(end.temperature_c - start.temperature_c)
    is_more = errors.place_pa > errors.heat_pa
    return [Reason("pressure-test-uneven", {"change_c": change_c})] if is_more else []


def _minded(
    start: TestPoint, end: TestPoint, duration_s: float, least_s: float, rated_pa: float | None
) -> list[Reason]:
    reasons = []
    if duration_s < least_s:
        values = {"duration_s": duration_s, "needed_s": least_s}
        reasons.append(Reason("pressure-test-short", values))
    highest_pa = max(start.pressure_pa, end.pressure_pa)
    if rated_pa is not None and highest_pa > rated_pa:
        values = {"pressure_test_pa": highest_pa, "rated_test_pa": rated_pa}
        reasons.append(Reason("pressure-over-rated", values))
    return reasons


def _check_reading(middle_pa: float | None, step_pa: float) -> None:
    if not 0.0 <= step_pa < math.inf:
        raise ValueError("the dial's step must be a number, zero or more")
    if middle_pa is not None and not 0.0 < middle_pa < math.inf:
        raise ValueError("the pressure half way must be a number above zero, absolute")


def _check(
    start: TestPoint,
    end: TestPoint,
    duration_s: float,
    dial_pa: float | None,
    thermometer_k: float,
) -> None:
    for name, point in (("start", start), ("end", end)):
        if not 0.0 < point.pressure_pa < math.inf:
            raise ValueError(f"the {name} pressure must be a number above zero, absolute")
        if not -60.0 <= point.temperature_c <= 120.0:
            raise ValueError(f"the {name} temperature must lie between -60 and 120 C")
    if start.pressure_pa < _LOWEST_PA:
        raise ValueError("the start pressure must be absolute and above the atmosphere's")
    if not 0.0 < duration_s < math.inf:
        raise ValueError("the test's duration must be a number above zero")
    if dial_pa is not None and not 0.0 < dial_pa < math.inf:
        raise ValueError("the dial's error must be a number above zero")
    if not 0.0 <= thermometer_k < math.inf:
        raise ValueError("the thermometer's error must be a number, zero or more")
