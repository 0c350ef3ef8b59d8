"""Makes a picture of every state of the window: ``python -m tests.app.window.screenshots FOLDER``.

Readings are simulated and really analysed; cautions that take hours are put in by hand.
"""

import os
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import Any

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from PySide6.QtCore import QCoreApplication, QEventLoop
from PySide6.QtWidgets import QTabWidget, QWidget

from analysis.reason import Reason
from analysis.sample import Mark
from analysis.snapshot import Caution, CautionKind
from app.job.fields import JobFields
from app.screen.presenter import Presenter
from app.settings.keeper import SettingsKeeper
from app.system.paths import settings_file
from app.window.application import application
from app.window.job_form import JobForm
from app.window.main_window import MainWindow
from app.window.sensor_dialog import SensorDialog
from app.window.settings_dialog import PAGES, SettingsDialog
from app.window.technician import FIELDS
from sensors.events import Connected, Lost
from tests.app.window.played import NOT_SAVED, played_session, readings
from tests.app.window.stretched import Stretched

CAUTIONS: dict[CautionKind, dict[str, float]] = {
    "ice": {"pressure_pa": 165.0, "ice_c": -15.0},
    "not-pulling-down": {"pressure_pa": 240.0},
    "gauge-shut-off": {},
    "no-signal": {"silence_s": 30.0},
    "sudden-rise": {"rise_pa": 3000.0, "within_s": 3.0},
    "rising": {"rising_s": 40.0, "rise_pa": 22.0},
    "no-bursts-seen": {},
    "cold": {"temperature_c": 3.0},
}
HOLDS = {"held": "hold-held", "leak": "hold-leak", "vapour": "hold-vapour", "both": "hold-both"}
SIZES = {"1366": (1366, 768), "1920": (1920, 1080)}


class Stage:
    """One window with what is played in it.

    Parameters
    ----------
    theme, size
        How it looks.
    folder
        Where the pictures go.
    """

    def __init__(self, theme: str, size: str, folder: Path, tag: str = "") -> None:
        self.window = MainWindow(SettingsKeeper(print))
        self.window.settings.value = replace(
            self.window.settings.value, theme=theme, sound=False, unit="micron"
        )
        self.window.set_theme(theme)
        self.window.resize(*SIZES[size])
        self.window.show()
        self.pen = self.window.charts.load(self.window.palette_now, "micron")
        self._folder, self._tag = folder, f"{tag or theme}-{size}"
        self._home = tempfile.TemporaryDirectory()
        self.renew()

    def renew(self, fields: JobFields = FIELDS) -> None:
        """Begin with nothing."""
        self.session, self.run = played_session(Path(self._home.name))
        self.session.fields = fields
        self.session.sensor = _Named()
        self.presenter = Presenter(
            self.window,
            self.session,
            lambda: self.window.settings.value,
            translate=QCoreApplication.translate,
        )
        self.window.attach(self.presenter, self.pen)
        self.window.clear()
        self.presenter.look()

    def play(self, scenario: str, until_s: float, from_s: float = 0.0) -> None:
        self.run.play([Connected(from_s, "gauge on the bench")] if from_s == 0.0 else [])
        self.run.play(readings(scenario, until_s, from_s))
        self.presenter.look()
        self.settle()

    def settle(self) -> None:
        """Give the charts the time after which they draw again."""
        ends_s = time.monotonic() + 1.1
        while time.monotonic() < ends_s:
            QCoreApplication.processEvents(QEventLoop.ProcessEventsFlag.AllEvents, 50)
            self.presenter.look()

    def shoot(self, name: str, widget: QWidget | None = None) -> None:
        """Let everything be drawn, then take the picture."""
        for _ in range(6):
            QCoreApplication.processEvents(QEventLoop.ProcessEventsFlag.AllEvents, 50)
        target = self._folder / f"{name}-{self._tag}.png"
        (widget or self.window).grab().save(str(target))
        print(target, flush=True)

    def close(self) -> None:
        self.window.close()
        self._home.cleanup()


class _Named:
    name = "serial:/dev/ttyUSB0"

    async def run(self, emit: object) -> None:
        raise NotImplementedError


def beginnings(stage: Stage) -> None:
    stage.session.run = stage.session.sensor = None
    stage.presenter.look()
    stage.shoot("idle")
    job = Path(stage._home.name) / "job-2030-01-31-0905.simmerdown"
    job.touch()
    stage.session.memory.keep(open_job=str(job))
    stage.presenter.look()
    stage.shoot("offer")


def evacuation(stage: Stage) -> None:
    stage.renew()
    stage.play("demo", 45.0)
    stage.shoot("pulling-down")
    stage.play("demo", 700.0, 45.0)
    stage.shoot("boiling-off")
    stage.play("demo", 3300.0, 700.0)
    stage.shoot("easing")
    stage.play("demo", 5700.0, 3300.0)
    stage.shoot("flat-banner")
    stage.presenter.dismiss()
    stage.shoot("flat")


def walk(stage: Stage) -> None:
    stage.presenter.dismiss()
    stage.presenter.hold_now()
    stage.shoot("walk-1-close")
    stage.presenter.walk_on()
    after = readings("hold-held", 60.0)
    stage.run.play([replace(reading, time_s=reading.time_s + 5701.0) for reading in after])
    stage.presenter.look()
    stage.settle()
    stage.shoot("walk-2-pump")
    stage.presenter.walk_on()
    stage.shoot("walk-3-vent")
    stage.presenter.walk_on()
    stage.shoot("walk-4-even-out")


