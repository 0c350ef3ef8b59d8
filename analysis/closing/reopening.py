"""What the fall after an isolation tells of the pump: V / S_eff, measured and not guessed.

A hose's speed is a + b P: molecular, and viscous with the pressure. Where the level stood at P0
the pump just took what came in, so opened again x = P - P0 falls as dx/dt = -x (k + m x), with
k = (a + b (2 P0 - Pu)) / V and m = b / V: quickly while high, at the rate k in the end. From
both follows S_eff(P0) / V = k - m (P0 - Pu). The pump's ultimate pressure Pu lies anywhere from
nothing to 7 Pa, and the interval says so. Bursts and a level that drifts hide the bend m, so a
usual hose's is believed beforehand: with any bend as likely as another the fall was nearly always
taken for molecular, and V / S_eff came out a fifth too small.
"""

from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray

from analysis.gauge.glitches import median_of_three
from analysis.reason import Interval

Floats = NDArray[np.float64]

WATCHED_S: Final = 240.0  # falls of 3 to 200 s: longer lets the base line move
_LEAST_RATIO: Final = 1.25  # of the level at opening to that before closing
_RATES_PER_S: Final = np.exp(np.linspace(np.log(1 / 400.0), np.log(1 / 2.0), 100))[:, None, None]
_BENDS: Final = np.linspace(0.01, 0.49, 25)[None, :, None]  # m P0 / k
_FEET: Final = np.linspace(0.5, 1.15, 14)[None, None, :]  # the level drifts meanwhile
_FOOT_SPREAD: Final = 0.1
_HIGHEST_RATIO: Final = 4.0
_DOUBT: Final = 0.2  # of one volume, one gas load and a + b P: what invented circuits showed
_ULTIMATE_PA: Final = 7.0  # two-stage pumps end at 15 to 50 micron [from memory]
_VISCOUS_PER_PA: Final = 11.13 * 0.6 * 0.01  # 134.86 d p / 12.119, d = 0.6 cm, 100 Pa a mbar
_HOSE_SPREAD: Final = 0.6  # in ln d: hoses of 4 to 9.5 mm; a gauge overstates vapour by half
_POINTS: Final = 60
_LEAST_POINTS: Final = 8
_SEEN: Final = 0.3  # of the fall is still to come where it is seen no further
_UNSURE: Final = 0.01  # of the fall, beside the noise: what the picture lacks
_MISFIT: Final = 0.02  # of the fall, root mean square, where there is no noise
_BURST: Final = 0.05  # of the fall: what stands that far above the lowest point is a burst
_BURST_NOISES: Final = 5.0
_LAG_S: Final = 2.0  # the valve turns and the gauge follows


@dataclass(frozen=True, slots=True)
class Reopening:
    """What the pump does at the level before the isolation.

    Attributes
    ----------
    level_pa
        That level, Pa.
    volume_over_speed_s
        V / S_eff there, seconds.
    slope
        d ln(S_eff P) / d ln P, 1 to 2.
    """

    level_pa: float
    volume_over_speed_s: Interval
    slope: Interval


def fit_reopening(time_s: Floats, pressure_pa: Floats, level_pa: float) -> Reopening | None:
    """Fit the fall after the valve was opened.

    Parameters
    ----------
    time_s : (n,) float64, s
        ``time_s[0]`` is the opening; never goes back.
    pressure_pa : (n,) float64, Pa
    level_pa
        The level before the valve was closed, > 0.

    Returns
    -------
    Reopening or None
        ``None`` where the level had not risen enough, the fall was not seen to its half, or
        bursts stand on it.
    """
    since, level, spread = _points(time_s, pressure_pa)
    low = np.flatnonzero(level > _HIGHEST_RATIO * level_pa)
    if len(low):  # only from there on: higher up the pump itself, not the hose, sets the pace
        since, level, spread = (column[low[-1] + 1 :] for column in (since, level, spread))
    if len(since) < _LEAST_POINTS or level_pa <= 0.0 or level[0] < _LEAST_RATIO * level_pa:
        return None
    fall_pa = level[0] - level_pa
    falls = _between_bursts(level, np.maximum(_BURST_NOISES * spread, _BURST * fall_pa))
    if not falls or level.min() > level_pa + _SEEN * fall_pa:
        return None
    unsure_pa = np.hypot(spread, _UNSURE * fall_pa)
    rests, count = np.zeros(()), 0
    for fall in falls:
        rests = rests + _rests(since[fall], level[fall], unsure_pa[fall], level_pa)
        count += len(level[fall])
    if not rests.min() <= count * (_MISFIT / _UNSURE) ** 2:
        return None
    # Residuals hang together (bursts, wander): count a third of the points as independent.
    variance = max(float(rests.min()) / count, 0.1)
    odds = np.exp(
        -0.5 * (rests - rests.min()) / (3.0 * variance) - 0.5 * ((_FEET - 1.0) / _FOOT_SPREAD) ** 2
    )
    odds = odds * _hose_odds(level_pa)
    speed_per_s, slope, odds = _spread_ultimate(odds, level_pa)
    return Reopening(level_pa, _interval(1.0 / speed_per_s, odds), _interval(slope, odds))


