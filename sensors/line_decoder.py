"""What a transport needs of a decoder, and the decoder that only listens."""

from typing import Protocol

from sensors.events import Reading, Rejected
from sensors.lines import LineSplitter

HEARD = "heard only"


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
        self._splitter = LineSplitter()

    def restart(self, *, is_start_whole: bool = False) -> None:
        """Begin a new connection."""
        self._splitter.take_rest()

    def mark_quiet(self) -> None:
        """Take note of nothing: even a line cut at its start is shown."""

    def feed(self, data: bytes, time_s: float) -> list[Reading | Rejected]:
        """Give the lines that these bytes complete; empty ones say nothing."""
        lines = self._splitter.feed(data)
        return [Rejected(time_s, line.raw, HEARD) for line in lines if line.raw.strip()]

    def end(self, time_s: float) -> list[Rejected]:
        """Give what was left without its end."""
        rest = self._splitter.take_rest()
        return [Rejected(time_s, rest, HEARD)] if rest.strip() else []
