"""What can go wrong with a job file, each as one clear sentence: what, where, what was expected."""

import sqlite3

from app.system.errors import UsageError

SQLITE_ERRORS = (sqlite3.Error, UnicodeDecodeError)
"""What SQLite's calls raise: where a damaged file's own text is part of SQLite's message and is no
UTF-8, Python cannot make the ``sqlite3.Error`` and raises the other one."""


class JobFileError(UsageError):
    """A job file cannot be used. The text is one clear sentence for the user."""


class JobInUseError(JobFileError):
    """Another program (or another window of this one) is writing to the job."""


class JobDamagedError(JobFileError):
    """The file is one of ours, and a part of it cannot be read."""


STILL_READ = "'simmerdown report' and 'simmerdown export' give what can still be read."
"""What to do with a damaged job that cannot be opened otherwise."""
