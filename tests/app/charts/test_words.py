"""Words on a chart keep off each other, and off what is drawn."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from PySide6.QtCore import QRectF
from PySide6.QtGui import QFontMetricsF, QImage, QPainter
from pytestqt.qtbot import QtBot

from analysis.snapshot import FlatEstimate, HoldCurve, HoldResult, LimitCheck, LullPoint
from app.charts.chart import Chart
from app.charts.hold_chart import HoldChart
from app.charts.hold_layer import ExplanationLayer
from app.charts.lull_chart import LullChart
from app.charts.lull_layers import spread_of_slots
from app.charts.recent_chart import RecentChart
from app.charts.run_chart import RunChart
from tests.app.charts.filled import NO_FLAT, burst, shown
from tests.app.window.stretched import long_words


@pytest.mark.parametrize("width", [400, 900])
def test_no_word_covers_another(qtbot: QtBot, width: int) -> None:
    chart = shown(RunChart(), qtbot)
    chart.resize(width, 180)
    chart.paint_now()
    assert _collisions(chart) == []
    chart.add_readings(np.arange(0.0, 900.0), np.full(900, 700.0))
    for at_s, label in ((0.0, "valve closed"), (20.0, "pump off"), (890.0, "heat")):
        chart.add_mark(at_s, "note", label)
    chart.set_levels(2333.0)
    chart.refresh(900.0)
    chart.paint_now()
    assert len(chart._canvas.look.taken) >= 3  # the axis' unit and the two levels
    assert _collisions(chart) == []


@pytest.mark.parametrize("unit", ["micron", "mbar"])
def test_a_small_chart_says_that_it_is_empty_beside_its_unit(qtbot: QtBot, unit: str) -> None:
    chart = shown(RecentChart(), qtbot)
    chart.set_unit(unit)
    chart.resize(224, 130)  # as in a window of 1024 x 600
    chart.paint_now()
    assert len(chart._canvas.look.taken) == 2
    assert _collisions(chart) == []


def test_no_word_stands_on_a_line_or_on_the_trace(qtbot: QtBot) -> None:
    chart = shown(RunChart(), qtbot)
    chart.resize(500, 220)
    time_s = np.arange(0.0, 6000.0)
    chart.add_readings(time_s, 20.0 + 1e5 * np.exp(-time_s / 30.0))
    chart.add_mark(5000.0, "valve-closed", "isolating valve closed")
    for number in range(40):
        chart.add_burst(burst(number, 100.0 * number))
    chart.set_levels(2333.0)
    chart.refresh(6000.0)
    assert _struck(chart) == []
    assert len(chart._canvas.look.taken) == 4


def test_the_names_of_limits_keep_off_a_rise_that_crosses_them(qtbot: QtBot) -> None:
    chart = shown(HoldChart(), qtbot)
    chart.begin(0.0)
    for at_s in np.arange(0.0, 900.0, 0.5).tolist():
        chart.add_reading(at_s, 17.0 + 0.13 * at_s)
    curves = (HoldCurve("leak", (60.0, 900.0), (24.8, 134.0)),)
    limits = (
        LimitCheck("rise", 13.3, 117.0, False, "practice"),
        LimitCheck("highest", 66.7, 134.0, False, "practice"),
    )
    leak = HoldResult("leak", 900.0, 117.0, None, None, None, None, limits, (), curves)
    chart.set_result(leak)
    chart.refresh(900.0)
    for width, height in ((900, 360), (500, 200)):
        chart.resize(width, height)
        assert _struck(chart) == []
        assert _collisions(chart) == []
        assert len(chart._canvas.look.taken) == 4  # the unit, two limits, the explanation


@pytest.mark.parametrize("width", [500, 900])
def test_a_long_quiet_is_told_beside_the_crossing(qtbot: QtBot, width: int) -> None:
    """As at the moment of flat: quiet for nearly the flat interval, the crossing just passed."""
    chart = shown(LullChart(), qtbot)
    chart.resize(width, 200)
    for number in range(60):
        chart.add_burst(burst(number, 1.2 * number**2))
    flat = FlatEstimate(4300.0, 4000.0, 4700.0, None)
    chart.set_estimate(flat, 4750.0, 600.0)
    chart.refresh(4750.0)
    assert _struck(chart) == []
    assert _collisions(chart) == []


def test_a_level_has_a_short_name_where_there_is_no_room(qtbot: QtBot) -> None:
    chart = shown(RunChart(), qtbot)
    chart.set_levels(2333.0)
    widths = []
    for width in (900, 300):
        chart.resize(width, 180)
        chart.grab()
        widths.append(max(word.width() for word in chart._canvas.look.taken))
        assert widths[-1] < chart._canvas.frame.width
    assert widths[1] < 0.7 * widths[0]


def test_the_running_lull_gives_way_to_the_flat_line(qtbot: QtBot) -> None:
    chart = shown(LullChart(), qtbot)
    chart.add_burst(burst(0, 10.0))
    chart.set_estimate(NO_FLAT, 560.0, 600.0)
    chart.refresh(560.0)
    chart.paint_now()
    assert len(chart._canvas.look.taken) == 2
    assert _collisions(chart) == []


@pytest.mark.parametrize("quiet_s", [60.0, 400.0, 720.0])
def test_the_time_of_flat_covers_nothing_on_a_low_screen(qtbot: QtBot, quiet_s: float) -> None:
    """As at 1024 x 600, where the lulls, the trend and the crossing lie close together."""
    with long_words():
        chart = shown(LullChart(), qtbot)
        chart.resize(586, 128)
        onsets_s = np.cumsum(np.geomspace(15.0, 400.0, 24)).tolist()
        for number, onset_s in enumerate(onsets_s):
            chart.add_burst(burst(number, onset_s))
        at_s = np.linspace(0.0, 6000.0, 30)
        fitted_s = 15.0 * np.exp(at_s / 1150.0)
        curve = tuple(map(LullPoint, at_s, fitted_s / 1.3, fitted_s, fitted_s * 1.3))
        flat = FlatEstimate(4240.0, 3900.0, 4700.0, None, curve=curve)
        now_s = onsets_s[-1] + quiet_s
        chart.set_estimate(flat, now_s, 600.0)
        chart.refresh(now_s)
    assert _struck(chart) == []
    assert _collisions(chart) == []
    words, frame = chart._canvas.look.taken, chart._canvas.frame
    assert len(words) >= 2  # the time of flat and the quiet are always told
    along_s = np.linspace(0.0, min(6000.0, frame.right), 200)
    line_s = np.exp(np.interp(along_s, at_s, np.log(fitted_s)))
    line = zip(frame.x_px(along_s), frame.y_px(np.log10(line_s)), strict=True)
    assert not [x for x, y in line if any(word.contains(x, y) for word in words)]


def test_a_holds_explanations_are_whole_or_end_in_an_ellipsis(
    qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    drawn: list[tuple[float, str]] = []

    class Painter(QPainter):
        def drawText(self, *args: Any) -> None:  # type: ignore[override]  # noqa: N802
            drawn.append((args[0].x(), args[1]))

    curves = (
        HoldCurve("steady", (60.0, 900.0), (24.8, 25.0)),
        HoldCurve("vapour", (60.0, 900.0), (24.8, 26.0)),
    )
    with long_words():
        chart = shown(HoldChart(), qtbot)
        chart.resize(586, 128)
        chart.begin(0.0)
        for at_s in np.arange(0.0, 900.0, 5.0).tolist():
            chart.add_reading(at_s, 24.0)
        chart.set_result(HoldResult("held", 900.0, 1.0, None, None, None, None, (), (), curves))
        chart.refresh(900.0)
        chart.grab()
    frame, look = chart._canvas.frame, chart._canvas.look
    layer = next(each for each in chart._canvas.layers if isinstance(each, ExplanationLayer))
    page = QImage(600, 200, QImage.Format.Format_RGB32)
    layer.paint(Painter(page), frame, look)
    assert len(drawn) == 2
    for at, text in drawn:
        assert at + QFontMetricsF(look.font).horizontalAdvance(text) <= frame.width
    assert any(text.endswith("…") for _, text in drawn)


def test_nothing_of_a_time_stays_when_it_goes(qtbot: QtBot) -> None:
    """A text under the left end stands out beyond it: Qt has to know, to wipe it off."""
    axis = shown(LullChart(), qtbot).x_axis
    half_px = 0.5 * QFontMetricsF(axis._font).horizontalAdvance("00:00:00")
    painted: QRectF = axis.boundingRect()  # type: ignore[no-untyped-call]
    assert painted.left() <= -half_px


def _collisions(chart: Chart) -> list[tuple[QRectF, QRectF]]:
    chart.grab()
    taken = chart._canvas.look.taken
    return [(a, b) for i, a in enumerate(taken) for b in taken[:i] if a.intersects(b)]


def _struck(chart: Chart) -> list[QRectF]:
    """Give the words that something is drawn through."""
    chart.grab()
    look = chart._canvas.look
    shapes = replace(look, taken=[])
    return [word for word in look.taken if not shapes.is_free(word)]


def test_a_closed_valve_is_not_asked_for_again(qtbot: QtBot) -> None:
    chart = shown(HoldChart(), qtbot)
    asks = chart._empty.text
    chart.begin(100.0)
    assert chart._empty.text != asks
    chart.clear()
    assert chart._empty.text == asks


def test_the_stroke_is_named_what_it_is(qtbot: QtBot) -> None:
    _, [(low, middle, high)] = spread_of_slots(np.arange(5.0), np.array([1, 2, 3, 50, 99.0]), 10.0)
    assert (low, middle, high) == (1.0, 3.0, 99.0)  # their median, where the mean is 31
    assert "median" in shown(LullChart(), qtbot)._lulls.caption
