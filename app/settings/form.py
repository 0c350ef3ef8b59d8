"""The settings as a form has them: what is typed, what is wrong with it, and what it changes."""

import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import fields
from pathlib import Path
from typing import Any

from app.gauge.profile_form import Number
from app.settings.phrases import wrong_phrases
from app.settings.values import (
    HIGHEST_LIMIT_PA,
    HOLD_LENGTHS,
    LIMITS,
    MAY_BE_UNSAID,
    PRACTICE,
    RANGES,
    TEXT_SOURCES,
    Limit,
    Settings,
)
from app.words import display
from app.words.phrases import Translate, english
from sensors.units import PA_PER_UNIT

DEFAULTS = Settings()
SOURCES = {
    **{f"{name}.source": (name,) for name in LIMITS},
    "hold_rise.source": ("hold_rise", "hold_rise_min"),
    "hold_length_source": HOLD_LENGTHS,
    "blank_off_rise.source": ("blank_off_rise", "blank_off_min"),
    "blank_off_load_source": ("blank_off_load_pct",),
}
"""Where figures come from, and which figures come from there."""

SOURCE_BESIDE = {
    **{name: f"{name}.source" for name in LIMITS},
    "blank_off_load_pct": "blank_off_load_source",
}
"""Figures that have a source of their own, which stands beside them."""

LINES = (*LIMITS, *RANGES, *SOURCES)
"""Names of all that is typed; of a limit its pressure, and behind ``.source`` where it is from."""

_NAMES = tuple(field.name for field in fields(Settings))
_OF_A_HOLD = ("before_hold", "do_not_charge")
_OF_A_JOB = ("flat_min", "circuit_c", "water_gauge_factor", "rig_volume_ml")
FROM_NEXT_HOLD = frozenset(n for n in _NAMES if n.startswith("hold_") or n in _OF_A_HOLD)
FROM_NEXT_JOB = frozenset(n for n in _NAMES if n.startswith("blank_off_") or n in _OF_A_JOB)

Value = float | str | None


