"""What can go wrong with a job file, each as one clear sentence: what, where, what was expected."""

from app.errors import UsageError


class JobFileError(UsageError):
    """A job file cannot be used. The text is one clear sentence for the user."""


class JobInUseError(JobFileError):
    """Another program (or another window of this one) is writing to the job."""


class JobDamagedError(JobFileError):
    """The file is one of ours, and a part of it cannot be read."""
