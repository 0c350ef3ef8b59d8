"""One gauge's readings in blocks, and its rejected frames counted, on their way to rows."""

import math

from app.gauge.place import Place
from app.jobfile.readings import MAX_BLOCK_READINGS, encode_readings, why_not
from app.jobfile.rows import READINGS_AT, PumpRejections, Rejections
from sensors.events import Reading, Rejected

MAX_SAMPLES = 20
"""Rejected frames of a gauge kept as they came, in one recording; all others are counted."""

MAX_RAW_BYTES = 64


class GaugeRows:
    """Takes what one gauge says.

    Parameters
    ----------
    place
        Where the gauge sits: names the kinds of its rows.
    last_s
        Job time before which no reading may lie, seconds.
    """

    def __init__(self, place: Place, last_s: float) -> None:
        self.kind = READINGS_AT[place]
        self._rejections = Rejections if place == "far" else PumpRejections
        self._last_s = last_s
        self._samples_left = MAX_SAMPLES
        self.clear()

    def clear(self) -> None:
        """Forget all that waits."""
        self._open: list[Reading] = []
        self._samples: list[Rejected] = []
        self._rejected = 0
        self._rejected_span = (0.0, 0.0)

    @property
    def waiting(self) -> int:
        """Readings and rejected frames that are in no row yet."""
        return len(self._open) + self._rejected

    @property
    def is_full(self) -> bool:
        """Whether the block is as long as one may be."""
        return len(self._open) >= MAX_BLOCK_READINGS

    @property
    def open(self) -> list[Reading]:
        """The readings of the block that is being filled."""
        return self._open

    def take(self, item: Reading | Rejected) -> None:
        """Take a reading, its time on the job's clock, or a frame that was none."""
        if isinstance(item, Rejected):
            self._reject(item)
        elif why := why_not(item, self._last_s):
            self._reject(Rejected(item.time_s, repr(item).encode(), why))
        else:
            self._last_s = item.time_s
            self._open.append(item)

    def block(self) -> bytes:
        """Give the open block as a payload."""
        return encode_readings(self._open)

    def close_block(self) -> None:
        """Begin another block."""
        self._open = []

    def rejections(self) -> Rejections | PumpRejections | None:
        """Give the rejected frames as a row's contents."""
        if not self._rejected:
            return None
        samples = tuple(_sample(rejected) for rejected in self._samples)
        return self._rejections(*self._rejected_span, self._rejected, samples)

    def _reject(self, rejected: Rejected) -> None:
        time_s = next(filter(math.isfinite, (rejected.time_s, self._last_s)), 0.0)
        from_s = self._rejected_span[0] if self._rejected else time_s
        self._rejected_span = (min(from_s, time_s), max(self._rejected_span[1], time_s))
        self._rejected += 1
        if self._samples_left:
            self._samples_left -= 1
            self._samples.append(Rejected(time_s, rejected.raw[:MAX_RAW_BYTES], rejected.why))


def _sample(rejected: Rejected) -> dict[str, object]:
    return {"time_s": rejected.time_s, "raw_hex": rejected.raw.hex(), "why": rejected.why[:200]}
