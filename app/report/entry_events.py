"""What was entered and changed on the way: tests, charge, joints, what vehicle it is."""

from collections.abc import Iterator

from app.hold.phrases import kind_phrases
from app.job.fields import Joint, job_fields
from app.live.run import GAUGE
from app.report.course import Course
from app.report.entries import Entry
from app.report.phrases import entry_phrases, fact_phrases, joint_phrases, value_phrases
from app.report.record import Record
from app.report.rig_facts import blank_off_fact, pressure_test_fact
from app.report.technical_rig import blank_off_told
from app.rig.rig_tests import BLANK_OFF, PRESSURE_TEST, pressure_test_of
from app.words import display
from app.words.sentences import Words

_MOST_ADDRESS = 200
Told = Iterator[tuple[float, str, int]]
_IDENTITY = {
    "vehicle": "vehicle",
    "refrigerant": "refrigerant",
    "volume_m3": "volume",
    "circuit_kind": "circuit",
    GAUGE: "address",
}
"""Fields on which the whole record hangs, by the name of each: a change of one is told."""


class EntryWriter:
    """Writes them as (time, text, rank): 0 is kept longest."""

    def __init__(self, record: Record, course: Course, words: Words) -> None:
        self._record, self._course, self._words = record, course, words
        self._phrases, self._names = entry_phrases(words.translate), fact_phrases(words.translate)
        self._values, self._states = value_phrases(words.translate), joint_phrases(words.translate)

    def told(self) -> Told:
        """Give each test and charge, and each change of what was entered before."""
        before: dict[str, str] = {}
        kept: dict[str, object] = {}
        joints: tuple[Joint, ...] | None = None
        for entry in self._record.entries:
            if entry.value == kept.get(entry.key):
                continue  # a job that is gone on with keeps its last blank-off test once more
            kept[entry.key] = entry.value
            if entry.key in (BLANK_OFF, PRESSURE_TEST):
                yield from self._test(entry)
            elif entry.key == "joints":
                after = job_fields({"joints": entry.value}).joints
                if joints:
                    yield from self._joints(entry.time_s, joints, after)
                joints = after
            elif entry.key == "charge_kg" or entry.key in _IDENTITY:
                value, known = self._value(entry), before.get(entry.key, "")
                before[entry.key] = value
                if value != known:
                    yield from self._change(entry, value, known)

    def _test(self, entry: Entry) -> Told:
        if entry.key == BLANK_OFF:
            test = blank_off_told({BLANK_OFF: entry.value}, self._record, self._course)
            if test is not None:
                text = blank_off_fact(test, self._values, self._words.unit)
                yield test.until_s or entry.time_s, self._line("measured", "blank-off", text), 0
            return
        typed = pressure_test_of({PRESSURE_TEST: entry.value})
        if typed is not None:
            text = pressure_test_fact(typed, self._values)
            yield entry.time_s, self._line("entered", "pressure-test", text), 0

    def _change(self, entry: Entry, value: str, known: str) -> Told:
        is_charge = entry.key == "charge_kg"
        if not known and not is_charge:
            return  # as it was first filled in: it stands above
        name = "charge" if is_charge else _IDENTITY[entry.key]
        text = value or self._names["not-said"]
        if known:
            text = self._phrases["before"].format(value=text, before=known)
        yield entry.time_s, self._line("entered", name, text), 0 if is_charge else 1

    def _joints(self, time_s: float, before: tuple[Joint, ...], after: tuple[Joint, ...]) -> Told:
        states = {joint.name: joint.state for joint in before}
        left = {joint.name for joint in after}
        for joint in after:
            if states.get(joint.name) != joint.state:
                state = self._states[joint.state]
                yield time_s, self._phrases["joint"].format(name=joint.name, state=state), 1
        for name in states:
            if name not in left:
                yield time_s, self._phrases["joint-gone"].format(name=name), 1

    def _value(self, entry: Entry) -> str:
        if entry.key == GAUGE:
            return entry.value[:_MOST_ADDRESS] if isinstance(entry.value, str) else ""
        fields = job_fields({entry.key: entry.value})
        if fields.charge_kg is not None:
            return self._values["grams"].format(grams=display.grams(fields.charge_kg))
        if fields.volume_m3 is not None:
            return self._values["litres"].format(litres=display.litres(fields.volume_m3))
        if fields.circuit_kind:
            return kind_phrases(self._words.translate)[fields.circuit_kind]
        return fields.vehicle or fields.refrigerant

    def _line(self, pattern: str, name: str, value: str) -> str:
        return self._phrases[pattern].format(name=self._names[name], value=value)
