"""The limits of a hold, each with where it comes from: all are settings."""

from dataclasses import dataclass
from typing import Final

MICRON_PA: Final = 0.1333224  # 1 micron of mercury (0 C), to state the trade's round figures
_PRACTICE = "common practice, no published source"


@dataclass(frozen=True, kw_only=True)
class HoldRules:
    """Limits for a hold, and the floors under which a rise does not matter. SI.

    No vehicle standard with a figure was found: the vehicle maker's figure overrides any of these.

    Attributes
    ----------
    start_pa, start_source
        Highest pressure at the start.
    rise_pa, rise_window_s, rise_source
        Highest rise within this window, counted from the evened-out start, if it flattens.
    highest_pa, highest_source
        What the pressure must stay under.
    charge_pa, charge_source
        Over this nothing may be charged.
    leak_floor_share
        A straight rise slower than this share of the allowed one is `held`: a fifth, which is
        the share that the rig's own gas load may have in a blank-off test. Rubber hoses inside
        the hold alone add 2 to 15 micron in 10 min, so less says nothing of the circuit. A
        straight rise between this and the allowed one does not flatten, so it is a leak.
    both_floor_share, both_share_of_leak
        Beside a leak a levelling-off rise is told only when over this share of the allowed one,
        and over ``both_share_of_leak`` of what the leak brings in the same time: less changes
        nothing of what is done next.
        (Without a leak, one up to the whole of the allowed rise is `held`.)
    evening_out_s
        Longest even-out after the valve is closed.
    cooling_share
        Largest fall, as a share of the evened-out start, that cooling may cause; a pressure that
        falls by more was not cut off from the pump.
    even_out_share
        Largest even-out as a share of the start: a gauge on the pump's side of a hose that
        halves the pump's speed reads half of what the circuit has. A larger fast rise is vapour.
    shortest_s
        A hold shorter than this has no finding.
    usual_s
        How long a hold usually takes; what is asked for when nothing more exact is known.
    degassing_pa, degassing_spread_pa
        Rise in 10 min, give or take, that hoses and metal bared lately and the same again that
        surfaces long pumped are believed to add to any hold (rubber hoses: 2 to 15 micron). It
        cannot be told from an equally faint leak, so it widens every leak's interval.
    unknown_drift_k
        Change of temperature over a hold, give or take, where no thermometer tells.
    levels_within
        A levelling-off rise must have a time constant under this share of the hold.
    sure_leak
        Least probability with which `leak` or `both` is said: a false one costs the most.
    sure_other
        Least probability with which `held` or `vapour` is said.
    """

    start_pa: float = 500 * MICRON_PA
    start_source: str = _PRACTICE
    rise_pa: float = 100 * MICRON_PA
    rise_window_s: float = 600.0
    rise_source: str = _PRACTICE
    highest_pa: float = 500 * MICRON_PA
    highest_source: str = _PRACTICE
    charge_pa: float = 1000 * MICRON_PA
    charge_source: str = _PRACTICE
    leak_floor_share: float = 0.2
    both_floor_share: float = 0.5
    both_share_of_leak: float = 0.05
    evening_out_s: float = 300.0
    cooling_share: float = 0.1
    even_out_share: float = 1.0
    shortest_s: float = 120.0
    usual_s: float = 600.0
    degassing_pa: float = 2 * MICRON_PA
    degassing_spread_pa: float = 4 * MICRON_PA
    unknown_drift_k: float = 2.0
    levels_within: float = 0.9
    sure_leak: float = 0.85
    sure_other: float = 0.6

    @property
    def allowed_pa_s(self) -> float:
        """Rate of a straight rise that just reaches the limit, Pa/s."""
        return self.rise_pa / self.rise_window_s

    @property
    def leak_floor_pa_s(self) -> float:
        """A straight rise slower than this does not matter, Pa/s."""
        return self.leak_floor_share * self.allowed_pa_s

    @property
    def vapour_floor_pa(self) -> float:
        """A rise that levels off and is smaller than this does not matter, Pa."""
        return self.rise_pa

    def both_floor_beside(self, leak_pa_s: float) -> float:
        """Give the levelling-off rise under which a leak of this rate is told alone, Pa."""
        by_leak_pa = self.both_share_of_leak * leak_pa_s * self.rise_window_s
        return max(self.both_floor_share * self.rise_pa, by_leak_pa)
