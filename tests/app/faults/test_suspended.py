"""The recording program is stopped for longer than the silence limit and let go on.

As when the laptop's lid is closed for a while, or a debugger or the system holds the program.
"""

import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from app.jobfile.new import new_job
from app.jobfile.reader import JobReader
from app.jobfile.rows import Gap, LinkChange
from app.jobfile.verify import verify_job
from tests.sensors.gauge_process import ROOT, gauge_process

pytestmark = pytest.mark.skipif(
    sys.platform != "linux", reason="needs SIGSTOP and pseudo terminals"
)

RATE_HZ = 20.0


@contextmanager
def recording(*arguments: object) -> Iterator["subprocess.Popen[str]"]:
    with subprocess.Popen(
        [sys.executable, "-m", *map(str, arguments)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        cwd=ROOT,
    ) as process:
        try:
            yield process
        finally:
            process.send_signal(signal.SIGCONT)
            process.kill()


def heard(process: "subprocess.Popen[str]", count: int) -> None:
    """Wait until so many readings were told."""
    assert process.stdout
    while count > 0:
        count -= process.stdout.readline() != "connected\n"


def suspend(process: "subprocess.Popen[str]", for_s: float) -> None:
    """Stop the program; the gauge goes on speaking."""
    process.send_signal(signal.SIGSTOP)
    os.waitid(os.P_PID, process.pid, os.WSTOPPED | os.WNOWAIT)
    with pytest.raises(subprocess.TimeoutExpired):
        process.wait(for_s)
    process.send_signal(signal.SIGCONT)


def check(job: Path, *, suspended_s: float) -> None:
    """The stop shows as a gap of its length; no reading is there twice, none out of order."""
    assert verify_job(job).is_whole
    with JobReader(job) as reader:
        readings = reader.readings()
        gaps = [note for _, note in reader.notes("gap") if isinstance(note, Gap)]
        links = [note for _, note in reader.notes("link") if isinstance(note, LinkChange)]
    numbers = [round(pressure_pa) for pressure_pa in readings.pressure_pa.tolist()]
    assert len(set(numbers)) == len(numbers), "a reading was recorded twice"
    assert numbers == sorted(numbers)
    assert (np.diff(readings.time_s) >= 0).all()
    longest_s = float(np.diff(readings.time_s).max())
    assert longest_s > 0.9 * suspended_s
    assert any(gap.until_s - gap.from_s > 0.9 * suspended_s for gap in gaps)
    for before, after in pairwise(links):
        assert {before.link, after.link} == {"connected", "lost"}, "a change was told twice"


def test_a_program_suspended_for_longer_than_the_silence_limit(tmp_path: Path) -> None:
    port, job = tmp_path / "gauge", new_job(tmp_path, name="stopped.simmerdown")
    address = f"serial:{port}?field=2&unit=pa"
    suspended_s = 3.0
    with (
        gauge_process("tests.app.running_gauge", port, 1, RATE_HZ) as gauge,
        recording("tests.app.faults.recording_program", job, address, 1.0) as program,
    ):
        assert program.stdout
        assert program.stdout.readline() == "ready\n"
        assert program.stdout.readline() == "connected\n"
        gauge.say("speak")
        heard(program, 40)
        suspend(program, suspended_s)
        heard(program, 40)
        _, errors = program.communicate("end\n", timeout=60)
        assert program.returncode == 0, errors
    check(job, suspended_s=suspended_s)


@pytest.mark.slow
@pytest.mark.timeout(300)
def test_watch_suspended_for_forty_seconds(tmp_path: Path) -> None:
    port, job = tmp_path / "gauge", tmp_path / "stopped.simmerdown"
    address = f"serial:{port}?field=2&unit=pa"
    suspended_s = 40.0  # the silence limit is 30 s
    with (
        gauge_process("tests.app.running_gauge", port, 1, RATE_HZ) as gauge,
        recording("app.cli", "watch", address, "--json", "--job", job) as watch,
    ):
        assert watch.stdout
        assert '"connected"' in watch.stdout.readline()
        gauge.say("speak")
        for _ in range(60):
            watch.stdout.readline()
        suspend(watch, suspended_s)
        for _ in range(60):
            watch.stdout.readline()
        watch.terminate()
        _, errors = watch.communicate(timeout=60)
        assert watch.returncode == 0, errors
    check(job, suspended_s=suspended_s)
