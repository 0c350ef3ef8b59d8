"""``python -m tests.soak --hours 72``: the long form, with its figures; Linux only."""

import argparse
import tempfile
import time
from pathlib import Path

from tests.soak.soak import HOUR_S, Outcome, Plan, soak


def main(arguments: list[str] | None = None) -> int:
    """Run, print the figures of each cycle and what the record holds."""
    parser = argparse.ArgumentParser(prog="python -m tests.soak", description=__doc__)
    parser.add_argument("--hours", type=float, default=72.0, help="simulated")
    parser.add_argument("--cycle-hours", type=float, default=12.0, help="each a pull-down anew")
    parser.add_argument("--rate", type=int, default=20, help="readings a second")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--folder", type=Path, help="keep job and picture there")
    args = parser.parse_args(arguments)
    plan = Plan(
        cycles=max(1, round(args.hours / args.cycle_hours)),
        cycle_s=60.0 * round(60.0 * args.cycle_hours),
        rate_hz=args.rate,
        seed=args.seed,
    )
    begun_s = time.monotonic()
    with tempfile.TemporaryDirectory(prefix="simmerdown-soak-") as aside:
        outcome = soak(args.folder or Path(aside), plan, lambda text: print(text, flush=True))
    _tell(outcome, plan, time.monotonic() - begun_s)
    return 0 if outcome.is_every_reading_once and not outcome.faults_told else 1


def _tell(outcome: Outcome, plan: Plan, took_s: float) -> None:
    first, last = outcome.parts[0], outcome.parts[-1]
    hours = plan.cycles * plan.cycle_s / HOUR_S
    print(f"{hours:g} h at {plan.rate_hz} Hz in {took_s:.0f} s, seed {plan.seed}")
    print(
        f"sent {outcome.sent.readings}, recorded {outcome.recorded}, the same bit for bit: "
        f"{outcome.is_every_reading_once}; not readings: {outcome.sent.rejected} sent, "
        f"{outcome.rejected} recorded; {outcome.sent.faults} faults of the line, "
        f"{outcome.times_unsaved} of the disk; {outcome.bursts} bursts; chain whole: "
        f"{outcome.is_whole}; file {outcome.file_bytes / 2**20:.0f} MiB"
    )
    print(
        f"last cycle over first: sensor {last.sensor_us / first.sensor_us:.2f}, update "
        f"{last.update_us / first.update_us:.2f}, frame {last.frame_ms / first.frame_ms:.2f}, "
        f"memory {last.memory_bytes / first.memory_bytes:.2f}"
    )
    for fault in outcome.faults_told:
        print(f"FAULT: {fault}")


if __name__ == "__main__":
    raise SystemExit(main())
