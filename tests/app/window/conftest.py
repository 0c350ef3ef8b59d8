"""The window with a played run behind it, closed after each test."""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from app.live.session import Session
from app.screen.presenter import Presenter
from app.settings.keeper import SettingsKeeper
from app.window.main_window import MainWindow
from tests.app.window.played import PlayedRun, played_session


@dataclass
class Desk:
    """A window with all that stands behind it."""

    window: MainWindow
    presenter: Presenter
    session: Session
    run: PlayedRun
    told: list[str]


@pytest.fixture
def desk(qtbot: QtBot, tmp_path: Path) -> Iterator[Desk]:
    told: list[str] = []
    window = MainWindow(SettingsKeeper(told.append))
    window.settings.change(sound=False)
    window._awake.hold = lambda: None  # type: ignore[method-assign]
    qtbot.addWidget(window)
    session, run = played_session(tmp_path)
    presenter = Presenter(window, session, lambda: window.settings.value)
    window.attach(presenter, window.charts.load(window.palette_now, "micron"))
    window.show()
    presenter.look()
    yield Desk(window, presenter, session, run, told)
    run.recorder.is_flushing = True
    window.close()
