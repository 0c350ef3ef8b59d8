"""The pressure test as it is typed, or taken from the second gauge, and what it shows."""

from PySide6.QtWidgets import QDialogButtonBox
from pytestqt.qtbot import QtBot

from analysis.evacuation import Evacuation
from app.rig.rig_screen import AIR_PA, TYPED, Dial, dial_of
from app.rig.rig_tests import pressure_test_lines
from app.screen.shown import Passage
from app.window.numbers import typed_number
from app.window.pressure_dialog import PressureDialog
from app.window.theme import TOUCH_PX
from app.words.sentences import Words
from sensors.events import Reading
from tests.app.window.conftest import Desk


def test_a_pressure_test_is_judged_while_it_is_typed(qtbot: QtBot) -> None:
    dialog = PressureDialog(Passage("Mind", ("the codes",)), lambda test: (test.finding,))
    qtbot.addWidget(dialog)
    save = dialog.buttons.button(QDialogButtonBox.StandardButton.Save)
    assert not save.isEnabled()
    for name, text in zip(TYPED, ("10", "20", "8", "20", "30"), strict=True):
        dialog.lines[name].setText(text)
    assert dialog.shows.text() == "fell"
    assert save.isEnabled()
    dialog.lines["end_c"].setText("900")
    assert dialog.shows.text().startswith("These figures cannot be: ")
    assert dialog.test is None
    assert not save.isEnabled()


def test_what_a_pressure_test_showed_takes_no_room_from_its_numbers(qtbot: QtBot) -> None:
    """Eight lines of it pressed the form together on a screen of 1024 x 600."""
    words, codes = Words(), Passage("Mind", ("the codes " * 80,))
    dialog = PressureDialog(codes, lambda test: tuple(pressure_test_lines(test, words)))
    qtbot.addWidget(dialog)
    for name, text in zip(TYPED, ("10", "20", "9", "10", "10"), strict=True):
        dialog.lines[name].setText(text)
    dialog.lines["middle_bar"].setText("1")
    dialog.lines["rated_bar"].setText("5")
    dialog.resize(1000, 560)  # of 1024 x 600, the title bar left out
    dialog.show()
    qtbot.waitExposed(dialog)
    assert dialog.size().height() == 560
    assert all(line.height() >= TOUCH_PX for line in dialog.lines.values())
    assert all(line.width() >= 80 for line in dialog.lines.values())
    assert dialog.shows.height() >= dialog.shows.heightForWidth(dialog.shows.width())


def test_a_rated_pressure_that_is_no_number_is_not_passed_over(qtbot: QtBot) -> None:
    dialog = PressureDialog(Passage("Mind", ()), lambda test: (test.finding,))
    qtbot.addWidget(dialog)
    for name, text in zip(TYPED, ("10", "20", "10", "20", "30"), strict=True):
        dialog.lines[name].setText(text)
    save = dialog.buttons.button(QDialogButtonBox.StandardButton.Save)
    assert save.isEnabled()
    dialog.lines["rated_bar"].setText("9 bar")
    assert not save.isEnabled()
    assert "9 bar" in dialog.shows.text()


def test_a_second_gauge_fills_in_the_pressure_test(qtbot: QtBot) -> None:
    at_pump = [
        Reading(100.0, 1.1e6 + AIR_PA, 21.5),
        Reading(500.0, 1.08e6 + AIR_PA),
        Reading(1010.0, 1.09e6 + AIR_PA),
        Reading(1900.0, 1.1e6 + AIR_PA),
    ]
    circuit = Evacuation().update(Reading(1900.0, 1e5, 19.25))

    def read() -> Dial | None:
        return dial_of(at_pump.pop(0), circuit) if at_pump else None

    dialog = PressureDialog(Passage("Mind", ()), lambda test: (test.finding,), read)
    qtbot.addWidget(dialog)
    dialog.take_start.click()
    dialog.read_between()  # as it does by itself every ten seconds
    dialog.read_between()
    dialog.take_end.click()
    typed = {name: typed_number(line.text()) for name, line in dialog.lines.items()}
    assert typed == {
        "start_bar": 11.0, "start_c": 21.5, "end_bar": 11.0, "end_c": 19.25, "minutes": 30.0,
        "middle_bar": 10.9,
        "step_bar": None,
        "rated_bar": None,
    }  # fmt: skip
    assert dialog.test is not None
    dialog.take_end.click()
    assert dialog.shows.text() == "There is no second gauge that reads now."


def test_what_was_typed_half_way_stays_where_the_second_gauge_was_silent(qtbot: QtBot) -> None:
    at_pump = [Reading(time_s, 1.1e6 + AIR_PA, 21.5) for time_s in (100.0, 200.0, 1900.0, 400.0)]
    dialog = PressureDialog(
        Passage("Mind", ()), lambda test: (test.finding,), lambda: dial_of(at_pump.pop(0), None)
    )
    qtbot.addWidget(dialog)
    dialog.take_start.click()
    dialog.read_between()
    dialog.lines["middle_bar"].setText("10.8")
    dialog.take_end.click()
    assert dialog.lines["middle_bar"].text() == "10.8"
    dialog.read_between()
    dialog.lines["middle_bar"].clear()
    at_pump.append(Reading(700.0, 1.1e6 + AIR_PA))
    dialog.take_end.click()  # ended sooner: half way was then
    assert dialog.lines["middle_bar"].text() == "11"
    at_pump.append(Reading(1900.0, 1.1e6 + AIR_PA))
    dialog.take_end.click()
    assert dialog.lines["middle_bar"].text() == "", "what was taken is half way no more"


def test_the_figures_of_one_job_are_not_those_of_the_next(desk: Desk, qtbot: QtBot) -> None:
    dialogs = desk.window.dialogs

    def found() -> list[PressureDialog]:
        return desk.window.findChildren(PressureDialog)

    dialogs.pressure_test()
    (first,) = found()
    first.lines["start_bar"].setText("10")
    first.reject()
    dialogs.pressure_test()
    assert first.isVisible()  # put aside only: a test lasts
    assert first.lines["start_bar"].text() == "10"
    desk.window._on_finish()
    qtbot.waitUntil(lambda: not found())
    dialogs.pressure_test()
    (second,) = found()
    assert second.lines["start_bar"].text() == ""
    dialogs.finish()
    qtbot.waitUntil(lambda: not found())
