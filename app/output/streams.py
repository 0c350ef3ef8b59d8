"""Standard output and error as they are found: closed, full, or of a few letters only.

A run that is recorded goes on whatever becomes of what is shown of it, and a result is not lost
for one letter that a terminal does not have.
"""

import codecs
import os
import sys
import unicodedata
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any, TextIO, cast


class Stream:
    """Passes text on, and goes on where it is not taken; all else is the stream's own.

    A reader of standard output who went away (``| head``) is told as ever, by ``BrokenPipeError``.

    Parameters
    ----------
    stream
        Where the text goes.
    tell
        Told once why it takes nothing.
    """

    def __init__(self, stream: TextIO, tell: Callable[[str], None] | None) -> None:
        self._stream, self._tell = stream, tell
        self.is_lost = False  # something was not taken

    def write(self, text: str) -> int:
        """Write, or go on without."""
        self._try(lambda: self._stream.write(text))
        return len(text)

    def flush(self) -> None:
        """Flush, or go on without."""
        self._try(self._stream.flush)

    def __getattr__(self, name: str) -> Any:
        """Give what else the stream has."""
        return getattr(self._stream, name)

    def _try(self, act: Callable[[], Any]) -> None:
        try:
            act()
        except OSError as error:
            is_first, self.is_lost = not self.is_lost, True
            if isinstance(error, BrokenPipeError) and self._tell is not None:
                raise
            if is_first and self._tell is not None:
                self._tell(error.strerror or str(error))


@contextmanager
def standard_streams(name: str) -> Iterator[Stream]:
    """Make the standard streams fit to write to while a command runs, and give the output.

    Parameters
    ----------
    name
        Of the command, before what is told on standard error.
    """

    def tell(why: str) -> None:
        print(f"{name}: standard output cannot be written: {why}.", file=sys.stderr, flush=True)

    codecs.register_error(_PLAIN, _in_few_letters)
    before = sys.stdout, sys.stderr
    error, output = (_open(stream) for stream in (sys.stderr, sys.stdout))
    stream = Stream(output, tell)
    sys.stderr, sys.stdout = cast(TextIO, Stream(error, None)), cast(TextIO, stream)
    try:
        yield stream
        stream.flush()
    finally:
        sys.stdout, sys.stderr = before
        for own in {output, error} - set(before):
            own.close()
        if stream.is_lost:  # what it did not take would be tried, and complained of, at exit
            sys.stdout = open(os.devnull, "w")


_PLAIN = "simmerdown-plain"


def _open(stream: TextIO | None) -> TextIO:
    if stream is None:  # it was closed, or a windowed program on Windows has none
        return open(os.devnull, "w", encoding="utf-8")
    reconfigure = getattr(stream, "reconfigure", None)
    if reconfigure is not None:
        reconfigure(errors=_PLAIN)
    return stream


def _in_few_letters(error: UnicodeError) -> tuple[str, int]:
    """Write a letter that the encoding lacks by others: a narrow blank as a blank."""
    if not isinstance(error, UnicodeEncodeError):
        raise error
    plain = []
    for letter in error.object[error.start : error.end]:
        likened = unicodedata.normalize("NFKD", letter)
        escaped = letter.encode("ascii", "backslashreplace").decode()
        plain.append(likened if likened.isascii() else escaped)
    return "".join(plain), error.end
