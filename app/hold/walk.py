"""The walk through a standing test: which step comes now, and what each step says.

The valve is closed first, and that moment is the hold's zero; only then the pump is stopped and
vented. The other way round a stopped pump sucks air and its own oil back into the circuit.
"""

from dataclasses import replace

from analysis.hold.length import is_untold, opened, rushed_in
from analysis.snapshot import HoldResult, Snapshot
from app.hold.lengths import ORDINARY, HoldLengths
from app.hold.pages import PAGES
from app.hold.phrases import kind_phrases
from app.rig.rig_tests import isolation_lines
from app.screen.shown import HoldScreen, LimitLine, Line, Tone, WalkPage
from app.words import display
from app.words.phrases import Translate
from app.words.sentences import Words
from app.words.terms import finding_names, limit_names, limit_phrases

# Of a pressure: 20 K cooler make a fifteenth, two gauges up to a fifth [practice].
_OTHERWISE = 0.25
_TONES: dict[str, Tone] = {
    "held": "good",
    "leak": "danger",
    "both": "danger",
    "vapour": "attention",
    "unclear": "attention",
}


def tone_of(result: HoldResult, lengths: HoldLengths = ORDINARY) -> Tone:
    """Give the tone of a finding; one short of a limit or of time, or with a rush, is not good."""
    is_short = lengths.is_too_short(result) or not all(check.passed for check in result.limits)
    is_short = is_short or rushed_in(result) is not None
    return "attention" if result.finding == "held" and is_short else _TONES[result.finding]


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
    if result is None:
        return True
    return not is_untold(result) and any(reason.code == "too-short" for reason in result.reasons)


def hold_screen(
    page: WalkPage,
    snapshot: Snapshot | None,
    words: Words,
    translate: Translate,
    lengths: HoldLengths = ORDINARY,
) -> HoldScreen:
    """Make the texts of one step."""
    if page == "none":
        return HoldScreen()
    screen = PAGES[page](translate)
    if page == "even-out":  # there is time, and room
        kinds = _kinds(lengths, translate)
        screen = replace(screen, kinds=kinds, kind=lengths.kind)
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
    if result is None:
        return screen
    opening = opened(result)
    if opening is not None and page in ("even-out", "holding", "isolating"):
        screen = replace(screen, instruction=words.reason(opening))
    if page in ("holding", "finding"):
        screen = _with_finding(screen, result, words, translate, lengths)
    if page == "finding" and is_pulled_again(snapshot, result):
        warning = translate(
            "Hold",
            "The pressure has fallen since: it seems that the pump pulls again. Say so below, or "
            "nothing of this pull is judged.",
        )
        screen = replace(screen, warning=warning)
    return screen


def is_pulled_again(snapshot: Snapshot, result: HoldResult) -> bool:
    """Tell whether the pressure fell since the test ended as in no circuit that is cut off.

    More than half of what had risen is gone, and more than another gauge or a colder circuit
    would make of it.
    """
    reached_pa = next((check.value for check in result.limits if check.name == "highest"), 0.0)
    if snapshot.pressure_pa is None or snapshot.status != "ok":
        return False
    fallen_pa = reached_pa - snapshot.pressure_pa
    return fallen_pa > 0.5 * result.rise_pa and fallen_pa > _OTHERWISE * reached_pa


def _with_finding(
    screen: HoldScreen,
    result: HoldResult,
    words: Words,
    translate: Translate,
    lengths: HoldLengths,
) -> HoldScreen:
    """Add the finding, so far or for good, with its reasons and limits, and whether it may end."""
    end = lengths.end(result)
    assert end is not None
    told = lengths.over(result) if screen.page == "finding" else end.reason
    return replace(
        screen,
        finding=Line(_short(screen.page, result, translate), tone_of(result, lengths)),
        reasons=tuple(words.reason(reason) for reason in result.reasons),
        limits=limit_lines(result, words, translate),
        end=words.reason(told),
        may_end=end.may_end,
    )


def _kinds(lengths: HoldLengths, translate: Translate) -> tuple[tuple[str, str], ...]:
    pattern = translate("Circuit", "{kind}: at least {time}")
    return tuple(
        (kind, pattern.format(kind=name, time=display.duration(lengths.least[kind].length_s)))  # type: ignore[index]
        for kind, name in kind_phrases(translate).items()
    )


def _short(page: WalkPage, result: HoldResult, translate: Translate) -> str:
    phrase = translate("Hold", "So far: {finding}")
    if rushed_in(result) is not None:
        phrase = translate("Hold", "Before gas rushed in: {finding}")
    elif opened(result) is not None:
        phrase = translate("Hold", "Before it was opened: {finding}")
    elif page == "finding":
        phrase = translate("Hold", "Finding: {finding}")
    return phrase.format(finding=finding_names(translate)[result.finding])


def limit_lines(result: HoldResult, words: Words, translate: Translate) -> tuple[LimitLine, ...]:
    """Make one line for each limit."""
    names, line = limit_names(translate), limit_phrases(translate)["line"]
    return tuple(
        LimitLine(
            line.format(
                name=names.get(check.name, check.name),
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
    return limit_phrases(translate)["closed-for"].format(time=time, moved=words.moved(result))


ISOLATION_S = (120.0, 300.0)  # two to five minutes [common practice, no source]


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
