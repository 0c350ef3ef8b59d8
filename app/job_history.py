"""What the job says of the circuit's past, for the forecast; and that forecast in words."""

from analysis.forecast import forecast_before_start
from analysis.history import History
from app import display
from app.job_fields import JobFields
from app.phrases import Translate


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
    flat = forecast_before_start(history_of(fields))
    assert flat.flat_at_s is not None
    assert flat.flat_low_s is not None
    assert flat.flat_high_s is not None
    text = translate(
        "History",
        "Rough practice, no source: flat about {best} after the start ({low} to {high}). The "
        "bursts themselves soon tell more.",
    )
    return text.format(
        best=display.about(flat.flat_at_s),
        low=display.about(flat.flat_low_s),
        high=display.about(flat.flat_high_s),
    )
