"""States of the filter with something put in doubt, as where an event is held to begin."""

from math import exp

from analysis.burst.pumpdown_filter import State


def pushed(state: State, place: int, variance: float) -> State:
    """State with one of its variances increased."""
    changed = list(state[:14])
    changed[place] += variance
    return (*changed, state[14])  # type: ignore[return-value]


def gain_of(pushed: State, state: State, place: int) -> float:
    """By how much one of the variances was increased."""
    return pushed[:14][place] - state[:14][place]


def set_free(state: State, miss_pa: float, noise_pa: float, dt_s: float, rise_s: float) -> State:
    """State in which gas has just been set free, how much is not known.

    Where between two samples the onset lies is not known either, so the share already seen is
    free; what is still to come is told by the samples after it.
    """
    *rest, ss, sq, qq, fading = state
    size = max(10.0 * noise_pa, miss_pa / (1.0 - exp(-max(dt_s, 0.1) / rise_s)))
    return (*rest, ss + miss_pa * miss_pa, sq, qq + size * size, fading)  # type: ignore[return-value]
