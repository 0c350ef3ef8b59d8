"""Before a job is let go: what to do with readings that the disk does not take."""

from pathlib import Path
from typing import Literal

from PySide6.QtCore import QCoreApplication
from PySide6.QtWidgets import QFileDialog, QMessageBox, QPushButton, QWidget

from app.live.session import Session
from app.system.errors import UsageError
from app.window.buttons import dress
from app.window.warning_box import warn, warning_box
from app.words.counted import counted

translate = QCoreApplication.translate
Choice = Literal["again", "elsewhere", "lose", "stay"]


def may_let_go(window: QWidget, session: Session) -> bool:
    """Save what waits; where that cannot be, ask until all is saved or given up.

    Returns
    -------
    bool
        Whether the job may be closed now.
    """
    while why := session.unsaved():
        choice = ask(window, why, session.waiting)
        if choice == "elsewhere":
            _save_elsewhere(window, session)
        elif choice != "again":
            return choice == "lose"
    return True


def ask(window: QWidget, why: str, waiting: int) -> Choice:
    """Say what is not saved and why, and let the technician choose."""
    text = translate("Parting", "Not everything is saved: {why}").format(why=why)
    box = warning_box(window, translate("Parting", "Not saved"), text)
    box.setInformativeText(
        translate("Parting", "In memory only: {what}.").format(
            what=counted(waiting, "readings or notes", translate)
        )
    )
    lose = counted(waiting, "close and lose", translate)
    role = QMessageBox.ButtonRole
    buttons: dict[Choice, QPushButton] = {
        "again": box.addButton(translate("Parting", "Try again"), role.AcceptRole),
        "elsewhere": box.addButton(translate("Parting", "Save elsewhere …"), role.AcceptRole),
        "lose": box.addButton(lose, role.DestructiveRole),
        "stay": box.addButton(translate("Parting", "Do not close"), role.RejectRole),
    }
    dress(box)
    box.setDefaultButton(buttons["again"])
    box.setEscapeButton(buttons["stay"])
    box.exec()
    pressed = box.clickedButton()
    found = (choice for choice, button in buttons.items() if button is pressed)
    choice: Choice = next(found, "stay")
    box.deleteLater()
    return choice


def _save_elsewhere(window: QWidget, session: Session) -> None:
    """Let a place be chosen; what stands against it is said, and the question comes again."""
    path = session.job_path
    name = "" if path is None else path.name
    chosen, _ = QFileDialog.getSaveFileName(
        window,
        translate("Parting", "Save the job elsewhere"),
        str(Path.home() / name),
        translate("Parting", "Jobs (*.simmerdown)"),
    )
    if not chosen:
        return
    try:
        session.save_elsewhere(Path(chosen))
    except UsageError as error:
        warn(window, translate("Parting", "Not saved"), str(error))
