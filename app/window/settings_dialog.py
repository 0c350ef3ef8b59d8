"""All settings in one dialog; what is changed is saved together, or not at all."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

from PySide6.QtCore import QCoreApplication, Qt
from PySide6.QtWidgets import (
    QDialog,
    QHBoxLayout,
    QLineEdit,
    QTabWidget,
    QVBoxLayout,
    QWidget,
)

from app.settings.file import SettingsFileError
from app.settings.form import SettingsForm
from app.settings.phrases import page_notes
from app.settings.values import HOLD_LENGTHS, Settings
from app.window.answers import Answers
from app.window.buttons import SureButton
from app.window.labels import SentenceLabel
from app.window.leaving import Leaving
from app.window.numbers import shown_number, typed_number
from app.window.room import open_at
from app.window.scrolling import Scrolling, scrolling_page
from app.window.settings_page import SettingsPage
from app.window.theme import BASE_PX, font
from app.window.window_page import WindowPage

PAGES: dict[str, tuple[str, ...]] = {
    "limits": ("before_hold", "hold_rise", "hold_rise_min", "hold_highest", "do_not_charge"),
    "lengths": (*HOLD_LENGTHS, "hold_length_source"),
    "blank-off": ("blank_off_end", "blank_off_rise", "blank_off_min", "blank_off_load_pct"),
    "circuit": ("flat_min", "circuit_c", "water_gauge_factor", "rig_volume_ml"),
}


class SettingsDialog(QDialog):
    """Edits the settings; :attr:`changes` has what was changed once it is accepted.

    Parameters
    ----------
    settings
        As they are.
    file
        Where they are kept.
    trouble
        Why that file cannot be used, or nothing.
    set_aside
        Renames such a file and begins a new one; gives where the old one is.
    """

    def __init__(
        self,
        settings: Settings,
        file: Path,
        trouble: str = "",
        set_aside: Callable[[], Path] = Path,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        tr, translate = self.tr, QCoreApplication.translate
        self.setWindowTitle(tr("Settings"))
        self.changes: dict[str, Any] = {}
        self._leaving = Leaving(lambda: self.form.is_touched, self._tell)
        self._set_aside = set_aside
        not_kept = tr("What you change is not kept.")
        self._standing = f"{trouble} {not_kept}" if trouble else ""
        self.form = SettingsForm(settings, typed_number, shown_number, translate)
        self._make_pages(file)
        self.trouble = SentenceLabel()
        self.trouble.setFont(font(BASE_PX, bold=True))
        self.mend = SureButton(
            tr("Set this file aside and begin a new one"), self._on_mend, sure=tr("Touch again")
        )
        self.mend.setAutoDefault(False)
        self.mend.setVisible(bool(trouble))
        self._lay_out()
        self._show_form()
        self._tell("")
        open_at(self, 1000, 640)

    def _make_pages(self, file: Path) -> None:
        tr, notes = self.tr, page_notes(QCoreApplication.translate)
        self.pages = {
            name: SettingsPage(self.form, notes[name], keys) for name, keys in PAGES.items()
        }
        self.window_page = WindowPage(self.form, notes["window"], file)
        self._titles = [
            tr("Hold limits"),
            tr("Hold lengths"),
            tr("Blank-off"),
            tr("Circuit"),
            tr("Window"),
        ]
        self.tabs = QTabWidget()
        self.tabs.setFont(font(BASE_PX))
        all_pages: list[SettingsPage | WindowPage] = [*self.pages.values(), self.window_page]
        for page, title in zip(all_pages, self._titles, strict=True):
            page.edited.connect(self._on_edited)
            self.tabs.addTab(scrolling_page(page), title)

    def _lay_out(self) -> None:
        self.buttons = Answers(self, self._on_accept)
        self.buttons.yes.setDefault(True)
        self.all_back = SureButton(
            self.tr("All to default"), self._on_all_back, sure=self.tr("Touch again")
        )
        self.all_back.setAutoDefault(False)
        last = QHBoxLayout()
        last.addWidget(self.all_back)
        last.addWidget(self.buttons, 1)
        column = QVBoxLayout(self)
        column.addWidget(self.tabs, 1)
        column.addWidget(self.trouble)
        column.addWidget(self.mend, 0, Qt.AlignmentFlag.AlignLeft)
        column.addLayout(last)

    def reject(self) -> None:
        """Close without saving; where something was changed, only when asked a second time."""
        if self._leaving.may_go():
            super().reject()

    def _on_accept(self) -> None:
        wrong = self.form.wrong()
        for at, page in enumerate(self.pages.values()):
            for key, (name, line) in page.lines().items():
                if key in wrong:
                    self._go_to(at, line)
                    self._tell(self.tr("Not saved yet: {name}.").format(name=name))
                    return
        self.changes = self.form.changes()
        self.accept()

    def _go_to(self, at: int, line: QLineEdit) -> None:
        self.tabs.setCurrentIndex(at)
        line.setFocus()
        line.selectAll()
        area = self.tabs.widget(at)
        if isinstance(area, Scrolling):
            area.ensureWidgetVisible(line)

    def _on_edited(self) -> None:
        self._leaving.forget()
        self._tell("")
        self._show_form()

    def _on_all_back(self) -> None:
        self.form.reset_all()
        self._on_edited()
        self._tell(self.tr("All is at its default again, but for the second place. Not saved yet."))

    def _on_mend(self) -> None:
        try:
            kept = self._set_aside()
        except SettingsFileError as error:
            self._tell(str(error))
            return
        self._standing = ""
        self.mend.hide()
        self._tell(self.tr("A new file is begun; the old one is kept as {name}.").format(name=kept))

    def _show_form(self) -> None:
        wrong = self.form.wrong()
        self.window_page.show_form()
        for at, page in enumerate(self.pages.values()):
            page.show_form(wrong)
            is_wrong = not wrong.keys().isdisjoint(page.lines())
            title = self.tr("{page} (!)").format(page=self._titles[at])
            self.tabs.setTabText(at, title if is_wrong else self._titles[at])

    def _tell(self, text: str) -> None:
        told = text or self._standing
        if told != self.trouble.text():
            self.trouble.tell(told)
        self.trouble.setVisible(bool(told))
