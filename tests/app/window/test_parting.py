"""Closing with readings that the disk does not take; and the second place for jobs."""

from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFileDialog, QLabel, QMessageBox, QWidget
from pytestqt.qtbot import QtBot

from app.charts.palette import PALETTES
from app.jobfile.errors import JobFileError
from app.jobfile.new import new_job
from app.jobfile.verify import verify_job
from app.system.paths import jobs_folder
from app.window.backup_dialog import BackupDialog
from app.window.parting import may_let_go
from app.window.theme import style_sheet
from tests.app.window.conftest import Desk
from tests.app.window.played import NOT_SAVED
from tests.app.window.stretched import long_words


@pytest.fixture
def full(desk: Desk) -> Desk:
    desk.run.recorder.is_flushing = False
    desk.run.recorder.state = replace(NOT_SAVED, waiting=7)
    return desk


@pytest.fixture
def answers(monkeypatch: pytest.MonkeyPatch) -> Callable[..., list[str]]:
    """Press these buttons one after the other; gives what was asked."""

    def press(*texts: str, before: Callable[[], None] = lambda: None) -> list[str]:
        waiting: Iterator[str] = iter(texts)
        asked: list[str] = []

        def answer(box: QMessageBox) -> int:
            asked.append(f"{box.text()} {box.informativeText()}")
            before()
            wanted = next(waiting)
            (button,) = [each for each in box.buttons() if each.text().startswith(wanted)]
            button.click()
            return 0

        monkeypatch.setattr(QMessageBox, "exec", answer)
        return asked

    return press


def test_nothing_is_asked_when_all_is_saved(desk: Desk, answers: Callable[..., list[str]]) -> None:
    asked = answers()
    assert may_let_go(desk.window, desk.session)
    assert asked == []


def test_trying_again_asks_until_it_is_saved(full: Desk, answers: Callable[..., list[str]]) -> None:
    tries = []

    def one_more() -> None:
        tries.append(1)
        full.run.recorder.is_flushing = len(tries) == 3

    asked = answers(*["Try again"] * 3, before=one_more)
    assert may_let_go(full.window, full.session)
    assert len(asked) == 3
    assert "the disk is full" in asked[0]
    assert "7 readings" in asked[0]


def test_losing_them_has_to_be_said(full: Desk, answers: Callable[..., list[str]]) -> None:
    answers("Close and lose these 7")
    assert may_let_go(full.window, full.session)
    answers("Do not close")
    assert not may_let_go(full.window, full.session)
    full.run.recorder.is_flushing = True  # the window is closed next


def test_finishing_asks_too(full: Desk, answers: Callable[..., list[str]]) -> None:
    answers("Do not close")
    full.window._on_finish()
    assert not full.run.is_closed
    answers("Close and lose")
    full.window._on_finish()
    assert full.run.is_closed


def test_another_place_is_chosen_and_what_stands_against_it_is_said(
    full: Desk,
    answers: Callable[..., list[str]],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    places = iter(["", str(tmp_path / "bad"), str(tmp_path / "good")])
    saved: list[Path] = []

    def save_elsewhere(target: Path) -> None:
        if target.name == "bad":
            raise JobFileError("That one is full as well.")
        saved.append(target)
        full.run.recorder.is_flushing = True
        full.run.recorder.path = target

    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (next(places), ""))
    monkeypatch.setattr(full.run.recorder, "save_elsewhere", save_elsewhere, raising=False)
    asked = answers("Save elsewhere", "Save elsewhere", "Close", "Save elsewhere")
    assert may_let_go(full.window, full.session)
    assert len(asked) == 4
    assert asked[2].strip() == "That one is full as well."
    assert saved == [tmp_path / "good"]
    assert full.session.memory.value.open_job == str(tmp_path / "good")


# -- the second place


def test_a_closed_window_leaves_a_second_copy(desk: Desk, tmp_path: Path) -> None:
    second = tmp_path / "stick"
    second.mkdir()
    desk.window.settings.change(backup_folder=second)
    job = desk.run.recorder.path = new_job(tmp_path / "jobs")
    desk.window.close()
    assert verify_job(second / job.name) == verify_job(job)


def test_a_second_place_that_is_not_there_is_told_and_closes(
    desk: Desk, tmp_path: Path, answers: Callable[..., list[str]]
) -> None:
    boxes: list[QMessageBox] = []
    told = answers("Close", before=lambda: boxes.extend(desk.window.findChildren(QMessageBox)))
    desk.window.settings.change(backup_folder=tmp_path / "<b>stick<")
    job = desk.run.recorder.path = new_job(tmp_path / "jobs")
    desk.window.close()
    assert not desk.window.isVisible()
    (sentence,), (box,) = told, boxes
    assert "is not there" in sentence
    assert box.textFormat() == Qt.TextFormat.PlainText  # a folder's name may look like anything
    assert [(b.minimumHeight() >= 44, b.icon().isNull()) for b in box.buttons()] == [(True, True)]
    assert str(job) in sentence


def test_finishing_tells_of_the_second_copy(desk: Desk, tmp_path: Path, qtbot: QtBot) -> None:
    second = tmp_path / "stick"
    second.mkdir()
    desk.window.settings.change(backup_folder=second)
    desk.run.recorder.path = new_job(tmp_path / "jobs")
    desk.window._on_finish()
    desk.presenter.backup.wait()
    desk.presenter.look()
    assert "A second copy is in" in desk.window.notice.text.text()


def test_the_dialog_sets_and_unsets_the_folder(
    desk: Desk, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(QFileDialog, "getExistingDirectory", lambda *_: str(tmp_path))
    desk.window.dialogs.second_place(desk.window.settings)
    (dialog,) = desk.window.findChildren(BackupDialog)
    assert "No second copy" in dialog.box.shown.text()
    assert not dialog.box.none.isEnabled()
    dialog.box.choose.click()
    assert desk.window.settings.value.backup_folder == tmp_path
    assert str(tmp_path) in dialog.box.shown.text()
    dialog.box.none.click()
    assert desk.window.settings.value.backup_folder is None
    dialog.reject()
    gone = BackupDialog(tmp_path / "gone", lambda _: None)
    qtbot.addWidget(gone)
    assert "gone is not there" in gone.box.shown.text()
    jobs_folder().mkdir(parents=True)
    gone.box._take(jobs_folder())
    assert "is where the job itself is" in gone.box.shown.text()


def test_a_long_folders_name_is_whole_in_longer_words(qtbot: QtBot, tmp_path: Path) -> None:
    window = QWidget()
    window.setStyleSheet(style_sheet(PALETTES["dark"]))
    qtbot.addWidget(window)
    with long_words():
        dialog = BackupDialog(None, lambda _: None, window)
        dialog.show()
        dialog.box._take(tmp_path / "/".join(["a folder in a folder"] * 12))
    qtbot.wait(1)
    for label in dialog.findChildren(QLabel):
        assert label.height() >= label.heightForWidth(label.width()), label.text()
    dialog.reject()
