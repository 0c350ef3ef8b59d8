"""The signs by which each caution is known: evidence in, a reason or ``None`` out."""

from dataclasses import dataclass, field

from analysis.fall import Fall
from analysis.pace import Pace
from analysis.reason import Reason
from analysis.rise import Climb, SuddenRise
from analysis.rules import EvacuationRules
from analysis.water import TRIPLE_POINT_PA, boiling_temperature_c

HOUR_S = 3600.0
PLATEAU_S = 600.0  # a trace is judged to stand still over this long
# Standing still: at this pace the level would take five hours to halve, longer than any pull.
STILL_PER_S = 0.14 / HOUR_S
# An air-calibrated thermal gauge overstates water vapour by up to this (kinetic theory 1.48).
WATER_GAUGE_FACTOR = 1.5
COLDEST_ICE_PA = 63.3  # ice at -25 C, IAPWS R14-08: colder ice gives off next to nothing
# A stuck evacuation is called after the shortest time a clean circuit needs [practice].
NOT_DOWN_AFTER_S = 600.0


@dataclass(slots=True)
class Sight:
    """What can be seen at one moment; filled once a second."""

    time_s: float
    start_s: float
    pressure_pa: float | None
    pace: Pace
    noise_pa: float | None
    fall_s: float | None
    circuit_c: float
    silent_s: float
    is_isolated: bool
    burst_count: int
    last_onset_s: float | None
    is_flat: bool
    fall: Fall = field(default_factory=Fall)
    sudden: SuddenRise = field(default_factory=SuddenRise)
    climb: Climb = field(default_factory=Climb)


def no_signal(sight: Sight, rules: EvacuationRules) -> Reason | None:
    """See that no reading has come for the time set."""
    if sight.silent_s < rules.silence_s:
        return None
    return Reason("no-signal", {"silence_s": rules.silence_s})


def sudden_rise(sight: Sight, _rules: EvacuationRules) -> Reason | None:
    """See that the pressure more than doubled in seconds and stayed, as no burst does."""
    if sight.is_isolated:
        return None
    return sight.sudden.reason


def still_high(sight: Sight, _rules: EvacuationRules) -> Reason | None:
    """See that the pressure has not come back to near where it shot up from."""
    return sight.sudden.reason if sight.sudden.is_high else None


def gauge_shut_off(sight: Sight, _rules: EvacuationRules) -> Reason | None:
    """See that the gauge fell faster than any circuit can, or stood still once down."""
    if sight.is_isolated or not sight.fall.is_too_fast:
        return None
    return Reason("gauge-shut-off", {"fell_s": sight.fall.fell_s or 0.0})


def still_shut_off(sight: Sight, rules: EvacuationRules) -> Reason | None:
    """See that no burst has shown yet that the gauge sees the circuit."""
    if sight.burst_count >= 2 or sight.is_isolated:
        return None
    return gauge_shut_off(sight, rules)


def rising(sight: Sight, _rules: EvacuationRules) -> Reason | None:
    """See that the level climbs, without a break, for longer than a burst's rise."""
    return None if sight.is_isolated else sight.climb.reason


def _plateau_pa(sight: Sight, rules: EvacuationRules) -> float | None:
    if sight.is_isolated or sight.sudden.is_high:
        return None
    if sight.time_s - sight.start_s < NOT_DOWN_AFTER_S:
        return None
    level_pa, change = sight.pace.level_pa, sight.pace.change_per_s(PLATEAU_S)
    if level_pa is None or change is None or level_pa <= rules.flat_below_pa:
        return None
    return level_pa if abs(change) < STILL_PER_S else None


def ice(sight: Sight, rules: EvacuationRules) -> Reason | None:
    """See that the trace came to a stand slowly, as freezing water cools, where ice can be."""
    level_pa = _plateau_pa(sight, rules)
    if level_pa is None or not (COLDEST_ICE_PA < level_pa < WATER_GAUGE_FACTOR * TRIPLE_POINT_PA):
        return None
    if sight.last_onset_s is not None and sight.time_s - sight.last_onset_s < PLATEAU_S:
        return None  # ice sublimes quietly; what still bursts is liquid
    if not sight.fall.is_slow_arrival(level_pa, sight.fall_s):
        return None
    ice_c = boiling_temperature_c(min(level_pa, TRIPLE_POINT_PA))
    return Reason("ice", {"pressure_pa": level_pa, "ice_c": ice_c})


def not_pulling_down(sight: Sight, rules: EvacuationRules) -> Reason | None:
    """See that the trace stands too high and no longer falls."""
    if ice(sight, rules) is not None:
        return None
    level_pa = _plateau_pa(sight, rules)
    if level_pa is None:
        return None
    return Reason("not-pulling-down", {"pressure_pa": level_pa})


def cold(sight: Sight, rules: EvacuationRules) -> Reason | None:
    """See that the circuit is too cold for water to boil off as it should."""
    if sight.circuit_c >= rules.cold_c:
        return None
    return Reason("cold", {"temperature_c": sight.circuit_c})


def still_cold(sight: Sight, rules: EvacuationRules) -> Reason | None:
    """See that the circuit has not warmed past the limit by a little."""
    if sight.circuit_c >= rules.warm_c:
        return None
    return Reason("cold", {"temperature_c": sight.circuit_c})


def no_bursts_seen(sight: Sight, _rules: EvacuationRules) -> Reason | None:
    """See that it is flat and never boiled."""
    if not sight.is_flat or sight.burst_count:
        return None
    return Reason("no-bursts-seen", {"pulled_s": sight.time_s - sight.start_s})