def _hose_odds(level_pa: float) -> Floats:
    """Odds of each bend before any fall was seen: a usual hose, viscous v times its molecular flow.

    n = 1 + v / (1 + v) and m P0 / k = 1 - 1/n, so v = bend / (1 - 2 bend).
    """
    usual = _VISCOUS_PER_PA * level_pa
    viscous = _BENDS / (1.0 - 2.0 * _BENDS)
    density = 1.0 / _BENDS + 2.0 / (1.0 - 2.0 * _BENDS)  # d ln v / d bend
    return np.asarray(density * np.exp(-0.5 * (np.log(viscous / usual) / _HOSE_SPREAD) ** 2))


def _points(time_s: Floats, pressure_pa: Floats) -> tuple[Floats, Floats, Floats]:
    """Give medians of short stretches, from the fall's beginning on, and their standard errors."""
    since = np.asarray(time_s, dtype=np.float64) - time_s[0]
    smooth = median_of_three(np.asarray(pressure_pa, dtype=np.float64))
    is_used = (since >= _LAG_S) & (since <= WATCHED_S)
    since, smooth = since[is_used], smooth[is_used]
    # Ever longer stretches: a fall of 3 s is over before one of 200 s has begun.
    found = np.searchsorted(since, np.geomspace(_LAG_S, WATCHED_S, _POINTS))
    parts = [np.arange(a, b) for a, b in pairwise(found.tolist()) if b > a]
    if len(since) < 4 or not parts:
        return since[:0], since[:0], since[:0]
    noise_pa, rounding_pa = _noise_pa(smooth), _step_pa(smooth) / np.sqrt(12.0)
    times = np.array([since[part].mean() for part in parts])
    counts = np.array([len(part) for part in parts])
    levels = np.array([np.median(smooth[part]) for part in parts])
    return times, levels, np.hypot(noise_pa / np.sqrt(counts), rounding_pa)


def _noise_pa(pressure_pa: Floats) -> float:
    """Noise of the readings, from how they lie off the line between their neighbours."""
    off = pressure_pa[1:-1] - 0.5 * (pressure_pa[:-2] + pressure_pa[2:])
    return float(1.4826 * np.median(np.abs(off)))


def _step_pa(pressure_pa: Floats) -> float:
    """Give the rounding step: no two readings lie nearer; next to nothing without one."""
    apart = np.diff(np.unique(pressure_pa))
    apart = apart[apart > 1e-9 * pressure_pa.max()]
    return float(apart.min()) if len(apart) else 0.0


def _between_bursts(level: Floats, clearly_pa: Floats) -> list[slice]:
    """Give the stretches that fall: a burst ends one, and the next begins where it has peaked."""
    falls, count = [], len(level)
    start = 0
    while start < count:
        lowest_pa, end = level[start], start
        while end < count and level[end] <= lowest_pa + clearly_pa[end]:
            lowest_pa = min(lowest_pa, level[end])
            end += 1
        if end - start >= _LEAST_POINTS:
            falls.append(slice(start, end))
        start = end
        while start + 1 < count and level[start + 1] >= level[start]:
            start += 1
    return falls


def _rests(since: Floats, level: Floats, unsure_pa: Floats, level_pa: float) -> Floats:
    """Squared misfit in units of ``unsure_pa`` over rates, bends and feet: (k, m, f)."""
    foot = level_pa * _FEET
    start = np.maximum(level[0] - foot, 1e-9)
    since = since - since[0]
    bend = _BENDS / level_pa  # m / k
    rests = np.zeros(np.broadcast_shapes(_RATES_PER_S.shape, _BENDS.shape, _FEET.shape))
    for time_s, seen_pa, off_pa in zip(since, level, unsure_pa, strict=True):
        growth = np.exp(np.minimum(_RATES_PER_S * time_s, 60.0))
        over = 1.0 / ((1.0 / start + bend) * growth - bend)
        rests += ((foot + over - seen_pa) / off_pa) ** 2
    return rests


def _spread_ultimate(odds: Floats, level_pa: float) -> tuple[Floats, Floats, Floats]:
    """Give S_eff/V and the slope for each rate, bend and ultimate pressure, with its odds."""
    joint = odds.sum(axis=2)
    shares = np.linspace(0.0, min(_ULTIMATE_PA / level_pa, 1.0), 9)
    rate, bend = _RATES_PER_S[:, :, 0], _BENDS[:, :, 0]
    kept = 1.0 - bend[..., None] * (1.0 - shares)
    speed = np.where(kept > 0.4, rate[..., None] * kept, np.nan)  # a slope over 2.5 is no hose
    weight = np.broadcast_to(joint[..., None], speed.shape)
    sound = np.isfinite(speed)
    slope = np.broadcast_to(rate[..., None], speed.shape)[sound] / speed[sound]
    return speed[sound], slope, weight[sound]


def _interval(values: Floats, odds: Floats) -> Interval:
    order = np.argsort(values)
    values, odds = values[order], odds[order]
    total = np.cumsum(odds) - 0.5 * odds
    low, best, high = np.interp(np.array([0.1, 0.5, 0.9]) * odds.sum(), total, values)
    return Interval(float(low) * (1 - _DOUBT), float(best), float(high) * (1 + _DOUBT))
