"""Every phrase of the program, one a code, in one table that a translator can work through.

A phrase names the numbers it wants by their SI key; ``app/words/sentences.py`` puts them in, in
the user's unit. ``translate`` has the shape of ``QCoreApplication.translate``, so that Qt's own
tools find the texts, but nothing here needs Qt.
"""

from collections.abc import Callable

from app.rig.phrases import rig_phrases
from app.words.caution_phrases import caution_phrases

Translate = Callable[[str, str], str]


def english(_context: str, text: str) -> str:
    """Leave a phrase as it is written here."""
    return text


def stage_phrases(translate: Translate) -> dict[str, str]:
    """Give the names of the stages as shown to the user."""
    return {
        "pulling-down": translate("Stage", "Pulling down"),
        "boiling-off": translate("Stage", "Boiling off"),
        "easing": translate("Stage", "Boiling off, and easing"),
        "flat": translate("Stage", "Flat"),
        "holding": translate("Stage", "Holding"),
        "done": translate("Stage", "Done"),
    }


def reason_phrases(translate: Translate) -> dict[str, str]:
    """Give one sentence for each code of the analysis."""
    return {
        **rig_phrases(translate),
        **caution_phrases(translate),
        # why the stage is what it is
        "pump-down": translate("Reason", "The trace is still falling quickly."),
        "bursts-seen": translate("Reason", "Bursts stand on the trace: water is boiling off."),
        "no-burst-yet": translate("Reason", "No burst has been seen for {quiet_s}."),
        "reads-too-rarely": translate(
            "Reason",
            "The gauge reads only once in {spacing_s}: a burst may be over before it reads again, "
            "so neither bursts nor flat can be told. Let it read every 10 s or more often.",
        ),
        "lulls-lengthen": translate("Reason", "The lulls between the bursts are lengthening."),
        "rate-below-one": translate(
            "Reason", "Bursts have become rarer than one in {flat_interval_s}."
        ),
        "quiet-start": translate("Reason", "Not one burst was seen for {quiet_s}."),
        "bursts-again": translate("Reason", "Bursts have come back: it was not over."),
        "caution-stands": translate("Reason", "A caution stands, so flat cannot be called."),
        "stands-too-high": translate(
            "Reason", "The trace stands at {pressure_pa}; flat is not called over {flat_below_pa}."
        ),
        "level-climbs": translate(
            "Reason", "The trace climbs slowly, so flat cannot be called before it stands."
        ),
        "flat-but-higher": translate(
            "Reason",
            "Bursts are rare, but it stands {rise_pa} higher since it went up within a minute, as "
            "with a leak that opened or a valve half closed: the standing test tells.",
        ),
        "valve-closed": translate("Reason", "The circuit is cut off from the pump."),
        "valve-opened": translate("Reason", "The circuit is joined to the pump again."),
        "hold-over": translate("Reason", "The standing test is over."),
        "vacuum-broken": translate("Reason", "The vacuum was broken; this is a new pull."),
        # why no time of flat is given
        "too-few-bursts": translate(
            "Reason", "Cannot tell yet: {bursts} of at least {needed} bursts seen."
        ),
        "no-trend": translate("Reason", "Cannot tell yet: the lulls are not lengthening so far."),
        "not-observing": translate(
            "Reason", "Cannot tell now: the trace is disturbed or interrupted."
        ),
        "no-readings": translate("Reason", "No reading has come yet."),
        # isolations
        "isolation-slower": translate(
            "Reason", "It rose more slowly than last time: {fraction} of the last rate."
        ),
        "isolation-same": translate("Reason", "It rose as fast as last time."),
        "isolation-faster": translate(
            "Reason", "It rose faster than last time: {multiple} the last rate."
        ),
        "isolation-too-short": translate(
            "Reason", "Too short to give a rate: only {duration_s} with the valve closed."
        ),
        # the standing test
        "straight-rise": translate("Reason", "It rises in a straight line: a leak."),
        "levels-off": translate(
            "Reason", "The rise levels off: something was still boiling or degassing."
        ),
        "levels-off-onto-straight-rise": translate(
            "Reason",
            "The rise levels off, but onto a straight line of {leak_pa_s} and not to rest.",
        ),
        "rise-within-limit": translate("Reason", "The rise stays within the limit of {limit_pa}."),
        "still-rising-slower": translate(
            "Reason", "It still rises, ever slower: where it ends cannot be told yet."
        ),
        "rises-since": translate(
            "Reason",
            "From {since_s} on it rises as it did not before, by {rise_pa} in all: something "
            "opened then, or began to give off gas.",
        ),
        "cannot-tell-apart": translate(
            "Reason", "A straight rise and one that levels off explain it about as well."
        ),
        "leak-would-not-show": translate(
            "Reason",
            "The readings scatter too much: even a leak of {limit_pa_s}, the most that is allowed, "
            "might not show. Hold longer, or look after the gauge and its wiring.",
        ),
        "too-short": translate(
            "Reason", "Too short so far: a leak cannot be told from vapour before {needed_s}."
        ),
        "few-readings": translate(
            "Reason",
            "Hardly a reading after the first minutes, {gap_s} without one: what rises cannot be "
            "told. Hold again.",
        ),
        "evened-out": translate("Reason", "Gauge and circuit had evened out at {pressure_pa}."),
        "temperature-changed": translate(
            "Reason",
            "The temperature changed during the hold: the gas alone makes {gas_law_pa} of that, "
            "vapour at most {vapour_at_most_pa}.",
        ),
        "rise-over-limit": translate(
            "Reason", "It rose by {value_pa}, over the limit of {limit_pa}."
        ),
        "pressure-over-limit": translate(
            "Reason", "It reached {value_pa}; the limit is {limit_pa}."
        ),
        "do-not-charge": translate(
            "Reason", "It stands at {value_pa}: over {limit_pa} nothing may be charged."
        ),
        "pressure-fell": translate(
            "Reason",
            "The pressure fell by {fall_pa}: cooling explains a little, an open valve more.",
        ),
        "opened-to-pump": translate(
            "Reason",
            "After {after_s} it fell at once, as when the valve is opened: what came then is left "
            "out.",
        ),
        "opened-to-air": translate(
            "Reason",
            "After {after_s} gas rushed in: something was opened, or a joint let go. What came "
            "then is left out of the finding; if you opened nothing, it is a leak.",
        ),
        "gauge-stuck": translate(
            "Reason",
            "The reading has not moved for the last {stuck_s}, which are left out: is the gauge "
            "stuck?",
        ),
        "never-moved": translate(
            "Reason",
            "The reading never moved: a tight circuit looks no other than a gauge that is stuck, "
            "off or shut off from it.",
        ),
        "gap-in-hold": translate("Reason", "Readings are missing for {gap_s} of the hold."),
        "start-too-high": translate(
            "Reason", "The hold began at {value_pa}, which is over {limit_pa}."
        ),
        "smallest-leak": translate(
            "Reason",
            "No leak above {leak_pa_s} seen; a smaller one, or one that opens only under "
            "pressure, would not show.",
        ),
    }


