"""Where second copies of jobs go: the folder, and the way to another one or none."""

from pathlib import Path

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QFileDialog, QHBoxLayout, QVBoxLayout, QWidget

from app.jobfile.backup import check_place
from app.jobfile.errors import JobFileError
from app.system.paths import jobs_folder
from app.window.buttons import TouchButton
from app.window.labels import SentenceLabel
from app.window.theme import BASE_PX, font


class BackupBox(QWidget):
    """Shows the folder, or why it takes no copies, and lets another one or none be chosen.

    Parameters
    ----------
    folder
        The present one.
    """

    chosen = Signal()

    def __init__(self, folder: Path | None) -> None:
        super().__init__()
        self.folder = folder
        self.shown = SentenceLabel()
        self.shown.setFont(font(BASE_PX, bold=True))
        self.choose = TouchButton(self.tr("Choose the folder …"), self._on_choose)
        self.none = TouchButton(self.tr("Keep no second copy"), lambda: self._take(None))
        for button in (self.choose, self.none):
            button.setAutoDefault(False)  # Return elsewhere in a dialog must not press it
        row = QHBoxLayout()
        row.addWidget(self.choose)
        row.addWidget(self.none)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(12)
        column.addWidget(self.shown)
        column.addLayout(row)
        self._show()

    def _on_choose(self) -> None:
        start = str(self.folder or Path.home())
        chosen = QFileDialog.getExistingDirectory(self, self.tr("Second place for jobs"), start)
        if chosen:
            self._take(Path(chosen))

    def _take(self, folder: Path | None) -> None:
        self.folder = folder
        self._show()
        self.chosen.emit()

    def _show(self) -> None:
        self.none.setEnabled(self.folder is not None)
        self.shown.setText(self._said(self.folder))

    def _said(self, folder: Path | None) -> str:
        if folder is None:
            return self.tr("No second copy is kept.")
        try:
            check_place(folder, jobs_folder())
        except JobFileError as error:
            return str(error)
        return self.tr("Second copies go to {folder}.").format(folder=folder)
