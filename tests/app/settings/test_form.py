"""The settings as they are typed: what is refused and why, what is changed, the way back."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.gauge.profile_form import plain_number
from app.settings.form import FROM_NEXT_HOLD, FROM_NEXT_JOB, LINES, SettingsForm, counts_later
from app.settings.phrases import later_line, setting_names
from app.settings.values import LIMITS, PRACTICE, RANGES, Limit, Settings
from app.words.display import NO_BREAK
from app.words.phrases import english
from sensors.units import PA_PER_UNIT

# NIST SP 811 (2008), appendix B.8: 1 mmHg (conventional) = 133.3224 Pa.
MICRON_PA = 0.1333224


def plain_text(value: float | None) -> str:
    return "" if value is None else f"{value:.6g}"


def form(**values: object) -> SettingsForm:
    return SettingsForm(Settings(**values), plain_number, plain_text)  # type: ignore[arg-type]


def typed(**texts: str) -> SettingsForm:
    made = form()
    made.texts |= texts
    return made


def test_it_shows_the_settings_in_the_users_unit() -> None:
    shown = form(unit="mbar", circuit_c=-4.5)
    assert [shown.texts[name] for name in LIMITS] == [
        "0.666612",
        "0.133322",
        "0.666612",
        "1.33322",
        "0.133322",
        "0.0666612",
    ]
    assert shown.texts["hold_rise.source"] == PRACTICE
    assert (shown.texts["circuit_c"], shown.texts["rig_volume_ml"]) == ("-4.5", "")
    assert shown.texts["hold_normal_min"] == "20"
    assert (shown.wrong(), shown.changes(), shown.is_touched) == ({}, {}, False)


def test_what_nobody_touched_keeps_all_its_digits() -> None:
    odd = Limit(pressure_pa=61.23456789012, source="manual")
    shown = form(unit="mbar", hold_rise=odd, flat_min=10.123456789)
    shown.texts["hold_long_min"] = "45"
    shown.texts["hold_length_source"] = "manual"
    shown.set_unit("inhg")
    shown.set_unit("mbar")
    assert shown.changes() == {"hold_long_min": 45.0, "hold_length_source": "manual"}


def test_a_figure_of_the_makers_with_its_source_is_a_change() -> None:
    shown = typed(hold_rise="60,5", **{"hold_rise.source": " maker's manual, page 7 "})
    assert shown.wrong() == {}
    assert list(shown.changes()) == ["hold_rise"]
    limit = shown.changes()["hold_rise"]
    assert limit.pressure_pa == pytest.approx(60.5 * MICRON_PA, rel=1e-6)
    assert limit.source == "maker's manual, page 7"


@pytest.mark.parametrize(
    ("name", "text", "expected"),
    [
        ("hold_rise", "sixty", "Expected a number above 0, up to 75 000 micron, no mark for"),
        ("hold_rise", "", "Expected a number above 0"),
        ("hold_rise", "0", "Expected a number above 0"),
        ("hold_rise", "-5", "Expected a number above 0"),
        ("before_hold", "76000", "up to 75 000 micron"),
        ("do_not_charge", "499", "Expected at least what a hold may reach, which is 500 micron."),
        ("hold_highest.source", "  ", "Expected a few words on where the figure comes from."),
        ("hold_length_source", "", "Expected a few words"),
        ("flat_min", "0.5", "Expected a number from 1 to 120, no mark for thousands."),
        ("flat_min", "nan", "from 1 to 120"),
        ("hold_rise_min", "61", "from 1 to 60"),
        ("hold_disputed_min", "1441", "from 2 to 1440"),
        ("water_gauge_factor", "", "from 1 to 3"),
        ("circuit_c", "300", "from -60 to 120, no mark for thousands, or nothing."),
        ("rig_volume_ml", "0.06 L", "from 1 to 5000, no mark for thousands, or nothing."),
    ],
)
def test_what_cannot_be_is_refused_where_it_stands(name: str, text: str, expected: str) -> None:
    wrong = typed(**{name: text}).wrong()
    assert list(wrong) == [name]
    assert expected in wrong[name].replace(NO_BREAK, " ")


def test_every_number_is_kept_to_the_range_that_the_settings_have() -> None:
    for name, (low, high, _) in RANGES.items():
        for value in (low, high):
            assert name not in typed(**{name: f"{value:g}"}).wrong()
        for value in (low - 1.0, high + 1.0):
            assert name in typed(**{name: f"{value:g}"}).wrong()
            with pytest.raises(ValueError, match=name):
                replace(Settings(), **{name: value})  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("name", "text", "source"),
    [
        ("hold_rise", "60", "hold_rise.source"),
        ("hold_rise_min", "5", "hold_rise.source"),
        ("do_not_charge", "800", "do_not_charge.source"),
        ("hold_clean_min", "15", "hold_length_source"),
        ("blank_off_end", "80", "blank_off_end.source"),
        ("blank_off_min", "10", "blank_off_rise.source"),
        ("blank_off_load_pct", "10", "blank_off_load_source"),
    ],
)
def test_an_own_figure_does_not_pass_for_common_practice(name: str, text: str, source: str) -> None:
    """The record prints the source beside the limit: a figure typed here is nobody's practice."""
    shown = typed(**{name: text})
    assert list(shown.wrong()) == [source]
    shown.texts[source] = "as our shop does it"
    assert shown.wrong() == {}


def test_an_own_figure_that_stood_there_before_needs_nothing() -> None:
    shown = form(hold_clean_min=15.0)
    shown.texts["flat_min"] = "12"
    assert shown.wrong() == {}
    assert shown.changes() == {"flat_min": 12.0}


