"""What is said when a change cannot be kept, or the file was written anew: in the user's words."""

from pathlib import Path

import pytest

from app.settings import keeper as module
from app.settings.file import SettingsFileError
from app.settings.keeper import SettingsKeeper
from app.settings.values import Limit
from app.system.paths import settings_file


def marked(context: str, text: str) -> str:
    return f"«{context}» {text}"


def keeper(told: list[str], text: str) -> SettingsKeeper:
    settings_file().parent.mkdir(parents=True, exist_ok=True)
    settings_file().write_text(text, encoding="utf-8")
    made = SettingsKeeper(told.append, marked)
    told.clear()
    return made


def test_what_is_not_kept_is_said_through_the_translator() -> None:
    told: list[str] = []
    assert not keeper(told, "no toml").change(sound=False)
    assert told[0].startswith(f"«Settings» This change will not be kept. {settings_file()}, line 1")


def test_a_file_written_anew_is_said_through_the_translator() -> None:
    told: list[str] = []
    inline = 'limits = { hold_rise = { pressure = "90 micron", source = "page 7" } }\n'
    assert not keeper(told, inline).change(hold_rise=Limit(pressure_pa=9.0))
    (text,) = told
    assert text.startswith("«Settings» The settings file was written anew; the one before is kept")
    kept = Path(text.rsplit(": ", 1)[1])
    assert kept.read_text(encoding="utf-8") == inline


def test_a_file_that_cannot_be_renamed_is_said_so(monkeypatch: pytest.MonkeyPatch) -> None:
    def refused() -> Path:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(module, "set_aside", refused)
    with pytest.raises(SettingsFileError, match="«Settings» The file cannot be renamed"):
        keeper([], "no toml").set_aside()
