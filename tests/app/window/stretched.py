"""A pretended language whose words are a good third longer, as German's are beside English."""

from collections.abc import Iterator
from contextlib import contextmanager

from PySide6.QtCore import QCoreApplication, QTranslator

LOW_PX = (1024, 560)  # a screen of 1024 x 600, less a title bar
_FILLING = "ungefähr nebenbei genauso allerdings miteinander".split()


class Stretched(QTranslator):
    """Lengthens every text that goes through Qt's translation.

    Parameters
    ----------
    by
        Share of its length that is added.
    """

    def __init__(self, by: float = 0.35) -> None:
        super().__init__()
        self._by = by

    def translate(
        self, context: str, text: str, disambiguation: str | None = None, n: int = -1
    ) -> str:
        wanted = len(text) * self._by
        added: list[str] = []
        while sum(map(len, added)) + len(added) < wanted:
            added.append(_FILLING[len(added) % len(_FILLING)])
        cut = " ".join(added)[: max(3, round(wanted))].strip()
        return f"{text} {cut}" if text[:1].isalpha() else text

    def isEmpty(self) -> bool:  # noqa: N802 - Qt's name
        return False


@contextmanager
def long_words(by: float = 0.4) -> Iterator[None]:
    """Give what is made meanwhile words that are longer by this share."""
    app, translator = QCoreApplication.instance(), Stretched(by)
    assert app is not None
    app.installTranslator(translator)
    try:
        yield
    finally:
        app.removeTranslator(translator)
