"""Settings: what they may be, and the file they are kept in."""

import os
import tomllib
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.settings.file import (
    SettingsFileError,
    _settings,
    load_settings,
    save_settings,
    set_aside,
)
from app.settings.text import literals, pressure_text, whole_text
from app.settings.values import LIMITS, Limit, SettingError, Settings
from app.system.atomic import write_atomically

# NIST SP 811 (2008), appendix B.8: 1 mmHg (conventional) = 133.3224 Pa.
MICRON_PA = 0.1333224


def test_defaults_are_the_trades_round_figures() -> None:
    defaults = Settings()
    in_micron = [getattr(defaults, name).pressure_pa / MICRON_PA for name in LIMITS]
    assert in_micron == pytest.approx([500, 100, 500, 1000, 100, 50], rel=1e-6)
    assert all("practice" in getattr(defaults, name).source for name in LIMITS)
    assert defaults.circuit_c_or_default == 20.0


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("unit", "furlong"),
        ("theme", "pink"),
        ("sound", 1),
        ("flat_min", 0),
        ("flat_min", float("nan")),
        ("flat_min", True),
        ("circuit_c", 300),
        ("water_gauge_factor", 0.5),
        ("hold_rise", Limit(pressure_pa=-1)),
        ("before_hold", Limit(pressure_pa=1e5)),
        ("before_hold", Limit(pressure_pa=60, source=" ")),
        ("do_not_charge", Limit(pressure_pa=10)),
        ("blank_off_load_pct", 0.2),
        ("blank_off_load_source", " "),
    ],
)
def test_what_a_setting_cannot_be_is_refused_by_its_name(key: str, value: object) -> None:
    with pytest.raises(SettingError, match=key):
        Settings(**{key: value})  # type: ignore[arg-type]


def test_without_a_file_the_defaults_hold(tmp_path: Path) -> None:
    assert load_settings(tmp_path / "none.toml") == Settings()


_TEXTS = st.text(st.characters(codec="utf-8"), min_size=1).filter(str.strip)


@settings(max_examples=50)
@given(flat_min=st.floats(1, 120), tenths=st.integers(1, 60000), text=_TEXTS, path=_TEXTS)
def test_what_is_written_is_read_back(flat_min: float, tenths: int, text: str, path: str) -> None:
    limit = Limit(pressure_pa=tenths * MICRON_PA / 10, source=text)
    written = Settings(flat_min=flat_min, hold_rise=limit, backup_folder=Path(path))
    read = _settings(tomllib.loads(whole_text(written)))
    assert read.hold_rise.pressure_pa == pytest.approx(limit.pressure_pa, rel=1e-12)
    assert literals(read) == literals(written)
    assert replace(read, hold_rise=limit) == written


def test_saved_and_loaded(tmp_path: Path) -> None:
    path = tmp_path / "deep" / "settings.toml"
    limit = Limit(pressure_pa=65.0, source='the maker\'s "manual", chapter 4\\5\x7f')
    saved = Settings(backup_folder=Path("/a b/c"), circuit_c=15.5, before_hold=limit)
    save_settings(saved, path)
    loaded = load_settings(path)
    assert loaded.before_hold.pressure_pa == pytest.approx(65.0, rel=1e-9)
    assert loaded.before_hold.source == limit.source
    assert (loaded.backup_folder, loaded.circuit_c) == (Path("/a b/c"), 15.5)
    save_settings(loaded, path)
    assert load_settings(path) == loaded
    assert [file.name for file in path.parent.iterdir()] == ["settings.toml"]


@pytest.mark.parametrize(
    ("text", "line", "expected"),
    [
        ("unit = 'micron'\n\nthema = 'dark'", 3, "settings there are"),
        ("# a\nunit = 'furlong'", 2, "micron"),
        ("unit 'micron'", 1, "NAME = VALUE"),
        ("sound = true\nunit = [1,\n", 3, "NAME = VALUE"),
        ("theme='dark'\ntheme='light'", 2, "overwrite"),
        ("[limits.before_hold]\nsource = 'x'\npressure = 500", 3, '"500 micron"'),
        ("\n[limits.hold_rise]\nsource = 'x'", 2, "pressure ="),
        ("[limits]\nhold_rise.pressure = '3 furlong'", 2, "inhg"),
        ("\n[limits.zz]\npressure = '3 pa'", 2, "hold_highest"),
        ("flat_min = nan", 1, "from 1 to 120"),
        ("limits = 1", 1, "table"),
    ],
)
def test_a_bad_file_is_told_with_its_line_and_never_overwritten(
    tmp_path: Path, text: str, line: int, expected: str
) -> None:
    path = tmp_path / "settings.toml"
    path.write_text(text)
    with pytest.raises(SettingsFileError) as told:
        load_settings(path)
    assert f"settings.toml, line {line}: " in str(told.value)
    assert expected in str(told.value)
    assert "\n" not in str(told.value)
    with pytest.raises(SettingsFileError):
        save_settings(Settings(), path)
    assert path.read_text() == text
    kept = set_aside(path)
    save_settings(Settings(), path)
    assert kept.read_text() == text
    assert load_settings(path) == Settings()


def test_a_file_from_a_plain_editor_on_windows(tmp_path: Path) -> None:
    path = tmp_path / "settings.toml"
    path.write_bytes(
        b'\xef\xbb\xbfunit = "mbar"\r\n[limits.hold_rise]\r\npressure = "0.1 mbar"\r\n'
    )
    loaded = load_settings(path)
    assert loaded.unit == "mbar"
    assert loaded.hold_rise.pressure_pa == pytest.approx(10.0)
    path.write_bytes(b"# a\nunit = '\xb5m'")
    with pytest.raises(SettingsFileError, match="line 2: expected UTF-8"):
        load_settings(path)


