"""The scoring counts as it says, on truths small enough to count by hand."""

from dataclasses import replace

import numpy as np
import pytest

from tests.bench.flat_score import Answer, exponential_fit, score_flat
from tests.bench.score import score_bursts, total
from tests.bench.traces import Trace, TrueBurst, make_trace


def _trace(*bursts: tuple[float, bool], gaps: tuple[tuple[float, float], ...] = ()) -> Trace:
    made = make_trace("clean", 0)
    return replace(
        made,
        time_s=np.arange(0.0, 3600.0, 0.5),
        bursts=tuple(TrueBurst(at_s, at_s + 1, 10.0, 10.0, 0.1, seen) for at_s, seen in bursts),
        gaps=gaps,
        dead_times=(),
    )


def test_found_missed_and_wrong() -> None:
    trace = _trace((100, True), (500, True), (900, True))
    score = score_bursts(trace, [101.0, 502.9, 1500.0], [11.0, 9.0, 1.0], [110.0, 512.0, 1510.0])
    assert (score.tp, score.fp, score.fn) == (2, 1, 1)
    assert score.f1 == pytest.approx(4 / 6)
    assert score.onset_errors_s == pytest.approx((1.0, 2.9))
    assert score.rise_ratios == pytest.approx((1.1, 0.9))
    assert score.delays_s == pytest.approx((10.0, 12.0))
    assert score.burst_free_fp == 1


def test_close_bursts_count_as_one_and_more_inside_count_neither_way() -> None:
    trace = _trace((100, True), (102, True))
    assert score_bursts(trace, [100.5]).f1 == 1
    score = score_bursts(trace, [100.0, 102.0])
    assert (score.tp, score.fp, score.fn) == (1, 0, 0)


def test_invisible_bursts_count_neither_way() -> None:
    trace = _trace((100, False), (900, True))
    score = score_bursts(trace, [100.0])
    assert (score.tp, score.fp, score.fn) == (0, 0, 1)


def test_burst_in_a_gap_may_be_seen_at_its_end() -> None:
    trace = _trace((150, False), gaps=((100.0, 200.0),))
    assert score_bursts(trace, [200.5]).fp == 0
    assert score_bursts(trace, [240.0]).fp == 1


def test_burst_cut_off_by_the_end_is_not_asked_for() -> None:
    trace = _trace((3595, True))
    assert score_bursts(trace, []).fn == 0
    assert score_bursts(trace, [3595.0]).tp == 1


def test_one_found_burst_cannot_stand_for_two() -> None:
    trace = _trace((100, True), (104, True))
    score = score_bursts(trace, [102.0])
    assert (score.tp, score.fn) == (1, 1)
    both = total([score, score])
    assert (both.tp, both.fn) == (2, 2)


def test_flat_scores() -> None:
    answers = [
        Answer("x", 0, 0.5, 1000.0, (900.0, 1000.0, 1100.0)),
        Answer("x", 1, 0.5, 1000.0, (1100.0, 2000.0, 4000.0)),
        Answer("x", 2, 0.5, 1000.0, None),
    ]
    score = score_flat(answers)
    assert score.answered == pytest.approx(2 / 3)
    assert score.coverage == 0.5
    assert score.median_error == pytest.approx(np.log(2) / 2)
    width = np.log(11 / 9) + np.log(4000 / 1100) + 10 * np.log(1.1)
    assert score.interval_score == pytest.approx(width / 2)


def test_exponential_fit_finds_the_law_it_is_given() -> None:
    # Onsets at equal steps of the integrated rate (1/10) exp(-t/1000): flat at 1000 ln 60 = 4094 s.
    onset_s = -1000 * np.log1p(-np.arange(0.5, 95) / 100)
    trace = _trace(*((float(t), True) for t in onset_s))
    fit = exponential_fit(trace, float(onset_s[-1]))
    assert fit is not None
    low_s, best_s, high_s = fit
    assert best_s == pytest.approx(4094, rel=0.05)
    assert low_s < 4094 < high_s


def test_exponential_fit_says_nothing_without_a_trend() -> None:
    trace = _trace(*((100.0 * k, True) for k in range(1, 12)))
    assert exponential_fit(trace, 1100.0) is None
