"""The page's sentences, from jobs of every kind."""

import re
from dataclasses import replace
from datetime import timedelta, timezone
from pathlib import Path

import pytest

from analysis.nitrogen.pressure_test import TestPoint, judge_pressure_test
from analysis.reason import Reason
from analysis.sample import Mark
from analysis.snapshot import BlankOff, HoldResult, LimitCheck
from app.jobfile.jsontext import plain
from app.jobfile.rows import (
    Edit,
    FindingNote,
    Gap,
    LinkChange,
    Note,
    PumpLinkChange,
    Rejections,
    Resumed,
)
from app.report.course import Course, follow
from app.report.events import kept
from app.report.page_text import PageText
from app.report.record import Record, read_record
from app.report.writer import write_page
from app.rig.rig_tests import pressure_test_note
from sensors.events import Reading
from tests.app.report.conftest import NOW, SERIAL, MakeJob, held, played

ZONE = timezone(timedelta(hours=1))


def page_of(job: Path) -> PageText:
    record = read_record(job)
    return write_page(record, follow(record), now=NOW, zone=ZONE)


@pytest.fixture(scope="module")
def leak_page(leak: tuple[Record, Course]) -> PageText:
    return write_page(*leak, now=NOW, zone=ZONE)


def fact(page: PageText, name: str) -> list[str]:
    return [value for block in page.facts for row, value in block.rows if row == name]


def test_facts_are_those_of_the_form_and_the_gauge(leak_page: PageText) -> None:
    page = leak_page
    assert page.subtitle == "Condenser renewed"
    assert fact(page, "Vehicle") == ["grey van, invented"]
    assert fact(page, "Drive") == ["hybrid (high voltage)"]
    assert fact(page, "Refrigerant") == ["R-1234yf"]
    assert fact(page, "Volume") == ["2.4 L"]
    assert fact(page, "Oil") == ["not said"]
    assert fact(page, "Charge") == ["________ g, by weight"]
    assert fact(page, "Began") == ["2030-01-31 10:05:00 UTC+01:00; 09:05:00 in UTC"]
    assert fact(page, "Standing test") == ["0:10:00 to 0:17:02, 7 min 02 s"]
    assert fact(page, "Gauge") == ["/dev/ttyUSB0 at 9600 baud"]
    assert fact(page, "Bad frames") == ["none"]
    assert [(j.name, j.evidence, j.state) for j in page.joints] == [
        ("condenser in", "new O-ring", "O-ring renewed")
    ]
    assert page.banners == ()


def test_one_burst_is_told_as_one(leak: tuple[Record, Course]) -> None:
    record, course = leak
    page = write_page(record, replace(course, bursts=course.bursts[:1]), now=NOW)
    [told] = fact(page, "Bursts")
    assert re.fullmatch(r"1, [0-9.]+ micron high", told)


def test_a_leak_is_told_with_its_range_and_flow(leak_page: PageText) -> None:
    hold = leak_page.hold
    assert hold.word == "LEAK"
    assert hold.sentence.startswith("Leak: the pressure rises in a straight line")
    assert any(text.startswith("With 2.4 L:") for text in hold.reasons)
    assert not any("smaller one" in text for text in hold.reasons)
    assert [row.passed for row in hold.limits] == [row.outcome == "met" for row in hold.limits]
    assert {row.source for row in hold.limits} == {"common practice, no published source"}


def test_the_flow_is_rate_times_volume(leak: tuple[Record, Course], leak_page: PageText) -> None:
    # Q = V dP/dt (the definition of throughput; ISO 3529-1, from memory).
    rate = leak[0].findings[-1].details["leak_pa_s"]
    assert isinstance(rate, dict)
    (text,) = [t for t in leak_page.hold.reasons if t.startswith("With")]
    found = re.search(r": (\S+) Pa m³/s", text)
    assert found is not None
    assert float(found[1]) == pytest.approx(0.0024 * rate["best"], rel=0.01)


def test_a_hold_that_held_never_says_dry_or_tight(make_job: MakeJob) -> None:
    result = HoldResult(
        finding="held",
        duration_s=900.0,
        rise_pa=0.5,
        hold_longer_s=None,
        leak_pa_s=None,
        vapour_pa=None,
        smallest_leak_seen_pa_s=0.002,
        limits=(LimitCheck("rise", 13.3, 0.5, True, "the vehicle maker"),),
        reasons=(Reason("rise-within-limit", {"limit_pa": 13.3}),),
    )
    details = plain(result)
    assert isinstance(details, dict)
    note = FindingNote(300.0, "held", details)
    page = page_of(make_job(played("wet", 300.0), extra=[SERIAL, note]))
    assert page.hold.word == "HELD"
    assert "no leak above" in page.hold.sentence
    assert "may show only under pressure" in page.hold.sentence
    everything = repr(page).replace("dry nitrogen", "").replace("reliably dry soaked", "")
    assert not re.search(r"\bdry\b", everything, re.IGNORECASE)
    for found in re.finditer(r"no leak", everything, re.IGNORECASE):
        assert everything[found.end() :].startswith(" above")


