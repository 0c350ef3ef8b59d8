"""The terms that explanations of a hold are put together from.

A constant; a straight line (a leak); exponentials to a plateau (vapour), their time constants on
a grid; logarithms (degassing that fades as 1/t). Some are part of every explanation: the
constant, the little degassing that hoses and metal always give, and the vapour's answer to a
change of temperature. What is believed of these beforehand stands beside them.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from analysis.hold.rules import HoldRules

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]

SLOWEST: Final = 4.0  # of the hold: a slower vapour cannot be told from a line, and is not tried
CONSTANT: Final = 0
LINE: Final = 1
_FAST_TIMES: Final = 18
_SLOW_TIMES: Final = 7
_LOG_TIMES_S: Final = (10.0, 40.0, 160.0, 640.0)
_USUAL_AGES_S: Final = (100.0, 1200.0)  # of degassing surfaces: bared lately, and long pumped
_USUAL_OVER_S: Final = 600.0
_APART: Final = 4  # grid points: time constants nearer than about twice are one


@dataclass(frozen=True)
class Belief:
    """A coefficient is believed to lie around ``mean``, give or take ``spread``, beforehand."""

    column: int
    mean: float
    spread: float


@dataclass(frozen=True)
class Extra:
    """A further term of every explanation, (n,) float64, and what is believed of its size."""

    column: Floats
    mean: float
    spread: float


@dataclass(frozen=True)
class Terms:
    """The terms after the even-out: all but the constant are 0 at ``from_s``.

    Attributes
    ----------
    time_s : (n,) float64
        From the valve's closing.
    from_s
        End of the even-out.
    columns : (n, k) float64
        The terms.
    logs, fast, slow : (m,) intp
        Which columns are logarithms, exponentials that level off within the hold, slower ones.
    always : (m,) intp
        Columns of every explanation besides the constant.
    usual : (m,) intp
        Which of those are ordinary degassing: it gives gas and takes none.
    time_constant_s : (k,) float64
        Of the exponentials; elsewhere 0.
    beliefs
        What is believed of some columns beforehand.
    """

    time_s: Floats
    from_s: float
    columns: Floats
    logs: Indices
    fast: Indices
    slow: Indices
    always: Indices
    usual: Indices
    time_constant_s: Floats
    beliefs: tuple[Belief, ...]


def build_terms(
    time_s: Floats,
    from_s: float,
    duration_s: float,
    rules: HoldRules,
    extras: tuple[Extra, ...],
) -> Terms:
    """Lay out the terms at ``time_s`` for a hold that is believed from ``from_s`` on.

    ``extras`` are what the temperature may have done, and what may be left of the even-out.
    """
    t = time_s - from_s
    shortest = max(2.0 * float(np.median(np.diff(time_s))), 0.02 * duration_s, 10.0)
    border = rules.levels_within * duration_s
    fast_s = np.geomspace(shortest, border, _FAST_TIMES + 1)[:-1]
    slow_s = np.geomspace(border, SLOWEST * duration_s, _SLOW_TIMES)
    times_s = np.concatenate([fast_s, slow_s])
    logs = np.log1p(t[:, None] / (np.array(_LOG_TIMES_S)[None, :] + from_s))
    parts = [np.ones((len(t), 1)), t[:, None], logs, rising(t[:, None], times_s[None, :])]
    first = 2 + len(_LOG_TIMES_S)
    last = first + len(times_s)
    beliefs = []
    for number, age_s in enumerate(_USUAL_AGES_S):
        fading = np.log1p(t / (age_s + from_s)) / np.log1p(_USUAL_OVER_S / age_s)
        parts.append(fading[:, None])
        beliefs.append(Belief(last + number, rules.degassing_pa, rules.degassing_spread_pa))
    for number, extra in enumerate(extras, last + len(_USUAL_AGES_S)):
        parts.append(extra.column[:, None])
        beliefs.append(Belief(number, extra.mean, extra.spread))
    columns = np.hstack(parts)
    taus = np.zeros(columns.shape[1])
    taus[first:last] = times_s
    return Terms(
        time_s=time_s,
        from_s=from_s,
        columns=columns,
        logs=np.arange(2, first),
        fast=np.arange(first, first + len(fast_s)),
        slow=np.arange(first + len(fast_s), last),
        always=np.arange(last, columns.shape[1]),
        usual=np.arange(last, last + len(_USUAL_AGES_S)),
        time_constant_s=taus,
        beliefs=tuple(beliefs),
    )


def rising(time_s: Floats, time_constant_s: Floats | float) -> Floats:
    """Exponential rise from 0 towards 1."""
    return np.asarray(-np.expm1(-time_s / time_constant_s))


def families(terms: Terms) -> dict[str, Indices]:
    """Columns of every explanation tried, (m, k) intp by family.

    Each row: the constant, perhaps the line, the family's own terms, then those always there.
    """
    fast, slow = terms.fast, terms.slow
    two = np.array([(a, b) for a in fast for b in fast if b - a >= _APART], dtype=np.intp)
    mixed = np.array([(a, b) for a in fast for b in slow if b - a >= _APART], dtype=np.intp)
    none = np.zeros((1, 0), dtype=np.intp)
    own = {
        "steady": (False, none),
        "log": (False, terms.logs[:, None]),
        "leak": (True, none),
        "vapour": (False, fast[:, None]),
        "slow": (False, slow[:, None]),
        "both": (True, fast[:, None]),
        "vapour-two": (False, two),
        "vapour-slow": (False, mixed),
        "both-two": (True, two),
    }
    tried = {}
    for name, (has_line, rows) in own.items():
        before = [CONSTANT, LINE] if has_line else [CONSTANT]
        left = np.tile(np.array(before, dtype=np.intp), (len(rows), 1))
        right = np.tile(terms.always, (len(rows), 1))
        tried[name] = np.hstack([left, rows, right])
    return tried
