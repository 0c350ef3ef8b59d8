"""``simmerdown demo``: the whole job on an invented circuit, in a minute and a half."""

import argparse
from typing import Any

from analysis.rules import EvacuationRules
from app import display, options
from app.commands.watch import follow
from app.link import Ended, Failed
from app.opening import run_on
from app.run import Run, Step
from app.terminal import Terminal
from app.words import Words
from sensors.sim.sensor import SimSensor

SPEED = 70.0  # an hour and three quarters of evacuation and hold in about 90 s
HOLD_S = 900.0


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
                self._run.mark("hold-over")
        self.is_done = snapshot.stage == "done" or isinstance(step.event, Ended | Failed)


def add_parser(subparsers: "argparse._SubParsersAction[Any]") -> None:
    """Add the command."""
    parser = subparsers.add_parser(
        "demo",
        help="play a whole evacuation on an invented circuit",
        description="A simulated wet circuit from pull-down through flat to the finding, in "
        "about 90 s. Workshop, vehicle and readings are invented.",
    )
    parser.add_argument(
        "--speed",
        type=options.number(1.0, 1000.0),
        default=SPEED,
        help="simulated seconds a second (default 70)",
    )
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Play the demo in the terminal."""
    words = Words()
    sensor = SimSensor("demo", speed=args.speed)
    following = run_on(None, EvacuationRules(), "Demo: invented vehicle, invented workshop")
    print("DEMO: the circuit, its gauge and all readings are invented.", flush=True)
    terminal, technician = Terminal(words), Technician(following, sensor)

    def show(step: Step) -> bool:
        terminal.show(step)
        technician.see(step)
        return not technician.is_done

    following.start(sensor)
    follow(following, terminal, show)
    snapshot = following.snapshot
    if snapshot is not None:
        if snapshot.hold is not None:
            print(f"Standing test of {display.duration(snapshot.hold.duration_s)}:")
        print(words.verdict(snapshot))
    print(f"The job file: {following.recorder.path}")
    return 0
