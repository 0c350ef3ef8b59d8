"""The dialogs that the menus open; each is imported when it is first wanted."""

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QCoreApplication, QObject
from PySide6.QtWidgets import QDialog, QFileDialog, QWidget

from app.screen.shown import Passage, Screen

if TYPE_CHECKING:
    from app.screen.presenter import Presenter
    from app.settings.keeper import SettingsKeeper
    from app.window.blank_off_dialog import BlankOffDialog
    from app.window.pressure_dialog import PressureDialog


class Dialogs(QObject):
    """Opens them over the window.

    Parameters
    ----------
    window
        Under them.
    acts
        Gives the presenter.
    """

    def __init__(self, window: QWidget, acts: "Callable[[], Presenter]") -> None:
        super().__init__(window)
        self._window, self._acts = window, acts
        self._screen = Screen()
        self._blank_off: BlankOffDialog | None = None
        self._pressure: PressureDialog | None = None

    def show_screen(self, screen: Screen) -> None:
        """Bring those that follow the run up to the moment."""
        self._screen = screen
        if self._blank_off is not None and self._blank_off.isVisible():
            self._blank_off.show_screen(screen)

    def gauge(self) -> None:
        """Choose the gauge."""
        from app.window.sensor_dialog import SensorDialog

        acts = self._acts()
        kept = acts.session.memory.value
        dialog = SensorDialog(
            kept.address, self._window, unit=acts.settings.unit, at_pump=kept.at_pump
        )
        dialog.accepted.connect(lambda: self._acts().connect(dialog.address, dialog.at_pump))
        _open_once(dialog)

    def job(self) -> None:
        """Fill in the job."""
        from app.screen.safety import safety
        from app.window.job_form import JobForm

        def cautions(refrigerant: str, kind: str) -> tuple[Passage, ...]:
            return safety(QCoreApplication.translate, refrigerant, kind)

        acts = self._acts()
        dialog = JobForm(
            acts.session.fields,
            cautions,
            acts.forecast,
            acts.rig_cost,
            self._window,
            is_read_only=acts.session.only_read is not None,
        )
        dialog.accepted.connect(lambda: self._acts().save_fields(dialog.fields()))
        _open_once(dialog)

    def pressure_test(self) -> None:
        """Test with nitrogen."""
        from app.window.pressure_dialog import PressureDialog

        acts = self._acts()
        if self._pressure is None:
            dialog = PressureDialog(
                acts.pressure_test_cautions(),
                acts.pressure_test_text,
                lambda: self._acts().nitrogen_dial(),
                self._window,
            )
            dialog.accepted.connect(lambda: self._acts().save_pressure_test(dialog.test))
            dialog.accepted.connect(self._end_pressure_test)
            self._pressure = dialog
        self._pressure.show()  # a test lasts: the window stays usable, and what is in it stays
        self._pressure.raise_()

    def _end_pressure_test(self) -> None:
        if self._pressure is not None:
            self._pressure.deleteLater()
        self._pressure = None

    def blank_off(self) -> None:
        """Test the rig alone."""
        from app.window.blank_off_dialog import BlankOffDialog

        if self._blank_off is None:
            self._blank_off = BlankOffDialog(lambda: self._acts().blank_off(), self._window)
        self._blank_off.show_screen(self._screen)
        self._blank_off.show()
        self._blank_off.raise_()

    def open_job(self) -> None:
        """Go on with an old job."""
        from app.system.paths import jobs_folder

        chosen, _ = QFileDialog.getOpenFileName(
            self._window,
            self.tr("Go on with a job"),
            str(jobs_folder()),
            self.tr("Jobs (*.simmerdown)"),
        )
        if chosen and self.finish():
            self._acts().resume(Path(chosen))

    def finish(self) -> bool:
        """Close the job; ``False`` where it stays, since not all of it can be saved."""
        if not self.may_let_go():
            return False
        self._acts().finish()
        self._end_pressure_test()  # its figures are of that job's circuit
        return True

    def second_place(self, keeper: "SettingsKeeper") -> None:
        """Choose where second copies of jobs go."""
        from app.window.backup_dialog import BackupDialog

        def keep(folder: Path | None) -> None:
            keeper.change(backup_folder=folder)

        _open_once(BackupDialog(keeper.value.backup_folder, keep, self._window))

    def settings(
        self, keeper: "SettingsKeeper", change: Callable[[Mapping[str, Any]], None]
    ) -> None:
        """Change any of the settings."""
        from app.system.paths import settings_file
        from app.window.settings_dialog import SettingsDialog

        dialog = SettingsDialog(
            keeper.value, settings_file(), keeper.trouble(), keeper.set_aside, self._window
        )
        dialog.accepted.connect(lambda: change(dialog.changes) if dialog.changes else None)
        _open_once(dialog)

    def may_let_go(self) -> bool:
        """Ask what becomes of readings that cannot be saved, if there are any."""
        from app.window.parting import may_let_go

        return may_let_go(self._window, self._acts().session)


def _open_once(dialog: QDialog) -> None:
    """Open it, and let go of it when it is closed: else each opening would stay for the day."""
    dialog.finished.connect(dialog.deleteLater)
    dialog.open()