def test_gas_that_rushed_in_at_the_end_of_a_held_test_is_said_first(make_job: MakeJob) -> None:
    items = held("hold-held", 420.0, is_ended=False)
    items += [Reading(1021.0 + second, 40e3) for second in range(1, 12)]
    page = page_of(make_job([*items, Mark(1033.0, "hold-over")], extra=[SERIAL]))
    hold = page.hold
    assert hold.word.endswith(", UNTIL GAS RUSHED IN")
    assert f"Finding: {hold.word}" in [event.text for event in page.events]
    assert "gas rushed in" in hold.reasons[0]
    assert sum("gas rushed in" in text for text in hold.reasons) == 1


def test_no_hold_says_nothing_about_tightness(make_job: MakeJob) -> None:
    page = page_of(make_job(played("wet", 300.0)))
    assert page.hold.word == "NO STANDING TEST"
    assert "says nothing about whether the circuit is tight" in page.hold.sentence
    assert page.hold.limits == ()


def test_a_hold_that_never_ended_has_no_finding(make_job: MakeJob) -> None:
    page = page_of(make_job(held("hold-leak", 130.0, is_ended=False)))
    assert page.hold.word == "NO FINDING"
    assert "never ended with a finding" in page.hold.sentence


def test_a_job_without_bursts_or_readings(make_job: MakeJob) -> None:
    page = page_of(make_job([]))
    assert page.banners == ("No reading of a gauge is in this record.",)
    assert fact(page, "Bursts") == ["none"]
    assert page.joints != ()


def test_units_are_those_asked_for(leak: tuple[Record, Course]) -> None:
    page = write_page(*leak, now=NOW, unit="pa")
    assert "Pa/min" in page.hold.sentence
    assert "micron" not in repr(page)


@pytest.mark.parametrize(
    ("title", "detail", "word"),
    [
        ("Demo: invented vehicle", "/dev/ttyUSB0", "DEMO"),
        ("A van", "simulated: a wet circuit", "DEMO"),
        ("A van", "5400 recorded readings", "REPLAY"),
    ],
)
def test_what_was_not_measured_is_marked(
    make_job: MakeJob, title: str, detail: str, word: str
) -> None:
    link = LinkChange(0.0, "connected", detail)
    page = page_of(make_job([Reading(0.0, 50.0)], title=title, extra=[link]))
    assert [text.split(":")[0] for text in page.banners] == [word]


@pytest.mark.parametrize(
    ("extra", "word"),
    [
        ([Edit("gauge_at_pump", "sim:wet?at=pump")], "DEMO"),
        ([PumpLinkChange(0.0, "connected", "9 recorded readings")], "REPLAY"),
        ([Edit("gauge", f"{kind}:{n}") for n, kind in enumerate([*["ble"] * 4, "sim"])], "DEMO"),
    ],
)
def test_one_gauge_that_measured_nothing_is_enough(
    make_job: MakeJob, extra: list[Note], word: str
) -> None:
    page = page_of(make_job([Reading(0.0, 50.0)], title="A van", extra=extra))
    assert [text.split(":")[0] for text in page.banners] == [word]


def test_a_record_that_does_not_fit_is_marked(make_job: MakeJob) -> None:
    job = make_job([Reading(0.0, 50.0)])
    job.write_bytes(job.read_bytes().replace(b"grey van", b"blue van"))
    page = page_of(job)
    assert "NOT WHOLE" in page.banners[0]
    assert "from row 3 on" in page.banners[0]
    assert page.hash_label.startswith("Hash of the last row that fits (2)")


def test_beside_a_leak_nothing_has_to_be_added(make_job: MakeJob) -> None:
    joints = [{"name": "port", "evidence": "", "state": "leaks"}]
    extra = [SERIAL, Edit("joints", joints)]
    hold = page_of(make_job(held("hold-leak", 420.0), extra=extra)).hold
    assert hold.word == "LEAK"
    assert not any("Yet" in text for text in hold.reasons)


def test_what_speaks_against_a_held_test_stands_beside_it(make_job: MakeJob) -> None:
    """Vacuum finds no small leaks: nitrogen and a leak detector outdo it."""
    fell = judge_pressure_test(TestPoint(11e5, 20.0), TestPoint(9e5, 20.0), 1800.0)
    joints = [{"name": f"port {n}", "evidence": "", "state": "leaks"} for n in range(5)]
    extra = [SERIAL, pressure_test_note(fell), Edit("joints", joints)]
    hold = page_of(make_job(held("hold-held", 420.0), extra=extra)).hold
    assert hold.word != "LEAK"
    assert "fell by 2 bar" in hold.reasons[0]
    assert hold.reasons[1] == "Yet listed as leaking: port 0, port 1, port 2 (+2)."


