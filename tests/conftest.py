"""What holds for every test: no screen, no real home, nothing left running."""

import asyncio
import gc
import os
import sys
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")  # before anything imports Qt


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--slow", action="store_true", help="also run the tests marked slow")


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    if config.getoption("--slow"):
        return
    skip = pytest.mark.skip(reason="takes minutes; run with --slow")
    for item in items:
        if item.get_closest_marker("slow"):
            item.add_marker(skip)


@pytest.fixture(autouse=True)
def own_folders(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Send everything the program writes for its user into an empty folder of the test's own."""
    home = tmp_path_factory.mktemp("home", numbered=True)
    monkeypatch.setenv("SIMMERDOWN_HOME", str(home / "simmerdown"))
    for name in ("HOME", "USERPROFILE"):
        monkeypatch.setenv(name, str(home))
    for name in ("CONFIG", "DATA", "STATE", "CACHE"):
        monkeypatch.setenv(f"XDG_{name}_HOME", str(home / name.lower()))
    monkeypatch.delenv("XDG_DOCUMENTS_DIR", raising=False)
    return home


@pytest.fixture(autouse=True)
def nothing_left_behind(own_folders: Path) -> Iterator[None]:
    """Fail a test that leaves a thread running, a task waiting, or a window open."""
    threads_before = set(threading.enumerate())
    tasks_before = set(_abandoned_tasks())
    yield
    left = [*_threads(threads_before), *_windows()]
    left += [f"task {task!r}" for task in _abandoned_tasks() if task not in tasks_before]
    if left:
        pytest.fail("the test left behind: " + "; ".join(left), pytrace=False)


def _threads(before: set[threading.Thread]) -> list[str]:
    """Return non-daemon threads begun by the test that do not end within a moment."""
    left = []
    for thread in threading.enumerate():
        if thread in before or thread.daemon:
            continue
        thread.join(timeout=2)
        if thread.is_alive():
            left.append(f"thread {thread.name}")
    return left


def _abandoned_tasks() -> list["asyncio.Task[object]"]:
    """Return tasks that still wait although their loop no longer runs.

    The set is private to asyncio, and Python 3.14 keeps its tasks elsewhere: nothing is found
    there rather than something wrong.
    """
    known = getattr(asyncio.tasks, "_scheduled_tasks", getattr(asyncio.tasks, "_all_tasks", ()))
    return [task for task in list(known) if not task.done() and not task.get_loop().is_running()]


def _windows() -> list[str]:
    """Return windows still shown. Hidden ones are only waiting to be collected."""
    widgets = sys.modules.get("PySide6.QtWidgets")
    application = widgets and widgets.QApplication.instance()
    if not widgets or not isinstance(application, widgets.QApplication):
        return []
    # A collection while the list is wrapped may delete a widget that is still in it.
    gc.disable()
    try:
        shown = [widget for widget in application.topLevelWidgets() if widget.isVisible()]
    finally:
        gc.enable()
    names = [f"window {type(widget).__name__} {widget.windowTitle()!r}" for widget in shown]
    for widget in shown:
        widget.close()  # or every later test would be blamed too
    return names
