"""A presenter with a view that remembers and a run that is played."""

from collections.abc import Iterable
from datetime import UTC, datetime
from functools import lru_cache
from pathlib import Path

from analysis.sample import Mark, Silence
from analysis.snapshot import Snapshot
from app.live.run import Step
from app.screen.presenter import Presenter
from app.screen.shown import Alarm, Screen
from app.settings.values import Settings
from sensors.events import Connected, Lost, Reading
from tests.app.window.played import played_session, readings

NOW = datetime(2030, 1, 31, 14, 2, tzinfo=UTC)


class Seen:
    """A view that remembers."""

    def __init__(self) -> None:
        self.screens: list[Screen] = []
        self.steps: list[Step] = []
        self.alarms: list[Alarm] = []
        self.told: list[str] = []
        self.refreshed = self.cleared = 0

    def show(self, screen: Screen) -> None:
        self.screens.append(screen)

    def draw(self, step: Step) -> None:
        self.steps.append(step)

    def refresh(self, snapshot: Snapshot, flat_interval_s: float) -> None:
        self.refreshed += 1

    def clear(self) -> None:
        self.cleared += 1

    def alarm(self, alarm: Alarm) -> None:
        self.alarms.append(alarm)

    def tell(self, text: str) -> None:
        self.told.append(text)

    @property
    def screen(self) -> Screen:
        return self.screens[-1]


class Bench:
    """A presenter with its view and a played run."""

    def __init__(self, folder: Path) -> None:
        self.settings = Settings()
        self.seen = Seen()
        self.session, self.run = played_session(folder)
        self.presenter = Presenter(self.seen, self.session, lambda: self.settings, now=lambda: NOW)

    def play(self, items: Iterable[Reading | Mark | Silence | Connected | Lost]) -> Screen:
        self.run.play(items)
        self.presenter.look()
        return self.seen.screen

    def at(self, **values: object) -> Screen:
        """Show a made-up moment."""
        self.run.show_instead(**values)
        self.presenter.look()
        return self.seen.screen


@lru_cache
def pull() -> tuple[Reading, ...]:
    return tuple(readings("clean", 60.0))


@lru_cache
def held() -> tuple[Reading, ...]:
    return tuple(readings("hold-held", 150.0))  # short: each fit of a hold takes a while
