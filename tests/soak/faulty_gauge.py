"""A simulated gauge on a bad line, read by the real decoder, which knows what it has sent."""

import asyncio
import hashlib
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Literal

import numpy as np

from sensors.events import Connected, Emit, SensorError
from sensors.text_decoder import TextDecoder, TextFormat
from tests.bench.circuit import Floats

Fault = Literal["unplugged", "hangs", "garbage", "long-gone"]
FAULTS: tuple[Fault, ...] = ("unplugged", "hangs", "garbage", "long-gone")
_AWAY_S = {"unplugged": 20.0, "long-gone": 400.0}
_HANGS_S = 45.0  # longer than the silence limit of 30 s
_GARBAGE_LINES = 25


@dataclass
class Sent:
    """What has to be in the record: good lines in their order, and how many were none."""

    readings: int = 0
    rejected: int = 0
    faults: int = 0
    digest: "hashlib._Hash" = field(default_factory=hashlib.sha256)


class FaultyGauge:
    """Sends lines in chunks that are cut anywhere, a second's worth at a time.

    Parameters
    ----------
    clock
        Simulated seconds.
    minute
        Gives the pressures of the minute that begins at a time, Pa to three places.
    fault_every_min
        A fault comes this often; the kinds take turns.
    """

    name = "serial:soak?field=2&unit=pa&temperature=3"

    def __init__(
        self,
        clock: Callable[[], float],
        minute: Callable[[float], Floats],
        rate_hz: int,
        fault_every_min: int,
    ) -> None:
        self.sent = Sent()
        self._clock, self._minute, self._rate_hz = clock, minute, rate_hz
        self._fault_every_min = fault_every_min
        self._zero_s = clock()
        self._gone_until_s = -1.0
        self._minute_made = -1
        self._pressures: Floats = np.empty(0)
        self._done: set[int] = set()  # the last minute whose fault was had

    async def run(self, emit: Emit) -> None:
        """Connect, send, fail."""
        if self._clock() < self._gone_until_s:
            raise SensorError("The soak's port is gone.")
        decoder = TextDecoder(TextFormat(field="2", unit="pa", temperature="3"))
        emit(Connected(self._clock(), "soak"))
        decoder.restart()
        self._feed(decoder, b"0\r\n", 1, emit)  # the end of a line begun before
        self.sent.rejected += 1
        rest = b""
        try:
            while True:
                at_s = self._clock() - self._zero_s
                await asyncio.sleep(1.0)
                lines = self._lines(at_s)
                fault = self._fault(at_s)
                if fault == "garbage":
                    lines = [b"?!\xff;\r\n"] * _GARBAGE_LINES + lines
                    self.sent.rejected += _GARBAGE_LINES
                data = b"".join(lines)
                cut = len(data) - 5 if fault in _AWAY_S else len(data)
                self._note(at_s, lines if cut == len(data) else lines[:-1])
                self._feed(decoder, data[:cut], self._rate_hz, emit)
                if fault in _AWAY_S:
                    rest = lines[-1][:-5]
                    self._gone_until_s = self._clock() + _AWAY_S[fault]
                    raise SensorError("The soak's port was pulled.")
                if fault == "hangs":
                    await asyncio.sleep(_HANGS_S)
        finally:
            self.sent.rejected += bool(rest)
            for rejected in decoder.end(self._clock()):
                emit(rejected)

    def _feed(self, decoder: TextDecoder, data: bytes, chunks: int, emit: Emit) -> None:
        """Give the bytes in chunks over the last second."""
        now_s, size = self._clock(), -(-len(data) // chunks)
        for number in range(chunks):
            time_s = now_s - (chunks - 1 - number) / chunks
            for event in decoder.feed(data[number * size : (number + 1) * size], time_s):
                emit(event)

    def _lines(self, at_s: float) -> list[bytes]:
        minute = int(at_s // 60.0)
        if minute != self._minute_made:
            self._minute_made, self._pressures = minute, self._minute(60.0 * minute)
        first = int(at_s - 60.0 * minute) * self._rate_hz
        self._second = self._pressures[first : first + self._rate_hz]
        return [b"G1;%.3f;21.5\r\n" % pressure_pa for pressure_pa in self._second.tolist()]

    def _note(self, at_s: float, lines: list[bytes]) -> None:
        good = len([line for line in lines if line.startswith(b"G1")])
        self.sent.digest.update(self._second[:good].astype("<f8").tobytes())
        self.sent.readings += good

    def _fault(self, at_s: float) -> Fault | None:
        minute = int(at_s // 60.0)
        is_due = minute % self._fault_every_min == self._fault_every_min - 1
        if not is_due or at_s % 60.0 < 30.0 or minute in self._done:
            return None
        self._done = {minute}
        self.sent.faults += 1
        return FAULTS[minute // self._fault_every_min % len(FAULTS)]
