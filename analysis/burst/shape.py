"""The last look at a burst before it is told: the readings themselves must have risen.

The rival explanations weigh models against each other; where none of them fits (a level that sinks
in a step, a valve moved slowly) the best of a bad lot may still be called a burst.
"""

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

# Share of the rise that must stand over the falling line through the readings before: the rest
# may be the fall of other bursts nearby, which the line does not know.
LEAST_RISE = 0.3


def has_risen(
    time_s: Array,
    pressure_pa: Array,
    *,
    onset_s: float,
    peak_s: float,
    rise_pa: float,
    is_settled: bool = True,
) -> bool:
    """Tell whether the readings around a burst rise as they must.

    Parameters
    ----------
    time_s, pressure_pa
        Readings, (n,) float64, from some seconds before the onset.
    onset_s, peak_s, rise_pa
        The burst as fitted.
    is_settled
        Whether the line before may be drawn on; not where the level has just stepped or bent.
    """
    before = time_s < onset_s - 1e-9
    at_peak = (time_s >= onset_s) & (time_s <= peak_s + max(0.5 * (peak_s - onset_s), 1.0))
    if np.count_nonzero(before) < 3 or not at_peak.any():
        return True  # too little to look at: the explanations decide alone
    slope_pa_s = float(np.polyfit(time_s[before] - onset_s, pressure_pa[before], 1)[0])
    foot_pa = float(np.median(pressure_pa[before][-3:]))
    if is_settled:
        foot_pa += min(slope_pa_s, 0.0) * max(peak_s - onset_s, 0.0)
    top_pa = float(np.median(np.sort(pressure_pa[at_peak])[-3:]))
    return top_pa - foot_pa >= LEAST_RISE * rise_pa
