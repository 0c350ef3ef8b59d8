"""How the trace came down from the start."""

import math
from collections import deque
from functools import cache, lru_cache
from typing import Literal

from analysis.middle import median
from analysis.pump.flow import Hose, pumped_throughput_pa_m3_s
from analysis.rules import MICRON_PA

START_PA = 1.0e4  # 100 mbar: above it every pump-down is limited by the pump alone
HIGH_PA = 1000 * MICRON_PA  # a trace that begins under this has come down already
DEEP_PA = 200 * MICRON_PA
STEP = 0.05  # of ln P
# The fastest circuit: 1.2 L with the largest pump through two of the widest hoses, each 9.5 mm
# wide and 1 m long, and nothing in the circuit that gives off gas.
FASTEST_PUMP_M3_S = 3.8e-3
FASTEST_HOSE = Hose(9.5e-3, 1.0)
FASTEST_VOLUME_M3 = 1.2e-3
HOSES = 2
RESOLVED_S = 2.0  # a shorter time proves nothing: readings may be a second apart
NEAR_RATIO = 1.1
FALLS_FROM = 8.0  # times where it stands: from there on the end is most of the time
JUMP = 6  # steps: a fourth less, or a third more, from one reading to the next is not noise
# Air that was let in is pumped down again in more than that; bad readings last for seconds.
AIR_S = 10.0


