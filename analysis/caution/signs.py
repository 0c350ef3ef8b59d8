"""The signs by which each caution is known: evidence in, a reason or ``None`` out."""

import math
from functools import lru_cache

from analysis.caution.freezing import DRY_PA
from analysis.caution.sight import Sight
from analysis.reason import Reason
from analysis.rules import EvacuationRules
from analysis.water import TRIPLE_POINT_PA, boiling_temperature_c

# An air-calibrated thermal gauge overstates water vapour by up to this (kinetic theory 1.48).
WATER_GAUGE_FACTOR = 1.5
COLDEST_ICE_PA = 63.3  # ice at -25 C, IAPWS R14-08: colder ice gives off next to nothing
# A stuck evacuation is called as soon as a stand can be told from a fade; where a pool of water may
# still boil and hold the level up, after the shortest time a clean circuit needs [practice].
NOT_DOWN_AFTER_S, POOL_AFTER_S = 300.0, 600.0
# Gas fading as a power of time falls by a share (half time to now) of 2^power - 1; a leak's or a
# pump's level has a power of nothing, what leaves walls, oil or water of 0.5 to 1. Stuck is what
# has less than the first of these, and no longer stuck what has more than the second ...
STUCK_POWER, FREE_POWER = 0.15, 0.3
ICE_POWER = 0.6  # ice cools while it sublimes: by 6 K in a doubling of time, IAPWS R14-08
# ... and would at its present pace need this long to come under the limit [practice: no
# improvement after 3 h].
RISE_SHARE = 1.0 / 3.0  # what rises by as little as that was lifted by bursts or a valve
STUCK_S, FREE_S = 3 * 3600.0, 1.5 * 3600.0
# Or it does fall, as some power of time, but would at that be under the limit only after half a
# day; a very wet circuit takes a day to be flat [practice], which comes long after. Looked at once
# the shortest pull of a clean circuit is over [practice], for early on a fall bends too much.
LONG_AFTER_S, LONG_S, NO_LONGER_LONG_S = 1800.0, 12 * 3600.0, 6 * 3600.0
# From 10 to 4.5 kPa no water under 31 C boils (IAPWS R7-97), and any usable hose lets through
# more than the pump takes: 5 L with 0.7 L/s come down in 6 s. What takes over 30 s hangs on a
# hose, a core or a valve that is all but shut, or on a pump that is worn. Called once it falls no
# faster than gas fades, as 1/t.
SLOW_FALL_S, SLOW_AFTER_S = 30.0, 1200.0
SLOW_POWER, NO_LONGER_SLOW_POWER = 2.0, 3.0
CLEARLY = 1.1  # a trace that hovers about the limit is not told off again and again
QUIET_S = 600.0  # ice sublimes quietly: no burst for a flat interval ...
ICE_AFTER_S = 300.0  # ... or half of it, where the trace went one of ice's own ways
GONE_PER_S = 1e-3  # the pace at which a trace leaves a stand when its ice has gone: 6 % a minute
TOO_COLD_C = 5.0  # no drying verdict under this [practice]


def no_signal(sight: Sight, _rules: EvacuationRules) -> Reason | None:
    """See that no reading has come for the time set, or for a few of a slow gauge's own."""
    return Reason("no-signal", {"silence_s": sight.silence_s}) if sight.is_silent else None


def sudden_rise(sight: Sight, _rules: EvacuationRules) -> Reason | None:
    """See that the pressure more than doubled in seconds and stayed, as no burst does."""
    return None if sight.is_isolated else sight.sudden.reason


def rising(sight: Sight, _rules: EvacuationRules) -> Reason | None:
    """See that the level climbs, without a break, for longer than a burst's rise."""
    return None if sight.is_isolated else sight.climb.reason


def _stand_pa(sight: Sight, after_s: float) -> float | None:
    """Level after so long a pull, or ``None`` where something other than the pump moves it."""
    if sight.is_isolated or sight.is_broken or sight.sudden.is_high:
        return None
    if "rising" in sight.standing:
        return None
    return sight.plateau.level_pa if sight.time_s - sight.pull_s >= after_s else None


