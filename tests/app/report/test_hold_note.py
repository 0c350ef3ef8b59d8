from dataclasses import replace
from typing import Any

import pytest

from analysis.hold.rules import HoldRules
from analysis.reason import Interval, Reason
from analysis.snapshot import HoldResult, LimitCheck
from app.jobfile.jsontext import decode_json, encode_json, plain
from app.jobfile.rows import FindingNote
from app.report.hold_note import hold_result, numbers, rules_told

RESULT = HoldResult(
    finding="leak",
    duration_s=900.0,
    rise_pa=20.0,
    hold_longer_s=None,
    leak_pa_s=Interval(0.01, 0.02, 0.03),
    vapour_pa=None,
    smallest_leak_seen_pa_s=0.001,
    limits=(LimitCheck("rise", 10.0, 20.0, False, "the vehicle maker"),),
    reasons=(Reason("straight-rise", {"leak_pa_s": 0.02}),),
)


def noted(details: dict[str, Any]) -> FindingNote:
    return FindingNote(1.0, "leak", details)


def details() -> dict[str, Any]:
    """Give the row's contents as they come back from a file."""
    told = plain(RESULT)
    assert isinstance(told, dict)
    return decode_json(encode_json(told))


def test_a_finding_comes_back_as_it_was_told() -> None:
    assert hold_result(noted(details())) == RESULT


@pytest.mark.parametrize(
    "change",
    [
        {"rise_pa": "20"},
        {"rise_pa": True},
        {"duration_s": None},
        {"leak_pa_s": {"low": 1.0}},
        {"leak_pa_s": 3},
        {"limits": [{"name": "rise"}]},
        {"limits": [7]},
        {"limits": [{**plain(RESULT.limits[0]), "passed": "yes"}]},  # type: ignore[dict-item]
        {"limits": None},
        {"reasons": "none"},
        {"reasons": {"code": "x"}},
        {"reasons": [{"code": "x", "values": 3}]},
    ],
)
def test_a_strangers_details_count_as_not_said(change: dict[str, Any]) -> None:
    assert hold_result(noted({**details(), **change})) is None
    assert hold_result(noted({})) is None


def test_lists_are_bounded() -> None:
    told = details()
    told["reasons"] *= 1000
    told["limits"] *= 1000
    result = hold_result(noted(told))
    assert result is not None
    assert (len(result.limits), len(result.reasons)) == (6, 12)


def test_the_limits_told_then_are_used_again() -> None:
    rules = rules_told(RESULT)
    assert (rules.rise_pa, rules.rise_source) == (10.0, "the vehicle maker")
    assert rules.start_pa == HoldRules().start_pa
    assert rules_told(None) == HoldRules()
    odd = replace(RESULT, limits=(LimitCheck("rise", -1.0, 0.0, True, ""),))
    assert rules_told(odd) == HoldRules()


def test_only_finite_numbers_are_kept() -> None:
    told = {"a": 1, "b": 2.5, "c": "3", "d": True, "e": float("nan"), "f": None}
    assert numbers(told) == {"a": 1.0, "b": 2.5}