def finding_phrases(translate: Translate) -> dict[str, str]:
    """Give the sentence for each finding of a hold."""
    return {
        "held": translate(
            "Finding",
            "It held: no further release seen, and no leak above {leak_pa_s} seen. A leak may "
            "show only under pressure.",
        ),
        "leak": translate(
            "Finding",
            "Leak: the pressure rises in a straight line, {leak_pa_s}. Find the joint and mend it.",
        ),
        "vapour": translate(
            "Finding",
            "Vapour: the rise levels off. Water, or refrigerant or solvent leaving the oil; the "
            "gauge cannot name the gas. Pull again.",
        ),
        "both": translate(
            "Finding", "Leak and vapour: a straight rise of {leak_pa_s} and one that levels off."
        ),
        "still": translate("Finding", "Unclear: the reading does not move."),
        "scattered": translate("Finding", "Unclear: the readings scatter too much to show a leak."),
        "unclear": translate("Finding", "Unclear: the hold does not tell leak from vapour yet."),
    }


def advice_phrases(translate: Translate) -> dict[str, str]:
    """Give what to do next, one for each stage."""
    return {
        "pulling-down": translate("Advice", "Keep pumping."),
        "boiling-off": translate("Advice", "Keep pumping."),
        "easing": translate("Advice", "Keep pumping."),
        "flat": translate("Advice", "Ready for the standing test: flat alone proves nothing."),
        "holding": translate("Advice", "Leave the valve closed."),
        "done": translate("Advice", "Charge by weight, and write the record."),
    }


def mark_phrases(translate: Translate) -> dict[str, str]:
    """Give the names of the marks made by hand."""
    return {
        "valve-closed": translate("Mark", "isolating valve closed"),
        "valve-opened": translate("Mark", "isolating valve opened"),
        "blank-off": translate("Mark", "rig cut off for its blank-off test"),
        "hold-over": translate("Mark", "test ended"),
        "pump-off": translate("Mark", "pump off"),
        "nitrogen-in": translate("Mark", "nitrogen in"),
        "valve-moved": translate("Mark", "valve moved"),
        "heat": translate("Mark", "heat"),
        "note": translate("Mark", "note"),
    }
