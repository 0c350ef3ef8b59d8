"""Gauges that speak only when asked: when to ask, and what was asked.

No input or output here: a transport asks ``wait_s`` how long it may sleep, sends what ``due``
gives, and tells ``answered`` when a line has come.
"""

import re
from dataclasses import dataclass

LONGEST_QUERY = 64
DEFAULT_EVERY_S = 1.0
SHORTEST_EVERY_S = 0.02  # 50 questions a second: faster than any thermal gauge settles
LONGEST_EVERY_S = 3600.0
# How often a thread that reads a port looks whether a question is due.
ASK_LOOK_S = 0.02
# How long an answer may take before the question is asked again (common practice, no source).
ANSWER_S = 1.0


def read_query(text: str) -> bytes:
    r"""Read the question, already percent-decoded: ``PR1%0D`` in an address is ``PR1`` and return.

    Nothing is added: a gauge that waits for a line end needs it in the text.

    Raises
    ------
    ValueError
        If it is empty, too long or holds anything but ASCII.
    """
    if not 0 < len(text) <= LONGEST_QUERY or not text.isascii():
        raise ValueError(
            f"expected 1 to {LONGEST_QUERY} ASCII characters, others as %0D (return), %0A ..."
        )
    return text.encode("ascii")


def read_every_s(text: str) -> float:
    """Read the time between two questions, seconds.

    Raises
    ------
    ValueError
        If it is no number from 0.02 to 3600.
    """
    is_number = re.fullmatch(r"[0-9]{0,6}\.?[0-9]{1,6}", text) is not None
    if not is_number or not SHORTEST_EVERY_S <= float(text) <= LONGEST_EVERY_S:
        raise ValueError(f"expected seconds from {SHORTEST_EVERY_S:g} to {LONGEST_EVERY_S:g}")
    return float(text)


@dataclass(frozen=True, slots=True)
class Query:
    """What is asked, and how often."""

    text: bytes
    every_s: float = DEFAULT_EVERY_S


class Asker:
    """Paces the questions of one connection.

    A question goes out ``every_s`` after the last one, but never while an answer to it may still
    come: a slow gauge is not flooded, and one lost answer costs ``ANSWER_S``. Questions missed
    while the computer slept are not caught up.

    Parameters
    ----------
    query
        What is asked.
    from_s
        When the first question may go out, seconds of the caller's clock.

    Examples
    --------
    >>> asker = Asker(Query(b"?", 0.5), from_s=10.0)
    >>> asker.due(9.9), asker.due(10.0), asker.due(10.6)
    (None, b'?', None)
    >>> asker.answered()
    >>> asker.due(10.6)
    b'?'
    """

    def __init__(self, query: Query, from_s: float) -> None:
        self._query = query
        self._next_s = from_s
        self._give_up_s: float | None = None  # while an answer is awaited: until when

    def wait_s(self, now_s: float) -> float:
        """Give the seconds until the next question, >= 0, if no answer comes before."""
        return max(0.0, self._due_s() - now_s)

    def due(self, now_s: float) -> bytes | None:
        """Give what is to be sent now, if anything."""
        if now_s < self._due_s():
            return None
        every_s = self._query.every_s
        is_in_time = now_s - self._next_s < 0.5 * every_s  # else the computer slept, say
        self._next_s = (self._next_s if is_in_time else now_s) + every_s
        self._give_up_s = now_s + max(ANSWER_S, every_s)
        return self._query.text

    def answered(self) -> None:
        """Tell that a line has come."""
        self._give_up_s = None

    def _due_s(self) -> float:
        return self._next_s if self._give_up_s is None else max(self._next_s, self._give_up_s)
