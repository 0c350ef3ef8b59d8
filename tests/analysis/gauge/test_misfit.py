import numpy as np

from analysis.gauge.misfit import Misfit


def learned(offs: np.ndarray) -> Misfit:
    misfit = Misfit()
    for off in offs.tolist():
        misfit.update(off)
    return misfit


def test_white_deviations_leave_it_as_it_is() -> None:
    misfit = learned(np.random.default_rng(0).normal(0.0, 1.0, 4000))
    assert misfit.excess < 1.6
    assert misfit.stray < 0.02


def test_larger_ones_are_more_noise() -> None:
    assert learned(np.random.default_rng(0).normal(0.0, 2.0, 400)).excess > 4.0


def test_deviations_to_one_side_are_a_wandering_base() -> None:
    rng = np.random.default_rng(0)
    slow = np.repeat(rng.normal(0.0, 1.0, 100), 10)
    assert learned(slow).stray > 0.1


def test_stays_bounded_whatever_comes() -> None:
    misfit = learned(np.random.default_rng(0).normal(0.0, 1e6, 5000))
    assert 1.0 <= misfit.excess <= 30.0
    assert 1e-4 <= misfit.stray <= 0.3


def test_bursts_that_were_not_recognised_are_no_wander() -> None:
    offs = np.random.default_rng(0).normal(0.0, 1.0, 1200)
    for first in range(10, 1190, 30):
        offs[first : first + 4] += (4.0, 5.0, 3.0, 1.5)
    misfit = learned(offs)
    assert misfit.stray < 0.1
    assert misfit.excess < 1.6


def test_smaller_ones_are_less_noise_where_that_may_be_and_no_forecast_is_to_blame() -> None:
    def settled(spread: float, least: float, forecast: float) -> float:
        misfit, told = Misfit(), []
        for raw in np.random.default_rng(0).normal(0.0, spread, 4000).tolist():
            misfit.update(raw / (forecast * misfit.excess) ** 0.5, 0.0, least, forecast)
            told.append(misfit.excess)
        return float(np.median(told))

    assert settled(0.5, 1.0, 1.0) == 1.0
    assert 0.2 < settled(0.5, 0.1, 1.0) < 0.3
    # The forecast is held to be as uncertain as three such samples, and is not.
    assert settled(1.0, 0.1, 4.0) > 0.85
    assert settled(0.5, 0.1, 4.0) < 0.3


def test_what_samples_lie_off_by_stays_when_more_is_expected() -> None:
    misfit = learned(np.random.default_rng(0).normal(0.0, 2.0, 400))
    excess = misfit.excess
    misfit.expect(2.0)
    assert misfit.excess == excess / 2.0
    misfit.expect(0.5)
    assert misfit.excess == excess
    misfit.expect(100.0)
    assert misfit.excess == 1.0
