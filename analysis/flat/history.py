"""What is known of a circuit before it is pulled down, and how long drying may then take.

Rough practice, no source: a new, clean circuit goes flat in 10 to 15 minutes, an average one in
one to two hours, a very wet one can take 24 hours. Everything here only interpolates between
those three; it is a weak assumption that the first dozen bursts outweigh.
"""

from dataclasses import dataclass
from math import exp, log

from analysis.snapshot import FlatEstimate

# Nothing known: the middle of all three on a log scale.
_UNKNOWN_S = 100.0 * 60.0
_CLEAN_S, _AVERAGE_S, _VERY_WET_S = 12.0 * 60.0, 90.0 * 60.0, 24.0 * 3600.0
# How much more water an oil takes up: POE 1500 to 2500 ppm, PAG 5000 to 10000 at saturation
# (from memory, rough); mineral oil and PVE stand in at the ends, by the trade's rules of thumb.
_THIRST = {"PAG": 1.0, "POE": 0.5, "PVE": 0.6, "mineral": 0.1}
# One in ten runs is taken to be longer, one in ten shorter, than this factor.
_SPREAD_UNKNOWN, _SPREAD_KNOWN = 1.3, 1.0


@dataclass(frozen=True, slots=True)
class History:
    """The circuit's past, as far as it is known; ``None`` is not known.

    ``days_open`` counts the days lines stood open; ``humidity_pct`` is relative, of the air they
    stood open to; ``renewed_drier`` and ``renewed_oil`` say that the parts which hold most of
    the water were replaced just before this pull.
    """

    days_open: float | None = None
    temperature_c: float | None = None
    humidity_pct: float | None = None
    oil: str | None = None
    oil_ml: float | None = None
    renewed_drier: bool = False
    renewed_oil: bool = False


@dataclass(frozen=True, slots=True)
class FlatPrior:
    """Normal distribution of ln(time of flat / s) from the pull's start."""

    log_mean: float
    log_sd: float


def flat_prior(history: History | None) -> FlatPrior:
    """When the circuit may go flat, before any burst is seen: rough practice, no source.

    Examples
    --------
    >>> flat_prior(History(days_open=0)).log_mean < flat_prior(History(days_open=30)).log_mean
    True
    """
    known = history or History()
    if known.days_open is None:
        log_mean, log_sd = log(_UNKNOWN_S), _SPREAD_UNKNOWN
    else:
        log_mean, log_sd = _from_days(known.days_open), _SPREAD_KNOWN
    log_mean += _wetness(known)
    if known.temperature_c is not None:
        # Water's vapour pressure, and with it the drying, doubles about every 11 degrees.
        log_mean += 0.5 * (20.0 - min(max(known.temperature_c, 0.0), 60.0)) / 11.0 * log(2.0)
    if known.renewed_drier:
        log_mean -= 0.3
    if known.renewed_oil:
        log_mean -= 0.5
    return FlatPrior(min(max(log_mean, log(600.0)), log(_VERY_WET_S)), log_sd)


def forecast_before_start(history: History | None = None) -> FlatEstimate:
    """How long until flat, seconds from the pull's start, before anything is seen.

    Rough practice, no source: say so wherever it is shown.
    """
    prior = flat_prior(history)
    reach = 1.2816 * prior.log_sd
    middle_s = exp(prior.log_mean)
    return FlatEstimate(middle_s, middle_s * exp(-reach), middle_s * exp(reach), None, None, 0.0)


def _from_days(days_open: float) -> float:
    """Clean when it was not open, average at a day, very wet from a month on."""
    days = max(days_open, 0.0)
    if days <= 1.0:
        return log(_CLEAN_S) + days * (log(_AVERAGE_S) - log(_CLEAN_S))
    share = min(log(days) / log(30.0), 1.0)
    return log(_AVERAGE_S) + share * (log(_VERY_WET_S) - log(_AVERAGE_S))


def _wetness(history: History) -> float:
    shift = 0.0
    if history.humidity_pct is not None:
        shift += 0.5 * (min(max(history.humidity_pct, 5.0), 100.0) - 50.0) / 50.0
    if history.oil is not None and not history.renewed_oil:
        shift += 0.4 * (_THIRST.get(history.oil, 0.7) - 0.7)
    if history.oil_ml is not None and history.oil_ml > 0.0:
        shift += 0.3 * log(min(max(history.oil_ml / 150.0, 0.3), 4.0))
    return shift
