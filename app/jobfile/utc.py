"""The one form in which a job file writes a moment: ``2030-01-31T09:05:00.250Z``."""

import re
from collections.abc import Callable
from datetime import UTC, datetime

from app.jobfile.errors import JobFileError

UtcNow = Callable[[], datetime]

_FORM = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}Z", re.ASCII)


def utc_now() -> datetime:
    """Return this moment, aware, in UTC."""
    return datetime.now(UTC)


def utc_text(moment: datetime) -> str:
    """Write an aware moment in UTC to the millisecond.

    Examples
    --------
    >>> utc_text(datetime(2030, 1, 31, 9, 5, 0, 250_000, UTC))
    '2030-01-31T09:05:00.250Z'
    """
    plain = moment.astimezone(UTC).replace(tzinfo=None)
    return plain.isoformat(timespec="milliseconds") + "Z"


def parse_utc(text: str) -> datetime:
    """Read a moment written by :func:`utc_text`.

    Raises
    ------
    JobFileError
        If it has any other form.
    """
    try:
        if not _FORM.fullmatch(text):
            raise ValueError
        return datetime.fromisoformat(text)
    except ValueError:
        raise JobFileError(
            f"{text[:40]!r} is no UTC time of the form 2030-01-31T09:05:00.000Z."
        ) from None
