"""The terminal's view of a run: a live status line, and a line for each change."""

import shutil
import sys
from collections import deque
from typing import TextIO

from analysis.hold.length import opened
from analysis.sample import Mark, Silence
from analysis.snapshot import Snapshot
from app.gauge.link import AtPump, Ended, Failed, LinkEvent
from app.live.run import Step
from app.live.save_state import SaveState
from app.rig.pump_side import PumpSide
from app.words import display
from app.words.quality import quality_text, stuck_text
from app.words.sentences import Words
from app.words.terms import link_phrases
from sensors.events import Connected, Lost, Rejected
from sensors.quality import QualityReport
from sensors.sentence import one_line

_BAD_A_MINUTE = 5  # a gauge that speaks nonsense may do so 50 times a second
_AGAIN_S = 900.0  # bursts move the share to and fro: one line of a kind in this time is enough


class Terminal:
    """Shows steps as they come.

    Parameters
    ----------
    words
        Makes the sentences.
    out
        Where lines go; a status line is drawn only on a real terminal.
    """

    def __init__(self, words: Words, out: TextIO | None = None) -> None:
        self._words = words
        self._out = out or sys.stdout
        self._is_live = self._out.isatty()
        self._stage: str | None = None
        self._opening = ""  # how the circuit was opened that is cut off
        self._status_length = 0
        self._last_onset_s = float("-inf")  # of the bursts told
        self._is_stuck = False
        self._bad_told_s: deque[float] = deque(maxlen=_BAD_A_MINUTE)
        self._bad_untold = 0
        self._differences_s: dict[str, float] = {}  # when each was told last

    def show(self, step: Step) -> None:
        """Tell what changed, if anything did."""
        event, snapshot = step.event, step.snapshot
        if isinstance(event, AtPump):
            self._link(event.event, "At the pump: ")
            return
        if isinstance(event, Mark):
            text = f": {event.text}" if event.text else ""
            self.line(event.time_s, f"Marked: {self._words.mark(event.kind)}{text}")
        elif not isinstance(event, Silence):
            self._link(event)
        if snapshot is not None and not isinstance(event, Connected | Lost | Failed | Ended):
            self._changes(snapshot)

    def _link(self, event: LinkEvent, where: str = "") -> None:
        says = link_phrases(self._words.translate)
        if isinstance(event, Connected):
            text = says["connected"].format(detail=event.detail)
        elif isinstance(event, Lost | Failed):
            text = says["lost" if isinstance(event, Lost) else "failed"].format(detail=event.why)
        elif isinstance(event, Ended):
            text = says["ended"]
        elif isinstance(event, Rejected):
            if not self._is_worth_telling(event.time_s):
                return
            text = f"Bad frame ({event.why}): {event.raw[:40]!r}{self._untold_before()}"
        else:
            return
        self.line(event.time_s, where + text)

    def _is_worth_telling(self, bad_s: float) -> bool:
        """Tell whether a bad frame is among the few that are shown beside all else."""
        told_s = self._bad_told_s
        if len(told_s) == _BAD_A_MINUTE and bad_s - told_s[0] < 60.0:
            self._bad_untold += 1
            return False
        told_s.append(bad_s)
        return True

    def _untold_before(self) -> str:
        untold, self._bad_untold = self._bad_untold, 0
        return f", and {self._words.counted(untold, 'bad frames')} before it" if untold else ""

    def _changes(self, snapshot: Snapshot) -> None:
        now_s, words = snapshot.time_s, self._words
        if snapshot.gap is not None:
            missing = display.duration(snapshot.gap[1] - snapshot.gap[0])
            self.line(now_s, f"Gap of {missing} in the readings")
        confirmed = [burst for burst in snapshot.bursts if burst.state == "confirmed"]
        # The job's own count: a run that goes on with a job counts on from what it holds.
        first = snapshot.burst_count - len(confirmed) + 1
        for number, burst in enumerate(confirmed, start=first):
            rise = display.pressure(burst.rise_pa, words.unit)
            fall = display.duration(burst.fall_s)
            is_late = burst.onset_s < self._last_onset_s
            late = "found on looking back, " if is_late else ""
            self.line(burst.onset_s, f"Burst {number}: {late}up {rise}, falls in {fall}")
            self._last_onset_s = max(burst.onset_s, self._last_onset_s)
        for caution in snapshot.caution_changes:
            if caution.until_s is None:
                name = words.caution_name(caution.kind).upper()
                self.line(now_s, f"CAUTION, {name}: {words.caution(caution)}")
            else:
                stood = display.duration(caution.until_s - caution.from_s)
                self.line(now_s, f"Over: {words.caution_name(caution.kind)}, after {stood}")
        self._tell_opening(snapshot)
        if snapshot.stage != self._stage:
            self._stage = snapshot.stage
            reason = words.reason(snapshot.stage_reason)
            self.line(now_s, f"{words.stage(snapshot.stage).upper()}. {reason}")

    def _tell_opening(self, snapshot: Snapshot) -> None:
        """Tell once that a circuit which is cut off was opened, or that gas rushes in."""
        hold = snapshot.hold if snapshot.stage == "holding" else None
        opening = None if hold is None else opened(hold)
        code = "" if opening is None else opening.code
        if opening is not None and code != self._opening:
            self.line(snapshot.time_s, f"HOLD: {self._words.reason(opening)}")
        self._opening = code

    def line(self, time_s: float, text: str) -> None:
        """Write a line with its time, above the status line; what a gauge says is not obeyed."""
        self._clear()
        print(f"{display.clock(time_s)}  {one_line(text)}", file=self._out, flush=True)

    def quality(self, time_s: float, report: QualityReport) -> None:
        """Tell once when a value has come to stand still that should not."""
        if report.is_stuck and not self._is_stuck:
            self.line(time_s, stuck_text(report))
        self._is_stuck = report.is_stuck

    def pump_side(self, time_s: float, side: PumpSide) -> None:
        """Tell what the difference between the two gauges means; the same not too often."""
        reason = side.difference
        if reason is None:
            return
        told_s = self._differences_s.get(reason.code)
        if told_s is None or time_s - told_s >= _AGAIN_S:
            self.line(time_s, self._words.reason(reason))
            self._differences_s[reason.code] = time_s

    def status(
        self,
        snapshot: Snapshot,
        saved: SaveState,
        rejected: int,
        report: QualityReport | None = None,
        at_pump_pa: float | None = None,
    ) -> None:
        """Draw the status line anew."""
        if not self._is_live:
            return
        pressure_pa = snapshot.pressure_pa
        parts = [
            display.clock(snapshot.time_s),
            "no reading"
            if pressure_pa is None
            else display.pressure(pressure_pa, self._words.unit),
            "saved" if saved.is_saving else f"NOT SAVED: {saved.why}",
        ]
        if at_pump_pa is not None:
            at_pump = display.pressure(at_pump_pa, self._words.unit)
            parts.insert(2, f"at the pump {at_pump}")
        if rejected:
            parts.append(self._words.counted(rejected, "bad frames"))
        parts.append(self._words.verdict(snapshot))
        if report is not None:
            parts.append(quality_text(report, self._words.unit))
        text = "  ".join(parts).rstrip()
        width = shutil.get_terminal_size().columns - 1
        text = text if len(text) <= width else text[: width - 1] + "…"
        self._out.write("\r" + text.ljust(self._status_length))
        self._out.flush()
        self._status_length = len(text)

    def end(self) -> None:
        """Leave the terminal clean."""
        self._clear()
        self._out.flush()

    def _clear(self) -> None:
        if self._status_length:
            self._out.write("\r" + " " * self._status_length + "\r")
            self._status_length = 0
