"""What was entered on the way: each with its time, also where a later value took its place."""

import struct
from pathlib import Path

from analysis.nitrogen.pressure_test import TestPoint, judge_pressure_test
from analysis.reason import Reason
from analysis.sample import Mark
from analysis.snapshot import BlankOff
from app.jobfile.jsontext import plain
from app.jobfile.reader import Row
from app.jobfile.rows import Edit, Note, encode_note
from app.jobfile.writer import JobWriter
from app.report.course import follow
from app.report.entries import Entry, entries
from app.report.facts import gauge_address
from app.report.record import read_record
from app.report.writer import write_page
from app.rig.rig_tests import pressure_test_note
from sensors.events import Reading
from tests.app.report.conftest import NOW, MakeJob


def readings_row(*times_s: float) -> Row:
    payload = b"".join(struct.pack("<4d", time_s, 50.0, 20.0, 0.0) for time_s in times_s)
    return Row(2, "readings", "", payload, b"")


def note_row(note: Note) -> Row:
    return Row(3, *encode_note(note)[:1], "", encode_note(note)[1], b"")


def test_an_edit_has_the_latest_time_before_it() -> None:
    rows = [
        note_row(Edit("vehicle", "a")),
        readings_row(1.0, 2.0),
        note_row(Edit("vehicle", "b")),
        note_row(Mark(9.0, "note", "n")),
        note_row(Mark(4.0, "valve-closed")),  # a closing that was marked late
        Row(7, "mark", "", b"{no json", b""),
        Row(8, "readings", "", b"odd", b""),
        readings_row(float("inf")),
        readings_row(float("nan")),
        note_row(Edit("vehicle", "c")),
    ]
    assert entries(rows) == (
        Entry(0.0, "vehicle", "a"),
        Entry(2.0, "vehicle", "b"),
        Entry(9.0, "vehicle", "c"),
    )


def told(job: Path, *later: Note) -> list[tuple[float, str]]:
    with JobWriter(job) as writer:
        for note in later:
            writer.append(*encode_note(note))
        writer.commit()
    record = read_record(job)
    page = write_page(record, follow(record), now=NOW)
    return [(event.time_s, event.text) for event in page.events]


def test_every_test_is_told_also_one_that_was_done_anew(make_job: MakeJob) -> None:
    good, bad = TestPoint(11e5, 20.0), TestPoint(10e5, 20.0)
    failed = BlankOff(1.0, 301.0, 4.0, 29.0, 25.0, None, None, True, (), (Reason("blank-off-end"),))
    job = make_job([Reading(float(second), 50.0) for second in range(400)])
    events = told(
        job,
        pressure_test_note(judge_pressure_test(good, bad, 1200.0)),
        Edit("blank_off", plain(failed)),
        pressure_test_note(judge_pressure_test(good, good, 1800.0)),
        Edit("blank_off", plain(failed)),  # as a job keeps it once more that is gone on with
    )
    assert [text for at, text in events if at == 399.0] == [
        "Entered: Pressure test: FELL by 1 bar over 20 min from 11 bar abs.",
        "Entered: Pressure test: no fall seen over 30 min from 11 bar abs.",
    ]
    (blank_off,) = [text for at, text in events if at == 301.0]
    assert blank_off.startswith("Blank-off test: OVER ITS LIMITS: 30 micron, 218 micron after 5")


def test_a_change_of_what_the_record_hangs_on_is_told(make_job: MakeJob) -> None:
    def joints(**states: str) -> Edit:
        listed = [{"name": n, "evidence": "", "state": s} for n, s in states.items()]
        return Edit("joints", listed)

    job = make_job([Reading(1.0, 50.0)], fields={"refrigerant": "R-134a"})
    events = told(
        job,
        Edit("vehicle", "grey van"),  # first filled in: it stands above
        joints(port="suspect", block="suspect"),
        joints(port="suspect", block="leaks"),
        joints(block="renewed", hose="suspect"),
        Edit("refrigerant", "R-1234yf"),
        Edit("charge_kg", 0.55),
        Edit("charge_kg", 1.255),
        Edit("charge_kg", "much"),
        Edit("oil", "PAG"),
    )
    assert [text for _, text in events if text.startswith("Entered")] == [
        "Entered: joint block: leaks",
        "Entered: joint block: O-ring renewed",
        "Entered: joint hose: suspect",
        "Entered: joint port: no longer listed",
        "Entered: Refrigerant: R-1234yf; before: R-134a",
        "Entered: Charge: 550 g, by weight",
        "Entered: Charge: 1\xa0255 g, by weight; before: 550 g, by weight",
        "Entered: Charge: not said; before: 1\xa0255 g, by weight",
    ]


def test_gauges_that_followed_each_other_are_all_named(make_job: MakeJob) -> None:
    job = make_job([Reading(1.0, 50.0)], extra=[Edit("gauge", "tcp:a:1"), Edit("gauge", "sim:b")])
    assert gauge_address(read_record(job)) == "tcp:a:1; sim:b"
    assert "Entered: Gauge: sim:b; before: tcp:a:1" in [text for _, text in told(job)]
