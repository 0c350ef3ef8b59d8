"""The four charts as widgets: following, keys, hiding, and that what they are given is seen."""

import math
from collections.abc import Callable
from typing import TypeVar

import numpy as np
import pytest
from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QColor, QImage, QPainter
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from analysis.reason import Reason
from analysis.snapshot import (
    Burst,
    FlatEstimate,
    HoldCurve,
    HoldResult,
    Isolation,
    LimitCheck,
    LullPoint,
)
from app.charts.chart import Chart
from app.charts.frame import Frame
from app.charts.gap_layer import GapLayer
from app.charts.hold_chart import HoldChart
from app.charts.lull_chart import LullChart
from app.charts.palette import PALETTES
from app.charts.recent_chart import RecentChart
from app.charts.run_chart import RunChart

_KINDS: list[Callable[[], Chart]] = [RunChart, RecentChart, LullChart, HoldChart]
AnyChart = TypeVar("AnyChart", bound=Chart)
_GREY = QImage.Format.Format_Grayscale8
_NO_FLAT = FlatEstimate(None, None, None, Reason("no-trend"))


def _shown(chart: AnyChart, qtbot: QtBot) -> AnyChart:
    qtbot.addWidget(chart)
    chart.resize(900, 360)
    with qtbot.waitExposed(chart):
        chart.show()
    chart.paint_now()
    return chart


def _burst(number: int, onset_s: float, state: str = "confirmed") -> Burst:
    return Burst(number, onset_s, onset_s + 1.0, 5.0, 20.0, 90.0, onset_s + 9.0, state)  # type: ignore[arg-type]


def _fill(chart: Chart, bursts: int) -> None:
    """Give a chart all that it takes."""
    time_s = np.arange(0.0, 3600.0, 0.5)
    pressure_pa = 40.0 + 1e5 * np.exp(-time_s / 60.0)
    for number, onset_s in enumerate(np.linspace(100.0, 3500.0, bursts).tolist()):
        if isinstance(chart, RunChart | RecentChart | LullChart):
            chart.add_burst(_burst(number, onset_s))
    if isinstance(chart, RunChart | RecentChart):
        chart.add_readings(time_s, pressure_pa)
        chart.add_gap(1000.0, 1200.0)
        chart.add_mark(3590.0, "heat", "heat")
    if isinstance(chart, RunChart):
        chart.set_levels(2339.32)
        chart.add_stage(0.0, "boiling-off", "Boiling off")
    if isinstance(chart, LullChart):
        curve = tuple(LullPoint(t, 20.0 + t, 30.0 + t, 60.0 + t) for t in (100.0, 2000.0, 4000.0))
        chart.set_estimate(FlatEstimate(3900.0, 3700.0, 4300.0, None, curve=curve), 3600.0, 600.0)
        chart.add_isolation(Isolation(1500.0, 1700.0, 5.0, 0.025, True))
    if isinstance(chart, HoldChart):
        chart.begin(0.0)
        for at_s in time_s.tolist():
            chart.add_reading(at_s, 40.0 + 0.01 * at_s)
        times = (60.0, 3600.0)
        curves = (HoldCurve("steady", times, (50.0, 50.0)), HoldCurve("leak", times, (41.0, 76.0)))
        limits = (LimitCheck("rise", 13.0, 35.0, False, "practice"),)
        chart.set_result(
            HoldResult("leak", 3600.0, 35.0, None, None, None, None, limits, (), curves)
        )


def _image(chart: Chart) -> QImage:
    chart.paint_now()
    return chart.grab().toImage()


def _has(image: QImage, colour: str) -> bool:
    wanted = QColor(colour).rgb()
    width, height = image.width(), image.height()
    return any(image.pixel(x, y) == wanted for x in range(width) for y in range(height))


def _share_of(chart: Chart, role: str) -> float:
    """Give the share of the picture that has a role's colour."""
    image = _image(chart).convertToFormat(QImage.Format.Format_RGB32)
    pixels = np.frombuffer(image.constBits(), np.uint32)
    return float(np.mean(pixels == QColor(getattr(PALETTES["light"], role)).rgb()))


