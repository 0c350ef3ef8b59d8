"""Keeping a second copy of a job that was closed, away from the window."""

from functools import partial
from pathlib import Path

from app.jobfile.backup import back_up
from app.system.desk import Desk
from app.system.errors import UsageError
from app.words.phrases import Translate


def backup_told(job: Path, folder: Path, translate: Translate) -> tuple[bool, str]:
    """Make the copy; give whether there is one, and the sentence that says so."""
    try:
        copy = back_up(job, folder)
    except UsageError as error:
        safe = translate("Backup", "The job itself is safe in {path}.").format(path=job)
        return False, f"{error} {safe}"
    return True, translate("Backup", "A second copy is in {path}.").format(path=copy)


class BackupDesk(Desk):
    """Makes one copy at a time, on a thread of its own.

    Parameters
    ----------
    translate
        Turns (context, text) into the user's language.
    """

    def __init__(self, translate: Translate) -> None:
        super().__init__("simmerdown-backup")
        self._translate = translate
        self._is_made = True

    def make(self, job: Path | None, folder: Path | None) -> None:
        """Begin the copy, where there is a job and a folder for it."""
        if job is None or folder is None:
            return
        self.close()
        self._is_made, self._said = True, ""
        self._begin(partial(self._copy, job, folder))

    def wait(self, within_s: float | None = None) -> str:
        """Wait for what is being made; say why there is no copy, if there is none."""
        if not self.close(within_s):
            return self._translate("Backup", "The second place does not answer: no copy there.")
        return "" if self._is_made else self.news()

    def _copy(self, job: Path, folder: Path) -> str:
        self._is_made, said = backup_told(job, folder, self._translate)
        return said
