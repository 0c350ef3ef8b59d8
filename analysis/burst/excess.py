"""Samples around a burst over what was expected without it, and how surely that is known."""

from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from analysis.burst.explanation import Event
from analysis.burst.pumpdown_filter import Fading, State

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Excess:
    """Samples over the forecast from just before an event.

    The forecast errs as well: its level, slope, vapour and gas to come are known as the filter
    knows them. So samples err together, with covariance variance (I + C C^T), and what a shape
    explains is told by generalised least squares: what the forecast's own errors look like counts
    for little. A line that is a little off would else be taken for a level that stays.

    Attributes
    ----------
    times_s, over_pa : (n,) float64
        Seconds and Pa.
    variance
        Of one sample, Pa^2.
    doubt : (k, n) float64
        D with (I + C C^T)^-1 = I - D^T D; no rows where the forecast is certain.
    """

    times_s: Floats
    over_pa: Floats
    variance: float
    doubt: Floats
    _weighted_pa: Floats = field(init=False)  # (I + C C^T)^-1 times what is over the forecast

    def __post_init__(self) -> None:
        object.__setattr__(self, "_weighted_pa", self._weighted(self.over_pa))

    @property
    def square_pa2(self) -> float:
        """Weighted sum of squares of what is over the forecast."""
        return float(self._weighted_pa @ self.over_pa)

    def without(self, course_pa: Floats) -> "Excess":
        """Give what is left when this course (n,) is taken off."""
        return replace(self, over_pa=self.over_pa - course_pa)

    def gain(self, shapes: Floats) -> tuple[Floats, Floats]:
        """By how much each shape (..., n), best scaled and upward, cuts the square; the scales."""
        doubted = shapes @ self.doubt.T
        square = np.maximum(np.vecdot(shapes, shapes) - np.vecdot(doubted, doubted), 1e-12)
        cross = np.maximum(shapes @ self._weighted_pa, 0.0)
        sizes = cross / square
        return np.asarray(cross * sizes), np.asarray(sizes)

    def gain_together(self, shapes: Floats) -> Floats:
        """By how much each set of shapes (..., m, n) together cuts the square."""
        weighted = self._weighted(shapes)
        # What the doubt holds already, and what is alike among them, is left out.
        matrix = weighted @ np.swapaxes(shapes, -1, -2)
        matrix = matrix + 1e-9 * self.times_s.size * np.eye(shapes.shape[-2])
        right = weighted @ self.over_pa
        solution = np.linalg.solve(matrix, right[..., None])[..., 0]
        return np.asarray((solution * right).sum(axis=-1))

    def _weighted(self, rows: Floats) -> Floats:
        return np.asarray(rows - (rows @ self.doubt.T) @ self.doubt)


def excess(event: Event, times_s: Floats, pressure_pa: Floats, variance: float) -> Excess:
    """Set samples (n,) against what the state from just before an event leads to.

    Parameters
    ----------
    event
        With the filter's state before it.
    times_s, pressure_pa : (n,) float64
        Samples around it, seconds and Pa.
    variance
        Of one sample, Pa^2, > 0.
    """
    since_s = times_s - event.time_s
    b, v, s, q = event.before[:4]
    fall_s, rise_s = event.before_fall_s, event.before_rise_s
    decay = np.exp(-since_s / fall_s)
    coming = fall_s / (fall_s - rise_s) * (decay - np.exp(-since_s / rise_s))
    course_s, by_rate_s2 = _course(b, v, event.before[14], since_s)
    errors = np.array((np.ones_like(since_s), course_s, decay, coming, v * by_rate_s2))
    expected = np.array((b, v, s, q)) @ errors[:4]
    doubt = _doubt(_covariance(event.before) / variance, errors)
    return Excess(times_s, pressure_pa - expected, variance, doubt)


def _covariance(state: State) -> Floats:
    """Covariance (5, 5) of level, slope, vapour, gas to come, and the slope's rate where known."""
    bb, bv, bs, bq, vv, vs, vq, ss, sq, qq = state[4:14]
    _, br, vr, sr, qr, rr = state[14] or (0.0,) * 6
    return np.array(
        [
            [bb, bv, bs, bq, br],
            [bv, vv, vs, vq, vr],
            [bs, vs, ss, sq, sr],
            [bq, vq, sq, qq, qr],
            [br, vr, sr, qr, rr],
        ]
    )


def _doubt(covariance: Floats, errors: Floats) -> Floats:
    """Whiten the forecast's errors, rows of (m, n), which hang together by this covariance.

    As they are of any size beside the noise, by singular values and not by a root of their squares.
    """
    sizes, axes = np.linalg.eigh(covariance)  # rounding may leave one of them below nothing
    rows = (axes * np.sqrt(np.maximum(sizes, 0.0))).T @ errors
    _, sizes, shapes = np.linalg.svd(rows, full_matrices=False)
    return np.asarray((sizes / np.hypot(1.0, sizes))[:, None] * shapes)


def _course(b: float, v: float, fading: Fading | None, since_s: Floats) -> tuple[Floats, Floats]:
    """How far the base line goes (n,) for a slope of 1, by the filter's law; where steep, back too.

    Seconds; the level ``b`` (Pa) and the slope ``v`` (Pa/s) tell how soon that dies away. And how
    that changes with the rate at which it does, s^2.
    """
    damping = -v / b if v < 0.0 < b else 0.0
    if fading is not None and v < 0.0 and fading[0] > damping:
        rate, left = fading[0], np.exp(-fading[0] * since_s)
        course_s = (1.0 - left) / rate
        return course_s, (since_s * left - course_s) / rate
    return since_s / (1.0 + damping * np.maximum(since_s, 0.0)), np.zeros_like(since_s)
