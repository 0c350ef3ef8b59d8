"""The one door: the same items give the same snapshots, however they come."""

import math
from collections.abc import Iterable
from dataclasses import fields, is_dataclass, replace

import numpy as np
import pytest

from analysis.evacuation import Evacuation
from analysis.rules import MICRON_PA, EvacuationRules
from analysis.sample import Mark, Silence
from analysis.snapshot import Burst, Caution, Snapshot
from sensors.events import Reading
from sensors.sim.simulation import generate
from tests.sensors.sim.random_scenarios import random_scenario


def readings(scenario: str, duration_s: float, rate_hz: float = 2.0) -> list[Reading]:
    trace, _ = generate(scenario, seed=5, rate_hz=rate_hz, duration_s=duration_s)
    return [
        Reading(t, p)
        for t, p in zip(trace.time_s.tolist(), trace.pressure_pa.tolist(), strict=True)
    ]


def fed(items: Iterable[Reading | Mark | Silence], evacuation: Evacuation) -> list[Snapshot]:
    return [evacuation.update(item) for item in items]


def confirmed(snapshots: Iterable[Snapshot]) -> list[Burst]:
    return [b for s in snapshots for b in s.bursts if b.state == "confirmed"]


def cautions(snapshots: Iterable[Snapshot]) -> list[Caution]:
    return [c for s in snapshots for c in s.caution_changes]


@pytest.fixture(scope="module")
def wet() -> list[Reading]:
    return readings("wet", 2400.0)


def test_telling_the_time_makes_no_difference(wet: list[Reading]) -> None:
    items: list[Reading | Silence] = []
    for reading in wet:
        items += [reading, Silence(reading.time_s + 0.1)]
    plain = fed(wet, Evacuation())
    told = fed(items, Evacuation())
    assert confirmed(plain) == confirmed(told)
    assert cautions(plain) == cautions(told)
    last_plain, last_told = plain[-1], told[-2]
    assert last_plain == last_told._replace(
        caution_changes=last_plain.caution_changes, bursts=last_plain.bursts
    )


def test_a_shifted_clock_shifts_every_time_and_nothing_else(wet: list[Reading]) -> None:
    shift_s = 65536.0
    # Times that a float holds exactly, shifted or not. Sums of them still round differently, which
    # may tip a close decision on which of two readings a burst began with.
    exact = [replace(r, time_s=round(r.time_s * 1024) / 1024) for r in wet]
    shifted = [replace(r, time_s=r.time_s + shift_s) for r in exact]
    here, there = fed(exact, Evacuation()), fed(shifted, Evacuation())
    assert [b.onset_s + shift_s for b in confirmed(here)] == pytest.approx(
        [b.onset_s for b in confirmed(there)], abs=0.5
    )
    assert [b.rise_pa for b in confirmed(here)] == pytest.approx(
        [b.rise_pa for b in confirmed(there)], rel=1e-6
    )
    assert [s.stage for s in here] == [s.stage for s in there]


def numbers(value: object) -> Iterable[float]:
    if isinstance(value, float):
        yield value
    elif is_dataclass(value):
        for item in fields(value):
            yield from numbers(getattr(value, item.name))
    elif isinstance(value, tuple):
        for part in value:
            yield from numbers(part)


@pytest.mark.parametrize("seed", range(6))
def test_whatever_comes_no_number_is_nan(seed: int) -> None:
    rng = np.random.default_rng(seed)
    scenario = random_scenario(rng)
    trace, _ = generate(scenario, seed=seed, duration_s=900.0)
    evacuation = Evacuation()
    for time_s, pressure_pa in zip(trace.time_s.tolist(), trace.pressure_pa.tolist(), strict=True):
        snapshot = evacuation.update(Reading(time_s, pressure_pa))
        assert all(map(math.isfinite, numbers(snapshot)))


