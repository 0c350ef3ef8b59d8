"""The phrases of the window that are not of the analysis: what to do next, and why so."""

from app.words.phrases import Translate
from app.words.terms import caution_names


def next_step_phrases(translate: Translate) -> dict[str, str]:
    """Give the one thing to do next, by phase or stage."""
    return {
        "idle": translate("Next", "Choose the gauge. Then start the pump and open the valves."),
        "opening": translate("Next", "One moment."),
        "waiting": translate("Next", "Switch the gauge on. Start the pump."),
        "pulling-down": translate("Next", "Let it pull. Fill in the job meanwhile."),
        "broken": translate("Next", "Nitrogen only, through a regulator. Then pull again."),
        "blanking": translate("Next", "Blank-off test: leave both valves closed."),
        "blanked": translate("Next", "Pump on. Then open the valves to the circuit."),
        "boiling-off": translate("Next", "Let it pull. A short isolation now and then is proof."),
        "easing": translate("Next", "Let it pull. A short isolation now and then is proof."),
        "flat": translate("Next", "Ready for the standing test."),
        "holding": translate("Next", "Leave the valve closed, and touch nothing."),
        "done": translate("Next", "Read the finding. Charge by weight only after a good hold."),
        "caution": translate("Next", "First see to the caution."),
        "rushed-in": translate("Next", "Look for what let go or was opened. Then end the test."),
        "reopened": translate("Next", "Choose the gauge to go on with this job."),
        "over": translate("Next", "The readings have ended. Finish the job, or read on."),
    }


def change_phrases(translate: Translate) -> dict[str, str]:
    """Give what would change each stage."""
    return {
        "pulling-down": translate(
            "Why", "Bursts on the trace, or a trace that falls slowly, move it on."
        ),
        "boiling-off": translate("Why", "Lulls that lengthen beyond chance make it easing."),
        "easing": translate(
            "Why",
            "Bursts rarer than one in {interval}, on a trace that hardly falls, make it flat.",
        ),
        "flat": translate(
            "Why", "A burst, a rise or a caution takes it back. Only a standing test goes further."
        ),
        "holding": translate(
            "Why", "More time tells a leak from vapour. Opening the valve ends the test."
        ),
        "done": translate("Why", "Opening the valve to the running pump begins a new pull."),
    }


def lull_notes(translate: Translate) -> dict[str, str]:
    """Give the line under the lull chart that says how to read it."""
    return {
        "none": translate(
            "Lull", "A lull is the time from one burst to the next. None has come yet."
        ),
        "few": translate(
            "Lull", "A lull is the time from one burst to the next. Too few yet for a trend."
        ),
        "trend": translate(
            "Lull",
            "A lull is the time from one burst to the next. Flat is where the trend reaches "
            "{interval}.",
        ),
        "no-trend": translate(
            "Lull",
            "A lull is the time from one burst to the next. They are not lengthening so far.",
        ),
    }


def part_phrases(translate: Translate) -> dict[str, str]:
    """Give the parts of the whole job."""
    return {
        "look-over": translate("Part", "Look over, list the joints"),
        "rig": translate("Part", "Map the rig"),
        "pressure-test": translate("Part", "Pressure test, dry nitrogen"),
        "blank-off": translate("Part", "Blank-off test of the rig"),
        "evacuation": translate("Part", "Evacuate until flat"),
        "standing-test": translate("Part", "Standing test"),
        "locate": translate("Part", "Locate a leak, if any"),
        "charge": translate("Part", "Charge by weight"),
        "hand-over": translate("Part", "Hand over the record"),
    }


def alarm_titles(translate: Translate) -> dict[str, str]:
    """Give what stands largest on the banner over the whole window."""
    return {
        "flat": translate("Alarm", "Flat"),
        **{code: name.capitalize() for code, name in caution_names(translate).items()},
        "rushed-in": translate("Alarm", "Gas rushes in"),
        "not-saved": translate("Alarm", "Not being saved"),
    }
