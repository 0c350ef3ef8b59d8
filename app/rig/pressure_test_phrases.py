"""Phrases of the pressure test with dry nitrogen."""

from collections.abc import Callable

Translate = Callable[[str, str], str]  # as in app/words/phrases.py, which takes these phrases in


def pressure_test_phrases(translate: Translate) -> dict[str, str]:
    """Say why a pressure test was judged so, and what to mind before and in it."""
    return {
        "pressure-test-as-warm": translate("Reason", "The temperature was the same."),
        "pressure-test-warmer": translate(
            "Reason", "By the temperature alone the pressure would have risen by {change_test_pa}."
        ),
        "pressure-test-cooler": translate(
            "Reason", "By the temperature alone the pressure would have fallen by {change_test_pa}."
        ),
        "pressure-test-fell": translate(
            "Reason",
            "It fell by {fall_test_pa} ({low_test_pa} to {high_test_pa}) more than the "
            "temperature explains: a leak, unless the gas was still warm from being let in when "
            "the test began; then it falls no more in a second test, and a reading half way shows "
            "it. Find a leak under pressure with a leak detection fluid, before any vacuum.",
        ),
        "pressure-test-fell-either": translate(
            "Reason",
            "It fell by {fall_test_pa} ({low_test_pa} to {high_test_pa}) more than the "
            "temperature explains: a leak, unless the gas was still warm from being let in when "
            "the test began, which the reading half way cannot tell on this dial; then it falls no "
            "more in a second test. Find a leak under pressure with a leak detection fluid, before "
            "any vacuum.",
        ),
        "pressure-test-middle-outside": translate(
            "Reason",
            "The reading half way does not lie between those at the start and at the end, so that "
            "one of the three is wrong; the one half way was not heeded.",
        ),
        "pressure-test-fell-on": translate(
            "Reason",
            "It fell by {fall_test_pa} more than the temperature explains, by {first_test_pa} in "
            "the first half of the test and by {second_test_pa} in the second: a leak, for gas "
            "that only cools would have slowed down more. Find it under pressure with a leak "
            "detection fluid, before any vacuum.",
        ),
        "pressure-test-cooling": translate(
            "Reason",
            "Unclear: it fell by {first_test_pa} in the first half of the test and by "
            "{second_test_pa} in the second, as gas does that is still cooling from being let in; "
            "a leak as well may be in it. Keep it shut for {wait_s} more. Then test anew from what "
            "the dial shows: only a leak falls again.",
        ),
        "pressure-test-rose": translate(
            "Reason",
            "It rose by {rise_test_pa} more than the temperature explains: nitrogen still comes "
            "in, or a reading or a temperature is wrong. Shut the cylinder, and test again.",
        ),
        "pressure-test-no-fall": translate(
            "Reason",
            "No fall seen; one under {seen_test_pa} would not show on this dial. A standing test "
            "and a leak detector are still needed.",
        ),
        "pressure-test-uneven": translate(
            "Reason",
            "Where it was touched the metal changed by {change_c}; the rest may be ahead or "
            "behind, so that a larger fall would not show. It tells more once the metal stands "
            "still.",
        ),
        "pressure-test-short": translate(
            "Reason", "The test lasted {duration_s}; {needed_s} or more are usual."
        ),
        "pressure-over-rated": translate(
            "Reason",
            "{pressure_test_pa} is over the {rated_test_pa} of the lowest-rated component. Let "
            "it down.",
        ),
        "pressure-test-regulator": translate(
            "Reason",
            "Dry nitrogen only, and only through a pressure regulator with a relief valve.",
        ),
        "pressure-test-inert": translate(
            "Reason",
            "Never oxygen or compressed air: with oil they explode, and air brings water in.",
        ),
        "pressure-test-rated": translate(
            "Reason",
            "Never above the lowest-rated component: read its plate or the maker's figure first.",
        ),
        "pressure-test-gauge": translate(
            "Reason", "Isolate the vacuum gauge before any pressure comes on."
        ),
        "pressure-test-slowly": translate(
            "Reason",
            "Raise the pressure in steps, wear eye protection, keep clear of the ends of hoses, "
            "and open no joint under pressure. Ventilate: nitrogen takes the air's place.",
        ),
        "pressure-test-settle": translate(
            "Reason",
            "Then shut the nitrogen off, and wait for some 10 min (common practice) until the "
            "needle and the metal's temperature stand still: gas is warm from being let in, and "
            "its cooling looks like a leak. Only then read the start. A reading half way tells the "
            "two apart.",
        ),
        "pressure-test-codes": translate(
            "Reason", "The vehicle maker's procedure and local codes decide."
        ),
    }
