"""The circuit's typical fall constant, learned from the falls between one burst and the next."""

import numpy as np
from numpy.typing import NDArray

from analysis.burst.usual_fall import ANY_FALL, CIRCUITS, UsualFall, usual_fall
from analysis.ring import Ring

# Falls of 2 to 300 s in steps of a quarter: about as much as the constant itself drifts over a job.
GRID_S: NDArray[np.float64] = np.exp(np.linspace(np.log(2.0), np.log(300.0), 24))
# A fall is looked at for this long at least, whatever was learned before.
_REACH_S = 25.0
# What one fall may say at most, in log likelihood: no single odd one decides.
_MOST = 8.0
# Weight left to older falls with each new one: the constant drifts as the pressure falls, and ten
# falls are memory enough.
_KEPT = 0.9


class FallMeter:
    """Posterior of the fall constant over a grid, one exponential fit a burst.

    Sums of falls with one constant are again such a fall, so overlapping bursts are no obstacle.
    Wrong where the base line bends much within two lulls, as early in a pull-down.
    """

    def __init__(self) -> None:
        self._log_odds = -0.5 * CIRCUITS.unlikely(GRID_S)
        self._fall_s: float | None = None
        self._count = 0
        self._open: tuple[float, float] | None = None  # onset and how long its gas came
        self._settled_s = float("-inf")

    @property
    def fall_s(self) -> float | None:
        """Posterior mean (of the logarithm), or ``None`` before the first fall."""
        return self._fall_s

    @property
    def count(self) -> int:
        """How many falls were measured."""
        return self._count

    @property
    def usual(self) -> UsualFall:
        """What the next burst's fall will be like."""
        return ANY_FALL if self._fall_s is None else usual_fall(self._fall_s, self.spread)

    @property
    def spread(self) -> float:
        """Standard deviation of the logarithm of the constant."""
        weights = np.exp(self._log_odds - self._log_odds.max())
        weights /= weights.sum()
        logs = np.log(GRID_S)
        mean = float((weights * logs).sum())
        return float(np.sqrt((weights * (logs - mean) ** 2).sum()))

    def close(self) -> None:
        """Drop the burst whose fall was being watched: the trace was disturbed."""
        self._open = None

    def is_overdue(self, time_s: float) -> bool:
        """Whether the burst being watched has fallen for long enough, with none after it."""
        return self._open is not None and time_s > self._open[0] + 3.0 * (self._fall_s or 60.0)

    def bound(
        self,
        ring: Ring,
        burst: tuple[float, float] | None,
        time_s: float,
        spacing_s: float,
        variance: float,
    ) -> None:
        """Measure the fall of the burst being watched, which ends at ``time_s``; watch the next.

        Parameters
        ----------
        ring
            The newest samples.
        burst
            Onset of the next one, and for how long its gas comes, seconds; ``None`` for none.
        """
        last, self._open = self._open, burst
        if last is None:
            return
        onset_s, settle_s = last
        # Back to just after the burst before, but not so far that the base line bends.
        reach_s = max(2.0 * (self._fall_s or CIRCUITS.fall_s), 20.0 * spacing_s, _REACH_S)
        times, values = ring.since(max(self._settled_s, onset_s - reach_s))
        self._settled_s = onset_s + settle_s
        count = int((times < min(time_s, self._settled_s + reach_s) - 1e-9).sum())
        self.add(times[:count], values[:count], onset_s, settle_s, variance)

    def add(
        self,
        time_s: NDArray[np.float64],
        pressure_pa: NDArray[np.float64],
        onset_s: float,
        settle_s: float,
        variance: float,
    ) -> None:
        """Take one burst with the stretch before it, back to just after the burst before.

        Parameters
        ----------
        time_s, pressure_pa : (n,) float64
            Samples, seconds and Pa.
        onset_s, settle_s
            Of the burst, and for how long after it the gas still came: left out.
        variance
            Of one sample, Pa^2.
        """
        keep = (time_s <= onset_s) | (time_s > onset_s + settle_s)
        since_s, pressure_pa = time_s[keep] - onset_s, pressure_pa[keep]
        after = since_s > 0.0
        if int(after.sum()) < 4 or int((~after).sum()) < 3:
            return
        misfits = _misfits(since_s, pressure_pa, after, variance)
        # Where even the best one leaves more than the noise, the rest is judged by what it leaves.
        scale = max(float(misfits.min()) / max(since_s.size - 5, 1), 1.0)
        log_like = -0.5 * misfits / scale
        if int(log_like.argmax()) == GRID_S.size - 1:
            return  # what does not fall was no burst, but a valve that was turned
        self._log_odds = _KEPT * self._log_odds + np.maximum(log_like - log_like.max(), -_MOST)
        self._log_odds -= self._log_odds.max()
        self._count += 1
        weights = np.exp(self._log_odds)
        # Kept, since it is asked for several times a sample and changes once a burst.
        self._fall_s = float(np.exp((weights * np.log(GRID_S)).sum() / weights.sum()))


def _misfits(
    since_s: NDArray[np.float64],
    pressure_pa: NDArray[np.float64],
    after: NDArray[np.bool_],
    variance: float,
) -> NDArray[np.float64]:
    """Squared misfit over ``GRID_S`` (m,) in standard deviations, best of all straight bases.

    Level, slope, what was left of earlier bursts and the burst itself are four unknowns; both
    falls have the same constant. That the slope is the same before and after is what tells it.
    """
    first = since_s[0]
    columns = np.empty((GRID_S.size, since_s.size, 4))
    columns[:, :, 0] = 1.0
    columns[:, :, 1] = since_s / (since_s[-1] - first)
    columns[:, :, 2] = np.exp(-(since_s - first)[None, :] / GRID_S[:, None])
    columns[:, :, 3] = np.where(after, np.exp(-np.abs(since_s)[None, :] / GRID_S[:, None]), 0.0)
    over = pressure_pa - pressure_pa.mean()
    matrix = np.swapaxes(columns, 1, 2) @ columns
    # Where two columns are all but alike a whiff of damping keeps the solution finite.
    matrix += 1e-7 * since_s.size * np.eye(4)
    right = np.swapaxes(columns, 1, 2) @ over
    solution = np.linalg.solve(matrix, right[..., None])[..., 0]
    return np.asarray(((over @ over) - (solution * right).sum(axis=1)) / variance)
