"""A Kalman filter over a pumped circuit: falling base line, vapour over it, gas yet to come.

State: base line b (Pa), its slope v (Pa/s), excess s over it (Pa), and gas q (Pa) that has been
set free but is not seen yet, because boiling takes time and the gauge lags:

    db/dt = v      dv/dt = -v |v| / b      ds/dt = -s / fall + q / rise      dq/dt = -q / rise

A burst of size A is q jumping by A; it then shows as A (e^(-t/fall) - e^(-t/rise)) x
fall / (fall - rise), whose area over the base line is A x fall exactly. Plain floats in one flat
tuple: some 100 multiplications, which Python does in about 5 microseconds.

The law of the slope is that of constant speed far above the ultimate pressure. While the level
falls steeply the slope really dies at a rate of its own, with dv/dt = -rate v: faster through a
viscous hose (speed falls with pressure) and fastest near the ultimate pressure. There the rate
is a fifth unknown, told by the curve itself (an extended Kalman filter).
"""

from math import exp, log, sqrt
from typing import NamedTuple

# The slope's rate r, 1/s, and its covariances br vr sr qr rr.
Fading = tuple[float, float, float, float, float, float]
# (b, v, s, q), the ten entries of the symmetric covariance bb bv bs bq vv vs vq ss sq qq, and the
# rate at which the slope dies, while the fall is steep.
State = tuple[
    float, float, float, float,
    float, float, float, float, float, float, float, float, float, float,
    Fading | None,
]  # fmt: skip


class Drift(NamedTuple):
    """What the base line may do by itself over one step, and how well a sample is known."""

    dt_s: float
    variance: float  # of the sample, Pa^2
    stray: float  # intensity of the level's random walk, Pa^2/s
    wander: float  # intensity of the slope's random walk, Pa^2/s^3


# A single-volume picture is not exact: the fall constant drifts with pressure (hose conductance),
# so the excess falls quicker or slower by a share that lasts, changing within about one fall
# constant: it is the slope that is off. Were it the excess itself, at random, an explanation would
# foretell the less the more vapour it holds, and a step over much vapour would pass for likelier
# than a burst. A little of that there is; and a rise is no exact exponential.
_PACE_DOUBT, _FALL_DOUBT, _RISE_DOUBT = 0.1, 0.015, 0.3
# Share of the slope by which it may change a second beyond the pump-down law: the law's ultimate
# pressure is not known, and real circuits have more than one time constant.
_SLOPE_DOUBT = 0.05
_SLOPE_DOUBT2 = _SLOPE_DOUBT * _SLOPE_DOUBT
# The slope of a pull-down dies at 0.05 to 1 a second; the share of it by which that may change a
# second; and no faster than this, which the fastest pump on an empty circuit does not reach.
_RATE, _RATE_SPREAD, _RATE_DOUBT, _FASTEST = 0.3, 0.25, 0.1, 2.0
# Over so long a smaller rate changes the slope by less than that is held to change by itself.
_SHOWS_S = 40.0
_LEAST_RATE2 = _SLOPE_DOUBT2 / _SHOWS_S
_UNKNOWN_RATE: Fading = (_RATE, 0.0, 0.0, 0.0, 0.0, _RATE_SPREAD * _RATE_SPREAD)


def start(pressure_pa: float, variance: float) -> State:
    """State after a first sample: the level known as well as the sample, the slope not at all."""
    # A pumped circuit falls at most by about its own pressure in some seconds.
    slope = max(0.1 * pressure_pa, variance**0.5)
    return (
        pressure_pa, 0.0, 0.0, 0.0,
        variance, 0.0, 0.0, 0.0, slope * slope, 0.0, 0.0, 0.0, 0.0, 0.0, _UNKNOWN_RATE,
    )  # fmt: skip


def shows_rate(state: State, slope_pa_per_s: float) -> bool:
    """Whether the rate at which the slope dies, if there is one in the state, may still show.

    The slope, as far as it is known, must be steeper than this; nor may it be sure that it lasts.
    """
    fading = state[14]
    if fading is None or fading[0] * fading[0] + fading[5] < _LEAST_RATE2:
        return False
    return state[1] * state[1] + state[8] > slope_pa_per_s * slope_pa_per_s


