"""Which lulls are shown, and how the way to the flat interval is kept in view."""

import math

import numpy as np
import pytest
from PySide6.QtGui import QFont, QImage, QPainter
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from analysis.snapshot import (
    FlatEstimate,
    Isolation,
)
from app.charts.frame import Frame
from app.charts.layer import Look
from app.charts.lull_chart import LullChart
from app.charts.lull_layers import LullLayer
from app.charts.palette import PALETTES
from tests.app.charts.filled import (
    NO_FLAT,
    burst,
    shown,
)


def test_lulls_leave_out_what_nobody_could_see(qtbot: QtBot) -> None:
    chart = shown(LullChart(), qtbot)
    for number, onset_s in enumerate((10.0, 20.0, 40.0, 400.0, 500.0)):
        chart.add_burst(burst(number, onset_s))
    chart.add_burst(burst(9, 505.0, "provisional"))
    chart.set_estimate(NO_FLAT, 530.0, 600.0)
    chart.add_isolation(Isolation(100.0, 250.0, 5.0, 0.03, True))
    chart.draw()
    time_s, lull_s = chart.shown_lulls
    assert time_s.tolist() == [20.0, 40.0, 500.0]
    assert lull_s == pytest.approx([10.0, 20.0, 100.0])
    assert chart.quiet_s == pytest.approx(30.0)
    chart.add_gap(510.0, 520.0)
    chart.draw()
    assert chart.quiet_s == pytest.approx(10.0)
    chart.add_gap(521.0, math.inf)  # the valve is closed for good: nothing is watched
    chart.draw()
    assert chart.quiet_s is None


def test_flat_interval_stays_in_view(qtbot: QtBot) -> None:
    chart = shown(LullChart(), qtbot)
    for interval_s in (60.0, 600.0, 7200.0):
        chart.set_estimate(NO_FLAT, 100.0, interval_s)
        chart.draw()
        low, high = chart.fit_range(*chart.view_range)
        assert low < math.log10(interval_s) < high


def test_a_far_crossing_does_not_squeeze_the_lulls(qtbot: QtBot) -> None:
    chart = shown(LullChart(), qtbot)
    chart.set_estimate(NO_FLAT, 0.0, 600.0)
    chart.set_estimate(FlatEstimate(9e4, 5e4, 9e5, None), 3600.0, 600.0)
    chart.refresh(3600.0)
    chart.draw()
    assert 2 * 3600.0 < chart.view_range[1] < 3 * 3600.0


def test_a_crossing_at_two_and_a_half_times_the_run_is_in_view(qtbot: QtBot) -> None:
    chart = shown(LullChart(), qtbot)
    chart.set_estimate(NO_FLAT, 0.0, 600.0)
    chart.set_estimate(FlatEstimate(9e3, 6e3, 3e4, None), 3600.0, 600.0)
    chart.refresh(3600.0)
    chart.draw()
    assert 9e3 < chart.view_range[1] < 1.2e4


@pytest.mark.parametrize(("best_s", "is_told"), [(1500.0, False), (2e4, True)])
def test_a_crossing_beyond_the_view_is_told_at_the_edge(
    best_s: float, is_told: bool, monkeypatch: pytest.MonkeyPatch, qtbot: QtBot
) -> None:
    chart = shown(LullChart(), qtbot)
    told: list[str] = []
    monkeypatch.setattr(
        "app.charts.layer.plate", lambda _painter, _look, text, *_rest, **_how: told.append(text)
    )
    chart.set_estimate(NO_FLAT, 0.0, 600.0)
    chart.set_estimate(FlatEstimate(best_s, 0.8 * best_s, 1.5 * best_s, None), 900.0, 600.0)
    chart.refresh(900.0)
    chart.paint_now()
    chart.grab()
    crossing = next(text for text in told if text.startswith("flat at"))
    assert crossing.endswith("\N{RIGHTWARDS ARROW}") == is_told


def test_a_lull_alone_in_its_slot_stays_a_dot(qapp: QApplication) -> None:
    """Late lulls are long and few: as bars of one they were dashes beside the trend."""
    layer = LullLayer()
    layer.time_s = np.array([*np.linspace(0.0, 120.0, 60), 300.0, 400.0])
    layer.log_lull = np.linspace(0.5, 2.5, 62)
    image = QImage(500, 100, QImage.Format.Format_RGB32)
    painter = QPainter(image)
    look = Look(PALETTES["light"], "micron", QFont())
    layer.paint(painter, Frame(500.0, 100.0, 0.0, 500.0, 0.0, 3.0), look)
    painter.end()
    *_, dots = look.drawn
    assert (0.5 * (dots[:, 0] + dots[:, 2])).tolist() == [301.0, 399.0]  # the middle of its slot
