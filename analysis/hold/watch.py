"""A hold as it goes on: the same judgement as of a recorded one, in bounded memory."""

from typing import Final

import numpy as np

from analysis.hold.finding import analyse_thinned
from analysis.hold.inrush import Rush
from analysis.hold.rules import HoldRules
from analysis.hold.trace import HoldThinner, ThinnedHold
from analysis.snapshot import HoldResult

_REFIT_SHARE: Final = 1.0 / 30.0


class HoldWatch:
    """Follows a hold, and judges it now and then.

    Parameters
    ----------
    rules
        Limits and floors.
    refit_s
        The judgement is renewed at most this often, > 0.
    noise_pa
        Noise of one reading where known, Pa.

    Examples
    --------
    >>> watch = HoldWatch()
    >>> for second in range(60):
    ...     watch.update(float(second), 20.0, None)
    >>> watch.result(60.0).finding
    'unclear'
    """

    def __init__(
        self,
        *,
        rules: HoldRules | None = None,
        refit_s: float = 5.0,
        noise_pa: float | None = None,
    ) -> None:
        if refit_s <= 0:
            raise ValueError("refit_s must be positive")
        self._rules = rules or HoldRules()
        self._refit_s = refit_s
        self._noise_pa = noise_pa
        self._thinner = HoldThinner()
        self._result: HoldResult | None = None
        self._fitted_s = -np.inf
        self._fitted_pa = 0.0
        self._rush: Rush | None = None
        self.update = self._thinner.add
        self.update_beyond = self._thinner.add_beyond

    def judge_by(self, rules: HoldRules) -> None:
        """Judge by other limits, all readings so far too."""
        self._rules, self._result = rules, None

    def trace(self) -> ThinnedHold | None:
        """Return the readings so far, thinned; ``None`` before any."""
        return self._thinner.thinned()

    def result(self, time_s: float, *, is_final: bool = False) -> HoldResult | None:
        """Judgement so far; ``None`` before any reading.

        Renewed when ``refit_s`` and a thirtieth of the hold have passed (in that time it hardly
        changes, and the cost stays small at any speed of replay), after ``refit_s`` where the
        reading has moved by all that it may, at once when gas rushes in, and for the last time.
        """
        if is_final or self._is_due(time_s):
            hold = self._thinner.thinned()
            if hold is None:
                return None
            self._result = analyse_thinned(hold, rules=self._rules, noise_pa=self._noise_pa)
            self._fitted_s, self._fitted_pa = time_s, hold.last_pa
            self._rush = hold.rush
        return self._result

    def _is_due(self, time_s: float) -> bool:
        if self._result is None or self._thinner.rush != self._rush:
            return True
        waited_s = time_s - self._fitted_s
        is_moved = abs(self._thinner.last_pa - self._fitted_pa) > self._rules.rise_pa
        usual_s = _REFIT_SHARE * self._result.duration_s
        return waited_s >= (self._refit_s if is_moved else max(self._refit_s, usual_s))
