"""The log, and faults that nobody handled."""

import logging
import logging.handlers
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest

from app.system import log


@pytest.fixture
def log_path() -> Iterator[Path]:
    path = log.start_log()
    assert path is not None
    yield path
    log.stop_log()


def fail(reporter: log.FaultReporter, text: str) -> None:
    try:
        raise ValueError(text)
    except ValueError as fault:
        reporter.report(type(fault), fault, fault.__traceback__)


def test_a_fault_is_told_once_in_one_line_and_logged_with_its_traceback(log_path: Path) -> None:
    told: list[str] = []
    reporter = log.FaultReporter(told.append)
    for _ in range(150):
        fail(reporter, "two\nlines")
    assert len(told) == 1
    assert "ValueError: two lines" in told[0]
    assert str(log_path) in told[0]
    text = log_path.read_text()
    assert text.count("Traceback") == 3  # the 1st, 10th and 100th
    assert "100 times so far" in text


def test_another_fault_is_told_too(log_path: Path) -> None:
    told: list[str] = []
    reporter = log.FaultReporter(told.append)
    fail(reporter, "one")
    reporter.report(KeyError, KeyError("two"), None)
    assert len(told) == 2


def test_a_fault_in_a_thread_reaches_the_log(
    log_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("sys.excepthook", None)
    monkeypatch.setattr("threading.excepthook", None)
    log.FaultReporter().install()
    thread = threading.Thread(target=lambda: 1 / 0, name="worker")
    thread.start()
    thread.join()
    assert "ZeroDivisionError" in log_path.read_text()
    assert capsys.readouterr().err.count("\n") == 1


def test_the_log_stays_within_its_bound(log_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    handlers = logging.getLogger("simmerdown").handlers
    (handler,) = [h for h in handlers if isinstance(h, logging.handlers.RotatingFileHandler)]
    monkeypatch.setattr(handler, "maxBytes", 2000)
    for number in range(500):
        logging.getLogger("simmerdown.test").warning("line %d", number)
    files = list(log_path.parent.iterdir())
    assert len(files) == 4
    assert all(file.stat().st_size <= 2000 for file in files)
    assert "line 499" in log_path.read_text()


def test_a_log_that_cannot_be_written_stops_nothing(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "file").touch()
    assert log.start_log(tmp_path / "file" / "log") is None
    said = f"Simmerdown keeps no log of itself in {tmp_path / 'file'}: Not a directory.\n"
    assert capsys.readouterr().err in (said, said.replace("Not a directory", "File exists"))
