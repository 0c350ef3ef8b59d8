"""Says at once, in a terminal, that the record is not being saved; and when it is again."""

from collections.abc import Callable

from app.live.run import Run
from app.screen.state_lines import saved_line
from app.words.phrases import Translate, english


class SavingTold:
    """Tells each change once.

    Parameters
    ----------
    say
        Gets the job's time in seconds, and the sentence.
    """

    def __init__(self, say: Callable[[float, str], None], translate: Translate = english) -> None:
        self._say, self._translate = say, translate
        self._was_saving = True

    def look(self, run: Run) -> None:
        """Tell if it has changed. Cheap: to be called at every look."""
        is_saving = run.recorder.state.is_saving
        if is_saving == self._was_saving:
            return
        self._was_saving = is_saving
        text = saved_line(run, self._translate).text
        if is_saving:
            text = self._translate("Saved", "Being saved again, with all that waited.")
        self._say(run.link.clock.now_s(), text)
