"""The window on the smallest screen of a laptop."""

import pytest
from PySide6.QtCore import QSize, Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from analysis.reason import Reason
from app.window.main_window import LEAST_PX, MainWindow
from app.window.shell import Shell
from tests.app.window.conftest import Desk
from tests.app.window.played import readings
from tests.app.window.stretched import Stretched

LOW = (1024, 600)


def test_a_second_touch_moves_nothing(desk: Desk, qtbot: QtBot) -> None:
    desk.run.play(readings("clean", 10.0))
    desk.presenter.look()
    bar = desk.window.marks
    qtbot.wait(1)
    before = [button.geometry() for button in (*bar.marks, bar.isolate, bar.hold)]
    QTest.mouseClick(bar.nitrogen, Qt.MouseButton.LeftButton)
    qtbot.wait(1)
    assert bar.nitrogen.text() == "Touch again"
    assert bar.nitrogen.accessibleName() == "Nitrogen in: Touch again"
    assert [button.geometry() for button in (*bar.marks, bar.isolate, bar.hold)] == before


@pytest.mark.parametrize("is_long", [False, True])
def test_a_low_window_cuts_no_button(desk: Desk, qtbot: QtBot, is_long: bool) -> None:
    translator = Stretched()
    bar = desk.window.marks
    if is_long:
        for button in (*bar.marks, bar.isolate, bar.hold):
            button.name(translator.translate("", button.text()))
    desk.window.resize(1300, 700)
    qtbot.wait(1)
    desk.window.resize(*LOW)
    qtbot.wait(1)
    assert (desk.window.width(), desk.window.height()) == LOW
    for button in (*bar.marks, bar.isolate, bar.hold):
        assert button.width() >= button.sizeHint().width(), button.text()
    assert bar.heat.iconSize().isEmpty() == is_long  # margins give way before pictures do
    assert LEAST_PX[0] <= LOW[0]
    assert LEAST_PX[1] <= LOW[1] - 40  # less a task bar


def test_a_scaled_screen_holds_the_whole_window(
    desk: Desk, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    half_of_1920 = QSize(960, 540)
    monkeypatch.setattr("PySide6.QtGui.QScreen.availableSize", lambda _: half_of_1920)
    shell = Shell()
    qtbot.addWidget(shell)
    window = MainWindow(desk.window.settings)
    shell.hold(window)
    with qtbot.waitSignal(shell.painted):
        shell.open()
    assert shell.normalGeometry().size() == half_of_1920  # where nobody manages windows
    assert window.minimumSize() == half_of_1920
    shell.resize(half_of_1920)
    bar = window.marks
    for button in (*bar.marks, bar.isolate, bar.hold):
        assert button.width() >= button.sizeHint().width(), button.text()
    shell.close()


def test_long_answers_are_whole(desk: Desk, qtbot: QtBot) -> None:
    prompt = desk.window.next.prompt
    prompt.yes.name(Stretched().translate("", prompt.yes.text()))
    desk.run.play(readings("clean", 60.0))
    desk.presenter.look()
    desk.run.show_once(stage="flat", stage_reason=Reason("rate-below-one"))
    desk.presenter.look()
    desk.presenter.dismiss()
    qtbot.wait(1)
    assert prompt.isVisible()
    assert prompt.yes.width() >= prompt.yes.sizeHint().width()


def test_the_first_steps_warning_is_whole(desk: Desk, qtbot: QtBot) -> None:
    desk.window.resize(*LOW)
    desk.run.play(readings("clean", 60.0))
    desk.presenter.look()
    desk.presenter.hold_now()
    qtbot.wait(1)
    assert "valve" in desk.window.screen_now.hold.warning.lower()
    assert desk.window.hold._area.verticalScrollBar().maximum() == 0
