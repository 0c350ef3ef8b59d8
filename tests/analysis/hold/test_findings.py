"""Findings, leak rates and intervals over random holds of known truth."""

import pytest

from tests.bench.hold_score import score
from tests.bench.standing_tests import KINDS


def test_random_holds_are_judged_rightly() -> None:
    found = score(KINDS, range(1000, 1003))
    assert found["right"] >= 0.88
    assert found["plainly_wrong"] <= 0.02
    assert found["leak_told_without"] == 0
    assert found["leak_median_error"] < 0.03
    assert found["leak_covered"] > 0.5


@pytest.mark.slow
def test_many_random_holds_are_judged_rightly() -> None:
    found = score(KINDS, range(2000, 2040))
    assert found["right"] >= 0.91
    assert found["plainly_wrong"] <= 0.02
    assert found["leak_told_without"] <= 2  # of 440 without one
    assert found["leak_median_error"] < 0.03
    assert 0.65 < found["leak_covered"] < 0.95
