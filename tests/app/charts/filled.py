"""Charts shown with something in them, and what is seen of it."""

from collections.abc import Callable
from typing import TypeVar

import numpy as np
from PySide6.QtGui import QColor, QImage
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
from app.charts.hold_chart import HoldChart
from app.charts.lull_chart import LullChart
from app.charts.palette import PALETTES
from app.charts.recent_chart import RecentChart
from app.charts.run_chart import RunChart

KINDS: list[Callable[[], Chart]] = [RunChart, RecentChart, LullChart, HoldChart]


AnyChart = TypeVar("AnyChart", bound=Chart)


NO_FLAT = FlatEstimate(None, None, None, Reason("no-trend"))


def shown(chart: AnyChart, qtbot: QtBot) -> AnyChart:
    qtbot.addWidget(chart)
    chart.resize(900, 360)
    with qtbot.waitExposed(chart):
        chart.show()
    chart.paint_now()
    return chart


def burst(number: int, onset_s: float, state: str = "confirmed") -> Burst:
    return Burst(number, onset_s, onset_s + 1.0, 5.0, 20.0, 90.0, onset_s + 9.0, state)  # type: ignore[arg-type]


def fill(chart: Chart, bursts: int) -> None:
    """Give a chart all that it takes."""
    time_s = np.arange(0.0, 3600.0, 0.5)
    pressure_pa = 40.0 + 1e5 * np.exp(-time_s / 60.0)
    for number, onset_s in enumerate(np.linspace(100.0, 3500.0, bursts).tolist()):
        if isinstance(chart, RunChart | RecentChart | LullChart):
            chart.add_burst(burst(number, onset_s))
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


def image_of(chart: Chart) -> QImage:
    chart.paint_now()
    return chart.grab().toImage()


def has(image: QImage, colour: str) -> bool:
    wanted = QColor(colour).rgb()
    width, height = image.width(), image.height()
    return any(image.pixel(x, y) == wanted for x in range(width) for y in range(height))


def share_of(chart: Chart, role: str) -> float:
    """Give the share of the picture that has a role's colour."""
    image = image_of(chart).convertToFormat(QImage.Format.Format_RGB32)
    pixels = np.frombuffer(image.constBits(), np.uint32)
    return float(np.mean(pixels == QColor(getattr(PALETTES["light"], role)).rgb()))
