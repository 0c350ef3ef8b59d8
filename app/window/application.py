"""Opening the window: its frame first, then what is slow to import, then alive.

Nothing but Qt and the frame may be imported here at the top: it would delay the first paint.
"""

import sys
from collections.abc import Callable
from typing import TYPE_CHECKING, cast

from PySide6.QtCore import QCoreApplication, QTimer
from PySide6.QtWidgets import QApplication

from app.window.shell import Shell

if TYPE_CHECKING:
    from app.screen.presenter import Presenter
    from app.window.main_window import MainWindow

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
    shell = Shell()
    shell.painted.connect(lambda: fill(shell, begin))
    shell.open()
    try:
        return int(app.exec())
    finally:
        _let_go()


def fill(shell: Shell, begin: Begin | None = None) -> None:
    """Put the window proper into the frame, and bring it alive once it is painted."""
    import signal

    from app.settings.keeper import SettingsKeeper
    from app.system.ending import asking_to_end
    from app.system.log import FaultReporter, start_log
    from app.window.main_window import MainWindow

    start_log()
    early: list[str] = []
    window = MainWindow(SettingsKeeper(early.append, QCoreApplication.translate))
    FaultReporter(window.feed.post).install()
    for number in (signal.SIGINT, *asking_to_end()):
        signal.signal(number, lambda *_: shell.close())
    shell.hold(window)
    for text in early:
        window.tell(text)
    window.settings.tell = window.tell  # from now on

    def come_alive() -> None:
        if shell.isVisible():  # else it was closed already
            bring_alive(window, begin)

    QTimer.singleShot(0, come_alive)


def bring_alive(window: "MainWindow", begin: Begin | None = None) -> "Presenter":
    """Import the charts and the analysis, and connect them to the window."""
    from app.live.session import Session
    from app.screen.presenter import Presenter
    from app.settings.memory import Memory

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


def _let_go() -> None:
    """Give faults and signals back to whoever had them: the window is gone."""
    import signal
    import threading

    from app.system.ending import asking_to_end
    from app.system.log import stop_log

    sys.excepthook = sys.__excepthook__
    threading.excepthook = threading.__excepthook__
    signal.signal(signal.SIGINT, signal.default_int_handler)
    for number in asking_to_end():
        signal.signal(number, signal.SIG_DFL)
    stop_log()