def holds(stage: Stage, names: tuple[str, ...] = tuple(HOLDS), until_s: float = 900.0) -> None:
    for name in names:
        stage.renew()
        first, *others = readings(HOLDS[name], until_s)
        stage.run.play([Connected(0.0, "gauge on the bench"), first])
        stage.run.play([Mark(first.time_s, "valve-closed"), *others])
        stage.presenter.look()
        stage.presenter.walk_on()
        stage.presenter.walk_on()
        stage.settle()
        stage.shoot(f"holding-{name}")
        stage.presenter.walk_on()
        stage.shoot(f"finding-{name}")
    stage.renew()
    first, *others = readings(HOLDS["leak"], 150.0)
    stage.run.play([first, Mark(first.time_s, "valve-closed"), *others, Mark(150.0, "hold-over")])
    stage.presenter.look()
    stage.shoot("finding-unclear")


def cautions(stage: Stage, kinds: tuple[CautionKind, ...] = tuple(CAUTIONS)) -> None:
    for kind in kinds:
        stage.renew()
        stage.play("demo", 700.0)
        snapshot = stage.presenter.snapshot
        assert snapshot is not None
        values: Any = CAUTIONS[kind]
        caution = Caution(kind, 690.0, None, Reason(kind, values))
        if kind == "no-signal":
            stage.run.play([Lost(700.0, "The port /dev/ttyUSB0 is gone: cable or battery.")])
            stage.presenter.look()
        stage.run.show_instead(
            cautions=(caution,),
            caution_changes=(caution,),
            stage="flat" if kind == "no-bursts-seen" else snapshot.stage,
        )
        stage.presenter.look()
        if stage.window.screen_now.alarm is not None:
            stage.shoot(f"banner-{kind}")
            stage.presenter.dismiss()
        stage.shoot(f"caution-{kind}")


def troubles(stage: Stage) -> None:
    stage.renew()
    stage.play("demo", 700.0)
    stage.run.rejected = 17
    stage.run.recorder.state = NOT_SAVED
    stage.presenter.look()
    stage.shoot("banner-not-saved")
    stage.presenter.dismiss()
    stage.presenter.tell("A line that the technician has to read, long enough to see it break.")
    stage.shoot("not-saved")
    stage.window.notice.hide()


def dialogs(stage: Stage) -> None:
    window = stage.window
    sensor = SensorDialog("sim:demo?speed=70", window)
    sensor.show()
    stage.shoot("dialog-gauge-sim", sensor)
    sensor.choices["serial"].click()
    stage.shoot("dialog-gauge-serial", sensor)
    sensor.close()
    acts = stage.presenter
    form = JobForm(FIELDS, lambda *_: acts.safety(), acts.forecast, acts.rig_cost, window)
    form.show()
    stage.shoot("dialog-job", form)
    for index, page in enumerate(("joints", "past", "rig"), start=1):
        form.findChildren(QTabWidget)[0].setCurrentIndex(index)
        stage.shoot(f"dialog-job-{page}", form)
    form.close()
    settings = SettingsDialog(window.settings.value, settings_file(), parent=window)
    settings.show()
    for index, page in enumerate((*PAGES, "window")):
        settings.tabs.setCurrentIndex(index)
        stage.shoot(f"dialog-settings-{page}", settings)
    settings.close()
    window._on_why()
    stage.shoot("dialog-why", window.why)
    window.why.close()
    window._on_safety()
    stage.shoot("dialog-safety", window.safety)
    window.safety.close()


def main(folder: Path, only: str = "") -> None:
    """Make all pictures."""
    folder.mkdir(parents=True, exist_ok=True)
    parts: dict[str, Callable[[Stage], None]] = {
        "beginnings": beginnings,
        "evacuation": evacuation,
        "walk": walk,
        "cautions": cautions,
        "troubles": troubles,
        "dialogs": dialogs,
        "holds": holds,
    }
    few: dict[str, Callable[[Stage], None]] = {
        "evacuation": evacuation,
        "walk": walk,
        "cautions": lambda stage: cautions(stage, ("ice", "sudden-rise")),
        "dialogs": dialogs,
        "holds": lambda stage: holds(stage, ("leak",), 320.0),
    }
    for theme, size, tag, chosen in (
        ("light", "1366", "", parts),
        ("dark", "1366", "", few),
        ("high-contrast", "1366", "", few),
        ("light", "1920", "", few),
        ("dark", "1920", "", few),
        ("light", "1366", "long", few),
    ):
        name = f"{tag or theme}-{size}"
        if only and only not in name:
            continue
        with translated(tag == "long"):
            stage = Stage(theme, size, folder, tag)
            for part in chosen.values():
                part(stage)
            stage.close()


@contextmanager
def translated(is_long: bool) -> Iterator[None]:
    app, translator = application(), Stretched()
    if is_long:
        app.installTranslator(translator)
    yield
    app.removeTranslator(translator)


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as home:
        os.environ["SIMMERDOWN_HOME"] = home
        main(Path(sys.argv[1]), sys.argv[2] if len(sys.argv) > 2 else "")
