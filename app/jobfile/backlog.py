"""What waits to be written: items turned into rows, readings in blocks, in bounded memory."""

import math
from collections import deque
from dataclasses import dataclass

from analysis.snapshot import Caution
from app.gauge.link import AtPump, Ended, Failed
from app.gauge.place import PLACES
from app.jobfile.gauge_rows import GaugeRows
from app.jobfile.rows import (
    ALL_READINGS,
    CautionChange,
    Gap,
    LinkChange,
    Note,
    PumpLinkChange,
    encode_note,
)
from app.jobfile.utc import UtcNow, utc_now, utc_text
from sensors.events import Connected, Lost, Reading, Rejected

LinkEvent = Connected | Lost | Failed | Ended
Item = Reading | Rejected | LinkEvent | AtPump | Caution | Note

MAX_BYTES = 32 << 20
"""Most that waits while the disk takes nothing: 32 MiB of rows, some 27 h at 10 readings a second.
Beyond that the oldest readings are given up, and a ``gap`` row says how many and when."""

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
        self._gauges = {place: GaugeRows(place, last_s) for place in PLACES}
        self._given_up: WaitingRow | None = None
        self._clear()

    @property
    def waiting(self) -> int:
        """Readings and other items that are not in the file."""
        return self._count + sum(gauge.waiting for gauge in self._gauges.values())

    def add(self, item: Item) -> None:
        """Take one item, its times on the job's clock.

        Raises
        ------
        JobFileError
            If a note cannot be encoded.
        """
        gauge, event = self._gauges["far"], item
        if isinstance(item, AtPump):
            gauge, event = self._gauges["pump"], item.event
        if not isinstance(event, Reading | Rejected):
            self.add_row(*encode_note(as_note(item)))
            return
        gauge.take(event)
        if gauge.is_full:
            self._close_block(gauge)

    def add_row(self, kind: str, payload: bytes) -> None:
        """Take a row that is encoded already."""
        for gauge in self._gauges.values():
            self._close_block(gauge)
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
            one = lost.count == 1
            what = "1 reading or note" if one else f"{lost.count} readings or notes"
            why = f"{what} could not be kept while nothing could be saved"
            rows.insert(0, self._note_row(Gap(lost.from_s, lost.until_s, why)))
        gauges = self._gauges.values()
        rows.extend(self._block(gauge) for gauge in gauges if gauge.open)
        notes = (gauge.rejections() for gauge in gauges)
        rows.extend(self._note_row(note) for note in notes if note is not None)
        return rows

    def written(self) -> None:
        """Forget all that :meth:`rows` gave: it is in the file. Nothing was added since."""
        self._clear()

    def _clear(self) -> None:
        for gauge in self._gauges.values():
            gauge.clear()
        self._rows: deque[WaitingRow] = deque()
        self._bytes = 0
        self._count = 0
        self._given_up = None

    def _close_block(self, gauge: GaugeRows) -> None:
        if gauge.open:
            self._push(self._block(gauge))
            gauge.close_block()

    def _block(self, gauge: GaugeRows) -> WaitingRow:
        readings, utc = gauge.open, utc_text(self._now())
        first, last = readings[0].time_s, readings[-1].time_s
        return WaitingRow(gauge.kind, utc, gauge.block(), len(readings), first, last)

    def _note_row(self, note: Note) -> WaitingRow:
        kind, payload = encode_note(note)
        return WaitingRow(kind, utc_text(self._now()), payload)

    def _push(self, row: WaitingRow) -> None:
        self._rows.append(row)
        self._bytes += len(row.payload) + _ROW_BYTES
        self._count += row.count
        while self._bytes > self._max_bytes:
            oldest = next((at for at, row in enumerate(self._rows) if row.kind in ALL_READINGS), 0)
            given_up = self._rows[oldest]
            del self._rows[oldest]
            self._bytes -= len(given_up.payload) + _ROW_BYTES
            self._count -= given_up.count
            self.give_up(given_up.count, given_up.from_s, given_up.until_s)


def as_note(item: Item) -> Note:
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
        case AtPump(event):
            link = as_note(event)
            assert isinstance(link, LinkChange)
            return PumpLinkChange(link.time_s, link.link, link.detail)
        case Caution(kind, from_s, until_s, reason):
            is_standing = until_s is None
            time_s = from_s if until_s is None else until_s
            return CautionChange(time_s, kind, is_standing, reason.code, dict(reason.values))
    assert not isinstance(item, Reading | Rejected)
    return item
