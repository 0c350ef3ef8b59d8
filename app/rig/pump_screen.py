"""A second gauge, at the pump, on the screen: its value, its state, and what the two mean."""

from dataclasses import replace

from analysis.reason import Reason
from app.live.run import Run
from app.screen.shown import Line, Passage, Screen
from app.screen.state_lines import SensorLine
from app.words.sentences import Words

_GRAVE = ("far-not-following", "pump-above-far", "pump-side-rose", "far-silent")
"""Told beside the verdict, not only under "why?"."""

_FAR_TOO_LITTLE = 0.1  # of a usual hose's share: the pull would take ten times as long [practice]


def with_pump_side(screen: Screen, run: Run | None, state: SensorLine, words: Words) -> Screen:
    """Add what the second gauge says, where there is one.

    Parameters
    ----------
    screen
        Without it: all that decides is on it already.
    state
        Follows the second gauge's link.
    """
    if run is None or not run.pump_side.gauge:
        return screen
    side, translate = run.pump_side, words.translate
    shown = "–" if side.reading is None else words.pressure(side.reading.pressure_pa)
    screen = replace(
        screen,
        at_pump=translate("Window", "at the pump {pressure}").format(pressure=shown),
        sensor=_both(screen.sensor, state.line(side.rejected, is_chosen=True), words),
        is_invented=screen.is_invented or side.gauge.startswith("sim:"),
    )
    if side.difference is None:
        return screen
    sentence = words.reason(side.difference)
    passage = Passage(translate("Why", "The two gauges"), (sentence,))
    screen = replace(screen, why=(*screen.why, passage))
    if _is_grave(side.difference) and screen.hold.page == "none":
        screen = replace(screen, verdict=f"{screen.verdict} {sentence}")
    return screen


def _is_grave(reason: Reason) -> bool:
    share, usual_share = (reason.values.get(key, 1.0) for key in ("share", "usual_share"))
    is_far_too_thin = reason.code == "far-restricted" and share < _FAR_TOO_LITTLE * usual_share
    return reason.code in _GRAVE or is_far_too_thin


def _both(far: Line, at_pump: Line, words: Words) -> Line:
    """Tell the two apart; when all is well with the second one, the first one's state is enough."""
    if at_pump.tone == "good":
        return far
    text = words.translate("Sensor", "far: {far} · at the pump: {at_pump}")
    if far.tone == "good":  # what is wrong comes first, should there be no room for both
        text = words.translate("Sensor", "at the pump: {at_pump} · far: {far}")
    tone = far.tone if far.tone == "danger" else "attention"
    both = text.format(far=far.text, at_pump=at_pump.text)
    detail = "\n".join(part for part in (both, far.detail) if part)
    return replace(far, text=both, tone=tone, detail=detail)
