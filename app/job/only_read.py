"""A damaged job: opened to be read only, with what can be read. The file is not touched."""

from dataclasses import dataclass, replace
from pathlib import Path

from app.job.rules import JobRules
from app.report.record import Record, read_record
from app.screen.shown import HoldScreen, Line, Passage, Screen
from app.system.errors import UsageError
from app.words.counted import counted
from app.words.phrases import Translate


@dataclass(frozen=True, slots=True)
class OnlyRead:
    """Which job it is, how many readings are left, and after which row it is damaged, and how.

    ``told`` is what its readings are judged by.
    """

    path: Path
    readings: int
    after_row: int
    why: str
    told: JobRules


def read_damaged(path: Path, error: UsageError) -> Record:
    """Read what can be read of a job that could not be opened.

    Raises
    ------
    UsageError
        The one it could not be opened for, where the file is whole or nothing of it can be read.
    """
    try:
        record = read_record(path)
    except UsageError:
        raise error from None
    if record.verdict.is_whole:  # in use, or in a place that cannot be written to
        raise error
    return record


def only_read(record: Record, told: JobRules) -> OnlyRead:
    """Tell what is told of it."""
    verdict = record.verdict
    return OnlyRead(record.path, len(record.readings), verdict.rows, verdict.why or "", told)


def with_only_read(screen: Screen, job: OnlyRead | None, translate: Translate) -> Screen:
    """Say so for as long as it is open: where else the verdict and the saved state stand."""
    if job is None:
        return screen
    verdict = translate(
        "OnlyRead",
        "{name} is damaged after row {row} and is open to be read only. Still to be read: "
        "{readings}. Nothing is added to it.",
    )
    readings = counted(job.readings, "readings", translate)
    step = translate("OnlyRead", "Print its record, or finish it and begin another job.")
    heading = translate("OnlyRead", "What is damaged")
    return replace(
        screen,
        verdict=verdict.format(name=job.path.name, row=job.after_row, readings=readings),
        tone="attention",
        sign="caution",
        next_step=step,
        sensor=Line(translate("OnlyRead", "No gauge: open to be read only"), "calm"),
        saved=Line(translate("OnlyRead", "Damaged: read only"), "attention", job.why),
        # What the analysis makes of a part of the readings is no finding, and the last of them is
        # no pressure of now: charts and record show them with their times.
        why=(Passage(heading, (job.why,)),) if job.why else (),
        hold=HoldScreen(),
        pressure="–",
        temperature="",
        cut_off="",
        isolation="",
        is_prompting=False,
        blank_off=(),
        tells_blank_off=False,
        is_blanking=False,
    )