def shown_variance(state: State) -> float:
    """Variance of what a gauge shows, base line and vapour together, Pa^2."""
    return state[4] + 2.0 * state[6] + state[11]


def advance(
    state: State,
    pressure_pa: float,
    drift: Drift,
    fall_s: float,
    rise_s: float,
    more: float,
) -> tuple[State, State, float, float, float]:
    """Forecast over ``drift.dt_s`` and take a sample.

    Returns
    -------
    The state with the sample, the state without it, the sample's deviation from the forecast in
    standard deviations, its log likelihood (without the constant), and the forecast's variance.
    """
    b, v, s, q, bb, bv, bs, bq, vv, vs, vq, ss, sq, qq, fading = state
    dt, variance, stray, wander = drift
    law = -v / b if v < 0.0 < b else 0.0
    ev = 1.0 / (1.0 + law * dt)
    if fading is not None:
        rate, br, vr, sr, qr, rr = fading
        hv = 0.0  # how the rate acts on the slope
        if v < 0.0 and rate > law:
            ev = exp(-rate * dt)
            hv = -dt * ev * v
    g = dt * 0.5 * (1.0 + ev)
    es = exp(-dt / fall_s)
    eq = exp(-dt / rise_s)
    k = fall_s / (fall_s - rise_s) * (es - eq)
    inflow = k * q
    pace_doubt = _PACE_DOUBT * s / fall_s
    walk = (wander + _SLOPE_DOUBT2 * v * v + pace_doubt * pace_doubt / fall_s) * dt
    doubt = _FALL_DOUBT * s
    b += g * v
    v *= ev
    rise_doubt = _RISE_DOUBT * inflow
    s_doubt = doubt * doubt * dt / fall_s + rise_doubt * rise_doubt
    s = es * s + inflow
    q *= eq
    bvg = bv + g * vv
    bb += g * (bv + bvg) + walk * dt * dt / 3.0 + stray * dt
    bqg = bq + g * vq
    bs = es * (bs + g * vs) + k * bqg
    bq = eq * bqg
    bv = ev * bvg + walk * dt * 0.5
    vs = ev * (es * vs + k * vq)
    vq *= ev * eq
    vv = ev * ev * vv + walk
    kqq = k * qq
    ss = es * (es * ss + 2.0 * k * sq) + k * kqq + s_doubt
    sq = eq * (es * sq + kqq)
    qq = eq * eq * qq
    if more > 0.0:  # only just after an onset
        qq += more * more * q * q * dt / rise_s
    if fading is not None:
        hb = 0.5 * dt * hv  # ... and on the level
        br += g * vr
        vr *= ev
        sr = es * sr + k * qr
        qr *= eq
        bb += hb * (2.0 * br + hb * rr)
        bv += hb * vr + hv * br + hb * hv * rr
        vv += hv * (2.0 * vr + hv * rr)
        bs += hb * sr
        bq += hb * qr
        vs += hv * sr
        vq += hv * qr
        br += hb * rr
        vr += hv * rr
        rr += (_RATE_DOUBT * rate) ** 2 * dt
        fading = (rate, br, vr, sr, qr, rr)
    pb = bb + bs
    ps = bs + ss
    total = pb + ps + variance
    without = (b, v, s, q, bb, bv, bs, bq, vv, vs, vq, ss, sq, qq, fading)
    pv = bv + vs
    pq = bq + sq
    off = pressure_pa - b - s
    gain = off / total
    gb = pb / total
    gv = pv / total
    gs = ps / total
    if fading is not None:
        pr = br + sr
        fading = (
            min(max(rate + gain * pr, 0.0), _FASTEST),
            br - gb * pr,
            vr - gv * pr,
            sr - gs * pr,
            qr - pq / total * pr,
            rr - pr * pr / total,
        )
    with_it = (
        b + gain * pb, v + gain * pv, s + gain * ps, q + gain * pq,
        bb - gb * pb, bv - gb * pv, bs - gb * ps, bq - gb * pq,
        vv - gv * pv, vs - gv * ps, vq - gv * pq,
        ss - gs * ps, sq - gs * pq, qq - pq * pq / total,
        fading,
    )  # fmt: skip
    return with_it, without, off / sqrt(total), -0.5 * (log(total) + off * gain), total
