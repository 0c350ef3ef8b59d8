"""The competing explanations of a hold, fitted and weighed side by side.

With time constants on a grid every explanation is linear, and all of them are solved from one
triangular factor of the noise-whitened terms. Each family of explanations is weighed by AICc,
averaged over its grid, so that a family with many free shapes is not favoured for its freedom;
where the readings fix the time constants more finely than the grid, they are fitted freely.

Al-Allaq et al., doi 10.1116/6.0005542, choose between such laws by AICc with GLS-AR(1) errors.
"""

from dataclasses import dataclass, replace
from itertools import combinations
from typing import Final

import numpy as np
from numpy.typing import NDArray

from analysis.hold.refine import Reduced, Refined, refine
from analysis.hold.terms import Terms, families

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]

_NOISE_TERMS: Final = 3  # white, wander and its correlation time count as fitted in AICc
_OWN: Final = 1e-9  # of a column, beside those before it: less is rounding
_NEGLIGIBLE: Final = 1e-6  # less weight than this is none; each family keeps its best for drawing
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
    "both-two": 0.05,
}


@dataclass(frozen=True)
class Member:
    """One explanation with its fit.

    Attributes
    ----------
    family
        Which kind of explanation.
    columns : (k,) intp
        Its terms.
    coefficients, errors, time_constant_s : (k,) float64
        Of each term; time constants 0 where it has none.
    curve_pa : (n,) float64
        The explanation at the fitted points.
    weight
        Among all explanations; they sum to 1.
    """

    family: str
    columns: Indices
    coefficients: Floats
    errors: Floats
    time_constant_s: Floats
    curve_pa: Floats
    weight: float


@dataclass(frozen=True)
class Whitened:
    """The fit's problem with the noise made white and of unit variance.

    Attributes
    ----------
    root_inverse : (n, n) float64
        Whitens anything given at the points.
    terms : (n + b, k), pressure : (n + b,) float64
        Whitened, with one row for each of the b beliefs.
    """

    root_inverse: Floats
    terms: Floats
    pressure: Floats


def whiten(terms: Terms, pressure_pa: Floats, covariance_pa2: Floats) -> Whitened:
    """Make the noise white, and write the beliefs as further rows."""
    root_inverse = np.linalg.inv(np.linalg.cholesky(covariance_pa2))
    beliefs = np.zeros((len(terms.beliefs), terms.columns.shape[1]))
    expected = np.zeros(len(terms.beliefs))
    for row, belief in enumerate(terms.beliefs):
        beliefs[row, belief.column] = 1.0 / belief.spread
        expected[row] = belief.mean / belief.spread
    return Whitened(
        root_inverse=root_inverse,
        terms=np.vstack([root_inverse @ terms.columns, beliefs]),
        pressure=np.concatenate([root_inverse @ pressure_pa, expected]),
    )


def fit_members(terms: Terms, problem: Whitened) -> list[Member]:
    """Fit every explanation and weigh them.

    Returns
    -------
    list of Member
        Those whose own terms all rise, the likeliest first.
    """
    rows_in = np.column_stack([problem.terms, problem.pressure])
    directions, small = np.linalg.qr(rows_in)
    n = len(terms.time_s)
    reduced = Reduced(
        points=directions[:n].T @ problem.root_inverse,
        beliefs=directions[n:].T,
        pressure=small[:, -1],
    )
    total = float(small[:, -1] @ small[:, -1])
    members: list[Member] = []
    scores: list[float] = []
    for name, rows in families(terms).items():
        fit, error, gain = _solve_physical(small, rows, terms)
        k = rows.shape[1] - len(terms.always) + _NOISE_TERMS
        penalty = 2.0 * k + 2.0 * k * (k + 1) / max(n - k - 1, 1)
        grid = float(np.log(_PRIORS[name] / len(rows)))
        best = int(np.argmax(gain))
        if not np.isfinite(gain[best]):
            continue
        none = np.isin(rows[best], terms.usual) & (fit[best] == 0.0)
        finer = refine(terms, reduced, rows[best][~none], fit[best][~none])
        if finer is not None:
            columns, least = rows[best][~none], error[best][~none]
            members.append(_refined_member(name, columns, finer, least))
            scores.append(-0.5 * (finer.rest + penalty) + grid + finer.log_cells)
            continue
        for i in np.flatnonzero(gain > gain[best] - 30.0):
            curve = terms.columns[:, rows[i]] @ fit[i]
            taus = terms.time_constant_s[rows[i]]
            members.append(Member(name, rows[i], fit[i], error[i], taus, curve, 0.0))
            scores.append(-0.5 * (total - float(gain[i]) + penalty) + grid)
    return _weighed(members, np.array(scores))


