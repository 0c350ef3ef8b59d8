"""The parts of a test's result as a job keeps them, read back; what is odd is a ``ValueError``."""

import math
from collections.abc import Mapping
from typing import Any

from analysis.reason import Interval
from analysis.snapshot import LimitCheck


def number(value: object) -> float:
    """Read a finite number."""
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        raise ValueError("no number")
    return float(value)


def number_or_none(value: object) -> float | None:
    """Read a finite number, if there is one."""
    return None if value is None else number(value)


def interval(value: object) -> Interval:
    """Read an interval."""
    if not isinstance(value, Mapping):
        raise ValueError("no interval")
    return Interval(*(number(value[part]) for part in ("low", "best", "high")))


def interval_or_none(value: object) -> Interval | None:
    """Read an interval, if there is one."""
    return None if value is None else interval(value)


def truth(value: object) -> bool:
    """Read whether something is so."""
    if not isinstance(value, bool):
        raise ValueError("neither true nor false")
    return value


def text(value: object) -> str:
    """Read a text."""
    if not isinstance(value, str):
        raise ValueError("no text")
    return value


def limit(item: Any) -> LimitCheck:
    """Read one limit with its outcome."""
    return LimitCheck(
        text(item["name"]),
        number(item["limit"]),
        number(item["value"]),
        truth(item["passed"]),
        text(item["source"]),
    )
