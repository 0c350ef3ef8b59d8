"""What begins as a burst does, but too slowly to be sought for at each sample that lies off.

A valve of the hose that was turned lets the level rise to a new balance, where it stays; a closed
one lets it rise for long; and some bursts rise more slowly than others. Each is followed from the
onset on, over the samples since, once there is something to weigh.
"""

from collections.abc import Iterator, Sequence
from math import log

from analysis.explanation import Event, Explanation, Kind
from analysis.pumpdown_filter import Drift, advance
from analysis.pushes import coming, moved, set_free
from analysis.thinning import Bin

# Log prior of each event at one sample. Bursts come every 10 to 600 s; a valve is moved a few
# times an hour at most; a gauge glitches on less than one reading in a hundred. Orders of magnitude
# only: the evidence of an event is tens of such units.
LOG_PRIOR: dict[Kind, float] = {"burst": -6.0, "glitch": -6.0, "step": -10.0, "bend": -13.0}
# While a burst may still be boiling, the gas yet to come may turn out to be more, or less, by
# this share in one rise time.
MORE = 0.5
# A new balance is neared with the circuit's fall time, with a part of it where the gauge sits near
# the pump; that of a closed valve lies so high that it is neared far more slowly.
_TURN_FALLS = (0.35, 1.0, 4.0)
# A slower rise than those always looked for, in seconds.
_SLOW_RISE_S = 7.0

# A sample, the noise and the drift that were held then.
Recent = tuple[Bin, float, Drift]


def rivals(
    event: Event,
    past: tuple[Event, ...],
    since: Sequence[Recent],
    fall_s: float,
    slow_log_share: float,
) -> Iterator[Explanation]:
    """Give the rivals of a burst, their log weights counted from the beginning.

    Parameters
    ----------
    past
        Events before it that are not settled.
    since
        The samples after it, at least one.
    fall_s
        Likeliest fall constant of the circuit.
    slow_log_share
        Logarithm of the share of slow ones among the bursts so far.
    """
    for share in _TURN_FALLS:
        yield _followed(event, past, since, "step", share * fall_s)
    if _SLOW_RISE_S < 0.7 * event.fall_s:
        slow = _followed(event, past, since, "burst", _SLOW_RISE_S)
        slow.log_weight += slow_log_share
        yield slow


def _followed(
    event: Event, past: tuple[Event, ...], since: Sequence[Recent], kind: Kind, rise_s: float
) -> Explanation:
    """Follow an event from its beginning until now."""
    turns = kind == "step"
    fall_s = event.before_fall_s if turns else event.fall_s
    push, more = (moved, 0.0) if turns else (set_free, MORE)
    state = event.before
    last, noise_pa, _ = since[-1]
    risen_pa = 1.5 * abs(last.pressure_pa - state[0] - state[2])
    size_pa = coming(risen_pa, noise_pa, last.time_s - event.time_s, rise_s)
    state = push(state, noise_pa, size_pa)
    weight, off = event.log_weight + LOG_PRIOR[kind], 0.0
    for sample, noise_pa, drift in since:
        state, without, off, like, total = advance(
            state, sample.pressure_pa, drift, fall_s, rise_s, more, turns
        )
        # One odd reading decides nothing: it may be a glitch.
        odd = LOG_PRIOR["glitch"] - log(2.0 * max(10.0 * noise_pa, 1.5 * abs(off) * total**0.5))
        if odd > like:
            state, like = without, odd
        weight += like
    held = event._replace(kind=kind, fall_s=fall_s, rise_s=rise_s)
    return Explanation(state, fall_s, rise_s, weight, (*past, held), off, event.time_s, turns)
