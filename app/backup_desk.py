"""Keeping a second copy of a job that was closed, away from the window."""

import threading
from pathlib import Path

from app.errors import UsageError
from app.jobfile.backup import back_up
from app.phrases import Translate


def backup_told(job: Path, folder: Path, translate: Translate) -> tuple[bool, str]:
    """Make the copy; give whether there is one, and the sentence that says so."""
    try:
        copy = back_up(job, folder)
    except UsageError as error:
        safe = translate("Backup", "The job itself is safe in {path}.").format(path=job)
        return False, f"{error} {safe}"
    return True, translate("Backup", "A second copy is in {path}.").format(path=copy)


class BackupDesk:
    """Makes one copy at a time, on a thread of its own: a network folder may take its time.

    Parameters
    ----------
    translate
        Turns (context, text) into the user's language.
    """

    def __init__(self, translate: Translate) -> None:
        self._translate = translate
        self._thread: threading.Thread | None = None
        self._is_made, self._said = True, ""

    def make(self, job: Path | None, folder: Path | None) -> None:
        """Begin the copy, where there is a job and a folder for it."""
        if job is None or folder is None:
            return
        self.wait()
        self._is_made, self._said = True, ""
        self._thread = threading.Thread(
            target=self._work, args=(job, folder), name="simmerdown-backup", daemon=True
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

    def wait(self, within_s: float | None = None) -> str:
        """Wait for what is being made; say why there is no copy, if there is none."""
        if self._thread is not None:
            self._thread.join(within_s)
            if self._thread.is_alive():
                return self._translate("Backup", "The second place does not answer: no copy there.")
        return "" if self._is_made else self.news()

    def _work(self, job: Path, folder: Path) -> None:
        self._is_made, self._said = backup_told(job, folder, self._translate)
