"""Each sign by itself, on traces made here from the physics that the sign names."""

from collections.abc import Callable, Sequence

import numpy as np
import pytest

from analysis.caution.board import CautionBoard
from analysis.evacuation import Evacuation
from analysis.rules import MICRON_PA, EvacuationRules
from analysis.sample import Mark
from analysis.snapshot import Caution
from analysis.water import TRIPLE_POINT_PA, boiling_pressure_pa
from sensors.events import Reading
from tests.analysis.bursts_made import bursts_pa

Floats = np.ndarray


def raised(
    times_s: Floats,
    pressures_pa: Floats,
    celsius: Callable[[float], float] | None = None,
    marks: Sequence[Mark] = (),
) -> list[tuple[str, float, float | None]]:
    """Cautions with when they were raised and lowered."""
    evacuation, found, coming = Evacuation(), list[Caution](), list(marks)
    for time_s, pressure_pa in zip(times_s.tolist(), pressures_pa.tolist(), strict=True):
        while coming and coming[0].time_s <= time_s:
            found += evacuation.update(coming.pop(0)).caution_changes
        warmth = None if celsius is None else celsius(time_s)
        found += evacuation.update(Reading(time_s, pressure_pa, warmth)).caution_changes
    ends = {(c.kind, c.from_s): c.until_s for c in found}
    return [(kind, from_s, until_s) for (kind, from_s), until_s in ends.items()]


def kinds(times_s: Floats, pressures_pa: Floats) -> list[str]:
    return [kind for kind, _, _ in raised(times_s, pressures_pa)]


def noisy(pressures_pa: Floats, seed: int = 1, step_micron: float = 1.0) -> Floats:
    """With 2 parts in 1000 of noise, rounded."""
    rng = np.random.default_rng(seed)
    shown = pressures_pa * (1.0 + 0.002 * rng.standard_normal(pressures_pa.size))
    step_pa = step_micron * MICRON_PA
    return np.round(shown / step_pa) * step_pa


def pumped(times_s: Floats, load: Callable[[float, float], float], fall_s: float = 12.0) -> Floats:
    """dP/dt = -(P - load) / fall, from 200 mbar; ``load(time_s, pressure_pa)`` in Pa."""
    step_s = float(times_s[1] - times_s[0])
    pressure_pa, out = 2e4, []
    for time_s in times_s.tolist():
        out.append(pressure_pa)
        level_pa = load(time_s, pressure_pa)
        pressure_pa = level_pa + (pressure_pa - level_pa) * float(np.exp(-step_s / fall_s))
    return np.array(out)


TIMES_S = np.arange(0.0, 3600.0, 1.0)


@pytest.mark.parametrize("fade_micron", [0.0, 150.0])
@pytest.mark.parametrize("step_micron", [1.0, 10.0])
def test_a_leak_is_stuck_and_not_ice(fade_micron: float, step_micron: float) -> None:
    def load(time_s: float, _pressure_pa: float) -> float:
        return (1200.0 + fade_micron / (1.0 + time_s / 600.0)) * MICRON_PA

    found = raised(TIMES_S, noisy(pumped(TIMES_S, load), step_micron=step_micron))
    assert [(kind, until_s) for kind, _, until_s in found] == [("not-pulling-down", None)]
    assert 300.0 <= found[0][1] <= 1500.0


def test_a_large_leak_is_told_within_nine_minutes_and_a_boiling_pool_is_waited_for() -> None:
    times_s = np.arange(0.0, 590.0, 1.0)
    leak_pa = noisy(pumped(times_s, lambda _time_s, _pa: 2500.0 * MICRON_PA))
    ((kind, from_s, _),) = raised(times_s, leak_pa)
    assert kind == "not-pulling-down"
    assert from_s < 540.0
    pool_pa = noisy(pumped(times_s, lambda _time_s, _pa: boiling_pressure_pa(20.0)))
    assert kinds(times_s, pool_pa) == []


