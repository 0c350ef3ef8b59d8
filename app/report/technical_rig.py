"""The technical page on the rig and on what was done on the way: isolations, pulls, tests."""

from collections.abc import Mapping

from analysis.reason import Interval
from analysis.snapshot import BlankOff, HoldResult, LimitCheck
from app.report.course import Course
from app.report.moments import Moments
from app.report.record import Record
from app.report.technical_phrases import technical_phrases
from app.rig.cost import rig_cost_lines
from app.rig.rig_tests import (
    blank_off_lines,
    blank_off_now,
    blank_off_of,
    pressure_test_lines,
    pressure_test_of,
    pull_lines,
    rate_of,
    share_of_rig,
)
from app.words import display
from app.words.sentences import Words
from app.words.terms import limit_names, limit_phrases

Table = tuple[tuple[str, ...], ...]
_MOST_ISOLATIONS = 10
_MOST_SOURCE = 60
_HOUR_S = 3600.0
BAR_PA = 1e5


def blank_off_told(values: Mapping[str, object], record: Record, course: Course) -> BlankOff | None:
    """Give a blank-off test as these fields hold it, under the volumes that the job ends with."""
    return blank_off_now(blank_off_of(values), record.fields, course.told.rules)


class RigWriter:
    """Writes these sections."""

    def __init__(self, moments: Moments, course: Course, words: Words) -> None:
        self._record, self._course, self._moments = moments.record, course, moments
        self._words, self._translate = words, words.translate
        self._phrases = technical_phrases(words.translate)
        self._limits = limit_phrases(words.translate)

    def isolations(self) -> tuple[tuple[str, ...], Table]:
        """Give each isolation, set beside the one before."""
        found, phrases, unit = self._course.isolations, self._phrases, self._words.unit
        if not found:
            return (), ()
        rows = []
        for each in found[-_MOST_ISOLATIONS:]:
            compared = each.comparison
            rows.append(
                (
                    self._moments.clock(each.from_s),
                    "–" if each.until_s is None else display.duration(each.until_s - each.from_s),
                    display.pressure(each.rise_pa, unit),
                    self._rate(each.rate, each.rate_pa_s),
                    "" if compared is None else self._words.reason(compared),
                )
            )
        head = tuple(phrases[key] for key in ("at", "closed", "rise", "rate", "beside"))
        left = len(found) - len(rows)
        lines = (self._words.counted(left, "earlier isolations"),) if left else ()
        return lines, (head, *rows)

    def pulls(self) -> tuple[tuple[str, ...], Table]:
        """Give the pulls, where the vacuum was broken at least once."""
        pulls, phrases, unit = self._course.pull_list, self._phrases, self._words.unit
        if len(pulls) < 2:
            return (), ()
        rows = [
            (
                str(pull.number),
                self._moments.clock(pull.from_s),
                "–" if pull.lowest_pa is None else display.pressure(pull.lowest_pa, unit),
                str(pull.bursts),
                "–" if pull.bursts_per_s is None else display.rough(pull.bursts_per_s * _HOUR_S),
            )
            for pull in pulls
        ]
        head = tuple(phrases[key] for key in ("pull", "from", "lowest", "bursts", "often"))
        return tuple(pull_lines(pulls, self._words)), (head, *rows)

    def blank_off(self) -> tuple[str, ...]:
        """Give the blank-off test with its limits."""
        test = blank_off_told(self._record.edits, self._record, self._course)
        if test is None:
            return ()
        limits = [self._limit(check) for check in test.limits]
        return (*blank_off_lines(test, self._words), *limits)

    def pressure_test(self) -> tuple[str, ...]:
        """Give the pressure test's figures and what they show."""
        test = pressure_test_of(self._record.edits)
        if test is None:
            return ()
        figures = self._phrases["dial"].format(
            start=f"{test.start.pressure_pa / BAR_PA:.2f}",
            start_c=display.temperature(test.start.temperature_c),
            end=f"{test.end.pressure_pa / BAR_PA:.2f}",
            end_c=display.temperature(test.end.temperature_c),
            duration=display.duration(test.duration_s),
            expected=f"{test.expected_pa / BAR_PA:.2f}",
        )
        if test.middle_pa is not None:
            middle = f"{test.middle_pa / BAR_PA:.2f}"
            figures = f"{figures} {self._phrases['half-way'].format(middle=middle)}"
        return (figures, *pressure_test_lines(test, self._words))

    def pumping(self) -> tuple[str, ...]:
        """Give pump and hose as typed, what they cost, what the pump took out, and the water."""
        fields, phrases = self._record.fields, self._phrases
        cost = rig_cost_lines(fields, self._words.unit, self._translate)
        lines = self._words.pumping(self._course.pumping)
        if not lines and self._course.bursts and self._course.told.rules.volume_m3 is None:
            lines = [phrases["no-pumping"]]
        if not cost:
            return tuple(lines)
        assert fields.pump_speed_m3_s is not None
        assert fields.hose_bore_m is not None
        assert fields.hose_length_m is not None
        typed = phrases["typed"].format(
            pump=display.number(fields.pump_speed_m3_s * 6e4),
            bore=display.number(fields.hose_bore_m * 1e3),
            length=display.number(fields.hose_length_m),
            cores=phrases[fields.cores],
        )
        return (typed, *cost, *lines)

    def at_pump(self) -> tuple[str, ...]:
        """Give what the second gauge showed, and what the two meant; nothing without one."""
        seen, phrases = self._course.at_pump, self._phrases
        if seen is None:
            return ()
        lowest = "–" if seen.lowest_pa is None else self._words.pressure(seen.lowest_pa)
        first = phrases["at-pump"].format(
            readings=self._words.counted(seen.count, "readings"),
            at=self._moments.clock(seen.from_s),
            until=self._moments.clock(seen.until_s),
            lowest=lowest,
        )
        if not seen.said:
            return (f"{first} {phrases['at-pump-ordinary']}",)
        lines = [
            phrases["at-pump-said"].format(
                at=self._moments.clock(each.from_s),
                duration=display.duration(each.for_s),
                said=self._words.reason(each.reason),
            )
            for each in seen.said
        ]
        return (first, *lines)

    def share(self, result: HoldResult) -> tuple[str, ...]:
        """Say how much of the hold's rise is the rig's own."""
        record, rules = self._record, self._course.told.rules
        test = blank_off_of(record.edits)
        share = share_of_rig(test, rate_of(result), record.fields, rules)
        return () if share is None else (self._words.reason(share),)

    def _limit(self, check: LimitCheck) -> str:
        value, limit = check.value, check.limit
        if check.name == "blank-off-load":
            shown = display.throughput(value), display.throughput(limit)
        else:
            unit = self._words.unit
            shown = display.pressure(value, unit), display.pressure(limit, unit)
        return self._limits["told"].format(
            name=limit_names(self._translate).get(check.name, check.name),
            value=shown[0],
            limit=shown[1],
            outcome=self._limits["met" if check.passed else "not-met"],
            source=check.source[:_MOST_SOURCE],
        )

    def _rate(self, rate: Interval | None, mean_pa_s: float) -> str:
        unit = self._words.unit
        if rate is None:
            return display.rate(mean_pa_s, unit)
        shown = (display.rate(each, unit) for each in (rate.best, rate.low, rate.high))
        return self._phrases["range"].format(
            **dict(zip(("best", "low", "high"), shown, strict=True))
        )
