"""The facts of a job: vehicle as typed, times, gauge, evacuation."""

import numpy as np

from app.hold.phrases import kind_phrases
from app.job.fields import PARTS
from app.jobfile.rows import LinkChange, Rejections, StageChange
from app.live.run import GAUGE
from app.report.course import Course
from app.report.moments import Moments
from app.report.page_text import Facts
from app.report.phrases import fact_phrases, heading_phrases, value_phrases
from app.report.record import Record
from app.report.rig_facts import blank_off_fact, pressure_test_fact
from app.report.technical_rig import blank_off_told
from app.rig.rig_tests import pressure_test_of
from app.words import display
from app.words.sentences import Words
from app.words.terms import drive_names

_SHOWN_ISOLATIONS = 3
_MOST_GAUGES = 4


class FactsWriter:
    """Writes the four blocks of facts."""

    def __init__(self, moments: Moments, course: Course, words: Words) -> None:
        self._record, self._course, translate = moments.record, course, words.translate
        self._moments, self._words, self._translate = moments, words, translate
        self._names = fact_phrases(translate)
        self._values = value_phrases(translate)
        self._headings = heading_phrases(translate)
        self._drives = drive_names(translate)

    def blocks(self) -> tuple[Facts, ...]:
        """Give all four."""
        return (
            self._block("vehicle", self._vehicle()),
            self._block("times", self._times()),
            self._block("gauge", self._gauge()),
            self._block("evacuation", self._evacuation()),
        )

    def _block(self, heading: str, rows: dict[str, str]) -> Facts:
        named = tuple((self._names[key], value) for key, value in rows.items() if value)
        return Facts(self._headings[heading], named)

    def _vehicle(self) -> dict[str, str]:
        fields, names = self._record.fields, self._names
        volume = names["not-said"]
        if fields.volume_m3 is not None:
            volume = self._values["litres"].format(litres=display.litres(fields.volume_m3))
        return {
            "vehicle": fields.vehicle or names["not-said"],
            "drive": self._drives.get(fields.vehicle_kind, names["not-said"]),
            "refrigerant": fields.refrigerant or names["not-said"],
            "charge": self._charge(),
            "volume": volume,
            "circuit": kind_phrases(self._translate)[fields.circuit_kind]
            if fields.circuit_kind
            else "",
            "oil": fields.oil or names["not-said"],
            "parts": self._values["parts"].format(done=len(fields.parts_done), of=len(PARTS)),
        }

    def _charge(self) -> str:
        charge_kg = self._record.fields.charge_kg
        if charge_kg is None:
            return self._names["not-weighed"]
        return self._values["grams"].format(grams=display.grams(charge_kg))

    def _times(self) -> dict[str, str]:
        record, moments, values = self._record, self._moments, self._values
        times = record.readings.time_s
        if not len(times):
            return {"began": moments.both(0.0)}
        flat = next((note for note in record.of(StageChange) if note.stage == "flat"), None)
        flat_text = self._names["not-reached"]
        if flat is not None:
            interval = display.duration(self._course.flat_interval_s)
            flat_text = values["flat"].format(clock=moments.clock(flat.time_s), interval=interval)
        return {
            "began": moments.both(float(times[0])),
            "ended": moments.both(float(times[-1])),
            "lasted": display.duration(float(times[-1] - times[0])),
            "flat": flat_text,
            "held": self._held(),
        }

    def _held(self) -> str:
        """Give from when to when the last standing test went, and its day where that is another."""
        moments, values = self._moments, self._values
        held = [closing for closing in self._course.closings if closing.is_finished]
        if not held:
            return self._names["no-hold"]
        from_s, until_s = held[-1].from_s, held[-1].until_s
        text = values["span"].format(
            from_clock=moments.clock(from_s),
            until_clock=moments.clock(until_s),
            duration=display.duration(until_s - from_s),
        )
        day = moments.date(from_s)
        is_first_day = day == moments.date(self._record.zero_s)
        return text if is_first_day else values["on"].format(span=text, day=day)

    def _gauge(self) -> dict[str, str]:
        record, course, unit = self._record, self._course, self._words.unit
        links = record.of(LinkChange)
        counts = {
            "connected": sum(note.link == "connected" for note in links),
            "lost": sum(note.link in ("lost", "failed") for note in links),
        }
        outside = int(np.count_nonzero(record.readings.status))
        step, noise = self._values["no-step"], self._names["not-known"]
        if course.step_pa > 0:
            step = display.pressure(course.step_pa, unit)
        if course.noise_pa is not None:
            size = display.pressure(course.noise_pa, unit)
            noise = self._values["noise"].format(noise=size)
        return {
            "address": gauge_address(record) or self._names["not-known"],
            "link": self._values["link"].format(**counts),
            "readings": f"{len(record.readings):,}".replace(",", " "),
            "rejected": self._rejected(),
            "outside": str(outside) if outside else self._names["none"],
            "step": step,
            "noise": noise,
            "temperature": self._temperature(),
        }

    def _rejected(self) -> str:
        rows = self._record.of(Rejections)
        count = sum(row.count for row in rows)
        whys = [str(sample.get("why", "")) for row in rows for sample in row.samples]
        if not count:
            return self._names["none"]
        if not whys:
            return str(count)
        return self._values["rejected"].format(count=count, why=whys[0])

    def _temperature(self) -> str:
        celsius = self._record.readings.temperature_c
        known = celsius[~np.isnan(celsius)]
        if not len(known):
            assumed_c = self._course.told.rules.circuit_c
            return self._values["assumed"].format(temperature=display.temperature(assumed_c))
        low, high = float(known.min()), float(known.max())
        return self._values["measured"].format(
            low=display.temperature(low), high=display.temperature(high)
        )

    def _evacuation(self) -> dict[str, str]:
        course, values, unit = self._course, self._values, self._words.unit
        bursts, visible = self._names["none"], ""
        if course.bursts:
            first, last = course.bursts[0].rise_pa, course.bursts[-1].rise_pa
            key = "bursts" if len(course.bursts) > 1 else "burst"
            bursts = values[key].format(
                count=len(course.bursts),
                first=display.pressure(first, unit),
                last=display.pressure(last, unit),
            )
        if course.smallest_burst_pa is not None:
            size = display.pressure(course.smallest_burst_pa, unit)
            visible = values["visible"].format(size=size)
        return {
            "lowest": self._lowest(),
            "bursts": bursts,
            "visible": visible,
            "isolations": self._isolations(),
            "pulls": str(course.pulls) if course.pulls > 1 else "",
            "blank-off": self._blank_off(),
            "pressure-test": self._pressure_test(),
        }

    def _blank_off(self) -> str:
        test = blank_off_told(self._record.edits, self._record, self._course)
        if test is None:
            return ""
        text = blank_off_fact(test, self._values, self._words.unit)
        return self._values["page-2"].format(text=text)

    def _pressure_test(self) -> str:
        test = pressure_test_of(self._record.edits)
        if test is None:
            return ""
        return self._values["page-2"].format(text=pressure_test_fact(test, self._values))

    def _lowest(self) -> str:
        readings = self._record.readings
        usable = np.flatnonzero(readings.status == 0)
        if not len(usable):
            return self._names["not-known"]
        at = int(usable[np.argmin(readings.pressure_pa[usable])])
        return self._values["at"].format(
            value=display.pressure(float(readings.pressure_pa[at]), self._words.unit),
            clock=self._moments.clock(float(readings.time_s[at])),
        )

    def _isolations(self) -> str:
        found = self._course.isolations
        if not found:
            return self._names["none"]
        texts = [
            self._values["isolation"].format(rate=display.rate(each.rate_pa_s, self._words.unit))
            for each in found[-_SHOWN_ISOLATIONS:]
        ]
        compared = found[-1].comparison
        why = "" if compared is None else " " + self._words.reason(compared)
        return f"{len(found)}: " + "; ".join(texts) + "." + why


def gauge_address(record: Record) -> str:
    """Give the gauges in their order as the record names them: addresses, and what answered."""
    edits = [entry.value for entry in record.entries if entry.key == GAUGE]
    named = [value for value in edits if isinstance(value, str)]
    answered = [note.detail for note in record.of(LinkChange) if note.link == "connected"]
    texts = dict.fromkeys(filter(None, [*named, *answered]))
    return "; ".join(list(texts)[:_MOST_GAUGES])
