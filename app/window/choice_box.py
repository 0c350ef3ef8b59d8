"""A box to choose one of several texts from, for gloved fingers."""

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QComboBox, QStyledItemDelegate


class ChoiceBox(QComboBox):
    """Its rows take the height that the style sheet gives them: Qt's own rows take none."""

    def __init__(self) -> None:
        super().__init__()
        self.setItemDelegate(QStyledItemDelegate(self))

    def showPopup(self) -> None:  # noqa: N802 - Qt's name
        """Open, with a bar where there are more rows than fit."""
        super().showPopup()
        self.view().setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAsNeeded)
