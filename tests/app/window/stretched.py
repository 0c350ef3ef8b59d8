"""A pretended language whose words are a good third longer, as German's are beside English."""

from PySide6.QtCore import QTranslator

_FILLING = "ungefähr nebenbei genauso allerdings miteinander".split()


class Stretched(QTranslator):
    """Lengthens every text that goes through Qt's translation."""

    def translate(
        self, context: str, text: str, disambiguation: str | None = None, n: int = -1
    ) -> str:
        wanted = len(text) * 0.35
        added: list[str] = []
        while sum(map(len, added)) + len(added) < wanted:
            added.append(_FILLING[len(added) % len(_FILLING)])
        cut = " ".join(added)[: max(3, round(wanted))].strip()
        return f"{text} {cut}" if text[:1].isalpha() else text

    def isEmpty(self) -> bool:  # noqa: N802 - Qt's name
        return False