@pytest.mark.parametrize("tau_s", [600.0, 3000.0])
@pytest.mark.parametrize("step_micron", [1.0, 10.0])
def test_gas_that_still_leaves_the_walls_is_neither(tau_s: float, step_micron: float) -> None:
    # 300 micron in the end, four times that at first, fading as 1/t: over 500 for long.
    def load(time_s: float, _pressure_pa: float) -> float:
        return 300.0 * (1.0 + 4.0 / (1.0 + time_s / tau_s)) * MICRON_PA

    found = kinds(TIMES_S, noisy(pumped(TIMES_S, load), step_micron=step_micron))
    assert not {"ice", "not-pulling-down"} & set(found)


@pytest.mark.parametrize(("fall_s", "size_micron"), [(18.0, 60.0), (18.0, 100.0), (25.0, 100.0)])
def test_one_burst_that_holds_up_the_fall_makes_no_stop_of_ice(
    fall_s: float, size_micron: float
) -> None:
    times_s = np.arange(0.0, 1500.0, 0.5)

    def load(time_s: float, _pressure_pa: float) -> float:
        return (700.0 + 120.0 / (1.0 + time_s / 900.0)) * MICRON_PA

    pressure_pa = pumped(times_s, load, fall_s)
    onset_s = times_s[np.argmax(pressure_pa < 1.32 * pressure_pa[-1])]
    burst_pa = bursts_pa(times_s, [onset_s], size_micron * MICRON_PA, fall_s)
    assert "ice" not in kinds(times_s, noisy(pressure_pa + burst_pa))


def test_a_pool_that_cools_and_freezes_is_ice() -> None:
    # Cools from 10 C towards -12 C with a time constant of four minutes.
    def load(time_s: float, _pressure_pa: float) -> float:
        return 1.5 * boiling_pressure_pa(-12.0 + 22.0 * float(np.exp(-time_s / 240.0)))

    found = raised(TIMES_S, noisy(pumped(TIMES_S, load)))
    (ice,) = [item for item in found if item[0] == "ice"]
    assert 600.0 < ice[1] < 2700.0
    assert ice[2] is None
    assert [kind for kind, _, until_s in found if until_s is None] == ["ice"]


def test_ice_that_takes_hold_at_once_makes_a_sharp_stand() -> None:
    # Gas comes only under the ice's own pressure, and then as much as it takes.
    ice_pa = 1.3 * boiling_pressure_pa(-8.0)

    def load(_time_s: float, pressure_pa: float) -> float:
        return ice_pa if pressure_pa <= ice_pa else 0.0

    times_s = np.arange(0.0, 1800.0, 0.5)
    assert "ice" in kinds(times_s, noisy(pumped(times_s, load, fall_s=15.0)))


@pytest.mark.parametrize(("lull_s", "is_told"), [(15.0, True), (36.0, True), (120.0, False)])
def test_bursts_that_end_at_once_over_what_cools_are_ice(lull_s: float, is_told: bool) -> None:
    """Frozen at 450 s; its level goes down at an even pace, which fading gas may do as well."""
    times_s, frozen_s = np.arange(0.0, 2400.0, 1.0), 450.0
    onsets_s = np.arange(40.0, frozen_s, lull_s)
    level_pa = np.interp(times_s, [0.0, frozen_s, 2400.0], [1500.0, 1200.0, 800.0]) * MICRON_PA
    boils_pa = bursts_pa(times_s, onsets_s, 60.0 * MICRON_PA, 8.0)
    found = kinds(times_s, noisy(level_pa + boils_pa + 1e4 * np.exp(-times_s / 8.0)))
    assert ("ice" in found) == is_told


def test_a_stand_over_the_pressures_of_ice_is_not_ice() -> None:
    level_pa = 1.7 * TRIPLE_POINT_PA
    found = kinds(TIMES_S, noisy(pumped(TIMES_S, lambda _t, p: level_pa if p <= level_pa else 0.0)))
    assert found == ["not-pulling-down"]


