import asyncio
from datetime import UTC, datetime
from functools import partial
from pathlib import Path

import numpy as np
import pytest

from sensors.csv_file import read_csv, write_csv
from sensors.events import Connected, Reading, SensorError
from sensors.replay import Replay
from sensors.series import Series
from tests.sensors.heard import Heard
from tests.sensors.virtual_time import VirtualTime

SERIES = Series(
    np.array([100.0, 101.0, 101.0, 161.0]),
    np.array([66.0, 65.0, 64.0, 63.0]),
    np.array([21.0, np.nan, 21.5, 22.0]),
    datetime(2026, 1, 31, tzinfo=UTC),
    ["ok", "ok", "over-range", "ok"],
)
PLAYED = [
    Reading(1000.0, 66.0, 21.0),
    Reading(1001.0, 65.0, None),
    Reading(1001.0, 64.0, 21.5, "over-range"),
    Reading(1061.0, 63.0, 22.0),
]


@pytest.mark.parametrize(("speed", "last_s"), [(1.0, 61.0), (10.0, 6.1), (0.5, 122.0)])
def test_plays_in_its_own_time_at_any_speed(speed: float, last_s: float) -> None:
    async def main() -> None:
        time, heard = VirtualTime(), Heard()
        replay = Replay(lambda: SERIES, speed=speed, clock=time.clock, sleep=time.sleep)
        task = asyncio.ensure_future(replay.run(heard))
        await heard.until(lambda h: len(h.events) == 2)
        assert heard.events[0] == Connected(1000.0, "4 recorded readings")
        await time.advance(last_s - 0.01)
        assert heard.readings() == PLAYED[:3]
        assert not task.done()
        await time.advance(0.02)
        assert task.done()
        assert heard.readings() == PLAYED

    asyncio.run(main())


def test_as_fast_as_possible_from_a_file_and_from_a_loader(tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    write_csv(path, Series(SERIES.time_s, SERIES.pressure_pa))
    time = VirtualTime()
    for load in (partial(read_csv, path), lambda: SERIES):
        heard = Heard()
        asyncio.run(Replay(load, speed=0, clock=time.clock, sleep=time.sleep).run(heard))
        assert [r.pressure_pa for r in heard.readings()] == [66, 65, 64, 63]
        assert [r.time_s for r in heard.readings()] == [1000, 1001, 1001, 1061]


def test_an_unreadable_file_is_a_final_error(tmp_path: Path) -> None:
    with pytest.raises(SensorError, match="No such file") as caught:
        asyncio.run(Replay(partial(read_csv, tmp_path / "none.csv")).run(Heard()))
    assert caught.value.is_final


def test_cancels_in_the_middle_even_at_full_speed() -> None:
    series = Series(np.arange(1e6), np.ones(1_000_000))

    async def main() -> int:
        heard = Heard()
        task = asyncio.ensure_future(Replay(lambda: series, speed=0).run(heard))
        await heard.until(lambda h: len(h.events) > 1)
        task.cancel()
        await asyncio.gather(task, return_exceptions=True)
        assert task.cancelled()
        return len(heard.events)

    assert asyncio.run(main()) < 1_000_000


def test_an_empty_series_and_a_wrong_speed() -> None:
    heard = Heard()
    asyncio.run(Replay(lambda: Series(np.array([]), np.array([]))).run(heard))
    assert len(heard.events) == 1
    for speed in (-1.0, float("inf"), float("nan")):
        with pytest.raises(ValueError, match="speed"):
            Replay(lambda: SERIES, speed=speed)
