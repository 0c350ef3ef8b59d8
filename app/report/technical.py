"""The technical page's texts: what the first page rests on, in numbers, with their sources."""

from collections.abc import Callable
from dataclasses import dataclass

from analysis.hold.leak import LAWS, REFRIGERANTS
from analysis.reason import Interval
from analysis.snapshot import HoldResult
from app.hold.leak_words import assumption, losses_of, smallest_seen
from app.hold.phrases import kind_phrases
from app.job.fields import PARTS
from app.job.refrigerants import fluid_of
from app.report.course import Course
from app.report.hold_note import hold_result
from app.report.hold_text import shown_closing
from app.report.moments import Moments
from app.report.technical_phrases import glossary, technical_headings, technical_phrases
from app.report.technical_rig import RigWriter
from app.screen.phrases import part_phrases
from app.words import display
from app.words.sentences import Words

Write = Callable[[float], str]


@dataclass(frozen=True, slots=True)
class Section:
    """A heading, lines under it, and a table; its first row is the head."""

    heading: str
    lines: tuple[str, ...] = ()
    table: tuple[tuple[str, ...], ...] = ()


class TechnicalWriter:
    """Writes the sections."""

    def __init__(self, moments: Moments, course: Course, words: Words) -> None:
        self._record, self._course = moments.record, course
        self._words, self._translate = words, words.translate
        self._phrases = technical_phrases(words.translate)
        self._headings = technical_headings(words.translate)
        self._rig = RigWriter(moments, course, words)

    def sections(self) -> tuple[Section, ...]:
        """Give all that there is something to say about."""
        result, rig, headings = self._result(), self._rig, self._headings
        lines, table = self._loss(result)
        sections = (
            Section(headings["done"], self._done()),
            Section(headings["told"], self._told()),
            Section(headings["hold"], self._hold(result)),
            Section(headings["loss"], lines, table),
            Section(headings["isolations"], *rig.isolations()),
            Section(headings["pulls"], *rig.pulls()),
            Section(headings["blank-off"], rig.blank_off()),
            Section(headings["pressure-test"], rig.pressure_test()),
            Section(headings["pumping"], rig.pumping()),
            Section(headings["at-pump"], rig.at_pump()),
            Section(headings["words"], glossary(self._translate)),
        )
        return tuple(each for each in sections if each.lines or each.table)

    def _result(self) -> HoldResult | None:
        """Give the hold's outcome: as it was told then, else as it is seen now."""
        told = hold_result(self._record.findings[-1]) if self._record.findings else None
        closing = shown_closing(self._course)
        return told or (None if closing is None else closing.result)

    def _done(self) -> tuple[str, ...]:
        """Give the parts of the job that were ticked off, and those that were not."""
        phrases, names = self._phrases, part_phrases(self._translate)
        done = [part for part in PARTS if part in self._record.fields.parts_done]
        left = [part for part in PARTS if part not in done]
        lists = {"done": done, "not-done": left}
        return tuple(
            phrases[key].format(parts="; ".join(names[part] for part in parts))
            for key, parts in lists.items()
            if parts
        )

    def _told(self) -> tuple[str, ...]:
        told, phrases, unit = self._course.told, self._phrases, self._words.unit
        rules, kind = told.rules, self._record.fields.kind_or_normal
        least = told.least_holds[kind]
        volume = "–" if rules.volume_m3 is None else f"{display.litres(rules.volume_m3)} L"
        lines = [] if self._course.is_told else [phrases["not-kept"]]
        return (
            *lines,
            *self._past(),
            phrases["flat"].format(
                interval=display.duration(rules.flat_interval_s),
                limit=display.pressure(rules.flat_below_pa, unit),
            ),
            phrases["circuit"].format(
                temperature=display.temperature(rules.circuit_c), volume=volume
            ),
            phrases["gauge" if rules.water_gauge_factor != 1.0 else "as-it-reads"].format(
                factor=display.number(rules.water_gauge_factor)
            ),
            phrases["least"].format(
                kind=kind_phrases(self._translate)[kind],
                least=display.duration(least.length_s),
                source=least.source,
            ),
        )

    def _past(self) -> tuple[str, ...]:
        """Give what was told of the circuit's past."""
        fields, phrases, past = self._record.fields, self._phrases, []
        if fields.days_open is not None:
            past.append(self._words.counted(fields.days_open, "days open"))
        if fields.humidity_pct is not None:
            past.append(phrases["air"].format(humidity=display.number(fields.humidity_pct)))
        if fields.oil_kind:
            amount = "–" if fields.oil_ml is None else f"{display.number(fields.oil_ml)} mL"
            past.append(phrases["oil"].format(amount=amount, kind=fields.oil_kind))
        past += [phrases["new-oil"]] if fields.renewed_oil else []
        past += [phrases["new-drier"]] if fields.renewed_drier else []
        return (phrases["past"].format(past=", ".join(past)),) if past else ()

    def _hold(self, result: HoldResult | None) -> tuple[str, ...]:
        phrases, words = self._phrases, self._words
        if result is None:
            return (phrases["no-hold"],)
        duration = display.duration(result.duration_s)
        lines = [phrases["held-for"].format(duration=duration, moved=words.moved(result))]
        lines += self._flows(result)
        if result.vapour_pa is not None:
            shown = self._range(result.vapour_pa, lambda v: display.pressure(v, words.unit))
            lines.append(phrases["vapour"].format(**shown))
        lines += [words.reason(why) for why in result.reasons if why.code != "smallest-leak"]
        return (*lines, *self._rig.share(result))

    def _flows(self, result: HoldResult) -> list[str]:
        """Write the leak, and the smallest one that would have shown, as rate and as flow."""
        phrases, unit, lines = self._phrases, self._words.unit, []
        volume, leak = self._record.fields.volume_m3, result.leak_pa_s
        if leak is not None:
            shown = self._range(leak, lambda rate: display.rate(rate, unit))
            lines.append(phrases["leak"].format(**shown))
            if volume is not None:
                flow = self._range(leak, lambda rate: display.throughput(rate * volume))
                si = f"{leak.best * volume:.3g}"
                size = f"{display.litres(volume)} L"
                text = phrases["throughput"].format(**flow, si=si, volume=size)
                lines.append(text)
        seen = result.smallest_leak_seen_pa_s
        if seen is not None:
            rate, key = display.rate(seen, unit), "seen" if volume is None else "seen-throughput"
            flow_text = "" if volume is None else display.throughput(seen * volume)
            size = "" if volume is None else f"{display.litres(volume)} L"
            lines.append(phrases[key].format(rate=rate, flow=flow_text, volume=size))
        return lines

    def _loss(
        self, result: HoldResult | None
    ) -> tuple[tuple[str, ...], tuple[tuple[str, ...], ...]]:
        """Give the refrigerant that the leak may lose, under each flow law it may follow."""
        phrases, fields = self._phrases, self._record.fields
        fluid, volume = fluid_of(fields.refrigerant), fields.volume_m3
        if result is None:
            return (), ()
        if fluid is None or volume is None:
            return (phrases["no-loss"].format(known=", ".join(REFRIGERANTS)),), ()
        head, columns = [f"{fluid.name}, {phrases['flow-law']}"], []
        leak, seen = result.leak_pa_s, smallest_seen(result)
        if leak is not None and result.finding in ("leak", "both"):
            head.append(phrases["found"])
            columns.append(leak)
        if seen is not None:
            head.append(phrases["smallest"])
            columns.append(seen)
        if not columns:
            return (), ()
        losses = [losses_of(rate, volume, fluid) for rate in columns]
        rows = [(phrases[law], *(self._grams(each[law]) for each in losses)) for law in LAWS]
        return (assumption(self._translate),), (tuple(head), *rows)

    def _grams(self, loss: Interval) -> str:
        low, best, high = (display.rough(value) for value in (loss.low, loss.best, loss.high))
        return best if low == high else self._phrases["range"].format(low=low, best=best, high=high)

    def _range(self, interval: Interval, write: Write) -> dict[str, str]:
        return {
            "low": write(interval.low),
            "best": write(interval.best),
            "high": write(interval.high),
        }
