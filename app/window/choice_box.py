"""A box to choose one of several texts from, for gloved fingers."""

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtWidgets import QComboBox, QStyledItemDelegate

_LEAST_PX = 160  # of width; in narrow places a long text is cut, in the open list it is whole
_BAR_PX = 24


class ChoiceBox(QComboBox):
    """Its rows take the height that the style sheet gives them: Qt's own rows take none."""

    def __init__(self) -> None:
        super().__init__()
        self.setItemDelegate(QStyledItemDelegate(self))

    def minimumSizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Be content with less than the longest text: it would push a form off the screen."""
        least = super().minimumSizeHint()
        return QSize(min(least.width(), _LEAST_PX), least.height())

    def wheelEvent(self, event: QWheelEvent) -> None:  # noqa: N802 - Qt's name
        """Leave the wheel to the form: who scrolls it past a box does not mean to choose."""
        event.ignore()

    def showPopup(self) -> None:  # noqa: N802 - Qt's name
        """Open, as wide as its texts, with a bar where there are more rows than fit."""
        view = self.view()
        view.setMinimumWidth(view.sizeHintForColumn(0) + _BAR_PX)
        super().showPopup()
        view.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAsNeeded)
