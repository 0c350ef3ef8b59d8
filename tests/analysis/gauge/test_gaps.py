import numpy as np
import pytest

from analysis.gauge.gaps import GapFinder


def gaps_of(times: list[float]) -> list[tuple[float, float]]:
    finder = GapFinder()
    return [gap for time_s in times if (gap := finder.update(time_s)) is not None]


@pytest.mark.parametrize("rate_hz", [0.5, 1.0, 5.0, 20.0])
def test_finds_the_one_gap_whatever_the_rate(rate_hz: float) -> None:
    before = np.arange(0, 60, 1 / rate_hz)
    after = before + before[-1] + 30.0
    assert gaps_of([*before, *after]) == [(before[-1], after[0])]


@pytest.mark.parametrize("seed", range(5))
def test_jitter_is_no_gap(seed: int) -> None:
    rng = np.random.default_rng(seed)
    times = np.cumsum(rng.gamma(4.0, 1 / 4.0, size=3000) + 0.2)
    assert gaps_of(times.tolist()) == []


def test_equal_times_are_no_gap_and_do_no_harm() -> None:
    assert gaps_of([0.0, 0.0, 0.0, 1.0, 1.0, 2.0, 3.0, 4.0]) == []


def test_a_slower_gauge_becomes_usual() -> None:
    fast = np.arange(0, 30, 0.1)
    slow = fast[-1] + np.arange(1, 60) * 1.5
    found = gaps_of([*fast, *slow])
    assert len(found) <= 1


def test_a_pace_of_seconds_becomes_usual_too() -> None:
    fast = np.arange(0, 30, 0.3)
    slow = fast[-1] + np.arange(1, 200) * 4.0
    assert len(gaps_of([*fast, *slow])) <= 31


def test_readings_in_packets_have_no_gaps() -> None:
    packets = (4.0 * np.arange(300)[:, None] + 0.002 * np.arange(12)).ravel()
    assert len(gaps_of(packets.tolist())) <= 3


def test_gaps_are_found_between_packets() -> None:
    packets = (1.0 * np.arange(60)[:, None] + 0.002 * np.arange(12)).ravel()
    assert gaps_of([*packets, *(packets + 90.0)]) == [(packets[-1], 90.0)]


def test_usual_spacing_is_unknown_at_first() -> None:
    finder = GapFinder()
    assert finder.usual_s is None
    finder.update(0.0)
    assert finder.usual_s is None
    finder.update(0.25)
    assert finder.usual_s == 0.25
