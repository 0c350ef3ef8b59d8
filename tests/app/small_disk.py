"""A file system of its own, so small that it can be filled."""

import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest


@contextmanager
def mounted_disk(where: Path, kib: int) -> Iterator[Path]:
    """Mount one at ``where``, which is made; skip the test where that is not allowed."""
    where.mkdir()
    command = ["mount", "-t", "tmpfs", "-o", f"size={kib}k", "tmpfs", str(where)]
    if sys.platform != "linux" or os.geteuid() != 0 or subprocess.run(command).returncode:
        pytest.skip("needs Linux and the right to mount")
    yield where
    subprocess.run(["umount", str(where)], check=True)
