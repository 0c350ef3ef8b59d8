"""Where a second copy of each job goes when it is closed."""

from collections.abc import Callable
from pathlib import Path

from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QFileDialog,
    QHBoxLayout,
    QLabel,
    QVBoxLayout,
    QWidget,
)

from app.jobfile.backup import check_place
from app.jobfile.errors import JobFileError
from app.paths import jobs_folder
from app.window.buttons import TouchButton, dress
from app.window.labels import SentenceLabel
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
        self._folder, self._keep = folder, keep
        self.setWindowTitle(self.tr("Second place for jobs"))
        explained = QLabel(
            self.tr(
                "When a job is closed, a checked copy of it is kept in a second folder, on a "
                "stick or another disk. Nothing there is replaced by less."
            )
        )
        self.shown = SentenceLabel()
        for label in (explained, self.shown):
            label.setWordWrap(True)
            label.setFont(font(BASE_PX))
        self.shown.setFont(font(BASE_PX, bold=True))
        self.choose = TouchButton(self.tr("Choose the folder …"), self._on_choose)
        self.none = TouchButton(self.tr("Keep no second copy"), lambda: self._take(None))
        row = QHBoxLayout()
        row.addWidget(self.choose)
        row.addWidget(self.none)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        dress(buttons)
        buttons.rejected.connect(self.reject)
        self._column = QVBoxLayout(self)
        self._column.setSpacing(12)
        self._column.addWidget(explained)
        self._column.addWidget(self.shown)
        self._column.addLayout(row)
        self._column.addWidget(buttons)
        self._show()

    def _on_choose(self) -> None:
        start = str(self._folder or Path.home())
        chosen = QFileDialog.getExistingDirectory(self, self.tr("Second place for jobs"), start)
        if chosen:
            self._take(Path(chosen))

    def _take(self, folder: Path | None) -> None:
        self._folder = folder
        self._keep(folder)
        self._show()

    def _show(self) -> None:
        folder = self._folder
        self.none.setEnabled(folder is not None)
        self.shown.setText(self._said(folder))
        width = max(LEAST_PX, self._column.minimumSize().width())
        open_at(self, width, self._column.totalHeightForWidth(width))  # the sentence is whole

    def _said(self, folder: Path | None) -> str:
        if folder is None:
            return self.tr("No second copy is kept.")
        try:
            check_place(folder, jobs_folder())
        except JobFileError as error:
            return str(error)
        return self.tr("Second copies go to {folder}.").format(folder=folder)
