"""What happened, in order: stages, marks, cautions, gaps, the link, findings."""

import re
from collections.abc import Iterator
from dataclasses import replace
from itertools import count

from analysis.reason import Reason
from app.jobfile.rows import FindingNote, Gap, LinkChange, Note, Resumed, StageChange
from app.report.course import Course
from app.report.entry_events import EntryWriter
from app.report.hold_note import finding_word, hold_result, numbers
from app.report.moments import Moments
from app.report.page_text import Event
from app.report.phrases import event_phrases, hold_phrases
from app.report.record import CautionSpan
from app.words import display
from app.words.sentences import Words

_LONG_GAP_S = 60.0  # hundreds of shorter ones would leave no room for what was done


class EventsWriter:
    """Writes the list of events."""

    def __init__(self, moments: Moments, course: Course, words: Words) -> None:
        self._record, self._moments, self._words = moments.record, moments, words
        self._phrases = event_phrases(words.translate)
        self._findings = hold_phrases(words.translate)
        self._entries = EntryWriter(moments.record, course, words)

    def events(self) -> tuple[Event, ...]:
        """Give all in the order of their times; marks and flat get the letters of the chart."""
        found = [*self._marks(), *self._cautions()]
        found += [self._event(*told) for told in self._entries.told()]
        for note in self._record.notes:
            found += self._of(note)
        found.sort(key=lambda event: event.time_s)
        numbers = count()
        is_one_day = len({event.date for event in found}) < 2
        return tuple(
            replace(
                event,
                letter=_letter(next(numbers)) if event.letter else "",
                date="" if is_one_day else event.date,
            )
            for event in found
        )

    def _event(self, time_s: float, text: str, rank: int, *, is_drawn: bool = False) -> Event:
        letter = "?" if is_drawn else ""
        moments = self._moments
        clock, local = moments.clock(time_s), moments.local(time_s)
        date = moments.date(time_s)
        return Event(time_s, clock, local, text, rank, letter, date)  # type: ignore[arg-type]

    def _marks(self) -> Iterator[Event]:
        for mark in self._record.marks:
            pattern = self._phrases["mark-text" if mark.text else "mark"]
            text = pattern.format(mark=self._words.mark(mark.kind), text=mark.text)
            yield self._event(mark.time_s, text, 1 if mark.kind == "note" else 0, is_drawn=True)

    def _cautions(self) -> Iterator[Event]:
        for span in self._record.cautions:
            yield self._event(span.from_s, self._caution(span), 0)

    def _caution(self, span: CautionSpan) -> str:
        kind = self._words.caution_name(span.kind)
        why = first_sentence(self._words.reason(span.reason))
        if span.until_s is None:
            return self._phrases["caution-open"].format(kind=kind, why=why)
        return self._phrases["caution"].format(
            kind=kind, why=why, duration=display.duration(span.until_s - span.from_s)
        )

    def _of(self, note: Note) -> Iterator[Event]:
        phrases = self._phrases
        match note:
            case StageChange(time_s, stage, code, values):
                why = first_sentence(self._words.reason(Reason(code, numbers(values))))
                text = phrases["stage"].format(stage=self._words.stage(stage), why=why)
                if stage not in ("holding", "done"):  # the mark beside it says the same
                    is_flat = stage == "flat"
                    yield self._event(time_s, text, 0 if is_flat else 2, is_drawn=is_flat)
            case LinkChange(time_s, link, detail):
                text = phrases[link].format(detail=detail)
                yield self._event(time_s, text, 2 if link in ("connected", "ended") else 1)
            case Gap(from_s, until_s, why):
                length = display.duration(until_s - from_s)
                rank = 1 if until_s - from_s >= _LONG_GAP_S else 3
                yield self._event(from_s, phrases["gap"].format(duration=length, why=why), rank)
            case Resumed(time_s, last_s, has_clock_gone_back):
                pattern = phrases["clock-back" if has_clock_gone_back else "resumed"]
                text = pattern.format(duration=display.duration(time_s - last_s))
                yield self._event(time_s, text, 1)
            case FindingNote(time_s, finding):
                word = finding_word(self._findings, finding, hold_result(note))
                text = phrases["finding"].format(finding=word)
                yield self._event(time_s, text, 0)
            case _:
                return


def kept(events: tuple[Event, ...], most: int) -> tuple[tuple[Event, ...], int]:
    """Keep at most so many, the weightiest; say how many are left out.

    Of those that weigh the same the later ones: a job is decided by its end.
    """
    if len(events) <= most:
        return events, 0
    order = sorted(range(len(events)), key=lambda at: (events[at].rank, -at))
    chosen = sorted(order[: max(most - 1, 0)])
    return tuple(events[at] for at in chosen), len(events) - len(chosen)


def _letter(number: int) -> str:
    """Name the events of the chart as a table's columns are: A to Z, then AA."""
    name = ""
    while number >= 0:
        number, place = divmod(number, 26)
        name, number = chr(ord("A") + place) + name, number - 1
    return name


def first_sentence(text: str) -> str:
    """Cut after the first sentence: the next one begins with a capital letter.

    Examples
    --------
    >>> first_sentence("It stopped at 1.5 Pa: a leak. The trace cannot tell.")
    'It stopped at 1.5 Pa: a leak.'
    >>> first_sentence("It rose by 0.5 inHg abs. within 5 s: a hose off. Close the valve.")
    'It rose by 0.5 inHg abs. within 5 s: a hose off.'
    """
    return re.split(r"(?<=\.) (?=[A-ZÀ-Þ])", text, maxsplit=1)[0]
