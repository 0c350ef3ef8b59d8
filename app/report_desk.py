"""Printing a job's record while the run goes on: away from the window, and told when it is done."""

import threading
from datetime import UTC, datetime
from pathlib import Path

from app.errors import UsageError
from app.phrases import Translate

MOST_NAMES = 1000


class ReportDesk:
    """Makes one report at a time, on a thread of its own.

    Parameters
    ----------
    translate
        Turns (context, text) into the user's language.
    """

    def __init__(self, translate: Translate) -> None:
        self._translate = translate
        self._thread: threading.Thread | None = None
        self._said = ""

    @property
    def is_making(self) -> bool:
        """Whether one is being made."""
        return self._thread is not None

    def make(self, job: Path | None, unit: str) -> None:
        """Begin a report on a job, beside its file; :meth:`news` tells what came of it."""
        if self.is_making:
            return
        if job is None:
            self._said = self._translate("Report", "There is no job to report on yet.")
            return
        self._thread = threading.Thread(
            target=self._work, args=(job, unit), name="simmerdown-report", daemon=True
        )
        self._thread.start()

    def news(self) -> str:
        """Give what came of it, once; nothing before."""
        if self._thread is not None:
            if self._thread.is_alive():
                return ""
            self._thread = None
        said, self._said = self._said, ""
        return said

    def close(self) -> None:
        """Wait for what is being made."""
        if self._thread is not None:
            self._thread.join()

    def _work(self, job: Path, unit: str) -> None:
        from app.report.pdf import make_report

        target = free_name(job.with_suffix(".pdf"))
        try:
            now = datetime.now(UTC)
            make_report(job, target, now=now, unit=unit, translate=self._translate)
        except UsageError as error:
            self._said = str(error)
        else:
            self._said = self._translate("Report", "The report is made: {path}").format(path=target)


def free_name(path: Path) -> Path:
    """Give the path, or with a number where it is taken: a report may have been handed over."""
    names = (path.with_stem(f"{path.stem}-{number}") for number in range(2, MOST_NAMES))
    return path if not path.exists() else next((p for p in names if not p.exists()), path)
