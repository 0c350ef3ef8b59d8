"""One Qt application for all tests of the program, and what several of them begin with."""

import threading
from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication

from app.jobfile.new import new_job
from tests.app.bench import Bench
from tests.app.recorded import START


@pytest.fixture(autouse=True, scope="session")
def one_application(qapp: QApplication) -> QApplication:
    """Be there before a report makes a smaller one: a process has one application, of one kind."""
    return qapp


@pytest.fixture
def bench(tmp_path: Path) -> Bench:
    return Bench(tmp_path)


@pytest.fixture
def job(tmp_path: Path) -> Path:
    return new_job(tmp_path / "jobs", title="Invented van", now=lambda: START)


@pytest.fixture
def no_recorder_survives() -> Iterator[None]:
    yield
    names = [thread.name for thread in threading.enumerate()]
    assert "simmerdown-recorder" not in names
