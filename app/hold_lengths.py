"""How long this circuit is held at least, and whether the hold may end."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from analysis.hold_length import LEAST_HOLDS, CircuitKind, HoldEnd, LeastHold, hold_end
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
        return end is not None and end.reason.code == "hold-too-short-yet"

    def over(self, result: HoldResult) -> Reason:
        """Say of a hold that is over how long it was, and how long at least."""
        end = self.end(result)
        codes = {"hold-too-short-yet": "held-too-short", "hold-leak-is-sure": "held-leak-is-sure"}
        code = codes.get("" if end is None else end.reason.code, "held-long-enough")
        values = {"duration_s": result.duration_s, "least_s": self.least[self.kind].length_s}
        return Reason(code, values)


ORDINARY = HoldLengths()
