"""The forecast on event series that others published: is there a trend, and how steep?

Sizes are all alike and everything is visible, so that only the times speak. A unit of the source
is made so many seconds that a series takes some hours, as a boil-off does.
"""

import numpy as np
import pytest
from numpy.typing import NDArray

from analysis.flat.decline import RATE_ORIGINS_S, fit_decline
from analysis.flat.forecast import FlatForecast
from analysis.flat.intensity import fit_exponential
from analysis.flat.tally import BurstTally
from tests.analysis.published import COAL, GEYSER, SUBMARINE

Array = NDArray[np.float64]
_SIZE_PA, _SMALLEST_PA = 10.0, 1e-3


def _told(onset_s: Array, until_s: float, flat_interval_s: float) -> FlatForecast:
    forecast = FlatForecast(flat_interval_s=flat_interval_s)
    index = 0
    for time_s in np.arange(0.0, until_s, 2.0).tolist():
        while index < onset_s.size and onset_s[index] <= time_s:
            forecast.add_burst(float(onset_s[index]), _SIZE_PA, _SMALLEST_PA)
            index += 1
        forecast.observe(time_s, _SMALLEST_PA, True)
    return forecast


def test_a_geyser_is_never_said_to_end() -> None:
    # R package MASS, geyser: 299 waits of 72 min on average, no trend (Laplace -0.131).
    onset_s = np.cumsum(GEYSER) * 1.0  # a minute a second
    until_s = float(onset_s[-1])
    forecast = _told(onset_s, until_s, flat_interval_s=600.0)
    why = forecast.estimate(until_s).why
    assert why is not None
    assert why.code == "no-trend"
    assert not forecast.has_trend
    assert not forecast.is_flat(until_s)


def test_an_engine_that_deteriorates_is_never_said_to_end() -> None:
    # Meeker and Escobar (1998), a submarine's engine: ever more repairs.
    onset_s = SUBMARINE * 200.0
    why = _told(onset_s, 5200.0, flat_interval_s=600.0).estimate(5200.0).why
    assert why is not None
    assert why.code == "no-trend"
    assert why.values["statistic"] > 2.0


def test_coal_mining_disasters_grow_rarer_as_fast_as_published() -> None:
    # R package boot, coal: slope -0.0183596 per year (computed with other code).
    onset_s = (COAL - 1851.0) * 100.0
    until_s = 11200.0
    tally = BurstTally()
    index = 0
    for time_s in np.arange(0.0, until_s, 1.0).tolist():
        while index < onset_s.size and onset_s[index] <= time_s:
            tally.add(float(onset_s[index]), _SIZE_PA, _SMALLEST_PA)
            index += 1
        tally.observe(time_s, _SMALLEST_PA, True)
    fit = fit_decline(tally.table(), until_s - onset_s[0], 1.0)
    assert RATE_ORIGINS_S[0] == np.inf
    slope_per_year = -fit.best[0, 1] / fit.end_s * 100.0
    assert slope_per_year == pytest.approx(-0.0183596, rel=0.03)


def test_the_range_holds_where_the_coal_series_itself_went() -> None:
    # Told up to 1900, ten years after the change to 0.9 a year (Raftery and Akman 1986 [memory]),
    # when will there be one in two years? The exponential law over the whole series says in 1964.
    whole = fit_exponential((COAL - 1851.0) * 100.0, 11200.0)
    truth_s = whole.crossing_s(1.0 / 200.0)
    assert 1851.0 + truth_s / 100.0 == pytest.approx(1964.5, abs=0.5)
    onset_s = (COAL[COAL < 1900.0] - 1851.0) * 100.0
    estimate = _told(onset_s, 4900.0, flat_interval_s=200.0).estimate(4900.0)
    assert estimate.flat_low_s is not None
    assert estimate.flat_high_s is not None
    assert estimate.flat_low_s < truth_s < estimate.flat_high_s
