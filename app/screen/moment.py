"""Fills a screen with the texts of one moment: before the first reading, and after it."""

from dataclasses import replace

from analysis.hold.length import rushed_in
from analysis.snapshot import Snapshot
from app.hold.lengths import ORDINARY, HoldLengths
from app.screen.phrases import next_step_phrases
from app.screen.shown import Screen
from app.screen.texts import (
    is_blanked,
    is_blanking,
    last_isolation,
    lull_note,
    pressure_texts,
    this_pull,
    tone_of_moment,
    why,
)
from app.words.phrases import Translate
from app.words.sentences import Words, is_broken

BLANKED_S = 120.0  # for so long the verdict tells what the blank-off test showed, and what is next


def before_readings(screen: Screen, translate: Translate, interval_s: float) -> Screen:
    """Fill in what can be said while nothing was read."""
    texts = {
        "idle": translate("Window", "No gauge yet. Choose one to begin."),
        "opening": translate("Window", "Opening the job."),
        "running": translate("Window", "Waiting for the first reading."),
        "over": translate("Window", "It ended without a reading."),
        "only-read": "",  # app/job/only_read.py says it
    }
    key = {"running": "waiting", "only-read": "over"}.get(screen.phase, screen.phase)
    return replace(
        screen,
        verdict=texts[screen.phase],
        next_step=next_step_phrases(translate)[key],
        lull_note=lull_note(None, interval_s, translate),
    )


def of_moment(
    screen: Screen,
    snapshot: Snapshot,
    words: Words,
    translate: Translate,
    interval_s: float,
    lengths: HoldLengths = ORDINARY,
) -> Screen:
    """Fill in what the analysis says."""
    tone, sign = tone_of_moment(snapshot, lengths)
    pull = "" if is_broken(snapshot) else this_pull(snapshot, words)
    end = lengths.end(snapshot.hold)
    pressure, unit, temperature = pressure_texts(snapshot, words.unit)
    is_rush = snapshot.stage == "holding" and rushed_in(snapshot.hold) is not None
    key = _next_key(screen, snapshot, sign, is_rush=is_rush)
    verdict = words.verdict(snapshot, None if end is None else end.reason)
    if key == "blanked":
        verdict = words.blank_off_over(snapshot)
    if screen.hold.page == "isolating" and not is_rush:  # too short to speak of a leak
        verdict = f"{screen.hold.clock}. {screen.hold.instruction}"
    return replace(
        screen,
        verdict=verdict,
        tone=tone,
        sign=sign,
        why=why(snapshot, words, translate, interval_s),
        next_step=next_step_phrases(translate)[key],
        pressure=pressure,
        unit=unit,
        temperature=temperature,
        lull_note=lull_note(snapshot, interval_s, translate),
        isolation="\n".join(filter(None, (last_isolation(snapshot, words), pull))),
    )


def _next_key(screen: Screen, snapshot: Snapshot, sign: str, *, is_rush: bool) -> str:
    """Name the next step's phrase."""
    if is_blanking(snapshot):
        return "blanking"
    if is_blanked(snapshot, BLANKED_S):
        return "blanked"
    if is_broken(snapshot) and sign != "caution":
        return "broken"
    if sign == "caution":
        return "rushed-in" if is_rush else "caution"
    return "over" if screen.phase == "over" and snapshot.stage != "done" else snapshot.stage


def unwatched(screen: Screen, translate: Translate) -> Screen:
    """Say that nobody watches: a job gone on with stands where it was, until a gauge is read."""
    verdict = translate("Window", "No gauge is read now. Before, it was: {verdict}")
    return replace(
        screen,
        verdict=verdict.format(verdict=screen.verdict),
        tone="attention",
        next_step=next_step_phrases(translate)["reopened"],
    )
