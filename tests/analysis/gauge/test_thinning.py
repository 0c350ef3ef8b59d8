import numpy as np
import pytest
from scipy import stats

from analysis.gauge.thinning import Bin, Thinner


def bins(times_s: list[float], values: list[float], width_s: float = 0.5) -> list[Bin]:
    thinner = Thinner(width_s=width_s)
    found = [thinner.update(t, v) for t, v in zip(times_s, values, strict=True)]
    return [one for one in [*found, thinner.close()] if one is not None]


def test_a_bin_is_scipy_s_trimmed_mean() -> None:
    rng = np.random.default_rng(1)
    times_s = np.arange(400) / 16.0  # exact in binary: eight to a bin
    values = rng.normal(50.0, 1.0, 400)
    found = bins(times_s.tolist(), values.tolist())
    assert len(found) == 50
    for i, one in enumerate(found):
        part = values[8 * i : 8 * i + 8]
        assert one.readings == 8
        assert one.pressure_pa == pytest.approx(stats.trim_mean(part, 1 / 8))
        assert one.time_s == pytest.approx(times_s[8 * i : 8 * i + 8].mean())


def test_a_slow_trace_passes_as_it_is() -> None:
    found = bins([0.0, 1.1, 2.0, 3.4], [1.0, 2.0, 3.0, 4.0])
    assert [(one.time_s, one.pressure_pa) for one in found] == [
        (0.0, 1.0),
        (1.1, 2.0),
        (2.0, 3.0),
        (3.4, 4.0),
    ]


def test_a_single_glitch_leaves_no_trace() -> None:
    values = [10.0] * 16
    values[5] = 5000.0
    assert {one.pressure_pa for one in bins([i / 16.0 for i in range(16)], values)} == {10.0}


def test_equal_times_share_a_bin() -> None:
    assert bins([0.0, 0.0, 0.0, 2.0], [1.0, 2.0, 3.0, 4.0])[0].readings == 3


def test_bins_stay_anchored_over_a_gap() -> None:
    times_s = [0.0, 0.25, 100.1, 100.4, 100.6]
    assert [one.readings for one in bins(times_s, [1.0] * 5)] == [2, 2, 1]


@pytest.mark.parametrize("width_s", [0.0, -1.0, float("nan")])
def test_refuses_a_width_that_is_none(width_s: float) -> None:
    with pytest.raises(ValueError, match="width_s"):
        Thinner(width_s=width_s)
