"""What is known of a burst's fall before it is seen: that of the circuit, as far as it is known."""

from math import hypot
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

# By so much (ln) the fall of one burst differs from what is usual: it goes with the pressure, 1.4
# to 1.7 times from 60 to 300 micron, so that a small or crowded burst tells it worse than its kind.
FALL_SPREAD = 0.3


class UsualFall(NamedTuple):
    """A log-normal law of falls: its middle, and the standard deviation of the logarithm."""

    fall_s: float
    spread: float

    def unlikely(self, fall_s: NDArray[np.float64]) -> NDArray[np.float64]:
        """How far these falls lie from what is usual, in squared standard deviations: (n,)."""
        off = np.log(fall_s / self.fall_s) / self.spread
        return np.asarray(off * off)


def usual_fall(fall_s: float, doubt: float = 0.0) -> UsualFall:
    """Give what a burst's fall will be like, where the circuit's own is known but for ``doubt``.

    Parameters
    ----------
    fall_s
        The circuit's fall constant.
    doubt
        Standard deviation of its logarithm.
    """
    return UsualFall(fall_s, hypot(doubt, FALL_SPREAD))


#: Of circuits' own fall constants: 5 to 80 s as a rule, a law that spans 3 to 200 s.
CIRCUITS = UsualFall(20.0, 1.4)
#: Of a burst before the first fall.
ANY_FALL = usual_fall(*CIRCUITS)
