"""How far the readings can be trusted: step, rate, noise, a value that stands still, bad frames.

Pure: events in, a report out; no clock of its own, bounded memory.
"""

from collections import deque
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import median

from sensors.events import Connected, Lost, Reading, Rejected, SensorEvent

_KEPT = 128  # readings looked at for rate, noise and step
_FEWEST = 16  # readings, or changes, before anything is said
_KEPT_CHANGES = 256
# A value is called stuck when it has not moved for this many times the mean time in which the
# gauge used to swing by two steps or more (chance e^-20 if swings come at random), ...
_STUCK_SWINGS = 20.0
# ... for at least this long, ...
_STUCK_S = 30.0
# ... and only on a gauge that has been seen to swing at least this often.
_FEWEST_SWINGS = 8
# Share of differences that must lie on multiples of a step for it to be one.
_ON_GRID = 0.9
_MOST_STEPS = 1000


@dataclass(frozen=True, slots=True)
class QualityReport:
    """What is known of the readings now. ``None`` is "not yet known".

    Attributes
    ----------
    readings, rejected
        How many came.
    rate_hz
        Readings a second, from the median time between the last ones.
    step_pa
        The rounding step of the last readings; ``None`` also where they are finer than can be
        told.
    noise_pa
        Standard deviation of one reading around a smooth trace, at least step/sqrt(12).
    unchanged_s
        For how long the same value has come, while connected.
    is_stuck
        The value has not moved for far longer than this gauge's noise allows.
    """

    readings: int
    rejected: int
    rate_hz: float | None
    step_pa: float | None
    noise_pa: float | None
    unchanged_s: float
    is_stuck: bool

    @property
    def rejected_share(self) -> float:
        """Bad frames among all that came, 0 to 1."""
        all_frames = self.readings + self.rejected
        return self.rejected / all_frames if all_frames else 0.0


class Quality:
    """Follows one gauge's events.

    A value that rests is no fault by itself: under a coarse step a quiet trace stands still for
    minutes. It is called stuck only where the noise was wider than the step before, so that the
    gauge went up and down by two steps and more, and then stopped doing so.

    Examples
    --------
    >>> quality = Quality()
    >>> for n in range(40):
    ...     quality.take(Reading(0.5 * n, 66.0 + n % 2))
    >>> quality.report.rate_hz, quality.report.step_pa
    (2.0, 1.0)
    """

    def __init__(self) -> None:
        self._readings = 0
        self._rejected = 0
        self._last: deque[tuple[float, float]] = deque(maxlen=_KEPT)
        self._changes: deque[tuple[float, float]] = deque(maxlen=_KEPT_CHANGES)
        self._value: float | None = None
        self._value_from_s = 0.0
        self._value_until_s = 0.0

    def take(self, event: SensorEvent) -> None:
        """Take one event."""
        if isinstance(event, Reading):
            self._readings += 1
            self._take(event)
        elif isinstance(event, Rejected):
            self._rejected += 1
        elif isinstance(event, Connected | Lost):
            self._forget_run()

    @property
    def report(self) -> QualityReport:
        """What is known now."""
        values = [value for _, value in self._last]
        step_pa = step_of(values)
        unchanged_s = self._value_until_s - self._value_from_s
        return QualityReport(
            self._readings,
            self._rejected,
            _rate_hz([time_s for time_s, _ in self._last]),
            step_pa,
            noise_of(values, step_pa),
            unchanged_s,
            self._is_stuck(unchanged_s),
        )

    def _take(self, reading: Reading) -> None:
        if reading.status != "ok":  # at the range's end it rightly stands still
            self._forget_run()
            return
        time_s, pressure_pa = reading.time_s, reading.pressure_pa
        self._last.append((time_s, pressure_pa))
        if pressure_pa != self._value:
            self._value = pressure_pa
            self._value_from_s = time_s
            self._changes.append((time_s, pressure_pa))
        self._value_until_s = time_s

    def _forget_run(self) -> None:
        self._value = None
        self._value_from_s = self._value_until_s
        self._last.clear()
        self._changes.clear()

    def _is_stuck(self, unchanged_s: float) -> bool:
        if unchanged_s < _STUCK_S:
            return False
        swing_s = _mean_swing_s(self._changes)
        return swing_s is not None and unchanged_s >= _STUCK_SWINGS * swing_s


def step_of(values: Sequence[float]) -> float | None:
    """Estimate the rounding step from the differences of readings in order.

    The smallest difference, or a half, third or quarter of it, is taken for the step, refined
    over all, and believed only where nearly all are whole multiples of it, which those of an
    unrounded trace are not.

    Examples
    --------
    >>> step_of([0.5 * (n * 7 % 11) for n in range(30)])
    0.5
    """
    differences = [abs(b - a) for a, b in pairwise(values)]
    largest = max(map(abs, values), default=0.0)
    differences = [d for d in differences if d > 1e-9 * largest]
    if len(differences) < _FEWEST:
        return None
    found = (_refined(min(differences) / part, differences) for part in (1, 2, 3, 4))
    return next((step for step in found if step is not None), None)


def _refined(step: float, differences: Sequence[float]) -> float | None:
    """Fit the step to all differences; ``None`` where they do not lie on its multiples."""
    near: list[tuple[float, int]] = []
    for _ in range(2):
        counts = [(d, round(d / step)) for d in differences]
        near = [(d, n) for d, n in counts if 0 < n <= _MOST_STEPS]
        if not near:
            return None
        step = sum(d for d, _ in near) / sum(n for _, n in near)
    on_grid = sum(1 for d, n in near if abs(d / step - n) < 0.1)
    return step if on_grid >= _ON_GRID * len(differences) else None


def noise_of(values: Sequence[float], step_pa: float | None) -> float | None:
    """Estimate one reading's noise from second differences, which a straight trend leaves alone.

    Robust by the median: a burst among the readings changes little. The variance of
    x[i-1] - 2 x[i] + x[i+1] is 6 times that of x where readings are independent; a gauge that
    averages shows less than it has.
    """
    if len(values) < _FEWEST:
        return None
    second = [
        abs(a - 2 * b + c) for a, b, c in zip(values[:-2], values[1:-1], values[2:], strict=True)
    ]
    sigma = 1.4826 * median(second) / 6**0.5
    return max(sigma, (step_pa or 0.0) / 12**0.5)


def _rate_hz(times_s: Sequence[float]) -> float | None:
    gaps = [b - a for a, b in pairwise(times_s)]
    if len(gaps) < _FEWEST:
        return None
    # Readings that came in one parcel share a time: their mean over the middle tells the rate.
    span_s = median(gaps)
    if span_s <= 0:
        span_s = (times_s[-1] - times_s[0]) / len(gaps)
    return 1.0 / span_s if span_s > 0 else None


def _mean_swing_s(changes: Sequence[tuple[float, float]]) -> float | None:
    """Mean time between turns of two steps or more; ``None`` when too few were seen."""
    if len(changes) < _FEWEST:
        return None
    values = [value for _, value in changes]
    threshold = 1.9 * min(abs(b - a) for a, b in pairwise(values))
    turns, direction, extreme = 0, 0, values[0]
    for value in values[1:]:
        if (direction >= 0 and value > extreme) or (direction <= 0 and value < extreme):
            direction = direction or (1 if value > extreme else -1)
            extreme = value
        elif abs(value - extreme) >= threshold:
            turns += 1
            direction, extreme = -direction, value
    if turns < _FEWEST_SWINGS:
        return None
    return (changes[-1][0] - changes[0][0]) / turns
