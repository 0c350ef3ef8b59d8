"""Bursts hidden behind the one before: closed forms, and lulls drawn and hidden for real."""

import numpy as np
import pytest

from analysis.flat.dead_time import dispersion_of, hidden, hidden_behind
from analysis.flat.forecast import FlatForecast
from analysis.flat.tally import BurstTally

APART_S = 3.0


def _told(onset_s: np.ndarray, apart_s: float = APART_S) -> np.ndarray:
    """Give the bursts that are told, where those nearer to one told are lost."""
    told = [float(onset_s[0])]
    for time_s in onset_s[1:].tolist():
        if time_s - told[-1] >= apart_s:
            told.append(time_s)
    return np.array(told)


def test_renewal_functions_that_have_a_closed_form() -> None:
    x = np.array([0.05, 0.3, 0.8, 1.4])
    assert hidden(x, 1.0) == pytest.approx(x, rel=1e-3)
    # Gamma lulls of shape 2 (Cox 1962, section 4.3).
    assert hidden(x, 0.5) == pytest.approx(x - (1.0 - np.exp(-4.0 * x)) / 4.0, rel=1e-3)


def test_a_poisson_process_is_told_in_the_share_of_time_that_is_left() -> None:
    told = np.array([0.0, 0.1, 0.3, 0.5])
    assert hidden_behind(told, 1.0) == pytest.approx(told / (1.0 - told), abs=0.01)


@pytest.mark.parametrize("shape", [0.7, 1.0, 2.0, 4.0])
@pytest.mark.parametrize("lull_s", [12.0, 20.0, 100.0])
def test_rate_and_dispersion_of_all_bursts_come_back(shape: float, lull_s: float) -> None:
    rng = np.random.default_rng(5)
    onset_s = np.cumsum(rng.gamma(shape, lull_s / shape, 40000))
    lulls = np.diff(_told(onset_s))
    first, second = lulls[:-1], lulls[1:]
    off = 3.0 * (second - first) ** 2
    found = dispersion_of(
        float((off / (first + second) ** 2).mean()),
        float((off / (first + second - 2.0 * APART_S) ** 2).mean()),
        float((2.0 * APART_S / (first + second)).mean()),
    )
    assert found == pytest.approx(1.0 / shape, rel=0.25)
    told = np.array([APART_S / lulls.mean()])
    rate_per_s = float(1.0 + hidden_behind(told, found)[0]) / lulls.mean()
    assert rate_per_s == pytest.approx(1.0 / lull_s, rel=0.1)


def _fed(onset_s: np.ndarray, apart_s: float, until_s: float) -> FlatForecast:
    forecast, waiting = FlatForecast(), onset_s.tolist()
    for time_s in np.arange(0.0, until_s, 2.0).tolist():
        while waiting and waiting[0] + 5.0 <= time_s:
            forecast.add_burst(waiting.pop(0), 4.0, 1.0)
        forecast.observe(time_s, 1.0, True, apart_s)
    return forecast


def test_hidden_bursts_do_not_put_flat_off() -> None:
    """A rate that falls from one in 6 s, half way: as if every burst had been told."""
    flat_s, lull_s, off = 6000.0, 6.0, []
    for seed in range(12):
        rng = np.random.default_rng(seed)
        fall_s = flat_s / np.log(600.0 / lull_s)
        gone = np.cumsum(rng.exponential(size=2000)) * lull_s / fall_s
        onset_s = 30.0 - fall_s * np.log1p(-gone[gone < 1.0])
        told_s = _told(onset_s)
        whole, blind, allowed = (
            _fed(bursts_s, apart_s, 3000.0).estimate(3000.0).flat_at_s or 1.0
            for bursts_s, apart_s in ((onset_s, 0.0), (told_s, 0.0), (told_s, APART_S))
        )
        off.append([np.log(blind / whole), np.log(allowed / whole)])
    blind_off, allowed_off = np.median(off, axis=0)
    assert blind_off > 0.05
    assert abs(allowed_off) < 0.6 * blind_off


def test_a_burst_counts_where_its_time_does() -> None:
    tally = BurstTally()
    tally.add(0.0, 4.0, 1.0)
    for time_s in np.arange(0.0, 200.0).tolist():
        tally.observe(time_s, 1.0, not 50.0 <= time_s < 100.0, APART_S)
        if time_s in (40.0, 60.0, 90.0, 130.0):
            tally.add(time_s - 5.0, 4.0, 1.0)  # told five seconds late
    assert tally.bursts == 5
    assert tally.counted == 2
    assert tally.table().count.sum() == 2
