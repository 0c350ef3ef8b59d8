"""The dialogs: addresses that are right ones, a form that gives back what was put in."""

import io
import wave
from collections.abc import Callable

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QDialogButtonBox
from pytestqt.qtbot import QtBot

from app.gauge.search import Found, Gone, Tell, Trouble
from app.gauge.search_desk import SearchDesk
from app.job.fields import JobFields, Joint
from app.rig.cost import rig_cost_lines
from app.screen.shown import Passage, Screen
from app.window import sensor_pages
from app.window.blank_off_dialog import BlankOffDialog
from app.window.found_page import FoundPage
from app.window.job_form import JobForm
from app.window.sensor_dialog import SensorDialog
from app.window.sound import NOTE_S, NOTES_HZ, tone_wave
from app.words.phrases import english
from sensors.address import parse_address
from sensors.catalogue import FoundPort

OK = QDialogButtonBox.StandardButton.Ok


@pytest.fixture
def ports(monkeypatch: pytest.MonkeyPatch) -> None:
    found = [FoundPort("/dev/ttyUSB0", "USB serial", "serial:/dev/ttyUSB0")]
    monkeypatch.setattr(sensor_pages, "find_ports", lambda: found)


@pytest.mark.usefixtures("ports")
def test_a_serial_port_becomes_an_address(qtbot: QtBot) -> None:
    dialog = SensorDialog()
    qtbot.addWidget(dialog)
    page = dialog.pages["serial"]
    assert isinstance(page, sensor_pages.SerialPage)
    page.baud.setCurrentText("19200")
    page.field.setText("2")
    page.unit.setCurrentIndex(page.unit.findData("micron"))
    assert dialog.address == "serial:/dev/ttyUSB0?baud=19200&field=2&unit=micron"
    assert dict(parse_address(dialog.address).options) == {
        "baud": "19200",
        "field": "2",
        "unit": "micron",
    }
    page.question.setText("PR? 1")
    assert parse_address(dialog.address).options["query"] == "PR? 1\r"
    page.ending.setCurrentIndex(page.ending.count() - 1)
    assert parse_address(dialog.address).options["query"] == "PR? 1"
    assert dialog.buttons.button(OK).isEnabled()
    page.question.setText("µ?")
    assert not dialog.buttons.button(OK).isEnabled()


@pytest.mark.usefixtures("ports")
@pytest.mark.parametrize(
    "address", ["sim:leak?speed=10", "replay:/data/run.csv?speed=70", "tcp:127.0.0.1:4001"]
)
def test_the_last_choice_is_shown_again(qtbot: QtBot, address: str) -> None:
    dialog = SensorDialog(address)
    qtbot.addWidget(dialog)
    assert dialog.address == address
    assert dialog.buttons.button(OK).isEnabled()


@pytest.mark.usefixtures("ports")
def test_a_wrong_address_cannot_be_taken_and_says_why(qtbot: QtBot) -> None:
    dialog = SensorDialog("tcp:127.0.0.1:4001")
    qtbot.addWidget(dialog)
    page = dialog.pages["typed"]
    assert isinstance(page, sensor_pages.TypedPage)
    page.line.setText("tcp:nowhere")
    assert not dialog.buttons.button(OK).isEnabled()
    assert "Wrong sensor address" in dialog._line.text()


FIELDS = JobFields(
    title="visit",
    vehicle="grey van",
    vehicle_kind="electric",
    refrigerant="R-1234yf",
    volume_m3=0.0025,
    oil="POE",
    joints=(Joint("inlet", "new part", "renewed"), Joint("outlet")),
    parts_done=("rig",),
    days_open=21.0,
    temperature_c=18.5,
    humidity_pct=70.0,
    oil_kind="PAG",
    oil_ml=150.0,
    renewed_drier=True,
    circuit_kind="long",
    charge_kg=0.48,
    pump_speed_m3_s=1.2e-3,
    hose_bore_m=0.0064,
    hose_length_m=0.9,
    rig_volume_m3=8e-5,
    cores="in",
)


def test_the_form_gives_back_what_was_put_in(qtbot: QtBot) -> None:
    form = JobForm(FIELDS, lambda *_: (), lambda _: "")
    qtbot.addWidget(form)
    assert form.fields() == FIELDS
    form.joints.add(Joint("", ""))
    assert form.fields() == FIELDS
    form.volume.setText("3,2" if form.volume.text().count(",") else "3.2")
    assert form.fields().volume_m3 == pytest.approx(0.0032)


TOUCHES: dict[str, Callable[[JobForm], object]] = {
    "vehicle": lambda form: form.vehicle.setText("another van"),
    "no-number": lambda form: form.volume.setText("much"),
    "joint": lambda form: form.joints.add(Joint("hose")),
    "past": lambda form: form.history.numbers["days_open"].setText("12"),
    "rig": lambda form: form.rig.numbers["hose_bore_m"].setText("700"),
}


@pytest.mark.parametrize("touched", TOUCHES)
def test_what_was_typed_into_the_form_is_let_go_only_when_asked_twice(
    qtbot: QtBot, touched: str
) -> None:
    form = JobForm(FIELDS, lambda *_: (), lambda _: "")
    qtbot.addWidget(form)
    form.show()
    TOUCHES[touched](form)
    QTest.keyClick(form, Qt.Key.Key_Escape)
    assert form.isVisible()
    assert "not saved" in form._told.text()
    QTest.keyClick(form, Qt.Key.Key_Escape)
    assert not form.isVisible()


def test_a_form_that_was_only_looked_at_closes_at_once(qtbot: QtBot) -> None:
    form = JobForm(FIELDS, lambda *_: (), lambda _: "")
    qtbot.addWidget(form)
    form.show()
    QTest.keyClick(form, Qt.Key.Key_Escape)
    assert not form.isVisible()


