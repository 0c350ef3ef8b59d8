"""The competing explanations of a hold, fitted side by side.

Every explanation is a sum of a constant and terms that only rise: a straight line (a leak),
exponentials to a plateau (vapour), a logarithm (degassing that fades as 1/t). Time constants
lie on a grid, so each explanation is linear, and all of them are solved from one table of inner
products of noise-whitened terms. Each family of explanations is then weighed by AICc, averaged
over its grid, so that a family with many free shapes is not favoured for its freedom.

Al-Allaq et al., doi 10.1116/6.0005542, choose between such laws by AICc with GLS-AR(1) errors.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]

SLOWEST: Final = 4.0  # of the hold: a slower vapour cannot be told from a line, and is not tried
_FAST_TIMES: Final = 18
_SLOW_TIMES: Final = 7
_LOG_TIMES_S: Final = (10.0, 40.0, 160.0, 640.0)
_NOISE_TERMS: Final = 3  # white, wander and its correlation time count as fitted in AICc
_NEGLIGIBLE: Final = 1e-7  # less weight than this is none; each family keeps its best for drawing
# How much a family is believed before any reading: plain ones first.
_PRIORS: Final = {
    "steady": 1.0,
    "log": 0.5,
    "leak": 1.0,
    "vapour": 1.0,
    "slow": 1.0,
    "both": 0.7,
    "vapour-two": 0.5,
    "vapour-slow": 0.5,
    "both-two": 0.2,
}


@dataclass(frozen=True)
class Terms:
    """The terms after the even-out; exponentials rise from 0 at ``from_s`` towards 1.

    Attributes
    ----------
    columns : (n, k) float64
        constant, straight line (s), logarithms, exponentials, then perhaps the warmth.
    logs, fast, slow : (m,) intp
        Which columns are logarithms, exponentials that level off within the hold, slower ones.
    warmth
        Column of the vapour's answer to temperature, or ``None``.
    time_constant_s : (k,) float64
        Of the exponentials; elsewhere 0.
    """

    columns: Floats
    logs: Indices
    fast: Indices
    slow: Indices
    warmth: int | None
    time_constant_s: Floats


@dataclass(frozen=True)
class Member:
    """One explanation with its fit: a family's name, its columns, its weight among all."""

    family: str
    columns: Indices
    coefficients: Floats
    errors: Floats
    weight: float


def build_terms(
    time_s: Floats, from_s: float, duration_s: float, levels_within: float, warmth: Floats | None
) -> Terms:
    """Lay out the terms at ``time_s`` for a hold that is believed from ``from_s`` on."""
    t = time_s - from_s
    shortest = max(2.0 * float(np.median(np.diff(time_s))), 0.02 * duration_s, 10.0)
    border = levels_within * duration_s
    fast_s = np.geomspace(shortest, border, _FAST_TIMES + 1)[:-1]
    slow_s = np.geomspace(border, SLOWEST * duration_s, _SLOW_TIMES)
    times_s = np.concatenate([fast_s, slow_s])
    logs = np.log1p(t[:, None] / (np.array(_LOG_TIMES_S)[None, :] + from_s))
    exponentials = -np.expm1(-t[:, None] / times_s[None, :])
    parts = [np.ones((len(t), 1)), t[:, None], logs, exponentials]
    first = 2 + len(_LOG_TIMES_S)
    count = first + len(times_s)
    if warmth is not None:
        parts.append(warmth[:, None])
    taus = np.zeros(count + (warmth is not None))
    taus[first:count] = times_s
    return Terms(
        columns=np.hstack(parts),
        logs=np.arange(2, first),
        fast=np.arange(first, first + len(fast_s)),
        slow=np.arange(first + len(fast_s), count),
        warmth=count if warmth is not None else None,
        time_constant_s=taus,
    )


def families(terms: Terms) -> dict[str, Indices]:
    """Columns of every explanation tried, (m, k) intp by family."""
    fast, slow = terms.fast, terms.slow
    apart = 4  # grid points: time constants nearer than about twice are one
    two = np.array([(a, b) for a in fast for b in fast if b - a >= apart], dtype=np.intp)
    mixed = np.array([(a, b) for a in fast for b in slow if b - a >= apart], dtype=np.intp)
    tried = {
        "steady": np.zeros((1, 0), dtype=np.intp),
        "log": terms.logs[:, None],
        "leak": np.ones((1, 1), dtype=np.intp),
        "vapour": fast[:, None],
        "slow": slow[:, None],
        "both": _beside(1, fast[:, None]),
        "vapour-two": two,
        "vapour-slow": mixed,
        "both-two": _beside(1, two),
    }
    tried = {name: _beside(0, rows) for name, rows in tried.items()}
    if terms.warmth is not None:
        tried = {name: _beside(terms.warmth, rows, last=True) for name, rows in tried.items()}
    return tried


