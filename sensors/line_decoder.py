"""What a transport needs of a decoder, and the decoder that only listens."""

from typing import Protocol

from sensors.events import Reading, Rejected
from sensors.lines import LineSplitter

HEARD = "heard only"
NO_END = "heard only, and no line ended"
_LONGEST = 1024  # shorter than of a gauge that is read: what never ends a line shall be seen soon


class LineDecoder(Protocol):
    """Bytes in, events out; no input or output of its own."""

    def restart(self, *, is_start_whole: bool = False) -> None:
        """Begin a new connection."""

    def mark_quiet(self) -> None:
        """Say that nothing came for much longer than the bytes of one line lie apart."""

    def feed(self, data: bytes, time_s: float) -> list[Reading | Rejected]:
        """Take bytes that came at ``time_s``; give what the lines they complete say."""

    def end(self, time_s: float) -> list[Rejected]:
        """Say that the connection has ended."""


class RawLines:
    r"""Gives every line as it came, as a ``Rejected``: for listening to an unknown gauge.

    Examples
    --------
    >>> RawLines().feed(b"523 micron\r\n5", 1.0)
    [Rejected(time_s=1.0, raw=b'523 micron', why='heard only')]
    """

    def __init__(self) -> None:
        self._splitter = LineSplitter(_LONGEST)
        self._is_quiet = False

    def restart(self, *, is_start_whole: bool = False) -> None:
        """Begin a new connection."""
        self._splitter.take_rest()

    def mark_quiet(self) -> None:
        """Wait no longer for the end of what has come: a gauge may never send one."""
        self._is_quiet = True

    def feed(self, data: bytes, time_s: float) -> list[Reading | Rejected]:
        """Give the lines that these bytes complete; empty ones say nothing."""
        heard = [
            (line.raw, HEARD if line.has_end else NO_END) for line in self._splitter.feed(data)
        ]
        if self._is_quiet and not data:
            heard.append((self._splitter.take_rest(), NO_END))
        self._is_quiet = False
        return [Rejected(time_s, raw, why) for raw, why in heard if raw.strip()]

    def end(self, time_s: float) -> list[Rejected]:
        """Give what was left without its end."""
        rest = self._splitter.take_rest()
        return [Rejected(time_s, rest, NO_END)] if rest.strip() else []