def test_ice_gone_is_ice_lowered() -> None:
    def load(time_s: float, _pressure_pa: float) -> float:
        if time_s > 2700.0:
            return 80.0 * MICRON_PA
        return 1.5 * boiling_pressure_pa(-12.0 + 22.0 * float(np.exp(-time_s / 240.0)))

    found = raised(TIMES_S, noisy(pumped(TIMES_S, load)))
    (ice,) = [item for item in found if item[0] == "ice"]
    assert ice[2] is not None
    assert 2700.0 < ice[2] < 3100.0


def test_half_an_hour_of_nothing_is_flat_without_bursts() -> None:
    # 80 micron that fades: no shut gauge, since walls give off gas.
    def load(time_s: float, _pressure_pa: float) -> float:
        return 60.0 * (1.0 + 2.0 / (1.0 + time_s / 900.0)) * MICRON_PA

    found = raised(TIMES_S, noisy(pumped(TIMES_S, load), step_micron=0.1))
    assert [kind for kind, _, _ in found] == ["no-bursts-seen"]
    assert 1790.0 < found[0][1] < 2000.0


@pytest.mark.parametrize("start_pa", [1.0e5, 2000 * MICRON_PA])
def test_a_shut_gauge_is_seen_at_once(start_pa: float) -> None:
    times_s = np.arange(0.0, 900.0, 0.5)
    shut = noisy(30.0 * MICRON_PA + start_pa * np.exp(-times_s / 0.5), step_micron=0.1)
    found = raised(times_s, shut)
    assert [kind for kind, _, _ in found] == ["gauge-shut-off"]
    assert found[0][1] < 30.0


@pytest.mark.parametrize(("level_micron", "step_micron"), [(100.0, 0.02), (35.0, 1.0), (73.0, 1.0)])
def test_a_shut_gauge_with_a_slow_needle_is_told_by_its_stand(
    level_micron: float, step_micron: float
) -> None:
    """Whole micron never tell that it stands still, but no circuit ends its fall as soon."""
    lag_s = 2.5 if level_micron != 73.0 else 2.0
    times_s = np.arange(0.0, 900.0, 0.5)
    shut_pa = level_micron * MICRON_PA + 1.0e5 * np.exp(-times_s / lag_s)
    shut = noisy(shut_pa, step_micron=step_micron)
    found = raised(times_s, shut)
    assert [kind for kind, _, _ in found] == ["gauge-shut-off"]
    assert found[0][1] < 600.0


@pytest.mark.parametrize("bad_pa", [0.0, 1.01325e5])
@pytest.mark.parametrize("count", [2, 3])
def test_some_bad_readings_in_a_row_are_no_shut_gauge(bad_pa: float, count: int) -> None:
    def load(time_s: float, _pressure_pa: float) -> float:
        return 60.0 * (1.0 + 1.0 / (1.0 + time_s / 900.0)) * MICRON_PA

    times_s = np.arange(0.0, 900.0, 0.5)
    shown = noisy(pumped(times_s, load), step_micron=0.1)
    for first in range(150, 1700, 77):  # some of them while the cautions are weighed
        shown[first : first + count] = bad_pa
    assert kinds(times_s, shown) == []


def test_a_gauge_that_showed_nothing_for_a_while_is_told_until_it_is_back() -> None:
    def load(time_s: float, _pressure_pa: float) -> float:
        return 60.0 * (1.0 + 1.0 / (1.0 + time_s / 900.0)) * MICRON_PA

    times_s = np.arange(0.0, 900.0, 0.5)
    shown = noisy(pumped(times_s, load), step_micron=0.1)
    shown[(times_s > 500.0) & (times_s < 550.0)] = 0.0
    ((kind, from_s, until_s),) = raised(times_s, shown)
    assert kind == "gauge-shut-off"
    assert 500.0 < from_s < 530.0
    assert until_s is not None
    assert 550.0 < until_s < 610.0


def test_a_small_fast_circuit_is_no_shut_gauge() -> None:
    def load(time_s: float, _pressure_pa: float) -> float:
        return 60.0 * (1.0 + 1.0 / (1.0 + time_s / 900.0)) * MICRON_PA

    times_s = np.arange(0.0, 1200.0, 0.5)
    assert kinds(times_s, noisy(pumped(times_s, load, fall_s=3.0), step_micron=0.1)) == []


