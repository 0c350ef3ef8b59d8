"""Where a second copy of each job goes when it is closed."""

from collections.abc import Callable
from pathlib import Path

from PySide6.QtWidgets import QDialog, QDialogButtonBox, QLabel, QVBoxLayout, QWidget

from app.window.backup_box import BackupBox
from app.window.buttons import dress
from app.window.room import open_at
from app.window.theme import BASE_PX, font

LEAST_PX = 620  # wide enough for a folder's name


class BackupDialog(QDialog):
    """Shows the folder, and lets another one or none be chosen. What is chosen holds at once.

    Parameters
    ----------
    folder
        The present one.
    keep
        Takes the new one.
    """

    def __init__(
        self,
        folder: Path | None,
        keep: Callable[[Path | None], None],
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._keep, self.box = keep, BackupBox(folder)
        self.setWindowTitle(self.tr("Second place for jobs"))
        explained = QLabel(
            self.tr(
                "When a job is closed, a checked copy of it is kept in a second folder, on a "
                "stick or another disk. Nothing there is replaced by less."
            )
        )
        explained.setWordWrap(True)
        explained.setFont(font(BASE_PX))
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        dress(buttons)
        buttons.rejected.connect(self.reject)
        self._column = QVBoxLayout(self)
        self._column.setSpacing(12)
        for part in (explained, self.box, buttons):
            self._column.addWidget(part)
        self.box.chosen.connect(self._on_chosen)
        self._fit()

    def _on_chosen(self) -> None:
        self._keep(self.box.folder)
        self._fit()

    def _fit(self) -> None:
        width = max(LEAST_PX, self._column.minimumSize().width())
        open_at(self, width, self._column.totalHeightForWidth(width))  # the sentence is whole
