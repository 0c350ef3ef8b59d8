"""Phrases of isolations, pulls, holds, blank-off test and two gauges, by code."""

from collections.abc import Callable

from app.hold.phrases import hold_end_phrases
from app.rig.pressure_test_phrases import pressure_test_phrases

Translate = Callable[[str, str], str]  # as in app/words/phrases.py, which takes these phrases in


def rig_phrases(translate: Translate) -> dict[str, str]:
    """Give one sentence for each code."""
    return {
        **_isolation_phrases(translate),
        **hold_end_phrases(translate),
        **_pull_phrases(translate),
        **_blank_off_phrases(translate),
        **pressure_test_phrases(translate),
        **_two_gauges_phrases(translate),
    }


def _isolation_phrases(translate: Translate) -> dict[str, str]:
    return {
        "isolation-first": translate("Reason", "The first isolation: the next is set beside it."),
        "isolation-rose": translate("Reason", "Isolated, it rose by {rise_pa}: {rate_pa_s}."),
        "isolation-stood": translate(
            "Reason", "Isolated, it rose by {rise_pa} at first and then no more."
        ),
        "isolation-still": translate("Reason", "Isolated, it did not rise."),
        "isolation-proves": translate(
            "Reason",
            "An isolation rose by no more than a hold may, so {needed_s} without a burst are "
            "enough.",
        ),
        "cut-off-steady": translate(
            "Reason",
            "It looks as if the valve was closed {ago_s} ago, or the pump stopped: the pressure "
            "has risen steadily by {rise_pa}. If you closed it, say so, and that moment is time "
            "zero.",
        ),
        "cut-off-levelling": translate(
            "Reason",
            "It looks as if the valve was closed {ago_s} ago, or the pump stopped: the pressure "
            "has risen by {rise_pa} and is levelling off. If you closed it, say so, and that "
            "moment is time zero.",
        ),
    }


def _pull_phrases(translate: Translate) -> dict[str, str]:
    return {
        "pull-now": translate("Reason", "This is pull {pull}."),
        "pull-to-come": translate(
            "Reason",
            "The vacuum is broken, at {pressure_pa}. Leave the nitrogen in for 5 to 10 min (common "
            "practice); then comes pull {pull}.",
        ),
        "pull-reached": translate(
            "Reason", "Down to {pressure_pa} in {after_s}; the pull before took {last_s}."
        ),
        "pull-rarer": translate(
            "Reason", "Bursts come rarer than in the last pull: {fraction} as often."
        ),
        "pull-as-often": translate("Reason", "Bursts come about as often as in the last pull."),
        "pull-oftener": translate(
            "Reason", "Bursts come oftener than in the last pull: {multiple} as often."
        ),
        "pull-smallest": translate(
            "Reason", "The smallest burst was {rise_pa}, in the pull before {last_pa}."
        ),
    }


