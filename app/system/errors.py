"""The one kind of failure that the user can mend."""

from sensors.sentence import one_line


class UsageError(Exception):
    """Wrong use or unreadable input: the text is the one clear sentence the user gets.

    Whatever it quotes, it stays one line without control characters.
    """

    def __init__(self, text: str) -> None:
        super().__init__(one_line(text))
