"""Bytes to lines: any split of the same bytes gives the same lines; memory is bounded."""

from dataclasses import dataclass

# Longer than any gauge's line, short enough that garbage without a line end stays harmless.
LONGEST_LINE = 4096


@dataclass(frozen=True, slots=True)
class Line:
    """One line without its end.

    ``is_too_long`` marks a piece of a line over the limit, ``has_end`` is false for all of its
    pieces but the last.
    """

    raw: bytes
    is_too_long: bool = False
    has_end: bool = True


class LineSplitter:
    r"""Split at ``\n``, ``\r\n`` or ``\r``.

    A line over the limit comes out in pieces of ``longest`` bytes, all marked.

    Parameters
    ----------
    longest
        The limit in bytes, >= 1.
    """

    def __init__(self, longest: int = LONGEST_LINE) -> None:
        if longest < 1:
            raise ValueError("longest must be at least 1")
        self._longest = longest
        self._rest = b""
        self._is_too_long = False
        self._is_after_return = False

    def feed(self, data: bytes) -> list[Line]:
        """Take bytes and give the lines that they complete."""
        lines: list[Line] = []
        if self._is_after_return and data:
            data = data.removeprefix(b"\n")
            self._is_after_return = False
        if data.endswith(b"\r"):
            self._is_after_return = True
        pieces = (self._rest + data).replace(b"\r\n", b"\n").replace(b"\r", b"\n").split(b"\n")
        self._rest = pieces.pop()
        for piece in pieces:
            rest = self._cut(piece, lines)
            lines.append(Line(rest, self._is_too_long))
            self._is_too_long = False
        self._rest = self._cut(self._rest, lines)
        return lines

    def take_rest(self) -> bytes:
        """Give the line begun and not ended, and start afresh."""
        rest = self._rest
        self._rest, self._is_too_long, self._is_after_return = b"", False, False
        return rest

    def _cut(self, piece: bytes, lines: list[Line]) -> bytes:
        while len(piece) > self._longest:
            lines.append(Line(piece[: self._longest], is_too_long=True, has_end=False))
            piece = piece[self._longest :]
            self._is_too_long = True
        return piece
