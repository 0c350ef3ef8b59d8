"""Where things lie: the user's folders and files, and the program's own assets.

No folder is made here: who writes makes it. With ``SIMMERDOWN_HOME`` set, everything the program
writes lies under that folder (a stick that goes from laptop to laptop, a trial, a test). Where
there is neither that nor a home, looking a path up is a ``UsageError``.
"""

import os
from collections.abc import Callable
from functools import partial
from pathlib import Path

import platformdirs

from app.system.errors import UsageError

_config = partial(platformdirs.user_config_path, "simmerdown", appauthor=False)
_state = partial(platformdirs.user_state_path, "simmerdown", appauthor=False)


def jobs_folder() -> Path:
    """Folder of the job files: among the user's documents, where people look and back up."""
    home = _home()
    return home / "jobs" if home else _at_home(platformdirs.user_documents_path) / "Simmerdown jobs"


def state_folder() -> Path:
    """Folder of what the program remembers for itself and can do without, such as the log."""
    home = _home()
    return home / "state" if home else _at_home(_state)


def log_file() -> Path:
    """Return the log of the program itself; older ones end in ``.1``, ``.2`` and so on."""
    return state_folder() / "simmerdown.log"


def settings_file() -> Path:
    """Return the one file with the user's settings."""
    home = _home()
    folder = home if home else _at_home(_config)
    return folder / "settings.toml"


def profiles_folder() -> Path:
    """Folder of the gauges' profiles, beside the settings."""
    return settings_file().parent / "profiles"


def asset(name: str) -> Path:
    """Return the path of an asset that comes with the program, such as ``icons/burst.svg``.

    Installed, they lie inside the package; in a checkout, beside it.

    Raises
    ------
    FileNotFoundError
        If there is none of this name.
    """
    package = Path(__file__).parents[1]
    for folder in (package / "assets", package.parent / "assets"):
        if (folder / name).exists():
            return folder / name
    raise FileNotFoundError(f"Simmerdown's asset {name} is missing; install the program again")


def _home() -> Path | None:
    chosen = os.environ.get("SIMMERDOWN_HOME")
    return Path(chosen).absolute() if chosen else None


def _at_home(place: Callable[[], Path]) -> Path:
    try:
        return place()
    except RuntimeError as error:  # as for a user the system does not know, with HOME unset
        raise UsageError(
            "There is no home folder to keep anything in: set HOME, or SIMMERDOWN_HOME, to the "
            "full path of a folder of yours."
        ) from error
