import asyncio
import re
import threading
from collections.abc import Awaitable, Callable
from itertools import pairwise

import pytest

from sensors.events import Connected, Emit, Lost, Reading, Rejected, SensorError
from sensors.keep_alive import KeepAlive
from tests.sensors.heard import Heard
from tests.sensors.virtual_time import VirtualTime, settle

Script = Callable[[VirtualTime, Emit], Awaitable[None]]


class Scripted:
    """A sensor that does one thing after another, each time it is run."""

    name = "scripted:"

    def __init__(self, time: VirtualTime, *scripts: Script) -> None:
        self._time = time
        self._scripts = list(scripts)
        self.starts_s: list[float] = []
        self.cancelled = 0

    async def run(self, emit: Emit) -> None:
        self.starts_s.append(self._time.now_s - 1000.0)
        try:
            script = self._scripts.pop(0) if len(self._scripts) > 1 else self._scripts[0]
            await script(self._time, emit)
        except asyncio.CancelledError:
            self.cancelled += 1
            raise


async def fail(time: VirtualTime, emit: Emit) -> None:
    raise SensorError("There is no port.")


async def connect_and_fail(time: VirtualTime, emit: Emit) -> None:
    emit(Connected(time.now_s))
    raise SensorError("It broke.")


async def read_and_fail(time: VirtualTime, emit: Emit) -> None:
    emit(Connected(time.now_s))
    emit(Reading(time.now_s, 66.0))
    raise SensorError("It broke.")


async def hang(time: VirtualTime, emit: Emit) -> None:
    await asyncio.Event().wait()


async def connect_and_hang(time: VirtualTime, emit: Emit) -> None:
    emit(Connected(time.now_s))
    await hang(time, emit)


async def finish(time: VirtualTime, emit: Emit) -> None:
    emit(Reading(time.now_s, 1.0))


async def fail_finally(time: VirtualTime, emit: Emit) -> None:
    raise SensorError("Wrong option.", is_final=True)


def play(
    *scripts: Script, for_s: float, silence_s: float = 30.0
) -> tuple[Heard, Scripted, BaseException | None, bool]:
    """Run for a while of virtual time; give what came, the sensor, its error, and if it ended."""

    async def main() -> tuple[Heard, Scripted, BaseException | None, bool]:
        time, heard = VirtualTime(), Heard()
        sensor = Scripted(time, *scripts)
        alive = KeepAlive(sensor, silence_s=silence_s, clock=time.clock, sleep=time.sleep)
        assert alive.name == "scripted:"
        task = asyncio.ensure_future(alive.run(heard))
        await time.advance(for_s)
        is_over = task.done()
        task.cancel()
        [outcome] = await asyncio.gather(task, return_exceptions=True)
        error = outcome if isinstance(outcome, BaseException) else None
        assert len(asyncio.all_tasks()) == 1  # nothing is left running
        return heard, sensor, error, is_over

    return asyncio.run(main())


def test_back_off_doubles_up_to_its_ceiling_and_the_loss_is_told_once() -> None:
    heard, sensor, _, _ = play(fail, for_s=36.0)
    assert sensor.starts_s == [0.0, 0.5, 1.5, 3.5, 7.5, 15.5, 25.5, 35.5]
    assert heard.events == [Lost(1000.0, "There is no port.")]


def test_reading_resets_the_back_off_but_connecting_alone_does_not() -> None:
    _, sensor, _, _ = play(connect_and_fail, for_s=4.0)
    assert sensor.starts_s == [0.0, 0.5, 1.5, 3.5]
    _, sensor, _, _ = play(fail, fail, read_and_fail, for_s=3.0)
    assert sensor.starts_s == [0.0, 0.5, 1.5, 2.0, 2.5, 3.0]


def test_each_change_of_the_link_is_told_once_and_in_order() -> None:
    heard, _, _, _ = play(read_and_fail, fail, fail, read_and_fail, fail, hang, for_s=20.0)
    assert heard.links() == ["connected", "lost", "connected", "lost"]
    assert len(heard.readings()) == 2


def test_the_watchdog_stops_a_silent_sensor_and_runs_it_again() -> None:
    heard, sensor, _, _ = play(connect_and_hang, for_s=61.0)
    assert sensor.starts_s == [0.0, 30.5]
    assert sensor.cancelled == 2
    assert heard.links() == ["connected", "lost", "connected", "lost"]
    assert heard.events[1] == Lost(1030.0, "Nothing was heard for 30 s.")


def test_the_watchdog_sees_a_sensor_that_never_connects() -> None:
    heard, sensor, _, _ = play(hang, for_s=6.0, silence_s=5.0)
    assert heard.events == [Lost(1005.0, "Nothing was heard for 5 s.")]
    assert sensor.starts_s == [0.0, 5.5]


def test_readings_and_rejected_lines_keep_the_watchdog_quiet() -> None:
    async def slow(time: VirtualTime, emit: Emit) -> None:
        emit(Connected(time.now_s))
        for number in range(10):
            await time.sleep(29.0)
            emit(Reading(time.now_s, 1.0) if number % 2 else Rejected(time.now_s, b"x", "y"))

    heard, sensor, error, is_over = play(slow, for_s=300.0)
    assert is_over
    assert error is None
    assert heard.links() == ["connected"]
    assert len(heard.events) == 11
    assert sensor.starts_s == [0.0]


