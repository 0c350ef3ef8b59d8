"""What each step of the walk through a standing test asks for, in its own words."""

from collections.abc import Callable

from app.screen.shown import HoldScreen
from app.words.phrases import Translate


def _close_valve(translate: Translate) -> HoldScreen:
    return HoldScreen(
        page="close-valve",
        title=translate("Hold", "Close the isolating valve"),
        instruction=translate(
            "Hold",
            "The valve between circuit and pump, with the gauge on the circuit's side. Leave the "
            "pump running. Press as you close it: that moment is time zero.",
        ),
        warning=translate(
            "Hold",
            "Valve first, pump second: a stopped pump with an open valve sucks air and oil back.",
        ),
        forward=translate("Hold", "Valve is closed"),
        back=translate("Hold", "Not now"),
    )


def _isolating(translate: Translate) -> HoldScreen:
    return HoldScreen(
        page="isolating",
        title=translate("Hold", "Isolated, the pump runs on"),
        instruction=translate("Hold", "Leave the valve closed for two to five minutes."),
        warning=translate("Hold", "Leave the pump running: it holds back air and its oil."),
        forward=translate("Hold", "Valve opened again"),
        back=translate("Hold", "Make it a standing test"),
    )


def _pump_off(translate: Translate) -> HoldScreen:
    return HoldScreen(
        page="pump-off",
        title=translate("Hold", "Switch the pump off"),
        instruction=translate(
            "Hold",
            "The valve is closed and time runs. Now stop the pump. For a short isolation let it "
            "run, and open the valve again after some minutes.",
        ),
        warning=translate("Hold", "Do not open the valve while the pump stands."),
        forward=translate("Hold", "Pump is off"),
        back=translate("Hold", "Valve opened again"),
    )


def _vent_pump(translate: Translate) -> HoldScreen:
    return HoldScreen(
        page="vent-pump",
        title=translate("Hold", "Vent the pump"),
        instruction=translate(
            "Hold",
            "Let air into the pump on its own side of the closed valve, so that nothing pulls on "
            "the valve and a valve that does not close shows as a rise.",
        ),
        warning=translate(
            "Hold", "The isolating valve stays closed: through an open one air and oil go in."
        ),
        forward=translate("Hold", "Pump is vented"),
        back=translate("Hold", "Valve opened again"),
    )


def _even_out(translate: Translate) -> HoldScreen:
    return HoldScreen(
        page="even-out",
        title=translate("Hold", "Letting it even out"),
        instruction=translate(
            "Hold",
            "Gauge and circuit come to one pressure: a first rise is usual. Touch nothing; the "
            "finding comes by itself.",
        ),
        forward="",
        back=translate("Hold", "Valve opened again"),
    )


def _holding(translate: Translate) -> HoldScreen:
    return HoldScreen(
        page="holding",
        title=translate("Hold", "Holding"),
        instruction=translate("Hold", "Leave the valve closed."),
        forward=translate("Hold", "End the test here"),
        back=translate("Hold", "Valve opened again"),
    )


def _finding(translate: Translate) -> HoldScreen:
    return HoldScreen(
        page="finding",
        title=translate("Hold", "The test is over"),
        instruction="",
        warning=translate("Hold", "To pull again: pump on first, and only then open the valve."),
        forward=translate("Hold", "Hold again"),
        back=translate("Hold", "Pump runs, valve opened"),
    )


PAGES: dict[str, Callable[[Translate], HoldScreen]] = {
    "close-valve": _close_valve,
    "isolating": _isolating,
    "pump-off": _pump_off,
    "vent-pump": _vent_pump,
    "even-out": _even_out,
    "holding": _holding,
    "finding": _finding,
}
