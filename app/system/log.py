"""The program's own log, and what happens with a fault that nobody handled.

A fault in one part must not end a run that is being recorded: it is logged with its traceback,
told once in one line, and the run goes on.
"""

import contextlib
import logging
import sys
import threading
from collections import Counter
from collections.abc import Callable
from logging.handlers import RotatingFileHandler
from pathlib import Path
from types import TracebackType

from app.system.paths import log_file

_LARGEST_BYTES = 1_000_000
_OLDER_FILES = 3
_logger = logging.getLogger("simmerdown")


def start_log(path: Path | None = None) -> Path | None:
    """Log to ``path`` (default: the user's log file), at most 4 MB in all.

    Returns the file, or ``None`` where it cannot be written: the program runs without then.
    """
    target = path or log_file()
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        handler = RotatingFileHandler(
            target, maxBytes=_LARGEST_BYTES, backupCount=_OLDER_FILES, encoding="utf-8"
        )
    except OSError as fault:
        _tell(f"Simmerdown keeps no log of itself in {target.parent}: {fault.strerror or fault}.")
        return None
    handler.setFormatter(
        logging.Formatter("%(asctime)s %(levelname)s %(threadName)s %(name)s: %(message)s")
    )
    stop_log()
    _logger.addHandler(handler)
    _logger.setLevel(logging.INFO)
    _logger.propagate = False
    return target


def stop_log() -> None:
    """Close the log file, if any."""
    for handler in [h for h in _logger.handlers if isinstance(h, RotatingFileHandler)]:
        _logger.removeHandler(handler)
        handler.close()


def _tell(text: str) -> None:
    if sys.stderr is not None:  # a windowed program on Windows has none
        with contextlib.suppress(OSError, ValueError):
            print(text, file=sys.stderr, flush=True)


class FaultReporter:
    """Logs unhandled faults and tells each one once.

    A fault is the same when its kind and the line it comes from are. A repeated one (a slot called
    30 times a second) is logged at its 1st, 10th, 100th ... time only, so it drowns nothing.

    Parameters
    ----------
    tell
        Gets one line for the user; default: standard error.
    """

    def __init__(self, tell: Callable[[str], None] = _tell) -> None:
        self._tell = tell
        self._times: Counter[tuple[str, str, int]] = Counter()
        self._lock = threading.Lock()

    def install(self) -> None:
        """Take over the faults of the main thread (with Qt: of every slot) and of all threads."""
        sys.excepthook = self.report
        threading.excepthook = self._on_thread_fault

    def report(
        self,
        kind: type[BaseException],
        fault: BaseException,
        traceback: TracebackType | None,
    ) -> None:
        """Log and tell a fault. Signature of ``sys.excepthook``."""
        if issubclass(kind, KeyboardInterrupt):
            sys.__excepthook__(kind, fault, traceback)
            return
        key = (kind.__name__, *_place(traceback))
        with self._lock:
            self._times[key] += 1
            times = self._times[key]
        if times == 1:
            text = " ".join(str(fault).split())
            self._tell(
                f"Simmerdown: a fault of the program ({kind.__name__}: {text}); "
                f"details in {log_file()}"
            )
        if str(times).strip("0") == "1":
            count = "" if times == 1 else f" ({times} times so far)"
            _logger.error("unhandled fault%s", count, exc_info=(kind, fault, traceback))

    def _on_thread_fault(self, arguments: threading.ExceptHookArgs) -> None:
        if arguments.exc_type is SystemExit:  # how a thread ends itself; Python ignores it too
            return
        fault = arguments.exc_value or arguments.exc_type()
        self.report(arguments.exc_type, fault, arguments.exc_traceback)


def _place(traceback: TracebackType | None) -> tuple[str, int]:
    """File and line the fault comes from."""
    if traceback is None:
        return "", 0
    while traceback.tb_next is not None:
        traceback = traceback.tb_next
    return traceback.tb_frame.f_code.co_filename, traceback.tb_lineno