def _refined_member(name: str, columns: Indices, finer: Refined, least: Floats) -> Member:
    errors = np.maximum(finer.errors, least)
    taus, curve = finer.time_constant_s, finer.curve_pa
    return Member(name, columns, finer.coefficients, errors, taus, curve, 0.0)


def _solve_physical(small: Floats, rows: Indices, terms: Terms) -> tuple[Floats, Floats, Floats]:
    """Coefficients, their errors, and how much sum of squares each row of columns explains.

    What would take gas away is no explanation: a row with a falling term of its own explains
    minus infinity, and ordinary degassing that came out negative is held at none (all ways of
    leaving it out are tried). The errors stay those of the free fit, so that a leak beside
    degassing held at none is not told the more surely for it.
    """
    fit, error, gain = _solve(small, rows)
    count = rows.shape[1]
    first = count - len(terms.always)
    usual = range(first, first + len(terms.usual))
    bad = np.flatnonzero(np.any(fit[:, usual] < 0, axis=1))
    if len(bad):
        gain[bad] = -np.inf
        for size in range(1, len(usual) + 1):
            for left_out in combinations(usual, size):
                kept = np.setdiff1d(np.arange(count), left_out)
                tried, _, explained = _solve(small, rows[bad][:, kept])
                explained[np.any(tried[:, np.isin(kept, usual)] < 0, axis=1)] = -np.inf
                better = explained > gain[bad]
                at = bad[better]
                gain[at] = explained[better]
                fit[np.ix_(at, kept)] = tried[better]
                fit[np.ix_(at, np.array(left_out))] = 0.0
    gain[np.any(fit[:, 1:first] < 0, axis=1)] = -np.inf
    return fit, error, gain


def _solve(small: Floats, rows: Indices) -> tuple[Floats, Floats, Floats]:
    """Free least squares of each row of columns.

    ``small`` is the triangular factor of the terms and the pressure (its last column), so the
    fits are those of the whole data, by QR and not by normal equations, whose rounding would
    drown the small differences between explanations.
    """
    q, r = np.linalg.qr(np.moveaxis(small[:, rows], 0, 1))
    along = np.einsum("mji,j->mi", q, small[:, -1])
    # Each column beside its own length: one far surer belief makes the others no less sound.
    diagonal, length = np.abs(np.einsum("mii->mi", r)), np.linalg.norm(r, axis=1)
    sound = np.all(diagonal > _OWN * length, axis=1)
    r[~sound] = np.eye(rows.shape[1])
    inverse = np.linalg.inv(r)
    fit = np.einsum("mij,mj->mi", inverse, along)
    error = np.sqrt(np.sum(inverse**2, axis=2))
    gain = np.sum(along**2, axis=1)
    gain[~sound] = -np.inf
    return fit, error, gain


def _weighed(members: list[Member], scores: Floats) -> list[Member]:
    """Turn scores into weights; drop what has none, but for the best of each family."""
    weights = np.exp(scores - scores.max())
    weights /= weights.sum()
    kept: list[Member] = []
    seen: set[str] = set()
    for i in np.argsort(-scores, kind="stable"):
        member = members[int(i)]
        if weights[i] > _NEGLIGIBLE or member.family not in seen:
            kept.append(replace(member, weight=float(weights[i])))
        seen.add(member.family)
    return kept
