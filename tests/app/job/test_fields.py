"""The job's fields as edits, and back."""

import pytest

from app.job.fields import JobFields, Joint, job_fields

WHOLE = JobFields(
    title="visit",
    vehicle="grey van",
    vehicle_kind="hybrid",
    refrigerant="R-1234yf",
    volume_m3=0.0021,
    oil="POE",
    joints=(Joint("inlet", "clean line", "leaks"),),
    parts_done=("rig", "charge"),
    days_open=12.5,
    temperature_c=-3.0,
    humidity_pct=55.0,
    oil_kind="POE",
    oil_ml=140.0,
    renewed_drier=True,
    renewed_oil=True,
    circuit_kind="disputed",
    charge_kg=0.52,
    pump_speed_m3_s=1.2e-3,
    hose_bore_m=0.0048,
    hose_length_m=1.5,
    cores="out",
)


def test_what_is_kept_comes_back() -> None:
    assert job_fields(WHOLE.values()) == WHOLE
    assert job_fields(dict(WHOLE.edits(JobFields()))) == WHOLE
    assert WHOLE.edits(WHOLE) == []


@pytest.mark.parametrize(
    "values",
    [
        {"volume_m3": "2"},
        {"volume_m3": True},
        {"volume_m3": -1.0},
        {"joints": "none"},
        {"joints": [7]},
        {"vehicle_kind": "steam"},
        {"parts_done": ["unknown"]},
        {"vehicle": 7},
        {"days_open": -1.0},
        {"days_open": True},
        {"humidity_pct": 101.0},
        {"temperature_c": "warm"},
        {"oil_kind": "butter"},
        {"renewed_oil": 1},
        {"circuit_kind": "odd"},
        {"cores": 7},
        {"charge_kg": 0.0},
        {"hose_bore_m": "thin"},
    ],
)
def test_a_strangers_wrong_forms_count_as_not_said(values: dict[str, object]) -> None:
    assert job_fields(values) == JobFields()


def test_an_unknown_state_of_a_joint_is_a_suspect() -> None:
    assert job_fields({"joints": [{"name": "a", "state": "odd"}]}).joints[0].state == "suspect"


def test_a_circuit_of_no_said_kind_is_an_ordinary_one() -> None:
    assert JobFields().kind_or_normal == "normal"
    assert WHOLE.kind_or_normal == "disputed"
