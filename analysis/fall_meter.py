"""The circuit's typical fall constant, learned from the falls between one burst and the next."""

import numpy as np
from numpy.typing import NDArray

from analysis.pumpdown_filter import State

# Falls of 2 to 300 s in steps of 12 %: finer than the constant itself drifts over a job.
GRID_S: NDArray[np.float64] = np.exp(np.linspace(np.log(2.0), np.log(300.0), 45))
# What one fall may say at most, in log likelihood: no single odd one decides.
_MOST = 8.0
# Weight left to older falls with each new one: the constant drifts as the pressure falls, and ten
# falls are memory enough.
_KEPT = 0.9


class FallMeter:
    """Posterior of the fall constant over a grid, one straight-base exponential fit a fall.

    Sums of falls with one constant are again such a fall, so overlapping bursts are no obstacle:
    each stretch from just after a rise to the next onset is fitted by itself.
    """

    def __init__(self) -> None:
        self._log_odds = np.zeros(GRID_S.size)
        self._seen = 0

    @property
    def fall_s(self) -> float | None:
        """Posterior mean (of the logarithm), or ``None`` before the first fall."""
        if self._seen == 0:
            return None
        weights = np.exp(self._log_odds - self._log_odds.max())
        return float(np.exp((weights * np.log(GRID_S)).sum() / weights.sum()))

    @property
    def spread(self) -> float:
        """Standard deviation of the logarithm of the constant."""
        weights = np.exp(self._log_odds - self._log_odds.max())
        weights /= weights.sum()
        logs = np.log(GRID_S)
        mean = float((weights * logs).sum())
        return float(np.sqrt((weights * (logs - mean) ** 2).sum()))

    def log_odds(self) -> NDArray[np.float64]:
        """Log posterior over ``GRID_S`` (45,), its largest value 0."""
        return np.asarray(self._log_odds - self._log_odds.max())

    def add(
        self,
        since_s: NDArray[np.float64],
        pressure_pa: NDArray[np.float64],
        variance: float,
        before: State,
    ) -> None:
        """Take one fall.

        Parameters
        ----------
        since_s, pressure_pa : (n,) float64
            Samples after the rise: seconds since the onset and Pa.
        variance
            Of one sample, Pa^2.
        before
            State of the filter just before the onset: what is known of the base line.
        """
        if since_s.size < 4:
            return
        log_like = -0.5 * np.minimum(_misfits(since_s, pressure_pa, variance, before), 1e12)
        self._log_odds = _KEPT * self._log_odds + np.maximum(log_like - log_like.max(), -_MOST)
        self._log_odds -= self._log_odds.max()
        self._seen += 1


def _misfits(
    since_s: NDArray[np.float64],
    pressure_pa: NDArray[np.float64],
    variance: float,
    before: State,
) -> NDArray[np.float64]:
    """Squared misfit over ``GRID_S`` (45,) of base + slope + fall, in standard deviations."""
    b, v, bb, vv = before[0], before[1], before[4], before[8]
    base = b + v * since_s / (1.0 + (max(-v, 0.0) / b if b > 0.0 else 0.0) * since_s)
    over = pressure_pa - base
    fall = np.exp(-since_s[None, :] / GRID_S[:, None])
    # Normal equations of three unknowns, the first two (level and slope) held near the forecast.
    level = 1.0 / (bb + variance) * variance
    tilt = 1.0 / (vv + (0.05 * v) ** 2 + 1e-300) * variance
    n, t1, t2 = float(since_s.size), float(since_s.sum()), float((since_s**2).sum())
    matrix = np.empty((GRID_S.size, 3, 3))
    matrix[:, 0, 0], matrix[:, 1, 1] = n + level, t2 + tilt
    matrix[:, 0, 1] = matrix[:, 1, 0] = t1
    matrix[:, 0, 2] = matrix[:, 2, 0] = fall.sum(axis=1)
    matrix[:, 1, 2] = matrix[:, 2, 1] = fall @ since_s
    matrix[:, 2, 2] = (fall * fall).sum(axis=1) + 1e-9
    right = np.stack(
        [np.full(GRID_S.size, over.sum()), np.full(GRID_S.size, over @ since_s), fall @ over], 1
    )
    solution = np.linalg.solve(matrix, right[..., None])[..., 0]
    return np.asarray(((over @ over) - (solution * right).sum(axis=1)) / variance)