def test_cold_says_when_it_is_too_cold() -> None:
    def celsius(time_s: float) -> float:
        return 14.0 - time_s / 60.0 if time_s < 720.0 else 2.0 + (time_s - 720.0) / 60.0

    times_s = np.arange(0.0, 1500.0, 1.0)
    evacuation, seen = Evacuation(), dict[float, tuple[str, ...]]()
    for time_s in times_s.tolist():
        snapshot = evacuation.update(Reading(time_s, 20.0, celsius(time_s)))
        seen[time_s] = tuple(c.reason.code for c in snapshot.cautions)
    assert seen[200.0] == ()
    assert seen[300.0] == ("cold",)
    assert seen[600.0] == ("too-cold",)
    assert seen[1250.0] == ("cold",), "11 C is not yet warm again"
    assert seen[1400.0] == ()


def test_nothing_is_seen_before_anything_came() -> None:
    assert CautionBoard(EvacuationRules()).standing == ()


def test_air_that_takes_the_gauge_over_its_range_is_a_sudden_rise() -> None:
    evacuation, found = Evacuation(), list[Caution]()
    for second in range(600):
        is_over = second >= 500
        reading = Reading(
            float(second), 1333.0 if is_over else 20.0, None, "over-range" if is_over else "ok"
        )
        found += evacuation.update(reading).caution_changes
    assert [c.kind for c in found] == ["sudden-rise"]
    assert 500.0 <= found[0].from_s <= 510.0


@pytest.mark.parametrize("fill_s", [15.0, 80.0])
def test_nitrogen_is_no_sudden_rise_where_it_was_marked(fill_s: float) -> None:
    times_s = np.arange(0.0, 1500.0, 1.0)
    since = times_s - 500.0
    nitrogen = np.clip(since / fill_s, 0.0, 1.0) * 1.1e5
    pumped_out = 25.0 + nitrogen * np.exp(-(since - 400.0).clip(0.0) / 12.0)
    trace = noisy(pumped_out)
    assert raised(times_s, trace, marks=[Mark(490.0, "nitrogen-in")]) == []
    unmarked = raised(times_s, trace)
    assert "sudden-rise" in {kind for kind, _, _ in unmarked}
    assert all(until_s is not None for _, _, until_s in unmarked), "over once it is pumped out"


def test_nitrogen_that_stays_in_is_told_once() -> None:
    times_s = np.arange(0.0, 1800.0, 1.0)
    since_s = times_s - 1000.0
    nitrogen_pa = np.clip(since_s / 20.0, 0.0, 1.0) * 1.1e5
    trace_pa = noisy(25.0 + nitrogen_pa * np.exp(-(since_s - 500.0).clip(0.0) / 12.0))
    ends_pa = np.minimum(trace_pa, 2.7e3)  # where the gauge's range ends
    assert [kind for kind, _, _ in raised(times_s, ends_pa)] == ["sudden-rise"]


def test_nitrogen_that_was_marked_may_stay_in_for_as_long_as_it_likes() -> None:
    times_s = np.arange(0.0, 2400.0, 1.0)
    since_s = times_s - 500.0
    nitrogen_pa = np.clip(since_s / 20.0, 0.0, 1.0) * 1.1e5
    trace_pa = noisy(25.0 + nitrogen_pa * np.exp(-(since_s - 1500.0).clip(0.0) / 12.0))
    assert raised(times_s, trace_pa, marks=[Mark(490.0, "nitrogen-in")]) == []


def test_a_valve_marked_open_ends_a_rise_that_was_an_isolation() -> None:
    times_s = np.arange(0.0, 900.0, 1.0)
    rise = (times_s - 400.0).clip(0.0, 200.0) * 0.5
    trace = noisy(25.0 + rise * np.exp(-(times_s - 600.0).clip(0.0) / 20.0))
    marks = [Mark(400.0, "valve-closed"), Mark(600.0, "valve-opened")]
    assert raised(times_s, trace, marks=marks) == []
    assert "rising" in kinds(times_s, trace)
