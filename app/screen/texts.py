"""Texts of one moment that the verdict does not hold: why, the pressure, the lull chart's note."""

from collections.abc import Callable
from datetime import datetime, timedelta

from analysis.hold.length import rushed_in
from analysis.reason import Reason
from analysis.snapshot import Snapshot
from app.hold.lengths import ORDINARY, HoldLengths
from app.hold.walk import tone_of
from app.rig.rig_tests import blank_off_lines, isolation_lines, offer_line, pull_lines
from app.screen.phrases import change_phrases, lull_notes
from app.screen.shown import Passage, Tone
from app.words import display
from app.words.phrases import Translate
from app.words.sentences import Words

GRAVE = ("sudden-rise", "rising", "no-signal")
"""Cautions that are loud, and red."""

_SIGNS = {"ok": "", "over-range": "> ", "under-range": "< "}


def tone_of_moment(snapshot: Snapshot, lengths: HoldLengths = ORDINARY) -> tuple[Tone, str]:
    """Give the verdict's tone and the name of the sign beside it."""
    if snapshot.stage in ("holding", "done") and snapshot.hold is not None:
        if snapshot.stage == "done":
            return tone_of(snapshot.hold, lengths), snapshot.hold.finding
        return ("calm", "holding") if rushed_in(snapshot.hold) is None else ("danger", "caution")
    if is_blanking(snapshot):
        return "calm", "holding"
    kinds = [c.kind for c in snapshot.cautions if c.kind != "no-bursts-seen"]
    if kinds:
        return ("danger" if kinds[0] in GRAVE else "attention"), "caution"
    if snapshot.stage == "flat":
        return ("attention" if snapshot.cautions else "good"), "flat"
    return "calm", snapshot.stage


def is_blanking(snapshot: Snapshot) -> bool:
    """Tell whether a blank-off test of the rig runs."""
    return snapshot.blank_off is not None and snapshot.blank_off.until_s is None


def is_blanked(snapshot: Snapshot, for_s: float) -> bool:
    """Tell whether a blank-off test ended so lately, and the pull after it does not boil yet.

    The stage's reason says so until the next tick only.
    """
    ended_s = None if snapshot.blank_off is None else snapshot.blank_off.until_s
    if ended_s is None or snapshot.stage != "pulling-down":
        return False
    return snapshot.time_s - ended_s < for_s


def pressure_texts(snapshot: Snapshot | None, unit: str) -> tuple[str, str, str]:
    """Give pressure, unit and temperature as shown."""
    symbol = display.UNIT_SYMBOLS[unit]
    if snapshot is None or snapshot.pressure_pa is None:
        return "–", symbol, ""
    number = display.pressure(snapshot.pressure_pa, unit).removesuffix(f" {symbol}")
    celsius = snapshot.temperature_c
    temperature = "" if celsius is None else display.temperature(celsius)
    return _SIGNS[snapshot.status] + number, symbol, temperature


def lull_note(snapshot: Snapshot | None, interval_s: float, translate: Translate) -> str:
    """Say how to read the lull chart now."""
    if snapshot is None or snapshot.burst_count < 2:
        key = "none"
    elif snapshot.flat.why is None or snapshot.flat.curve:
        key = "trend"
    else:
        key = "no-trend" if snapshot.flat.why.code == "no-trend" else "few"
    return lull_notes(translate)[key].format(interval=display.duration(interval_s))


def last_isolation(snapshot: Snapshot, words: Words) -> str:
    """Say how the last isolation of this evacuation rose; nothing before there was one."""
    if snapshot.stage in ("holding", "done") or not snapshot.isolations:
        return ""
    return " ".join(isolation_lines(snapshot.isolations[-1], words))


def this_pull(snapshot: Snapshot, words: Words) -> str:
    """Say which pull this is and how it compares with the one before; nothing of a first one."""
    if snapshot.stage in ("holding", "done") or snapshot.pull < 2:
        return ""
    now = words.reason(Reason("pull-now", {"pull": float(snapshot.pull)}))
    return " ".join([now, *pull_lines(snapshot.pulls, words)[-2:]])


def cut_off_question(snapshot: Snapshot, words: Words, now: Callable[[], datetime]) -> str:
    """Ask about a closing that the trace shows; nothing where it shows none."""
    offered = snapshot.offered
    if offered is None or snapshot.stage in ("holding", "done"):
        return ""
    since = now() - timedelta(seconds=snapshot.time_s - offered.from_s)
    question = words.translate(
        "Offer", "The valve seems closed since {time}. Count it as the hold's beginning?"
    )
    return question.format(time=f"{since:%H:%M}")


def why(
    snapshot: Snapshot, words: Words, translate: Translate, interval_s: float
) -> tuple[Passage, ...]:
    """Give what the verdict rests on, what speaks against it, and what would change it."""
    reasons = [words.reason(snapshot.stage_reason)]
    if snapshot.hold is not None and snapshot.stage in ("holding", "done"):
        reasons = [words.reason(reason) for reason in snapshot.hold.reasons]
    elif snapshot.stage in ("boiling-off", "easing"):
        reasons.append(words.flat(snapshot.flat, snapshot.time_s))
    if snapshot.smallest_burst_pa is not None:
        text = translate("Why", "{bursts}; the smallest visible now: {size}.")
        size = display.pressure(snapshot.smallest_burst_pa, words.unit)
        bursts = words.counted(snapshot.burst_count, "bursts so far")
        reasons.append(text.format(bursts=bursts, size=size))
    change = change_phrases(translate)[snapshot.stage]
    passages = [
        Passage(translate("Why", "What it rests on"), tuple(reasons)),
        Passage(
            translate("Why", "What would change it"),
            (change.format(interval=display.duration(interval_s)),),
        ),
    ]
    passages += _details(snapshot, words)
    cautions = tuple(words.caution(caution) for caution in snapshot.cautions)
    if cautions:
        passages.insert(1, Passage(translate("Why", "Cautions"), cautions))
    return tuple(passages)


def _details(snapshot: Snapshot, words: Words) -> list[Passage]:
    """Give what else is known of this evacuation, each only where there is something to say."""
    said = words.translate
    details = {
        said("Why", "What the pump does"): words.pumping(snapshot.pumping),
        said("Why", "Beside the pull before"): pull_lines(snapshot.pulls, words),
    }
    if snapshot.offered is not None:
        line = offer_line(snapshot.offered, snapshot.time_s, words)
        details[said("Why", "A closing that nobody marked")] = [line]
    if snapshot.isolations:
        lines = isolation_lines(snapshot.isolations[-1], words)
        details[said("Why", "The last isolation")] = lines
    if snapshot.blank_off is not None:
        details[said("Why", "Blank-off test")] = blank_off_lines(snapshot.blank_off, words)
    return [Passage(heading, tuple(lines)) for heading, lines in details.items() if lines]
