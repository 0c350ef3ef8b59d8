"""What the job says of the circuit's past, for the forecast; and that forecast in words."""

from dataclasses import replace

from analysis.flat.forecast import BURSTS_NEEDED
from analysis.flat.history import History, forecast_before_start
from analysis.snapshot import Snapshot
from app.job.fields import JobFields
from app.screen.shown import Screen
from app.words import display
from app.words.phrases import Translate


def history_of(fields: JobFields) -> History:
    """Give the circuit's past as the job's fields tell it."""
    return History(
        days_open=fields.days_open,
        temperature_c=fields.temperature_c,
        humidity_pct=fields.humidity_pct,
        oil=fields.oil_kind or None,
        oil_ml=fields.oil_ml,
        renewed_drier=fields.renewed_drier,
        renewed_oil=fields.renewed_oil,
    )


def forecast_line(fields: JobFields, translate: Translate) -> str:
    """Say how long drying may take, before anything is seen; rough practice, and said to be.

    Examples
    --------
    >>> forecast_line(JobFields(days_open=0.0), lambda _context, text: text)[:24]
    'Rough practice, no sourc'
    """
    text = translate(
        "History",
        "Rough practice, no source: flat about {best} after the start ({low} to {high}). The "
        "bursts themselves soon tell more.",
    )
    return text.format(**_expected(fields))


def _expected(fields: JobFields) -> dict[str, str]:
    flat = forecast_before_start(history_of(fields))
    assert flat.flat_at_s is not None
    assert flat.flat_low_s is not None
    assert flat.flat_high_s is not None
    times = {"best": flat.flat_at_s, "low": flat.flat_low_s, "high": flat.flat_high_s}
    return {name: display.about(time_s) for name, time_s in times.items()}


def with_expectation(
    screen: Screen, snapshot: Snapshot | None, fields: JobFields, translate: Translate
) -> Screen:
    """Say under the lull chart what the past lets expect, as long as no burst tells more."""
    is_blank = snapshot is None or (
        snapshot.burst_count < BURSTS_NEEDED and snapshot.stage in ("pulling-down", "boiling-off")
    )
    if not is_blank or screen.phase == "over":
        return screen
    text = translate(
        "History", "By rough practice flat about {best} after the start ({low} to {high})."
    )
    return replace(screen, lull_note=f"{text.format(**_expected(fields))} {screen.lull_note}")
