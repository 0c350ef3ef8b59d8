"""What a job's rows hold: one frozen dataclass per kind, written as strict JSON and checked back.

The readings alone are binary (see :mod:`app.jobfile.readings`). The kinds that begin with ``pump-``
are of the second gauge, at the pump; they and ``format`` came with version 2. Every ``*_s`` is a
time in seconds of the job's own clock. A payload has exactly the fields of its dataclass, under the
same names.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from typing import Any, Literal, cast, get_args, get_origin

from analysis.sample import Mark
from analysis.snapshot import CautionKind, Finding, Stage
from app.gauge.place import Place
from app.jobfile.errors import JobFileError
from app.jobfile.jsontext import decode_json, encode_json, plain
from app.jobfile.readings import Readings, decode_readings
from sensors.csv_careful import LARGEST_TIME_S

LinkState = Literal["connected", "lost", "failed", "ended"]


@dataclass(frozen=True, slots=True)
class JobStart:
    """Row 1: the job's own zero. ``utc_start`` is job time 0, kept once and never changed."""

    job_id: str
    utc_start: str
    program: str


@dataclass(frozen=True, slots=True)
class _Link:
    time_s: float
    link: LinkState
    detail: str = ""


@dataclass(frozen=True, slots=True)
class _Rejected:
    from_s: float
    until_s: float
    count: int
    samples: tuple[Mapping[str, object], ...] = ()


@dataclass(frozen=True, slots=True)
class LinkChange(_Link):
    """The gauge was reached, lost, given up (``failed``) or came to its end (a replay)."""


@dataclass(frozen=True, slots=True)
class Rejections(_Rejected):
    """What arrived and was no reading: how many, the first few as ``{time_s, raw_hex, why}``."""


@dataclass(frozen=True, slots=True)
class Gap:
    """A stretch for which the record holds no readings, and why."""

    from_s: float
    until_s: float
    why: str


@dataclass(frozen=True, slots=True)
class Resumed:
    """Recording goes on at ``time_s`` after ``last_s``; by UTC unless the clock had gone back."""

    time_s: float
    last_s: float
    has_clock_gone_back: bool = False


@dataclass(frozen=True, slots=True)
class Edit:
    """A field of the job got a (new) value: vehicle, joints, charge, volume. The last one holds."""

    key: str
    value: object


@dataclass(frozen=True, slots=True)
class HoldChange:
    """A hold began (its time zero is the valve's closing), ended, or was given up."""

    time_s: float
    state: Literal["begun", "ended", "given-up"]
    text: str = ""


@dataclass(frozen=True, slots=True)
class FindingNote:
    """Outcome of a hold with all its numbers, ``plain(HoldResult)`` as ``details``."""

    time_s: float
    finding: Finding
    details: Mapping[str, object] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class CautionChange:
    """A caution opened or closed, with the reason's code and SI numbers."""

    time_s: float
    caution: CautionKind
    is_standing: bool
    code: str
    values: Mapping[str, object] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class StageChange:
    """The stage changed, with the reason's code and SI numbers."""

    time_s: float
    stage: Stage
    code: str
    values: Mapping[str, object] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class PumpLinkChange(_Link):
    """As :class:`LinkChange`, of the second gauge."""


@dataclass(frozen=True, slots=True)
class PumpRejections(_Rejected):
    """As :class:`Rejections`, of the second gauge."""


@dataclass(frozen=True, slots=True)
class FormatChange:
    """From here on the job has rows that its version so far did not know."""

    version: int
    program: str


Note = (
    JobStart
    | Mark
    | LinkChange
    | Rejections
    | Gap
    | Resumed
    | Edit
    | HoldChange
    | FindingNote
    | CautionChange
    | StageChange
    | PumpLinkChange
    | PumpRejections
    | FormatChange
)

READINGS, PUMP_READINGS = "readings", "pump-readings"
READINGS_AT: Mapping[Place, str] = {"far": READINGS, "pump": PUMP_READINGS}
ALL_READINGS = frozenset(READINGS_AT.values())
NOTES: Mapping[str, type[Note]] = {
    "job": JobStart,
    "mark": Mark,
    "link": LinkChange,
    "rejected": Rejections,
    "gap": Gap,
    "resumed": Resumed,
    "edit": Edit,
    "hold": HoldChange,
    "finding": FindingNote,
    "caution": CautionChange,
    "stage": StageChange,
    "pump-link": PumpLinkChange,
    "pump-rejected": PumpRejections,
    "format": FormatChange,
}
KIND_OF: Mapping[type, str] = {note: kind for kind, note in NOTES.items()}
_SINCE_2 = frozenset({PUMP_READINGS, "pump-link", "pump-rejected", "format"})


def version_needed(kind: str) -> int:
    """Give the first version of the job file that has this kind of row.

    Examples
    --------
    >>> version_needed("readings"), version_needed("pump-readings")
    (1, 2)
    """
    return 2 if kind in _SINCE_2 else 1


def encode_note(note: Note) -> tuple[str, bytes]:
    """Write a note as (kind, payload).

    Raises
    ------
    JobFileError
        If a field has the wrong type or a number is NaN or infinite.
    """
    value = cast("dict[str, object]", plain(note))
    _checked(type(note), value)
    return KIND_OF[type(note)], encode_json(value)


def decode_row(kind: str, payload: bytes) -> Note | Readings:
    """Read a row's payload and check it whole.

    Raises
    ------
    JobFileError
        If the kind is unknown or the payload is not what the kind has.
    """
    if kind in ALL_READINGS:
        return decode_readings(payload)
    if kind not in NOTES:
        raise JobFileError(f"There is no kind of row called {kind[:40]!r} in this version.")
    return _checked(NOTES[kind], decode_json(payload))


def _checked(note: type[Note], value: Mapping[str, Any]) -> Note:
    """Build a note from an object that has exactly its fields, each of its type."""
    parts = {part.name: part.type for part in fields(note)}
    if parts.keys() != value.keys():
        odd = ", ".join(sorted(parts.keys() ^ value.keys()))[:80]
        raise JobFileError(f"A row of kind {KIND_OF[note]!r} lacks or should not have: {odd}.")
    for name, form in parts.items():
        if not _fits(form, value[name]):
            raise JobFileError(
                f"A row of kind {KIND_OF[note]!r} has a {name} that is not as it should be: "
                f"{str(value[name])[:40]!r}."
            )
    if note in (Rejections, PumpRejections):
        value = {**value, "samples": tuple(value["samples"])}
    return note(**value)


def _fits(form: object, value: object) -> bool:
    """Tell whether a plain JSON value fits the type of a field."""
    if form is float:
        is_number = isinstance(value, int | float) and not isinstance(value, bool)
        return is_number and abs(cast("float", value)) <= LARGEST_TIME_S  # all are times
    if form is int:
        return isinstance(value, int) and not isinstance(value, bool) and value >= 0
    if form is str or form is bool:
        return isinstance(value, cast("type", form))
    if get_origin(form) is Literal:
        return value in get_args(form)
    if get_origin(form) is tuple:
        return isinstance(value, list) and all(isinstance(part, dict) for part in value)
    if get_origin(form) is Mapping or form == Mapping[str, object]:
        return isinstance(value, dict)
    return form is object
