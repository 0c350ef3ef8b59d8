import math

import pytest

from analysis.reason import Reason
from analysis.sample import Mark
from analysis.snapshot import Caution
from app.gauge.link import AtPump, Ended, Failed
from app.jobfile.backlog import Backlog
from app.jobfile.errors import JobFileError
from app.jobfile.gauge_rows import MAX_RAW_BYTES, MAX_SAMPLES
from app.jobfile.readings import MAX_BLOCK_READINGS, Readings
from app.jobfile.rows import (
    CautionChange,
    Edit,
    Gap,
    LinkChange,
    Note,
    PumpLinkChange,
    PumpRejections,
    Rejections,
    decode_row,
)
from sensors.events import Connected, Lost, Reading, Rejected


def contents(backlog: Backlog) -> list[Note | Readings]:
    return [decode_row(row.kind, row.payload) for row in backlog.rows()]


def test_items_come_out_in_order_with_readings_in_blocks() -> None:
    backlog = Backlog()
    backlog.add(Connected(0.0, "gauge"))
    for time_s in (1.0, 2.0):
        backlog.add(Reading(time_s, 5.0))
    backlog.add(Mark(2.5, "heat"))
    backlog.add(Reading(3.0, 5.0))
    assert [row.kind for row in backlog.rows()] == ["link", "readings", "mark", "readings"]
    assert backlog.waiting == 5
    assert [row.count for row in backlog.rows()] == [1, 2, 1, 1]
    backlog.written()
    assert backlog.waiting == 0
    assert backlog.rows() == []


def test_rows_wait_until_they_are_written() -> None:
    backlog = Backlog()
    backlog.add(Reading(1.0, 5.0))
    backlog.rows()
    backlog.add(Reading(2.0, 5.0))
    (block,) = contents(backlog)
    assert isinstance(block, Readings)
    assert block.time_s.tolist() == [1.0, 2.0]


def test_what_link_and_analysis_say_becomes_notes() -> None:
    backlog = Backlog()
    backlog.add(Lost(1.0, "unplugged"))
    backlog.add(Failed(2.0, "no such port"))
    backlog.add(Ended(3.0))
    backlog.add(Caution("ice", 4.0, None, Reason("near-ice", {"pressure_pa": 300.0})))
    backlog.add(Caution("ice", 4.0, 9.0, Reason("near-ice")))
    backlog.add(Edit("volume_l", 3.2))
    assert contents(backlog) == [
        LinkChange(1.0, "lost", "unplugged"),
        LinkChange(2.0, "failed", "no such port"),
        LinkChange(3.0, "ended"),
        CautionChange(4.0, "ice", True, "near-ice", {"pressure_pa": 300.0}),
        CautionChange(9.0, "ice", False, "near-ice", {}),
        Edit("volume_l", 3.2),
    ]


def test_rejected_frames_are_counted_and_the_first_few_kept() -> None:
    backlog = Backlog()
    for number in range(100):
        backlog.add(Rejected(float(number), bytes([number]) * 500, "no number"))
    (found,) = contents(backlog)
    assert isinstance(found, Rejections)
    assert (found.from_s, found.until_s, found.count) == (0.0, 99.0, 100)
    assert len(found.samples) == MAX_SAMPLES
    assert found.samples[3] == {"time_s": 3.0, "raw_hex": "03" * MAX_RAW_BYTES, "why": "no number"}
    backlog.written()
    backlog.add(Rejected(200.0, b"x", "no number"))
    assert contents(backlog) == [Rejections(200.0, 200.0, 1, ())]


def test_a_reading_that_could_not_be_read_back_is_rejected_not_dropped() -> None:
    backlog = Backlog(10.0)
    for reading in (Reading(9.0, 5.0), Reading(math.nan, 5.0), Reading(11.0, math.inf)):
        backlog.add(reading)
    (found,) = contents(backlog)
    assert isinstance(found, Rejections)
    assert found.count == 3
    assert [sample["why"] for sample in found.samples] == [
        "time went back",
        "time is no number",
        "pressure is no number from 0 up",
    ]
    assert (found.from_s, found.until_s) == (9.0, 11.0)


def test_blocks_have_a_longest_length() -> None:
    backlog = Backlog()
    for number in range(2 * MAX_BLOCK_READINGS + 1):
        backlog.add(Reading(float(number), 5.0))
    assert [row.count for row in backlog.rows()] == [MAX_BLOCK_READINGS, MAX_BLOCK_READINGS, 1]
    assert backlog.waiting == 2 * MAX_BLOCK_READINGS + 1


def test_memory_is_bounded_and_what_is_given_up_is_told() -> None:
    backlog = Backlog(max_bytes=20_000)
    backlog.add(Mark(0.0, "valve-closed"))
    for number in range(1000):
        for step in range(10):
            backlog.add(Reading(number + step / 10, 5.0))
        backlog.add(Mark(number + 0.95, "note", str(number)))
        assert sum(len(row.payload) for row in backlog.rows()[1:]) < 20_000
    found = contents(backlog)
    gap = found[0]
    assert isinstance(gap, Gap)
    kept = sum(len(block) for block in found if isinstance(block, Readings))
    given_up = int(gap.why.split()[0])
    notes = sum(isinstance(note, Mark) for note in found)
    assert given_up + kept + notes == 10_000 + 1001
    assert gap.from_s == 0.0
    assert len(backlog.rows()) < 200


def test_a_note_that_cannot_be_written_is_refused() -> None:
    with pytest.raises(JobFileError):
        Backlog().add(Edit("volume_l", math.nan))


def test_the_second_gauge_has_rows_of_its_own() -> None:
    backlog = Backlog()
    backlog.add(Connected(0.0, "far"))
    backlog.add(AtPump(Connected(0.0, "pump")))
    for time_s in (1.0, 2.0):
        backlog.add(Reading(time_s, 50.0))
        backlog.add(AtPump(Reading(time_s - 0.5, 5.0)))  # each in its own order
    backlog.add(AtPump(Rejected(2.5, b"x", "no number")))
    backlog.add(AtPump(Reading(0.0, 5.0)))  # behind its own last one
    backlog.add(AtPump(Lost(3.0, "unplugged")))
    assert [row.kind for row in backlog.rows()] == [
        *("link", "pump-link", "readings", "pump-readings", "pump-link", "pump-rejected")
    ]
    assert backlog.waiting == 9
    found = contents(backlog)
    assert found[1] == PumpLinkChange(0.0, "connected", "pump")
    assert found[4] == PumpLinkChange(3.0, "lost", "unplugged")
    rejected = found[5]
    assert isinstance(rejected, PumpRejections)
    assert [sample["why"] for sample in rejected.samples] == ["no number", "time went back"]
    blocks = [block for block in found if isinstance(block, Readings)]
    assert [block.time_s.tolist() for block in blocks] == [[1.0, 2.0], [0.5, 1.5]]
    backlog.written()
    assert backlog.rows() == []


def test_the_bound_of_memory_holds_for_both_together() -> None:
    backlog = Backlog(max_bytes=20_000)
    for number in range(2000):
        backlog.add(Reading(float(number), 5.0))
        backlog.add(AtPump(Reading(float(number), 5.0)))
        if number % 10 == 9:
            backlog.add(Mark(float(number), "note"))
    assert sum(len(row.payload) for row in backlog.rows()[1:]) < 20_000
    found = contents(backlog)
    assert isinstance(found[0], Gap)
    kept = sum(len(block) for block in found if isinstance(block, Readings))
    marks = sum(isinstance(note, Mark) for note in found)
    assert int(found[0].why.split()[0]) + kept + marks == 4200
