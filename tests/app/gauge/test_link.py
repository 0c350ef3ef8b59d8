import asyncio
import threading
from collections.abc import Iterator
from queue import Empty

import pytest

from app.gauge.link import AtPump, Ended, Failed, Link, LinkEvent
from app.jobfile.clock import JobClock
from sensors.events import Connected, Emit, Lost, Reading, SensorError
from sensors.keep_alive import KeepAlive

WAIT_S = 30.0  # for a broken build only: nothing here waits for time to pass


class Scripted:
    """A sensor that says what it is told to, then does as told."""

    def __init__(
        self,
        name: str = "serial:test",
        readings: int = 1,
        end: Exception | None = None,
        goes_on: bool = False,
        from_s: float = 500.0,
    ) -> None:
        self.name = name
        self.readings, self.end, self.goes_on, self.from_s = readings, end, goes_on, from_s
        self.is_cleaned_up = False
        self.emit: Emit | None = None

    async def run(self, emit: Emit) -> None:
        self.emit = emit
        try:
            emit(Connected(self.from_s, self.name))
            for number in range(self.readings):
                emit(Reading(self.from_s + number, 100.0))
            if self.goes_on:
                await asyncio.Event().wait()
            if self.end:
                raise self.end
        finally:
            await asyncio.sleep(0)  # clean-up that has to wait
            self.is_cleaned_up = True


@pytest.fixture(autouse=True)
def nothing_survives() -> Iterator[None]:
    """No thread of the link, and no task of a loop of its own, is left."""
    loops: list[asyncio.AbstractEventLoop] = []
    plain_runner = asyncio.Runner.get_loop

    def get_loop(runner: asyncio.Runner) -> asyncio.AbstractEventLoop:
        loops.append(plain_runner(runner))
        return loops[-1]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(asyncio.Runner, "get_loop", get_loop)
        yield
    assert "simmerdown-link" not in [thread.name for thread in threading.enumerate()]
    for loop in loops:
        assert loop.is_closed()
        assert asyncio.all_tasks(loop) == set()


@pytest.fixture
def link() -> Iterator[Link]:
    with Link(clock=JobClock(steady=lambda: 0.0)) as link:
        yield link


def take(link: Link, count: int) -> list[LinkEvent | AtPump]:
    return [link.events.get(timeout=WAIT_S) for _ in range(count)]


def assert_silent(link: Link) -> None:
    with pytest.raises(Empty):
        link.events.get_nowait()


def test_events_go_to_the_recorder_and_to_the_window_on_the_jobs_clock(link: Link) -> None:
    recorded: list[LinkEvent | AtPump] = []
    link.start(Scripted(readings=3), recorded.append)
    events = take(link, 5)
    assert events == [
        Connected(0.0, "serial:test"),
        Reading(0.0, 100.0),
        Reading(1.0, 100.0),
        Reading(2.0, 100.0),
        Ended(2.0),
    ]
    assert recorded == events


def test_what_breaks_a_sensor_is_its_last_event(link: Link) -> None:
    link.start(Scripted(end=SensorError("The port is not there.", is_final=True)))
    assert take(link, 3)[-1] == Failed(0.0, "The port is not there.")
    link.start(Scripted(end=SensorError("The cable fell off.")))
    assert take(link, 3)[-1] == Failed(0.0, "The cable fell off.")


def test_a_fault_in_a_sensor_is_told_and_logged(
    link: Link, caplog: pytest.LogCaptureFixture
) -> None:
    link.start(Scripted(end=KeyError("field")))
    (*_, last) = take(link, 3)
    assert isinstance(last, Failed)
    assert "serial:test" in last.why
    assert "KeyError('field')" in last.why
    assert "KeyError" in caplog.text


def test_a_sensor_can_be_started_after_another_broke(link: Link) -> None:
    link.start(Scripted(end=SensorError("broken")))
    take(link, 3)
    link.start(Scripted(goes_on=True))
    assert take(link, 2)[0] == Connected(0.0, "serial:test")


def test_stop_waits_for_the_clean_up_and_says_nothing_more(link: Link) -> None:
    sensor = Scripted(goes_on=True)
    link.start(sensor)
    take(link, 2)
    assert link.stop(WAIT_S)
    assert sensor.is_cleaned_up
    assert sensor.emit is not None
    sensor.emit(Reading(999.0, 5.0))  # a driver's thread that outlives its sensor
    assert_silent(link)
    assert link.stop(WAIT_S)  # twice does no harm


def test_another_begins_once_the_old_one_is_cleaned_up_and_time_goes_on(link: Link) -> None:
    recorded: list[LinkEvent | AtPump] = []
    old, new = Scripted("a", 10, goes_on=True), Scripted("b", 2, goes_on=True, from_s=0.0)
    link.start(old, recorded.append)
    take(link, 11)
    link.start(new, recorded.append)
    assert take(link, 3) == [Connected(9.0, "b"), Reading(9.0, 100.0), Reading(10.0, 100.0)]
    assert old.is_cleaned_up
    assert old.emit is not None
    old.emit(Reading(1.0, 5.0))
    assert link.stop(WAIT_S)
    assert_silent(link)
    assert len(recorded) == 14