def test_a_failed_write_leaves_the_old_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(descriptor: int) -> None:
        raise OSError(28, "No space left on device")

    path = tmp_path / "file"
    write_atomically(path, "old")
    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="No space"):
        write_atomically(path, "new")
    assert path.read_text() == "old"
    assert list(tmp_path.iterdir()) == [path]


def test_a_symbolic_link_stays_one(tmp_path: Path) -> None:
    link = tmp_path / "link"
    link.symlink_to(tmp_path / "real")
    write_atomically(link, "text")
    assert link.is_symlink()
    assert (tmp_path / "real").read_text() == "text"


OWN = """\
# Our shop's, agreed in spring
unit = "micron" # what the gauge says
\tflat_min=10
# circuit_c = 12.0 as it was in winter

# the one from the manual
[limits.hold_rise]
source = 'page 7 # top'
pressure = "60 micron"
"""


@pytest.mark.parametrize("ending", ["\n", "\r\n"])
def test_a_change_keeps_what_else_is_in_the_file(tmp_path: Path, ending: str) -> None:
    path = tmp_path / "settings.toml"
    path.write_bytes(OWN.replace("\n", ending).encode())
    limit = Limit(pressure_pa=65.0, source='the "manual"')
    kept = save_settings(
        Settings(flat_min=12.5, circuit_c=-4.0, hold_rise=limit, theme="dark"),
        path,
        ("flat_min", "circuit_c", "hold_rise", "theme"),
    )
    assert kept is None
    assert path.read_bytes().decode().split(ending) == [
        "# Our shop's, agreed in spring",
        'unit = "micron" # what the gauge says',
        "\tflat_min=12.5",
        'theme = "dark"  # system, light, dark or high-contrast',
        "circuit_c = -4.0  # coldest part of the circuit, degrees Celsius, where the gauge has "
        "none",
        "# circuit_c = 12.0 as it was in winter",
        "",
        "# the one from the manual",
        "[limits.hold_rise]",
        'source = "the \\"manual\\""',
        'pressure = "65 pa"',
        "",
    ]
    assert load_settings(path).hold_rise == limit


def test_a_hand_edit_made_meanwhile_stays(tmp_path: Path) -> None:
    path = tmp_path / "settings.toml"
    save_settings(Settings(), path)
    path.write_text(path.read_text().replace("hold_long_min = 30.0", "hold_long_min = 50  # van"))
    save_settings(Settings(theme="dark"), path, ("theme",))
    loaded = load_settings(path)
    assert (loaded.theme, loaded.hold_long_min) == ("dark", 50)
    assert "hold_long_min = 50  # van" in path.read_text()


def test_what_is_not_set_takes_the_examples_place_and_back(tmp_path: Path) -> None:
    path = tmp_path / "settings.toml"
    save_settings(Settings(), path)
    lines = path.read_text().splitlines()
    save_settings(Settings(circuit_c=15.0, backup_folder=Path("/stick")), path)
    assert 'backup_folder = "/stick"' in path.read_text()
    assert len(path.read_text().splitlines()) == len(lines)
    save_settings(Settings(), path)
    assert load_settings(path) == Settings()
    assert "# circuit_c = 15.0  # coldest" in path.read_text()
    assert len(path.read_text().splitlines()) == len(lines)


@pytest.mark.parametrize(
    "text",
    [
        'hold_length_source = """\nflat_min = 5\n"""\nflat_min = 20',
        "[limits]\nhold_rise.pressure = '60 micron'",
        "limits = {hold_rise = {pressure = '60 micron'}}\nflat_min = 20",
        "flat_min = 20\n[limits]\nhold_rise = {pressure = '60 micron'} # mine",
    ],
)
def test_what_cannot_be_changed_in_its_line_is_kept_beside(tmp_path: Path, text: str) -> None:
    path = tmp_path / "settings.toml"
    path.write_text(text)
    before = load_settings(path)
    limit = Limit(pressure_pa=65.0, source="manual")
    changed = replace(before, flat_min=7.5, hold_rise=limit)
    kept = save_settings(changed, path, ("flat_min", "hold_rise"))
    assert kept == tmp_path / "settings.toml.before-1"
    assert kept.read_text() == text
    assert load_settings(path) == changed


def test_a_change_that_the_file_does_not_go_with_by_now_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "settings.toml"
    text = "[limits.do_not_charge]\npressure = '600 micron'\n"
    path.write_text(text)
    highest = Limit(pressure_pa=700 * MICRON_PA)
    with pytest.raises(SettingsFileError, match=r"does not go with it: limits\.do_not_charge"):
        save_settings(Settings(hold_highest=highest), path, ("hold_highest",))
    assert path.read_text() == text


@given(st.floats(1e-12, 1e4, exclude_min=True))
def test_a_pressure_is_written_in_a_short_form_that_reads_back(value_pa: float) -> None:
    text = f"limits.before_hold.pressure = '{pressure_text(value_pa)}'"
    read = _settings(tomllib.loads(text)).before_hold.pressure_pa
    assert read == pytest.approx(value_pa, rel=1e-12)


@pytest.mark.parametrize(
    ("value_pa", "text"),
    [(65.0, "65 pa"), (66.66119370749999, "500 micron"), (10.0, "10 pa"), (0.1, "0.1 pa"),
     (101.325, "101.325 pa"), (101325 / 760, "1 torr")],
)  # fmt: skip
def test_a_pressure_keeps_the_unit_it_is_round_in(value_pa: float, text: str) -> None:
    assert pressure_text(value_pa) == text
