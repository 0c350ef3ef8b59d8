"""All texts of the page, from the record and what the analysis sees in it."""

import re
from datetime import UTC, datetime, tzinfo

from app import __version__
from app.jobfile.rows import LinkChange, PumpLinkChange
from app.live.run import GAUGE, GAUGE_AT_PUMP
from app.report.course import Course
from app.report.events import EventsWriter
from app.report.facts import FactsWriter
from app.report.hold_text import HoldWriter
from app.report.moments import DASH, Moments
from app.report.page_text import JointRow, PageText
from app.report.phrases import banner_phrases, heading_phrases, joint_phrases, proof_phrases
from app.report.record import Record
from app.screen.safety import safety
from app.words.phrases import Translate, english
from app.words.sentences import Words

_DEMO_TITLE = "Demo:"


def write_page(
    record: Record,
    course: Course,
    *,
    now: datetime,
    unit: str = "micron",
    zone: tzinfo | None = None,
    translate: Translate = english,
) -> PageText:
    """Write the page.

    Parameters
    ----------
    now
        When the page is made, aware.
    unit
        Unit of the pressures.
    zone
        Local zone; ``None``: that of this computer.
    """
    words = Words(unit=unit, translate=translate)
    moments = Moments(record, translate, zone)
    fields, proof = record.fields, proof_phrases(translate)
    vacuum = safety(translate, fields.refrigerant, fields.vehicle_kind)[-1]
    return PageText(
        title=heading_phrases(translate)["title"],
        subtitle=fields.title,
        banners=_banners(record, translate),
        facts=FactsWriter(moments, course, words).blocks(),
        hold=HoldWriter(moments, course, words).text(),
        joints=_joints(record, translate),
        events=EventsWriter(moments, course, words).events(),
        cannot=(proof["under-pressure"], f"{vacuum.heading}: {vacuum.lines[0]}", *vacuum.lines[1:]),
        hash_label=proof["hash" if record.verdict.is_whole else "hash-fits"].format(
            row=record.rows
        ),
        hash=record.last_hash.hex(),
        proof=_proof(record, now, proof),
        signed=proof["signed"],
    )


def is_demo(record: Record) -> bool:
    """Tell whether a circuit is an invented one."""
    return record.fields.title.startswith(_DEMO_TITLE) or any(
        text.startswith(("sim:", "simulated:")) for text in _sources(record)
    )


def is_replay(record: Record) -> bool:
    """Tell whether readings were played from a file."""
    return any(
        text.startswith("replay:") or re.fullmatch(r"\d+ recorded readings?", text)
        for text in _sources(record)
    )


def _sources(record: Record) -> list[str]:
    """Give what each gauge is, the one at the pump too: its address, and what answered."""
    links = [note.detail for note in (*record.of(LinkChange), *record.of(PumpLinkChange))]
    named = [entry.value for entry in record.entries if entry.key in (GAUGE, GAUGE_AT_PUMP)]
    return [*links, *map(str, named)]


def _banners(record: Record, translate: Translate) -> tuple[str, ...]:
    phrases, texts = banner_phrases(translate), []
    if is_demo(record):
        texts.append(phrases["demo"])
    if is_replay(record):
        texts.append(phrases["replay"])
    if not record.verdict.is_whole:
        why = record.verdict.why or DASH
        row = record.verdict.bad_sequence
        texts.append(phrases["not-whole"].format(row=row, why=why))
    if not len(record.readings):
        texts.append(phrases["no-readings"])
    return tuple(texts)


def _joints(record: Record, translate: Translate) -> tuple[JointRow, ...]:
    states = joint_phrases(translate)
    return tuple(JointRow(j.name, j.evidence, states[j.state]) for j in record.fields.joints)


def _proof(record: Record, now: datetime, proof: dict[str, str]) -> tuple[str, ...]:
    start = record.start
    return (
        proof["verify"].format(file=record.path.name[:60], row=record.rows),
        proof["made"].format(
            job=DASH if start is None else start.job_id[:40],
            program=DASH if start is None else start.program[:40],
            utc=f"{now.astimezone(UTC):%Y-%m-%d %H:%M}",
            version=__version__,
        ),
    )
