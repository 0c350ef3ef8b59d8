"""Leaving a dialog unsaved: what was typed is let go only when asked a second time."""

from collections.abc import Callable

from PySide6.QtCore import QCoreApplication


class Leaving:
    """Tells whether a dialog may close without saving.

    Parameters
    ----------
    would_lose
        Whether anything would be lost.
    tell
        Shows a sentence in the dialog.
    """

    def __init__(self, would_lose: Callable[[], bool], tell: Callable[[str], None]) -> None:
        self._would_lose, self._tell = would_lose, tell
        self._is_told = False

    def may_go(self) -> bool:
        """Tell whether it may close now; if not, say so, and the next time it may."""
        if self._is_told or not self._would_lose():
            return True
        self._is_told = True
        self._tell(
            QCoreApplication.translate(
                "Leaving", "This is not saved. Cancel once more to let it go."
            )
        )
        return False

    def forget(self) -> None:
        """Something was typed since: it is asked anew."""
        self._is_told = False
