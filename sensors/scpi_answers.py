"""Answers of a SCPI instrument (IEEE 488.2) to readings; no input or output here."""

import re
from dataclasses import replace

from sensors.events import Reading, Rejected
from sensors.lines import LONGEST_LINE
from sensors.text_decoder import TextDecoder, TextFormat

# SCPI's default unit of pressure is the pascal [from memory].
DEFAULT_UNIT = "pa"
# SCPI-1999, volume 1, 21.8: a number, and a text in quotes; 0 is "no error" [from memory].
_ERROR = re.compile(rb'\s*[+-]?[0-9]+\s*,\s*".*"\s*')
_NO_ERROR = re.compile(rb"\s*[+-]?0+\s*,")


class AnswerBuffer:
    r"""Gives one answer at a time out of what comes, however it is cut.

    Examples
    --------
    >>> buffer = AnswerBuffer()
    >>> buffer.feed(b"6.6"), buffer.feed(b"5E1\n7\n"), buffer.take_rest()
    (None, b'6.65E1\n', b'7\n')
    """

    def __init__(self) -> None:
        self._held = b""

    def feed(self, data: bytes) -> bytes | None:
        """Take bytes; give the answer they complete, which is also one that is far too long."""
        self._held += data
        end = self._held.find(b"\n") + 1
        if not end and len(self._held) < LONGEST_LINE:
            return None
        end = min(end or LONGEST_LINE, LONGEST_LINE)
        answer, self._held = self._held[:end], self._held[end:]
        return answer

    def take_rest(self) -> bytes:
        """Give what came beyond the last answer, or of one that never ended."""
        rest, self._held = self._held, b""
        return rest


def answer_format(told: TextFormat | None) -> TextFormat:
    """Give the format of an answer's fields: by commas, in Pa unless told otherwise."""
    told = told or TextFormat()
    return replace(told, unit=told.unit or DEFAULT_UNIT, delimiter=",")


def decode_answer(
    text_format: TextFormat, answer: bytes, time_s: float
) -> list[Reading | Rejected]:
    """Give what one answer says: never nothing."""
    if not answer:
        return [Rejected(time_s, answer, "no answer")]
    if not answer.endswith(b"\n"):
        return [Rejected(time_s, answer, "the answer has no end")]
    decoder = TextDecoder(text_format, is_start_whole=True)
    return decoder.feed(answer, time_s) or [Rejected(time_s, answer, "the answer is no number")]


def with_error(events: list[Reading | Rejected], error: bytes) -> list[Reading | Rejected]:
    """Add to what was rejected what the instrument's error queue says of it, if it does."""
    if not _ERROR.fullmatch(error) or _NO_ERROR.match(error):
        return events
    told = f"; the instrument's error: {error.decode('latin-1').strip()}"
    return [
        replace(event, why=event.why + told) if isinstance(event, Rejected) else event
        for event in events
    ]
