"""Short isolations during the evacuation, and the blank-off test of the rig alone.

An isolation of 2 to 5 minutes is too short to tell leak from vapour, but its rate of rise set
beside the earlier ones shows whether the circuit is getting drier. The first part, where gauge
and circuit even out, is left out.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from analysis.gauge.glitches import median_of_three
from analysis.reason import Interval, Reason

Floats = NDArray[np.float64]

_EVEN_OUT_SHARE: Final = 0.4  # of the isolation, at most ...
_EVEN_OUT_S: Final = 60.0
_BLOCKS: Final = 24  # medians of so many stretches make the slope's points
_Z80: Final = 1.2816  # half-width of an 80 % interval in standard deviations
_MILD: Final = 1.25  # a change under a quarter is no change, whatever its error


@dataclass(frozen=True, slots=True)
class IsolationFit:
    """The rise while the circuit was cut off.

    Attributes
    ----------
    duration_s
        From the valve's closing to the last reading.
    rise_pa
        From the first readings to the last, even-out included.
    rate_pa_s
        Rate of rise after the even-out, with its 80 % interval; ``None`` if too short, or if no
        reading ever differed.
    """

    duration_s: float
    rise_pa: float
    rate_pa_s: Interval | None


def fit_isolation(
    time_s: Floats, pressure_pa: Floats, *, step_pa: float | None = None
) -> IsolationFit:
    """Fit the rise of one isolation, robustly.

    The slope is Theil and Sen's (the median of all slopes between stretches' medians), its
    interval from the signs' distribution (Sen 1968, doi 10.1080/01621459.1968.10480934).

    Parameters
    ----------
    time_s : (n,) float64, s
        ``time_s[0]`` is the valve's closing.
    pressure_pa : (n,) float64, Pa
    step_pa
        The gauge's rounding step where it is known; 0: no reading ever differed, so that a gauge
        that reads coarsely, or is stuck, looks the same as a circuit without a rise.

    Raises
    ------
    ValueError
        If the arrays are empty or differ in length.
    """
    if len(time_s) == 0 or len(time_s) != len(pressure_pa):
        raise ValueError("times and pressures must be two arrays of the same length, not empty")
    t = np.asarray(time_s, dtype=np.float64) - time_s[0]
    p = median_of_three(np.asarray(pressure_pa, dtype=np.float64))
    duration_s = float(t[-1])
    some = max(1, len(p) // 50)
    rise = float(np.median(p[-some:]) - np.median(p[:some]))
    late = t >= min(_EVEN_OUT_SHARE * duration_s, _EVEN_OUT_S)
    blocks = min(_BLOCKS, int(late.sum()))
    if blocks < 5 or step_pa == 0.0:
        return IsolationFit(duration_s, rise, None)
    parts = np.array_split(np.flatnonzero(late), blocks)
    times = np.array([t[part].mean() for part in parts])
    levels = np.array([np.median(p[part]) for part in parts])
    rate = _sen_slope(times, levels)
    if step_pa and float(np.median(np.abs(np.diff(levels)))) == 0.0:
        # Rounding holds most of them in one place, and may hide a change of a whole step.
        hidden = step_pa / float(times[-1] - times[0])
        rate = Interval(rate.low - hidden, rate.best, rate.high + hidden)
    return IsolationFit(duration_s, rise, rate)


def _sen_slope(times: Floats, levels: Floats) -> Interval:
    first, second = np.triu_indices(len(times), 1)
    apart = times[second] - times[first]
    usable = apart > 0
    slopes = np.sort((levels[second] - levels[first])[usable] / apart[usable])
    if len(slopes) == 0:
        return Interval(0.0, 0.0, 0.0)
    n = len(times)
    spread = _Z80 * np.sqrt(n * (n - 1) * (2 * n + 5) / 18.0)
    low = int(np.clip((len(slopes) - spread) // 2, 0, len(slopes) - 1))
    high = int(np.clip((len(slopes) + spread) // 2, 0, len(slopes) - 1))
    return Interval(float(slopes[low]), float(np.median(slopes)), float(slopes[high]))


def compare(previous: IsolationFit, this: IsolationFit) -> Reason:
    """Set an isolation beside the previous one.

    Returns
    -------
    Reason
        ``isolation-slower``, ``isolation-same`` or ``isolation-faster`` with both rates and
        their ratio; ``isolation-too-short`` where one has no rate. Slower or faster is said only
        when the intervals lie apart and the change is more than a quarter.
    """
    before, now = previous.rate_pa_s, this.rate_pa_s
    if before is None or now is None:
        return Reason("isolation-too-short", {"duration_s": this.duration_s})
    values = {"rate_pa_s": now.best, "previous_pa_s": before.best}
    if before.best > 0:
        values["ratio"] = now.best / before.best
    if now.high < before.low and now.best * _MILD < before.best:
        return Reason("isolation-slower", values)
    if now.low > before.high and now.best > before.best * _MILD:
        return Reason("isolation-faster", values)
    return Reason("isolation-same", values)


def compare_equally(before: tuple[Floats, Floats], now: tuple[Floats, Floats]) -> Reason:
    """Compare two isolations over the length of the shorter one.

    A rise that levels off is quicker in its first minutes than over the whole: isolations of
    different lengths are no like for like.

    Parameters
    ----------
    before, now
        Times (n,) s and pressures (n,) Pa of each, from the closing on.
    """
    length_s = min(float(times[-1] - times[0]) for times, _ in (before, now))
    first, second = (
        fit_isolation(times[times - times[0] <= length_s], levels[times - times[0] <= length_s])
        for times, levels in (before, now)
    )
    return compare(first, second)


def quiet_needed_s(
    rate: Interval | None, allowed_pa_s: float, shortest_s: float, longest_s: float
) -> float:
    """How long no burst must come for flat, in a circuit that never boiled, after an isolation.

    ``shortest + (longest - shortest) x rate.high / allowed``, at most ``longest``: an isolation
    that showed no rise leaves the flat interval, one at the hold's limit shortens nothing. What
    is released while the valve is closed stays, so the rise bounds all releases, visible or not.
    The upper end of the 80 % interval is taken. Common practice has no figure; the formula is
    this project's.

    Examples
    --------
    >>> quiet_needed_s(Interval(0.0, 0.005, 0.011), 0.022, 600.0, 1800.0)
    1200.0
    """
    if rate is None:
        return longest_s
    share = min(max(rate.high, 0.0) / allowed_pa_s, 1.0)
    return shortest_s + (longest_s - shortest_s) * share


def gas_load_pa_m3_s(rate: Interval, rig_volume_m3: float) -> Interval:
    """Gas load of the rig in a blank-off test: its rate of rise times its (small) volume.

    The micron of a blank-off test say nothing by themselves: the rig's volume is a few per cent
    of the circuit's, so a rise of 50 micron in it is hardly any gas.

    Raises
    ------
    ValueError
        If the volume is not positive.
    """
    if rig_volume_m3 <= 0:
        raise ValueError("the rig's volume must be positive")
    return Interval(rate.low * rig_volume_m3, rate.best * rig_volume_m3, rate.high * rig_volume_m3)


def share_of_rise(load_pa_m3_s: float, later_rate_pa_s: float, whole_volume_m3: float) -> float:
    """Share of a later hold's rise that the rig's gas load alone explains, 0 to 1.

    Parameters
    ----------
    load_pa_m3_s
        From :func:`gas_load_pa_m3_s`.
    later_rate_pa_s
        Rate of rise of the later hold.
    whole_volume_m3
        Circuit and rig together, > 0.
    """
    later = later_rate_pa_s * whole_volume_m3
    if later <= 0:
        return 1.0 if load_pa_m3_s > 0 else 0.0
    return min(max(load_pa_m3_s / later, 0.0), 1.0)
