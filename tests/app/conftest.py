"""One Qt application for all tests of the program."""

import pytest
from PySide6.QtWidgets import QApplication


@pytest.fixture(autouse=True, scope="session")
def one_application(qapp: QApplication) -> QApplication:
    """Be there before a report makes a smaller one: a process has one application, of one kind."""
    return qapp
