"""Charts drawn into a report."""

from collections.abc import Callable

import numpy as np
import pytest
from PySide6.QtCore import QRectF, QSize
from PySide6.QtGui import QColor, QImage, QPainter
from pytestqt.qtbot import QtBot

from app.charts.chart import Chart
from app.charts.palette import PALETTES
from tests.app.charts.filled import KINDS, fill, has

_GREY = QImage.Format.Format_Grayscale8


@pytest.mark.parametrize("make", KINDS)
def test_renders_into_a_report_without_being_shown(make: Callable[[], Chart], qtbot: QtBot) -> None:
    chart = make()
    qtbot.addWidget(chart)
    chart.set_palette(PALETTES["dark"])
    chart.resize(900, 360)
    fill(chart, 5)
    chart.refresh(3600.0)
    page = _page(chart, dots_per_inch=96)
    assert page.pixelColor(1000, 300).name() != "#123456"
    assert has(page, PALETTES["light"].grid)
    assert not has(page, PALETTES["dark"].surface)


def _page(chart: Chart, dots_per_inch: int) -> QImage:
    page = QImage(QSize(1800, 720), QImage.Format.Format_RGB32)
    page.setDotsPerMeterX(round(dots_per_inch / 0.0254))
    page.setDotsPerMeterY(round(dots_per_inch / 0.0254))
    page.fill(QColor("#123456"))
    painter = QPainter(page)
    chart.render_to(painter, QRectF(0.0, 0.0, 1800.0, 720.0), PALETTES["light"])
    painter.end()
    return page


@pytest.mark.parametrize("make", KINDS)
def test_texts_of_a_report_keep_their_size_at_any_resolution(
    make: Callable[[], Chart], qtbot: QtBot
) -> None:
    chart = make()
    qtbot.addWidget(chart)
    chart.resize(900, 360)
    fill(chart, 5)
    chart.refresh(3600.0)
    coarse, fine = (_page(chart, dpi).convertToFormat(_GREY) for dpi in (96, 1200))
    ours, theirs = (np.frombuffer(page.constBits(), np.uint8) for page in (coarse, fine))
    assert np.mean(np.abs(ours.astype(int) - theirs.astype(int)) > 40) < 0.002
