"""What the gauge said last."""

from analysis.sample import Sample, Status

COLDEST_C, WARMEST_C = -60.0, 120.0  # a broken thermometer says anything


class GaugeState:
    """The last reading, whatever its status, and the last temperature that came with one."""

    def __init__(self) -> None:
        self.time_s: float | None = None
        self.pressure_pa: float | None = None
        self.temperature_c: float | None = None
        self.status: Status = "ok"

    def take(self, sample: Sample) -> None:
        """Take a reading."""
        self.time_s, self.pressure_pa, self.status = (
            sample.time_s,
            sample.pressure_pa,
            sample.status,
        )
        if sample.temperature_c is not None:
            self.temperature_c = sample.temperature_c

    def silent_s(self, time_s: float) -> float:
        """Give the time since the last reading; 0 before any."""
        return 0.0 if self.time_s is None else time_s - self.time_s

    def circuit_c(self, told_c: float) -> float:
        """Give the circuit's temperature: the gauge's where it tells one, else as told."""
        at_c = told_c if self.temperature_c is None else self.temperature_c
        return min(max(at_c, COLDEST_C), WARMEST_C)
