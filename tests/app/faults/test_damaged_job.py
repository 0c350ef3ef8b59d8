"""A job damaged in the middle: it opens to read with what can be read, and is not added to."""

import json
import os
from pathlib import Path

import pytest
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QLabel,
    QLineEdit,
    QWidget,
)
from pytestqt.qtbot import QtBot

from app.cli import main
from app.job.fields import JobFields
from app.job.recording import load
from app.jobfile.new import new_job
from app.jobfile.readings import encode_readings
from app.jobfile.rows import READINGS, Edit, encode_note
from app.jobfile.writer import JobWriter
from app.live.session import Session
from app.screen.presenter import Presenter
from app.settings.keeper import SettingsKeeper
from app.settings.memory import Memory
from app.window.job_form import JobForm
from app.window.main_window import MainWindow
from sensors.events import Reading
from sensors.sim.sensor import SimSensor

BLOCKS, IN_BLOCK = 120, 40


@pytest.fixture
def damaged(tmp_path: Path) -> Path:
    """Some thousand readings on many pages, one page of them overwritten."""
    job = new_job(tmp_path, name="damaged.simmerdown", title="Invented van")
    with JobWriter(job) as writer:
        writer.append(*encode_note(Edit("vehicle", "grey van, invented")))
        for block in range(BLOCKS):
            first_s = 0.5 * IN_BLOCK * block
            readings = (Reading(first_s + 0.5 * at, 60.0 + at % 5) for at in range(IN_BLOCK))
            writer.append(READINGS, encode_readings(readings))
        writer.commit()
    with job.open("rb+") as file:
        file.seek(job.stat().st_size // 8192 * 4096)
        file.write(os.urandom(4096))
    return job


def test_what_can_be_read_is_exported_and_printed(
    damaged: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    data = damaged.read_bytes()
    assert main(["verify", str(damaged)]) == 2
    said = capsys.readouterr().err
    assert "row" in said
    assert said.endswith(".\n")
    assert ".." not in said
    assert main(["export", str(damaged), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert not told["is_whole"]
    assert BLOCKS * IN_BLOCK - 600 < told["samples"] < BLOCKS * IN_BLOCK
    assert len(load(Path(told["readings"])).series.time_s) == told["samples"]
    assert main(["report", str(damaged)]) == 0
    assert damaged.with_suffix(".pdf").stat().st_size > 10_000
    assert damaged.read_bytes() == data


@pytest.mark.parametrize("command", [["analyse"], ["hold"], ["watch", "sim:wet", "--job"]])
def test_where_all_of_it_is_needed_one_sentence_says_what_to_do(
    damaged: Path, command: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    data = damaged.read_bytes()
    assert main([*command, str(damaged)]) == 2
    said = capsys.readouterr().err.splitlines()[-1]
    assert "is damaged" in said
    assert "export" in said
    assert damaged.read_bytes() == data


def opened(path: Path, qtbot: QtBot) -> tuple[MainWindow, Presenter]:
    """Open a job in a window, and look until it has been read."""
    window = MainWindow(SettingsKeeper(print))
    window.settings.change(sound=False)
    qtbot.addWidget(window)
    session = Session(Memory(path.with_name("window.json")), lambda: window.settings.value)
    presenter = Presenter(window, session, lambda: window.settings.value)
    window.attach(presenter, window.charts.load(window.palette_now, "micron"))
    window.show()
    presenter.resume(path)
    assert session.opening is not None
    session.opening.join()
    presenter.look()
    return window, presenter


def test_the_window_opens_it_to_be_read_only(damaged: Path, qtbot: QtBot) -> None:
    data = damaged.read_bytes()
    window, presenter = opened(damaged, qtbot)
    screen, session = window.screen_now, presenter.session
    assert screen.phase == "only-read"
    assert "damaged.simmerdown is damaged after row" in screen.verdict
    assert (screen.title, screen.tone) == ("grey van, invented", "attention")
    assert screen.saved.text == "Damaged: read only"
    assert {screen.can_mark, screen.can_hold, screen.wants_gauge} == {False}
    assert session.only_read is not None
    assert BLOCKS * IN_BLOCK - 600 < session.only_read.readings < BLOCKS * IN_BLOCK
    assert (screen.pressure, screen.hold.page) == ("–", "none")  # nothing of it is now
    assert presenter.snapshot is not None
    assert presenter.snapshot.time_s == 0.5 * (BLOCKS * IN_BLOCK - 1)
    presenter.tell("something else")  # the line that may be closed is not where it stands
    window.notice.hide()
    presenter.look()
    assert "read only" in window.screen_now.verdict
    presenter.tick_part("rig", True)
    assert "nothing was changed" in window.notice.text.text()
    presenter.mark("heat")
    presenter.make_report()
    presenter.report.close()
    assert damaged.with_suffix(".pdf").stat().st_size > 10_000
    assert session.close()
    assert damaged.read_bytes() == data


def test_its_form_shows_what_it_holds_and_takes_nothing(damaged: Path, qtbot: QtBot) -> None:
    window, presenter = opened(damaged, qtbot)
    window.dialogs.job()
    (form,) = window.findChildren(JobForm)
    assert form.vehicle.text() == "grey van, invented"
    kinds = (QLineEdit, QComboBox, QCheckBox)
    inputs = [each for each in form.findChildren(QWidget) if isinstance(each, kinds)]
    assert len(inputs) > 10
    assert not any(each.isEnabled() for each in inputs)
    assert not any(each.placeholderText() for each in inputs if isinstance(each, QLineEdit))
    said = [label.text() for label in form.findChildren(QLabel) if label.isVisible()]
    assert any("nothing can be changed" in text for text in said)
    assert form.buttons.standardButtons() == QDialogButtonBox.StandardButton.Close
    form.buttons.button(QDialogButtonBox.StandardButton.Close).click()
    assert form.result() == QDialog.DialogCode.Rejected
    greyed = {act.objectName() for act in window.job_menu.actions() if not act.isEnabled()}
    assert greyed >= {"pressure-test", "blank-off"}
    assert presenter.session.close()


def test_the_next_job_knows_nothing_of_it(damaged: Path, qtbot: QtBot) -> None:
    window, presenter = opened(damaged, qtbot)
    presenter.use(SimSensor("clean", speed=200.0))
    session = presenter.session
    assert session.opening is not None
    session.opening.join()
    presenter.look()
    assert session.only_read is None
    assert session.run is not None
    assert session.fields == JobFields()
    assert window.screen_now.phase == "running"
    assert session.job_path != damaged
    assert session.close()


def test_a_whole_job_that_cannot_be_opened_is_refused_as_before(
    tmp_path: Path, qtbot: QtBot
) -> None:
    job = new_job(tmp_path, name="whole.simmerdown", title="Invented van")
    with JobWriter(job):
        window, presenter = opened(job, qtbot)
    assert "read only" not in window.screen_now.verdict
    assert presenter.session.only_read is None
    assert window.screen_now.phase == "idle"
    assert "whole.simmerdown" in window.notice.text.text()
