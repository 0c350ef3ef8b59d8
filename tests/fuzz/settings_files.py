"""The settings file, edited by hand or by something else."""

from pathlib import Path

from hypothesis import strategies as st

from app.settings.file import SettingsFileError, load_settings, save_settings
from app.settings.text import literals, whole_text
from app.settings.values import LIMITS, Limit, Settings
from tests.fuzz.mangle import seeded, variants
from tests.fuzz.scratch import folder
from tests.fuzz.target import Outcome, Target, check_sentence

_VALUES = [
    '"micron"', '"dark"', '"x"', "true", "1", "10.0", "60", "-1", "0", "nan", "inf", "1e400",
    "1" + "0" * 400, "1" + "0" * 5000, '""', '" "', '"/backups"', '"\\u0000"', "[]", "{}",
    '{pressure = "500 micron"}', '{pressure = "500 micron", source = ""}', '{pressure = 5}',
    '{pressure = "' + "9" * 500 + ' micron"}', '{pressure = "1 furlong"}', "[" * 900 + "]" * 900,
    '{pressure = "٣ micron"}', '{pressure = "0 pa"}', "2030-01-31", '"\\u001b[2J"', "'''a\nb'''",
    '{pressure = "60 pa", source = "the maker\\u001b[2J"}', '"' + "x" * 3000 + '"', "1e-320",
]  # fmt: skip
_KEYS = [
    *(name for name in Settings.__dataclass_fields__),
    *(f"limits.{name}" for name in LIMITS),
    *(f"limits.{name}.pressure" for name in LIMITS),
    "limits", "limits.x", "x", '"\\u001b[2J"', '"a.b"', "y" * 500,
]  # fmt: skip
_lines = st.lists(
    st.builds("{} = {}".format, st.sampled_from(_KEYS), st.sampled_from(_VALUES)), max_size=5
).map(lambda lines: "\n".join(lines).encode())
_own = st.just(whole_text(Settings()).encode())
CHANGED = Settings(
    unit="mbar",
    flat_min=12.5,
    circuit_c=-4.0,
    hold_rise=Limit(pressure_pa=65.0, source='the "manual"'),
    backup_folder=Path("/stick"),
)
INPUTS = seeded(st.one_of(_own, _lines, _lines, st.binary(max_size=99)))


def use(data: bytes) -> Outcome:
    """Load it; what it holds is saved and loaded the same, and an unreadable one is kept."""
    path = folder() / "settings.toml"
    path.write_bytes(data)
    try:
        settings = load_settings(path)
    except SettingsFileError as error:
        check_sentence(str(error))
        try:
            save_settings(Settings(), path)
        except SettingsFileError:
            assert path.read_bytes() == data
            return "refused"
        raise AssertionError("an unreadable file was written over") from error
    save_settings(settings, path)
    assert path.read_bytes() in (data, data.removeprefix(b"\xef\xbb\xbf"))  # nothing was changed
    save_settings(CHANGED, path)
    assert literals(load_settings(path)) == literals(CHANGED)
    kept = folder() / "settings.toml.before-1"
    if kept.exists():
        kept.unlink()
    return "read"


TARGET = Target("settings", INPUTS, use, examples=60, spread=variants)
