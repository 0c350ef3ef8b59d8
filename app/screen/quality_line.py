"""The readings' quality for the window, written anew at most once a second."""

from app.live.run import Run
from app.screen.shown import Passage
from app.words.quality import quality_text, stuck_text
from app.words.sentences import Words

EVERY_S = 1.0


class QualityLine:
    """Keeps what was written last, by the run's own time."""

    def __init__(self) -> None:
        self.reset()

    def reset(self) -> None:
        """Forget: another job."""
        self._written_s = float("-inf")
        self.lines: tuple[str, ...] = ()

    def take(self, run: Run, now_s: float, words: Words) -> None:
        """Write it anew if a second has passed."""
        if now_s - self._written_s < EVERY_S:
            return
        self._written_s = now_s
        report = run.quality.report
        texts = (
            stuck_text(report, words.translate),
            quality_text(report, words.unit, words.translate),
        )
        self.lines = tuple(text for text in texts if text)

    def passages(self, words: Words) -> tuple[Passage, ...]:
        """Give it as a passage, where there is something to say."""
        heading = words.translate("Why", "The readings")
        return (Passage(heading, self.lines),) if self.lines else ()
