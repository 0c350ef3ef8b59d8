"""Well-known event finders, each given its best single setting and the true noise.

They see the whole record at once and the noise at every reading, which the program never has.
"""

import warnings
from collections.abc import Callable, Mapping
from importlib import import_module
from importlib.util import find_spec
from itertools import pairwise, product

import numpy as np
from scipy.signal import find_peaks, medfilt, peak_widths

from tests.bench.circuit import Floats
from tests.bench.traces import Trace

Setting = tuple[float, ...]
Onsets = list[float]

PROMINENCES = (2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 10.0, 12.0, 15.0)  # multiples of the noise
_FOOT = 0.9  # the onset is where the rise has this share of its height still to come


def _noise(trace: Trace) -> Floats:
    true_pa = np.interp(trace.time_s, trace.grid_s, trace.true_pa)
    return trace.recipe.noise_pa(true_pa)


def _peaks(trace: Trace, shown_pa: Floats) -> dict[Setting, Onsets]:
    """SciPy's find_peaks once at the lowest prominence, then cut at each of the settings."""
    noise_pa = _noise(trace)
    wlen = int(max(300 / trace.reading_s, 3)) | 1
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", RuntimeWarning)  # a peak without height: cut anyway
        peaks, props = find_peaks(shown_pa, prominence=PROMINENCES[0] * noise_pa, wlen=wlen)
    data = props["prominences"], props["left_bases"], props["right_bases"]
    feet = peak_widths(shown_pa, peaks, rel_height=_FOOT, prominence_data=data, wlen=wlen)[2]
    onset_s = np.interp(feet, np.arange(trace.time_s.size), trace.time_s)
    height = props["prominences"] / noise_pa[peaks]
    return {(k,): onset_s[height >= k].tolist() for k in PROMINENCES}


def plain_peaks(trace: Trace) -> dict[Setting, Onsets]:
    """find_peaks on the readings as they are."""
    return _peaks(trace, trace.pressure_pa)


def median_peaks(trace: Trace) -> dict[Setting, Onsets]:
    """find_peaks after a median of 5 readings, which takes single glitches out."""
    return _peaks(trace, medfilt(trace.pressure_pa, 5))


def jump_filter(trace: Trace) -> dict[Setting, Onsets]:
    """Jump matched filter: mean of the next seconds over that of the last, in noises.

    The straight fall before is taken out; the highest place within 10 s stands for the jump.
    """
    shown, time_s, noise_pa = medfilt(trace.pressure_pa, 5), trace.time_s, _noise(trace)
    total = np.concatenate(([0.0], np.cumsum(shown - shown.mean())))
    here = np.arange(shown.size)
    found: dict[Setting, Onsets] = {}
    for least_s in (2.0, 4.0, 8.0):
        wide_s = max(least_s, 2.5 * trace.reading_s)
        edges = [np.searchsorted(time_s, time_s + k * wide_s) for k in (-2, -1, 0, 1)]
        edges[2], edges[3] = here, np.maximum(edges[3], here + 1)
        edges[3] = np.minimum(edges[3], shown.size)
        means = [(total[b] - total[a]) / np.maximum(b - a, 1) for a, b in pairwise(edges)]
        jump = (means[2] - means[1]) + np.maximum(means[0] - means[1], 0.0)
        jump[(here == edges[1]) | (edges[1] == edges[0])] = 0.0
        apart = max(1, int(10 / trace.reading_s))
        peaks, props = find_peaks(jump / noise_pa, height=1.0, distance=apart)
        for k in (1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0):
            onset = time_s[peaks[props["peak_heights"] >= k]]
            found[(least_s, k)] = onset.tolist()
    return found


def sta_lta(trace: Trace) -> dict[Setting, Onsets]:
    """ObsPy's recursive STA/LTA on the positive part of the readings over a trailing mean."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", DeprecationWarning)  # its own affair, on Python 3.11
        trigger = import_module("obspy.signal.trigger")
    shown = medfilt(trace.pressure_pa, 5)
    found: dict[Setting, Onsets] = {}
    for memory_s, short_s, long_s in product((4.0, 20.0), (1.5, 4.0), (60.0, 200.0)):
        slow = _trailing(shown, trace.time_s, memory_s)
        above = np.maximum(shown - slow, 0.0) / _noise(trace) + 0.3
        nsta = max(2, round(short_s / trace.reading_s))
        nlta = max(4 * nsta, round(long_s / trace.reading_s))
        nlta = min(nlta, shown.size - 1)
        ratio = trigger.recursive_sta_lta(above, nsta, nlta)
        for on in (1.5, 2.0, 3.0, 4.0, 6.0, 9.0):
            spans = trigger.trigger_onset(ratio, on, 0.5 * on)
            found[(memory_s, short_s, long_s, on)] = [float(trace.time_s[a]) for a, _ in spans]
    return found


def _trailing(shown: Floats, time_s: Floats, memory_s: float) -> Floats:
    """Exponentially forgetting mean of the readings before each."""
    keeps = np.exp(-np.diff(time_s, prepend=time_s[0]) / memory_s).tolist()
    level, path = float(shown[0]), []
    for value, keep in zip(shown.tolist(), keeps, strict=True):
        path.append(level)
        level = keep * level + (1 - keep) * value
    return np.array(path)


def rivals() -> Mapping[str, Callable[[Trace], dict[Setting, Onsets]]]:
    """Return all that can run here by name; ObsPy's only where it is installed."""
    found: dict[str, Callable[[Trace], dict[Setting, Onsets]]] = {
        "find_peaks": plain_peaks,
        "median 5 + find_peaks": median_peaks,
        "matched jump filter": jump_filter,
    }
    if find_spec("obspy") is None:
        return found
    return {**found, "ObsPy recursive STA/LTA": sta_lta}
