"""The window, driven by real clicks and keys through an evacuation and a standing test."""

from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QFontMetrics
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QLabel, QMessageBox, QWidget
from pytestqt.qtbot import QtBot

from analysis.closing.cut_off import CutOff
from analysis.reason import Reason
from analysis.sample import Mark
from analysis.snapshot import Caution
from app.jobfile.new import new_job
from app.screen.shown import Screen
from sensors.events import Reading
from tests.app.window.conftest import Desk
from tests.app.window.played import NOT_SAVED, readings

LEFT = Qt.MouseButton.LeftButton


def press(button: QWidget) -> None:
    assert button.isVisible()
    assert button.isEnabled()
    QTest.mouseClick(button, LEFT)


def marks(desk: Desk) -> list[str]:
    desk.presenter.look()
    return [str(kind) for kind in desk.run.marked]


def test_an_evacuation_and_a_hold_by_clicks(desk: Desk) -> None:
    desk.run.play(readings("clean", 60.0))
    desk.presenter.look()
    assert desk.window.verdict.sentence.text().startswith("Pulling down")
    desk.run.show_once(stage="flat", stage_reason=Reason("rate-below-one"))
    desk.presenter.look()
    assert desk.window.banner.isVisible()
    press(desk.window.banner.seen)
    assert not desk.window.banner.isVisible()
    press(desk.window.next.prompt.yes)
    hold = desk.window.hold
    assert hold.isVisible()
    for text in ("Valve is closed", "Pump is off", "Pump is vented"):
        assert hold.forward.text() == text
        press(hold.forward)
    assert not hold.forward.isVisible()
    later = readings("hold-held", 150.0)
    desk.run.play([type(r)(r.time_s + 61.0, r.pressure_pa) for r in later])
    desk.presenter.look()
    assert hold.forward.text() == "End the test here"
    press(hold.forward)
    assert desk.window.screen_now.hold.page == "finding"
    assert marks(desk) == ["valve-closed", "pump-off", "note", "hold-over"]


def test_opening_the_valve_wants_two_touches(desk: Desk) -> None:
    desk.run.play([*readings("clean", 60.0), Mark(60.0, "valve-closed")])
    desk.presenter.look()
    back = desk.window.hold.back
    press(back)
    assert back.text() == "Touch again"
    assert marks(desk) == []
    press(back)
    assert marks(desk) == ["valve-opened"]
    assert desk.window.next.isVisible()


@pytest.mark.parametrize(
    ("key", "kind"),
    [(Qt.Key.Key_F5, "valve-moved"), (Qt.Key.Key_F7, "heat")],
)
def test_marks_have_keys(desk: Desk, qtbot: QtBot, key: Qt.Key, kind: str) -> None:
    desk.run.play(readings("clean", 10.0))
    desk.presenter.look()
    desk.window.activateWindow()
    qtbot.waitUntil(desk.window.isActiveWindow)
    QTest.keyClick(desk.window, key)
    qtbot.waitUntil(lambda: marks(desk) == [kind])


def test_nothing_can_be_marked_before_there_is_a_run(desk: Desk) -> None:
    desk.session.run = None
    desk.presenter.look()
    assert not any(button.isEnabled() for button in (*desk.window.marks.marks,))
    assert not desk.window.marks.hold.isEnabled()


@pytest.mark.parametrize("theme", ["light", "dark", "high-contrast"])
def test_the_theme_changes_at_once_and_is_kept(desk: Desk, theme: str) -> None:
    desk.window.set_theme(theme)
    assert desk.window.palette_now.background in desk.window.styleSheet()
    assert desk.window.settings.value.theme == theme


def test_the_unit_changes_at_once(desk: Desk) -> None:
    desk.run.play(readings("clean", 10.0))
    desk.presenter.look()
    desk.window.set_unit("mbar")
    assert desk.window.screen_now.unit == "mbar"
    assert desk.told == []


