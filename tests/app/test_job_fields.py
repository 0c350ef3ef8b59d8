"""The job's fields as edits, and back."""

import pytest

from app.job_fields import JobFields, Joint, job_fields

WHOLE = JobFields(
    title="visit",
    vehicle="grey van",
    vehicle_kind="hybrid",
    refrigerant="R-1234yf",
    volume_m3=0.0021,
    oil="POE",
    joints=(Joint("inlet", "clean line", "leaks"),),
    parts_done=("rig", "charge"),
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
    ],
)
def test_a_strangers_wrong_forms_count_as_not_said(values: dict[str, object]) -> None:
    assert job_fields(values) == JobFields()


def test_an_unknown_state_of_a_joint_is_a_suspect() -> None:
    assert job_fields({"joints": [{"name": "a", "state": "odd"}]}).joints[0].state == "suspect"
