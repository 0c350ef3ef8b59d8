"""Tries a target's inputs one after the other, within bounds of time and memory."""

import signal
import sys
import time
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field

from hypothesis import HealthCheck, Phase, given, seed, settings

from tests.fuzz.target import Target

MOST_CPU_S = 10.0
"""Longest for one input. A reader that loops for ever is what is looked for; a busy machine, or
a page fault, is not: so it is far above what any input takes (well under a second)."""

MOST_GROWTH_BYTES = 400 << 20
"""Most by which the process's peak may grow after the first inputs: a reader that keeps, or that
unpacks a small file to a huge one, shows."""

_WARM_EXAMPLES = 200
_BATCH = 200


@dataclass
class Report:
    """What was tried and how it ended."""

    name: str
    first_seed: int
    examples: int = 0
    seconds: float = 0.0
    slowest_cpu_s: float = 0.0
    growth_bytes: int = 0
    ends: Counter[str] = field(default_factory=Counter)

    def __str__(self) -> str:
        ends = ", ".join(f"{count} {end}" for end, count in sorted(self.ends.items()))
        return (
            f"{self.name}: {self.examples} inputs in {self.seconds:.0f} s from seed "
            f"{self.first_seed} ({ends}); slowest {self.slowest_cpu_s:.3f} s of processor, "
            f"peak memory up by {self.growth_bytes >> 20} MiB"
        )


class Fuzzer:
    """Runs one target.

    Raises
    ------
    Exception
        From :meth:`run_batch`, whatever a target lets through, with the smallest input that
        does it in the notes.
    """

    def __init__(self, target: Target, first_seed: int = 0) -> None:
        self._target = target
        self.report = Report(target.name, first_seed)
        self._seed = first_seed
        self._warm_bytes: int | None = None
        self._ends_s = float("inf")

    def run_for(self, seconds: float) -> Report:
        """Try inputs until the time is over."""
        self._ends_s = time.monotonic() + seconds
        while time.monotonic() < self._ends_s:
            self.run_batch(_BATCH)
        return self.report

    def run_batch(self, examples: int) -> Report:
        """Try so many inputs, those of the next seed."""
        begun_s = time.monotonic()

        @seed(self._seed)
        @settings(
            max_examples=examples,
            deadline=None,
            database=None,
            phases=(Phase.generate, Phase.shrink),
            suppress_health_check=list(HealthCheck),
            print_blob=False,
        )
        @given(self._target.inputs)
        def each(data: object) -> None:
            if time.monotonic() >= self._ends_s:
                return
            for one in self._target.spread(data):
                try:
                    self._try(one)
                except BaseException as error:
                    error.add_note(f"input: {one!r:.3000}")
                    raise

        self._seed += 1
        try:
            each()
        finally:
            self.report.seconds += time.monotonic() - begun_s
        return self.report

    def _try(self, data: object) -> None:
        begun_s = time.process_time()
        with _stopped_after(MOST_CPU_S):
            end = self._target.use(data)
        took_s = time.process_time() - begun_s
        report = self.report
        report.examples += 1
        report.ends[end] += 1
        report.slowest_cpu_s = max(report.slowest_cpu_s, took_s)
        assert took_s < MOST_CPU_S, f"one input took {took_s:.1f} s of processor"
        if report.examples == _WARM_EXAMPLES:
            self._warm_bytes = _peak_bytes()
        if self._warm_bytes is not None:
            report.growth_bytes = _peak_bytes() - self._warm_bytes
            assert report.growth_bytes < MOST_GROWTH_BYTES, "memory is not bounded"


@contextmanager
def _stopped_after(cpu_s: float) -> Iterator[None]:
    """Break off what loops for ever, where the system can."""
    if sys.platform == "win32":
        yield
        return

    def on_time(*_: object) -> None:
        raise TimeoutError(f"still at work after {cpu_s:g} s of processor")

    before = signal.signal(signal.SIGPROF, on_time)
    signal.setitimer(signal.ITIMER_PROF, cpu_s)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0.0)
        signal.signal(signal.SIGPROF, before)


def _peak_bytes() -> int:
    """Most memory the process ever had resident; 0 where the system does not tell."""
    if sys.platform == "win32":
        return 0
    import resource

    unit = 1 if sys.platform == "darwin" else 1024  # getrusage(2): bytes there, KiB elsewhere
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * unit
