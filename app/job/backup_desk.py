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
    """Makes one copy after the other.

    Parameters
    ----------
    translate
        Turns (context, text) into the user's language.
    """

    def __init__(self, translate: Translate) -> None:
        super().__init__("simmerdown-backup")
        self._translate = translate
        self._refused: list[str] = []  # what is said of copies that could not be made

    def make(self, job: Path | None, folder: Path | None) -> None:
        """Begin the copy, where there is a job and a folder for it."""
        if job is not None and folder is not None:
            self._begin(partial(self._copy, job, folder))

    def news(self) -> str:
        """Give what came of a copy, each once; nothing before."""
        said = super().news()
        if said in self._refused:
            self._refused.remove(said)
        return said

    def wait(self, within_s: float | None = None) -> str:
        """Wait for what is being made; say why there is no copy, as far as not told yet."""
        if not self.close(within_s):
            return self._translate("Backup", "The second place does not answer: no copy there.")
        return " ".join(self._refused)

    def _copy(self, job: Path, folder: Path) -> str:
        is_made, said = backup_told(job, folder, self._translate)
        if not is_made:
            self._refused.append(said)
        return said