def _stuck_pa(
    sight: Sight,
    rules: EvacuationRules,
    power: float,
    within_s: float,
    after_s: float = NOT_DOWN_AFTER_S,
) -> float | None:
    """Level at which the trace is stuck too high, or ``None``.

    It falls with less than a power of time, and would not come down ``within_s``.
    """
    elapsed_s, level_pa = sight.time_s - sight.pull_s, _stand_pa(sight, after_s)
    if level_pa is None or level_pa <= rules.flat_below_pa:
        return None
    if elapsed_s < POOL_AFTER_S and not _is_below_liquid(level_pa):
        return None
    fall_per_s = sight.plateau.fall_at_most_per_s
    rise_per_s = sight.plateau.unsure_per_s - sight.plateau.fall_per_s
    if fall_per_s * elapsed_s > power or rise_per_s * elapsed_s > power * RISE_SHARE:
        return None
    needed = math.log(level_pa / rules.flat_below_pa)
    return level_pa if fall_per_s * within_s < needed else None


def ice(sight: Sight, rules: EvacuationRules) -> Reason | None:
    """See a stand in the pressures of ice that is no leak's, pump's or hose's.

    Where the trace does not tell it is ``not-pulling-down``, whose words mention ice.
    """
    level_pa = _stuck_pa(sight, rules, ICE_POWER, 0.0, ICE_AFTER_S)
    if level_pa is None or not can_be_ice(level_pa):
        return None
    if sight.quiet_s < ICE_AFTER_S or sight.boil.count(sight.time_s - ICE_AFTER_S):
        return None  # what still bursts is liquid
    is_quiet = sight.quiet_s >= QUIET_S
    is_still = is_quiet and _stuck_pa(sight, rules, STUCK_POWER, STUCK_S) is not None
    freezing, quiet_s = sight.freezing, sight.quiet_s
    seen = sight.fall, sight.plateau, sight.boil, sight.time_s, sight.fall_s
    if not freezing.is_ice(*seen, quiet_s=quiet_s, is_quiet=is_quiet, is_still=is_still):
        return None
    return _ice_reason("ice", _rounded(level_pa))


def still_ice(sight: Sight, _rules: EvacuationRules) -> Reason | None:
    """See that nothing shows the ice has gone: no bursts again, and no quick fall."""
    level_pa = sight.plateau.level_pa
    if level_pa is None:
        return Reason("ice")  # a gap or a valve: not known to be over
    if level_pa < COLDEST_ICE_PA or sight.sudden.is_high:
        return None
    is_boiling = sight.boil.count(sight.time_s - QUIET_S) >= 2
    lately_per_s = sight.pace.change_per_s(120.0)
    has_gone = lately_per_s is not None and lately_per_s < -GONE_PER_S
    return None if is_boiling or has_gone else Reason("ice")


def not_pulling_down(sight: Sight, rules: EvacuationRules) -> Reason | None:
    """See that the trace stands clearly too high and no longer falls, or falls too slowly."""
    if "ice" in sight.standing:
        return None  # raised sooner
    level_pa = _stuck_pa(sight, rules, STUCK_POWER, STUCK_S)
    if level_pa is None:
        long = _long_reason(sight, rules, LONG_S)
        return long or _slow_reason(sight, rules, SLOW_POWER)
    return _not_down(sight, level_pa) if level_pa > CLEARLY * rules.flat_below_pa else None


def still_not_down(sight: Sight, rules: EvacuationRules) -> Reason | None:
    """See that the trace does not yet fall clearly."""
    if "ice" in sight.standing:
        return None
    level_pa = _stuck_pa(sight, rules, FREE_POWER, FREE_S)
    return (
        _not_down(sight, level_pa)
        or _long_reason(sight, rules, NO_LONGER_LONG_S)
        or _slow_reason(sight, rules, NO_LONGER_SLOW_POWER)
    )


