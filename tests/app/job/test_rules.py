"""The settings of an analysis, kept in the job and read back."""

from dataclasses import fields, replace

import pytest

from analysis.closing.blank_off import BlankOffRules
from analysis.flat.history import History
from analysis.hold.length import LEAST_HOLDS, LeastHold
from analysis.hold.rules import HoldRules
from analysis.rules import EvacuationRules
from app.job.rules import ANALYSIS, JobRules, kept_rules
from app.jobfile.rows import Edit, decode_row, encode_note
from app.settings.job_rules import job_rules
from app.settings.values import Limit, Settings

TOLD = JobRules(
    EvacuationRules(
        flat_interval_s=900.0,
        circuit_c=24.0,
        volume_m3=0.0031,
        rig_volume_m3=8e-5,
        pump_speed_m3_s=1.2e-3,
        hose_bore_m=6.2e-3,
        hose_length_m=1.2,
        hold=HoldRules(rise_pa=7.0, rise_window_s=300.0, rise_source="maker's manual, page 7"),
        blank_off=BlankOffRules(lasts_s=240.0),
    ),
    History(days_open=40.0, oil="PAG", oil_ml=120.0, renewed_drier=True),
    {**LEAST_HOLDS, "long": LeastHold(2700.0, "maker's manual, page 9")},
)


@pytest.mark.parametrize("told", [JobRules(), TOLD])
def test_they_come_back_from_the_row(told: JobRules) -> None:
    row = decode_row(*encode_note(told.note()))
    assert isinstance(row, Edit)
    assert kept_rules({row.key: row.value}) == told


def test_a_job_without_them_keeps_none() -> None:
    assert kept_rules({"vehicle": "grey van"}) is None
    assert kept_rules({ANALYSIS: 7}) is None


@pytest.mark.parametrize(
    "rules",
    [7, {"flat_interval_s": "soon"}, {"flat_interval_s": True}, {"flat_interval_s": -1.0},
     {"circuit_c": 900.0}, {"hold": 7}, {"hold": {"rise_pa": "much"}}],
)  # fmt: skip
def test_a_strangers_wrong_forms_count_as_the_default(rules: object) -> None:
    assert kept_rules({ANALYSIS: {"rules": rules, "history": 7, "least_holds": 7}}) == JobRules()


def test_what_fits_is_taken_beside_what_does_not() -> None:
    kept = kept_rules({ANALYSIS: {"rules": {"flat_interval_s": 300, "circuit_c": "warm"}}})
    assert kept == replace(JobRules(), rules=EvacuationRules(flat_interval_s=300.0))


def test_defaults_of_the_settings_are_those_of_the_rules() -> None:
    rules, hold = job_rules(Settings(), 0.002).rules, HoldRules()
    assert rules.volume_m3 == 0.002
    assert rules.flat_interval_s == EvacuationRules().flat_interval_s
    assert rules.hold.rise_pa == pytest.approx(hold.rise_pa, rel=1e-5)
    assert rules.hold.start_pa == pytest.approx(hold.start_pa, rel=1e-5)
    for field in fields(BlankOffRules):
        told, usual = (getattr(each, field.name) for each in (rules.blank_off, BlankOffRules()))
        assert told == (usual if isinstance(usual, str) else pytest.approx(usual, rel=1e-5))


def test_a_limit_of_the_maker_comes_with_its_source() -> None:
    settings = Settings(hold_rise=Limit(pressure_pa=7.0, source="maker's manual, page 7"))
    hold = job_rules(settings).rules.hold
    assert (hold.rise_pa, hold.rise_source) == (7.0, "maker's manual, page 7")
