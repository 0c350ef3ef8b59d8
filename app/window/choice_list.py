"""A list of which one is chosen, filled anew while somebody reads it and points at it."""

from collections.abc import Mapping

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QListView, QListWidget, QListWidgetItem

from app.window.theme import BASE_PX, font


class ChoiceList(QListWidget):
    """Each choice is a text with a value behind it.

    What the keyboard stands on is chosen and seen to be: Qt alone makes the first one current as
    Tab comes by, and leaves it looking like the others.

    Parameters
    ----------
    name
        What is chosen from, for a screen reader.
    """

    def __init__(self, name: str) -> None:
        super().__init__()
        self.setFont(font(BASE_PX))
        self.setWordWrap(True)
        self.setResizeMode(QListView.ResizeMode.Adjust)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setAccessibleName(name)
        self.currentItemChanged.connect(lambda item, _before: item and item.setSelected(True))

    @property
    def chosen(self) -> str:
        """The chosen one's value, or nothing."""
        return _value(self.currentItem())

    def show_choices(self, texts: Mapping[str, str]) -> None:
        """List these texts by their values; the chosen one stays chosen, else none is.

        Where only texts change, or one is added, the list stays where it was scrolled to.
        """
        chosen, bar = self.chosen, self.verticalScrollBar()
        scrolled_to = bar.value()
        values = list(texts)
        if values != [_value(self.item(row)) for row in range(self.count())]:
            self.clear()
            for value in values:
                QListWidgetItem(self).setData(Qt.ItemDataRole.UserRole, value)
        for row, text in enumerate(texts.values()):
            self.item(row).setText(text)
        self.setCurrentRow(values.index(chosen) if chosen in values else -1)
        self.doItemsLayout()
        bar.setValue(scrolled_to)


def _value(item: QListWidgetItem | None) -> str:
    return "" if item is None else str(item.data(Qt.ItemDataRole.UserRole))
