"""Following a run in the terminal: until it is over, the time is, or somebody ends it."""

import signal
import sys
import time
from collections.abc import Callable

from app.live.run import Run, Step
from app.output.saving_told import SavingTold
from app.output.terminal import Terminal
from app.system.ending import asking_to_end
from app.words.counted import counted
from sensors.clock import now_s

_LOOK_S = 0.05  # twenty looks a second: a line appears as soon as anybody could notice


def follow(
    following: Run,
    terminal: Terminal,
    show: Callable[[Step], bool],
    *,
    for_s: float | None = None,
    is_quiet: bool = False,
) -> str:
    """Show the run's steps until ``show`` says enough, the time is over, or a signal comes.

    The record is whole when this returns, whatever ended it; where the disk did not take the
    last of it, the sentence that says so is given back.
    """
    ends_s = None if for_s is None else now_s() + for_s
    before = {each: signal.signal(each, signal.default_int_handler) for each in asking_to_end()}
    status = _Status(following, terminal)
    saving = SavingTold(_tell_error if is_quiet else terminal.line)
    try:
        goes_on = True
        while goes_on and (ends_s is None or now_s() < ends_s):
            for step in following.drain():
                goes_on = show(step) and goes_on
            saving.look(following)
            if not is_quiet:
                status.show()
            time.sleep(_LOOK_S)
    except KeyboardInterrupt:
        pass  # Ctrl-C is how a watch without an end is meant to end
    finally:
        for each, handler in before.items():
            signal.signal(each, handler)
        try:
            following.link.close()
            terminal.end()
            for step in following.drain():
                show(step)
        finally:
            is_saved = following.close()
    return "" if is_saved else _lost_sentence(following)


class _Status:
    """Keeps the terminal's status line up to date; the readings' quality once a second."""

    def __init__(self, following: Run, terminal: Terminal) -> None:
        self._following, self._terminal = following, terminal
        self._report, self._looked_s = following.quality.report, now_s()

    def show(self) -> None:
        """Draw it as things are now."""
        run, snapshot = self._following, self._following.snapshot
        if snapshot is None:
            return
        if now_s() - self._looked_s >= 1.0:
            self._report, self._looked_s = run.quality.report, now_s()
            self._terminal.quality(snapshot.time_s, self._report)
            self._terminal.pump_side(snapshot.time_s, run.pump_side)
        reading = run.pump_side.reading
        at_pump_pa = None if reading is None else reading.pressure_pa
        state, report = run.recorder.state, self._report
        self._terminal.status(snapshot, state, run.rejected, report, at_pump_pa)


def _lost_sentence(following: Run) -> str:
    """Say what could not be saved, and why."""
    state = following.recorder.state
    why = state.why or "The disk does not answer."
    lost = counted(state.waiting, "lost at last")
    return f"NOT ALL IS SAVED: {lost}, all before is in the job. {why}"


def _tell_error(_time_s: float, text: str) -> None:
    print(text, file=sys.stderr, flush=True)
