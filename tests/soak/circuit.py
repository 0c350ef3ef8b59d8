"""A wet circuit's trace that goes on for days: pull-downs, boil-off that eases, standing tests."""

import numpy as np

from analysis.sample import MarkKind
from tests.bench.circuit import Floats

_AIR_PA, _BASE_PA = 101325.0, 30.0
_PULL_S, _FALL_S = 25.0, 20.0  # e-folding times: of the pull-down, of a burst's fall
_NOISE = 0.004  # of the reading
_LEAK_PA_S = 0.02
_FIRST_LULL_S, _LAST_LULL_S = 30.0, 900.0
_HOLD_SHARE = 0.9  # of a cycle, when the valve is closed
_BACK_SHARE = 0.97  # ... and opened again


class Circuit:
    """Gives the pressure minute by minute; each cycle begins with nitrogen let in.

    Parameters
    ----------
    cycle_s
        Length of a cycle, seconds, whole minutes.
    rate_hz
        Readings a second.
    """

    def __init__(self, cycle_s: float, rate_hz: int, seed: int) -> None:
        self._cycle_s, self._rate_hz = cycle_s, rate_hz
        self._chance = np.random.default_rng(seed)
        self._onsets_s: list[float] = []
        self._rises_pa: list[float] = []
        self._next_onset_s = 120.0

    def minute(self, from_s: float) -> Floats:
        """Give the readings of the minute that begins there, Pa, to three places."""
        count = 60 * self._rate_hz
        time_s = from_s + np.arange(count) / self._rate_hz
        since_s = time_s % self._cycle_s
        pressure_pa = _BASE_PA + _AIR_PA * np.exp(-since_s / _PULL_S)
        closed_s = np.clip(since_s - _HOLD_SHARE * self._cycle_s, 0.0, None)
        closed_s[since_s >= _BACK_SHARE * self._cycle_s] = 0.0
        pressure_pa = pressure_pa + _LEAK_PA_S * closed_s + self._bursts(time_s)
        noisy = pressure_pa * (1.0 + _NOISE * self._chance.normal(size=count))
        return np.round(noisy, 3)

    def mark_at(self, time_s: float) -> MarkKind | None:
        """Tell what the technician does at a whole minute."""
        at_s = time_s % self._cycle_s
        return {
            0.0: "nitrogen-in",
            _minute(_HOLD_SHARE * self._cycle_s): "valve-closed",
            _minute(_BACK_SHARE * self._cycle_s): "valve-opened",
        }.get(at_s)  # type: ignore[return-value]  # literals, each a kind of mark

    def _bursts(self, time_s: Floats) -> Floats:
        chance = self._chance
        while self._next_onset_s < time_s[-1]:
            share = (self._next_onset_s % self._cycle_s) / self._cycle_s
            lull_s = _FIRST_LULL_S * (_LAST_LULL_S / _FIRST_LULL_S) ** share
            self._onsets_s.append(self._next_onset_s)
            self._rises_pa.append(float(chance.uniform(3.0, 12.0)) * (1.0 - 0.7 * share))
            self._next_onset_s += float(chance.exponential(lull_s)) + 2.0
        while self._onsets_s and self._onsets_s[0] < time_s[0] - 15.0 * _FALL_S:
            del self._onsets_s[0], self._rises_pa[0]
        above_pa = np.zeros(len(time_s))
        for onset_s, rise_pa in zip(self._onsets_s, self._rises_pa, strict=True):
            since_s = np.clip(time_s - onset_s, 0.0, None)
            above_pa += rise_pa * (1.0 - np.exp(-since_s / 0.4)) * np.exp(-since_s / _FALL_S)
        return above_pa


def _minute(time_s: float) -> float:
    return 60.0 * round(time_s / 60.0)
