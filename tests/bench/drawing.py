"""How long a frame takes, set beside an empty plot; and what a day behind costs.

Run it with ``python -m tests.bench.drawing``. Figures are ratios within one run, because the
machine's own speed says nothing.
"""

import argparse
import os
import statistics
import time
from collections.abc import Callable

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import numpy as np
import pyqtgraph as pg
from PySide6.QtWidgets import QApplication, QWidget

from analysis.reason import Reason
from analysis.snapshot import Burst, FlatEstimate
from app.charts.lull_chart import LullChart
from app.charts.recent_chart import RecentChart
from app.charts.run_chart import RunChart

RATE_HZ = 10.0
FRAMES_A_SECOND = 10
SIZE = (1300, 420)  # a plot some 1200 px wide
NO_FLAT = FlatEstimate(None, None, None, Reason("no-trend"))


class Bench:
    """Frames of one width, painted at once and timed."""

    def __init__(self) -> None:
        self._application = QApplication.instance() or QApplication([])
        self._open: list[QWidget] = []

    def close(self) -> None:
        """Close all that was shown."""
        while self._open:
            self._open.pop().close()
        self._application.processEvents()

    def bare_plot(self) -> Callable[[], float]:
        """Give the painter of a plot by pyqtgraph with nothing in it."""
        plot = pg.PlotWidget()
        self._show(plot)
        return lambda: _seconds(plot.viewport().repaint)

    def run_chart(self, readings: int) -> Callable[[], float]:
        """Give the painter of a whole-run chart with so many readings."""
        chart = RunChart()
        time_s, pressure_pa = long_run(readings)
        chart.add_readings(time_s, pressure_pa)
        chart.set_levels(2339.32)
        self._show(chart)
        now_s = readings / RATE_HZ

        def frame() -> float:
            chart.refresh(now_s)
            return _seconds(chart.paint_now)

        return frame

    def live_share(self, hours: float, seconds: int) -> float:
        """Give the share of one core that a live run takes with so many hours behind it."""
        charts = RunChart(clock=self._clock), RecentChart(clock=self._clock)
        lulls = LullChart(clock=self._clock)
        count = round(hours * 3600.0 * RATE_HZ)
        time_s, pressure_pa = long_run(count + round(seconds * RATE_HZ))
        for chart in charts:
            chart.add_readings(time_s[:count], pressure_pa[:count])
        for number, onset_s in enumerate(np.linspace(60.0, hours * 3600.0, 500).tolist()):
            burst = Burst(number, onset_s, onset_s + 1.0, 4.0, 20.0, 80.0, onset_s, "confirmed")
            for each in (*charts, lulls):
                each.add_burst(burst)
        for each in (*charts, lulls):
            self._show(each)
            each.paint_now()  # what happens once is no part of the share
        self._now_s = float(time_s[count])
        begun_s = time.process_time()
        for index in range(count, len(time_s)):
            self._now_s = now_s = float(time_s[index])
            for chart in charts:
                chart.add_readings(time_s[index : index + 1], pressure_pa[index : index + 1])
            lulls.set_estimate(NO_FLAT, now_s, 600.0)
            for each in (*charts, lulls):
                each.refresh(now_s)
            self._application.processEvents()
        return (time.process_time() - begun_s) / seconds

    _now_s = 0.0

    def _clock(self) -> float:
        return self._now_s

    def _show(self, widget: QWidget) -> None:
        widget.resize(*SIZE)
        widget.show()
        self._open.append(widget)
        self._application.processEvents()


def long_run(readings: int) -> tuple[np.ndarray, np.ndarray]:
    """Give a noisy pull-down with bursts at 10 Hz: times in s, pressures in Pa."""
    time_s = np.arange(readings) / RATE_HZ
    noise = np.random.default_rng(7).normal(size=readings)
    level = 30.0 + 1e5 * np.exp(-time_s / 60.0)
    bursts = 4.0 * np.exp(-(time_s % 173.0) / 20.0)
    return time_s, (level + bursts) * (1.0 + 0.01 * noise)


def _seconds(work: Callable[[], object]) -> float:
    begun_s = time.perf_counter()
    work()
    return time.perf_counter() - begun_s


def frame_times(painters: dict[str, Callable[[], float]], rounds: int) -> dict[str, float]:
    """Give each painter's median time in s, the painters taking turns."""
    for painter in painters.values():
        painter()
    times: dict[str, list[float]] = {name: [] for name in painters}
    for _ in range(rounds):
        for name, painter in painters.items():
            times[name].append(painter())
    return {name: statistics.median(values) for name, values in times.items()}


def main(arguments: list[str] | None = None) -> int:
    """Print the tables."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--most", type=int, default=5_000_000, help="readings of the long run")
    parser.add_argument("--rounds", type=int, default=200)
    parser.add_argument("--hours", type=float, default=24.0, help="behind the live run")
    parser.add_argument("--seconds", type=int, default=60, help="of the live run")
    args = parser.parse_args(arguments)
    bench = Bench()
    most = f"{args.most} readings"
    painters = {
        "pyqtgraph's bare plot": bench.bare_plot(),
        "our chart, empty": bench.run_chart(0),
        "10000 readings": bench.run_chart(10_000),
        most: bench.run_chart(args.most),
    }
    times = frame_times(painters, args.rounds)
    print(f"{'a frame':<24}{'ms':>8}{'x bare':>8}{'x empty':>9}{'x 10000':>9}")
    bare, empty, few, _ = times.values()
    for name, value in times.items():
        row = f"{name:<24}{1e3 * value:8.2f}{value / bare:8.2f}"
        print(f"{row}{value / empty:9.2f}{value / few:9.2f}")
    bench.close()
    share = bench.live_share(args.hours, args.seconds)
    print(f"live, {args.hours:g} h behind: {100 * share:.2f} % of a core")
    bench.close()
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
