"""The gauges kept under a name: one is chosen, edited, deleted, or taken in from a file."""

from pathlib import Path

from PySide6.QtWidgets import QFileDialog, QHBoxLayout, QVBoxLayout

from app.gauge.profiles import (
    Profile,
    ProfileError,
    load_profile,
    profile_names,
    remove_profile,
    take_in,
)
from app.live.opening import PROFILE
from app.system.errors import UsageError
from app.window.buttons import SureButton, TouchButton
from app.window.choice_list import ChoiceList
from app.window.labels import SentenceLabel
from app.window.profile_dialog import ProfileDialog
from app.window.sensor_pages import AddressPage
from app.window.theme import BASE_PX, font


class KeptPage(AddressPage):
    """Lists the profiles.

    Parameters
    ----------
    address
        The last choice; shown if it is a profile.
    unit
        In which a curve's pressures are written.
    """

    def __init__(self, address: str = "", unit: str = "micron") -> None:
        super().__init__()
        self._unit = unit
        self.kept = ChoiceList(self.tr("Gauges kept under a name"))
        self.trouble = SentenceLabel()
        self.trouble.setFont(font(BASE_PX))
        self.edit = TouchButton(self.tr("Edit or rename …"), self._on_edit)
        self.delete = SureButton(
            self.tr("Delete"), self._on_delete, sure=self.tr("Delete it? Touch again")
        )
        self.take_in = TouchButton(self.tr("From a file …"), self._on_take_in)
        row = QHBoxLayout()
        for button in (self.edit, self.delete, self.take_in):
            row.addWidget(button)
        row.addStretch(1)
        column = QVBoxLayout(self)
        column.addWidget(self.kept, 1)
        column.addWidget(self.trouble)
        column.addLayout(row)
        self.kept.currentRowChanged.connect(lambda _row: self._on_row())
        self.fill(address.removeprefix(PROFILE) if address.startswith(PROFILE) else "")

    def address(self) -> str:
        """Give the address."""
        name = self.name()
        return f"{PROFILE}{name}" if name else ""

    def name(self) -> str:
        """Give the chosen profile's name, or nothing."""
        return self.kept.chosen

    def fill(self, chosen: str) -> None:
        """List what is there now."""
        self.trouble.setText("")
        names = profile_names()
        self.kept.show_choices({name: _shown(name) for name in names})
        if not names:
            self.trouble.setText(
                self.tr("None yet: “Listen to it first” and “Check the gauge” keep one.")
            )
        self.kept.setCurrentRow(names.index(chosen) if chosen in names else -1)
        self._on_row()

    def _on_row(self) -> None:
        if self.name():
            self.trouble.setText("")  # it was about another
        self.edit.setEnabled(bool(self.name()))
        self.delete.setEnabled(bool(self.name()))
        self.delete.calm_down()
        self._told()

    def _on_edit(self) -> None:
        try:
            profile = load_profile(self.name())
        except ProfileError as error:
            self.trouble.tell(str(error))
            return
        dialog = ProfileDialog(profile, self._unit, self)
        dialog.accepted.connect(lambda: self._on_edited(dialog.saved))
        dialog.open()

    def _on_edited(self, profile: Profile | None) -> None:
        if profile is not None:
            self.fill(profile.name)

    def _on_delete(self) -> None:
        try:
            remove_profile(self.name())
        except ProfileError as error:
            self.trouble.tell(str(error))
        else:
            self.fill("")

    def _on_take_in(self) -> None:
        chosen, _ = QFileDialog.getOpenFileName(
            self, self.tr("A gauge's profile"), str(Path.home()), self.tr("Profiles (*.toml)")
        )
        if chosen:
            self.take(Path(chosen))

    def take(self, path: Path) -> None:
        """Keep a profile that somebody sent."""
        try:
            profile = take_in(path)
        except UsageError as error:
            self.trouble.tell(str(error))
        else:
            self.fill(profile.name)


def _shown(name: str) -> str:
    try:
        profile = load_profile(name)
    except ProfileError as error:
        return f"{name}\n{error}"
    return "\n".join([name, ", ".join(filter(None, (profile.note, profile.address)))])
