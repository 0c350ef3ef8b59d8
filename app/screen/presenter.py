"""From what happens to what is shown: no Qt, no threads, no clock of its own."""

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime

from analysis.snapshot import Snapshot
from app.gauge.link import AtPump
from app.hold.lengths import HoldLengths
from app.hold.walk import hold_screen
from app.job.history import with_expectation
from app.job.only_read import with_only_read
from app.live.run import Step
from app.live.session import Session
from app.rig.pump_screen import with_pump_side
from app.rig.rig_screen import rig_passages, with_rig_share
from app.rig.rig_tests import blank_off_lines, blank_off_now
from app.screen.acts import Acts
from app.screen.moment import before_readings, of_moment, unwatched
from app.screen.quality_line import QualityLine
from app.screen.shown import Passage, Phase, Screen
from app.screen.state_lines import SensorLine, saved_line
from app.screen.texts import cut_off_question, is_blanked, is_blanking, pressure_texts
from app.screen.view import View
from app.settings.values import Settings
from app.system.errors import UsageError
from app.words.display import clock
from app.words.phrases import Translate, english
from sensors.events import Reading

TELLS_BLANK_OFF_S = 1800.0  # then at the latest the rig is forgotten over the circuit


class Presenter(Acts):
    """Takes what the technician does (:class:`Acts`) and what the run says; gives screens."""

    def __init__(
        self,
        view: View,
        session: Session,
        settings: Callable[[], Settings],
        *,
        translate: Translate = english,
        now: Callable[[], datetime] = lambda: datetime.now().astimezone(),
    ) -> None:
        super().__init__(view, session, settings, translate, now)
        self._sensor, self._at_pump = SensorLine(translate, now), SensorLine(translate, now)
        self._quality = QualityLine()
        self._shown: Screen | None = None
        self._first_s: float | None = None

    @property
    def screen(self) -> Screen | None:
        """What is shown."""
        return self._shown

    @property
    def snapshot(self) -> Snapshot | None:
        """What is known."""
        return self._snapshot

    # What the run says

    def look(self) -> None:
        """Take in what has happened, and show it. Called many times a second."""
        try:
            for step in self.session.steps():
                self._take(step)
        except UsageError as error:
            self._view.tell(str(error))
        for desk in (self.report, self.backup):
            if news := desk.news():
                self._view.tell(news)
        if self._snapshot is not None:
            self._view.refresh(self._snapshot, self.session.told.rules.flat_interval_s)
        self.show()

    def _take(self, step: Step) -> None:
        if isinstance(step.event, AtPump):
            self._at_pump.take(step.event.event)
            self._view.draw(step)
            return
        self._sensor.take(step.event)
        if self._first_s is None and isinstance(step.event, Reading):
            self._first_s = step.event.time_s
        before, snapshot = self._snapshot, step.snapshot
        self._view.draw(step)
        if snapshot is None:
            return
        self._snapshot = snapshot
        if before is not None and before.stage != snapshot.stage:
            self._on_stage(before, snapshot)
        if self.session.is_past:
            if snapshot.stage == "holding":
                self.walk.skip_to_hold()
            return
        for alarm in self._alarms.take(before, snapshot, self._words):
            self._view.alarm(alarm)

    def _on_stage(self, before: Snapshot, after: Snapshot) -> None:
        if after.stage == "flat":
            self._is_prompt_dismissed = False
        if before.stage == "holding" and after.stage != "done":
            self.walk.give_up()
        if after.stage == "holding":
            self.walk.is_asked = False

    def forget(self) -> None:
        """Begin with nothing: another job."""
        self._snapshot = self._first_s = None
        self.walk.give_up()
        self._alarms.dismiss()
        self._sensor.reset()
        self._at_pump.reset()
        self._quality.reset()
        self._view.clear()

    # What is shown

    def show(self) -> None:
        """Show what is known."""
        screen = with_pump_side(self._screen(), self.session.run, self._at_pump, self._words)
        screen = with_only_read(screen, self.session.only_read, self._translate)
        if screen != self._shown:
            self._shown = screen
            self._view.show(screen)

    def _phase(self) -> Phase:
        if self.session.opening is not None:
            return "opening"
        if self.session.only_read is not None:
            return "only-read"
        if self.session.run is None:
            return "idle"
        return "over" if self._sensor.is_over else "running"

    def _screen(self) -> Screen:
        session, snapshot, told = self.session, self._snapshot, self.session.told
        lengths = HoldLengths(session.fields.kind_or_normal, told.least_holds)
        screen, interval_s = self._frame(lengths), told.rules.flat_interval_s
        if snapshot is None:
            screen = before_readings(screen, self._translate, interval_s)
            return with_expectation(screen, None, session.fields, self._translate)
        test = blank_off_now(snapshot.blank_off, session.fields, told.rules)
        if test is not None:
            snapshot = snapshot._replace(blank_off=test)
        if session.run is not None:
            self._quality.take(session.run, snapshot.time_s, self._words)
        detail = "\n".join(self._quality.lines)
        screen = replace(screen, sensor=replace(screen.sensor, detail=detail))
        screen = of_moment(screen, snapshot, self._words, self._translate, interval_s, lengths)
        return self._asking(self._rig(self._expecting(screen, snapshot), snapshot), snapshot)

    def _frame(self, lengths: HoldLengths) -> Screen:
        """Give what is shown whether or not anything was read: link, record, job, hold."""
        phase, snapshot, session = self._phase(), self._snapshot, self.session
        run, words, translate = session.run, self._words, self._translate
        saved = saved_line(run, translate)
        if run is not None:
            alarm = self._alarms.on_saving(run.recorder.state.is_saving, saved.text)
            if alarm is not None:
                self._view.alarm(alarm)
        return Screen(
            phase=phase,
            sensor=self._sensor.line(run.rejected if run else 0, bool(session.sensor)),
            saved=saved,
            title=session.fields.vehicle or session.fields.title,
            unit=pressure_texts(None, words.unit)[1],
            alarm=self._alarms.standing,
            parts_done=session.fields.parts_done,
            wants_gauge=phase in ("idle", "over") or (phase == "running" and not session.sensor),
            offer=self._offer(phase),
            can_hold=run is not None and (not snapshot or snapshot.stage != "holding"),
            can_mark=run is not None,
            is_invented=bool(session.sensor and session.sensor.name.startswith("sim:")),
            progress=session.opening.share if session.opening else None,
            hold=hold_screen(self.walk.page(snapshot), snapshot, words, translate, lengths),
        )

    def _expecting(self, screen: Screen, snapshot: Snapshot) -> Screen:
        """Add that nobody watches, and what the circuit's past lets expect."""
        session, translate = self.session, self._translate
        if session.is_reopened and session.sensor is None and snapshot.stage != "done":
            screen = unwatched(screen, translate)
        screen = with_expectation(screen, snapshot, session.fields, translate)
        if snapshot.stage == "pulling-down" and not snapshot.burst_count:
            heading = translate("Why", "Before any burst")
            expected = Passage(heading, (self.forecast(session.fields),))
            screen = replace(screen, why=(*screen.why, expected))
        return screen

    def _rig(self, screen: Screen, snapshot: Snapshot) -> Screen:
        """Add the tests of the rig, and its share of a rise."""
        session, words, rules = self.session, self._words, self.session.told.rules
        test = snapshot.blank_off
        more = rig_passages(snapshot, session.fields, rules, session.pressure_test, words)
        screen = with_rig_share(screen, snapshot, session.fields, rules, words)
        return replace(
            screen,
            why=screen.why + more + self._quality.passages(words),
            blank_off=() if test is None else tuple(blank_off_lines(test, words)),
            is_blanking=is_blanking(snapshot),
            tells_blank_off=is_blanking(snapshot) or is_blanked(snapshot, TELLS_BLANK_OFF_S),
        )

    def _asking(self, screen: Screen, snapshot: Snapshot) -> Screen:
        """Add what is asked: for the standing test, or about a closing that nobody marked."""
        if snapshot.offered is None:
            self._is_cut_off_declined = False
        is_prompting = snapshot.stage == "flat" and not self.walk.is_asked
        return replace(
            screen,
            elapsed="" if self._first_s is None else clock(snapshot.time_s - self._first_s),
            cut_off=self._cut_off(snapshot),
            is_prompting=is_prompting and not self._is_prompt_dismissed,
        )

    def _cut_off(self, snapshot: Snapshot) -> str:
        if self._is_cut_off_declined:
            return ""
        return cut_off_question(snapshot, self._words, self._now)

    def _offer(self, phase: Phase) -> str:
        path = self.session.memory.open_job
        if phase != "idle" or self._is_offer_declined or path is None:
            return ""
        return self._translate("Window", "Not finished: {job}").format(job=path.stem)