class SettingsForm:
    """Keeps what is typed and chosen until it is saved or let go.

    A line that nobody touched stands for its setting as it was, however many digits are shown.

    Parameters
    ----------
    settings
        As they are.
    read
        Reads a typed number.
    write
        Writes one as it would be typed; "" for none.
    translate
        Turns (context, text) into the user's language.

    Attributes
    ----------
    texts
        What stands in each line.
    unit, theme, sound, backup_folder
        What is chosen.
    """

    def __init__(
        self,
        settings: Settings,
        read: Number,
        write: Callable[[float | None], str],
        translate: Translate = english,
    ) -> None:
        self._before, self._read, self._write = settings, read, write
        self._phrases = wrong_phrases(translate)
        self.unit, self.theme, self.sound = settings.unit, settings.theme, settings.sound
        self.backup_folder: Path | None = settings.backup_folder
        self.texts: dict[str, str] = {}
        self._exact: dict[str, tuple[str, Value]] = {}
        for name in LINES:
            self._fill(name, _setting(settings, name))
        self._first = self._state()

    @property
    def is_touched(self) -> bool:
        """Whether something else stands there than at first."""
        return self._state() != self._first

    def set_unit(self, unit: str) -> None:
        """Write the limits in another unit; what is no number stays as it was typed."""
        values = {name: self._value(name) for name in LIMITS}
        self.unit = unit
        for name, value in values.items():
            if value is None:  # what it was in the unit before stands behind these digits no more
                self._exact[name] = ("", None)
            else:
                self._fill(name, value)

    def reset(self, names: Iterable[str] = LINES) -> None:
        """Go back to the defaults."""
        for name in names:
            self._fill(name, _setting(DEFAULTS, name))

    def reset_all(self) -> None:
        """Go back to the defaults in all but the second copy's folder, which is no figure."""
        self.unit, self.theme, self.sound = DEFAULTS.unit, DEFAULTS.theme, DEFAULTS.sound
        self.reset()

    def is_default(self, name: str) -> bool:
        """Whether a line says what the default is."""
        return _is_same(self._value(name), _setting(DEFAULTS, name))

    def default_text(self, name: str) -> str:
        """Give a line's default as it would be typed."""
        return self._shown(name, _setting(DEFAULTS, name))

    def wrong(self) -> dict[str, str]:
        """Say of each line that cannot be so what was expected."""
        said = self._wrong_figures()
        for name in SOURCES:
            if not self._value(name):
                said[name] = self._phrases["source"]
            elif self._value(name) == PRACTICE and self._is_own(name, said):
                said[name] = self._phrases["own-source"]
        return said

    def changes(self) -> dict[str, Any]:
        """Give what is other than it was, once nothing is wrong."""
        wanted: dict[str, Any] = {
            "unit": self.unit,
            "theme": self.theme,
            "sound": self.sound,
            "backup_folder": self.backup_folder,
            **{name: self._value(name) for name in (*RANGES, *TEXT_SOURCES)},
        }
        for name in LIMITS:
            pressure_pa, source = self._value(name), self._value(f"{name}.source")
            assert isinstance(pressure_pa, float)
            wanted[name] = Limit(pressure_pa=pressure_pa, source=str(source))
        before = self._before
        return {name: value for name, value in wanted.items() if value != getattr(before, name)}

    def _wrong_figures(self) -> dict[str, str]:
        said = {}
        for name in LIMITS:
            if not _is_within(self._value(name), 0.0, HIGHEST_LIMIT_PA) or not self._value(name):
                highest = display.pressure(HIGHEST_LIMIT_PA, self.unit)
                said[name] = self._phrases["limit"].format(highest=highest)
        for name, (low, high, _) in RANGES.items():
            may_be_empty = name in MAY_BE_UNSAID
            is_said = not may_be_empty or bool(self.texts[name].strip())
            if is_said and not _is_within(self._value(name), low, high):
                phrase = self._phrases["number-or-none" if may_be_empty else "number"]
                said[name] = phrase.format(low=f"{low:g}", high=f"{high:g}")
        highest_pa, charge_pa = self._value("hold_highest"), self._value("do_not_charge")
        if isinstance(highest_pa, float) and _is_within(charge_pa, 0.0, highest_pa):
            if charge_pa != highest_pa and not said.keys() & {"hold_highest", "do_not_charge"}:
                limit = display.pressure(highest_pa, self.unit)
                said["do_not_charge"] = self._phrases["charge"].format(limit=limit)
        return said

    def _is_own(self, source: str, wrong: Mapping[str, str]) -> bool:
        """Tell whether a figure that stands under this source was typed here, and is no default."""
        return any(
            name not in wrong
            and not self.is_default(name)
            and not _is_same(self._value(name), _setting(self._before, name))
            for name in SOURCES[source]
        )

    def _value(self, name: str) -> Value:
        """Give what a line means; ``None`` where it is empty or no number."""
        text, (shown, exact) = self.texts[name].strip(), self._exact[name]
        if text == shown.strip():
            return exact
        if name in SOURCES:
            return text
        number = self._read(text) if text else None
        return number * PA_PER_UNIT[self.unit] if number is not None and name in LIMITS else number

    def _fill(self, name: str, value: Value) -> None:
        self.texts[name] = shown = self._shown(name, value)
        self._exact[name] = (shown, value)

    def _shown(self, name: str, value: Value) -> str:
        if isinstance(value, str):
            return value
        return self._write(
            value / PA_PER_UNIT[self.unit] if value is not None and name in LIMITS else value
        )

    def _state(self) -> tuple[object, ...]:
        return (dict(self.texts), self.unit, self.theme, self.sound, self.backup_folder)


def counts_later(changes: Iterable[str]) -> tuple[list[str], list[str]]:
    """Give which of some changes count from the next hold on, and which from the next job on."""
    return (
        [name for name in changes if name in FROM_NEXT_HOLD],
        [name for name in changes if name in FROM_NEXT_JOB],
    )


def _setting(settings: Settings, name: str) -> Value:
    key, _, part = name.partition(".")
    value = getattr(settings, key)
    if isinstance(value, Limit):
        return value.source if part else value.pressure_pa
    return float(value) if isinstance(value, int) else value


def _is_within(value: Value, low: float, high: float) -> bool:
    return isinstance(value, float) and low <= value <= high


def _is_same(one: Value, other: Value) -> bool:
    if isinstance(one, float) and isinstance(other, float):
        return math.isclose(one, other, rel_tol=1e-9)
    return one == other
