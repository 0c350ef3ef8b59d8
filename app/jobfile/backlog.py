"""What waits to be written: items turned into rows, readings in blocks, in bounded memory."""

import math
from collections import deque
from dataclasses import dataclass

from analysis.snapshot import Caution
from app.jobfile.readings import MAX_BLOCK_READINGS, encode_readings, why_not
from app.jobfile.rows import (
    READINGS,
    CautionChange,
    Gap,
    LinkChange,
    Note,
    Rejections,
    encode_note,
)
from app.jobfile.utc import UtcNow, utc_now, utc_text
from app.link import Ended, Failed
from sensors.events import Connected, Lost, Reading, Rejected

LinkEvent = Connected | Lost | Failed | Ended
Item = Reading | Rejected | LinkEvent | Caution | Note

MAX_BYTES = 32 << 20
"""Most that waits while the disk takes nothing: 32 MiB of rows, some 27 h at 10 readings a second.
Beyond that the oldest readings are given up, and a ``gap`` row says how many and when."""

MAX_SAMPLES = 20
"""Rejected frames kept as they came, in one recording; all others are counted."""

MAX_RAW_BYTES = 64
_ROW_BYTES = 250
"""What a waiting row takes besides its payload, rounded up (measured on CPython 3.11)."""


@dataclass(frozen=True, slots=True)
class WaitingRow:
    """A row on its way to the file. ``count`` and the times are those of the readings in it."""

    kind: str
    utc: str
    payload: bytes
    count: int = 1
    from_s: float = 0.0
    until_s: float = 0.0


class Backlog:
    """Take items, give rows. For one thread.

    Parameters
    ----------
    last_s
        Job time before which no reading may lie, seconds.
    max_bytes
        Most that may wait.
    """

    def __init__(
        self, last_s: float = -math.inf, *, now: UtcNow = utc_now, max_bytes: int = MAX_BYTES
    ) -> None:
        self._now = now
        self._max_bytes = max_bytes
        self._last_s = last_s
        self._samples_left = MAX_SAMPLES
        self._given_up: WaitingRow | None = None
        self._clear()

    @property
    def waiting(self) -> int:
        """Readings and other items that are not in the file."""
        return self._count + len(self._open) + self._rejected

    def add(self, item: Item) -> None:
        """Take one item, its times on the job's clock.

        Raises
        ------
        JobFileError
            If a note cannot be encoded.
        """
        if isinstance(item, Reading):
            why = why_not(item, self._last_s)
            if why:
                self._reject(Rejected(item.time_s, repr(item).encode(), why))
            else:
                self._last_s = item.time_s
                self._open.append(item)
                if len(self._open) >= MAX_BLOCK_READINGS:
                    self._close_block()
        elif isinstance(item, Rejected):
            self._reject(item)
        else:
            self.add_row(*encode_note(as_note(item)))

    def add_row(self, kind: str, payload: bytes) -> None:
        """Take a row that is encoded already."""
        self._close_block()
        self._push(WaitingRow(kind, utc_text(self._now()), payload))

    def give_up(self, count: int, from_s: float, until_s: float) -> None:
        """Note that items had to be dropped."""
        if self._given_up:
            from_s = min(from_s, self._given_up.from_s)
            count += self._given_up.count
        self._given_up = WaitingRow("gap", "", b"", count, from_s, until_s)

    def rows(self) -> list[WaitingRow]:
        """Return all that waits as rows, oldest first; it goes on waiting until :meth:`written`."""
        rows = list(self._rows)
        if self._given_up:
            lost = self._given_up
            why = f"{lost.count} readings or notes could not be kept while nothing could be saved"
            rows.insert(0, self._note_row(Gap(lost.from_s, lost.until_s, why)))
        if self._open:
            rows.append(self._block())
        if self._rejected:
            samples = tuple(_sample(rejected) for rejected in self._samples)
            span = self._rejected_span
            rows.append(self._note_row(Rejections(*span, self._rejected, samples)))
        return rows

    def written(self) -> None:
        """Forget all that :meth:`rows` gave: it is in the file. Nothing was added since."""
        self._clear()

    def _clear(self) -> None:
        self._open: list[Reading] = []
        self._rows: deque[WaitingRow] = deque()
        self._bytes = 0
        self._count = 0
        self._samples: list[Rejected] = []
        self._rejected = 0
        self._rejected_span = (0.0, 0.0)
        self._given_up = None

    def _reject(self, rejected: Rejected) -> None:
        time_s = next(filter(math.isfinite, (rejected.time_s, self._last_s)), 0.0)
        from_s = self._rejected_span[0] if self._rejected else time_s
        self._rejected_span = (min(from_s, time_s), max(self._rejected_span[1], time_s))
        self._rejected += 1
        if self._samples_left:
            self._samples_left -= 1
            self._samples.append(Rejected(time_s, rejected.raw[:MAX_RAW_BYTES], rejected.why))

    def _close_block(self) -> None:
        if self._open:
            self._push(self._block())
            self._open = []

    def _block(self) -> WaitingRow:
        first, last = self._open[0].time_s, self._open[-1].time_s
        payload = encode_readings(self._open)
        return WaitingRow(READINGS, utc_text(self._now()), payload, len(self._open), first, last)

    def _note_row(self, note: Note) -> WaitingRow:
        kind, payload = encode_note(note)
        return WaitingRow(kind, utc_text(self._now()), payload)

    def _push(self, row: WaitingRow) -> None:
        self._rows.append(row)
        self._bytes += len(row.payload) + _ROW_BYTES
        self._count += row.count
        while self._bytes > self._max_bytes:
            oldest = next((at for at, row in enumerate(self._rows) if row.kind == READINGS), 0)
            given_up = self._rows[oldest]
            del self._rows[oldest]
            self._bytes -= len(given_up.payload) + _ROW_BYTES
            self._count -= given_up.count
            self.give_up(given_up.count, given_up.from_s, given_up.until_s)


def as_note(item: LinkEvent | Caution | Note) -> Note:
    """Turn what sensors, link and analysis say into a row's contents."""
    match item:
        case Connected(time_s, detail):
            return LinkChange(time_s, "connected", detail)
        case Lost(time_s, why):
            return LinkChange(time_s, "lost", why)
        case Failed(time_s, why):
            return LinkChange(time_s, "failed", why)
        case Ended(time_s):
            return LinkChange(time_s, "ended")
        case Caution(kind, from_s, until_s, reason):
            is_standing = until_s is None
            time_s = from_s if until_s is None else until_s
            return CautionChange(time_s, kind, is_standing, reason.code, dict(reason.values))
    return item


def _sample(rejected: Rejected) -> dict[str, object]:
    return {"time_s": rejected.time_s, "raw_hex": rejected.raw.hex(), "why": rejected.why[:200]}
