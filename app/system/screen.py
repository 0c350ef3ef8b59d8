"""Whether a window can be opened here."""

import os
import sys


def has_screen() -> bool:
    """Tell whether there is a screen, or a platform named for Qt that needs none."""
    if sys.platform in ("win32", "darwin"):
        return True
    return any(map(os.environ.get, ("QT_QPA_PLATFORM", "DISPLAY", "WAYLAND_DISPLAY")))
