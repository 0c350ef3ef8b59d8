"""Sentences that quote what came from outside: one line, bounded, nothing a terminal would obey."""

MOST = 1000
_SHORT = 60
_SPACES = "\u00a0\u2009\u202f"  # between the digits of a number, or a number and its unit


def one_line(text: str) -> str:
    r"""Make a sentence harmless to print, whatever it quotes.

    Control characters (a terminal obeys some of them), line ends and text that runs backwards
    become ``?``, other blanks a blank.

    Examples
    --------
    >>> one_line("no unit '\x1b[2Jpsi'\n")
    "no unit '?[2Jpsi' "
    """
    if not text.isprintable():
        text = "".join(
            letter
            if letter.isprintable() or letter in _SPACES
            else " "
            if letter.isspace()
            else "?"
            for letter in text
        )
    return text if len(text) <= MOST else text[: MOST - 1] + "…"


def quoted(text: str) -> str:
    """Shorten what is quoted, so that what is said of it stays in sight.

    Examples
    --------
    >>> len(quoted("x" * 5000))
    60
    """
    text = one_line(text)
    return text if len(text) <= _SHORT else text[: _SHORT - 1] + "…"


def some(count: int, noun: str) -> str:
    """Say how many there are of what takes a plain s in the plural.

    Examples
    --------
    >>> some(1, "cell"), some(2, "cell")
    ('1 cell', '2 cells')
    """
    return f"{count} {noun}" if count == 1 else f"{count} {noun}s"