def test_the_cautions_follow_refrigerant_and_drive(qtbot: QtBot) -> None:
    asked: list[tuple[str, str]] = []

    def cautions(refrigerant: str, kind: str) -> tuple[Passage, ...]:
        asked.append((refrigerant, kind))
        return ()

    form = JobForm(JobFields(), cautions, lambda _: "")
    qtbot.addWidget(form)
    form.refrigerant.setCurrentText("R-744")
    form.kind.setCurrentIndex(form.kind.findData("hybrid"))
    assert asked[-1] == ("R-744", "hybrid")


@pytest.mark.parametrize("text", ["much", "-1", "0", "5000"])
def test_a_volume_that_is_none_cannot_be_saved(qtbot: QtBot, text: str) -> None:
    form = JobForm(JobFields(), lambda *_: (), lambda _: "")
    qtbot.addWidget(form)
    form.volume.setText(text)
    assert not form.buttons.button(QDialogButtonBox.StandardButton.Save).isEnabled()


def test_a_slip_of_the_unit_is_asked_about_and_can_be_meant(qtbot: QtBot) -> None:
    form = JobForm(JobFields(), lambda *_: (), lambda _: "")
    qtbot.addWidget(form)
    save = form.buttons.button(QDialogButtonBox.StandardButton.Save)
    form.volume.setText("750")  # millilitres
    form.charge.setText("19")  # ounces
    assert "750 L" in form._note.text()
    form.volume.setText("7500")
    assert "7500 L" not in form._note.text()  # which is refused, and not asked about as well
    assert "must be" in form._note.text()
    form.volume.setText("750")
    assert "19 g" in form._note.text()
    assert save.isEnabled()
    form.volume.setText("2.4")
    form.charge.setText("550")
    assert form._note.text() == ""


def test_hose_and_cores_are_told_at_once(qtbot: QtBot) -> None:
    form = JobForm(
        JobFields(),
        lambda *_: (),
        lambda _: "",
        lambda fields: rig_cost_lines(fields, "micron", english),
    )
    qtbot.addWidget(form)
    save = form.buttons.button(QDialogButtonBox.StandardButton.Save)
    assert "first four" in form.rig.cost.text()
    for name, text in (("pump_speed_m3_s", "72"), ("hose_bore_m", "4.8"), ("hose_length_m", "1.5")):
        form.rig.numbers[name].setText(text)
    form.rig.cores.setCurrentIndex(form.rig.cores.findData("in"))
    assert form.fields().pump_speed_m3_s == pytest.approx(1.2e-3)
    assert form.fields().hose_bore_m == pytest.approx(0.0048)
    assert "less than a tenth" in form.rig.cost.text()
    form.rig.numbers["hose_bore_m"].setText("700")
    assert not save.isEnabled()


def test_the_tones_are_playable_and_told_apart() -> None:
    good, danger = (tone_wave(NOTES_HZ[tone]) for tone in ("good", "danger"))
    with wave.open(io.BytesIO(good)) as file:
        lasts_s = file.getnframes() / file.getframerate()
    assert lasts_s == pytest.approx(2 * NOTE_S, abs=0.01)
    assert good != danger


def test_the_past_gives_a_forecast_at_once(qtbot: QtBot) -> None:
    form = JobForm(JobFields(), lambda *_: (), lambda fields: f"{fields.days_open} days")
    qtbot.addWidget(form)
    assert form.history.forecast.text() == "None days"
    form.history.numbers["days_open"].setText("30")
    assert form.history.forecast.text() == "30.0 days"
    assert form.fields().days_open == 30.0
    form.history.numbers["humidity_pct"].setText("170")
    assert not form.buttons.button(QDialogButtonBox.StandardButton.Save).isEnabled()


def test_the_blank_off_dialog_says_the_step_and_what_it_shows(qtbot: QtBot) -> None:
    steps: list[int] = []
    dialog = BlankOffDialog(lambda: steps.append(1))
    qtbot.addWidget(dialog)
    dialog.show_screen(Screen(can_hold=True))
    assert dialog.step.text() == "Both valves are closed"
    dialog.step.click()
    dialog.show_screen(Screen(can_hold=True, is_blanking=True, blank_off=("it rose",)))
    assert dialog.step.text() == "End the test"
    assert steps == [1]
    dialog.show_screen(Screen())
    assert not dialog.step.isEnabled()


def test_what_appears_is_listed_as_it_comes_and_chosen(qtbot: QtBot) -> None:
    async def search(tell: Tell) -> None:
        tell(Found("serial:/dev/ttyUSB7", "adapter"))
        tell(Found("serial:/dev/ttyUSB7", "adapter, again"))
        tell(Found("serial:/dev/ttyUSB8", "pulled out again"))
        tell(Gone("serial:/dev/ttyUSB8"))
        tell(Trouble("Bluetooth", "Bluetooth is switched off."))

    dialog = SensorDialog("", search=SearchDesk(search))
    qtbot.addWidget(dialog)
    dialog.show()
    dialog.choices["found"].click()
    page = dialog.pages["found"]
    assert isinstance(page, FoundPage)
    qtbot.waitUntil(lambda: page.found.count() > 0)
    qtbot.waitUntil(lambda: page.warning.text() == "Bluetooth is switched off.")
    assert page.found.count() == 1
    assert page.found.item(0).text() == "serial:/dev/ttyUSB7  adapter, again"
    page.found.setCurrentRow(0)
    assert dialog.address == "serial:/dev/ttyUSB7"
    assert dialog.buttons.button(OK).isEnabled()
    dialog.reject()
    assert not page.timer.isActive()
