"""What the technician does: each deed goes to the session, the walk and the record."""

from abc import ABC, abstractmethod
from collections.abc import Callable, Iterable
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import get_args

from analysis.hold.length import CircuitKind
from analysis.nitrogen.pressure_test import PressureTest
from analysis.sample import MarkKind
from analysis.snapshot import Snapshot
from app.hold.walk import HoldWalk
from app.job.backup_desk import BackupDesk
from app.job.fields import JobFields
from app.job.history import forecast_line
from app.live.session import Session
from app.report.desk import ReportDesk
from app.rig.cost import rig_cost_lines
from app.rig.rig_screen import Dial, dial_of
from app.rig.rig_tests import pressure_test_cautions, pressure_test_lines
from app.screen.alarms import Alarms
from app.screen.safety import caution_of, safety
from app.screen.shown import Passage
from app.screen.view import View
from app.settings.form import counts_later
from app.settings.phrases import later_line
from app.settings.values import Settings
from app.system.errors import UsageError
from app.words.phrases import Translate
from app.words.sentences import Words
from sensors.events import Sensor


class Acts(ABC):
    """The buttons' side of the presenter.

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
        translate: Translate,
        now: Callable[[], datetime],
    ) -> None:
        self.session = session
        self.walk = HoldWalk()
        self.report, self.backup = ReportDesk(translate), BackupDesk(translate)
        self._view, self._settings, self._translate = view, settings, translate
        self._now = now
        self._words = Words(unit=settings().unit, translate=translate)
        self._alarms = Alarms(translate)
        self._snapshot: Snapshot | None = None
        self._is_prompt_dismissed = self._is_offer_declined = self._is_cut_off_declined = False

    @property
    def settings(self) -> Settings:
        """The settings as they are now."""
        return self._settings()

    @abstractmethod
    def look(self) -> None:
        """Take in what has happened, and show it."""

    @abstractmethod
    def show(self) -> None:
        """Show what is known."""

    @abstractmethod
    def forget(self) -> None:
        """Begin with nothing: another job."""

    def connect(self, address: str, at_pump: str = "") -> None:
        """Read another gauge, and with an address a second one at the pump."""
        try:
            self._start_anew_if_none()
            self.session.connect(address, at_pump)
        except UsageError as error:
            self._view.tell(str(error))

    def use(self, sensor: Sensor, at_pump: Sensor | None = None) -> None:
        """Read a sensor that is there already, as the demo does."""
        self._start_anew_if_none()
        self.session.use(sensor, at_pump)

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

    def isolate(self) -> None:
        """Mark that the valve was closed for a short isolation, with the pump running on."""
        if self.session.run is None:
            return
        self.walk.isolate()
        self.session.mark("valve-closed")
        self.look()

    def confirm_cut_off(self) -> None:
        """Count the closing that the trace shows as the hold's beginning."""
        offered = None if self._snapshot is None else self._snapshot.offered
        if offered is not None:
            self.walk.ask()
            self.walk.is_asked = False
            self._alarms.dismiss()
            self.session.mark("valve-closed", at_s=offered.from_s)
            self.look()

    def decline_cut_off(self) -> None:
        """Leave it: the valve was not closed then."""
        self._is_cut_off_declined = True
        self.show()

    def blank_off(self) -> None:
        """Begin the blank-off test of the rig, or end the one that runs."""
        test = None if self._snapshot is None else self._snapshot.blank_off
        if test is None or test.until_s is not None:
            self.session.mark("blank-off")
        else:
            self.session.mark("hold-over")
            self.tick_part("blank-off", True)
        self.look()

    def pressure_test_cautions(self) -> Passage:
        """Give what is said before nitrogen is let in."""
        heading = self._translate("Safety", "Before nitrogen is let in")
        return Passage(heading, tuple(pressure_test_cautions(self._words)))

    def pressure_test_text(self, test: PressureTest) -> tuple[str, ...]:
        """Say what a pressure test showed."""
        return tuple(pressure_test_lines(test, self._words))

    def nitrogen_dial(self) -> Dial | None:
        """Give what a dial would show where the second gauge reads the nitrogen, if it does."""
        run = self.session.run
        return None if run is None else dial_of(run.pump_side.reading, run.snapshot)

    def save_pressure_test(self, test: PressureTest | None) -> None:
        """Keep a pressure test with the job."""
        if test is not None:
            self.session.keep_pressure_test(test)
            self.tick_part("pressure-test", True)

    def make_report(self) -> None:
        """Print this job's record, or that of the job just finished, beside its file."""
        self.session.unsaved()
        self.report.make(self.session.job_path, self._settings().unit)
        self.show()

    def walk_on(self) -> None:
        """Do what the walk's first button says."""
        page = self.walk.page(self._snapshot)
        if page == "close-valve":
            self.session.mark("valve-closed")
            self.walk.is_asked = False
        elif page == "isolating":
            self.session.mark("valve-opened")
            self.walk.give_up()
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
        elif page == "isolating":  # it becomes a standing test
            self.walk.ask()
            self.walk.is_asked = False
            self.look()
            return
        else:
            self.session.mark("valve-opened")
        self.walk.give_up()
        self.look()

    def dismiss(self) -> None:
        """Take the banner away."""
        self._alarms.dismiss()
        self.show()

    def save_fields(self, fields: JobFields) -> None:
        """Keep what the job form says."""
        if self.session.only_read is not None:
            said = self._translate
            self._view.tell(said("OnlyRead", "Open to be read only: nothing was changed."))
            return
        self.session.edit(fields)
        self.show()

    def choose_kind(self, kind: str) -> None:
        """Keep what kind of circuit it is: how long it is held at least."""
        if kind in get_args(CircuitKind):
            self.save_fields(replace(self.session.fields, circuit_kind=kind))  # type: ignore[arg-type]

    def tick_part(self, part: str, is_done: bool) -> None:
        """Keep whether a part of the job is done."""
        fields = self.session.fields
        parts = {*fields.parts_done, part} if is_done else {*fields.parts_done} - {part}
        self.save_fields(replace(fields, parts_done=tuple(sorted(parts))))

    def take_offer(self) -> None:
        """Go on with the job that was not finished, and with its gauge unless it was invented."""
        path, kept = self.session.memory.open_job, self.session.memory.value
        self._is_offer_declined = True
        if path is None:
            return
        self.resume(path)
        invented = ("sim:", "replay:")
        if kept.address and not kept.address.startswith(invented):
            self.connect(kept.address, "" if kept.at_pump.startswith(invented) else kept.at_pump)

    def decline_offer(self) -> None:
        """Leave the unfinished job as it is."""
        self._is_offer_declined = True
        self.session.memory.keep(open_job="")
        self.show()

    def finish(self) -> None:
        """Close the job, and be ready for the next."""
        is_one_open = self.session.run is not None
        if not self.session.finish():
            self._view.tell(self._translate("Window", "Not all readings are in the file."))
        if is_one_open:
            self.keep_second_copy()
        self.forget()
        self.show()

    def keep_second_copy(self) -> None:
        """Begin a copy of the job just closed, where a second place is set."""
        self.backup.make(self.session.last_path, self._settings().backup_folder)

    def take_settings(self, changes: Iterable[str] = ()) -> str:
        """Heed settings that were changed; say which do not count yet for the open job."""
        self.session.tell_limits()
        self._words = Words(unit=self._settings().unit, translate=self._translate)
        self.show()
        is_open = self.session.run is not None
        return later_line(self._translate, *counts_later(changes)) if is_open else ""

    def tell(self, text: str) -> None:
        """Say one line in the window."""
        self._view.tell(text)

    def forecast(self, fields: JobFields) -> str:
        """Say what a circuit's past lets expect before anything is seen."""
        return forecast_line(fields, self._translate)

    def rig_cost(self, fields: JobFields) -> tuple[str, ...]:
        """Say what hose and cores cost."""
        return rig_cost_lines(fields, self._words.unit, self._translate)

    def safety(self) -> tuple[Passage, ...]:
        """Give the cautions of this job's work."""
        fields = self.session.fields
        return safety(self._translate, fields.refrigerant, fields.vehicle_kind)

    def _start_anew_if_none(self) -> None:
        if self.session.run is None and self.session.opening is None:
            self.forget()
