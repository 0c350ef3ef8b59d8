"""Fills a screen with the texts of one moment: before the first reading, and after it."""

from dataclasses import replace

from analysis.snapshot import Snapshot
from app.phrases import Translate
from app.screen import Screen
from app.screen_phrases import next_step_phrases
from app.screen_texts import last_isolation, lull_note, pressure_texts, tone_of_moment, why
from app.words import Words


def before_readings(screen: Screen, translate: Translate, interval_s: float) -> Screen:
    """Fill in what can be said while nothing was read."""
    texts = {
        "idle": translate("Window", "No gauge yet. Choose one to begin."),
        "opening": translate("Window", "Opening the job."),
        "running": translate("Window", "Waiting for the first reading."),
        "over": translate("Window", "It ended without a reading."),
    }
    key = "waiting" if screen.phase == "running" else screen.phase
    return replace(
        screen,
        verdict=texts[screen.phase],
        next_step=next_step_phrases(translate)[key],
        lull_note=lull_note(None, interval_s, translate),
    )


def of_moment(
    screen: Screen, snapshot: Snapshot, words: Words, translate: Translate, interval_s: float
) -> Screen:
    """Fill in what the analysis says."""
    tone, sign = tone_of_moment(snapshot)
    pressure, unit, temperature = pressure_texts(snapshot, words.unit)
    key: str = "over" if screen.phase == "over" and snapshot.stage != "done" else snapshot.stage
    if sign == "caution":
        key = "caution"
    return replace(
        screen,
        verdict=words.verdict(snapshot),
        tone=tone,
        sign=sign,
        why=why(snapshot, words, translate, interval_s),
        next_step=next_step_phrases(translate)[key],
        pressure=pressure,
        unit=unit,
        temperature=temperature,
        lull_note=lull_note(snapshot, interval_s, translate),
        isolation=last_isolation(snapshot, words),
    )