def _beside(column: int, rows: Indices, *, last: bool = False) -> Indices:
    extra = np.full((len(rows), 1), column, dtype=np.intp)
    return np.hstack([rows, extra] if last else [extra, rows])


def fit_members(terms: Terms, whitened: Floats, pressure: Floats, warmth_pa: float) -> list[Member]:
    """Fit every explanation and weigh them.

    Parameters
    ----------
    terms
        What the columns mean.
    whitened : (n, k) float64
        ``terms.columns`` with the noise made white and of unit variance.
    pressure : (n,) float64
        The pressure, likewise.
    warmth_pa
        Pressure that may answer to temperature: the warmth's coefficient is taken as lying
        around 0.3 of it, give or take 0.4.

    Returns
    -------
    list of Member
        Those whose terms all rise, with weights that sum to 1.
    """
    rows_in = np.column_stack([whitened, pressure])
    if terms.warmth is not None and warmth_pa > 0:
        belief = np.zeros(rows_in.shape[1])
        belief[terms.warmth] = 1.0 / (0.4 * warmth_pa)
        belief[-1] = 0.3 / 0.4
        rows_in = np.vstack([rows_in, belief])
    small: Floats = np.asarray(np.linalg.qr(rows_in, mode="r"))
    found = [(name, rows, *_solve(small, rows, terms)) for name, rows in families(terms).items()]
    total = float(small[:, -1] @ small[:, -1])
    n = len(pressure)
    least = min(float(np.min(total - gain, initial=np.inf)) for _, _, _, _, gain in found)
    members = []
    for name, rows, fit, error, gain in found:
        k = rows.shape[1] + _NOISE_TERMS
        penalty = 2.0 * k + 2.0 * k * (k + 1) / max(n - k - 1, 1)
        weight = np.exp(-0.5 * (total - gain - least + penalty)) * _PRIORS[name] / len(rows)
        weight[~np.isfinite(gain)] = 0.0
        best = int(np.argmax(gain))
        members += [
            Member(name, rows[i], fit[i], error[i], float(weight[i]))
            for i in np.flatnonzero(np.isfinite(gain) & (weight > _NEGLIGIBLE))
        ]
        if np.isfinite(gain[best]) and weight[best] <= _NEGLIGIBLE:
            members.append(Member(name, rows[best], fit[best], error[best], 0.0))
    return _normalised(members)


def _solve(small: Floats, rows: Indices, terms: Terms) -> tuple[Floats, Floats, Floats]:
    """Coefficients, their errors, and how much sum of squares each row of columns explains.

    ``small`` is the triangular factor of the terms and the pressure (its last column), so the
    fits are those of the whole data, by QR and not by normal equations, whose rounding would
    drown the small differences between explanations. A row with a falling term explains minus
    infinity.
    """
    q, r = np.linalg.qr(np.moveaxis(small[:, rows], 0, 1))
    along = np.einsum("mji,j->mi", q, small[:, -1])
    diagonal = np.abs(np.einsum("mii->mi", r))
    sound = diagonal.min(axis=1) > 1e-9 * diagonal.max(axis=1)
    r[~sound] = np.eye(rows.shape[1])
    inverse = np.linalg.inv(r)
    fit = np.einsum("mij,mj->mi", inverse, along)
    error = np.sqrt(np.sum(inverse**2, axis=2))
    gain = np.sum(along**2, axis=1)
    rising = (rows != 0) & (rows != (-1 if terms.warmth is None else terms.warmth))
    gain[~sound | np.any(rising & (fit < 0), axis=1)] = -np.inf
    return fit, error, gain


def _normalised(members: list[Member]) -> list[Member]:
    total = sum(member.weight for member in members)
    return [
        Member(m.family, m.columns, m.coefficients, m.errors, m.weight / total)
        for m in sorted(members, key=lambda m: -m.weight)
    ]
