"""Zero and span: checking an analogue gauge at two known pressures, and setting it right."""

import math
from dataclasses import dataclass, replace
from datetime import date

from sensors.calibration import Curve, Point


@dataclass(frozen=True, slots=True)
class Check:
    """What the gauge read at a known pressure. ``error_share`` is (read - true) / true."""

    read_pa: float
    true_pa: float
    error_pa: float
    error_share: float | None


def check_at(curve: Curve, seen: Point) -> Check:
    """Compare the curve with one signal seen at a known pressure.

    Known pressures at hand: the air outside (a barometer's station pressure, not the one reduced
    to sea level), and the pump's own blank-off beside a second gauge.

    Examples
    --------
    >>> curve = Curve("linear", (Point(0.0, 0.0), Point(10.0, 1000.0)))
    >>> check_at(curve, Point(5.1, 500.0))
    Check(read_pa=510.0, true_pa=500.0, error_pa=10.0, error_share=0.02)
    """
    read_pa, _ = curve.read(seen.signal)
    error_pa = read_pa - seen.pressure_pa
    share = error_pa / seen.pressure_pa if seen.pressure_pa > 0 else None
    return Check(read_pa, seen.pressure_pa, error_pa, share)


def adjusted(
    curve: Curve, zero: Point, span: Point, *, on: date | None = None, note: str = ""
) -> Curve:
    """Shift and stretch the curve along its signal so that it is true at both points.

    A drift of zero or gain sits in the electronics before the curve, so the curve keeps its
    shape and its signals move: s -> s0 + (s - c(p0)) (s1 - s0) / (c(p1) - c(p0)), with c(p) the
    signal the old curve has at p.

    Parameters
    ----------
    zero, span
        Two signals seen at known pressures, far apart.

    Raises
    ------
    ValueError
        If the two lie too close together, or the signal ran the other way: then it is another
        gauge, not a drift of this one.
    """
    old_zero, old_span = curve.signal_at(zero.pressure_pa), curve.signal_at(span.pressure_pa)
    if not math.isfinite(zero.signal) or not math.isfinite(span.signal):
        raise ValueError("expected finite signals")
    width = old_span - old_zero
    reach = curve.points[-1].signal - curve.points[0].signal
    if abs(width) < 0.05 * reach:
        raise ValueError("zero and span lie too close together; expected pressures far apart")
    gain = (span.signal - zero.signal) / width
    if not 0.5 <= gain <= 2.0:
        raise ValueError(
            f"the signal's span is {gain:.2g} times that of the curve: more than a drift; "
            "expected 0.5 to 2"
        )

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
