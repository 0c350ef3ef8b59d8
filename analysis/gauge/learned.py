"""What the bursts of one circuit have in common."""

from typing import NamedTuple


class Learned(NamedTuple):
    """What the burst detector has learned of a circuit and its gauge.

    ``fall_s`` is the fall constant, ``rise_counts`` how often each rise constant (s) was seen,
    ``usual_rise_s`` the usual time from onset to peak, ``None`` where no burst stood alone, and
    ``noise_pa`` the standard deviation of a reading when the level was ``level_pa``.
    """

    fall_s: float
    rise_counts: dict[float, float]
    usual_rise_s: float | None
    noise_pa: float
    level_pa: float
