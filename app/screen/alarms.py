"""What has to be seen and heard from across the workshop, and until when."""

from collections.abc import Iterator

from analysis.hold.length import rushed_in
from analysis.reason import Reason
from analysis.snapshot import Snapshot
from app.screen.phrases import alarm_titles
from app.screen.shown import Alarm
from app.screen.texts import GRAVE
from app.words.phrases import Translate
from app.words.sentences import Words


class Alarms:
    """Keeps the one alarm that stands; a later one takes an earlier one's place.

    Parameters
    ----------
    translate
        Turns (context, text) into the user's language.
    """

    def __init__(self, translate: Translate) -> None:
        self._titles = alarm_titles(translate)
        self._was_saving = True
        self.standing: Alarm | None = None

    def dismiss(self) -> None:
        """Take the alarm away: it was seen."""
        self.standing = None

    def take(self, before: Snapshot | None, after: Snapshot, words: Words) -> Iterator[Alarm]:
        """Yield the alarms that this moment raises."""
        for caution in after.caution_changes:
            if caution.kind not in GRAVE:
                continue
            if caution.until_s is None:
                yield self._raise(Alarm(
                    caution.kind, self._titles[caution.kind], words.caution(caution), "danger"
                ))  # fmt: skip
            else:
                self._lower(caution.kind)
        rush = _rush(after)
        if rush is not None and (before is None or _rush(before) is None):
            title = self._titles["rushed-in"]
            yield self._raise(Alarm("rushed-in", title, words.reason(rush), "danger"))
        elif rush is None:
            self._lower("rushed-in")
        if after.stage == "flat" and (before is None or before.stage != "flat"):
            yield self._raise(Alarm("flat", self._titles["flat"], words.verdict(after), "good"))
        elif after.stage != "flat":
            self._lower("flat")

    def on_saving(self, is_saving: bool, text: str) -> Alarm | None:
        """Raise an alarm once when the record stops being saved."""
        was_saving, self._was_saving = self._was_saving, is_saving
        if is_saving:
            self._lower("not-saved")
        elif was_saving:
            return self._raise(Alarm("not-saved", self._titles["not-saved"], text, "danger"))
        return None

    def _raise(self, alarm: Alarm) -> Alarm:
        self.standing = alarm
        return alarm

    def _lower(self, code: str) -> None:
        if self.standing is not None and self.standing.code == code:
            self.standing = None


def _rush(snapshot: Snapshot) -> Reason | None:
    """Give that gas rushed into a circuit which is still cut off."""
    return rushed_in(snapshot.hold) if snapshot.stage == "holding" else None
