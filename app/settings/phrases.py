"""Phrases of the settings: what each is called, what it means, from when on it counts."""

from collections.abc import Collection

from app.settings.values import HOLD_LENGTHS
from app.words.phrases import Translate


def setting_names(translate: Translate) -> dict[str, str]:
    """Name the settings that are typed."""
    return {
        "before_hold": translate("Settings", "Most at the start of a hold"),
        "hold_rise": translate("Settings", "Most it may rise in a hold"),
        "hold_rise_min": translate("Settings", "That rise counts within"),
        "blank_off_end": translate("Settings", "Most it may end at"),
        "blank_off_rise": translate("Settings", "Most it may rise"),
        "blank_off_min": translate("Settings", "How long it takes"),
        "blank_off_load_pct": translate("Settings", "Most gas load"),
        "hold_highest": translate("Settings", "Most it may reach in a hold"),
        "do_not_charge": translate("Settings", "No charging over this"),
        "hold_clean_min": translate("Settings", "New and clean"),
        "hold_normal_min": translate("Settings", "Ordinary"),
        "hold_long_min": translate("Settings", "Rear unit, heat pump or long open"),
        "hold_disputed_min": translate("Settings", "Disputed"),
        "hold_length_source": translate("Settings", "Where these lengths come from"),
        "flat_min": translate("Settings", "Flat interval"),
        "circuit_c": translate("Settings", "Coldest part of the circuit"),
        "water_gauge_factor": translate("Settings", "Gauge's factor for water vapour"),
        "rig_volume_ml": translate("Settings", "Volume of hoses and gauge"),
    }


def unit_names(translate: Translate) -> dict[str, str]:
    """Give what stands behind a number; a limit has the user's unit of pressure."""
    minutes = translate("Settings", "min")
    return {
        "hold_rise_min": minutes,
        "hold_clean_min": minutes,
        "hold_normal_min": minutes,
        "hold_long_min": minutes,
        "hold_disputed_min": minutes,
        "flat_min": minutes,
        "blank_off_min": minutes,
        "blank_off_load_pct": "%",
        "circuit_c": "°C",
        "water_gauge_factor": "",
        "rig_volume_ml": "mL",
    }


def file_phrases(translate: Translate) -> dict[str, str]:
    """Give what is said of the settings file when a change is kept, or is not."""
    return {
        "not-kept": translate("Settings", "This change will not be kept. {why}"),
        "anew": translate(
            "Settings", "The settings file was written anew; the one before is kept: {kept}"
        ),
        "not-renamed": translate("Settings", "The file cannot be renamed: {why}"),
    }


def meanings(translate: Translate) -> dict[str, str]:
    """Say what a setting does, where its name does not."""
    return {
        "flat_min": translate(
            "Settings", "Flat is when visible bursts are rarer than one in this time."
        ),
        "circuit_c": translate(
            "Settings", "Where the gauge tells none. Left empty: 20 °C, a bay at room temperature."
        ),
        "water_gauge_factor": translate(
            "Settings",
            "1 takes the gauge as it reads. A thermal gauge set for air shows water vapour about "
            "1.5 times too high (kinetic theory, rough).",
        ),
        "blank_off_load_pct": translate(
            "Settings", "Share of the gas that a hold's rise allows the whole circuit."
        ),
        "rig_volume_ml": translate(
            "Settings",
            "With the pump's inlet, where the job form tells none. Left empty: not known, and a "
            "blank-off test gives no gas load.",
        ),
    }


def wrong_phrases(translate: Translate) -> dict[str, str]:
    """Say what was expected in a line that cannot be so."""
    return {
        "limit": translate(
            "Settings", "Expected a number above 0, up to {highest}, no mark for thousands."
        ),
        "number": translate(
            "Settings", "Expected a number from {low} to {high}, no mark for thousands."
        ),
        "number-or-none": translate(
            "Settings",
            "Expected a number from {low} to {high}, no mark for thousands, or nothing.",
        ),
        "charge": translate(
            "Settings", "Expected at least what a hold may reach, which is {limit}."
        ),
        "source": translate("Settings", "Expected a few words on where the figure comes from."),
        "own-source": translate(
            "Settings",
            "Expected the source of your figure, such as: maker's manual, page 7.",
        ),
    }


def page_notes(translate: Translate) -> dict[str, str]:
    """Say from when on the settings of a page count."""
    return {
        "limits": translate(
            "Settings",
            "The vehicle maker's figures come first. Changes count from the next hold on; one that "
            "runs keeps its own.",
        ),
        "lengths": translate(
            "Settings",
            "How long a hold lasts at least, by the kind of circuit. Changes count from the next "
            "hold on; one that runs keeps its own.",
        ),
        "blank-off": translate(
            "Settings",
            "Pump, hoses and gauge alone. What you change here counts for the next job that is "
            "begun or gone on with; an open job keeps its own, and its record tells which.",
        ),
        "circuit": translate(
            "Settings",
            "What you change here counts for the next job that is begun or gone on with. An open "
            "job keeps its own, and its record tells that.",
        ),
        "window": translate("Settings", "What you change here counts at once."),
    }


def later_line(translate: Translate, from_hold: Collection[str], from_job: Collection[str]) -> str:
    """Say what of the changes just saved does not count yet, while a job is open."""
    names = setting_names(translate)
    lengths = translate("Settings", "Least lengths of a hold")
    blank_off = translate("Settings", "Limits of a blank-off test")
    said = names | dict.fromkeys((*HOLD_LENGTHS, "hold_length_source"), lengths)
    said |= {name: blank_off for name in names if name.startswith("blank_off_")}
    said |= {"hold_rise_min": names["hold_rise"], "blank_off_load_source": blank_off}
    patterns = (
        (from_hold, translate("Settings", "From the next hold on: {names}.")),
        (from_job, translate("Settings", "Not in this job while it is open: {names}.")),
    )
    return " ".join(
        pattern.format(names="; ".join(dict.fromkeys(said[name] for name in said if name in told)))
        for told, pattern in patterns
        if told
    )
