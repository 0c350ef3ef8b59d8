"""A finding's numbers, read back from its row; what is not as it should be counts as not said."""

import math
from collections.abc import Mapping
from typing import Any

from analysis.hold.length import rushed_in
from analysis.hold.rules import HoldRules
from analysis.reason import Interval, Reason
from analysis.snapshot import HoldResult, LimitCheck
from app.jobfile.rows import FindingNote

MOST_LIMITS, MOST_REASONS = 6, 12
KNOWN_LIMITS = ("start", "rise", "highest", "charge")


def hold_result(note: FindingNote) -> HoldResult | None:
    """Rebuild the outcome of a hold as it was told then; ``None`` when the row does not hold it."""
    told: Mapping[str, Any] = note.details
    try:
        return HoldResult(
            finding=note.finding,
            duration_s=_number(told["duration_s"]),
            rise_pa=_number(told["rise_pa"]),
            hold_longer_s=_maybe(told.get("hold_longer_s")),
            leak_pa_s=_interval(told.get("leak_pa_s")),
            vapour_pa=_interval(told.get("vapour_pa")),
            smallest_leak_seen_pa_s=_maybe(told.get("smallest_leak_seen_pa_s")),
            limits=tuple(_limit(item) for item in told["limits"][:MOST_LIMITS]),
            reasons=tuple(_reason(item) for item in told["reasons"][:MOST_REASONS]),
        )
    except (KeyError, TypeError, ValueError, AttributeError):
        return None


def rules_told(result: HoldResult | None) -> HoldRules:
    """Give the limits under which a hold was judged; defaults where none were told."""
    if result is None:
        return HoldRules()
    told: dict[str, Any] = {}
    for check in result.limits:
        if check.name in KNOWN_LIMITS and check.limit > 0:
            told |= {f"{check.name}_pa": check.limit, f"{check.name}_source": check.source}
    return HoldRules(**told)


def finding_word(phrases: Mapping[str, str], finding: str, result: HoldResult | None) -> str:
    """Name a finding; one of what came before a rush of gas is not read without it."""
    pattern = "{finding}" if rushed_in(result) is None else phrases["before-rush"]
    return pattern.format(finding=phrases[finding])


def numbers(values: Mapping[str, object]) -> dict[str, float]:
    """Keep what is a finite number."""
    kept = {}
    for key, value in values.items():
        try:
            kept[key] = _number(value)
        except TypeError:
            continue
    return kept


def _number(value: object) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        raise TypeError("no number")
    return float(value)


def _maybe(value: object) -> float | None:
    return None if value is None else _number(value)


def _interval(value: Any) -> Interval | None:
    if value is None:
        return None
    return Interval(*(_number(value[part]) for part in ("low", "best", "high")))


def _limit(item: Any) -> LimitCheck:
    if not isinstance(item["passed"], bool):
        raise TypeError("passed or not was expected")
    return LimitCheck(
        str(item["name"]),
        _number(item["limit"]),
        _number(item["value"]),
        item["passed"],
        str(item["source"]),
    )


def _reason(item: Any) -> Reason:
    return Reason(str(item["code"]), numbers(item["values"]))
