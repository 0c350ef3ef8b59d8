"""``watch`` on a disk that is full, read-only or gone: told at once, nothing lost."""

import subprocess
import sys
import threading
from collections.abc import Callable, Iterator
from pathlib import Path
from queue import SimpleQueue

import pytest

from app.jobfile.reader import JobReader
from app.jobfile.verify import verify_job
from tests.app.small_disk import mounted_disk
from tests.sensors.gauge_process import ROOT, gauge_process

RATE_HZ = 50.0
WAIT_S = 60.0
Trouble = tuple[Callable[[Path], None], Callable[[Path], None]]


@pytest.fixture
def disk(tmp_path: Path) -> Iterator[Path]:
    """A file system of 512 KiB of its own."""
    with mounted_disk(tmp_path / "disk", kib=512) as where:
        yield where


def fill(disk: Path) -> None:
    with pytest.raises(OSError, match="No space"):
        (disk / "ballast").write_bytes(bytes(1 << 20))


def empty(disk: Path) -> None:
    (disk / "ballast").unlink()


def pull(disk: Path) -> None:
    """Take the job away, as a stick that is pulled takes its folder."""
    (disk / "jobs").rename(disk / "elsewhere")


def put_back(disk: Path) -> None:
    (disk / "elsewhere").rename(disk / "jobs")


def follow(process: "subprocess.Popen[str]") -> "SimpleQueue[str]":
    """Take what it says on standard error, line by line."""
    lines: SimpleQueue[str] = SimpleQueue()

    def read() -> None:
        assert process.stderr
        for line in process.stderr:
            lines.put(line)

    threading.Thread(target=read, daemon=True).start()
    return lines


def until(lines: "SimpleQueue[str]", word: str) -> str:
    while word not in (line := lines.get(timeout=WAIT_S)):
        pass
    return line


@pytest.mark.parametrize(
    ("trouble", "why"),
    [((fill, empty), "the disk is full"), ((pull, put_back), "moved or removed")],
    ids=["full", "pulled"],
)
def test_watch_tells_at_once_and_writes_what_waited(
    tmp_path: Path, disk: Path, trouble: Trouble, why: str
) -> None:
    begin, end = trouble
    port, job = tmp_path / "gauge", disk / "jobs" / "van.simmerdown"
    job.parent.mkdir()
    address = f"serial:{port}?field=2&unit=pa"
    with (
        gauge_process("tests.app.running_gauge", port, 1, RATE_HZ) as gauge,
        subprocess.Popen(
            [sys.executable, "-m", "app.cli", "watch", address, "--json", "--job", str(job)],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            cwd=ROOT,
        ) as watch,
    ):
        assert watch.stdout
        told = follow(watch)
        assert '"connected"' in watch.stdout.readline()
        gauge.say("speak")
        lines = iter(watch.stdout)
        before = [next(lines) for _ in range(20)]
        begin(disk)
        sentence = until(told, "Not being saved since ")
        assert why in sentence
        assert sentence.isprintable() or sentence[:-1].isprintable()
        during = [next(lines) for _ in range(100)]  # reading and telling go on
        end(disk)
        until(told, "Being saved again")
        last = int(gauge.ask("stop"))
        rest = [next(lines)]
        while f'"pressure_pa": {last}.0' not in rest[-1]:
            rest.append(next(lines))
        watch.terminate()
        assert watch.wait(WAIT_S) == 0
    assert len([line for line in [*before, *during, *rest] if "pressure_pa" in line]) == last
    with JobReader(job) as reader:
        assert reader.readings().pressure_pa.tolist() == list(range(1, last + 1))
    assert verify_job(job).is_whole
