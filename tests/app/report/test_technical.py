"""The technical page: what it says, with which settings, and that it stays one page."""

from dataclasses import replace
from datetime import UTC
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import QMarginsF, QRectF
from PySide6.QtGui import QPainter, QPdfWriter

from analysis.flat.history import History
from analysis.pump.pumping import Pumping
from analysis.reason import Interval, Reason
from analysis.rules import EvacuationRules
from analysis.snapshot import BlankOff
from app.job.rules import JobRules
from app.jobfile.jsontext import plain
from app.jobfile.readings import Readings
from app.jobfile.rows import Edit, FindingNote
from app.report.course import Course, follow
from app.report.moments import Moments
from app.report.page import Contents
from app.report.pdf import render, with_application
from app.report.record import Record, read_record
from app.report.technical import Section, TechnicalWriter
from app.report.technical_page import paint_technical
from app.report.writer import write_page
from app.rig.rig_screen import judge_typed
from app.rig.rig_tests import pressure_test_note
from app.words.phrases import english
from app.words.sentences import Words
from sensors.events import Reading
from tests.app.report.conftest import FIELDS, NOW, SERIAL, MakeJob, held, played, write_job
from tests.app.report.printed import technical_of

TYPED = {"start_bar": 10.0, "start_c": 20.0, "end_bar": 10.0, "end_c": 21.0, "minutes": 20.0}
TOLD = JobRules(EvacuationRules(flat_interval_s=300.0, circuit_c=25.0), History(days_open=9.0))
ALL: dict[str, object] = {
    **FIELDS,
    "refrigerant": "R-134a",
    "volume_m3": 0.002,
    "rig_volume_m3": 8e-5,
    "circuit_kind": "long",
    "pump_speed_m3_s": 1.2e-3,
    "hose_bore_m": 0.0048,
    "hose_length_m": 1.5,
    "cores": "in",
    "parts_done": ["rig"],
    "days_open": 9.0,
    "renewed_drier": True,
}


def sections_of(record: Record, course: Course) -> dict[str, Section]:
    words, moments = Words(), Moments(record, english, UTC)
    found = TechnicalWriter(moments, course, words).sections()
    return {section.heading: section for section in found}


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A job in which everything was told and every test made."""
    path = tmp_path_factory.mktemp("technical") / "whole.simmerdown"
    blank_off = BlankOff(
        1.0, 301.0, 4.0, 9.0, 5.0, Interval(0.015, 0.0167, 0.018), None, True, (),
        (Reason("blank-off-no-volume"),),
    )  # fmt: skip
    notes = (
        SERIAL,
        TOLD.note(),
        Edit("blank_off", plain(blank_off)),
        pressure_test_note(judge_typed(TYPED)),
    )
    return write_job(path, held("hold-leak", 240.0), fields=ALL, extra=notes)


@pytest.fixture(scope="module")
def seen(whole: Path) -> tuple[Record, Course]:
    record = read_record(whole)
    return record, follow(record)


def test_the_settings_that_the_job_keeps_are_used(seen: tuple[Record, Course]) -> None:
    record, course = seen
    assert course.is_told
    assert course.flat_interval_s == 300.0
    assert course.told.history == TOLD.history
    lines = sections_of(*seen)["What the analysis was told"].lines
    assert lines[0] == "The circuit's past, as told: lines stood open for 9 days, drier renewed."
    assert lines[1].startswith("Flat: fewer than one burst in 5 min")
    assert "25.0 °C" in lines[2]
    assert "at least 30 min (common practice" in lines[4]
    page = write_page(record, course, now=NOW, zone=UTC)
    facts = {name: value for block in page.facts for name, value in block.rows}
    assert facts["Temperature"] == "not measured; 25.0 °C assumed"


def test_of_several_settings_those_of_the_finding_hold(make_job: MakeJob) -> None:
    later = Edit("vehicle", "grey van")
    found = FindingNote(1.5, "held", {})
    job = make_job([Reading(0.0, 5.0), Reading(1.0, 5.0)], extra=[TOLD.note(), found, later])
    record = read_record(job)
    afterwards = replace(TOLD, rules=replace(TOLD.rules, flat_interval_s=900.0)).note()
    changed = replace(record, notes=(*record.notes, afterwards))
    assert follow(changed).told.rules.flat_interval_s == 300.0


def test_a_job_that_keeps_none_says_so(leak: tuple[Record, Course]) -> None:
    assert not leak[1].is_told
    assert "keeps no settings" in sections_of(*leak)["What the analysis was told"].lines[0]


def test_the_leak_is_told_as_refrigerant_over_the_flow_laws(seen: tuple[Record, Course]) -> None:
    section = sections_of(*seen)["The leak as refrigerant lost in service, grams a year"]
    assert "flow law" in section.lines[0]
    head, *rows = section.table
    assert head[0].startswith("R-134a")
    best = [float(row[1].split(" (")[0].replace("\u00a0", "")) for row in rows]
    # Computed from the flow laws at 20 C: laminar x 48.6, molecular x 2.47, choked x 2.86.
    assert best[2] / best[0] == pytest.approx(48.6 / 2.47, rel=0.06)  # two digits are shown
    assert best[1] / best[0] == pytest.approx(2.86 / 2.47, rel=0.06)


def test_volumes_told_later_give_the_rigs_gas_load_and_its_share(
    seen: tuple[Record, Course],
) -> None:
    found = sections_of(*seen)
    text = " ".join(found["Blank-off test of pump, hoses and gauge"].lines)
    assert "1.34e-5 mbar L/s" in text  # 0.0167 Pa/s x 80 mL
    assert "cannot be told" not in text
    assert any("rig's own" in line for line in found["The standing test in numbers"].lines)


def test_both_pages_are_printed(seen: tuple[Record, Course], tmp_path: Path) -> None:
    target, text = tmp_path / "page.pdf", write_page(*seen, now=NOW)
    sections = tuple(sections_of(*seen).values())
    target.write_bytes(render(Contents(text, *seen, "micron", english, sections)))
    shown = technical_of(target)
    for part in (
        "Technical page",
        "40 CFR 1065.644",
        "11.01 bar at 20.0 °C became 11.01 bar at 21.0 °C",
        "Pump 72 L/min, hose 4.8 mm inside, 1.5 m, cores in.",
        "less than a tenth of the pump's speed",
        "Not ticked off:",
        "Page 2 of 2",
        "long and fine (laminar)",
    ):
        assert part in shown, part


def test_pump_and_water_are_told_with_their_ranges(seen: tuple[Record, Course]) -> None:
    """A reopening measures the pump's speed here; without one pump and hose as typed stand in."""
    pumping = Pumping(
        fall_s=None,
        speed_m3_s=Interval(0.0002, 0.00025, 0.0003),
        level_pa=66.66,
        water_kg=Interval(1e-5, 2e-5, 4e-5),
    )
    lines = sections_of(seen[0], replace(seen[1], pumping=pumping))["Pump, hose and water"].lines
    assert lines[-2:] == (
        "At 500 micron the pump takes 0.25 L/s here (0.2 to 0.3).",
        "The bursts carried 20 mg (10 to 40), if it was water.",
    )


