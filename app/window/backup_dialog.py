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

from app.window.buttons import TouchButton
from app.window.labels import sentence_label
from app.window.theme import BASE_PX, TOUCH_PX, font


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
        self.setMinimumWidth(560)
        explained = QLabel(
            self.tr(
                "When a job is closed, a checked copy of it is kept in a second folder, on a "
                "stick or another disk. Nothing there is replaced by less."
            )
        )
        self.shown = sentence_label()
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
        close = buttons.button(QDialogButtonBox.StandardButton.Close)
        close.setMinimumSize(140, TOUCH_PX)
        close.setFont(font(BASE_PX))
        buttons.rejected.connect(self.reject)
        column = QVBoxLayout(self)
        column.setSpacing(12)
        column.addWidget(explained)
        column.addWidget(self.shown)
        column.addLayout(row)
        column.addWidget(buttons)
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
        if folder is None:
            self.shown.setText(self.tr("No second copy is kept."))
        elif folder.is_dir():
            self.shown.setText(self.tr("Second copies go to {folder}.").format(folder=folder))
        else:
            text = self.tr("{folder} is not there now: no second copy until it is.")
            self.shown.setText(text.format(folder=folder))
