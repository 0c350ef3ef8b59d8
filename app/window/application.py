"""Opening the window: shown first, then what is slow to import, then alive."""

import signal
import sys
from collections.abc import Callable
from typing import TYPE_CHECKING, cast

from PySide6.QtCore import QCoreApplication
from PySide6.QtWidgets import QApplication

from app.log import FaultReporter
from app.settings_keeper import SettingsKeeper
from app.window.main_window import MainWindow

if TYPE_CHECKING:
    from app.presenter import Presenter

Begin = Callable[["Presenter"], Callable[[], None]]
"""Called once the window is alive; what it gives is called after each look."""


def application() -> QApplication:
    """Give the one application object."""
    app = QCoreApplication.instance() or QApplication(sys.argv[:1])
    app.setApplicationName("Simmerdown")
    return cast("QApplication", app)


def run_window(begin: Begin | None = None) -> int:
    """Open the window and stay until it is closed.

    Parameters
    ----------
    begin
        What plays in it from the start, as the demo does.
    """
    app = application()
    early: list[str] = []
    window = MainWindow(SettingsKeeper(early.append))
    FaultReporter(window.feed.post).install()
    for number in (signal.SIGINT, signal.SIGTERM):
        signal.signal(number, lambda *_: window.close())
    window.painted.connect(lambda: bring_alive(window, begin))
    window.show()
    for text in early:
        window.tell(text)
    return int(app.exec())


def bring_alive(window: MainWindow, begin: Begin | None = None) -> "Presenter":
    """Import the charts and the analysis, and connect them to the window."""
    from app.memory import Memory
    from app.presenter import Presenter
    from app.session import Session

    pen = window.charts.load(window.palette_now, window.settings.value.unit)
    session = Session(Memory(), lambda: window.settings.value)
    presenter = Presenter(
        window, session, lambda: window.settings.value, translate=QCoreApplication.translate
    )
    window.attach(presenter, pen)
    after = begin(presenter) if begin is not None else None

    def look() -> None:
        presenter.look()
        if after is not None:
            after()

    presenter.look()
    window.feed.start(look)
    return presenter
