"""The one kind of failure that the user can mend."""


class UsageError(Exception):
    """Wrong use or unreadable input: the text is the one clear sentence the user gets."""
