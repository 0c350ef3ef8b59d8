"""Isolations, pulls, blank-off and pressure test as JSON: for ``analyse`` and ``export`` alike."""

from typing import Any

from analysis.nitrogen.pressure_test import PressureTest
from analysis.pump.pulls import Pull
from analysis.reason import Interval, Reason
from analysis.snapshot import BlankOff, Isolation, LimitCheck
from app.words.sentences import Words


def reason_json(why: Reason, words: Words) -> dict[str, str]:
    """Give a reason as its code and an English text."""
    return {"code": why.code, "text": words.reason(why)}


def interval_json(interval: Interval | None, factor: float | None = 1.0) -> dict[str, float] | None:
    """Give an interval times a factor; ``None`` where either is missing."""
    if interval is None or factor is None:
        return None
    return {
        "low": interval.low * factor,
        "best": interval.best * factor,
        "high": interval.high * factor,
    }


def limit_json(check: LimitCheck) -> dict[str, Any]:
    """Give a limit with its outcome and its source."""
    return {
        "name": check.name,
        "limit": check.limit,
        "value": check.value,
        "pass": check.passed,
        "source": check.source,
    }


def isolation_json(isolation: Isolation, words: Words) -> dict[str, Any]:
    """Give an isolation; ``until_s`` is null while the valve is closed."""
    compared = isolation.comparison
    return {
        "from_s": isolation.from_s,
        "until_s": isolation.until_s,
        "rise_pa": isolation.rise_pa,
        "rate_pa_s": interval_json(isolation.rate),
        "comparison": None if compared is None else reason_json(compared, words),
    }


def pull_json(pull: Pull) -> dict[str, Any]:
    """Give a pull: from a break of the vacuum, or the beginning, to the next."""
    return {
        "number": pull.number,
        "from_s": pull.from_s,
        "until_s": pull.until_s,
        "lowest_pa": pull.lowest_pa,
        "bursts": pull.bursts,
        "bursts_per_s": pull.bursts_per_s,
        "smallest_burst_pa": pull.smallest_burst_pa,
    }


def blank_off_json(test: BlankOff | None, words: Words) -> dict[str, Any] | None:
    """Give a blank-off test of the rig; ``None`` without one."""
    if test is None:
        return None
    return {
        "from_s": test.from_s,
        "until_s": test.until_s,
        "ultimate_pa": test.ultimate_pa,
        "end_pa": test.end_pa,
        "rise_pa": test.rise_pa,
        "rate_pa_s": interval_json(test.rate_pa_s),
        "load_pa_m3_s": interval_json(test.load_pa_m3_s),
        "is_long_enough": test.is_long_enough,
        "limits": [limit_json(check) for check in test.limits],
        "reasons": [reason_json(why, words) for why in test.reasons],
    }


def pressure_test_json(test: PressureTest | None, words: Words) -> dict[str, Any] | None:
    """Give a pressure test, absolute pressures; ``None`` without one."""
    if test is None:
        return None
    return {
        "finding": test.finding,
        "duration_s": test.duration_s,
        "start_pa": test.start.pressure_pa,
        "start_c": test.start.temperature_c,
        "middle_pa": test.middle_pa,
        "end_pa": test.end.pressure_pa,
        "end_c": test.end.temperature_c,
        "expected_pa": test.expected_pa,
        "fall_pa": interval_json(test.fall_pa),
        "smallest_fall_seen_pa": test.smallest_fall_seen_pa,
        "reasons": [reason_json(why, words) for why in test.reasons],
    }
