"""The chart of the last minutes: which part of the trace its height serves."""

import numpy as np
import pytest
from pytestqt.qtbot import QtBot

from app.charts.recent_chart import RecentChart


def level_range(qtbot: QtBot, time_s: np.ndarray, pressure_pa: np.ndarray) -> tuple[float, float]:
    """Range of pressures, Pa, that the chart shows when the last of these readings is there."""
    chart = RecentChart()
    qtbot.addWidget(chart)
    chart.add_readings(time_s, pressure_pa)
    return chart.fit_range(*chart.follow_range(float(time_s[-1])))


@pytest.mark.parametrize("until_s", [60.0, 120.0, 280.0])
def test_the_fall_from_air_leaves_at_the_top(qtbot: QtBot, until_s: float) -> None:
    time_s = np.arange(0.0, until_s, 0.5)
    pressure_pa = 101325.0 * np.exp(-time_s / 8.0) + 200.0 * (1.0 + time_s / 20.0) ** -1.0
    low, high = level_range(qtbot, time_s, pressure_pa)
    newest_pa = pressure_pa[time_s > 0.75 * until_s]
    assert low <= pressure_pa.min()
    assert high < 0.1 * pressure_pa.max()
    assert newest_pa.max() <= high
    assert newest_pa.max() - newest_pa.min() > 0.1 * (high - low)


def test_bursts_of_minutes_ago_stay_in_view(qtbot: QtBot) -> None:
    time_s = np.arange(0.0, 300.0, 0.5)
    pressure_pa = 20.0 + 13.0 * np.exp(-(time_s - 60.0) / 12.0) * (time_s > 60.0)
    assert level_range(qtbot, time_s, pressure_pa)[1] >= pressure_pa.max()


def test_air_that_was_pumped_out_again_leaves_at_the_top(qtbot: QtBot) -> None:
    time_s = np.arange(0.0, 300.0, 0.5)
    pressure_pa = 20.0 + 60000.0 * np.exp(-(time_s - 60.0) / 8.0) * (time_s > 60.0)
    assert level_range(qtbot, time_s, pressure_pa)[1] < 100.0
    assert level_range(qtbot, time_s[:140], pressure_pa[:140])[1] >= pressure_pa[:140].max()
