"""The four charts as widgets: following, keys, hiding, and that what they are given is seen."""

from collections.abc import Callable

import numpy as np
import pytest
from pytestqt.qtbot import QtBot

from app.charts.chart import Chart
from app.charts.palette import PALETTES
from app.charts.recent_chart import RecentChart
from app.charts.run_chart import RunChart
from tests.app.charts.filled import KINDS, burst, fill, has, image_of, shown


@pytest.mark.parametrize("make", KINDS)
@pytest.mark.parametrize("bursts", [0, 5, 5000])
def test_draws_empty_few_and_many(make: Callable[[], Chart], bursts: int, qtbot: QtBot) -> None:
    chart = shown(make(), qtbot)
    empty = image_of(chart)
    fill(chart, bursts)
    chart.refresh(3600.0)
    filled = image_of(chart)
    assert filled != empty
    chart.set_palette(PALETTES["dark"])
    assert image_of(chart).pixelColor(8, 8).name() == PALETTES["dark"].surface
    chart.set_unit("mbar")
    assert image_of(chart) != filled
    assert chart.accessibleName()
    assert chart.accessibleDescription()


@pytest.mark.parametrize("make", KINDS)
def test_clear_leaves_an_empty_chart(make: Callable[[], Chart], qtbot: QtBot) -> None:
    chart, fresh = shown(make(), qtbot), shown(make(), qtbot)
    fill(chart, 20)
    chart.refresh(3600.0)
    chart.clear()
    assert image_of(chart) == image_of(fresh)


def test_colours_of_the_run_are_seen(qtbot: QtBot) -> None:
    chart = shown(RunChart(), qtbot)
    palette = PALETTES["light"]
    assert not has(image_of(chart), palette.trace)
    fill(chart, 5)
    chart.refresh(3600.0)
    image = image_of(chart)
    for role in ("trace", "burst", "boiling", "freezing", "gap", "grid", "mark"):
        assert has(image, getattr(palette, role)), role


def test_a_retracted_burst_is_gone(qtbot: QtBot) -> None:
    chart = shown(RecentChart(), qtbot)
    chart.add_readings(np.arange(0.0, 100.0), np.full(100, 50.0))
    chart.refresh(100.0)
    without = image_of(chart)
    chart.add_burst(burst(0, 50.0, "provisional"))
    provisional = image_of(chart)
    chart.add_burst(burst(0, 50.0))
    confirmed = image_of(chart)
    assert without != provisional != confirmed  # hollow, then filled: not by colour alone
    chart.add_burst(burst(0, 50.0, "retracted"))
    assert image_of(chart) == without


def test_a_hidden_chart_does_not_draw_and_catches_up_when_shown(qtbot: QtBot) -> None:
    chart = RunChart()
    shown(chart, qtbot)
    chart.hide()
    before = chart.frames_painted
    fill(chart, 5)
    for now_s in range(3600):
        chart.refresh(float(now_s))
    assert chart.frames_painted == before
    assert chart.view_range[1] < 3600.0
    chart.show()
    qtbot.waitUntil(lambda: chart.frames_painted > before)
    assert chart.view_range[1] >= 3599.0


def test_the_whole_run_is_redrawn_once_a_second_however_often_asked(qtbot: QtBot) -> None:
    moments_s = iter(i / 30.0 for i in range(1000))
    chart = RunChart(clock=lambda: next(moments_s))
    draws: list[float] = []
    chart.draw = lambda: draws.append(0.0)  # type: ignore[method-assign]
    qtbot.addWidget(chart)
    chart.show()
    draws.clear()
    for tick in range(300):
        chart.refresh(tick / 30.0)
    assert len(draws) in (10, 11)


def test_zero_pressure_has_a_place_on_the_log_axis(qtbot: QtBot) -> None:
    chart = shown(RunChart(), qtbot)
    chart.add_readings(np.array([0.0, 1.0]), np.array([0.0, 100.0]))
    chart.refresh(1.0)
    assert has(image_of(chart), PALETTES["light"].trace)


@pytest.mark.parametrize("make", [RunChart, RecentChart])
def test_readings_one_by_one_look_as_all_at_once(
    make: Callable[[], RunChart | RecentChart], qtbot: QtBot
) -> None:
    slow, fast = shown(make(), qtbot), shown(make(), qtbot)
    time_s = np.arange(0.0, 900.0, 0.5)
    pressure_pa = 0.01 + 1e6 * np.exp(-time_s / 30.0)
    fast.add_readings(time_s, pressure_pa)
    for reading in zip(time_s[:, None], pressure_pa[:, None], strict=True):
        slow.add_readings(*reading)
    for chart in (slow, fast):
        chart.refresh(900.0)
    assert image_of(slow) == image_of(fast)
