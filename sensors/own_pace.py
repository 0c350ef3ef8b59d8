"""How far apart a gauge itself speaks, so that a slow one is not taken for a silent one."""

from collections import deque
from statistics import median_low

_PACKET_S = 1.0  # what comes within a second came together
_KEPT = 5


class OwnPace:
    """Learns the pause between a gauge's readings: the middle one of the last five.

    A drop now and then does not move it, nor do several readings in a packet. Unknown until two
    pauses were seen.

    Examples
    --------
    >>> pace = OwnPace()
    >>> for time_s in (0.0, 60.0, 60.1, 120.0):
    ...     pace.heard(time_s)
    >>> pace.pause_s
    60.0
    """

    def __init__(self) -> None:
        self._packet_s: float | None = None  # when the last one began
        self._pauses_s: deque[float] = deque(maxlen=_KEPT)

    @property
    def pause_s(self) -> float | None:
        """Usual pause, or ``None`` while it is not known."""
        return median_low(self._pauses_s) if len(self._pauses_s) > 1 else None

    def heard(self, time_s: float) -> None:
        """Take the time at which something was read."""
        if self._packet_s is None:
            self._packet_s = time_s
        elif time_s - self._packet_s >= _PACKET_S:
            self._pauses_s.append(time_s - self._packet_s)
            self._packet_s = time_s
