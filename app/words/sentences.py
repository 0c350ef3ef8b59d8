"""The one place where codes become sentences, in the user's unit and language."""

from collections.abc import Mapping
from dataclasses import astuple

from analysis.hold.length import is_untold, opened, over_by_opening
from analysis.pump.pulls import BROKEN_PA
from analysis.pump.pumping import Pumping
from analysis.reason import Reason
from analysis.snapshot import BlankOff, Caution, FlatEstimate, HoldResult, Snapshot
from app.hold.phrases import so_far_phrases
from app.words import display
from app.words.counted import Counted, counted
from app.words.flat import flat_ahead
from app.words.phrases import (
    Translate,
    advice_phrases,
    english,
    finding_phrases,
    mark_phrases,
    reason_phrases,
    stage_phrases,
)
from app.words.shares import fraction, multiple
from app.words.terms import caution_names


class Words:
    """Makes every sentence the program says.

    Parameters
    ----------
    unit
        Unit in which pressures are written.
    translate
        Turns (context, text) into the user's language.

    Examples
    --------
    >>> Words().reason(Reason("too-few-bursts", {"bursts": 2, "needed": 5}))
    'Cannot tell yet: 2 of at least 5 bursts seen.'
    """

    def __init__(self, *, unit: str = "micron", translate: Translate = english) -> None:
        self.unit = unit
        self.translate = translate
        self._stages = stage_phrases(translate)
        self._reasons = reason_phrases(translate)
        self._marks, self._cautions = mark_phrases(translate), caution_names(translate)
        self._findings = finding_phrases(translate)
        self._advice = advice_phrases(translate)

    def reason(self, reason: Reason) -> str:
        """Make the sentence for one code; a code without a phrase shows itself and its numbers."""
        phrase = self._reasons.get(reason.code)
        numbers = self._numbers(reason.values)
        if phrase is None:
            return " ".join([reason.code, *(f"{key}={value}" for key, value in numbers.items())])
        if "rise_pa" in reason.values:
            numbers["risen"] = self.risen(reason.values["rise_pa"])
        return phrase.format_map(_Blank(numbers))

    def by_phrases(self, reason: Reason, phrases: Mapping[str, str]) -> str:
        """Make the sentence of a code from a table of its own."""
        return phrases[reason.code].format_map(_Blank(self._numbers(reason.values)))

    def pressure(self, pressure_pa: float) -> str:
        """Write a pressure."""
        return display.pressure(pressure_pa, self.unit)

    def risen(self, rise_pa: float) -> str:
        """Say by how much a pressure has risen: a fall by the reading's noise is no rise."""
        if rise_pa <= 0.0:
            return self.translate("Rise", "not risen")
        return self.translate("Rise", "risen {rise}").format(rise=self.pressure(rise_pa))

    def moved(self, hold: HoldResult) -> str:
        """Say from where to where the pressure went in a hold.

        How far it rose once it had evened out is another number, which a longer hold may lessen.
        """
        ends = {check.name: check.value for check in hold.limits}
        if "start" not in ends or "charge" not in ends:  # a record that somebody else wrote
            return self.risen(hold.rise_pa)
        return self.translate("Rise", "from {start} to {end}").format(
            start=self.pressure(ends["start"]), end=self.pressure(ends["charge"])
        )

    def counted(self, count: float, what: Counted) -> str:
        """Say how many there are of something."""
        return counted(count, what, self.translate)

    def stage(self, stage: str) -> str:
        """Name a stage."""
        return self._stages[stage]

    def mark(self, kind: str) -> str:
        """Name a mark."""
        return self._marks[kind]

    def caution_name(self, kind: str) -> str:
        """Name a caution."""
        return self._cautions.get(kind, kind)

    def caution(self, caution: Caution) -> str:
        """Say what a caution means and the way out."""
        return self.reason(caution.reason)

    def finding(self, result: HoldResult) -> str:
        """Say what a hold found."""
        numbers: dict[str, float] = {}
        if result.finding == "held" and result.smallest_leak_seen_pa_s is not None:
            numbers["leak_pa_s"] = result.smallest_leak_seen_pa_s
        elif result.leak_pa_s is not None:
            numbers["leak_pa_s"] = result.leak_pa_s.best
        text = self._findings[_sort(result)].format_map(_Blank(self._numbers(numbers)))
        if result.hold_longer_s is not None:
            longer = display.duration(result.hold_longer_s)
            text += " " + self.translate("Finding", "Hold {time} longer.").format(time=longer)
        return text

    def flat(self, flat: FlatEstimate, now_s: float) -> str:
        """Say when it will be flat, or why that can't be told."""
        if flat.why is not None:
            return self.reason(flat.why)
        if flat.flat_at_s is None or flat.flat_low_s is None or flat.flat_high_s is None:
            return ""
        if flat.flat_at_s <= now_s:
            return self.translate("Flat", "It may be flat already; a quiet spell will show it.")
        ahead = flat.flat_low_s, flat.flat_at_s, flat.flat_high_s
        low_s, best_s, high_s = (max(at_s - now_s, 0.0) for at_s in ahead)
        return flat_ahead(low_s, best_s, high_s, self.translate)

    def pumping(self, pumping: Pumping) -> list[str]:
        """Say what the pump takes out of the circuit, and the water that went with the bursts."""
        lines = []
        if pumping.speed_m3_s is not None:
            low, best, high = (1e3 * v for v in astuple(pumping.speed_m3_s))
            lines.append(
                self.translate(
                    "Pumping", "At {level} the pump takes {best} L/s here ({low} to {high})."
                ).format(
                    level="–" if pumping.level_pa is None else self.pressure(pumping.level_pa),
                    best=display.number(best),
                    low=display.number(low),
                    high=display.number(high),
                )
            )
        if pumping.water_kg is not None:
            low, best, high = (1e6 * v for v in astuple(pumping.water_kg))
            lines.append(
                self.translate(
                    "Pumping", "The bursts carried {best} mg ({low} to {high}), if it was water."
                ).format(
                    best=display.number(best), low=display.number(low), high=display.number(high)
                )
            )
        return lines

    def verdict(self, snapshot: Snapshot, hold_end: Reason | None = None) -> str:
        """Make the sentence of the whole moment: what is happening, how long still, what to do.

        ``hold_end`` says whether a hold may end, where it is known how long it lasts at least.
        """
        if snapshot.hold is not None and snapshot.stage in ("holding", "done"):
            return self._hold_verdict(snapshot, snapshot.hold, hold_end)
        if snapshot.blank_off is not None and snapshot.blank_off.until_s is None:
            return self._blank_off_verdict(snapshot.blank_off, snapshot.time_s)
        grave = [c for c in snapshot.cautions if c.kind != "no-bursts-seen"]
        if grave:
            return self.caution(grave[0])
        if is_broken(snapshot) and snapshot.pressure_pa is not None:
            numbers = {"pressure_pa": snapshot.pressure_pa, "pull": float(snapshot.pull)}
            return self.reason(Reason("pull-to-come", numbers))
        parts = [self._headline(snapshot)]
        if snapshot.stage in ("boiling-off", "easing"):
            parts.append(self.flat(snapshot.flat, snapshot.time_s))
        if snapshot.stage == "flat" or snapshot.stage_reason.code == "reads-too-rarely":
            parts.append(self.reason(snapshot.stage_reason))
        parts += [self.caution(c) for c in snapshot.cautions]
        parts.append(self._advice[snapshot.stage])
        return " ".join(part for part in parts if part)

    def _headline(self, snapshot: Snapshot) -> str:
        name = self.stage(snapshot.stage)
        if snapshot.stage in ("boiling-off", "easing") and snapshot.flat.lull_s is not None:
            lull = display.duration(snapshot.flat.lull_s)
            return self.translate("Verdict", "{stage}: a burst every {lull}.").format(
                stage=name, lull=lull
            )
        if snapshot.stage == "pulling-down" and snapshot.pressure_pa is not None:
            now = display.pressure(snapshot.pressure_pa, self.unit)
            return self.translate("Verdict", "{stage}, at {now}.").format(stage=name, now=now)
        return f"{name}."

    def _hold_verdict(self, snapshot: Snapshot, hold: HoldResult, end: Reason | None) -> str:
        still = self.reason(Reason("hold-gauge-still")) if is_untold(hold) else ""
        if (opening := opened(hold)) is not None:  # the finding is of what came before
            still = self.reason(opening)
        if snapshot.stage == "done" and opening is not None:
            return f"{still} {self.finding(hold)}"
        if snapshot.stage == "done":
            return f"{self.finding(hold)} {still}".rstrip()
        if opening is not None:
            return f"{still} {self.reason(end or over_by_opening(hold))}"
        since = self.translate("Verdict", "Holding for {time}: {moved}.").format(
            time=display.duration(hold.duration_s), moved=self.moved(hold)
        )
        advice = still or self._advice["holding"] if end is None else self.reason(end)
        return f"{since} {self.finding_so_far(hold)} {advice}"

    def finding_so_far(self, hold: HoldResult) -> str:
        """Say what a hold looks like while it goes on."""
        is_early = any(reason.code == "too-short" for reason in hold.reasons)
        leak = {} if hold.leak_pa_s is None else {"leak_pa_s": hold.leak_pa_s.best}
        sort = _sort(hold)
        code = "early" if is_early and sort != "still" else sort
        phrase = so_far_phrases(self.translate)[code]
        return phrase.format_map(_Blank(self._numbers(leak)))

    def blank_off_over(self, snapshot: Snapshot) -> str:
        """Say what a blank-off test showed that has just ended."""
        test = snapshot.blank_off
        reasons = [Reason("blank-off-over"), *(() if test is None else test.reasons[:1])]
        return " ".join(self.reason(reason) for reason in reasons)

    def _blank_off_verdict(self, test: BlankOff, now_s: float) -> str:
        code = "blank-off-may-end" if test.is_long_enough else "blank-off-runs"
        needed_s = next((r.values["needed_s"] for r in test.reasons if "needed_s" in r.values), 0.0)
        numbers = {"duration_s": now_s - test.from_s, "needed_s": needed_s, "rise_pa": test.rise_pa}
        return self.reason(Reason(code, numbers))

    def _numbers(self, values: Mapping[str, float]) -> dict[str, str]:
        told = {key: display.by_suffix(key, value, self.unit) for key, value in values.items()}
        ratio = values.get("ratio", values.get("share"))
        if ratio is not None:
            told["fraction"] = fraction(ratio, self.translate)
            told["multiple"] = multiple(ratio, self.translate)
        return told


def is_broken(snapshot: Snapshot) -> bool:
    """Tell whether nitrogen, or air, stands in a circuit that was evacuated before.

    A gauge over its range shows its end, which may lie far lower.
    """
    is_over = snapshot.status == "over-range"
    return snapshot.pull > 1 and (is_over or (snapshot.pressure_pa or 0.0) > BROKEN_PA)


def _sort(result: HoldResult) -> str:
    """Give the finding, and where it is unclear for want of a good reading, that instead."""
    if is_untold(result):
        return "still"
    if any(reason.code == "leak-would-not-show" for reason in result.reasons):
        return "scattered"
    return result.finding


class _Blank(dict[str, str]):
    """Shows a number that a code did not bring as a dash instead of failing."""

    def __missing__(self, key: str) -> str:
        return "–"