def test_requests_in_a_hurry_take_effect_in_order(link: Link) -> None:
    sensors = [Scripted(str(number), 0, goes_on=True) for number in range(20)]
    for sensor in sensors:
        link.start(sensor)
    assert link.stop(WAIT_S)
    names = []
    while not link.events.empty():
        event = link.events.get()
        assert isinstance(event, Connected)
        names.append(int(event.detail))
    assert names == sorted(names)
    assert all(sensor.is_cleaned_up for sensor in sensors if sensor.emit)


def test_close_ends_everything_and_says_so() -> None:
    link = Link()
    assert link.close()
    sensor = Scripted(goes_on=True)
    link.start(sensor)
    take(link, 2)
    assert link.close(WAIT_S)
    assert sensor.is_cleaned_up
    assert link.close()


def test_a_closed_link_can_be_started_again(link: Link) -> None:
    for _ in range(2):
        link.start(Scripted(goes_on=True))
        take(link, 2)
        assert link.close(WAIT_S)


def test_one_thread_for_all_sensors(link: Link) -> None:
    seen: list[int] = []
    for _ in range(3):
        link.start(Scripted(), lambda _: seen.append(threading.get_ident()))
        take(link, 3)
    assert len(set(seen)) == 1
    assert threading.get_ident() not in seen


def test_a_sensor_that_does_not_stop_does_not_hang_the_program() -> None:
    go_on = threading.Event()

    class Stubborn(Scripted):
        async def run(self, emit: Emit) -> None:
            emit(Connected(0.0))
            while not go_on.is_set():
                try:
                    await asyncio.sleep(0.001)
                except asyncio.CancelledError:
                    continue

    link = Link()
    link.start(Stubborn())
    take(link, 1)
    assert not link.stop(0.05)
    go_on.set()
    assert link.close(WAIT_S)


def test_a_recorder_that_fails_does_not_take_the_readings_from_the_window(
    link: Link, caplog: pytest.LogCaptureFixture
) -> None:
    def broken(event: LinkEvent | AtPump) -> None:
        raise RuntimeError("no")

    link.start(Scripted(), broken)
    assert take(link, 3) == [Connected(0.0, "serial:test"), Reading(0.0, 100.0), Ended(0.0)]
    assert "RuntimeError" in caplog.text


def test_a_gauge_that_is_lost_is_reached_again() -> None:
    class Loose(Scripted):
        tries = 0

        async def run(self, emit: Emit) -> None:
            self.tries += 1
            self.goes_on = self.tries == 2
            self.end = SensorError("The cable fell off.")
            await super().run(emit)

    async def at_once(_: float) -> None:
        await asyncio.sleep(0)

    loose = KeepAlive(Loose(), clock=lambda: 501.0, sleep=at_once)
    with Link(clock=JobClock(steady=lambda: 0.0)) as link:
        link.start(loose)
        kinds = [type(event) for event in take(link, 5)]
    assert kinds == [Connected, Reading, Lost, Connected, Reading]


def test_two_sensors_each_with_its_own_zero_and_emit(link: Link) -> None:
    far, pump = Scripted("far", 2, goes_on=True), Scripted("pump", 2, goes_on=True, from_s=9.0)
    by_far: list[LinkEvent | AtPump] = []
    by_pump: list[LinkEvent | AtPump] = []
    link.start(far, by_far.append)
    told = take(link, 3)
    link.start(pump, by_pump.append, place="pump")
    at_pump = take(link, 3)
    assert told == by_far == [Connected(0.0, "far"), Reading(0.0, 100.0), Reading(1.0, 100.0)]
    # The job's time is the far gauge's latest: there the other one begins.
    readings = [AtPump(Reading(1.0, 100.0)), AtPump(Reading(2.0, 100.0))]
    assert at_pump == by_pump == [AtPump(Connected(1.0, "pump")), *readings]
    assert link.clock.now_s() == 1.0


def test_one_of_two_is_left_or_replaced_and_the_other_goes_on(link: Link) -> None:
    far, pump, other = (Scripted(name, 1, goes_on=True) for name in ("far", "pump", "other"))
    link.start(far)
    link.start(pump, place="pump")
    take(link, 4)
    link.start(other, place="pump")
    assert take(link, 2)[0] == AtPump(Connected(0.0, "other"))
    assert pump.is_cleaned_up
    link.leave("pump")
    link.leave("pump")  # twice does no harm
    link.start(Scripted("another", 1, goes_on=True))
    assert take(link, 2)[0] == Connected(0.0, "another")
    assert other.is_cleaned_up
    assert far.is_cleaned_up
    assert link.stop(WAIT_S)
    assert_silent(link)


def test_what_breaks_the_second_one_is_its_own_last_word(link: Link) -> None:
    link.start(Scripted("far", 1, goes_on=True))
    take(link, 2)
    link.start(Scripted("pump", 0, end=SensorError("The cable fell off.")), place="pump")
    assert take(link, 2)[-1] == AtPump(Failed(0.0, "The cable fell off."))
    assert_silent(link)