def test_events_are_in_order_and_lettered(make_job: MakeJob) -> None:
    extra = [
        SERIAL,
        LinkChange(100.0, "lost", "The cable was pulled."),
        Gap(100.0, 160.0, "no readings"),
        Resumed(170.0, 160.0),
        Rejections(5.0, 9.0, 7, ({"time_s": 5.0, "raw_hex": "00", "why": "no number"},)),
    ]
    page = page_of(make_job(held("hold-held", 130.0), extra=extra))
    times = [event.time_s for event in page.events]
    assert times == sorted(times)
    lettered = [(event.letter, event.text) for event in page.events if event.letter]
    assert lettered == [
        ("A", "Marked: isolating valve closed"),
        ("B", "Marked: test ended"),
    ]
    texts = [event.text for event in page.events]
    assert "Gauge lost: The cable was pulled." in texts
    assert "Gap of 60 s in the readings: no readings" in texts
    assert "Recording went on after 10 s" in texts
    assert page.events[0].local == "10:05"
    assert {event.date for event in page.events} == {""}  # one day: it stands under "Began"
    assert fact(page, "Link") == ["connected 1×, lost 1×"]
    assert fact(page, "Bad frames") == ["7, such as: no number"]


def test_a_job_of_two_days_tells_the_day_and_letters_all_its_marks(make_job: MakeJob) -> None:
    marks = [Mark(400.0 + at, "note", f"note {at}") for at in range(27)]
    day_s = 86400.0
    marks.append(Mark(day_s, "note", "the next day"))
    items = [*played("wet", 300.0), *marks, *played("wet", 60.0, from_s=day_s)]
    page = page_of(make_job(items, extra=[]))
    assert {event.date for event in page.events} == {"2030-01-31", "2030-02-01"}
    letters = [event.letter for event in page.events if event.text.startswith("Marked")]
    assert letters[:2] == ["A", "B"]
    assert letters[-3:] == ["Z", "AA", "AB"]


def test_a_hold_of_another_day_says_which(make_job: MakeJob) -> None:
    day_s = 86400.0
    items = [*played("wet", 60.0), *played("wet", 300.0, from_s=day_s)]
    items += [Mark(day_s + 301.0, "valve-closed"), *played("hold-leak", 400.0, day_s + 302.0)]
    page = page_of(make_job([*items, Mark(day_s + 702.0, "hold-over")]))
    (held_text,) = fact(page, "Standing test")
    assert held_text.endswith(", on 2030-02-01")


def test_how_to_verify_names_file_and_row(leak: tuple[Record, Course], leak_page: PageText) -> None:
    page, (record, _) = leak_page, leak
    assert page.hash == record.last_hash.hex()
    assert f"at row {record.rows}" in page.proof[0]
    assert "simmerdown verify leak.simmerdown --hash HASH" in page.proof[0]
    assert "Page made 2030-02-01 08:00 UTC" in page.proof[1]


def test_blank_off_isolations_and_pulls_are_told(make_job: MakeJob) -> None:
    test = BlankOff(1.0, 301.0, 4.0, 9.0, 5.0, None, None, True, (), (Reason("blank-off-good"),))
    items = [*played("wet", 600.0), Mark(600.5, "valve-closed")]
    items += [Reading(601.0 + t, 60.0 + 0.05 * t) for t in range(180)]
    items += [Mark(781.0, "valve-opened"), *played("wet", 60.0, from_s=782.0)]
    page = page_of(make_job(items, extra=[SERIAL, Edit("blank_off", plain(test))]))
    (blank_off,) = fact(page, "Blank-off test")
    assert blank_off.startswith("within its limits: 30 micron, 67.5 micron after 5 min")
    (isolations,) = fact(page, "Isolations")
    assert isolations.startswith("1: 22.")  # 0.05 Pa/s are 22.5 micron a minute
    assert page.hold.word == "NO STANDING TEST"


def test_many_short_gaps_do_not_crowd_out_what_was_done(make_job: MakeJob) -> None:
    gaps = [Gap(float(at), at + 9.0, "no readings") for at in range(0, 600, 10)]
    page = page_of(make_job(held("hold-held", 130.0), extra=[SERIAL, *gaps]))
    texts = [event.text for event in kept(page.events, 12)[0]]
    assert any(text.startswith("Boiling off") for text in texts)
    assert "Marked: test ended" in texts
