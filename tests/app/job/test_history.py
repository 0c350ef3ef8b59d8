"""The circuit's past from the job's fields, and the rough forecast."""

from dataclasses import replace

from analysis.evacuation import Evacuation
from analysis.flat.history import History
from analysis.sample import Silence
from app.job.fields import JobFields
from app.job.history import forecast_line, history_of, with_expectation
from app.screen.shown import Screen
from app.words.phrases import english


def test_every_field_of_the_past_is_passed_on() -> None:
    fields = JobFields(
        days_open=12.0,
        temperature_c=5.0,
        humidity_pct=80.0,
        oil_kind="PAG",
        oil_ml=200.0,
        renewed_drier=True,
        renewed_oil=True,
    )
    assert history_of(fields) == History(12.0, 5.0, 80.0, "PAG", 200.0, True, True)
    assert history_of(JobFields()) == History()


def test_the_forecast_says_that_it_has_no_source_and_grows_with_the_days() -> None:
    lines = {days: forecast_line(JobFields(days_open=days), english) for days in (0.0, 30.0)}
    assert all(line.startswith("Rough practice, no source: ") for line in lines.values())
    assert "about 12 min" in lines[0.0]
    assert "about 24 h" in lines[30.0]


def test_the_first_screen_tells_what_the_past_lets_expect_until_bursts_tell_more() -> None:
    fields = JobFields(days_open=0.0)
    waiting = Screen(phase="idle", lull_note="Each dot ...")
    told = with_expectation(waiting, None, fields, english).lull_note
    assert (
        told
        == "By rough practice flat about 12 min after the start (3 min to 45 min). Each dot ..."
    )
    snapshot = Evacuation().update(Silence(0.0))
    running = Screen(phase="running", lull_note="Each dot ...")
    assert with_expectation(running, snapshot, fields, english).lull_note == told
    boiling = snapshot._replace(burst_count=2, stage="boiling-off")
    assert with_expectation(running, boiling, fields, english) == running
    over = replace(waiting, phase="over")
    assert with_expectation(over, None, fields, english) == over
