"""A job's record as one JSON object: all of it but the readings, which go into a CSV file.

Times are seconds since the first reading, as in that CSV file and in ``analyse --json``.
"""

from collections.abc import Iterable, Iterator
from typing import Any

import numpy as np

from analysis.sample import Mark
from app.job.refrigerants import fluid_of
from app.job.rules import JobRules, rules_at_finding
from app.jobfile.readings import STATUSES
from app.jobfile.rows import FindingNote, Gap, HoldChange, LinkChange, StageChange
from app.output.hold_json import HeldCircuit
from app.output.hold_json import as_json as hold_as_json
from app.output.rig_json import blank_off_json, pressure_test_json
from app.report.hold_note import hold_result
from app.report.record import Record
from app.rig.rig_tests import blank_off_of, pressure_test_of
from app.words.sentences import Words

VERSION = 1


def record_json(record: Record, readings: str) -> dict[str, Any]:
    """Give the object.

    Parameters
    ----------
    record
        The job as read.
    readings
        Name of the CSV file beside it.
    """
    words, zero_s = Words(), record.zero_s
    return {
        "version": VERSION,
        "job": _job(record),
        "readings": readings,
        "samples": len(record.readings),
        "out_of_range": list(_out_of_range(record)),
        "fields": record.edits,
        "marks": _rows(record, record.marks, "kind", "text"),
        "holds": _rows(record, record.of(HoldChange), "state", "text"),
        "findings": [_finding(note, record) for note in record.findings],
        "blank_off": blank_off_json(blank_off_of(record.edits), words),
        "pressure_test": pressure_test_json(pressure_test_of(record.edits), words),
        "stages": _rows(record, record.of(StageChange), "stage", "code"),
        "cautions": [
            {
                "kind": span.kind,
                "from_s": span.from_s - zero_s,
                "until_s": None if span.until_s is None else span.until_s - zero_s,
                "text": words.reason(span.reason),
            }
            for span in record.cautions
        ],
        "gaps": [
            {"from_s": note.from_s - zero_s, "to_s": note.until_s - zero_s, "why": note.why}
            for note in record.of(Gap)
        ],
        "links": _rows(record, record.of(LinkChange), "link", "detail"),
    }


def _job(record: Record) -> dict[str, Any]:
    start, first = record.start, record.moment(record.zero_s)
    return {
        "id": None if start is None else start.job_id,
        "program": None if start is None else start.program,
        "first_reading_utc": None if first is None else first.isoformat(),
        "is_whole": record.verdict.is_whole,
        "rows": record.rows,
        "last_hash": record.last_hash.hex(),
    }


def _rows(
    record: Record, notes: Iterable[Mark | HoldChange | StageChange | LinkChange], *names: str
) -> list[dict[str, Any]]:
    """Give when each was, and these of its fields."""
    return [
        {"time_s": note.time_s - record.zero_s, **{name: getattr(note, name) for name in names}}
        for note in notes
    ]


def _finding(note: FindingNote, record: Record) -> dict[str, Any]:
    """Give a finding; its numbers are null where the row does not hold them."""
    result, fields = hold_result(note), record.fields
    told, kind = rules_at_finding(record.notes) or JobRules(), fields.kind_or_normal
    fluid = fluid_of(fields.refrigerant)
    circuit = HeldCircuit(fields.volume_m3, fluid, kind, told.least_holds[kind])
    return {
        "time_s": note.time_s - record.zero_s,
        "finding": note.finding,
        "hold": None if result is None else hold_as_json(result, circuit),
    }


def _out_of_range(record: Record) -> Iterator[dict[str, Any]]:
    """Yield the spans of readings, by number from 0, that were at an end of the gauge's range."""
    status = record.readings.status
    edges = np.flatnonzero(np.diff(status)) + 1
    for part in np.split(np.arange(len(status)), edges):
        if len(part) and status[part[0]]:
            yield {
                "first": int(part[0]),
                "last": int(part[-1]),
                "status": STATUSES[int(status[part[0]])],
            }
