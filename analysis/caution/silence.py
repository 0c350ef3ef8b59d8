"""How likely a silence is while the rate of bursts goes on fading as it did."""

import math
from collections.abc import Sequence
from itertools import pairwise

# By so many e-folds the rate may have faded while the bursts came: from not at all to as much as
# 32 bursts could show, none of which is likelier beforehand.
_FADES = tuple(0.5 * step for step in range(9))

#: Rare enough where another sign comes with the silence, and neither would do alone [chosen].
TOGETHER = 0.05


def chance_of_silence(onsets_s: Sequence[float], quiet_s: float) -> float:
    """Chance that no burst comes for so long after the last, given when the bursts came.

    They are a Poisson process whose rate fades exponentially, from a level and at a pace that
    are not known: each pace is weighed by how well it explains the onsets, and the level is
    integrated out (flat in its logarithm). Bursts that come in clusters count for fewer.

    Parameters
    ----------
    onsets_s
        Of the last bursts, s, in order; two at least.
    quiet_s
        Time watched since the last of them, s.

    Examples
    --------
    Of twelve bursts a lull apart each, twelve more lulls without one prove little; of 32 much.

    >>> few, many = ([30.0 * i for i in range(count)] for count in (12, 32))
    >>> round(chance_of_silence(few, 360.0), 3), round(chance_of_silence(many, 360.0), 4)
    (0.025, 0.0012)
    """
    span_s, dispersion = max(onsets_s[-1] - onsets_s[0], 1e-3), _dispersion(onsets_s)
    count = (len(onsets_s) - 1) / dispersion
    sum_at = sum(onset_s - onsets_s[0] for onset_s in onsets_s[1:]) / span_s / dispersion
    weights, silences = [], []
    for fade in _FADES:
        came, due = _expected(fade, 1.0), _expected(fade, 1.0 + quiet_s / span_s)
        weights.append(-fade * sum_at - count * math.log(came))
        silences.append(math.exp(-count * math.log(due / came)))
    best = max(weights)
    shares = [math.exp(weight - best) for weight in weights]
    return sum(s * p for s, p in zip(shares, silences, strict=True)) / sum(shares)


def _expected(fade: float, until: float) -> float:
    """Bursts due until then of a rate that begins at 1 and fades by ``fade`` e-folds in 1."""
    return until if fade == 0.0 else -math.expm1(-fade * until) / fade


def _dispersion(onsets_s: Sequence[float]) -> float:
    """Variance of counts over a Poisson process's, at least 1, by the lulls' local variation.

    That is 3 / (2 k + 1) for gamma lulls of shape k = 1 / dispersion (Shinomoto, Shima and Tanji
    2003), whatever the trend.
    """
    lulls_s = [max(b - a, 1e-9) for a, b in pairwise(onsets_s)]
    ratios = [((b - a) / (b + a)) ** 2 for a, b in pairwise(lulls_s)]
    variation = 3.0 * sum(ratios) / max(len(ratios), 1)
    return max(1.0, 2.0 * variation / max(3.0 - variation, 0.1))
