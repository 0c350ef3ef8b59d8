"""A gauge that speaks rarely by itself is not run again for being silent."""

from sensors.events import Connected, Emit, Lost, Reading
from tests.sensors.test_keep_alive import play
from tests.sensors.virtual_time import VirtualTime


def test_a_slow_gauge_is_left_alone_once_its_own_pauses_are_known() -> None:
    async def once_a_minute(time: VirtualTime, emit: Emit) -> None:
        while True:  # on the gauge's own clock, whenever it is listened to
            await time.sleep(60.0 - (time.now_s - 1000.0) % 60.0)
            emit(Reading(time.now_s, 1.0))

    heard, sensor, _, _ = play(once_a_minute, for_s=1201.0)
    assert len(heard.readings()) == 20
    assert sensor.starts_s[-1] < 180.0
    lost = [event.time_s for event in heard.events if isinstance(event, Lost)]
    assert lost == [1030.0, 1090.0, 1150.0], "while its pauses are not known"


def test_a_slow_gauge_that_dies_is_run_again_after_three_of_its_pauses() -> None:
    async def dies(time: VirtualTime, emit: Emit) -> None:
        emit(Connected(time.now_s))
        for _ in range(8):
            await time.sleep(20.0)
            emit(Reading(time.now_s, 1.0))
        await time.sleep(1e6)

    heard, sensor, _, _ = play(dies, for_s=230.0)
    assert sensor.starts_s == [0.0, 220.5]
    assert Lost(1220.0, "Nothing was heard for 60 s.") in heard.events


def test_drops_do_not_make_a_quick_gauge_slow() -> None:
    async def drops(time: VirtualTime, emit: Emit) -> None:
        for _ in range(20):
            await time.sleep(1.0)
            emit(Reading(time.now_s, 1.0))
        await time.sleep(1e6)

    _, sensor, _, _ = play(drops, for_s=205.0)
    assert sensor.starts_s == [0.0, 50.5, 101.0, 151.5, 202.0]
