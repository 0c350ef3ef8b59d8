"""Phrases of a hold as it goes on: what it looks like so far, and whether it may end."""

from collections.abc import Callable

Translate = Callable[[str, str], str]  # as in app/words/phrases.py, which takes these phrases in


def so_far_phrases(translate: Translate) -> dict[str, str]:
    """Give the sentence for each finding while the valve is still closed."""
    return {
        "still": translate("Finding", "The reading does not move."),
        "scattered": translate("Finding", "The readings scatter too much to show a leak so far."),
        "early": translate("Finding", "Too early to tell leak from vapour."),
        "held": translate("Finding", "So far it holds."),
        "leak": translate("Finding", "So far it looks like a leak, {leak_pa_s}."),
        "vapour": translate("Finding", "So far it looks like vapour: the rise levels off."),
        "both": translate(
            "Finding", "So far it looks like a leak, {leak_pa_s}, with vapour beside it."
        ),
        "unclear": translate("Finding", "Leak and vapour cannot be told apart yet."),
    }


def hold_end_phrases(translate: Translate) -> dict[str, str]:
    """Give whether a hold may end, by code."""
    return {
        "hold-too-short-yet": translate(
            "Reason", "Hold {left_s} longer: this circuit is held for at least {least_s}."
        ),
        "held-too-short": translate(
            "Reason",
            "It was held for {duration_s} only; such a circuit is held for at least {least_s}.",
        ),
        "held-leak-is-sure": translate(
            "Reason", "Held for {duration_s}: no longer hold is needed, for it leaks."
        ),
        "held-long-enough": translate(
            "Reason", "Held for {duration_s}; such a circuit is held for at least {least_s}."
        ),
        "hold-unclear-yet": translate("Reason", "Hold on: {longer_s} more should tell."),
        "hold-opened": translate(
            "Reason",
            "The circuit was opened, so this test is over: end it, and hold anew if need be.",
        ),
        "hold-rushed-in": translate(
            "Reason", "This test is over: end it, see to what let the gas in, and hold anew."
        ),
        "hold-gauge-still": translate(
            "Reason",
            "Holding longer does not help while the reading does not move. Check the gauge, its "
            "battery, and the valve, coupler or core between it and the circuit; then hold anew. "
            "A gauge that reads in finer steps tells more.",
        ),
        "hold-will-not-clear": translate(
            "Reason", "It cannot be told, and waiting will not help: pull again and hold anew."
        ),
        "hold-leak-is-sure": translate(
            "Reason", "The test may end: it leaks, and no waiting mends that."
        ),
        "hold-long-enough": translate(
            "Reason", "The test may end: the {least_s} that it takes at least are over."
        ),
    }


def kind_phrases(translate: Translate) -> dict[str, str]:
    """Give the kinds of circuit, by how long they are held at least."""
    return {
        "clean": translate("Circuit", "new and clean"),
        "normal": translate("Circuit", "ordinary"),
        "long": translate("Circuit", "rear unit, heat pump or long open"),
        "disputed": translate("Circuit", "disputed"),
    }
