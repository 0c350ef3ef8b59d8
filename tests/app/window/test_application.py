"""The window from its frame to its end, with real threads, a real record and a simulated gauge."""

import os
import signal
import threading
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from app.jobfile.reader import JobReader
from app.screen.presenter import Presenter
from app.settings.memory import Memory
from app.system.paths import settings_file
from app.window import application
from app.window.awake import Awake
from app.window.main_window import MainWindow
from app.window.shell import Shell
from sensors.sim.sensor import SimSensor


class Opened:
    """An open window."""

    def __init__(self, qtbot: QtBot) -> None:
        self.presenters: list[Presenter] = []
        self.shell = Shell()
        qtbot.addWidget(self.shell)
        self.shell.painted.connect(lambda: application.fill(self.shell, self.begin))
        self.shell.open()
        qtbot.waitUntil(lambda: bool(self.presenters), timeout=20_000)

    def begin(self, presenter: Presenter) -> Callable[[], None]:
        self.presenters.append(presenter)
        return lambda: None

    @property
    def presenter(self) -> Presenter:
        return self.presenters[0]

    @property
    def window(self) -> MainWindow:
        content = self.shell._content
        assert isinstance(content, MainWindow)
        return content

    @property
    def now_s(self) -> float:
        return self.presenter.snapshot.time_s if self.presenter.snapshot else 0.0


@pytest.fixture(autouse=True)
def quiet_and_clean(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setattr(Awake, "hold", lambda _self: None)
    yield
    application._let_go()


def test_the_frame_is_painted_before_anything_slow_is_made(qtbot: QtBot) -> None:
    opened = Opened(qtbot)
    assert opened.shell.isVisible()
    assert opened.window.isVisible()
    opened.shell.close()


def test_closing_in_mid_run_loses_no_reading_and_the_job_goes_on(qtbot: QtBot) -> None:
    opened = Opened(qtbot)
    opened.presenter.use(SimSensor("demo", speed=300.0))
    qtbot.waitUntil(lambda: opened.now_s > 200.0, timeout=20_000)
    run = opened.presenter.session.run
    assert run is not None
    path = run.recorder.path
    opened.shell.close()
    assert not opened.shell.isVisible()
    with JobReader(path) as job:
        recorded = job.readings()
    assert recorded.time_s[-1] >= opened.now_s - 1e-9  # all that was shown, and what came since
    assert Memory().open_job == path
    assert not [t for t in threading.enumerate() if t.name.startswith("simmerdown")]

    again = Opened(qtbot)
    assert again.presenter.screen is not None
    assert again.presenter.screen.offer
    again.window.next.offer.yes.click()
    qtbot.waitUntil(lambda: again.now_s >= recorded.time_s[-1], timeout=20_000)
    assert again.presenter.snapshot is not None
    assert again.presenter.snapshot.pulls[-1].watched_s > 0.8 * recorded.time_s[-1]
    assert again.presenter.screen.verdict.startswith("No gauge is read now.")
    assert again.presenter.screen.next_step.startswith("Choose the gauge")
    again.presenter.use(SimSensor("demo", speed=1.0))
    qtbot.waitUntil(lambda: "No gauge" not in again.window.screen_now.verdict)
    again.shell.close()


@pytest.mark.skipif(not hasattr(signal, "SIGHUP"), reason="terminals that say so when closed")
def test_the_terminal_it_was_started_from_may_be_closed(qtbot: QtBot) -> None:
    before = signal.signal(signal.SIGHUP, signal.default_int_handler)  # not the end of the tests
    opened = Opened(qtbot)
    opened.presenter.use(SimSensor("demo", speed=300.0))
    qtbot.waitUntil(lambda: opened.now_s > 20.0, timeout=20_000)
    run = opened.presenter.session.run
    assert run is not None
    path = run.recorder.path
    os.kill(os.getpid(), signal.SIGHUP)
    qtbot.waitUntil(lambda: not opened.shell.isVisible(), timeout=20_000)
    with JobReader(path) as job:
        assert job.readings().time_s[-1] >= opened.now_s - 1e-9
    assert [each.name for each in path.parent.iterdir()] == [path.name]
    signal.signal(signal.SIGHUP, before)


def test_settings_that_cannot_be_kept_are_told_and_hold_all_the_same(qtbot: QtBot) -> None:
    opened = Opened(qtbot)
    settings_file().parent.mkdir(parents=True, exist_ok=True)
    settings_file().write_text("unit =\n")  # by hand, meanwhile
    opened.window.set_unit("mbar")
    assert opened.window.notice.isVisible()
    told = opened.window.notice.text.text()
    assert told.startswith(f"This change will not be kept. {settings_file()}, line 1: expected")
    assert opened.window.settings.value.unit == "mbar"
    assert settings_file().read_text() == "unit =\n"
    opened.shell.close()


def test_a_gauge_that_cannot_be_opened_is_told(qtbot: QtBot, tmp_path: Path) -> None:
    opened = Opened(qtbot)
    (tmp_path / "odd.csv").write_text("no recording")
    opened.presenter.connect(f"replay:{tmp_path / 'odd.csv'}")

    def is_over() -> bool:
        screen = opened.presenter.screen
        return screen is not None and screen.phase == "over"

    qtbot.waitUntil(is_over, timeout=20_000)
    assert opened.presenter.screen is not None
    assert "odd.csv" in opened.presenter.screen.sensor.text
    opened.shell.close()


def test_a_recording_that_is_not_there_is_told_before_a_job_is_made(
    qtbot: QtBot, tmp_path: Path
) -> None:
    opened = Opened(qtbot)
    opened.presenter.connect(f"replay:{tmp_path / 'gone.csv'}")
    qtbot.waitUntil(opened.window.notice.isVisible, timeout=20_000)
    assert "gone.csv: there is no such file" in opened.window.notice.text.text()
    assert opened.presenter.screen is not None
    assert opened.presenter.screen.phase == "idle"
    assert opened.presenter.session.job_path is None
    opened.shell.close()


def test_a_job_that_is_no_job_is_told_and_the_window_lives(qtbot: QtBot, tmp_path: Path) -> None:
    stranger = tmp_path / "stranger.simmerdown"
    stranger.write_text("no job")
    opened = Opened(qtbot)
    opened.presenter.resume(stranger)
    qtbot.waitUntil(opened.window.notice.isVisible, timeout=20_000)
    assert "no Simmerdown job" in opened.window.notice.text.text()
    assert opened.presenter.screen is not None
    assert opened.presenter.screen.phase == "idle"
    opened.shell.close()
