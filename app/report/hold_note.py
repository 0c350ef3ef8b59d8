"""A finding's numbers, read back from its row; what is not as it should be counts as not said."""

from collections.abc import Mapping
from typing import Any

from analysis.hold.length import rushed_in
from analysis.hold.rules import HoldRules
from analysis.reason import Reason
from analysis.snapshot import HoldResult
from app.job.result_parts import interval_or_none, limit, number, number_or_none
from app.jobfile.rows import FindingNote

MOST_LIMITS, MOST_REASONS = 6, 12
KNOWN_LIMITS = ("start", "rise", "highest", "charge")


def hold_result(note: FindingNote) -> HoldResult | None:
    """Rebuild the outcome of a hold as it was told then; ``None`` when the row does not hold it."""
    told: Mapping[str, Any] = note.details
    try:
        return HoldResult(
            finding=note.finding,
            duration_s=number(told["duration_s"]),
            rise_pa=number(told["rise_pa"]),
            hold_longer_s=number_or_none(told.get("hold_longer_s")),
            leak_pa_s=interval_or_none(told.get("leak_pa_s")),
            vapour_pa=interval_or_none(told.get("vapour_pa")),
            smallest_leak_seen_pa_s=number_or_none(told.get("smallest_leak_seen_pa_s")),
            limits=tuple(limit(item) for item in told["limits"][:MOST_LIMITS]),
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
            kept[key] = number(value)
        except ValueError:
            continue
    return kept


def _reason(item: Any) -> Reason:
    return Reason(str(item["code"]), numbers(item["values"]))
