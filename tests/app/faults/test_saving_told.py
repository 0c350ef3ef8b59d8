"""A terminal is told once when saving ends and once when it goes on."""

from types import SimpleNamespace
from typing import cast

from app.live.run import Run
from app.output.saving_told import SavingTold
from tests.app.window.played import NOT_SAVED, SAVED


def test_each_change_is_told_once() -> None:
    recorder = SimpleNamespace(state=SAVED)
    clock = SimpleNamespace(now_s=lambda: 5.0)
    run = cast("Run", SimpleNamespace(recorder=recorder, link=SimpleNamespace(clock=clock)))
    told: list[tuple[float, str]] = []
    saving = SavingTold(lambda time_s, text: told.append((time_s, text)))
    for state in (SAVED, NOT_SAVED, NOT_SAVED, SAVED, SAVED):
        recorder.state = state
        saving.look(run)
    since = NOT_SAVED.since_utc.astimezone().strftime("%H:%M")
    assert told == [
        (5.0, f"Not being saved since {since}: {NOT_SAVED.why}"),
        (5.0, "Being saved again, with all that waited."),
    ]
