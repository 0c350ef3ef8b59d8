"""The program's own run, recorder and window, on simulated clocks."""

import os
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from queue import SimpleQueue
from typing import Any, cast

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from PySide6.QtWidgets import QApplication

from analysis.evacuation import Evacuation
from app.gauge.link import Link
from app.jobfile.clock import JobClock
from app.jobfile.new import new_job
from app.live.recorder import Recorder
from app.live.run import Run
from app.live.session import Session
from app.screen.presenter import Presenter
from app.settings.keeper import SettingsKeeper
from app.settings.memory import Memory
from app.window.application import application
from app.window.charts_pen import ChartsPen
from app.window.main_window import MainWindow
from sensors.events import Sensor, SensorEvent

START = datetime(2030, 1, 31, 9, 5, tzinfo=UTC)


class StraightLink:
    """Stands in for the link's thread: events go on where they come from, in the same order."""

    def __init__(self, clock: JobClock) -> None:
        self.clock = clock
        self.events: SimpleQueue[Any] = SimpleQueue()
        self._take: Callable[[Any], None] = lambda _event: None

    def start(self, sensor: Sensor, emit: Callable[[Any], None], **_: object) -> None:
        self._take = emit

    def emit(self, event: SensorEvent) -> None:
        event = self.clock.to_job(event)
        self._take(event)
        self.events.put(event)

    def close(self) -> bool:
        return True


class SimulatedRun:
    """A window that follows a run in simulated time.

    Parameters
    ----------
    steady
        Simulated seconds; the wall clock goes with it, ``stepped_s`` ahead.
    """

    def __init__(self, folder: Path, steady: Callable[[], float]) -> None:
        self._steady, self._zero_s = steady, steady()
        self.stepped_s = 0.0
        self.job = new_job(folder / "jobs", name="soak.simmerdown", now=self.now)
        self.run = Run(new_job(folder / "aside"), Evacuation())
        self.run.recorder.close()  # its clocks are real
        recorder = Recorder(self.job, now=self.now, steady=steady)
        self.link = StraightLink(recorder.clock)
        self.run.recorder, self.run.link = recorder, cast("Link", self.link)
        self.told: list[str] = []
        self.application = application()
        self.window = window = MainWindow(SettingsKeeper(self.told.append))
        window.settings.change(sound=False)
        window._awake.hold = lambda: None  # type: ignore[method-assign]
        self.session = Session(Memory(folder / "window.json"), lambda: window.settings.value)
        self.session.run = self.run
        self.presenter = Presenter(window, self.session, lambda: window.settings.value)
        self.pen: ChartsPen = window.charts.load(window.palette_now, "micron")
        window.attach(self.presenter, self.pen)
        window.show()
        QApplication.processEvents()

    @property
    def charts(self) -> tuple[Any, ...]:
        """Those in sight."""
        return self.pen.lulls, self.pen.whole, self.pen.recent

    def now(self) -> datetime:
        """Wall clock."""
        return START + timedelta(seconds=self._steady() - self._zero_s + self.stepped_s)

    def begin(self, sensor: Sensor) -> None:
        """Choose the gauge."""
        self.session.sensor = sensor
        self.run.start(sensor)

    def paint(self) -> None:
        """Paint the charts now, and whatever else changed."""
        for chart in self.charts:
            if chart.isVisible():
                chart.paint_now()
        QApplication.processEvents()

    def held_bytes(self) -> int:
        """Memory that the charts take for the readings themselves, which is meant to grow.

        Room taken in advance is left out: the system gives a page when it is first written to.
        """
        total = 0
        for chart in (self.pen.whole, self.pen.recent):
            pyramid = chart._parts.readings
            pairs = len(pyramid) + sum(level._count for level in pyramid._levels)
            total += 2 * 8 * pairs
        return total

    def close(self) -> None:
        """Save, end the recorder's thread, close the window."""
        self.window.close()
        QApplication.processEvents()
