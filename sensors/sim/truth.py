"""What was true in a simulated run, for tests and benches to judge the analysis by."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from sensors.sim.circuit import Circuit
from sensors.sim.response import peak_share
from sensors.sim.scenario import ScriptedAction
from sensors.sim.truth_cautions import CautionTruth, tell_cautions
from sensors.sim.truth_flat import RateCurve, last_crossing, visible_rate
from sensors.sim.truth_hold import HoldTruth, tell_holds
from sensors.sim.truth_log import BurstLog, StateLog

VISIBLE_TIMES_NOISE = 5.0  # the project's definition of a visible burst


@dataclass(frozen=True, slots=True)
class BurstTruth:
    """One burst as it would stand at the gauge without noise.

    ``rise_pa`` is its own highest rise there (gas factor, release and lag included), ``fall_s``
    the time constant of its fall, ``area_pa_s`` the area under it, ``noise_pa`` the noise of one
    reading at its onset, ``is_visible`` whether its rise is at least five times that.
    """

    onset_s: float
    rise_pa: float
    fall_s: float
    area_pa_s: float
    mass_kg: float
    release_s: float
    noise_pa: float
    is_visible: bool


@dataclass(frozen=True, slots=True)
class Truth:
    """All that is known about a run because it was made.

    Attributes
    ----------
    bursts
        Every burst, visible or not, in order.
    rate
        Rate of visible bursts over time, going on past the end of the run while the rate
        stays above one per flat interval (as if all went on as it is).
    flat_s
        When that rate falls below one per flat interval for good; ``None`` if it was never
        above it, if pumping ended before, or if it takes more than 48 h.
    leak_pa_m3_s, volume_m3
        At the end.
    holds
        One for each closing of the valve.
    cautions
        Those that should stand, and when.
    actions, gaps
        What was done, and the silences of the gauge.
    """

    bursts: tuple[BurstTruth, ...]
    rate: RateCurve
    flat_s: float | None
    leak_pa_m3_s: float
    volume_m3: float
    holds: tuple[HoldTruth, ...]
    cautions: tuple[CautionTruth, ...]
    actions: tuple[ScriptedAction, ...]
    gaps: tuple[tuple[float, float], ...]
    duration_s: float

    @property
    def visible_onsets_s(self) -> npt.NDArray[np.float64]:
        """Onsets of the visible bursts, (n,) float64."""
        return np.array([burst.onset_s for burst in self.bursts if burst.is_visible])

    @property
    def finding(self) -> str | None:
        """What the last hold should find; ``None`` without a hold or where it is on the edge."""
        return self.holds[-1].finding if self.holds else None


def tell_truth(
    circuit: Circuit,
    *,
    bursts: Sequence[BurstLog],
    states: Sequence[StateLog],
    actions: Sequence[ScriptedAction],
    gaps: Sequence[tuple[float, float]],
    flat_interval_s: float,
) -> Truth:
    """Put together the truth of a run from its logs; the circuit itself is left as it is."""
    scenario = circuit.scenario
    all_bursts = _tell_bursts(bursts, scenario.gauge.lag_s)
    rate = visible_rate(circuit, states, flat_interval_s)
    visible = [burst.onset_s for burst in all_bursts if burst.is_visible]
    return Truth(
        bursts=all_bursts,
        rate=rate,
        flat_s=last_crossing(rate, flat_interval_s),
        leak_pa_m3_s=circuit.leak_pa_m3_s,
        volume_m3=scenario.volume_m3,
        holds=tell_holds(scenario, states, actions, circuit.time_s),
        cautions=tell_cautions(scenario, states, actions, gaps, min(visible, default=math.inf)),
        actions=tuple(actions),
        gaps=tuple(gaps),
        duration_s=circuit.time_s,
    )


def _tell_bursts(logs: Sequence[BurstLog], lag_s: float) -> tuple[BurstTruth, ...]:
    if not logs:
        return ()
    fall_s = np.array([log.fall_s for log in logs])
    share = peak_share(np.array([log.release_s for log in logs]), fall_s, lag_s)
    return tuple(
        BurstTruth(
            onset_s=log.time_s,
            rise_pa=log.full_rise_pa * float(part),
            fall_s=log.fall_s,
            area_pa_s=log.full_rise_pa * log.fall_s,
            mass_kg=log.mass_kg,
            release_s=log.release_s,
            noise_pa=log.noise_pa,
            is_visible=log.full_rise_pa * float(part) >= VISIBLE_TIMES_NOISE * log.noise_pa,
        )
        for log, part in zip(logs, share, strict=True)
    )
