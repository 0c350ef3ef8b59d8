import subprocess
import sys
from collections.abc import Iterator

import pytest

from tests.sensors import pty_pair as pty_pair_program


@pytest.fixture
def pty_pair() -> Iterator[tuple[str, str]]:
    """Give two devices, each the other end of one serial line."""
    with subprocess.Popen(
        [sys.executable, pty_pair_program.__file__],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    ) as process:
        assert process.stdout
        theirs, ours = process.stdout.readline().split()
        yield theirs, ours
        process.kill()
