"""The recorder: its own thread and queue between the sensor and the job file.

Once a second all that came is committed. When the disk does not take it (full, gone, read-only),
it waits in memory up to ``app.jobfile.backlog.MAX_BYTES`` and is written when the disk is back;
meanwhile :attr:`Recorder.state` says so.
"""

import logging
import math
import threading
from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from queue import Empty, SimpleQueue

from app.gauge.link import AtPump, Ended, Failed
from app.jobfile.backlog import Backlog, Item, as_note
from app.jobfile.elsewhere import begin_elsewhere
from app.jobfile.errors import JobFileError
from app.jobfile.resume import continue_job, job_start, last_time_s
from app.jobfile.rows import encode_note
from app.jobfile.utc import UtcNow, utc_now
from app.jobfile.writer import JobWriter
from app.live.save_state import SaveState
from sensors.clock import Clock, now_s
from sensors.events import Connected, Lost, Reading, Rejected

_log = logging.getLogger(__name__)

COMMIT_EVERY_S = 1.0
STALLED_AFTER_S = 10.0
"""A disk that has not answered for this long is told as trouble, though no error has come."""

MOVED_WITHIN_S = 60.0
"""Longest wait for a whole record to be copied: a day at 10 readings a second is 15 MB."""

MAX_QUEUED = 200_000
"""Most items that wait for a disk that does not answer at all: some 5 h at 10 readings a second."""