@pytest.mark.parametrize("make", _KINDS)
@pytest.mark.parametrize("bursts", [0, 5, 5000])
def test_draws_empty_few_and_many(make: Callable[[], Chart], bursts: int, qtbot: QtBot) -> None:
    chart = _shown(make(), qtbot)
    empty = _image(chart)
    _fill(chart, bursts)
    chart.refresh(3600.0)
    filled = _image(chart)
    assert filled != empty
    chart.set_palette(PALETTES["dark"])
    assert _image(chart).pixelColor(8, 8).name() == PALETTES["dark"].surface
    chart.set_unit("mbar")
    assert _image(chart) != filled
    assert chart.accessibleName()
    assert chart.accessibleDescription()


@pytest.mark.parametrize("make", _KINDS)
def test_clear_leaves_an_empty_chart(make: Callable[[], Chart], qtbot: QtBot) -> None:
    chart, fresh = _shown(make(), qtbot), _shown(make(), qtbot)
    _fill(chart, 20)
    chart.refresh(3600.0)
    chart.clear()
    assert _image(chart) == _image(fresh)


def test_colours_of_the_run_are_seen(qtbot: QtBot) -> None:
    chart = _shown(RunChart(), qtbot)
    palette = PALETTES["light"]
    assert not _has(_image(chart), palette.trace)
    _fill(chart, 5)
    chart.refresh(3600.0)
    image = _image(chart)
    for role in ("trace", "burst", "boiling", "freezing", "gap", "grid", "mark"):
        assert _has(image, getattr(palette, role)), role


def test_a_retracted_burst_is_gone(qtbot: QtBot) -> None:
    chart = _shown(RecentChart(), qtbot)
    chart.add_readings(np.arange(0.0, 100.0), np.full(100, 50.0))
    chart.refresh(100.0)
    without = _image(chart)
    chart.add_burst(_burst(0, 50.0, "provisional"))
    provisional = _image(chart)
    chart.add_burst(_burst(0, 50.0))
    confirmed = _image(chart)
    assert without != provisional != confirmed  # hollow, then filled: not by colour alone
    chart.add_burst(_burst(0, 50.0, "retracted"))
    assert _image(chart) == without


def test_follows_in_steps_until_moved_and_again_on_f(qtbot: QtBot) -> None:
    chart = RecentChart(window_s=100.0, clock=lambda: next(ticks))
    ticks = iter(range(1000))
    _shown(chart, qtbot)
    changes: list[bool] = []
    chart.follow_changed.connect(changes.append)
    ends = []
    for now_s in range(0, 200, 2):
        chart.add_reading(float(now_s), 50.0)
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
    assert changes == [False, True]


def test_zooms_about_the_newest_moment_and_not_beyond_seconds(qtbot: QtBot) -> None:
    chart = _shown(RunChart(), qtbot)
    _fill(chart, 5)
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
    chart = _shown(RunChart(), qtbot)
    _fill(chart, 5)
    chart.refresh(3600.0)
    box = chart.view_box
    box.scaleBy(x=0.5)
    box.sigRangeChangedManually.emit(box.state["mouseEnabled"])
    assert not chart.is_following
    assert chart.follow_button.isVisible()
    QTest.mouseClick(chart.follow_button, Qt.MouseButton.LeftButton)
    assert chart.is_following
    assert not chart.follow_button.isVisible()


def test_a_hidden_chart_does_not_draw_and_catches_up_when_shown(qtbot: QtBot) -> None:
    chart = RunChart()
    _shown(chart, qtbot)
    chart.hide()
    before = chart.frames_painted
    _fill(chart, 5)
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


