"""Names of what stands in several places: window, terminal, charts and printed record say the same.

Sentences are in ``app/words/phrases.py``; these are the names in them, beside curves, lines and
limits.
"""

from app.words.phrases import Translate


def caution_names(translate: Translate) -> dict[str, str]:
    """Name the cautions."""
    return {
        "ice": translate("Term", "ice"),
        "not-pulling-down": translate("Term", "not pulling down"),
        "gauge-shut-off": translate("Term", "gauge shut off"),
        "no-signal": translate("Term", "no signal"),
        "sudden-rise": translate("Term", "sudden rise"),
        "rising": translate("Term", "rising"),
        "no-bursts-seen": translate("Term", "no bursts seen"),
        "cold": translate("Term", "cold"),
    }


def finding_names(translate: Translate) -> dict[str, str]:
    """Name the findings of a hold."""
    return {
        "held": translate("Term", "held"),
        "leak": translate("Term", "leak"),
        "vapour": translate("Term", "vapour"),
        "both": translate("Term", "leak and vapour"),
        "unclear": translate("Term", "unclear"),
    }


def curve_names(translate: Translate) -> dict[str, str]:
    """Name the curves that would explain a hold."""
    return {
        "steady": translate("Term", "steady: evens out"),
        "leak": translate("Term", "leak: straight"),
        "vapour": translate("Term", "vapour: levels off"),
        "both": translate("Term", "leak and vapour"),
    }


def line_names(translate: Translate) -> dict[str, str]:
    """Name the lines across the charts; those ending in ``-at`` have a value behind them."""
    return {
        "boiling": translate("Term", "water boils"),
        "boiling-at": translate("Term", "water boils below {pressure}"),
        "freezing": translate("Term", "ice possible"),
        "freezing-at": translate("Term", "ice possible below {pressure}"),
        "flat": translate("Term", "flat: a burst in {time}"),
        "rise": translate("Term", "most it may rise"),
        "highest": translate("Term", "most it may reach"),
        "charge": translate("Term", "no charging over this"),
        "limit-at": translate("Term", "{name}: {limit}"),
    }


def limit_names(translate: Translate) -> dict[str, str]:
    """Name the limits of a hold and of a blank-off test."""
    return {
        "start": translate("Term", "At the start"),
        "rise": translate("Term", "Rise after the even-out"),
        "highest": translate("Term", "Highest"),
        "charge": translate("Term", "To charge"),
        "blank-off-end": translate("Term", "At the end"),
        "blank-off-rise": translate("Term", "Rise"),
        "blank-off-load": translate("Term", "Gas load"),
    }


def limit_phrases(translate: Translate) -> dict[str, str]:
    """Give how a limit is told, and whether it was met."""
    return {
        "line": translate("Term", "{name}: {value}, at most {limit}"),
        "told": translate("Term", "{name}: {value}, at most {limit}: {outcome} ({source})"),
        "met": translate("Term", "met"),
        "not-met": translate("Term", "NOT MET"),
        "closed-for": translate("Term", "Closed for {time}, {moved}"),
    }


def link_phrases(translate: Translate) -> dict[str, str]:
    """Give what happens to the link to a gauge."""
    return {
        "connected": translate("Term", "Gauge connected: {detail}"),
        "lost": translate("Term", "Gauge lost: {detail}"),
        "failed": translate("Term", "Gauge given up: {detail}"),
        "ended": translate("Term", "The readings have ended."),
    }


def drive_names(translate: Translate) -> dict[str, str]:
    """Name the kinds of vehicle."""
    return {
        "combustion": translate("Term", "combustion engine"),
        "hybrid": translate("Term", "hybrid (high voltage)"),
        "electric": translate("Term", "electric (high voltage)"),
    }


def look_names(translate: Translate) -> dict[str, str]:
    """Name the window's looks."""
    return {
        "system": translate("Look", "As the system"),
        "light": translate("Look", "Light"),
        "dark": translate("Look", "Dark"),
        "high-contrast": translate("Look", "High contrast"),
    }


def joint_names(translate: Translate) -> dict[str, str]:
    """Name the states of a joint."""
    return {
        "suspect": translate("Term", "suspect"),
        "renewed": translate("Term", "O-ring renewed"),
        "tight": translate("Term", "found tight"),
        "leaks": translate("Term", "leaks"),
    }
