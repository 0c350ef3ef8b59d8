from collections.abc import Iterator

import pytest

from tests.sensors.gauge_process import gauge_process


@pytest.fixture
def pty_pair() -> Iterator[tuple[str, str]]:
    """Give two devices, each the other end of one serial line."""
    with gauge_process("tests.sensors.pty_pair") as line:
        theirs, ours = line.heard().split()
        yield theirs, ours
