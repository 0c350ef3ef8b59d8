"""What an event does to the filter's state: which of it is put in doubt, and by how much."""

from math import exp

from analysis.pumpdown_filter import State

# A size that is not known yet is looked for up to some ten times the noise at least.
_AT_LEAST = 10.0
# A turn as quick as this is over when the next event comes.
_AT_ONCE_S = 5.0


def pushed(state: State, place: int, variance: float) -> State:
    """State with one of its variances increased."""
    changed = list(state[:14])
    changed[place] += variance
    return (*changed, state[14])  # type: ignore[return-value]


def set_free(state: State, seen_pa: float, coming_pa: float) -> State:
    """State in which gas was set free, how much is not known.

    Where between two samples the onset lies is not known either, so the share already seen is
    free; what is still to come is told by the samples after it.
    """
    *rest, ss, sq, qq, fading = state
    return (*rest, ss + seen_pa * seen_pa, sq, qq + coming_pa * coming_pa, fading)  # type: ignore[return-value]


def moved(state: State, seen_pa: float, coming_pa: float) -> State:
    """State in which the base line has begun to move elsewhere, how far is not known."""
    return pushed(pushed(state, 4, seen_pa * seen_pa), 13, coming_pa * coming_pa)


def coming(seen_pa: float, noise_pa: float, since_s: float, rise_s: float) -> float:
    """How much may come in all, where so much came within ``since_s``, Pa."""
    return max(_AT_LEAST * noise_pa, seen_pa / (1.0 - exp(-max(since_s, 0.1) / rise_s)))


def arrived(state: State, rise_s: float) -> State:
    """State in which a turn is over: what was still to come has come, or comes at this slope."""
    b, v, s, q, bb, bv, bs, bq, vv, vs, vq, ss, sq, qq, fading = state
    if rise_s < _AT_ONCE_S:
        b, bb, bv, bs = b + q, bb + 2.0 * bq + qq, bv + vq, bs + sq
        if fading is not None:
            rate, br, vr, sr, qr, rr = fading
            fading = rate, br + qr, vr, sr, 0.0, rr
    else:
        share = 1.0 / rise_s
        v += share * q
        vv += share * (2.0 * vq + share * (qq + q * q))  # for the slope dies again
        bv, vs = bv + share * bq, vs + share * sq
        if fading is not None:
            rate, br, vr, sr, qr, rr = fading
            fading = rate, br, vr + share * qr, sr, 0.0, rr
    return b, v, s, 0.0, bb, bv, bs, 0.0, vv, vs, 0.0, ss, 0.0, 0.0, fading
