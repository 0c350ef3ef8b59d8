"""What the window remembers from one start to the next, and can do without."""

import json
import logging
import os
from dataclasses import asdict, dataclass, fields, replace
from pathlib import Path

from app.system.atomic import write_atomically
from app.system.paths import state_folder

_log = logging.getLogger("simmerdown.memory")


@dataclass(frozen=True, slots=True)
class Remembered:
    """The last sensor, the one at the pump beside it, and the job that was not finished."""

    address: str = ""
    open_job: str = ""
    at_pump: str = ""


class Memory:
    """Keeps :class:`Remembered` in one small file; a file that cannot be used counts as none.

    Parameters
    ----------
    path
        The file; default: in the program's state folder.

    Attributes
    ----------
    value
        What is remembered now.
    """

    def __init__(self, path: Path | None = None) -> None:
        self._path = path or state_folder() / "window.json"
        self.value = self._read()

    @property
    def open_job(self) -> Path | None:
        """The unfinished job, if its file is still there."""
        path = self.value.open_job
        return Path(path) if os.path.isfile(path) else None  # nor where it cannot be looked up

    def keep(self, **changes: str) -> None:
        """Remember these fields of :class:`Remembered`; the others stay as they are."""
        value = replace(self.value, **changes)
        if value == self.value:
            return
        self.value = value
        try:
            write_atomically(self._path, json.dumps(asdict(value)) + "\n")
        except OSError:
            _log.exception("not remembered")

    def _read(self) -> Remembered:
        names = [field.name for field in fields(Remembered)]
        try:
            found = json.loads(self._path.read_text(encoding="utf-8"))
            return Remembered(**{name: str(found[name]) for name in names if name in found})
        except (OSError, ValueError, TypeError, RecursionError):
            return Remembered()