def _blank_off_phrases(translate: Translate) -> dict[str, str]:
    return {
        "blank-off": translate("Reason", "Blank-off: pump, hoses and gauge alone are cut off."),
        "blank-off-runs": translate(
            "Reason",
            "Blank-off test: pump, hoses and gauge alone are cut off for {duration_s} of "
            "{needed_s}, {risen}. Leave both valves closed.",
        ),
        "blank-off-may-end": translate(
            "Reason",
            "Blank-off test: {duration_s} are over, {risen}. It is long enough: end it.",
        ),
        "blank-off-over": translate("Reason", "The blank-off test is over."),
        "blank-off-shows": translate(
            "Reason", "The rig pulled down to {ultimate_pa}; cut off, it has {risen}, to {end_pa}."
        ),
        "blank-off-load": translate("Reason", "Its own gas load is {load_pa_m3_s}."),
        "blank-off-load-counts": translate(
            "Reason",
            "Its own gas load is {load_pa_m3_s}, of {limit_pa_m3_s} allowed: with both volumes "
            "known this counts for more than the rise.",
        ),
        "blank-off-goes-on": translate(
            "Reason", "Leave it closed: {duration_s} of {needed_s} are over."
        ),
        "blank-off-not-pulled": translate(
            "Reason",
            "It began at {ultimate_pa}, which is no vacuum: pump, hoses and gauge were not pulled "
            "down, or this gauge is not among them. One at the far side sees nothing of them.",
        ),
        "blank-off-never-moved": translate(
            "Reason",
            "The reading never moved in {duration_s}: a gauge that is stuck, or reads too "
            "coarsely, looks the same. This proves nothing of pump, hoses and gauge.",
        ),
        "blank-off-stuck": translate(
            "Reason",
            "The gauge is stuck: the same reading for {stuck_for_s}, which is left out. Test "
            "again.",
        ),
        "blank-off-few-readings": translate(
            "Reason",
            "Too few readings came to tell a rise. Let the gauge read more often, or test for "
            "longer.",
        ),
        "blank-off-stands": translate(
            "Reason",
            "The reading rose, and has stood still for {still_for_s}: the gauge is stuck, at the "
            "end of its range, or too coarse for so slow a rise. Test again.",
        ),
        "blank-off-air": translate(
            "Reason",
            "After {after_s} gas rushed in: a valve was opened, or a hose came off. The test "
            "counts only until then.",
        ),
        "blank-off-falls": translate(
            "Reason",
            "It goes on falling, to {end_pa}, which nothing does that is closed: is the valve to "
            "the pump shut? Shut it, and test again.",
        ),
        "blank-off-no-rise": translate(
            "Reason",
            "No clear rise was seen, and no limit passed: good, if the valve to the pump was "
            "closed. "
            "Hoses and seals always give off a little gas, so some rise is usual.",
        ),
        "blank-off-good": translate("Reason", "Pump, hoses and gauge are good for this job."),
        "blank-off-no-volume": translate(
            "Reason", "Without the volume of hoses and gauge their gas load cannot be told."
        ),
        "blank-off-end-over": translate(
            "Reason",
            "It ended at {value_pa}, over {limit_pa}: pump oil, a hose's seal or the gauge's own "
            "joint. Mend the rig before it is joined to the circuit.",
        ),
        "blank-off-rise-over": translate(
            "Reason",
            "It rose by {value_pa}, over {limit_pa}: hoses that leak or still degas. Pull the rig "
            "alone for longer, or change the hose.",
        ),
        "blank-off-rise-over-little": translate(
            "Reason",
            "It rose by {value_pa}, over {limit_pa}, though in so small a rig that is little gas. "
            "Pull the rig alone for longer if there is time.",
        ),
        "blank-off-load-over": translate(
            "Reason",
            "The rig's gas load of {value_pa_m3_s} is over {limit_pa_m3_s}: every later rise "
            "would be partly its own.",
        ),
        "rig-share": translate("Reason", "Of this rise {fraction} is the rig's own ({share})."),
        "rig-explains-all": translate(
            "Reason",
            "In its blank-off test the rig gave off as much as rises here: all of it may be the "
            "rig's own. Hoses give off less as time passes, so test the rig once more before you "
            "rely on that.",
        ),
        "no-rise-to-share": translate("Reason", "There was no rise to share with the rig."),
    }


def _two_gauges_phrases(translate: Translate) -> dict[str, str]:
    return {
        "far-restricted": translate(
            "Reason",
            "At the far side {far_pa}, at the pump {pump_pa}: {share} of the pump's speed "
            "reaches the far side, where a usual hose leaves {usual_share}. The hose is thin or "
            "long, a passage, a core or a valve is hardly open, or one of the gauges is wrong.",
        ),
        "far-not-following": translate(
            "Reason",
            "At the pump it is down to {pump_pa}, but the far side stays at {far_pa}: a valve in "
            "between is closed, a core is not pressed in, the hose is thin or kinked, or the far "
            "gauge is stuck.",
        ),
        "pump-above-far": translate(
            "Reason",
            "The gauge at the pump shows {pump_pa}, more than the far one with {far_pa}: the two "
            "are swapped, or one of them is wrong.",
        ),
        "pump-side-rose": translate(
            "Reason",
            "At the pump it has risen to {pump_pa}, over the far side's {far_pa}: the pump "
            "stands, or air comes in there. With the valve open it is sucked into the circuit: "
            "close it.",
        ),
        "far-silent": translate(
            "Reason",
            "The far gauge says nothing, and it alone decides. The one at the pump shows "
            "{pump_pa}.",
        ),
    }
