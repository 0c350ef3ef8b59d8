"""Whether a burst that began now would stand out, as far as the base line is known."""

from analysis.burst.pumpdown_filter import State, shown_variance

# A burst must stand out by half its size, with the slope's doubt taken over so many seconds.
_HALF, _RISING_S = 0.5, 3.0


def would_show(state: State, fall_s: float, usual_fall_s: float, rise_pa: float) -> bool:
    """Whether a burst of this rise would be seen over the base line.

    Parameters
    ----------
    state
        Of the filter, with what is left of earlier bursts falling in ``fall_s``.
    usual_fall_s
        The circuit's fall constant, s.
    rise_pa
        Of the burst, Pa.
    """
    # Known well enough are the level with the vapour over it, and its slope: for what is whose
    # share does not matter ...
    level = shown_variance(state)
    slope = state[8] - 2.0 * state[9] / fall_s + state[11] / (fall_s * fall_s)
    if max(level, 0.0) ** 0.5 + _RISING_S * max(slope, 0.0) ** 0.5 > _HALF * rise_pa:
        return False
    # ... and not climbing by itself more than a burst falls, as an isolated circuit does.
    return state[1] * usual_fall_s < rise_pa
