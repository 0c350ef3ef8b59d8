"""What the page says, whole and frozen: plain texts, untrusted ones among them, not yet escaped."""

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True, slots=True)
class Facts:
    """A heading with names and values under it."""

    heading: str
    rows: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class LimitRow:
    """One limit of a hold: passed or not is a word, apart from the finding."""

    name: str
    value: str
    limit: str
    outcome: str
    source: str
    passed: bool


@dataclass(frozen=True, slots=True)
class HoldText:
    """The standing test: one word, the finding's sentence, what it rests on, the limits."""

    word: str
    sentence: str
    reasons: tuple[str, ...]
    limits: tuple[LimitRow, ...]


@dataclass(frozen=True, slots=True)
class JointRow:
    """One joint as typed."""

    name: str
    evidence: str
    state: str


@dataclass(frozen=True, slots=True)
class Event:
    """Something that happened; ``rank`` 0 is kept longest, ``letter`` is drawn on the chart.

    ``date`` is the local day, in a record that goes over more than one.
    """

    time_s: float
    clock: str
    local: str
    text: str
    rank: Literal[0, 1, 2, 3]
    letter: str = ""
    date: str = ""


@dataclass(frozen=True, slots=True)
class PageText:
    """All texts of the page."""

    title: str
    subtitle: str
    banners: tuple[str, ...]
    facts: tuple[Facts, ...]
    hold: HoldText
    joints: tuple[JointRow, ...]
    events: tuple[Event, ...]
    cannot: tuple[str, ...]
    hash_label: str
    hash: str
    proof: tuple[str, ...]
    signed: str
