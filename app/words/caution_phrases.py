"""Phrases of the cautions, by code: what is seen, what it may be, what to do, when it is over."""

from collections.abc import Callable

Translate = Callable[[str, str], str]  # as in app/words/phrases.py, which takes these phrases in


def caution_phrases(translate: Translate) -> dict[str, str]:
    """Give one sentence or more for each code."""
    return {
        **_stuck_phrases(translate),
        **_gauge_phrases(translate),
        **_rise_phrases(translate),
        "no-bursts-seen": translate(
            "Reason",
            "Flat without ever boiling. Check that the gauge sees the circuit, and close the "
            "isolating valve for two minutes or more: if it hardly rises, that settles it.",
        ),
        "cold": translate(
            "Reason",
            "The circuit is at {temperature_c}: that cold, water boils off slowly and flat comes "
            "too early. Warm it to 15 °C or more.",
        ),
        "too-cold": translate(
            "Reason",
            "The circuit is at {temperature_c}: under 5 °C its water stays as it is, and nothing "
            "that the trace shows is a verdict. Warm it to 15 °C or more.",
        ),
    }


def _stuck_phrases(translate: Translate) -> dict[str, str]:
    return {
        "ice": translate(
            "Reason",
            "Ice is likely: without a burst the trace came to {pressure_pa} as freezing water "
            "does. That is the pressure of ice at {coldest_c} to {ice_c}. Feel for the coldest "
            "part and warm it (no flame), or break the vacuum with dry nitrogen, let it thaw and "
            "pull again. Over when the trace falls away or bursts again.",
        ),
        "not-pulling-down": translate(
            "Reason",
            "It stopped pulling down at {pressure_pa}: a leak, a weak pump or a thin or kinked "
            "hose; the trace alone cannot tell which. See that all valves are open, the pump's gas "
            "ballast is shut and its oil is clear. A blank-off test shows pump and hoses. If they "
            "are good, close the isolating valve: a leak goes on rising. Over when the trace falls "
            "clearly.",
        ),
        "not-pulling-down-or-ice": translate(
            "Reason",
            "It stopped pulling down at {pressure_pa} and nothing bursts: a leak, a weak pump, a "
            "thin or kinked hose, or ice at {coldest_c} to {ice_c}. See that all valves are open "
            "and the pump's gas ballast is shut. Close the isolating valve for two minutes: a leak "
            "goes on rising, ice rises little. A blank-off test shows pump and hoses. Feel for a "
            "cold spot and warm it (no flame). Over when the trace falls clearly.",
        ),
        "hardly-pulling-down": translate(
            "Reason",
            "It falls so slowly, and is still at {pressure_pa}, that at this pace it takes more "
            "than {long_s}: a leak, a weak pump, a thin or kinked hose, ice, or far too much "
            "water. Close the isolating valve for two minutes: a leak goes on rising, ice rises "
            "little. A blank-off test shows pump and hoses. Feel for a cold spot and warm it (no "
            "flame); renew drier and oil where lines stood open. Over when the trace falls "
            "clearly.",
        ),
        "pulling-slowly": translate(
            "Reason",
            "It pulls down slowly and is still at {pressure_pa}: even halving the pressure where "
            "no water boils yet took {took_s}. The hose is thin or kinked, a core or valve nearly "
            "shut, or the pump weak: take the cores out, use a wider, shorter hose, or do a "
            "blank-off test. Over when the trace is down.",
        ),
    }


def _gauge_phrases(translate: Translate) -> dict[str, str]:
    return {
        "gauge-shut-off": translate(
            "Reason",
            "The pressure fell faster than any circuit can: the gauge may see only its own hose. "
            "Check valve, coupler and core between the gauge and the circuit. Over when bursts "
            "show that it sees the circuit.",
        ),
        "gauge-stands-still": translate(
            "Reason",
            "It came down within {fell_s} and stands still since: the gauge may see only its own "
            "hose. Check valve, coupler and core on its way to the circuit. Over when it bursts.",
        ),
        "gauge-fell-away": translate(
            "Reason",
            "It fell to under half within {fell_s}, far faster than this circuit falls: the gauge "
            "was shut off. Check valve, coupler and core on its way. If you turned a valve "
            "yourself, mark it. Over when the level is back or it bursts.",
        ),
        "gauge-fell-silent": translate(
            "Reason",
            "It fell to under half within {fell_s} and has not burst since, though it boiled "
            "before: the gauge may be shut off. Check valve, coupler and core on its way. If you "
            "turned a valve yourself, mark it. Over when the level is back or it bursts.",
        ),
        "gauge-climbs-silent": translate(
            "Reason",
            "The bursts ended {silent_s} ago, and since then the trace climbs straight, as no "
            "circuit does under the pump: the gauge may see only its own hose. Check valve, "
            "coupler and core on its way. If you are warming the circuit, or turned a valve "
            "yourself, mark it. Over when it bursts again or the level falls.",
        ),
        "gauge-silent": translate(
            "Reason",
            "The bursts ended at once {silent_s} ago and not little by little, and the level "
            "stands: the gauge may see only its own hose, or what is left froze. Check valve, "
            "coupler and core on its way, and feel for a cold spot. If you turned a valve "
            "yourself, mark it. Over when it bursts again or the level falls.",
        ),
        "no-signal": translate(
            "Reason",
            "No reading for {silence_s}: nobody watches the circuit. Check the gauge, its battery "
            "and its cable.",
        ),
    }


def _rise_phrases(translate: Translate) -> dict[str, str]:
    return {
        "sudden-rise": translate(
            "Reason",
            "The pressure shot up by {rise_pa} within {within_s}: a hose off, a valve opened, a "
            "pump stopped with its valve open. Close the isolating valve first: air and pump oil "
            "may be sucked back. Then look for the cause. If you let nitrogen in, mark it. Over "
            "when the pump has taken it away.",
        ),
        "rising": translate(
            "Reason",
            "The trace has been rising for {rising_s}, by {rise_pa}: pump stopped, valve closed "
            "or a leak opened. If the pump stands, close the isolating valve: oil may be sucked "
            "back. If you closed the valve yourself, mark it. Over when half of the rise is gone.",
        ),
        "climbing": translate(
            "Reason",
            "The trace has climbed steadily for {rising_s}, by {rise_pa}, as no circuit does under "
            "the pump: the gauge shut off from the circuit, the pump stopped or its valve closed, "
            "a leak that opens up. Check valve, coupler and core on the gauge's way, then the "
            "pump. If you are warming the circuit, or turned a valve yourself, mark it. Over when "
            "half of the rise is gone.",
        ),
        "stepped-up": translate(
            "Reason",
            "The trace went up by {rise_pa} within a minute and stays there, as no burst does: a "
            "leak opened, a valve half closed, the pump's gas ballast open, or the pump weak. Look "
            "at pump and valves; then close the isolating valve for two minutes: a leak goes on "
            "rising. If you turned a valve yourself, mark it. Over when half of the rise is gone, "
            "after an isolation, or when it has stood there for 20 min without rising further.",
        ),
    }
