"""How a chart's numbers fall on its pixels: pure arithmetic, the same for points and arrays."""

from dataclasses import dataclass
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

Number = TypeVar("Number", float, NDArray[np.float64])


@dataclass(frozen=True, slots=True)
class Frame:
    """The part of the plane that is in view, and the pixels it is drawn on.

    Examples
    --------
    >>> frame = Frame(width=100.0, height=50.0, left=0.0, right=10.0, low=0.0, high=5.0)
    >>> frame.x_px(1.0), frame.y_px(1.0)
    (10.0, 40.0)
    """

    width: float
    height: float
    left: float
    right: float
    low: float
    high: float

    def x_px(self, x: Number) -> Number:
        """Give the pixels from the left edge."""
        return (x - self.left) * (self.width / (self.right - self.left))

    def y_px(self, y: Number) -> Number:
        """Give the pixels from the upper edge."""
        return (self.high - y) * (self.height / (self.high - self.low))
