"""The settings in use, and their file."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

from app.settings.file import SettingsFileError, load_settings, save_settings, set_aside
from app.settings.phrases import file_phrases
from app.settings.values import Settings
from app.words.phrases import Translate, english


class SettingsKeeper:
    """Loads once; a change holds at once, whether or not the file takes it.

    Parameters
    ----------
    tell
        Gets one clear sentence about a file that cannot be read or written; another may take its
        place once there is a window to tell it.
    translate
        Turns (context, text) into the user's language.
    """

    def __init__(self, tell: Callable[[str], None], translate: Translate = english) -> None:
        self.tell, self._phrases = tell, file_phrases(translate)
        try:
            self.value = load_settings()
        except SettingsFileError as error:
            tell(str(error))
            self.value = Settings()

    def trouble(self) -> str:
        """Say why the file cannot be used, if it cannot."""
        try:
            load_settings()
        except SettingsFileError as error:
            return str(error)
        return ""

    def set_aside(self) -> Path:
        """Rename a file that cannot be used, and begin a new one; give where the old one is.

        Raises
        ------
        SettingsFileError
            If it cannot be renamed, or a new one cannot be written.
        """
        try:
            kept = set_aside()
        except OSError as error:
            text = self._phrases["not-renamed"].format(why=error.strerror)
            raise SettingsFileError(text) from error
        save_settings(self.value)
        return kept

    def change(self, **values: Any) -> bool:
        """Change some settings; give whether nothing had to be told of their file.

        Raises
        ------
        SettingError
            If a value is out of its range.
        """
        self.value = replace(self.value, **values)
        try:
            before = save_settings(self.value, changed=values)
        except SettingsFileError as error:
            self.tell(self._phrases["not-kept"].format(why=error))
            return False
        if before is not None:
            self.tell(self._phrases["anew"].format(kept=before))
        return before is None
