"""The settings in use, and their file."""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from app.settings import Settings
from app.settings_file import SettingsFileError, load_settings, save_settings


class SettingsKeeper:
    """Loads once; a change holds at once, whether or not the file takes it.

    Parameters
    ----------
    tell
        Gets one clear sentence about a file that cannot be read or written; another may take its
        place once there is a window to tell it.
    """

    def __init__(self, tell: Callable[[str], None]) -> None:
        self.tell = tell
        try:
            self.value = load_settings()
        except SettingsFileError as error:
            tell(str(error))
            self.value = Settings()

    def change(self, **values: Any) -> None:
        """Change some settings.

        Raises
        ------
        SettingError
            If a value is out of its range.
        """
        self.value = replace(self.value, **values)
        try:
            before = save_settings(self.value, changed=values)
        except SettingsFileError as error:
            self.tell(f"This change will not be kept. {error}")
            return
        if before is not None:
            self.tell(f"The settings file was written anew; the one before is kept: {before}")
