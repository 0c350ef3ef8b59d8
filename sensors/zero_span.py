"""Zero and span: checking a gauge at one or two known pressures, and setting it right."""

import math
from dataclasses import dataclass, replace
from datetime import date

from sensors.calibration import Curve, Point
from sensors.correction import HIGHEST_DRIFT_PA, HIGHEST_GAIN, LOWEST_GAIN, Correction

_TOO_CLOSE = "zero and span lie too close together; expected pressures far apart"


@dataclass(frozen=True, slots=True)
class Check:
    """What the gauge read at a known pressure. ``error_share`` is (read - true) / true."""

    read_pa: float
    true_pa: float
    error_pa: float
    error_share: float | None

    @classmethod
    def of(cls, read_pa: float, true_pa: float) -> "Check":
        """Compare a reading with the known pressure."""
        error_pa = read_pa - true_pa
        return cls(read_pa, true_pa, error_pa, error_pa / true_pa if true_pa > 0 else None)


def correction_from(
    zero: Check | None, span: Check | None, *, on: date | None = None
) -> Correction:
    """Give what puts a gauge that tells a pressure right at what was seen.

    From a zero alone the readings are moved, from a span alone they are stretched, from both
    they are moved and stretched. Straight between the two: a thermal gauge, whose error changes
    with the pressure, is right only near the points themselves.

    Raises
    ------
    ValueError
        If the two lie too close together, or the error is too large to be a drift.

    Examples
    --------
    >>> correction_from(Check.of(3.0, 1.0), None)
    Correction(zero_pa=2.0, gain=1.0, checked=None)
    """
    gain, zero_pa = 1.0, 0.0
    if zero is not None and span is not None:
        width_pa = span.read_pa - zero.read_pa
        if not abs(width_pa) > 0.5 * max(span.read_pa, zero.read_pa):
            raise ValueError(_TOO_CLOSE)
        gain = (span.true_pa - zero.true_pa) / width_pa
    elif span is not None and span.read_pa > 0:
        gain = span.true_pa / span.read_pa
    if not LOWEST_GAIN <= gain <= HIGHEST_GAIN:
        raise ValueError(_no_drift(gain))
    if zero is not None:
        zero_pa = zero.read_pa - zero.true_pa / gain
    if not abs(zero_pa) <= HIGHEST_DRIFT_PA:
        raise ValueError(
            f"the gauge's zero is {zero_pa:.0f} Pa off: more than a drift; expected at most "
            f"{HIGHEST_DRIFT_PA:g} Pa"
        )
    return Correction(zero_pa, gain, on)


def adjusted(
    curve: Curve, zero: Point, span: Point | None, *, on: date | None = None, note: str = ""
) -> Curve:
    """Shift and stretch the curve along its signal so that it is true at both points.

    With one point it is only shifted.

    A drift of zero or gain sits in the electronics before the curve, so the curve keeps its
    shape and its signals move: s -> s0 + (s - c(p0)) (s1 - s0) / (c(p1) - c(p0)), with c(p) the
    signal the old curve has at p.

    Parameters
    ----------
    zero, span
        Two signals seen at known pressures, far apart; one alone is given as ``zero``.

    Raises
    ------
    ValueError
        If the two lie too close together, or the signal ran the other way: then it is another
        gauge, not a drift of this one.
    """
    old_zero, gain = curve.signal_at(zero.pressure_pa), 1.0
    if not math.isfinite(zero.signal) or (span is not None and not math.isfinite(span.signal)):
        raise ValueError("expected finite signals")
    if span is not None:
        width = curve.signal_at(span.pressure_pa) - old_zero
        reach = curve.points[-1].signal - curve.points[0].signal
        if abs(width) < 0.05 * reach:
            raise ValueError(_TOO_CLOSE)
        gain = (span.signal - zero.signal) / width
        if not LOWEST_GAIN <= gain <= HIGHEST_GAIN:
            raise ValueError(_no_drift(gain))

    def moved(signal: float) -> float:
        return zero.signal + (signal - old_zero) * gain

    return replace(
        curve,
        points=tuple(Point(moved(p.signal), p.pressure_pa) for p in curve.points),
        low=None if curve.low is None else moved(curve.low),
        high=None if curve.high is None else moved(curve.high),
        calibrated=on or curve.calibrated,
        note=note or curve.note,
    )


def _no_drift(gain: float) -> str:
    return (
        f"the gauge's span is {float(f'{gain:.2g}'):g} times what it should be: more than a drift; "
        f"expected {LOWEST_GAIN:g} to {HIGHEST_GAIN:g}"
    )
