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
    """

    def __init__(self, path: Path | None = None) -> None:
        self._path = path or state_folder() / "window.json"
        self._value = self._read()

    @property
    def value(self) -> Remembered:
        """What is remembered now."""
        return self._value

    @property
    def open_job(self) -> Path | None:
        """The unfinished job, if its file is still there."""
        path = self._value.open_job
        return Path(path) if os.path.isfile(path) else None  # nor where it cannot be looked up

    def keep(
        self,
        *,
        address: str | None = None,
        at_pump: str | None = None,
        open_job: str | None = None,
    ) -> None:
        """Remember; what is left out stays as it is."""
        value = self._value
        if address is not None:
            value = replace(value, address=address)
        if at_pump is not None:
            value = replace(value, at_pump=at_pump)
        if open_job is not None:
            value = replace(value, open_job=open_job)
        if value == self._value:
            return
        self._value = value
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
