"""The walk through a standing test: which step comes now, and what each step says.

The valve is closed first, and that moment is the hold's zero; only then the pump is stopped and
vented. The other way round a stopped pump sucks air and its own oil back into the circuit.
"""

from dataclasses import replace

from analysis.snapshot import HoldResult, Snapshot
from app import display
from app.phrases import Translate
from app.rig_tests import isolation_lines
from app.screen import HoldScreen, LimitLine, Line, Tone, WalkPage
from app.words import Words

_TONES: dict[str, Tone] = {
    "held": "good",
    "leak": "danger",
    "both": "danger",
    "vapour": "attention",
    "unclear": "attention",
}


def tone_of(result: HoldResult) -> Tone:
    """Give the tone of a finding; a limit that is not met never looks good."""
    if result.finding == "held" and not all(limit.passed for limit in result.limits):
        return "attention"
    return _TONES[result.finding]


class HoldWalk:
    """Knows the step from what was pressed and from what the analysis sees.

    So a walk that the program was closed in goes on where the record says it is: a circuit that
    is cut off is holding, whatever was pressed.
    """

    def __init__(self) -> None:
        self.is_asked = False
        self.is_isolating = False
        self.is_pump_off = False
        self.is_vented = False

    def ask(self) -> None:
        """Begin: the technician wants to hold now."""
        self.is_asked = True
        self.is_isolating = self.is_pump_off = self.is_vented = False

    def isolate(self) -> None:
        """Close for some minutes only: the pump runs on."""
        self.give_up()
        self.is_isolating = True

    def give_up(self) -> None:
        """Leave the walk."""
        self.is_asked = self.is_isolating = self.is_pump_off = self.is_vented = False

    def skip_to_hold(self) -> None:
        """Take a circuit that was found cut off as one whose pump was seen to."""
        self.is_pump_off = self.is_vented = True

    def page(self, snapshot: Snapshot | None) -> WalkPage:
        """Say which step comes now."""
        stage = None if snapshot is None else snapshot.stage
        if stage not in ("holding", "done") or snapshot is None:
            return "close-valve" if self.is_asked else "none"
        if stage == "done":
            return "close-valve" if self.is_asked else "finding"
        if self.is_isolating:
            return "isolating"
        if not self.is_pump_off:
            return "pump-off"
        if not self.is_vented:
            return "vent-pump"
        return "even-out" if _is_early(snapshot.hold) else "holding"


def _is_early(result: HoldResult | None) -> bool:
    return result is None or any(reason.code == "too-short" for reason in result.reasons)


def hold_screen(
    page: WalkPage, snapshot: Snapshot | None, words: Words, translate: Translate
) -> HoldScreen:
    """Make the texts of one step."""
    if page == "none":
        return HoldScreen()
    screen = _PAGES[page](translate)
    if snapshot is None or page == "close-valve":
        return screen
    result = snapshot.hold
    if page == "isolating":
        screen = _isolating_so_far(screen, snapshot, words, translate)
    if snapshot.hold_from_s is not None:
        for_s = snapshot.time_s - snapshot.hold_from_s
        if page == "finding" and result is not None:
            for_s = result.duration_s
        screen = replace(screen, clock=_closed_for(translate, for_s, result, words))
    if result is None or page not in ("holding", "finding"):
        return screen
    return replace(
        screen,
        finding=Line(_short(page, result, translate), tone_of(result)),
        reasons=tuple(words.reason(reason) for reason in result.reasons),
        limits=limit_lines(result, words, translate),
    )


def _short(page: WalkPage, result: HoldResult, translate: Translate) -> str:
    names = {
        "held": translate("Finding", "held"),
        "leak": translate("Finding", "leak"),
        "vapour": translate("Finding", "vapour"),
        "both": translate("Finding", "leak and vapour"),
        "unclear": translate("Finding", "unclear"),
    }
    phrase = translate("Hold", "So far: {finding}")
    if page == "finding":
        phrase = translate("Hold", "Finding: {finding}")
    return phrase.format(finding=names[result.finding])


def limit_lines(result: HoldResult, words: Words, translate: Translate) -> tuple[LimitLine, ...]:
    """Make one line for each limit."""
    names = {
        "start": translate("Limit", "At the start {value}, limit {limit}"),
        "rise": translate("Limit", "Risen {value}, limit {limit}"),
        "highest": translate("Limit", "Highest {value}, stays under {limit}"),
        "charge": translate("Limit", "Now {value}, no charging over {limit}"),
    }
    return tuple(
        LimitLine(
            names.get(check.name, check.name + ": {value}, {limit}").format(
                value=display.pressure(max(check.value, 0.0), words.unit),
                limit=display.pressure(check.limit, words.unit),
            ),
            check.passed,
            check.source,
        )
        for check in result.limits
    )


def _closed_for(translate: Translate, for_s: float, result: HoldResult | None, words: Words) -> str:
    time = display.duration(for_s)
    if result is None:
        return translate("Hold", "Closed for {time}").format(time=time)
    return translate("Hold", "Closed for {time}, risen {rise}").format(
        time=time, rise=display.pressure(max(result.rise_pa, 0.0), words.unit)
    )


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


ISOLATION_S = (120.0, 300.0)  # two to five minutes [common practice, no source]


def _isolating(translate: Translate) -> HoldScreen:
    return HoldScreen(
        page="isolating",
        title=translate("Hold", "Isolated, the pump runs on"),
        instruction=translate("Hold", "Leave the valve closed for two to five minutes."),
        warning=translate("Hold", "Leave the pump running: it holds back air and its oil."),
        forward=translate("Hold", "Valve opened again"),
        back=translate("Hold", "Make it a standing test"),
    )


def _isolating_so_far(
    screen: HoldScreen, snapshot: Snapshot, words: Words, translate: Translate
) -> HoldScreen:
    for_s = 0.0 if snapshot.hold_from_s is None else snapshot.time_s - snapshot.hold_from_s
    instruction = screen.instruction
    if for_s >= ISOLATION_S[1]:
        instruction = translate("Hold", "Long enough. Open the valve, or make it a standing test.")
    elif for_s >= ISOLATION_S[0]:
        instruction = translate("Hold", "The valve may be opened now; five minutes tell more.")
    isolation = snapshot.isolation
    is_this = isolation is not None and isolation.until_s is None
    lines = tuple(isolation_lines(isolation, words)) if is_this and isolation else ()
    return replace(screen, instruction=instruction, reasons=lines)


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


_PAGES = {
    "close-valve": _close_valve,
    "isolating": _isolating,
    "pump-off": _pump_off,
    "vent-pump": _vent_pump,
    "even-out": _even_out,
    "holding": _holding,
    "finding": _finding,
}
