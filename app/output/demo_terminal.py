"""The demo in the terminal: the whole job on an invented circuit, in a minute and a half."""

from app.gauge.link import Ended, Failed
from app.job.rules import JobRules
from app.live.demo import HOLD_S, TITLE
from app.live.opening import run_on
from app.live.run import Run, Step
from app.output.follow import follow
from app.output.terminal import Terminal
from app.system.errors import UsageError
from app.words import display
from app.words.sentences import Words
from sensors.sim.sensor import SimSensor


class Technician:
    """Does to the invented circuit, once each, what a technician would do at each prompt."""

    def __init__(self, run: Run, sensor: SimSensor) -> None:
        self._run, self._sensor = run, sensor
        self._has_closed = self._has_ended = False
        self.is_done = False

    def see(self, step: Step) -> None:
        """Act on what the program shows."""
        snapshot = step.snapshot
        if snapshot is None:
            return
        if snapshot.stage == "flat" and not self._has_closed:
            self._has_closed = True
            self._sensor.act("close-valve")
            self._run.mark("valve-closed")
            self._sensor.act("pump-off")
        elif snapshot.stage == "holding" and snapshot.hold_from_s is not None:
            if snapshot.time_s - snapshot.hold_from_s >= HOLD_S and not self._has_ended:
                self._has_ended = True
                self._run.mark("hold-over", at_s=snapshot.time_s)  # on a slow machine too
        self.is_done = snapshot.stage == "done" or isinstance(step.event, Ended | Failed)


def play(speed: float) -> None:
    """Play it."""
    words = Words()
    sensor = SimSensor("demo", speed=speed)
    following = run_on(None, JobRules(), TITLE)
    print("DEMO: the circuit, its gauge and all readings are invented.", flush=True)
    terminal, technician = Terminal(words), Technician(following, sensor)

    def show(step: Step) -> bool:
        terminal.show(step)
        technician.see(step)
        return not technician.is_done

    following.start(sensor)
    if lost := follow(following, terminal, show):
        raise UsageError(lost)
    snapshot = following.snapshot
    if snapshot is not None:
        if snapshot.hold is not None:
            print(f"Standing test of {display.duration(snapshot.hold.duration_s)}:")
        print(words.verdict(snapshot))
    print(f"The job file: {following.recorder.path}")
