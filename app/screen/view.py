"""What the presenter needs of a window; a test meets it with a list."""

from typing import Protocol

from analysis.snapshot import Snapshot
from app.live.run import Step
from app.screen.shown import Alarm, Screen


class View(Protocol):
    """What the presenter needs of a window."""

    def show(self, screen: Screen) -> None:
        """Show these texts; called only when one of them has changed."""

    def draw(self, step: Step) -> None:
        """Put what happened on the charts."""

    def refresh(self, snapshot: Snapshot, flat_interval_s: float) -> None:
        """Bring the charts up to the moment."""

    def clear(self) -> None:
        """Empty the charts: another job."""

    def alarm(self, alarm: Alarm) -> None:
        """Sound, and tell outside the window; the banner itself stands in the screen."""

    def tell(self, text: str) -> None:
        """Say one line that the technician has to read."""
