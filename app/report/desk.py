"""Printing a job's record while the run goes on: away from the window, and told when it is done."""

from datetime import UTC, datetime
from functools import partial
from pathlib import Path

from app.system.desk import Desk
from app.system.errors import UsageError
from app.words.phrases import Translate

MOST_NAMES = 1000


class ReportDesk(Desk):
    """Makes one report at a time, on a thread of its own.

    Parameters
    ----------
    translate
        Turns (context, text) into the user's language.
    """

    def __init__(self, translate: Translate) -> None:
        super().__init__("simmerdown-report")
        self._translate = translate

    def make(self, job: Path | None, unit: str) -> None:
        """Begin a report on a job, beside its file; :meth:`news` tells what came of it."""
        if self.is_making:
            return
        if job is None:
            self._news.put(self._translate("Report", "There is no job to report on yet."))
            return
        self._begin(partial(self._report, job, unit))

    def _report(self, job: Path, unit: str) -> str:
        from app.report.pdf import make_report

        target = free_name(job.with_suffix(".pdf"))
        try:
            now = datetime.now(UTC)
            make_report(job, target, now=now, unit=unit, translate=self._translate)
        except UsageError as error:
            return str(error)
        return self._translate("Report", "The report is made: {path}").format(path=target)


def free_name(path: Path) -> Path:
    """Give the path, or with a number where it is taken: a report may have been handed over."""
    names = (path.with_stem(f"{path.stem}-{number}") for number in range(2, MOST_NAMES))
    return path if not path.exists() else next((p for p in names if not p.exists()), path)
