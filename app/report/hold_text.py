"""What the page says of the standing test, from its row in the record and seen again."""

import math

from analysis.hold.length import rushed_in
from analysis.snapshot import HoldResult
from app.hold.lengths import HoldLengths
from app.hold.phrases import kind_phrases
from app.report.course import Closing, Course
from app.report.hold_note import KNOWN_LIMITS, finding_word, hold_result
from app.report.moments import Moments
from app.report.page_text import HoldText, LimitRow
from app.report.phrases import hold_phrases
from app.rig.rig_tests import pressure_test_of
from app.words import display
from app.words.sentences import Words
from app.words.terms import limit_names, limit_phrases
from sensors.units import PA_PER_UNIT

_EARLIER = 3
_JOINTS, _NAME = 3, 40  # so many leaking joints are named, by so many characters


class HoldWriter:
    """Writes the standing test."""

    def __init__(self, moments: Moments, course: Course, words: Words) -> None:
        self._record, self._course = moments.record, course
        self._moments, self._words = moments, words
        self._phrases = hold_phrases(words.translate)

    def text(self) -> HoldText:
        """Write the last finding recorded, or why there is none."""
        findings = self._record.findings
        if findings:
            return self._of_finding()
        closing = shown_closing(self._course)
        if closing is None or closing.result is None or closing in _opened(self._course):
            return HoldText(self._phrases["none"], self._phrases["nothing"], (), ())
        sentence = self._phrases["never-ended"].format(
            clock=self._moments.clock(closing.from_s), finding=self._words.finding(closing.result)
        )
        return HoldText(
            self._phrases["unended"],
            sentence,
            self._reasons(closing.result),
            self._limits(closing.result),
        )

    def _of_finding(self) -> HoldText:
        note = self._record.findings[-1]
        told, closing = hold_result(note), shown_closing(self._course)
        now = None if closing is None else closing.result
        result = told or now
        word = finding_word(self._phrases, note.finding, result)
        if result is None:
            return HoldText(word, "", self._others(), ())
        extra: list[str] = []
        if now is not None and now.finding != note.finding:
            by_now = finding_word(self._phrases, now.finding, now)
            extra.append(self._phrases["by-now"].format(finding=by_now))
        sentence = self._words.finding(result) if result.finding == note.finding else ""
        return HoldText(
            word,
            sentence,
            (*self._against(note.finding), *self._reasons(result), *extra, *self._others()),
            self._limits(result),
        )

    def _against(self, finding: str) -> tuple[str, ...]:
        """Say what else in the record speaks of a leak where the standing test showed none.

        Vacuum finds no small leaks, so nitrogen under pressure and a leak detector outdo it.
        """
        if finding in ("leak", "both"):
            return ()
        phrases, texts = self._phrases, []
        test = pressure_test_of(self._record.edits)
        if test is not None and test.finding == "fell":
            fall = display.high_pressure(test.fall_pa.best)
            texts.append(phrases["yet-fell"].format(fall=fall))
        leaking = [
            each.name[:_NAME] for each in self._record.fields.joints if each.state == "leaks"
        ]
        if leaking:
            more = len(leaking) - _JOINTS
            names = ", ".join(leaking[:_JOINTS]) + (f" (+{more})" if more > 0 else "")
            texts.append(phrases["yet-leaks"].format(names=names))
        return tuple(texts)

    def _reasons(self, result: HoldResult) -> tuple[str, ...]:
        phrases, words = self._phrases, self._words
        kind = self._record.fields.kind_or_normal
        lengths = HoldLengths(kind, self._course.told.least_holds)
        rush = rushed_in(result)  # first: the finding is of what came before
        texts = [] if rush is None else [words.reason(rush)]
        texts += [
            phrases["numbers"].format(
                duration=display.duration(result.duration_s),
                moved=words.moved(result),
                least=display.duration(lengths.least[kind].length_s),
                kind=kind_phrases(words.translate)[kind],
            )
        ]
        if lengths.is_too_short(result):
            texts.append(words.reason(lengths.over(result)))
        texts += self._ranges(result)
        texts += [words.reason(why) for why in result.reasons if why.code not in _unsaid(result)]
        return tuple(texts)

    def _ranges(self, result: HoldResult) -> list[str]:
        """Say within what leak and vapour lie, where they were found."""
        phrases, words, texts = self._phrases, self._words, list[str]()
        leak, vapour = result.leak_pa_s, result.vapour_pa
        if leak is not None and result.finding in ("leak", "both"):
            rates = [display.rate(rate, words.unit) for rate in (leak.low, leak.best, leak.high)]
            texts.append(phrases["leak-range"].format(low=rates[0], best=rates[1], high=rates[2]))
            volume = self._record.fields.volume_m3
            if volume is not None:
                flow = f"{leak.best * volume:.2e}"
                texts.append(phrases["leak-flow"].format(litres=display.litres(volume), flow=flow))
        if vapour is not None and result.finding in ("vapour", "both"):
            rises = [
                display.pressure(rise, words.unit)
                for rise in (vapour.low, vapour.best, vapour.high)
            ]
            texts.append(phrases["vapour-range"].format(low=rises[0], best=rises[1], high=rises[2]))
        return texts

    def _limits(self, result: HoldResult) -> tuple[LimitRow, ...]:
        phrases, translate = self._phrases, self._words.translate
        names, outcomes = limit_names(translate), limit_phrases(translate)
        return tuple(
            LimitRow(
                names[check.name] if check.name in KNOWN_LIMITS else check.name,
                self._pressure(max(check.value, 0.0)),
                phrases["at-most"].format(limit=display.pressure(check.limit, self._words.unit)),
                outcomes["met" if check.passed else "not-met"],
                check.source,
                check.passed,
            )
            for check in result.limits
        )

    def _pressure(self, value_pa: float) -> str:
        """Write a pressure with no finer digits than a tenth of what the gauge can tell."""
        scale = PA_PER_UNIT[self._words.unit]
        grain_pa = max(self._course.step_pa, self._course.noise_pa or 0.0)
        if grain_pa > 0:
            digit = 10.0 ** math.floor(math.log10(grain_pa / scale)) / 10.0
            value_pa = round(value_pa / scale / digit) * digit * scale
        return display.pressure(value_pa, self._words.unit)

    def _others(self) -> tuple[str, ...]:
        """Say what other holds there were."""
        *earlier, last = self._record.findings
        texts = []
        later = [c for c in self._course.closings if c.from_s > last.time_s]
        if later:
            clock = self._moments.clock(later[-1].from_s)
            texts.append(self._phrases["later"].format(clock=clock))
        if earlier:
            listed = [
                self._phrases["earlier-one"].format(
                    finding=finding_word(self._phrases, note.finding, hold_result(note)),
                    clock=self._moments.clock(note.time_s),
                )
                for note in earlier[-_EARLIER:]
            ]
            texts.append(self._phrases["earlier"].format(list=", ".join(listed)))
        return tuple(texts)


def _unsaid(result: HoldResult) -> set[str]:
    """Name the reasons that the page says elsewhere, or that its finding has overtaken."""
    codes = {"rise-over-limit", "pressure-over-limit", "start-too-high"}  # the limits say it
    codes.add("opened-to-air")  # said first
    if result.finding != "vapour":  # said by the sentence of `held`, overtaken by a leak
        codes.add("smallest-leak")
    return codes


def shown_closing(course: Course) -> Closing | None:
    """Give the hold that the page shows: the last one ended with its finding, else the last."""
    finished = [closing for closing in course.closings if closing.is_finished]
    shown = finished or list(course.closings)
    return shown[-1] if shown else None


def _opened(course: Course) -> list[Closing]:
    """List closings that were isolations: the valve was opened again."""
    starts = {isolation.from_s for isolation in course.isolations}
    return [closing for closing in course.closings if closing.from_s in starts]
