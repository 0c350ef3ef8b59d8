"""Where things lie: the user's folders and files, and the program's own assets.

No folder is made here: who writes makes it. With ``SIMMERDOWN_HOME`` set, everything the program
writes lies under that folder (a stick that goes from laptop to laptop, a trial, a test).
"""

import os
from pathlib import Path

import platformdirs

_NAME = "simmerdown"


def jobs_folder() -> Path:
    """Folder of the job files: among the user's documents, where people look and back up."""
    home = _home()
    return home / "jobs" if home else platformdirs.user_documents_path() / "Simmerdown jobs"


def state_folder() -> Path:
    """Folder of what the program remembers for itself and can do without, such as the log."""
    home = _home()
    return home / "state" if home else platformdirs.user_state_path(_NAME, appauthor=False)


def log_file() -> Path:
    """Return the log of the program itself; older ones end in ``.1``, ``.2`` and so on."""
    return state_folder() / "simmerdown.log"


def settings_file() -> Path:
    """Return the one file with the user's settings."""
    home = _home()
    folder = home if home else platformdirs.user_config_path(_NAME, appauthor=False)
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
