"""How long this circuit is held at least, and whether the hold may end."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from analysis.hold.length import LEAST_HOLDS, CircuitKind, HoldEnd, LeastHold, hold_end
from analysis.reason import Reason
from analysis.snapshot import HoldResult


@dataclass(frozen=True, slots=True)
class HoldLengths:
    """How long each kind of circuit is held at least, and which kind this one is."""

    kind: CircuitKind = "normal"
    least: Mapping[CircuitKind, LeastHold] = field(default_factory=lambda: LEAST_HOLDS)

    def end(self, result: HoldResult | None) -> HoldEnd | None:
        """Tell whether a hold may end."""
        return None if result is None else hold_end(result, self.least[self.kind])

    def is_too_short(self, result: HoldResult) -> bool:
        """Tell whether a hold that is over was shorter than such a circuit's."""
        end = self.end(result)
        is_sure = end is not None and end.reason.code == "hold-leak-is-sure"
        return result.duration_s < self.least[self.kind].length_s and not is_sure

    def over(self, result: HoldResult) -> Reason:
        """Say of a hold that is over how long it was, and how long at least."""
        end = self.end(result)
        code = "held-too-short" if self.is_too_short(result) else "held-long-enough"
        if end is not None and end.reason.code == "hold-leak-is-sure":
            code = "held-leak-is-sure"
        values = {"duration_s": result.duration_s, "least_s": self.least[self.kind].length_s}
        return Reason(code, values)


ORDINARY = HoldLengths()
