"""Everything that is cut off from the pump, by mark or as the trace shows it: circuit or rig."""

from typing import Literal

from analysis.closing.blank_off import BlankOffWatch
from analysis.closing.reopening import Reopening
from analysis.closing.standing import Standing
from analysis.closing.unmarked import Unmarked
from analysis.rules import EvacuationRules
from analysis.sample import Sample


class Closings:
    """Keeps the hold or isolation, the blank-off test, and the closing that nobody marked.

    Parameters
    ----------
    rules
        The settings.
    """

    def __init__(self, rules: EvacuationRules) -> None:
        self.standing = Standing(rules)
        self.unmarked = Unmarked(rules.hold)
        self.rig = BlankOffWatch(
            rules.blank_off,
            rules.hold,
            rig_volume_m3=rules.rig_volume_m3,
            circuit_volume_m3=rules.volume_m3,
        )

    def judge_by(self, rules: EvacuationRules) -> None:
        """Judge what is cut off next by other limits; a hold that runs keeps its own."""
        self.standing.judge_by(rules)
        self.unmarked.judge_by(rules.hold)
        self.rig.judge_by(rules.hold)

    @property
    def is_cut_off(self) -> bool:
        """Whether the gauge sees something that no pump pulls on."""
        return self.standing.is_cut_off or self.rig.is_running

    def sample_closed(self, time_s: float, pressure_pa: float, temperature_c: float | None) -> None:
        """Take a reading of what is cut off."""
        if self.rig.is_running:
            self.rig.sample(time_s, pressure_pa, temperature_c)
        else:
            self.standing.sample(time_s, pressure_pa, temperature_c)

    def sample_beyond(self, sample: Sample) -> None:
        """Take an end of the gauge's range, a bound; a blank-off test's limits go by it too."""
        if self.rig.is_running:
            self.rig.sample(sample.time_s, sample.pressure_pa, sample.temperature_c)
        elif sample.status == "over-range":
            self.standing.sample_beyond(sample.time_s, sample.pressure_pa)

    def sample_open(
        self, time_s: float, pressure_pa: float, temperature_c: float | None
    ) -> Reopening | None:
        """Take a reading of the pumped circuit; give what the fall after an isolation told."""
        self.unmarked.sample(time_s, pressure_pa, temperature_c)
        return self.standing.sample_fall(time_s, pressure_pa)

    def tick(self, time_s: float) -> None:
        """Bring what is cut off up to date, once a second."""
        self.standing.tick(time_s)
        self.rig.tick(time_s)

    def look(self, noise_pa: float | None, fall_s: float | None) -> None:
        """Look for a closing, by the readings' noise and the bursts' falls."""
        if not self.is_cut_off:
            self.unmarked.look(noise_pa, fall_s)

    def close(self, mark_s: float, now_s: float) -> float | None:
        """Begin a hold; give its time zero, or ``None`` where one runs already.

        A mark may lie in the past, no further than readings are remembered.
        """
        if self.standing.is_closed:
            return None
        self.rig.end(mark_s)
        earliest_s = self.unmarked.earliest_s()
        zero_s = min(max(mark_s, now_s if earliest_s is None else earliest_s), now_s)
        watch = self.unmarked.watch_from(zero_s)
        self.standing.close(zero_s, watch, self.unmarked.level_before_pa(zero_s))
        self.unmarked.forget()
        return zero_s

    def open(self, time_s: float) -> Literal["circuit", "rig"] | None:
        """End what runs, since the valve was opened; say what it was."""
        if self.rig.is_running:
            self.rig.end(time_s)
            return "rig"
        if not self.standing.is_cut_off:
            return None
        self.standing.open(time_s)
        self.unmarked.forget()
        return "circuit"

    def finish(self, time_s: float) -> Literal["circuit", "rig"] | None:
        """End what runs with its result; say what it was."""
        if self.rig.is_running:
            self.rig.end(time_s)
            return "rig"
        if not self.standing.is_closed:
            return None
        self.standing.finish(time_s)
        return "circuit"

    def break_vacuum(self, time_s: float, *, is_marked: bool) -> None:
        """Heed a break: what was closed until a mark was an isolation."""
        if is_marked and self.standing.is_closed:
            self.standing.open(time_s)
        self.standing.give_up()
        self.unmarked.forget()

    def disturb(self) -> None:
        """Heed that the trace is disturbed: what came before tells nothing of what comes."""
        self.standing.disturb()
        self.unmarked.forget()