def test_without_a_volume_the_page_says_why_no_water_is_told(make_job: MakeJob) -> None:
    record = read_record(make_job(played("wet", 600.0), fields={}))
    lines = sections_of(record, follow(record))["Pump, hose and water"].lines
    assert lines == (
        "What the pump took and how much water came is not told: the circuit's volume has to "
        "stand in the job.",
    )


def test_a_second_gauge_is_told_and_the_page_stays_one(
    seen: tuple[Record, Course], tmp_path: Path
) -> None:
    record, _ = seen
    assert "Second gauge, at the pump" not in sections_of(*seen)
    times = record.readings.time_s
    quiet = Readings(
        times, 0.9 * record.readings.pressure_pa, times * np.nan, record.readings.status
    )
    closed = Readings(times, np.full(len(times), 0.4), times * np.nan, record.readings.status)
    for at_pump, said in ((quiet, "nothing out of the ordinary"), (closed, "a usual hose leaves")):
        with_it = replace(record, at_pump=at_pump)
        again = follow(with_it)
        found = sections_of(with_it, again)
        lines = found["Second gauge, at the pump"].lines
        assert lines[0].startswith(f"{len(times)} readings from 0:00:00 to ")
        assert said in " ".join(lines)
        assert again.at_pump is not None
        # The standing test's 240 s are no time in which the two could be compared.
        assert all(each.for_s < 605.0 for each in again.at_pump.said)
    target, text = tmp_path / "two.pdf", write_page(with_it, again, now=NOW)
    contents = Contents(text, with_it, again, "micron", english, tuple(found.values()))
    target.write_bytes(render(contents))
    assert "Second gauge, at the pump" in technical_of(target)
    assert "Page 2 of 2" in technical_of(target)


def test_the_longest_texts_still_fit(leak: tuple[Record, Course], tmp_path: Path) -> None:
    record, course = leak
    long = "W" * 4000 + " <b>&"
    # As many lines and rows as a job can fill, each as long as it can be.
    filled = tuple(Section(long, (long,) * lines) for lines in (2, 6, 14, 9, 5, 7, 5))
    filled += (Section(long, (long,), ((long,) * 5,) * 11), Section(long, (), ((long,) * 5,) * 9))
    text = write_page(record, course, now=NOW)
    with_application()
    writer = QPdfWriter(str(tmp_path / "long.pdf"))
    writer.setPageMargins(QMarginsF(12.0, 12.0, 12.0, 12.0))
    painter = QPainter(writer)
    sheet = QRectF(0.0, 0.0, writer.width(), writer.height())
    contents = Contents(text, record, course, "micron", english, filled)
    left = paint_technical(painter, contents, sheet)
    painter.end()
    assert 0.0 <= left < 0.5
