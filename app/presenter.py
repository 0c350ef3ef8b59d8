"""From what happens to what is shown: no Qt, no threads, no clock of its own."""

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from pathlib import Path

from analysis.sample import MarkKind
from analysis.snapshot import Snapshot
from app.alarms import Alarms
from app.display import clock
from app.errors import UsageError
from app.hold_walk import HoldWalk, hold_screen
from app.job_fields import JobFields
from app.phrases import Translate, english
from app.run import Step
from app.safety import caution_of, safety
from app.screen import Passage, Phase, Screen
from app.screen_moment import before_readings, of_moment
from app.screen_texts import pressure_texts
from app.session import Session
from app.settings import Settings
from app.state_lines import SensorLine, saved_line
from app.view import View
from app.words import Words
from sensors.events import Reading, Sensor


class Presenter:
    """Takes what the technician does and what the run says; gives screens.

    Parameters
    ----------
    view
        The window.
    session
        The job and the gauge.
    settings
        The settings as they are now.
    translate
        Turns (context, text) into the user's language.
    now
        Local wall clock, for "since 14:02".
    """

    def __init__(
        self,
        view: View,
        session: Session,
        settings: Callable[[], Settings],
        *,
        translate: Translate = english,
        now: Callable[[], datetime] = lambda: datetime.now().astimezone(),
    ) -> None:
        self.session = session
        self.walk = HoldWalk()
        self._view, self._settings, self._translate = view, settings, translate
        self._words = Words(unit=settings().unit, translate=translate)
        self._sensor = SensorLine(translate, now)
        self._alarms = Alarms(translate)
        self._shown: Screen | None = None
        self._snapshot: Snapshot | None = None
        self._first_s: float | None = None
        self._is_prompt_dismissed = self._is_offer_declined = False

    @property
    def screen(self) -> Screen | None:
        """What is shown."""
        return self._shown

    @property
    def snapshot(self) -> Snapshot | None:
        """What is known."""
        return self._snapshot

    # What the technician does

    def connect(self, address: str) -> None:
        """Read another gauge."""
        try:
            self._start_anew_if_none()
            self.session.connect(address)
        except UsageError as error:
            self._view.tell(str(error))

    def use(self, sensor: Sensor) -> None:
        """Read a sensor that is there already, as the demo does."""
        self._start_anew_if_none()
        self.session.use(sensor)

    def resume(self, path: Path) -> None:
        """Go on with an old job."""
        self._start_anew_if_none()
        self.session.resume(path)

    def mark(self, kind: MarkKind, text: str = "") -> None:
        """Mark what was done by hand."""
        if kind == "valve-closed":
            self.walk.ask()
        self.session.mark(kind, text)
        caution = caution_of(self._translate, kind, self.session.fields.refrigerant)
        if caution:
            self._view.tell(caution)

    def hold_now(self) -> None:
        """Begin the walk through the standing test."""
        if self.session.run is not None:
            self.walk.ask()
            self._alarms.dismiss()
            self.look()

    def walk_on(self) -> None:
        """Do what the walk's first button says."""
        page = self.walk.page(self._snapshot)
        if page == "close-valve":
            self.session.mark("valve-closed")
            self.walk.is_asked = False
        elif page == "pump-off":
            self.session.mark("pump-off")
            self.walk.is_pump_off = True
        elif page == "vent-pump":
            self.session.mark("note", self._translate("Mark", "pump vented"))
            self.walk.is_vented = True
        elif page == "holding":
            self.session.mark("hold-over")
        elif page == "finding":
            self.walk.ask()
        self.look()

    def walk_back(self) -> None:
        """Leave the walk: not now, or the valve was opened again."""
        page = self.walk.page(self._snapshot)
        if page in ("none", "close-valve"):
            self._is_prompt_dismissed = True
        else:
            self.session.mark("valve-opened")
        self.walk.give_up()
        self.look()

    def dismiss(self) -> None:
        """Take the banner away."""
        self._alarms.dismiss()
        self._show()

    def save_fields(self, fields: JobFields) -> None:
        """Keep what the job form says."""
        self.session.edit(fields)
        self._show()

    def tick_part(self, part: str, is_done: bool) -> None:
        """Keep whether a part of the job is done."""
        fields = self.session.fields
        parts = {*fields.parts_done, part} if is_done else {*fields.parts_done} - {part}
        self.save_fields(replace(fields, parts_done=tuple(sorted(parts))))

    def take_offer(self) -> None:
        """Go on with the job that was not finished, and with its gauge unless it was invented."""
        path, address = self.session.memory.open_job, self.session.memory.value.address
        self._is_offer_declined = True
        if path is None:
            return
        self.resume(path)
        if address and not address.startswith(("sim:", "replay:")):
            self.connect(address)

    def decline_offer(self) -> None:
        """Leave the unfinished job as it is."""
        self._is_offer_declined = True
        self.session.memory.keep(open_job="")
        self._show()

    def finish(self) -> None:
        """Close the job, and be ready for the next."""
        if not self.session.finish():
            self._view.tell(self._translate("Window", "Not all readings are in the file."))
        self._forget()
        self._show()

    def set_unit(self) -> None:
        """Take the unit from the settings."""
        self._words = Words(unit=self._settings().unit, translate=self._translate)
        self._show()

    def tell(self, text: str) -> None:
        """Say one line in the window."""
        self._view.tell(text)

    def safety(self) -> tuple[Passage, ...]:
        """Give the cautions of this job's work."""
        fields = self.session.fields
        return safety(self._translate, fields.refrigerant, fields.vehicle_kind)

    # What the run says

    def look(self) -> None:
        """Take in what has happened, and show it. Called many times a second."""
        try:
            for step in self.session.steps():
                self._take(step)
        except UsageError as error:
            self._view.tell(str(error))
        if self._snapshot is not None:
            self._view.refresh(self._snapshot, self._settings().flat_min * 60.0)
        self._show()

    def _take(self, step: Step) -> None:
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

    def _start_anew_if_none(self) -> None:
        if self.session.run is None and self.session.opening is None:
            self._forget()

    def _forget(self) -> None:
        self._snapshot = self._first_s = None
        self.walk.give_up()
        self._alarms.dismiss()
        self._sensor.reset()
        self._view.clear()

    # What is shown

    def _show(self) -> None:
        screen = self._screen()
        if screen != self._shown:
            self._shown = screen
            self._view.show(screen)

    def _phase(self) -> Phase:
        if self.session.opening is not None:
            return "opening"
        if self.session.run is None:
            return "idle"
        return "over" if self._sensor.is_over else "running"

    def _screen(self) -> Screen:
        phase, snapshot, session = self._phase(), self._snapshot, self.session
        words, translate = self._words, self._translate
        saved = saved_line(session.run, translate)
        if session.run is not None:
            alarm = self._alarms.on_saving(session.run.recorder.state.is_saving, saved.text)
            if alarm is not None:
                self._view.alarm(alarm)
        screen = Screen(
            phase=phase,
            sensor=self._sensor.line(
                session.run.rejected if session.run else 0, bool(session.sensor)
            ),
            saved=saved,
            title=session.fields.vehicle or session.fields.title,
            unit=pressure_texts(None, words.unit)[1],
            alarm=self._alarms.standing,
            parts_done=session.fields.parts_done,
            wants_gauge=phase in ("idle", "over") or (phase == "running" and not session.sensor),
            offer=self._offer(phase),
            can_hold=session.run is not None and (not snapshot or snapshot.stage != "holding"),
            can_mark=session.run is not None,
            is_invented=bool(session.sensor and session.sensor.name.startswith("sim:")),
            progress=session.opening.share if session.opening else None,
            hold=hold_screen(self.walk.page(snapshot), snapshot, words, translate),
        )
        interval_s = self._settings().flat_min * 60.0
        if snapshot is None:
            return before_readings(screen, translate, interval_s)
        screen = of_moment(screen, snapshot, words, translate, interval_s)
        is_prompting = snapshot.stage == "flat" and not self.walk.is_asked
        return replace(
            screen,
            elapsed="" if self._first_s is None else clock(snapshot.time_s - self._first_s),
            is_prompting=is_prompting and not self._is_prompt_dismissed,
        )

    def _offer(self, phase: Phase) -> str:
        path = self.session.memory.open_job
        if phase != "idle" or self._is_offer_declined or path is None:
            return ""
        return self._translate("Window", "Not finished: {job}").format(job=path.stem)
