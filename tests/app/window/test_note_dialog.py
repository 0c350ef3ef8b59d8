"""A note is written with room to read it, saved with Return, and not lost by one Escape."""

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QDialogButtonBox

from app.window.note_dialog import NoteDialog
from app.window.theme import TOUCH_PX
from tests.app.window.conftest import Desk
from tests.app.window.played import readings
from tests.app.window.test_main_window import marks, press


def opened(desk: Desk) -> NoteDialog:
    desk.run.play(readings("clean", 60.0))
    desk.presenter.look()
    press(desk.window.marks.note)
    dialogs = [each for each in desk.window.findChildren(NoteDialog) if each.isVisible()]
    assert len(dialogs) == 1
    return dialogs[0]


def test_a_note_is_kept_with_return(desk: Desk) -> None:
    dialog = opened(desk)
    save = dialog.buttons.button(QDialogButtonBox.StandardButton.Save)
    assert not save.isEnabled()  # there is nothing yet
    sentence = "Hose at the pump renewed, block fitting put together again with a new O-ring."
    QTest.keyClicks(dialog.line, sentence)
    assert dialog.line.fontMetrics().horizontalAdvance(sentence) < dialog.line.width()
    assert all(button.height() >= TOUCH_PX for button in dialog.buttons.buttons())
    QTest.keyClick(dialog.line, Qt.Key.Key_Return)
    assert not dialog.isVisible()
    assert marks(desk)[-1] == "note"


def test_one_escape_does_not_lose_it(desk: Desk) -> None:
    dialog = opened(desk)
    QTest.keyClicks(dialog.line, "the valve was")
    QTest.keyClick(dialog.line, Qt.Key.Key_Escape)
    assert dialog.isVisible()
    QTest.keyClick(dialog.line, Qt.Key.Key_Escape)
    assert not dialog.isVisible()
    assert marks(desk) == []


def test_one_that_is_empty_closes_at_once(desk: Desk) -> None:
    dialog = opened(desk)
    QTest.keyClick(dialog.line, Qt.Key.Key_Escape)
    assert not dialog.isVisible()
