"""A chart follows the newest moment until the user looks elsewhere."""

import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from app.charts.recent_chart import RecentChart
from app.charts.run_chart import RunChart
from tests.app.charts.filled import fill, shown


def test_follows_in_steps_until_moved_and_again_on_f(qtbot: QtBot) -> None:
    chart = RecentChart(window_s=100.0, clock=lambda: next(ticks))
    ticks = iter(range(1000))
    shown(chart, qtbot)
    ends = []
    for now_s in range(0, 200, 2):
        chart.add_readings(np.array([now_s]), np.array([50.0]))
        chart.refresh(float(now_s))
        ends.append(chart.view_range[1])
    assert sorted(set(ends)) == pytest.approx(list(range(100, 201, 10)))
    assert chart.is_following
    QTest.keyClick(chart, Qt.Key.Key_Left)
    assert not chart.is_following
    assert chart.view_range == pytest.approx((80.0, 180.0))
    chart.refresh(300.0)
    assert chart.view_range == pytest.approx((80.0, 180.0))
    QTest.keyClick(chart, Qt.Key.Key_F)
    assert chart.is_following
    assert chart.view_range == pytest.approx((200.0, 300.0))


def test_zooms_about_the_newest_moment_and_not_beyond_seconds(qtbot: QtBot) -> None:
    chart = shown(RunChart(), qtbot)
    fill(chart, 5)
    chart.refresh(3600.0)
    chart.draw()
    before = chart.view_range
    QTest.keyClick(chart, Qt.Key.Key_Plus)
    left, right = chart.view_range
    assert right - left == pytest.approx((before[1] - before[0]) / 1.5)
    assert left < 3600.0 < right
    QTest.keyClick(chart, Qt.Key.Key_Minus)
    assert chart.view_range[1] - chart.view_range[0] == pytest.approx(before[1] - before[0])
    for _ in range(40):
        QTest.keyClick(chart, Qt.Key.Key_Plus)
    assert chart.view_range[1] - chart.view_range[0] >= 2.0


def test_moving_by_hand_pauses_and_the_button_follows_again(qtbot: QtBot) -> None:
    chart = shown(RunChart(), qtbot)
    fill(chart, 5)
    chart.refresh(3600.0)
    box = chart.view_box
    box.scaleBy(x=0.5)
    box.sigRangeChangedManually.emit(box.state["mouseEnabled"])
    assert not chart.is_following
    assert chart.follow_button.isVisible()
    QTest.mouseClick(chart.follow_button, Qt.MouseButton.LeftButton)
    assert chart.is_following
    assert not chart.follow_button.isVisible()
