"""What the technician did on purpose, by his own marks: no rise that comes of it is a warning."""

from analysis.sample import MarkKind

SETTLES_S = 30.0  # after a valve was turned: gauge and circuit even out
AWAITED_S = 600.0  # a mark is made before the gas comes, or the gauge is shut off from it
IN_RATIO = 10.0  # so many times the pressure at the mark: the gas is in ...
IN_PA = 1.0e4  # ... or it was in already when the mark was made
OUT_SHARE = 0.5  # of the highest since: it is being pumped out again
VALVES: frozenset[MarkKind] = frozenset({"valve-opened", "valve-moved"})


class Intended:
    """Whether a rise is the technician's own doing now."""

    def __init__(self) -> None:
        self.is_on = False  # whether anything was done of which something may still come
        self._until_s = 0.0
        self._is_gas = False
        self._foot_pa: float | None = None
        self._top_pa = 0.0

    @property
    def is_gas(self) -> bool:
        """Whether nitrogen is in, or awaited, and not yet half pumped out."""
        return self._is_gas

    def mark(self, time_s: float, kind: MarkKind) -> None:
        """Take a mark."""
        self.is_on = self.is_on or kind == "nitrogen-in" or kind in VALVES
        if kind == "nitrogen-in":
            self._is_gas, self._until_s = True, time_s + AWAITED_S
            self._foot_pa, self._top_pa = None, 0.0
        elif kind in VALVES:
            self._until_s = max(self._until_s, time_s + SETTLES_S)

    def is_so(self, time_s: float, pressure_pa: float) -> bool:
        """Whether what is read now needs no warning."""
        if not self._is_gas:
            self.is_on = time_s < self._until_s
            return self.is_on
        if self._foot_pa is None:
            self._foot_pa = pressure_pa
        self._top_pa = max(self._top_pa, pressure_pa)
        is_in = self._top_pa > min(IN_RATIO * self._foot_pa, IN_PA)
        if is_in and pressure_pa < OUT_SHARE * self._top_pa:
            self._is_gas, self._until_s = False, time_s
        self._is_gas = self._is_gas and (is_in or time_s < self._until_s)
        self.is_on = self._is_gas
        return self._is_gas
