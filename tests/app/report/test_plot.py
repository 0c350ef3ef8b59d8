"""A printed chart's stretches: narrow gaps, however many, do not hatch the chart."""

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QRectF
from PySide6.QtGui import QImage, QPainter

from app.report.pdf import with_application
from app.report.plot import DOTTED, Plot


def inked(gaps: list[tuple[float, float]]) -> NDArray[np.float64]:
    """Give for each row of a chart of 1000 s and 190 mm which share of it is not white."""
    with_application()
    image = QImage(1000, 300, QImage.Format.Format_Grayscale8)
    image.fill(255)
    painter = QPainter(image)
    plot = Plot(painter, QRectF(0.0, 0.0, 1000.0, 300.0), 5.0, (0.0, 1000.0), (0.0, 1.0))
    for gap in gaps:
        plot.shade(*gap, is_hatched=True)
    painter.end()
    pixels = np.frombuffer(image.constBits(), np.uint8).reshape(300, image.bytesPerLine())
    share: NDArray[np.float64] = np.mean(pixels[:, :1000] < 250, axis=1)
    return share


def test_narrow_gaps_stand_at_the_foot_and_wide_ones_are_hatched() -> None:
    narrow = inked([(at, at + 2.0) for at in range(0, 1000, 4)])
    rows = np.flatnonzero(narrow)
    assert 4 <= len(rows) <= 7  # a millimetre
    assert narrow.max() > 0.3
    wide = inked([(100.0, 200.0)])
    assert np.count_nonzero(wide) > 200


def test_the_name_of_a_level_covers_no_letter() -> None:
    """It stood over them: "ater boils below" beside a D."""
    with_application()
    image = QImage(1000, 300, QImage.Format.Format_Grayscale8)
    painter = QPainter(image)
    plot = Plot(painter, QRectF(0.0, 0.0, 1000.0, 300.0), 5.0, (0.0, 1000.0), (0.0, 1.0))
    letters = [QRectF(at, plot.y_at(0.5) - 15.0, 15.0, 15.0) for at in (980.0, 930.0)]
    for letter in letters:
        plot.label(letter, "D")
    plot.level(0.5, "water boils below", DOTTED, at_right=True)
    painter.end()
    *_, name = plot.labels
    assert not any(name.intersects(letter) for letter in letters)
    assert name.right() < 930.0
