"""A stranger's job: whatever its texts say, nothing of it is run, fetched, or obeyed."""

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
from PySide6 import QtGui
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel, QWidget
from pytestqt.qtbot import QtBot

from analysis.sample import Mark
from app.cli import main
from app.job.fields import job_fields
from app.jobfile.new import new_job
from app.jobfile.readings import encode_readings
from app.jobfile.rows import READINGS, CautionChange, Edit, LinkChange, encode_note
from app.jobfile.writer import JobWriter
from app.live.session import Session
from app.screen.presenter import Presenter
from app.settings.keeper import SettingsKeeper
from app.settings.memory import Memory
from app.window.job_form import JobForm
from app.window.kept_page import KeptPage
from app.window.labels import SentenceLabel
from app.window.main_window import MainWindow
from sensors.events import Reading

START = datetime(2030, 1, 31, 9, 5, tzinfo=UTC)
HTML = "<img src='file:///etc/hostname'><b>x</b>"
ESCAPE = "\x1b[2J"
TEXT = f"../../{HTML}{ESCAPE}\u202e"


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """A job with hostile texts wherever a text can stand."""
    folder = tmp_path / "desk" / "jobs"
    texts = ("title", "vehicle", "refrigerant", "oil", "gauge", "gauge_at_pump", "oil_kind")
    fields: dict[str, object] = {
        **dict.fromkeys(texts, TEXT),
        "joints": [{"name": TEXT, "evidence": TEXT, "state": "leaks"}],
    }
    path = new_job(folder, name="job.simmerdown", fields=fields, now=lambda: START)
    with JobWriter(path) as writer:
        writer.append(*encode_note(LinkChange(0.0, "connected", TEXT)))
        readings = (Reading(at / 2, 60.0 + at % 5, 20.0) for at in range(400))
        writer.append(READINGS, encode_readings(readings))
        writer.append(*encode_note(Mark(100.0, "note", TEXT)))
        writer.append(*encode_note(CautionChange(101.0, "ice", True, TEXT, {TEXT: 5.0})))
        writer.append(*encode_note(Edit(TEXT, TEXT)))
        writer.append(*encode_note(LinkChange(201.0, "lost", TEXT)))
        writer.commit()
    return path


@pytest.fixture
def window(qtbot: QtBot) -> Iterator[MainWindow]:
    made = MainWindow(SettingsKeeper(lambda _text: None))
    made.settings.change(sound=False)
    made._awake.hold = lambda: None  # type: ignore[method-assign]
    qtbot.addWidget(made)
    yield made
    made.close()


def check_plain(top: QWidget) -> None:
    """Fail where Qt would take a stranger's text for HTML, and so open the files it names."""
    widgets = [top, *top.findChildren(QWidget)]
    for widget in widgets:
        tip = widget.toolTip()
        assert not ("<img" in tip and QtGui.Qt.mightBeRichText(tip)), (
            f"tool tip of {widget}: {tip!r}"
        )
        if isinstance(widget, QLabel) and widget.textFormat() != Qt.TextFormat.PlainText:
            assert "img" not in widget.text(), f"label {widget}: {widget.text()!r}"


def test_the_window_shows_its_texts_as_they_are(
    qtbot: QtBot, window: MainWindow, job: Path, tmp_path: Path
) -> None:
    session = Session(Memory(tmp_path / "window.json"), lambda: window.settings.value)
    presenter = Presenter(window, session, lambda: window.settings.value)
    window.attach(presenter, window.charts.load(window.palette_now, "micron"))
    window.show()
    presenter.resume(job)

    def is_open() -> bool:
        presenter.look()
        return session.run is not None and window.screen_now.title != ""

    qtbot.waitUntil(is_open, timeout=20_000)
    presenter.look()
    assert "img" in window.screen_now.title
    window.tell(HTML)
    window._on_why()
    window.grab()
    for top in (window, window.why):
        check_plain(top)
    window.dialogs.job()
    (form,) = window.findChildren(JobForm)
    check_plain(form)
    form.reject()


@pytest.mark.parametrize(
    ("command", "options"),
    [
        ("analyse", []),
        ("analyse", ["--json"]),
        ("hold", []),
        ("hold", ["--json"]),
        ("verify", []),
        ("verify", ["--json"]),
        ("report", []),
    ],
)
def test_no_command_obeys_it_or_writes_elsewhere(
    command: str, options: list[str], job: Path, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    before = set(tmp_path.rglob("*"))
    data = job.read_bytes()
    assert main([command, str(job), *options]) in (0, 2)
    said = "".join(capsys.readouterr())
    assert "\x1b" not in said
    assert "\u202e" not in said
    new = set(tmp_path.rglob("*")) - before
    assert new <= {job.with_suffix(".pdf")}
    assert job.read_bytes() == data


def test_fields_of_a_stranger_name_no_file(job: Path) -> None:
    """The report, the backup and the copy are named after the job's file, never after a field."""
    from app.jobfile.reader import JobReader

    with JobReader(job) as reader:
        assert job_fields(reader.fields()).title == TEXT
    made = new_job(job.parent, title=TEXT, fields={"vehicle": TEXT})
    assert made.parent == job.parent
    assert made.name.startswith("job-")


def test_what_a_strangers_profile_is_refused_for_is_shown_as_text(
    qtbot: QtBot, tmp_path: Path
) -> None:
    path = tmp_path / "sent.toml"
    path.write_text(f'version = 1\naddress = "tcp:a:1"\n"{HTML}" = 1\n')
    page = KeptPage()
    qtbot.addWidget(page)
    page.take(path)
    assert "<img" in page.trouble.text()
    check_plain(page)


def test_sentences_that_may_quote_a_stranger_are_plain(qtbot: QtBot) -> None:
    label = SentenceLabel()
    qtbot.addWidget(label)
    label.setText(HTML)
    check_plain(label)
