"""The job that is open and the gauge that fills it, for as long as the window lives."""

from collections import deque
from collections.abc import Callable, Iterator
from pathlib import Path

from analysis.nitrogen.pressure_test import PressureTest
from analysis.sample import MarkKind
from app.job.fields import JobFields
from app.job.history import history_of
from app.job.job_opening import Opening
from app.job.only_read import OnlyRead
from app.job.rules import JobRules
from app.jobfile.rows import Edit
from app.live.opening import second_sensor_at, sensor_at
from app.live.run import Run, Step
from app.rig.rig_tests import pressure_test_note
from app.settings.job_rules import job_rules
from app.settings.memory import Memory
from app.settings.values import Settings
from app.system.errors import UsageError
from sensors.events import Sensor
from sensors.sim.sensor import SimSensor

MOST_OLD_A_LOOK = 20_000  # steps of an old job drawn at one look, so that the window stays alive
_SIMULATED: dict[str, str] = {
    "valve-closed": "close-valve",
    "valve-opened": "open-valve",
    "pump-off": "pump-off",
    "nitrogen-in": "nitrogen-in",
}


class Session:
    """Holds one job with its run at a time.

    Parameters
    ----------
    memory
        Where the last sensor and the unfinished job are remembered.
    settings
        Gives the settings as they are now.
    """

    def __init__(self, memory: Memory, settings: Callable[[], Settings]) -> None:
        self.memory = memory
        self.fields = JobFields()
        self.run: Run | None = None
        self.sensor: Sensor | None = None
        self.at_pump: Sensor | None = None
        self.opening: Opening | None = None
        self.pressure_test: PressureTest | None = None
        self.only_read: OnlyRead | None = None  # a damaged job that is open
        self.last_path: Path | None = None  # of the job that was finished last
        self.is_reopened = False  # the run goes on with an old job
        self.is_past = False  # the steps that come now are of an old job
        self._settings = settings
        self._past: deque[Step] = deque()

    def connect(self, address: str, at_pump: str = "") -> None:
        """Read this sensor, and a second one at the pump, in the open job or in a new one.

        Raises
        ------
        UsageError
            If an address is wrong, or both are the same.
        """
        sensor = sensor_at(address)
        second = second_sensor_at(at_pump, address) if at_pump else None
        self.memory.keep(address=address, at_pump=at_pump)
        run = self.run
        if run is not None and not run.is_over and self._is_second_only(sensor, second):
            self.at_pump = second
            run.start_at_pump(second)
        else:
            self.use(sensor, second)

    def use(self, sensor: Sensor, at_pump: Sensor | None = None) -> None:
        """Read this sensor, and a second one at the pump, in the open job or in a new one."""
        self.sensor, self.at_pump = sensor, at_pump
        if self.run is not None:
            self.run.start(sensor)
            self.run.start_at_pump(at_pump)
        elif self.opening is None:
            self._open(None)

    def resume(self, path: Path) -> None:
        """Go on with a job; its past is rebuilt while :meth:`steps` is called."""
        self._open(path)

    def steps(self) -> Iterator[Step]:
        """Yield what has happened since the last call.

        Raises
        ------
        UsageError
            If the job that was being opened could not be.
        """
        if self.opening is not None and not self.opening.is_alive():
            self._adopt(self.opening)
        self.is_past = bool(self._past)
        for _ in range(min(len(self._past), MOST_OLD_A_LOOK)):
            yield self._past.popleft()
        if self.run is not None and not self._past:
            self.is_past = False
            yield from self.run.drain()

    def mark(self, kind: MarkKind, text: str = "", *, at_s: float | None = None) -> None:
        """Mark what the technician does now; a simulated circuit does it too.

        With ``at_s`` a closing that was forgotten is marked: it is done already.
        """
        if self.run is None:
            return
        self.run.mark(kind, text, at_s=at_s)
        if at_s is not None:
            return
        for sensor in (self.sensor, self.at_pump):
            if isinstance(sensor, SimSensor) and kind in _SIMULATED:
                if kind == "valve-opened":
                    sensor.act("pump-on")  # nobody opens it on a pump that stands
                sensor.act(_SIMULATED[kind])

    def edit(self, fields: JobFields) -> None:
        """Keep what the job form says; before there is a job it waits for one."""
        if self.only_read is not None:
            return
        before, self.fields = self.fields, fields
        if self.run is not None:
            for key, value in fields.edits(before):
                self.run.recorder.put(Edit(key, value))
            self.run.tell_past(history_of(fields))

    def tell_limits(self) -> None:
        """Judge the open job by the settings' limits of a hold, from the next hold on."""
        if self.run is not None:
            self.run.tell_limits(job_rules(self._settings()))

    def finish(self) -> bool:
        """Close the job for good; say whether all of it is in the file."""
        is_saved = self._let_go()
        if is_saved:
            self.memory.keep(open_job="")
        self.fields, self.pressure_test, self.only_read = JobFields(), None, None
        return is_saved

    def keep_pressure_test(self, test: PressureTest) -> None:
        """Keep a pressure test; before there is a job it waits for one."""
        if self.only_read is not None:
            return
        self.pressure_test = test
        if self.run is not None:
            self.run.recorder.put(pressure_test_note(test))

    @property
    def told(self) -> JobRules:
        """What the open job is judged by; with none open, what the next one will be."""
        job = self.run or self.only_read
        return job_rules(self._settings()) if job is None else job.told

    @property
    def job_path(self) -> Path | None:
        """The open job's file, else that of the one finished last."""
        return self.last_path if self.run is None else self.run.recorder.path

    def unsaved(self) -> str:
        """Try to save all that came so far; say why not, if not."""
        if self.run is None or self.run.recorder.flush():
            return ""
        return self.run.recorder.state.why or "the disk does not answer"

    @property
    def waiting(self) -> int:
        """Readings and notes of the open job that are only in memory."""
        return 0 if self.run is None else self.run.recorder.state.waiting

    def save_elsewhere(self, target: Path) -> None:
        """Go on with the open job in another file.

        Raises
        ------
        UsageError
            If that one does not take it.
        """
        if self.run is not None:
            self.run.recorder.save_elsewhere(target)
            self.memory.keep(open_job=str(self.run.recorder.path))

    def close(self) -> bool:
        """Stop the gauge, save, end the threads; the job can be gone on with later.

        It is offered next time, unless it held: where a leak was found, all is still to be done.
        """
        snapshot = None if self.run is None else self.run.snapshot
        if snapshot is not None and snapshot.stage == "done":
            if snapshot.hold is not None and snapshot.hold.finding == "held":
                self.memory.keep(open_job="")
        return self._let_go()

    def _is_second_only(self, sensor: Sensor, second: Sensor | None) -> bool:
        """Tell whether only the gauge at the pump is another one: then the far one goes on."""
        present, beside = self.sensor, self.at_pump
        is_other = (second and second.name) != (beside and beside.name)
        return is_other and present is not None and present.name == sensor.name

    def _let_go(self) -> bool:
        opening, self.opening = self.opening, None
        run, self.run = self.run, None
        self.is_reopened = False
        self.sensor = self.at_pump = None
        self._past.clear()
        if opening is not None:
            opening.is_cancelled = True
            opening.join()
            run = run or opening.run_made
        if run is None:
            return True
        is_saved = run.close()
        self.last_path = run.recorder.path if run.is_kept else None
        if not run.is_kept:
            self.memory.keep(open_job="")
        return is_saved

    def _open(self, path: Path | None) -> None:
        self._past.clear()
        if self.only_read is not None:  # what it told is no part of the next job
            self.fields, self.pressure_test, self.only_read = JobFields(), None, None
        self.opening = Opening(path, self._settings, self.fields)
        self.opening.start()

    def _adopt(self, opening: Opening) -> None:
        self.opening = None
        opening.join()
        run = opening.run_made
        if run is None:
            self._adopt_no_run(opening)
            return
        self.run, self._past = run, opening.past
        self.is_reopened = opening.path is not None
        run.snapshot = opening.last
        if opening.path is None:
            waiting, self.fields = self.fields, JobFields()
            self.edit(waiting)
            if self.pressure_test is not None:
                self.keep_pressure_test(self.pressure_test)
        else:
            self.fields, self.pressure_test = opening.fields, opening.pressure_test
        self.memory.keep(open_job=str(run.recorder.path))
        self.tell_limits()  # they may have changed while it was being opened
        if self.sensor is not None:
            run.start(self.sensor)
            run.start_at_pump(self.at_pump)

    def _adopt_no_run(self, opening: Opening) -> None:
        """Take a job that can only be read, or say why there is none; no gauge is read in it."""
        self.sensor = self.at_pump = None
        if opening.error is None or isinstance(opening.error, UsageError):
            self.memory.keep(open_job="")
        if opening.error is not None:
            raise opening.error
        self.only_read, self.last_path = opening.only_read, opening.path
        self.fields, self.pressure_test = opening.fields, opening.pressure_test
        self._past = opening.past