def _high_pa(sight: Sight, rules: EvacuationRules, after_s: float) -> float | None:
    """Level that is clearly too high for so long a pull, or ``None``."""
    level_pa = _stand_pa(sight, after_s)
    is_high = level_pa is not None and level_pa >= CLEARLY * rules.flat_below_pa
    return level_pa if is_high else None


def _long_reason(sight: Sight, rules: EvacuationRules, within_s: float) -> Reason | None:
    """See that the trace, drawn out as a power of time, is not under the limit ``within_s``."""
    elapsed_s, level_pa = sight.time_s - sight.pull_s, _high_pa(sight, rules, LONG_AFTER_S)
    if level_pa is None:
        return None
    power = sight.plateau.fall_at_most_per_s * elapsed_s
    needed = math.log(level_pa / rules.flat_below_pa)
    if power * math.log(max(within_s / elapsed_s, 1.0)) >= needed:
        return None
    return Reason("hardly-pulling-down", {"pressure_pa": level_pa, "long_s": within_s})


def _slow_reason(sight: Sight, rules: EvacuationRules, power: float) -> Reason | None:
    """See that so little of the pump's speed reaches the circuit that it may take all day."""
    elapsed_s, level_pa = sight.time_s - sight.pull_s, _high_pa(sight, rules, SLOW_AFTER_S)
    if level_pa is None:
        return None
    took_s = sight.fall.between_s(*DRY_PA, at="least")
    if took_s is None or took_s < SLOW_FALL_S or sight.plateau.fall_per_s * elapsed_s > power:
        return None
    return Reason("pulling-slowly", {"pressure_pa": level_pa, "took_s": took_s})


def _not_down(sight: Sight, level_pa: float | None) -> Reason | None:
    if level_pa is None:
        return None
    if can_be_ice(level_pa) and not sight.boil.count(sight.time_s - QUIET_S):
        return _ice_reason("not-pulling-down-or-ice", _rounded(level_pa))
    return Reason("not-pulling-down", {"pressure_pa": level_pa})


def _is_below_liquid(level_pa: float) -> bool:
    return level_pa < WATER_GAUGE_FACTOR * TRIPLE_POINT_PA


def can_be_ice(level_pa: float) -> bool:
    """Whether ice may hold the level, as a gauge shows it."""
    return COLDEST_ICE_PA < level_pa and _is_below_liquid(level_pa)


def _rounded(pressure_pa: float) -> float:
    return float(f"{pressure_pa:.3g}")


@lru_cache(maxsize=8)  # the inverse is slow, and a level hardly moves
def _ice_reason(code: str, level_pa: float) -> Reason:
    """Name the ice's temperature by what is shown, which may be up to 1.5 times the truth."""
    warmest_pa = min(level_pa, TRIPLE_POINT_PA)
    values = {
        "pressure_pa": level_pa,
        "coldest_c": boiling_temperature_c(level_pa / WATER_GAUGE_FACTOR),
        "ice_c": boiling_temperature_c(warmest_pa),
    }
    return Reason(code, values)


def cold(sight: Sight, rules: EvacuationRules) -> Reason | None:
    """See that the circuit is too cold for water to boil off as it should."""
    return _cold_under(rules.cold_c, sight.circuit_c)


def still_cold(sight: Sight, rules: EvacuationRules) -> Reason | None:
    """See that the circuit has not warmed past the limit by a little."""
    return _cold_under(rules.warm_c, sight.circuit_c)


def _cold_under(limit_c: float, circuit_c: float) -> Reason | None:
    if circuit_c >= limit_c:
        return None
    return Reason("too-cold" if circuit_c < TOO_COLD_C else "cold", {"temperature_c": circuit_c})


def no_bursts_seen(sight: Sight, _rules: EvacuationRules) -> Reason | None:
    """See that it is flat and never boiled; a mark or two in hours is no boil-off."""
    if not sight.is_flat or sight.boil.has_boiled or sight.is_proven:
        return None
    return Reason("no-bursts-seen", {"pulled_s": sight.time_s - sight.pull_s})
