import asyncio
import math
import threading
from dataclasses import replace

import pytest

from sensors.events import Connected, Reading, SensorError, SensorEvent
from sensors.sim.hose import transition_factor
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


def at_times(events: list[SensorEvent], times_s: list[float]) -> list[float]:
    """Give the newest pressure at each time, Pa."""
    readings = [event for event in events if isinstance(event, Reading)]
    seen = [[r.pressure_pa for r in readings if r.time_s <= at_s] for at_s in times_s]
    return [each[-1] for each in seen]


def test_a_second_one_at_the_pump_is_on_the_same_circuit() -> None:
    """In steady flow S P_pump = S_eff P_far: a vacuum handbook's law, from memory."""
    far, at_pump = (
        SimSensor("wet", seed=3, speed=math.inf, rate_hz=2.0, is_at_pump=is_at_pump)
        for is_at_pump in (False, True)
    )
    assert at_pump.name == far.name + "&at=pump"
    as_it_is = replace(far.scenario.gauge, water_factor=1.0)  # the law is of true pressures
    far.scenario = at_pump.scenario = replace(far.scenario, gauge=as_it_is)
    far_events, pump_events = play(far), play(at_pump)
    truth, truth_at_pump = far.truth(), at_pump.truth()
    assert truth is not None
    assert truth_at_pump is not None
    far_bursts, pump_bursts = ([b.onset_s for b in t.bursts] for t in (truth, truth_at_pump))
    assert pump_bursts == pytest.approx(far_bursts, abs=0.5)
    scenario = far.scenario
    for far_pa, pump_pa in zip(
        *(at_times(events, [900.0, 1800.0]) for events in (far_events, pump_events)), strict=True
    ):
        mean_m_pa = scenario.hose.diameter_m * 0.5 * (far_pa + pump_pa)
        conductance = scenario.hose.viscous_m3_s_per_pa * 0.5 * (far_pa + pump_pa)
        conductance += scenario.hose.molecular_m3_s(20.0) * transition_factor(mean_m_pa)
        share = conductance / (conductance + scenario.pump.speed_m3_s)
        wanted_pa = scenario.pump.ultimate_pa + share * (far_pa - scenario.pump.ultimate_pa)
        assert pump_pa == pytest.approx(wanted_pa, rel=0.2, abs=0.4)
        assert pump_pa < far_pa


def test_behind_the_closed_valve_the_pump_pulls_on_itself() -> None:
    sensor = SimSensor("wet", speed=math.inf, rate_hz=1.0, is_at_pump=True)
    events: list[SensorEvent] = []
    acts = {200: "close-valve", 400: "pump-off", 500: "open-valve", 700: "pump-on"}

    def emit(event: SensorEvent) -> None:
        events.append(event)
        if len(events) in acts:
            sensor.act(acts[len(events)])

    asyncio.run(sensor.run(emit))
    readings = [event for event in events if isinstance(event, Reading)]
    closed, vented, open_again, pulling = (readings[at].pressure_pa for at in (389, 489, 519, 899))
    assert closed == pytest.approx(sensor.scenario.pump.ultimate_pa, abs=1.0)
    assert vented == pytest.approx(101325.0, rel=0.02)
    assert closed < open_again < vented  # the circuit's own, with air leaking back
    assert pulling < open_again