class Fall:
    """Remembers when the trace first came under each of its own pressures.

    Bounded: two times for each step of a twentieth in ln P, kept from the first pass.
    """

    def __init__(self) -> None:
        self._recent: deque[float] = deque(maxlen=3)
        self._last_s = self._before_s = -math.inf
        self._air_s = (-math.inf, -math.inf)  # when it was near the air's again, first and last
        self.came_back_s = -math.inf  # when it was last back at once from a fall that was too fast
        self._begin(None)

    def _begin(self, high_s: float | None) -> None:
        """Begin a fall: ``high_s`` is when the pressure was last near the air's, if it ever was."""
        self._high_s = high_s
        self._over_s: dict[int, float] = {}  # last reading over an edge, Pa exp(edge STEP)
        self._under_s: dict[int, float] = {}  # first reading under it
        self._lowest: int | None = None if high_s is None else _edge(START_PA)
        self._next_pa = math.inf if high_s is None else START_PA  # under it lies the next edge
        self.fell_s: float | None = None
        self._fell_from_s = math.inf
        self._back_pa = math.inf  # over it a fall too fast was none: the gauge sees the circuit

    @property
    def is_too_fast(self) -> bool:
        """Whether it fell faster than any circuit can, in ``fell_s``."""
        return self.fell_s is not None

    def update(self, time_s: float, pressure_pa: float) -> None:
        """Take a reading."""
        # A gauge that measures seldom shows a value again and again: it was measured when it was
        # first shown. The median of three is surely over an edge only up to two readings before it
        # is under.
        recent = self._recent
        shown_s = self._last_s if recent and recent[-1] == pressure_pa else time_s
        before_s, self._before_s, self._last_s = self._before_s, self._last_s, shown_s
        recent.append(pressure_pa)
        if self._next_pa < pressure_pa < min(self._back_pa, START_PA):
            return  # nothing new: by far the most readings
        pressure_pa = median(recent)  # a glitch of one reading passes nothing
        if pressure_pa >= START_PA:
            self._rise_to_air(time_s, before_s)
            return
        if pressure_pa >= self._back_pa:
            if min(recent) < math.exp(-JUMP * STEP) * self._back_pa:  # no gas leaks in as quickly
                self.came_back_s = time_s
            self._take_back(pressure_pa)
        edge = _edge(max(pressure_pa, 1e-3))
        if self._lowest is None:  # the first reading of all
            self._high_s = time_s if pressure_pa >= HIGH_PA else None
            self._lowest, self._next_pa = edge, math.exp(edge * STEP)
        if edge >= self._lowest:
            return
        for passed in range(edge + 1, self._lowest + 1):
            self._over_s[passed], self._under_s[passed] = before_s, time_s
        self._lowest, self._next_pa = edge, math.exp(edge * STEP)
        if self._high_s is not None and self.fell_s is None and pressure_pa < DEEP_PA:
            self._judge(edge + 1, time_s)

    def _rise_to_air(self, time_s: float, before_s: float) -> None:
        """Begin anew near the air's pressure, where it is not for a few bad readings only."""
        first_s, last_s = self._air_s
        first_s = first_s if last_s >= before_s else time_s
        self._air_s = first_s, time_s
        has_been_lower = self._lowest is not None and self._lowest < _edge(START_PA)
        if not has_been_lower or time_s - first_s >= AIR_S:
            self._begin(time_s)

    def _judge(self, edge: int, time_s: float) -> None:
        """Set the fall to this edge, from whichever higher one, beside the fastest circuit's."""
        fastest_s = _fastest_s()
        for higher, over_s in self._over_s.items():
            needed_s = fastest_s[edge] - fastest_s[higher] if higher <= _edge(START_PA) else 0.0
            if needed_s > RESOLVED_S and time_s - over_s < needed_s:
                if self.fell_s is None:
                    self.fell_s, self._fell_from_s = time_s - over_s, self._over_s[edge]
                    self._back_pa = self._jumped_from_pa(edge)
                self._back_pa = min(self._back_pa, math.exp((higher + 1) * STEP))

    def _jumped_from_pa(self, edge: int) -> float:
        """Give the pressure just before the newest reading, if it lies well over that."""
        top = max(each for each in self._over_s if self._over_s[each] >= self._fell_from_s)
        return math.exp(top * STEP) if top - edge >= JUMP else math.inf

    def _take_back(self, pressure_pa: float) -> None:
        """Forget a fall that did not last: some bad readings in a row, or a gauge unplugged."""
        self.fell_s, self._back_pa = None, math.inf
        for edge in [edge for edge, over_s in self._over_s.items() if over_s >= self._fell_from_s]:
            del self._under_s[edge], self._over_s[edge]
        self._lowest = min(self._under_s, default=_edge(pressure_pa) + 1) - 1
        self._next_pa = math.exp(self._lowest * STEP)

    def too_fast_to_s(self, level_pa: float, held_pa: float) -> float | None:
        """Time in which it came to a stand, where no circuit comes to one so fast.

        What holds the level flows while the pressure nears it, so that the end takes longer than a
        fall that goes on.

        Parameters
        ----------
        level_pa
            Where it stands.
        held_pa
            The least that may be, as the gauge is read.
        """
        low, low_s = _edge(NEAR_RATIO * level_pa) + 1, 0.0
        for high in range(low + 1, _edge(FALLS_FROM * level_pa) + 1):
            low_s += _step_s(high, held_pa)
            took_s = self.steps_s(high, low, at="most")
            if low_s > RESOLVED_S and took_s is not None and took_s < low_s:
                return took_s
        return None

    def since_high_s(self, level_pa: float) -> float | None:
        """Time it took from the start, near air or well up, to a tenth over ``level_pa``."""
        near_s = self._under_s.get(_edge(NEAR_RATIO * level_pa) + 1)
        return None if near_s is None or self._high_s is None else near_s - self._high_s

    def under_s(self, level_pa: float) -> float | None:
        """Time of the first reading under ``level_pa``."""
        return self.at_s(_edge(level_pa))

    def at_s(self, edge: int) -> float | None:
        """Time of the first reading under an edge."""
        return self._under_s.get(edge)

    def between_s(
        self, high_pa: float, low_pa: float, *, at: Literal["least", "most"]
    ) -> float | None:
        """Time from passing one pressure to passing a lower one, as far as readings tell it."""
        return self.steps_s(_edge(high_pa), _edge(low_pa), at=at)

    def edge(self, pressure_pa: float) -> int:
        """Give the highest edge at or under a pressure."""
        return _edge(pressure_pa)

    def steps_s(self, high: int, low: int, *, at: Literal["least", "most"]) -> float | None:
        """Time from passing one edge to passing a lower one; ``None`` where either was not."""
        if high not in self._under_s or low not in self._under_s:
            return None
        if at == "least":
            return max(self._over_s[low] - self._under_s[high], 0.0)
        return self._under_s[low] - self._over_s[high]


def _edge(pressure_pa: float) -> int:
    """Give the highest edge at or under a pressure."""
    return math.floor(math.log(pressure_pa) / STEP + 1e-9)


def _step_s(edge: int, held_pa: float = 0.0) -> float:
    """Time the fastest circuit takes from an edge to the next, s, where gas holds it at a level."""
    middle_pa = math.exp((edge - 0.5) * STEP)
    flow = _flow(middle_pa) - (_flow(held_pa) if held_pa > 0.0 else 0.0)
    return FASTEST_VOLUME_M3 * middle_pa * STEP / flow


@lru_cache(maxsize=1024)
def _flow(pressure_pa: float) -> float:
    """Give what the fastest rig takes at this pressure, Pa m3/s."""
    return HOSES * pumped_throughput_pa_m3_s(FASTEST_PUMP_M3_S / HOSES, FASTEST_HOSE, pressure_pa)


@cache
def _fastest_s() -> dict[int, float]:
    """Time from the highest edge to each lower one in the fastest circuit, s."""
    times_s, time_s = {}, 0.0
    for edge in range(_edge(START_PA), _edge(1e-3) - 1, -1):
        times_s[edge] = time_s
        time_s += _step_s(edge)
    return times_s
