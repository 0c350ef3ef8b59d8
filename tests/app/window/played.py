"""A run without threads: its items come from a test, its analysis is the real one."""

from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, cast

from analysis.evacuation import Evacuation
from analysis.flat.history import History
from analysis.sample import Mark, MarkKind, Silence
from analysis.snapshot import Snapshot
from app.job.rules import JobRules
from app.live.run import Run, Step
from app.live.save_state import SaveState
from app.live.session import Session
from app.rig.pump_side import PumpSide
from app.settings.memory import Memory
from app.settings.values import Settings
from sensors.events import Connected, Lost, Reading
from sensors.quality import Quality
from sensors.sim.scenarios import SCENARIOS
from sensors.sim.simulation import Simulation

SAVED = SaveState(True, datetime(2030, 1, 31, 14, 2, tzinfo=UTC), None, 0, None, b"")
NOT_SAVED = replace(
    SAVED, is_saving=False, why="job.simmerdown cannot be written: the disk is full."
)
Item = Reading | Mark | Silence | Connected | Lost


class PlayedRecorder:
    """Keeps what it is given."""

    def __init__(self) -> None:
        self.state = SAVED
        self.put_items: list[object] = []
        self.path = Path("job-2030-01-31-0905.simmerdown")
        self.is_flushing = True

    def put(self, item: object) -> None:
        self.put_items.append(item)

    def flush(self) -> bool:
        return self.is_flushing


class PlayedRun:
    """Stands in for ``app.live.run.Run``."""

    def __init__(self) -> None:
        self.told = JobRules()
        self.evacuation = Evacuation(rules=self.told.rules)
        self.recorder = PlayedRecorder()
        self.snapshot: Snapshot | None = None
        self.rejected = 0
        self.is_over = False
        self.quality = Quality()
        self.pump_side = PumpSide()
        self.is_closed, self.is_kept = False, True
        self.started: list[object] = []
        self.marked: list[MarkKind] = []
        self.link = self
        self._items: list[Item] = []
        self._made_up: Snapshot | None = None
        self._last_s = 0.0

    def play(self, items: Iterable[Item]) -> None:
        self._items += items

    def start(self, sensor: object) -> None:
        self.started.append(sensor)

    def start_at_pump(self, sensor: object) -> None:
        if sensor is not None:
            self.started.append(sensor)

    def mark(self, kind: MarkKind, text: str = "", *, at_s: float | None = None) -> None:
        self.marked.append(kind)
        self._items.append(Mark(self._last_s if at_s is None else at_s, kind, text))

    def tell_past(self, history: History) -> None:
        self.evacuation.set_history(history)

    def tell_limits(self, told: JobRules) -> None:
        self.told = told

    def drain(self) -> Iterator[Step]:
        if self._made_up is not None:
            made_up, self._made_up = self._made_up, None
            yield Step(Silence(made_up.time_s), made_up)
        while self._items:
            item = self._items.pop(0)
            if isinstance(item, Connected | Lost):
                yield Step(item, self.snapshot)
                continue
            if isinstance(item, Reading):
                self.quality.take(item)
            self._last_s = max(self._last_s, item.time_s)
            self.snapshot = self.evacuation.update(item)
            yield Step(item, self.snapshot)

    def show_once(self, **values: Any) -> None:
        """Let the next look see a made-up moment."""
        assert self.snapshot is not None
        self._made_up = self.snapshot._replace(**values)

    def show_instead(self, **values: Any) -> None:
        """Put a made-up moment in the present one's place."""
        assert self.snapshot is not None
        snapshot = self.snapshot._replace(**values)
        self.drain = lambda: iter([Step(Silence(snapshot.time_s), snapshot)])  # type: ignore

    def close(self) -> bool:
        self.is_closed = True
        return True


def played_session(folder: Path, settings: Settings | None = None) -> tuple[Session, PlayedRun]:
    """Give a session whose run is played."""
    chosen = settings or Settings()
    session = Session(Memory(folder / "window.json"), lambda: chosen)
    run = PlayedRun()
    session.run = cast("Run", run)
    return session, run


def readings(scenario: str, until_s: float, from_s: float = 0.0, seed: int = 1) -> list[Reading]:
    """Simulate a scenario's readings."""
    simulation = Simulation(SCENARIOS[scenario], seed=seed, rate_hz=2.0)
    made = []
    while simulation.next_s <= until_s:
        reading = simulation.advance()
        if reading.time_s >= from_s:
            made.append(reading)
    return made