def test_a_limit_that_is_no_number_raises_no_question_of_order_or_source() -> None:
    assert list(typed(hold_highest="x", do_not_charge="5").wrong()) == [
        "hold_highest",
        "do_not_charge.source",
    ]
    assert list(typed(hold_highest="x").wrong()) == ["hold_highest"]


def test_empty_means_not_said_where_it_may() -> None:
    shown = form(circuit_c=15.0, rig_volume_ml=60.0)
    shown.texts |= {"circuit_c": " ", "rig_volume_ml": ""}
    assert shown.changes() == {"circuit_c": None, "rig_volume_ml": None}


def test_another_unit_takes_along_what_was_typed() -> None:
    shown = typed(hold_rise="60", before_hold="sixty")
    shown.set_unit("pa")
    assert shown.texts["hold_rise"] == "7.99934"
    assert shown.texts["hold_highest"] == "66.6612"
    assert shown.texts["before_hold"] == "sixty"
    assert list(shown.wrong()) == ["before_hold", "hold_rise.source"]
    shown.texts |= {"before_hold": "60", "hold_rise.source": "shop", "before_hold.source": "shop"}
    changes = shown.changes()
    assert changes["unit"] == "pa"
    assert changes["before_hold"].pressure_pa == 60.0
    assert changes["hold_rise"].pressure_pa == 60 * PA_PER_UNIT["micron"]  # no digit was lost


@pytest.mark.parametrize("left", ["", "five hundred"])
def test_a_line_that_was_no_number_is_read_in_the_new_unit(left: str) -> None:
    """500 typed with Pa beside it was kept as the 500 micron that had stood there."""
    shown = typed(before_hold=left)
    shown.set_unit("pa")
    assert "before_hold" in shown.wrong()
    shown.texts |= {"before_hold": "500", "before_hold.source": "page 2"}
    assert shown.wrong() == {}
    assert shown.changes()["before_hold"].pressure_pa == 500.0


@pytest.mark.parametrize("name", LINES)
def test_each_goes_back_to_its_default(name: str) -> None:
    own = Limit(pressure_pa=30.0, source="manual")
    own_values = dict.fromkeys(LIMITS, own) | dict.fromkeys(
        (name for name in RANGES if name.startswith(("hold_", "blank_"))), 33.0
    )
    shown = form(
        **own_values, hold_length_source="manual", blank_off_load_source="manual", flat_min=5,
        circuit_c=1, water_gauge_factor=1.5, rig_volume_ml=50, unit="torr",
    )  # fmt: skip
    assert not shown.is_default(name)
    shown.reset((name,))
    assert shown.is_default(name)
    assert shown.texts[name] == shown.default_text(name)
    others = [other for other in LINES if other != name]
    assert not any(map(shown.is_default, others))


def test_all_goes_back_but_for_the_second_copys_folder() -> None:
    stick = Path("/stick")
    limit = Limit(pressure_pa=50.0, source="manual")
    before = Settings(
        unit="pa", theme="dark", sound=False, backup_folder=stick, flat_min=5, hold_rise=limit
    )
    shown = SettingsForm(before, plain_number, plain_text)
    shown.texts["hold_rise"] = "typed wrong"
    shown.reset_all()
    assert shown.wrong() == {}
    assert replace(before, **shown.changes()) == Settings(backup_folder=stick)


def test_what_is_chosen_is_a_change() -> None:
    shown = form()
    shown.theme, shown.sound, shown.backup_folder = "dark", False, Path("/stick")
    assert shown.is_touched
    assert shown.changes() == {
        "theme": "dark", "sound": False, "backup_folder": Path("/stick"),
    }  # fmt: skip


@given(st.sampled_from(LINES), st.text(max_size=12), st.sampled_from(list(PA_PER_UNIT)))
def test_whatever_is_typed_is_refused_or_can_be_a_setting(name: str, text: str, unit: str) -> None:
    shown = form(unit=unit)
    shown.texts[name] = text
    if not shown.wrong():
        replace(Settings(unit=unit), **shown.changes())


def told(*changes: str) -> str:
    return later_line(english, *counts_later(changes))


def test_what_does_not_count_yet_is_told() -> None:
    assert told("unit", "theme", "sound", "backup_folder") == ""
    assert (
        told("hold_rise", "hold_rise_min") == "From the next hold on: Most it may rise in a hold."
    )
    assert told("flat_min", "unit") == "Not in this job while it is open: Flat interval."
    assert told("hold_length_source", "circuit_c", "hold_rise_min", "hold_long_min") == (
        "From the next hold on: Most it may rise in a hold; Least lengths of a hold. "
        "Not in this job while it is open: Coldest part of the circuit."
    )


def test_every_setting_counts_from_somewhere_and_has_a_name() -> None:
    at_once = {"unit", "theme", "sound", "backup_folder"}
    assert FROM_NEXT_HOLD | FROM_NEXT_JOB | at_once == set(Settings.__dataclass_fields__)
    assert not FROM_NEXT_HOLD & FROM_NEXT_JOB
    for name in FROM_NEXT_HOLD | FROM_NEXT_JOB:
        assert len(told(name)) > len("From the next hold on: .")
    beside = {"blank_off_load_source"}  # it stands in the figure's row
    assert set(setting_names(english)) == (FROM_NEXT_HOLD | FROM_NEXT_JOB) - beside
    form_of: Callable[..., SettingsForm] = form
    assert set(form_of().texts) == set(LINES)