class Recorder:
    """Record into a job until closed.

    Parameters
    ----------
    path
        A job made by :func:`app.jobfile.new.new_job`; one with times in it is gone on with, and
        the gap is marked.
    now, steady
        Wall clock and steady clock.
    commit_every_s
        Time between commits, seconds.
    open_writer
        Opens the job anew after trouble.

    Raises
    ------
    JobInUseError
        If another program records into it.
    JobFileError
        If it cannot be opened to write.
    """

    def __init__(
        self,
        path: Path,
        *,
        now: UtcNow = utc_now,
        steady: Clock = now_s,
        commit_every_s: float = COMMIT_EVERY_S,
        open_writer: Callable[[Path], JobWriter] = JobWriter,
    ) -> None:
        self.path = path.resolve()
        writer, self.clock = continue_job(self.path, now=now, steady=steady)
        last_s = last_time_s(writer)
        self._writer: JobWriter | None = writer
        self._first_hash = writer.hash_of(1)
        self._start, self._last = job_start(writer), writer.last
        self._open_writer = open_writer
        self._now, self._steady = now, steady
        self._commit_every_s = commit_every_s
        self._backlog = Backlog(-math.inf if last_s is None else last_s, now=now)
        self._queue: SimpleQueue[_Queued] = SimpleQueue()
        self._latest_s: float | None = None
        self._overflow = 0
        self._overflow_lock = threading.Lock()
        self._answered_s = steady()
        self._state = SaveState(True, now(), None, 0, None, writer.last[1])
        self._thread = threading.Thread(target=self._work, name="simmerdown-recorder", daemon=True)
        self._thread.start()

    def __enter__(self) -> "Recorder":
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    @property
    def state(self) -> SaveState:
        """Whether the record is safe, as of now. From any thread."""
        state, waiting = self._state, self._queue.qsize() + self._backlog.waiting
        silent_s = self._steady() - self._answered_s
        if state.is_saving and waiting and silent_s > STALLED_AFTER_S:
            since = self._now() - timedelta(seconds=silent_s)
            why = f"The disk with {self.path.name} has not answered for {silent_s:.0f} s."
            return replace(state, is_saving=False, since_utc=since, why=why, waiting=waiting)
        return replace(state, waiting=waiting)

    def put(self, item: Item) -> None:
        """Take a reading, an event or a note, its times on the job's clock. Never blocks.

        What the sensor and the link say is always taken.

        Raises
        ------
        JobFileError
            If a note cannot be encoded (a number that is NaN, say).
        """
        queued: _Queued
        if isinstance(item, Reading | Rejected | Connected | Lost | Failed | Ended | AtPump):
            queued = item
        else:
            queued = encode_note(as_note(item))
        if self._queue.qsize() < MAX_QUEUED:
            self._queue.put(queued)
        else:
            with self._overflow_lock:
                self._overflow += 1

    def flush(self, within_s: float = STALLED_AFTER_S) -> bool:
        """Commit all that was put so far; say whether it is in the file now."""
        return self._request(is_last=False, within_s=within_s)

    def save_elsewhere(self, target: Path, within_s: float = MOVED_WITHIN_S) -> None:
        """Go on recording in another file, with all that waits; the old one stays as it is.

        Raises
        ------
        JobFileError
            If the target exists or does not take it: then nothing has changed.
        """
        request = _Request(is_last=False, target=target.resolve())
        self._queue.put(request)
        if not request.done.wait(within_s):
            request.is_dropped = True
            raise JobFileError(f"The disk has not answered for {within_s:.0f} s.")
        if request.why:
            raise JobFileError(request.why)

    def close(self, within_s: float = STALLED_AFTER_S) -> bool:
        """Commit, let go of the file, join the thread; say whether all is in the file.

        What the disk does not take now is lost: call :meth:`flush` first to be able to ask.
        """
        is_saved = self._request(is_last=True, within_s=within_s)
        self._thread.join(within_s)
        return is_saved and not self._thread.is_alive()

    def _request(self, *, is_last: bool, within_s: float) -> bool:
        if not self._thread.is_alive():
            return self._state.is_saving and not self.state.waiting
        request = _Request(is_last)
        self._queue.put(request)
        return request.done.wait(within_s) and request.is_saved

    def _work(self) -> None:
        due_s = self._steady() + self._commit_every_s
        is_open = True
        while is_open:
            request: _Request | None = None
            try:
                queued = self._queue.get(timeout=max(0.0, due_s - self._steady()))
                if isinstance(queued, _Request):
                    request = queued
                else:
                    self._take(queued)
            except Empty:
                pass  # a second without any item
            if request and request.target:
                request.why = "" if request.is_dropped else self._move(request.target)
            elif request or self._steady() >= due_s:
                self._save()
                due_s = self._steady() + self._commit_every_s
            if request:
                is_open = not request.is_last
                if not is_open:
                    self._let_go()
                request.is_saved = self._state.is_saving
                request.done.set()

    def _take(self, queued: "Item | tuple[str, bytes]") -> None:
        if isinstance(queued, tuple):
            self._backlog.add_row(*queued)
            return
        event = queued.event if isinstance(queued, AtPump) else queued
        time_s = getattr(event, "time_s", math.nan)
        if math.isfinite(time_s):
            self._latest_s = max(time_s, self._latest_s or time_s)
        elif isinstance(event, Connected | Lost | Failed | Ended):
            event = replace(event, time_s=self._latest_s or 0.0)
            queued = AtPump(event) if isinstance(queued, AtPump) else event
        self._backlog.add(queued)

    def _save(self) -> None:
        """Try to write all that waits; on trouble let go of the file, to open it anew next time."""
        self._note_overflow()
        try:
            if self._writer is None:
                self._writer = self._opened_again()
            self._write_all(self._writer)
        except Exception as error:  # whatever it is: the thread lives on and the items wait
            self._let_go()
            self._report(False, _why(error))
        else:
            self._backlog.written()
            self._report(True, None)

    def _note_overflow(self) -> None:
        with self._overflow_lock:
            overflow, self._overflow = self._overflow, 0
        if overflow:
            at_s = self._latest_s or 0.0
            self._backlog.give_up(overflow, at_s, at_s)

    def _write_all(self, writer: JobWriter) -> None:
        for row in self._backlog.rows():
            writer.append(row.kind, row.payload, utc=row.utc)
        writer.commit()
        self._last = writer.last

    def _move(self, target: Path) -> str:
        """Bring the record to another file; say why not, if not."""
        self._note_overflow()
        self._let_go()
        is_begun = False
        try:
            begin_elsewhere(self.path, target, self._start, self._last)
            is_begun = True
            writer = self._writer = self._open_writer(target)
            self._write_all(writer)
        except Exception as error:  # as in _save
            self._let_go()
            if is_begun:
                with suppress(OSError):
                    target.unlink()
            return _why(error)
        self.path, self._first_hash = target, writer.hash_of(1)
        self._backlog.written()
        self._report(True, None)
        return ""

    def _opened_again(self) -> JobWriter:
        writer = self._open_writer(self.path)
        if writer.hash_of(1) != self._first_hash:
            writer.close()
            raise JobFileError(f"Another job lies at {self.path} now: the one recorded is gone.")
        return writer

    def _let_go(self) -> None:
        if self._writer is not None:
            self._writer.close()
            self._writer = None

    def _report(self, is_saving: bool, why: str | None) -> None:
        before = self._state
        is_same = before.is_saving == is_saving
        self._state = SaveState(
            is_saving,
            before.since_utc if is_same else self._now(),
            why,
            0,  # counted when asked for
            self._latest_s if is_saving else before.saved_until_s,
            self._writer.last[1] if self._writer else before.last_hash,
        )
        self._answered_s = self._steady()


def _why(error: Exception) -> str:
    if not isinstance(error, JobFileError):
        _log.error("saving failed", exc_info=error)
    return str(error) or repr(error)


class _Request:
    """Somebody waits for a commit."""

    def __init__(self, is_last: bool, target: Path | None = None) -> None:
        self.is_last = is_last
        self.target = target  # the file in which to go on
        self.is_dropped = False  # nobody waits for it any more
        self.why = ""
        self.is_saved = False
        self.done = threading.Event()


_Queued = Item | tuple[str, bytes] | _Request