def test_the_watchdog_counts_the_time_asleep() -> None:
    async def main() -> None:
        time, heard = VirtualTime(), Heard()
        sensor = Scripted(time, connect_and_hang)
        alive = KeepAlive(sensor, clock=time.clock, sleep=time.sleep)
        task = asyncio.ensure_future(alive.run(heard))
        await settle()
        time.now_s += 3600.0  # the computer slept: the clock went on, the loop's timers did not
        await time.advance(0.1)
        assert heard.links() == ["connected", "lost"]
        task.cancel()
        await asyncio.gather(task, return_exceptions=True)

    asyncio.run(main())


def test_a_final_error_passes_through() -> None:
    heard, sensor, error, is_over = play(fail_finally, for_s=1.0)
    assert is_over
    assert isinstance(error, SensorError)
    assert error.is_final
    assert heard.events == []
    assert sensor.starts_s == [0.0]


def test_another_exception_is_not_hidden() -> None:
    async def fault(time: VirtualTime, emit: Emit) -> None:
        raise ZeroDivisionError

    _, _, error, _ = play(fault, for_s=1.0)
    assert isinstance(error, ZeroDivisionError)


def test_an_exhausted_sensor_ends_it_and_a_reading_implies_the_connection() -> None:
    heard, _, error, is_over = play(finish, for_s=1.0)
    assert is_over
    assert error is None
    assert heard.events == [Connected(1000.0, "scripted:"), Reading(1000.0, 1.0)]


@pytest.mark.parametrize("script", [hang, fail, connect_and_hang])
def test_cancelling_stops_at_once(script: Script) -> None:
    heard, sensor, error, is_over = play(script, for_s=0.25)
    assert not is_over
    assert isinstance(error, asyncio.CancelledError)
    assert len(sensor.starts_s) == 1
    assert "lost" not in heard.links() or script is fail


def test_a_loss_told_by_the_sensor_itself_is_not_told_twice() -> None:
    async def tells(time: VirtualTime, emit: Emit) -> None:
        emit(Connected(time.now_s))
        emit(Connected(time.now_s))
        emit(Lost(time.now_s, "Gone."))
        raise SensorError("Gone.")

    heard, _, _, _ = play(tells, hang, for_s=1.0)
    assert heard.links() == ["connected", "lost"]


def test_events_from_another_thread() -> None:
    async def threaded(time: VirtualTime, emit: Emit) -> None:
        def talk() -> None:
            for _ in range(100):
                emit(Connected(time.now_s))
                emit(Reading(time.now_s, 1.0))

        threads = [threading.Thread(target=talk) for _ in range(4)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()

    heard, _, _, _ = play(threaded, for_s=1.0)
    assert heard.links() == ["connected"]
    assert len(heard.readings()) == 400


def test_settings_are_checked() -> None:
    time = VirtualTime()
    with pytest.raises(ValueError, match="positive"):
        KeepAlive(Scripted(time, hang), silence_s=0.0)
    with pytest.raises(ValueError, match="positive"):
        KeepAlive(Scripted(time, hang), first_retry_s=0.0)
    with pytest.raises(ValueError, match="positive"):
        KeepAlive(Scripted(time, hang), longest_retry_s=0.1)


def test_a_computer_that_slept_is_told_as_that_and_the_gauge_is_reached_anew() -> None:
    async def main() -> list[str]:
        time, heard = VirtualTime(), Heard()
        sensor = Scripted(time, connect_and_hang)
        alive = KeepAlive(sensor, clock=time.clock, sleep=time.sleep)
        task = asyncio.ensure_future(alive.run(heard))
        await time.advance(10.0)
        time.now_s += 3600.0  # the loop's timers stood still meanwhile
        await time.advance(2.0)
        task.cancel()
        await asyncio.gather(task, return_exceptions=True)
        assert sensor.cancelled == 2
        assert heard.links() == ["connected", "lost", "connected"]
        return [event.why for event in heard.events if isinstance(event, Lost)]

    (why,) = asyncio.run(main())
    assert re.fullmatch(r"The computer slept for (3599|3600) s, and nothing was heard since\.", why)


def test_a_gauge_that_speaks_after_the_sleep_is_not_lost() -> None:
    async def speak_on(time: VirtualTime, emit: Emit) -> None:
        emit(Connected(time.now_s))
        while True:
            emit(Reading(time.now_s, 66.0))
            await time.sleep(0.5)

    async def main() -> None:
        time, heard = VirtualTime(), Heard()
        alive = KeepAlive(Scripted(time, speak_on), clock=time.clock, sleep=time.sleep)
        task = asyncio.ensure_future(alive.run(heard))
        await time.advance(10.2)
        time.now_s += 3600.0
        await time.advance(2.0)
        task.cancel()
        await asyncio.gather(task, return_exceptions=True)
        assert heard.links() == ["connected"]
        gaps = [b.time_s - a.time_s for a, b in pairwise(heard.readings())]
        assert max(gaps) > 3599  # shown as the gap it is

    asyncio.run(main())
