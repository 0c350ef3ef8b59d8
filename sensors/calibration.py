"""Calibration curves: from what an analogue gauge's signal reads to the pressure.

The signal is any number that a text line or a register brings: volts, milliamperes, counts.
A curve is data (points, a date, a note), never a formula that is run.
"""

import math
from bisect import bisect_right
from dataclasses import dataclass
from datetime import date
from itertools import pairwise
from typing import Literal

from sensors.events import Status
from sensors.quantity import ATMOSPHERE_PA, HIGHEST_PA

CurveKind = Literal["linear", "log-linear", "table"]
KINDS: tuple[CurveKind, ...] = ("linear", "log-linear", "table")
MOST_POINTS = 256
LONGEST_NOTE = 200


@dataclass(frozen=True, slots=True)
class Point:
    """A signal, in the gauge's own unit, and the true pressure at it."""

    signal: float
    pressure_pa: float


@dataclass(frozen=True, slots=True)
class Curve:
    """How a gauge's signal tells the pressure.

    Attributes
    ----------
    kind
        ``linear``: two points, a straight line. ``log-linear``: two points, straight in the
        logarithm of the pressure, as most analogue thermal and combined gauges are (so many
        volts a decade). ``table``: 2 to 256 points, straight in the logarithm between them.
    points
        By rising signal, pressures all rising or all falling; above 0 but for ``linear``.
    low, high
        The signal's range: beyond it the gauge is out of its own. ``None``: a table's ends; a
        line goes on.
    calibrated
        The day the points were taken, if known.
    note
        How, against what: no name of a person is needed.

    Raises
    ------
    ValueError
        If the points make no curve; the text says what was expected.

    Examples
    --------
    >>> volts = Curve("log-linear", (Point(2.0, 1.0), Point(3.0, 10.0)))
    >>> volts.read(4.0)
    (100.0, 'ok')
    """

    kind: CurveKind
    points: tuple[Point, ...]
    low: float | None = None
    high: float | None = None
    calibrated: date | None = None
    note: str = ""

    def __post_init__(self) -> None:
        if self.kind not in KINDS:
            raise ValueError(f"kind: expected one of {', '.join(KINDS)}")
        most = MOST_POINTS if self.kind == "table" else 2
        if not 2 <= len(self.points) <= most:
            raise ValueError(f"points: expected {'2 to 256' if most > 2 else '2'} of them")
        _check_points(self.points, is_log=self.kind != "linear")
        ends = (self.low, self.high)
        if any(end is not None and not math.isfinite(end) for end in ends) or (
            self.low is not None and self.high is not None and self.low >= self.high
        ):
            raise ValueError("low and high: expected two signals, low below high")
        if len(self.note) > LONGEST_NOTE or not (self.note.isprintable()):
            raise ValueError(f"note: expected one line of at most {LONGEST_NOTE} characters")

    @property
    def is_rising(self) -> bool:
        """Whether more signal is more pressure."""
        return self.points[-1].pressure_pa > self.points[0].pressure_pa

    @property
    def words(self) -> str:
        """What the record says of it beside the gauge.

        Examples
        --------
        >>> Curve("linear", (Point(0.0, 0.0), Point(10.0, 1e5)), note="at air").words
        'through its linear curve (undated, at air)'
        """
        day = self.calibrated.isoformat() if self.calibrated else "undated"
        return f"through its {self.kind} curve ({', '.join(filter(None, (day, self.note)))})"

    def read(self, signal: float) -> tuple[float, Status]:
        """Give the pressure in Pa, finite and >= 0, and whether the signal is in its range.

        Out of range it is the pressure at the range's end, never a guess beyond it.

        Raises
        ------
        ValueError
            If the signal is not finite.
        """
        if not math.isfinite(signal):
            raise ValueError("the signal is not finite")
        low, high = self._range()
        status: Status = "ok"
        if signal < low or signal > high:
            is_over = (signal > high) == self.is_rising
            status = "over-range" if is_over else "under-range"
            signal = min(max(signal, low), high)
        pressure_pa = self._at(signal)
        if pressure_pa < 0:
            return 0.0, "under-range"
        if pressure_pa > HIGHEST_PA:
            return ATMOSPHERE_PA, "over-range"
        return pressure_pa, status

    def signal_at(self, pressure_pa: float) -> float:
        """Give the signal at a pressure: :meth:`read` backwards, not held to the range.

        Raises
        ------
        ValueError
            If there is none: zero or less on a logarithmic curve.
        """
        if not math.isfinite(pressure_pa) or (self.kind != "linear" and pressure_pa <= 0):
            raise ValueError("expected a pressure above 0")
        ordered = self.points if self.is_rising else self.points[::-1]
        at = bisect_right(ordered, pressure_pa, key=lambda point: point.pressure_pa)
        below, above = _around(ordered, at)
        y0, y1 = self._scaled(below.pressure_pa), self._scaled(above.pressure_pa)
        share = (self._scaled(pressure_pa) - y0) / (y1 - y0)
        return below.signal + share * (above.signal - below.signal)

    def _range(self) -> tuple[float, float]:
        is_table = self.kind == "table"
        low, high = (self.points[0].signal, self.points[-1].signal)
        return (
            self.low if self.low is not None else (low if is_table else -math.inf),
            self.high if self.high is not None else (high if is_table else math.inf),
        )

    def _at(self, signal: float) -> float:
        at = bisect_right(self.points, signal, key=lambda point: point.signal)
        below, above = _around(self.points, at)
        y0, y1 = self._scaled(below.pressure_pa), self._scaled(above.pressure_pa)
        y = y0 + (signal - below.signal) / (above.signal - below.signal) * (y1 - y0)
        if self.kind == "linear":
            return y
        return 10.0 ** min(y, 300.0) if y > -300.0 else 0.0

    def _scaled(self, pressure_pa: float) -> float:
        return pressure_pa if self.kind == "linear" else math.log10(pressure_pa)


def _check_points(points: tuple[Point, ...], *, is_log: bool) -> None:
    signals = [point.signal for point in points]
    pressures = [point.pressure_pa for point in points]
    if not all(abs(signal) <= 1e12 for signal in signals):
        raise ValueError("points: expected finite signals")
    if not all(0 <= pressure <= HIGHEST_PA for pressure in pressures):
        raise ValueError(f"points: expected pressures from 0 to {HIGHEST_PA:g} Pa")
    if is_log and min(pressures) < 1e-12:
        raise ValueError("points: expected pressures above 0 on a logarithmic curve")
    falling = pressures[::-1]
    if not (_is_rising(signals) and (_is_rising(pressures) or _is_rising(falling))):
        raise ValueError("points: expected rising signals, with pressures all rising or falling")


def _is_rising(values: list[float]) -> bool:
    # By more than rounding: two points that touch would make a line of any slope.
    widest = max(abs(value) for value in values)
    return all(b - a > 1e-9 * max(abs(a), abs(b), 1e-6 * widest) for a, b in pairwise(values))


def _around(points: tuple[Point, ...], at: int) -> tuple[Point, Point]:
    at = min(max(at, 1), len(points) - 1)
    return points[at - 1], points[at]
