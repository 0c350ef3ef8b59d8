"""Fitting time constants freely where the readings fix them more finely than the grid does."""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from analysis.hold.terms import CONSTANT, Terms, rising

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]

_STEPS: Final = 10
_LONGEST_STEP: Final = 0.3  # in log time constant
_DONE: Final = 1e-3
_NARROW: Final = 0.8  # of the grid's spacing: a wider peak is summed well by the grid ...
_WIDEST: Final = 3.0  # ... and one that is this wide in another direction is no peak at all


@dataclass(frozen=True)
class Refined:
    """A free fit of one explanation.

    ``rest`` is the sum of squares left over, ``log_cells`` the log of how many grid points'
    worth of weight the peak holds (Laplace's approximation). The others: see ``Member``.
    """

    coefficients: Floats
    errors: Floats
    time_constant_s: Floats
    curve_pa: Floats
    rest: float
    log_cells: float


@dataclass(frozen=True)
class Reduced:
    """The whitened problem in the few directions that smooth terms span.

    Attributes
    ----------
    points : (r, n), beliefs : (r, b) float64
        Carry a term's values at the points, and the beliefs' rows, into those directions.
    pressure : (r,) float64
        The pressure, likewise.
    """

    points: Floats
    beliefs: Floats
    pressure: Floats


def refine(terms: Terms, reduced: Reduced, columns: Indices, start: Floats) -> Refined | None:
    """Fit one explanation's time constants freely, from its best grid point.

    Variable projection (Kaufman's form): the coefficients are solved for, the logs of the time
    constants stepped. ``None`` where there is no time constant, where one leaves its part of the
    grid, where a term falls, or where the peak is so wide that the grid itself does better.

    Parameters
    ----------
    terms
        The terms and the grid.
    reduced
        The readings.
    columns, start : (k,)
        The explanation's best grid point and its coefficients there.
    """
    grid_s = terms.time_constant_s[columns]
    free = np.flatnonzero(grid_s > 0)
    if len(free) == 0:
        return None
    problem = _Problem(terms, reduced, columns, free)
    low, high, spacing = problem.bounds()
    logs, fit = np.log(grid_s[free]), start
    for _ in range(_STEPS):
        matrix, slopes = problem.matrices(logs, fit)
        both = np.hstack([matrix, slopes])
        answer, _, _, _ = np.linalg.lstsq(both, reduced.pressure - matrix @ fit, rcond=1e-12)
        step = answer[len(columns) :]
        furthest = float(np.abs(step).max())
        logs = np.clip(logs + min(1.0, _LONGEST_STEP / max(furthest, 1e-12)) * step, low, high)
        fit = problem.solve(logs)
        if furthest < _DONE:
            break
    inside = bool(np.all((logs > low + _DONE) & (logs < high - _DONE)))
    may_fall = np.setdiff1d(np.append(terms.always, CONSTANT), terms.usual)
    if not inside or bool(np.any(fit[~np.isin(columns, may_fall)] < 0)):
        return None
    return problem.result(logs, fit, spacing)


@dataclass(frozen=True)
class _Problem:
    terms: Terms
    reduced: Reduced
    columns: Indices
    free: Indices

    def bounds(self) -> tuple[Floats, Floats, Floats]:
        """Give the lowest and highest log and the grid's spacing of each free time constant."""
        rows = []
        for place in self.free:
            is_fast = self.columns[place] in self.terms.fast
            part = self.terms.fast if is_fast else self.terms.slow
            logs = np.log(self.terms.time_constant_s[part])
            spacing = float(logs[1] - logs[0])
            rows.append((float(logs[0]), float(logs[-1]) + spacing * is_fast, spacing))
        table = np.array(rows)
        return table[:, 0], table[:, 1], table[:, 2]

    def shape(self, logs: Floats) -> Floats:
        """Terms of the explanation with these time constants, (n, k)."""
        shape = self.terms.columns[:, self.columns]
        t = self.terms.time_s - self.terms.from_s
        for place, log in zip(self.free, logs, strict=True):
            shape[:, place] = rising(t, float(np.exp(log)))
        return shape

    def matrix(self, logs: Floats) -> Floats:
        """Terms with these time constants and the beliefs, in the reduced directions, (r, k)."""
        beliefs = self.reduced.beliefs @ self._belief_rows()
        return np.asarray(self.reduced.points @ self.shape(logs) + beliefs)

    def matrices(self, logs: Floats, fit: Floats) -> tuple[Floats, Floats]:
        """Reduced terms, and their slopes by the log time constants."""
        scaled = (self.terms.time_s - self.terms.from_s)[:, None] / np.exp(logs)[None, :]
        slopes = -scaled * np.exp(-scaled) * fit[self.free]
        return self.matrix(logs), self.reduced.points @ slopes

    def solve(self, logs: Floats) -> Floats:
        """Coefficients for these time constants."""
        fit, _, _, _ = np.linalg.lstsq(self.matrix(logs), self.reduced.pressure, rcond=1e-12)
        return np.asarray(fit)

    def result(self, logs: Floats, fit: Floats, spacing: Floats) -> Refined | None:
        """Errors by the full Jacobian, and the weight of the peak."""
        matrix, slopes = self.matrices(logs, fit)
        r: Floats = np.asarray(np.linalg.qr(np.hstack([matrix, slopes]), mode="r"))
        if float(np.abs(np.diag(r)).min()) < 1e-12 * float(np.abs(np.diag(r)).max()):
            return None
        spread = np.linalg.inv(r)
        covariance = spread @ spread.T
        k = len(self.columns)
        widths = np.sqrt(np.diag(covariance)[k:]) / spacing
        if widths.min() > _NARROW or widths.max() > _WIDEST:
            return None
        _, log_det = np.linalg.slogdet(2.0 * np.pi * covariance[k:, k:])
        left = self.reduced.pressure - matrix @ fit
        taus = np.zeros(k)
        taus[self.free] = np.exp(logs)
        return Refined(
            coefficients=fit,
            errors=np.sqrt(np.diag(covariance)[:k]),
            time_constant_s=taus,
            curve_pa=self.shape(logs) @ fit,
            rest=float(left @ left),
            log_cells=0.5 * float(log_det) - float(np.sum(np.log(spacing))),
        )

    def _belief_rows(self) -> Floats:
        rows = np.zeros((len(self.terms.beliefs), len(self.columns)))
        for number, belief in enumerate(self.terms.beliefs):
            rows[number, self.columns == belief.column] = 1.0 / belief.spread
        return rows
