"""What a fuzzer is: where its inputs come from, and what must hold for each."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any, Literal

from hypothesis.strategies import SearchStrategy

from sensors.sentence import one_line

Outcome = Literal["read", "refused"]


@dataclass(frozen=True, slots=True)
class Target:
    """One reader of what strangers send.

    Attributes
    ----------
    inputs
        Makes inputs, mostly almost right ones: those reach deepest.
    use
        Reads one as the program does. It returns how it ended and lets every exception through
        but the one that the reader's documentation names.
    examples
        How many are made in the short form, a few seconds' worth.
    spread
        Makes several inputs of one that was made: changing bytes is quicker than drawing them.
    """

    name: str
    inputs: SearchStrategy[Any]
    use: Callable[[Any], Outcome]
    examples: int
    spread: Callable[[Any], Iterable[Any]] = lambda made: (made,)


def check_sentence(text: str) -> None:
    """Fail unless an error is one line of bounded length without control characters.

    A stranger's file is quoted in it, and the sentence is printed on a terminal: an escape
    sequence that gets through would run there.
    """
    assert text.strip(), "an error without a word"
    assert one_line(text) == text, f"control characters or line ends in {text!r}"
