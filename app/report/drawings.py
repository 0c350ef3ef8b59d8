"""The three charts of the page as vector drawings: the run, the lulls, the standing test."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPolygonF

from analysis.snapshot import HoldCurve
from analysis.water import TRIPLE_POINT_PA
from app.charts.pyramid import Pyramid
from app.charts.ticks import (
    fit_linear,
    fit_log,
    log_pressure_ticks,
    lull_ticks,
    pressure_ticks,
    time_ticks,
)
from app.jobfile.rows import Gap
from app.report.course import Closing, Course, lulls
from app.report.folds import Folds, folds
from app.report.page_text import Event
from app.report.plot import BLACK, DASH_DOTTED, DASHED, DOTTED, GREY, SOLID, Plot
from app.report.record import Record
from app.words import display

Floats = NDArray[np.float64]
_FLOOR_PA = 0.01  # a log axis has no zero: lower readings are drawn here
_COLUMNS = 700
_MOST_GAPS = 300
_LETTER_ROWS = 6  # letters of marks that lie close together, one under the other
_STYLES = {"steady": DOTTED, "leak": DASHED, "vapour": DASH_DOTTED, "both": SOLID}
_NAMES_SHARE = 0.34  # of the hold chart's width, right of the readings, for the curves' names


@dataclass(frozen=True, slots=True)
class Drawings:
    """Draws a record's charts.

    Attributes
    ----------
    words
        Titles and labels, from ``app.report.phrases.chart_phrases``.
    """

    record: Record
    course: Course
    words: dict[str, str]
    unit: str
    mm: float

    def run(self, painter: QPainter, rect: QRectF, events: tuple[Event, ...]) -> None:
        """Draw the whole run on a log axis, with bursts, marks, gaps and water's own pressures."""
        record, words = self.record, self.words
        title = words["run"].format(unit=display.UNIT_SYMBOLS[self.unit])
        times, values = self._usable()
        if not len(times):
            self._empty(painter, rect, title, words["no-run"])
            return
        logs = np.log10(np.maximum(values, _FLOOR_PA))
        # The first seconds from the atmosphere down would take half of the chart: cut off above
        # the pressure at which water boils, with room for the letters.
        highest = math.log10(4.0 * max(self.course.boiling_pa or 0.0, TRIPLE_POINT_PA))
        highest = max(highest, float(np.quantile(logs, 0.9)))
        low, high = fit_log(float(logs.min()), min(float(logs.max()), highest))
        from_s, until_s = float(record.readings.time_s[0]), float(record.readings.time_s[-1])
        axis = folds(from_s, until_s, self._gaps())
        plot = Plot(painter, rect, self.mm, (from_s, until_s), (low, high), axis.place)
        plot.frame(title, _ticks(axis, from_s), log_pressure_ticks(low, high, 8, self.unit))
        with plot.clipped():
            for closing in self.course.closings:
                plot.shade(closing.from_s, closing.until_s, is_hatched=False)
            for from_gap_s, until_gap_s in self._gaps():
                plot.shade(from_gap_s, until_gap_s, is_hatched=True)
            self._letters(plot, events)
            self._water(plot)
            for span, share in axis.shares():
                columns = max(round(share * _COLUMNS), 2)
                plot.curve(*self._envelope(times, logs, *span, columns), plot.pen(BLACK, 0.2))
            self._bursts(plot, times, logs)
        plot.border()
        signs = [words["burst"]] if self.course.bursts else []
        signs += [words["closed"]] if self.course.closings else []
        signs += [words["gap"]] if self._gaps() else []
        signs += [words["fold"]] if len(axis.stretches) > 1 else []
        plot.legend("   ".join(signs))

    def lulls(self, painter: QPainter, rect: QRectF) -> None:
        """Draw each lull against time on a log axis, with the fitted trend and its band."""
        words, course = self.words, self.course
        ends, lengths = lulls(course, self.record)
        if not len(ends):
            self._empty(painter, rect, words["lulls"], words["no-lulls"])
            return
        logs = np.log10(lengths)
        flat = math.log10(course.flat_interval_s)
        low, high = fit_log(float(logs.min()), max(float(logs.max()), flat))
        zero_s = self.record.zero_s
        from_s, until_s = zero_s, max(float(ends[-1]), zero_s + 1.0)
        if course.flat.curve:
            until_s = max(until_s, min(course.flat.curve[-1].time_s, self._last_s()))
        plot = Plot(painter, rect, self.mm, (from_s, until_s), (low, high))
        plot.frame(words["lulls"], time_ticks(from_s, until_s, 6, zero_s), lull_ticks(low, high, 7))
        with plot.clipped():
            self._trend(plot)
            interval = display.duration(course.flat_interval_s)
            plot.level(flat, words["flat"].format(time=interval), DASHED, at_right=False)
            plot.dots(ends, logs, 0.7)
        plot.border()
        if course.flat.curve:
            plot.legend(words["trend"])

    def hold(self, painter: QPainter, rect: QRectF, closing: Closing | None) -> None:
        """Draw the hold's readings, linear, with the explanations that compete for its rise."""
        words = self.words
        title = words["hold"].format(unit=display.UNIT_SYMBOLS[self.unit])
        times, values = self._usable()
        if closing is not None:
            is_held = (times >= closing.from_s) & (times <= closing.until_s)
            times, values = times[is_held], values[is_held]
        if closing is None or not len(times):
            self._empty(painter, rect, title, words["no-hold"])
            return
        curves = () if closing.result is None else closing.result.curves
        tops = [values, *(np.array(curve.pressure_pa) for curve in curves)]
        low, high = fit_linear(
            min(float(each.min()) for each in tops),
            max(float(each.max()) for each in tops),
            2.0,
        )
        until_s = max(float(times[-1]), closing.from_s + 1.0)
        room_s = (until_s - closing.from_s) / (1.0 - _NAMES_SHARE) if curves else 0.0
        ends = (closing.from_s, max(until_s, closing.from_s + room_s))
        plot = Plot(painter, rect, self.mm, ends, (max(low, 0.0), high))
        plot.frame(
            title,
            [t for t in time_ticks(*ends, 6, closing.from_s) if t[0] <= until_s + 1.0],
            pressure_ticks(max(low, 0.0), high, 6, self.unit),
        )
        with plot.clipped():
            self._limits(plot, closing)
            shown = self._envelope(times, values, closing.from_s, until_s)
            plot.curve(*shown, plot.pen(GREY, 0.18))
            self._explanations(plot, curves, closing)
        plot.border()

    def _usable(self) -> tuple[Floats, Floats]:
        readings = self.record.readings
        is_ok = readings.status == 0
        return readings.time_s[is_ok], readings.pressure_pa[is_ok]

    def _last_s(self) -> float:
        return float(self.record.readings.time_s[-1])

    def _gaps(self) -> list[tuple[float, float]]:
        """Give the longest gaps, in order: of a very broken record not more than can be seen."""
        notes = sorted(self.record.of(Gap), key=lambda note: note.from_s - note.until_s)
        return sorted((note.from_s, note.until_s) for note in notes[:_MOST_GAPS])

    def _envelope(
        self, times: Floats, values: Floats, from_s: float, until_s: float, columns: int = _COLUMNS
    ) -> tuple[Floats, Floats]:
        pyramid = Pyramid()
        pyramid.extend(times, values)
        for gap in self._gaps():
            pyramid.add_gap(*gap)
        return pyramid.envelope(from_s, until_s, columns)

    def _empty(self, painter: QPainter, rect: QRectF, title: str, why: str) -> None:
        plot = Plot(painter, rect, self.mm, (0.0, 1.0), (0.0, 1.0))
        plot.frame(title, (), ())
        plot.note(why)
        plot.border()

    def _water(self, plot: Plot) -> None:
        celsius = self.record.readings.temperature_c
        known = celsius[~np.isnan(celsius)]
        temperature = (
            f"{float(known[-1]) if len(known) else self.course.told.rules.circuit_c:.0f} °C"
        )
        boiling_pa = self.course.boiling_pa
        if boiling_pa is not None and boiling_pa > TRIPLE_POINT_PA:
            text = self.words["boiling-at"].format(pressure=self._pressure(boiling_pa))
            text = f"{text} ({temperature})"
            plot.level(math.log10(boiling_pa), text, DASH_DOTTED, at_right=True)
        text = self.words["freezing-at"].format(pressure=self._pressure(TRIPLE_POINT_PA))
        plot.level(math.log10(TRIPLE_POINT_PA), text, DOTTED, at_right=True)

    def _bursts(self, plot: Plot, times: Floats, logs: Floats) -> None:
        """Draw a small wedge over each burst's peak; one a third of a millimetre at most."""
        painter, size = plot.painter, 0.9 * self.mm
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(BLACK))
        last_x = -math.inf
        for burst in self.course.bursts:
            x = plot.x_at(burst.peak_s)
            if x - last_x < self.mm / 3.0:
                continue
            last_x = x
            at = min(int(np.searchsorted(times, burst.peak_s)), len(times) - 1)
            y = plot.y_at(float(logs[at])) - 0.5 * self.mm
            painter.drawPolygon(
                QPolygonF(
                    [
                        QPointF(x, y),
                        QPointF(x - size / 2, y - size),
                        QPointF(x + size / 2, y - size),
                    ]
                )
            )

    def _letters(self, plot: Plot, events: tuple[Event, ...]) -> None:
        """Draw the events that have a letter; letters too close step down."""
        line = plot.metrics.height()
        step, last_x = 0, -math.inf
        for event in events:
            if not event.letter:
                continue
            x = plot.x_at(event.time_s)
            step = (step + 1) % _LETTER_ROWS if x - last_x < 1.2 * line else 0
            last_x = x
            plot.painter.setPen(plot.pen(GREY, 0.12, DASHED))
            plot.painter.drawLine(QLineF(x, plot.area.top(), x, plot.area.bottom()))
            box = QRectF(x - 0.6 * line, plot.area.top() + step * line, 1.2 * line, line)
            box.moveRight(min(box.right(), plot.area.right()))
            box.moveLeft(max(box.left(), plot.area.left()))
            plot.label(box, event.letter)

    def _trend(self, plot: Plot) -> None:
        points = self.course.flat.curve
        if not points:
            return
        times = np.array([point.time_s for point in points])
        sides = [
            np.log10(np.maximum([getattr(point, side) for point in points], 1e-3))
            for side in ("low_s", "best_s", "high_s")
        ]
        band = [QPointF(plot.x_at(x), plot.y_at(y)) for x, y in zip(times, sides[0], strict=True)]
        back = [QPointF(plot.x_at(x), plot.y_at(y)) for x, y in zip(times, sides[2], strict=True)]
        plot.painter.setPen(Qt.PenStyle.NoPen)
        plot.painter.setBrush(QColor("#e0e0e0"))
        plot.painter.drawPolygon(QPolygonF([*band, *reversed(back)]))
        plot.curve(times, sides[1], plot.pen(BLACK, 0.3))

    def _limits(self, plot: Plot, closing: Closing) -> None:
        if closing.result is None:
            return
        for check in closing.result.limits:
            if check.name in ("highest", "charge"):
                name, limit = self.words[check.name], self._pressure(check.limit)
                text = self.words["limit-at"].format(name=name, limit=limit)
                plot.level(check.limit, text, DOTTED, at_right=False)

    def _pressure(self, value_pa: float) -> str:
        return display.pressure(value_pa, self.unit)

    def _explanations(self, plot: Plot, curves: tuple[HoldCurve, ...], closing: Closing) -> None:
        """Draw the curves, and their names one under the other in the order of their ends."""
        line, ends = plot.metrics.height(), []
        for curve in curves:
            times = np.array(curve.time_s) + closing.from_s
            values = np.array(curve.pressure_pa)
            plot.curve(times, values, plot.pen(BLACK, 0.3, _STYLES[curve.name]))
            ends.append((plot.y_at(float(values[-1])), plot.x_at(float(times[-1])), curve.name))
        ends.sort()
        middle = sum(y for y, _, _ in ends) / max(len(ends), 1)
        top = middle - 0.6 * line * len(ends)
        top = min(max(top, plot.area.top()), plot.area.bottom() - 1.2 * line * len(ends))
        for count, (y, x, name) in enumerate(ends):
            at = top + 1.2 * line * (count + 0.5)
            left = x + 3.0 * self.mm
            plot.painter.setPen(plot.pen(BLACK, 0.2, _STYLES[name]))
            plot.painter.drawLine(QLineF(x, y, left, at))
            text = self.words[f"curve-{name}"]
            width = plot.metrics.horizontalAdvance(text) + 0.5 * self.mm
            plot.label(QRectF(left + 0.5 * self.mm, at - 0.5 * line, width, line), text)


def _ticks(axis: Folds, zero_s: float) -> list[tuple[float, str]]:
    """Give the ticks of each stretch of time; one too short for any has none."""
    found: list[tuple[float, str]] = []
    for (from_s, until_s), share in axis.shares():
        ticks = time_ticks(from_s, until_s, max(round(12 * share), 1), zero_s)
        found += [tick for tick in ticks if from_s <= tick[0] <= until_s]
    return found