def test_a_fault_in_a_slot_is_told_and_the_run_goes_on(
    desk: Desk, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    def break_down() -> None:
        raise RuntimeError("broken on purpose")

    monkeypatch.setattr(desk.presenter, "hold_now", break_down)
    desk.run.play(readings("clean", 10.0))
    desk.presenter.look()
    with qtbot.captureExceptions() as faults:
        press(desk.window.marks.hold)
    assert len(faults) == 1
    desk.run.play(readings("clean", 20.0, 10.0))
    desk.presenter.look()
    assert desk.window.screen_now.elapsed == "0:00:19"


def test_what_other_threads_post_is_told_by_the_feed(desk: Desk, qtbot: QtBot) -> None:
    looks: list[int] = []
    desk.window.feed.start(lambda: looks.append(1))
    desk.window.feed.post("a fault of the program")
    qtbot.waitUntil(desk.window.notice.isVisible)
    qtbot.waitUntil(lambda: len(looks) > 1)
    desk.window.feed.stop()
    assert desk.window.notice.text.text() == "a fault of the program"


def test_closing_saves_and_ends_the_run(desk: Desk) -> None:
    desk.window.close()
    assert desk.run.is_closed
    assert not desk.window.isVisible()


def test_closing_with_something_unsaved_asks_first(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    desk.run.recorder.is_flushing = False
    desk.run.recorder.state = replace(NOT_SAVED, waiting=7)
    asked: list[str] = []

    def stay(box: QMessageBox) -> int:
        asked.append(box.text() + box.informativeText())
        asked.extend(button.text() for button in box.buttons())
        box.escapeButton().click()
        return 0

    monkeypatch.setattr(QMessageBox, "exec", stay)
    desk.window.close()
    assert desk.window.isVisible()
    assert not desk.run.is_closed
    assert "the disk is full" in asked[0]
    assert "7 readings" in asked[0]
    assert {"Try again", "Save elsewhere …", "Close and lose these 7"} < set(asked)


LONG = (
    "Eisbildung ist wahrscheinlich: die Kurve verharrt in der Nähe von 1 240 micron und kriecht, "
    "wie es Eis bei −15,0 °C täte. Die kälteste Stelle erwärmen (keine Flamme), oder das Vakuum "
    "mit trockenem Stickstoff brechen und von neuem evakuieren; danach bitte weiter beobachten."
)


@pytest.mark.parametrize("size", [(1366, 728), (1920, 1040), (1000, 640)])
def test_a_long_verdict_fits(desk: Desk, qtbot: QtBot, size: tuple[int, int]) -> None:
    desk.window.resize(*size)
    sentence = desk.window.verdict.sentence
    sentence.show_text(LONG)
    qtbot.wait(1)
    needed = QFontMetrics(sentence.font()).boundingRect(
        sentence.contentsRect(), int(Qt.TextFlag.TextWordWrap), sentence.text()
    )
    assert needed.height() <= sentence.height()


def test_no_label_of_the_walk_is_cut(desk: Desk, qtbot: QtBot) -> None:
    desk.window.resize(1366, 728)
    desk.run.play([*readings("clean", 60.0), Mark(60.0, "valve-closed")])
    desk.presenter.look()
    qtbot.wait(1)
    for label in desk.window.hold.findChildren(QLabel):
        if label.isVisible() and label.wordWrap() and label.text():
            assert label.heightForWidth(label.width()) <= label.height() + 1, label.text()


def test_a_question_is_whole_in_the_lowest_window(desk: Desk, qtbot: QtBot) -> None:
    desk.window.resize(desk.window.minimumSize())
    offer = "Not finished: job-2030-01-31-0905, of a van with a long name in the second bay"
    desk.window.show(Screen(wants_gauge=True, next_step="Choose the gauge. " * 4, offer=offer))
    qtbot.wait(50)
    prompt = desk.window.next.offer
    text = prompt.findChildren(QLabel)[0]
    assert text.height() >= text.heightForWidth(text.width())
    assert text.geometry().bottom() < prompt.yes.geometry().top()
    assert prompt.yes.geometry().bottom() < prompt.no.geometry().top()
    assert prompt.rect().contains(prompt.no.geometry())


def test_an_alarm_that_is_over_uncovers_the_window(desk: Desk) -> None:
    desk.run.play(readings("clean", 10.0))
    desk.presenter.look()
    caution = Caution("no-signal", 5.0, None, Reason("no-signal", {"silence_s": 30.0}))
    desk.run.show_once(caution_changes=(caution,), cautions=(caution,))
    desk.presenter.look()
    assert desk.window.banner.isVisible()
    assert desk.window.banner.hold.isHidden()
    ended = Caution("no-signal", 5.0, 9.0, caution.reason)
    desk.run.show_once(caution_changes=(ended,), cautions=())
    desk.presenter.look()
    assert not desk.window.banner.isVisible()


@pytest.mark.parametrize("is_on", [True, False])
def test_the_sound_can_be_turned_off(
    desk: Desk, monkeypatch: pytest.MonkeyPatch, is_on: bool
) -> None:
    heard: list[str] = []
    monkeypatch.setattr(desk.window._outside._sound, "play", heard.append)
    desk.window.settings.change(sound=is_on)
    desk.run.play(readings("clean", 10.0))
    desk.presenter.look()
    desk.run.show_once(stage="flat", stage_reason=Reason("rate-below-one"))
    desk.presenter.look()
    assert heard == (["good"] if is_on else [])
    desk.window._outside._timer.timeout.emit()
    assert heard == (["good", "good"] if is_on else [])
    desk.window.settings.change(sound=False)  # while it goes on
    desk.window._outside._timer.timeout.emit()
    assert len(heard) <= 2
    desk.presenter.dismiss()
    assert not desk.window._outside._timer.isActive()


def test_an_isolation_by_touch(desk: Desk) -> None:
    desk.run.play([Reading(float(k), 20.0) for k in range(30)])
    desk.presenter.look()
    press(desk.window.marks.isolate)
    desk.run.play([Reading(30.0 + k, 20.0 + 0.1 * k) for k in range(60)])
    desk.presenter.look()
    hold = desk.window.hold
    assert hold.forward.text() == "Valve opened again"
    assert not desk.window.marks.isolate.isEnabled()
    press(hold.forward)
    assert marks(desk) == ["valve-closed", "valve-opened"]
    assert desk.window.next.isVisible()
    assert "Isolated, it rose by" in desk.window.next.isolation.text()


def test_a_question_about_a_closing_is_answered_by_touch(desk: Desk) -> None:
    offered = CutOff(20.0, "steady", 30.0)
    desk.run.play([Reading(float(k), 20.0) for k in range(30)])
    desk.presenter.look()
    desk.run.show_instead(offered=offered)
    desk.presenter.look()
    prompt = desk.window.next.cut_off
    assert prompt.isVisible()
    press(prompt.no)
    assert not prompt.isVisible()
    assert marks(desk) == []


def test_the_report_is_made_from_the_menu_and_told(desk: Desk, tmp_path: Path) -> None:
    desk.run.recorder.path = new_job(tmp_path, name="job.simmerdown", title="visit")
    [action] = [a for a in desk.window.job_menu.actions() if a.objectName() == "report"]
    action.trigger()
    desk.presenter.report.close()
    desk.presenter.look()
    assert desk.window.notice.text.text() == f"The report is made: {tmp_path / 'job.pdf'}"
    assert (tmp_path / "job.pdf").read_bytes().startswith(b"%PDF")


def test_nothing_is_filled_in_while_a_job_is_being_opened(desk: Desk) -> None:
    """The form stood empty, and saved after the opening it emptied the job's own."""
    assert desk.presenter.screen is not None
    fills = {"job", "pressure-test", "blank-off"}

    def barred() -> set[str]:
        return {
            action.objectName()
            for action in desk.window.job_menu.actions()
            if not action.isEnabled()
        } & fills

    assert not barred()
    desk.window.show(replace(desk.presenter.screen, phase="opening"))
    assert barred() == fills
    assert not desk.window.next.job.isEnabled()
    assert not any(box.isEnabled() for box in desk.window.next._boxes.values())
