"""A recording program of its own, with a short silence limit: ``PROGRAM JOB ADDRESS SILENCE_S``.

It prints each reading's number as the analysis gets it, and each connection; a line ends it.
"""

import select
import sys
from pathlib import Path

from analysis.evacuation import Evacuation
from app.live.run import Run
from sensors.catalogue import open_sensor
from sensors.events import Connected, Reading


def main(job: str, address: str, silence_s: float) -> None:
    run = Run(Path(job), Evacuation())
    run.start(open_sensor(address, silence_s=silence_s))
    print("ready", flush=True)
    while not select.select([sys.stdin], [], [], 0.02)[0]:
        for step in run.drain():
            if isinstance(step.event, Connected):
                print("connected", flush=True)
            elif isinstance(step.event, Reading):
                print(round(step.event.pressure_pa), flush=True)
    assert run.close()


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2], float(sys.argv[3]))
