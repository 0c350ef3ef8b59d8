"""A long run over a real serial line that drops again and again: nothing lost, nothing leaked.

A stopped gauge is waited for, then vanishes in the middle of a line: every number it sent has to
arrive, once and in order. A killed one takes what the kernel still held with it: there the
numbers that arrived have no hole before the end.
"""

import asyncio
import os
import sys
import threading
from pathlib import Path
from queue import Empty

import pytest

from app.gauge.link import Link
from app.jobfile.new import new_job
from app.jobfile.reader import JobReader
from app.jobfile.verify import verify_job
from app.live.recorder import Recorder
from sensors.catalogue import open_sensor
from sensors.clock import now_s
from sensors.events import Connected, Lost, Reading
from tests.sensors.gauge_process import gauge_process

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="counts descriptors in /proc")
WAIT_S = 60.0


class Heard:
    """What came over the link, taken off its queue as a window would."""

    def __init__(self, link: Link) -> None:
        self._link = link
        self.numbers: list[int] = []
        self.times_s: list[float] = []
        self.links: list[str] = []

    def take(self, for_s: float) -> None:
        ends_s = now_s() + for_s
        while (left_s := ends_s - now_s()) > 0:
            try:
                self._take(self._link.events.get(timeout=left_s))
            except Empty:
                return

    def until_number(self, number: int) -> None:
        while not self.numbers or self.numbers[-1] != number:
            self._take(self._link.events.get(timeout=WAIT_S))

    def until_link(self, word: str) -> None:
        while not self.links or self.links[-1] != word:
            self._take(self._link.events.get(timeout=WAIT_S))

    def _take(self, event: object) -> None:
        if isinstance(event, Reading):
            self.numbers.append(round(event.pressure_pa))
            self.times_s.append(event.time_s)
        elif isinstance(event, Connected | Lost):
            self.links.append("connected" if isinstance(event, Connected) else "lost")


def descriptors() -> int:
    return len(os.listdir("/proc/self/fd"))


def run_for(tmp_path: Path, *, lives: int, life_s: float, rate_hz: float) -> None:
    port = tmp_path / "gauge"
    threads, files = set(threading.enumerate()), descriptors()
    recorder = Recorder(new_job(tmp_path, name="long.simmerdown"))
    link = Link(clock=recorder.clock)
    heard, first = Heard(link), 1
    for life in range(lives):
        with gauge_process("tests.app.running_gauge", port, first, rate_hz) as gauge:
            if life == 0:
                link.start(open_sensor(f"serial:{port}?field=2&unit=pa"), recorder.put)
            heard.until_link("connected")
            begun = len(heard.numbers)
            gauge.say("speak")
            heard.take(life_s)
            if life % 2 == 0:
                last = int(gauge.ask("stop"))
                heard.until_number(last)
                gauge.say("die")
                gauge.wait()
            else:
                gauge.die()
            heard.until_link("lost")
        numbers = heard.numbers[begun:]
        # Whole from the first to the last, however the life ended, and at the gauge's pace.
        assert numbers == list(range(first, first + len(numbers)))
        assert len(numbers) >= 0.5 * life_s * rate_hz
        first = numbers[-1] + 1
    busy = threading.active_count() - len(threads)
    tasks = len(asyncio.all_tasks(link._loop.loop()))
    assert link.close()
    assert recorder.close()
    assert heard.links == ["connected", "lost"] * lives
    assert heard.times_s == sorted(heard.times_s)
    with JobReader(recorder.path) as reader:
        assert reader.readings().pressure_pa.tolist() == heard.numbers
    assert verify_job(recorder.path).is_whole
    assert tasks <= 4  # the run, what keeps it alive, its watch, and the sensor within
    assert busy <= 8  # the link's, the recorder's, a small pool's: no more with more lives
    assert {thread for thread in threading.enumerate() if thread not in threads} == set()
    assert descriptors() <= files


def test_a_few_seconds_with_three_drops(tmp_path: Path) -> None:
    run_for(tmp_path, lives=3, life_s=0.7, rate_hz=50.0)


@pytest.mark.slow
@pytest.mark.timeout(300)
def test_half_a_minute_at_two_hundred_a_second_with_ten_drops(tmp_path: Path) -> None:
    run_for(tmp_path, lives=10, life_s=2.0, rate_hz=200.0)


@pytest.mark.slow
@pytest.mark.timeout(300)
def test_two_minutes_at_twenty_a_second_with_a_drop_each(tmp_path: Path) -> None:
    run_for(tmp_path, lives=2, life_s=58.0, rate_hz=20.0)


@pytest.mark.slow
@pytest.mark.timeout(5400)
def test_an_hour_at_twenty_a_second_with_a_drop_every_minute(tmp_path: Path) -> None:
    minutes = 60
    run_for(tmp_path, lives=minutes, life_s=58.0, rate_hz=20.0)
