"""Gauges and lines on pseudo terminals, each a process of its own: started in one place."""

import os
import subprocess
import sys
import tty
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

ROOT = Path(__file__).parents[2]
WAIT_S = 60.0


class GaugeProcess:
    """A program that plays a gauge; what is said to it goes to its standard input, a line each."""

    def __init__(self, process: "subprocess.Popen[str]") -> None:
        self._process = process

    def write(self, data: bytes) -> None:
        """Let a ``pty_feeder`` send these bytes."""
        self.say(data.hex())

    def say(self, line: str) -> None:
        assert self._process.stdin
        self._process.stdin.write(line + "\n")
        self._process.stdin.flush()

    def ask(self, line: str) -> str:
        self.say(line)
        return self.heard()

    def heard(self) -> str:
        """Give the next line that it says of itself."""
        assert self._process.stdout
        return self._process.stdout.readline().strip()

    def die(self) -> None:
        """Pull the plug."""
        self._process.kill()
        self.wait()

    def wait(self) -> None:
        self._process.wait(WAIT_S)


@contextmanager
def gauge_process(program: str, *arguments: object) -> Iterator[GaugeProcess]:
    """Run a module of the tests until the block ends, once it said that it is ready."""
    with subprocess.Popen(
        [sys.executable, "-m", program, *map(str, arguments)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        cwd=ROOT,
    ) as process:
        gauge = GaugeProcess(process)
        try:
            assert gauge.heard() == "ready"
            yield gauge
        finally:
            process.kill()


def open_line(link: str) -> int:
    """In the gauge's process: open a raw line under a name, say so, give the gauge's own end.

    The other end stays open too: a line that nobody holds cannot be read from.
    """
    master, slave = os.openpty()
    tty.setraw(slave)
    os.symlink(os.ttyname(slave), link + ".new")
    os.replace(link + ".new", link)
    print("ready", flush=True)
    return master
