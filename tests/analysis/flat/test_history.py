import math

import pytest

from analysis.flat.history import History, flat_prior, forecast_before_start

# Common practice, no source: clean 10 to 15 min, average 1 to 2 h, very wet up to 24 h.


def test_a_clean_circuit_takes_minutes() -> None:
    assert 10 * 60 <= math.exp(flat_prior(History(days_open=0)).log_mean) <= 15 * 60


def test_an_average_circuit_takes_an_hour_or_two() -> None:
    assert 3600 <= math.exp(flat_prior(History(days_open=1)).log_mean) <= 7200


def test_a_very_wet_circuit_takes_a_day_and_never_longer() -> None:
    wet = History(days_open=60, humidity_pct=95, oil="PAG", oil_ml=300, temperature_c=5)
    assert flat_prior(wet).log_mean == pytest.approx(math.log(24 * 3600))


@pytest.mark.parametrize(
    ("longer", "shorter"),
    [
        (History(days_open=5), History(days_open=2)),
        (History(days_open=5, humidity_pct=90), History(days_open=5, humidity_pct=30)),
        (History(days_open=5, oil="PAG"), History(days_open=5, oil="POE")),
        (History(days_open=5, oil_ml=250), History(days_open=5, oil_ml=100)),
        (History(days_open=5, temperature_c=10), History(days_open=5, temperature_c=30)),
        (History(days_open=5), History(days_open=5, renewed_drier=True)),
        (History(days_open=5, oil="PAG"), History(days_open=5, oil="PAG", renewed_oil=True)),
    ],
)
def test_wetter_takes_longer(longer: History, shorter: History) -> None:
    assert flat_prior(longer).log_mean > flat_prior(shorter).log_mean


def test_nothing_known_is_the_widest() -> None:
    assert flat_prior(None) == flat_prior(History())
    assert flat_prior(None).log_sd > flat_prior(History(days_open=3)).log_sd


def test_before_the_start_a_range_spans_common_practice() -> None:
    estimate = forecast_before_start()
    assert estimate.flat_low_s is not None
    assert estimate.flat_at_s is not None
    assert estimate.flat_high_s is not None
    assert 600 < estimate.flat_low_s < 3600 < estimate.flat_at_s < 7200 < estimate.flat_high_s
    assert estimate.flat_high_s < 24 * 3600
    assert estimate.flat_probability == 0.0