def test_lulls_leave_out_what_nobody_could_see(qtbot: QtBot) -> None:
    chart = _shown(LullChart(), qtbot)
    for number, onset_s in enumerate((10.0, 20.0, 40.0, 400.0, 500.0)):
        chart.add_burst(_burst(number, onset_s))
    chart.add_burst(_burst(9, 505.0, "provisional"))
    chart.set_estimate(_NO_FLAT, 530.0, 600.0)
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
    chart = _shown(LullChart(), qtbot)
    for interval_s in (60.0, 600.0, 7200.0):
        chart.set_estimate(_NO_FLAT, 100.0, interval_s)
        chart.draw()
        low, high = chart.fit_range(*chart.view_range)
        assert low < math.log10(interval_s) < high


def test_a_far_crossing_does_not_squeeze_the_lulls(qtbot: QtBot) -> None:
    chart = _shown(LullChart(), qtbot)
    chart.set_estimate(_NO_FLAT, 0.0, 600.0)
    chart.set_estimate(FlatEstimate(9e4, 5e4, 9e5, None), 3600.0, 600.0)
    chart.refresh(3600.0)
    chart.draw()
    assert 2 * 3600.0 < chart.view_range[1] < 3 * 3600.0


def test_a_crossing_at_two_and_a_half_times_the_run_is_in_view(qtbot: QtBot) -> None:
    chart = _shown(LullChart(), qtbot)
    chart.set_estimate(_NO_FLAT, 0.0, 600.0)
    chart.set_estimate(FlatEstimate(9e3, 6e3, 3e4, None), 3600.0, 600.0)
    chart.refresh(3600.0)
    chart.draw()
    assert 9e3 < chart.view_range[1] < 1.2e4


@pytest.mark.parametrize(("best_s", "is_told"), [(1500.0, False), (2e4, True)])
def test_a_crossing_beyond_the_view_is_told_at_the_edge(
    best_s: float, is_told: bool, monkeypatch: pytest.MonkeyPatch, qtbot: QtBot
) -> None:
    chart = _shown(LullChart(), qtbot)
    told: list[str] = []
    monkeypatch.setattr(
        "app.charts.lull_layers.plate", lambda _painter, _look, text, *_rest: told.append(text)
    )
    chart.set_estimate(_NO_FLAT, 0.0, 600.0)
    chart.set_estimate(FlatEstimate(best_s, 0.8 * best_s, 1.5 * best_s, None), 900.0, 600.0)
    chart.refresh(900.0)
    chart.paint_now()
    chart.grab()
    crossing = next(text for text in told if text.startswith("flat at"))
    assert crossing.endswith("\N{RIGHTWARDS ARROW}") == is_told


def test_zero_pressure_has_a_place_on_the_log_axis(qtbot: QtBot) -> None:
    chart = _shown(RunChart(), qtbot)
    chart.add_reading(0.0, 0.0)
    chart.add_reading(1.0, 100.0)
    chart.refresh(1.0)
    assert _has(_image(chart), PALETTES["light"].trace)


@pytest.mark.parametrize("make", _KINDS)
def test_renders_into_a_report_without_being_shown(make: Callable[[], Chart], qtbot: QtBot) -> None:
    chart = make()
    qtbot.addWidget(chart)
    chart.set_palette(PALETTES["dark"])
    chart.resize(900, 360)
    _fill(chart, 5)
    chart.refresh(3600.0)
    page = _page(chart, dots_per_inch=96)
    assert page.pixelColor(1000, 300).name() != "#123456"
    assert _has(page, PALETTES["light"].grid)
    assert not _has(page, PALETTES["dark"].surface)


@pytest.mark.parametrize("make", [RunChart, RecentChart])
def test_readings_one_by_one_look_as_all_at_once(
    make: Callable[[], RunChart | RecentChart], qtbot: QtBot
) -> None:
    slow, fast = _shown(make(), qtbot), _shown(make(), qtbot)
    time_s = np.arange(0.0, 900.0, 0.5)
    pressure_pa = 0.01 + 1e6 * np.exp(-time_s / 30.0)
    fast.add_readings(time_s, pressure_pa)
    for reading in zip(time_s.tolist(), pressure_pa.tolist(), strict=True):
        slow.add_reading(*reading)
    for chart in (slow, fast):
        chart.refresh(900.0)
    assert _image(slow) == _image(fast)


