import asyncio
import math
import threading

import pytest

from sensors.events import Connected, Reading, SensorError, SensorEvent
from sensors.sim.scenarios import SCENARIOS
from sensors.sim.sensor import SimSensor
from sensors.sim.simulation import generate


def play(sensor: SimSensor) -> list[SensorEvent]:
    events: list[SensorEvent] = []
    asyncio.run(sensor.run(events.append))
    return events


def test_run_gives_the_same_readings_as_generate() -> None:
    events = play(SimSensor("clean", seed=3, speed=math.inf, rate_hz=2.0))
    assert isinstance(events[0], Connected)
    readings = [event for event in events if isinstance(event, Reading)]
    trace, _ = generate("clean", 3, 2.0)
    assert [r.time_s for r in readings] == trace.time_s.tolist()
    assert [r.pressure_pa for r in readings] == trace.pressure_pa.tolist()
    assert tuple(r.status for r in readings) == trace.status


def test_a_finite_speed_gives_them_too_and_takes_its_time() -> None:
    async def timed() -> tuple[list[SensorEvent], float]:
        events: list[SensorEvent] = []
        loop = asyncio.get_running_loop()
        begun_s = loop.time()
        await SimSensor("hold-held", seed=3, speed=4500.0, rate_hz=1.0).run(events.append)
        return events, loop.time() - begun_s

    events, took_s = asyncio.run(timed())
    trace, _ = generate("hold-held", 3, 1.0)
    pressures = [event.pressure_pa for event in events if isinstance(event, Reading)]
    assert pressures == trace.pressure_pa.tolist()
    assert took_s >= trace.time_s[-1] / 4500.0


def test_it_can_be_run_again_from_the_start() -> None:
    sensor = SimSensor("hold-held", speed=math.inf, rate_hz=1.0)
    assert play(sensor) == play(sensor)


def test_the_valve_can_be_closed_from_another_thread() -> None:
    sensor = SimSensor("demo", speed=math.inf, rate_hz=1.0)
    events: list[SensorEvent] = []

    def emit(event: SensorEvent) -> None:
        events.append(event)
        if len(events) == 1000:
            hand = threading.Thread(target=sensor.act, args=("close-valve",))
            hand.start()
            hand.join()

    asyncio.run(sensor.run(emit))
    truth = sensor.truth()
    assert truth is not None
    at_s = [event.time_s for event in events if isinstance(event, Reading)][998]
    assert [(step.time_s, step.action) for step in truth.actions] == [(at_s, "close-valve")]


def test_it_ends_cleanly_when_cancelled() -> None:
    async def cancelled() -> int:
        events: list[SensorEvent] = []
        task = asyncio.create_task(SimSensor("wet", speed=1.0).run(events.append))
        await asyncio.sleep(0.05)
        task.cancel()
        with pytest.raises(asyncio.CancelledError):
            await task
        return len(events)

    assert asyncio.run(cancelled()) >= 2  # connected, and the reading at time zero


def test_an_unknown_scenario_lists_the_known() -> None:
    with pytest.raises(SensorError) as caught:
        SimSensor("tropical")
    assert caught.value.is_final
    assert all(name in str(caught.value) for name in SCENARIOS)


@pytest.mark.parametrize(
    "options",
    [{"speed": 0.0}, {"speed": math.nan}, {"rate_hz": 0.0}, {"rate_hz": 1e6}, {"seed": -1}],
)
def test_senseless_options_are_refused(options: dict[str, float]) -> None:
    with pytest.raises(SensorError) as caught:
        SimSensor("wet", **options)  # type: ignore[arg-type]
    assert caught.value.is_final


def test_its_name_opens_it_again() -> None:
    assert SimSensor("wet", seed=7, speed=60.0).name == "sim:wet?seed=7&speed=60&rate=5"


def test_an_unknown_action_is_refused() -> None:
    with pytest.raises(ValueError, match="close-valve"):
        SimSensor("wet").act("shake")
