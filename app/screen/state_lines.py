"""The two states that are always in sight: the gauge's, and whether the record is safe."""

from collections.abc import Callable
from datetime import datetime

from analysis.sample import Mark, Silence
from app.gauge.link import Ended, Failed, LinkEvent
from app.live.run import Run
from app.screen.shown import Line
from app.words.phrases import Translate
from sensors.events import Connected, Lost, Reading


class SensorLine:
    """Follows the link's events.

    Parameters
    ----------
    translate
        Turns (context, text) into the user's language.
    now
        Local wall clock.
    """

    def __init__(self, translate: Translate, now: Callable[[], datetime]) -> None:
        self._translate, self._now = translate, now
        self.reset()

    def reset(self) -> None:
        """Forget: another gauge."""
        self.is_over = False
        self._line = Line()
        self._detail = ""

    def take(self, event: LinkEvent | Mark | Silence) -> None:
        """Take what the link says."""
        if isinstance(event, Connected):
            self.is_over = False
            self._detail = event.detail
            self._line = Line(self._connected(), "good")
        elif isinstance(event, Reading):
            if self._line.tone != "good":
                self.is_over = False
                self._line = Line(self._connected(), "good")
        elif isinstance(event, Lost):
            self._line = self._since(self._translate("Sensor", "Lost since {time}: {why}"), event)
        elif isinstance(event, Failed):
            self.is_over = True
            self._line = self._since(self._translate("Sensor", "Given up {time}: {why}"), event)
        elif isinstance(event, Ended):
            self.is_over = True
            self._line = Line(self._translate("Sensor", "The readings have ended."), "attention")

    def line(self, rejected: int, is_chosen: bool) -> Line:
        """Give the state, with the frames that were no readings."""
        if not is_chosen:
            return Line(self._translate("Sensor", "No gauge"), "attention")
        if not self._line.text:
            return Line(self._translate("Sensor", "Reaching the gauge"), "attention")
        if not rejected:
            return self._line
        bad = self._translate("Sensor", "bad frames: {count}").format(count=rejected)
        return Line(f"{self._line.text} · {bad}", self._line.tone)

    def _connected(self) -> str:
        if not self._detail:
            return self._translate("Sensor", "Connected")
        return self._translate("Sensor", "Connected: {detail}").format(detail=self._detail)

    def _since(self, phrase: str, event: Lost | Failed) -> Line:
        return Line(phrase.format(time=f"{self._now():%H:%M}", why=event.why), "danger")


def saved_line(run: Run | None, translate: Translate) -> Line:
    """Say whether what was measured is in the file."""
    if run is None:
        return Line(translate("Saved", "Nothing to save"), "calm")
    state = run.recorder.state
    if state.is_saving:
        return Line(translate("Saved", "Saved"), "good")
    since = f"{state.since_utc.astimezone():%H:%M}"
    text = translate("Saved", "Not being saved since {time}: {why}")
    return Line(text.format(time=since, why=state.why or ""), "danger")