@pytest.mark.parametrize(
    "pressures", [[0.0] * 400, [5.0] * 400, [1e5, 0.0] * 200, [1e-9, 1e6, 3.0] * 130]
)
def test_odd_readings_do_no_harm(pressures: list[float]) -> None:
    evacuation = Evacuation()
    for second, pressure_pa in enumerate(pressures):
        snapshot = evacuation.update(Reading(float(second // 2), pressure_pa))
        assert all(map(math.isfinite, numbers(snapshot)))


def test_time_that_goes_back_is_refused() -> None:
    evacuation = Evacuation()
    evacuation.update(Reading(5.0, 20.0))
    evacuation.update(Reading(5.0, 20.0))
    with pytest.raises(ValueError, match="goes back"):
        evacuation.update(Reading(4.9, 20.0))


def test_silence_raises_no_signal_and_a_reading_lowers_it() -> None:
    evacuation = Evacuation()
    for second in range(60):
        evacuation.update(Reading(float(second), 30.0))
    assert not evacuation.update(Silence(85.0)).cautions
    silent = evacuation.update(Silence(95.0))
    assert [(c.kind, c.from_s) for c in silent.cautions] == [("no-signal", 89.0)]
    evacuation.update(Reading(96.0, 30.0))
    assert not evacuation.update(Reading(97.0, 30.0)).cautions


def test_a_gap_in_a_file_says_what_silence_says_live() -> None:
    evacuation = Evacuation()
    snapshots = fed([Reading(float(s), 30.0) for s in range(60)], evacuation)
    snapshots += fed([Reading(float(s), 30.0) for s in range(200, 260)], evacuation)
    assert [s.gap for s in snapshots if s.gap] == [(59.0, 200.0)]
    assert [(c.kind, c.from_s, c.until_s) for c in cautions(snapshots)] == [
        ("no-signal", 89.0, None),
        ("no-signal", 89.0, 201.0),
    ]


def test_a_cold_circuit_is_never_flat() -> None:
    quiet = [Reading(float(s), 100 * MICRON_PA + 0.01 * (s % 3), 3.0) for s in range(4000)]
    snapshots = fed(quiet, Evacuation())
    assert "cold" in {c.kind for c in snapshots[-1].cautions}
    assert snapshots[-1].flat_reached_s is None
    warm = fed([replace(r, temperature_c=21.0) for r in quiet], Evacuation())
    assert warm[-1].flat_reached_s is not None
    assert [c.kind for c in warm[-1].cautions] == ["no-bursts-seen"]


def test_a_hold_from_the_valve_to_the_finding() -> None:
    evacuation = Evacuation(rules=EvacuationRules(volume_m3=2e-3))
    rng = np.random.default_rng(1)
    for second in range(300):
        evacuation.update(Reading(float(second), 20 + rng.normal(0, 0.02)))
    began = evacuation.update(Mark(300.0, "valve-closed"))
    assert (began.stage, began.hold_from_s) == ("holding", 300.0)
    for second in range(300, 1200):
        rise_pa = 0.05 * (second - 300)
        snapshot = evacuation.update(Reading(float(second), 20 + rise_pa + rng.normal(0, 0.02)))
    assert snapshot.hold is not None
    assert snapshot.stage == "holding"
    assert not snapshot.cautions, "a rise in a hold is no caution"
    done = evacuation.update(Mark(1200.0, "hold-over"))
    assert done.stage == "done"
    assert done.hold is not None
    assert done.hold.finding == "leak"
    assert done.hold.leak_pa_s is not None
    assert done.hold.leak_pa_s.best == pytest.approx(0.05, rel=0.02)
    assert not confirmed([done])


def test_a_valve_opened_again_was_an_isolation() -> None:
    evacuation = Evacuation()
    for second in range(300):
        evacuation.update(Reading(float(second), 20.0 + 0.02 * (second % 2)))
    evacuation.update(Mark(300.0, "valve-closed"))
    for second in range(300, 480):
        evacuation.update(Reading(float(second), 20 + 0.01 * (second - 300)))
    after = evacuation.update(Mark(480.0, "valve-opened"))
    assert after.stage != "holding"
    assert after.hold is None
    assert after.isolation is not None
    assert (after.isolation.from_s, after.isolation.until_s) == (300.0, 480.0)
    assert after.isolation.rise_pa == pytest.approx(1.8, abs=0.2)


def test_over_range_is_no_pressure_of_the_circuit() -> None:
    evacuation = Evacuation()
    for second in range(120):
        snapshot = evacuation.update(Reading(float(second), 2600.0, None, "over-range"))
    assert snapshot.status == "over-range"
    assert snapshot.noise_pa is None
    assert snapshot.burst_count == 0


@pytest.mark.parametrize("temperature_c", [-273.0, -99.9, 850.0])
def test_a_broken_thermometer_stops_nothing(temperature_c: float) -> None:
    evacuation = Evacuation()
    for second in range(60):
        snapshot = evacuation.update(Reading(float(second), 30.0, temperature_c))
        assert all(map(math.isfinite, numbers(snapshot)))


@pytest.mark.parametrize(
    "wrong",
    [{"flat_interval_s": 0.0}, {"volume_m3": -1.0}, {"circuit_c": 900.0}, {"silence_s": math.nan}],
)
def test_rules_refuse_what_makes_no_sense(wrong: dict[str, float]) -> None:
    with pytest.raises(ValueError, match=next(iter(wrong))):
        EvacuationRules(**wrong)  # type: ignore[arg-type]  # wrong on purpose
