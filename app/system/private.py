"""Texts that can be sent to somebody without telling who or where one is."""

import getpass
import re
from pathlib import Path


def without_private(text: str, *, home: Path | None = None, user: str | None = None) -> str:
    """Shorten the home folder to ``~`` and blot out the user's name in paths.

    Examples
    --------
    >>> without_private("/home/kim/jobs on /media/kim/STICK", home=Path("/home/kim"), user="kim")
    '~/jobs on /media/…/STICK'
    """
    home = home or _home()
    if home is not None and len(str(home)) > 1:
        text = text.replace(str(home), "~")
    user = _user() if user is None else user
    if user and user != "root":
        text = re.sub(rf"(?<=[/\\]){re.escape(user)}(?=[/\\\s'\"]|$)", "…", text)
    return text


def _home() -> Path | None:
    try:
        return Path.home()
    except RuntimeError:
        return None


def _user() -> str:
    try:
        return getpass.getuser()
    except (OSError, KeyError, ImportError):
        return ""