def _page(chart: Chart, dots_per_inch: int) -> QImage:
    page = QImage(QSize(1800, 720), QImage.Format.Format_RGB32)
    page.setDotsPerMeterX(round(dots_per_inch / 0.0254))
    page.setDotsPerMeterY(round(dots_per_inch / 0.0254))
    page.fill(QColor("#123456"))
    painter = QPainter(page)
    chart.render_to(painter, QRectF(0.0, 0.0, 1800.0, 720.0), PALETTES["light"])
    painter.end()
    return page


@pytest.mark.parametrize("make", _KINDS)
def test_texts_of_a_report_keep_their_size_at_any_resolution(
    make: Callable[[], Chart], qtbot: QtBot
) -> None:
    chart = make()
    qtbot.addWidget(chart)
    chart.resize(900, 360)
    _fill(chart, 5)
    chart.refresh(3600.0)
    coarse, fine = (_page(chart, dpi).convertToFormat(_GREY) for dpi in (96, 1200))
    ours, theirs = (np.frombuffer(page.constBits(), np.uint8) for page in (coarse, fine))
    assert np.mean(np.abs(ours.astype(int) - theirs.astype(int)) > 40) < 0.002


@pytest.mark.parametrize("width", [400, 900])
def test_no_word_covers_another(qtbot: QtBot, width: int) -> None:
    chart = _shown(RunChart(), qtbot)
    chart.resize(width, 180)
    chart.paint_now()
    assert _collisions(chart) == []
    chart.add_readings(np.arange(0.0, 900.0), np.full(900, 700.0))
    for at_s, label in ((0.0, "valve closed"), (20.0, "pump off"), (890.0, "heat")):
        chart.add_mark(at_s, "note", label)
    chart.set_levels(2333.0)
    chart.refresh(900.0)
    chart.paint_now()
    assert len(chart._canvas.look.taken) >= 4
    assert _collisions(chart) == []


def test_the_running_lull_gives_way_to_the_flat_line(qtbot: QtBot) -> None:
    chart = _shown(LullChart(), qtbot)
    chart.add_burst(_burst(0, 10.0))
    chart.set_estimate(_NO_FLAT, 560.0, 600.0)
    chart.refresh(560.0)
    chart.paint_now()
    assert len(chart._canvas.look.taken) == 2
    assert _collisions(chart) == []


def _collisions(chart: Chart) -> list[tuple[QRectF, QRectF]]:
    chart.grab()
    taken = chart._canvas.look.taken
    return [(a, b) for i, a in enumerate(taken) for b in taken[:i] if a.intersects(b)]


def test_many_short_gaps_leave_the_trace_to_be_seen(qtbot: QtBot) -> None:
    """A loose plug for ten hours: 600 gaps of 20 s were one hatching over everything."""
    time_s = np.arange(0.0, 36000.0)
    pressure_pa = 40.0 + 20.0 * np.cos(time_s / 3000.0)
    shares = []
    for has_gaps in (False, True):
        chart = _shown(RunChart(), qtbot)
        kept = (time_s % 60.0 < 40.0) | (not has_gaps)
        chart.add_readings(time_s[kept], pressure_pa[kept])
        for from_s in range(39, 36000, 60) if has_gaps else ():
            chart.add_gap(float(from_s), from_s + 21.0)
        chart.refresh(36000.0)
        chart.draw()
        shares.append(_share_of(chart, "trace"))
        assert _share_of(chart, "gap") < 0.01
    assert shares[1] > 0.6 * shares[0]


def test_gaps_are_hatched_where_they_are_wide() -> None:
    layer = GapLayer()
    layer.gaps_s = [(10.0, 10.5), (10.6, 11.0), (50.0, 50.1), (200.0, 300.0), (900.0, 999.0)]
    frame = Frame(width=500.0, height=100.0, left=0.0, right=500.0, low=0.0, high=1.0)
    hatched, foot = layer.stretches(frame)
    assert hatched == [(200.0, 300.0)]
    assert foot == [(10.0, 13.0), (50.0, 52.0)]
