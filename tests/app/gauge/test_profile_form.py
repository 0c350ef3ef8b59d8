from dataclasses import replace
from datetime import date

import pytest

from app.gauge.profile_form import CurveForm, curve_form, curve_from, curve_of_profile, edited
from app.gauge.profiles import Profile
from app.system.errors import UsageError
from sensors.calibration import Curve, Point

HEAD = Curve(
    "table",
    (Point(0.4, 0.1), Point(1.0, 10.0), Point(5.0, 1e5)),
    low=0.3,
    high=5.2,
    calibrated=date(2030, 1, 31),
    note="at air",
)
VOLTS = Profile("cart", "serial:COM3?field=2&curve=head", "blue", {"head": HEAD})
PLAIN = Profile("bench", "tcp:10.0.0.2:4001?unit=mbar")


def test_what_is_not_touched_stays() -> None:
    for profile in (VOLTS, PLAIN):
        for unit in ("pa", "micron"):
            form = curve_form(curve_of_profile(profile), unit)
            again = edited(profile.name, profile.address, profile.note, form, profile)
            assert (again.name, again.address, again.note) == (
                profile.name,
                profile.address,
                profile.note,
            )
            for name, curve in profile.curves.items():
                assert replace(again.curves[name], points=curve.points) == curve
                for was, now in zip(curve.points, again.curves[name].points, strict=True):
                    assert now.signal == was.signal
                    assert now.pressure_pa == pytest.approx(was.pressure_pa, rel=1e-9)


def test_a_curve_is_added_and_taken_away_again() -> None:
    form = CurveForm("linear", "4.0; 0\n20,0 1000", "pa", "2030-02-01", "beside a second gauge")
    through = edited("bench", PLAIN.address, "", form, PLAIN)
    assert through.address == "tcp:10.0.0.2:4001?unit=mbar&curve=signal"
    assert through.curves["signal"] == Curve(
        "linear",
        (Point(4.0, 0.0), Point(20.0, 1000.0)),
        calibrated=date(2030, 2, 1),
        note="beside a second gauge",
    )
    back = edited("bench", through.address, "", CurveForm(), through)
    assert (back.address, dict(back.curves)) == (PLAIN.address, {})


@pytest.mark.parametrize(
    "line", ["2.5 10", "2,5 10", "2.5, 10", "2,5, 10,0", "2,5;10", " 2.5\t10 "]
)
def test_a_point_is_read_however_it_is_set_apart(line: str) -> None:
    curve = curve_from(CurveForm("linear", f"0 0\n{line}"), None)
    assert curve is not None
    assert curve.points[1] == Point(2.5, 10.0)


def test_a_curve_written_by_hand_stays_in_the_file() -> None:
    without = edited("cart", VOLTS.address, "", CurveForm(), VOLTS)
    assert without.address == "serial:COM3?field=2"
    assert dict(without.curves) == {"head": HEAD}


@pytest.mark.parametrize(
    ("form", "expected"),
    [
        (CurveForm("cubic", "0 1\n1 2"), "linear, log-linear, table"),
        (CurveForm("linear", "0 1"), "2 of them"),
        (CurveForm("linear", "0 1\n1"), "'1': expected a signal and a pressure"),
        (CurveForm("linear", "0 1\n1 x"), "'1 x': expected a signal"),
        (CurveForm("linear", "0 1\n1 2 3"), "expected a signal"),
        (CurveForm("linear", "0 1\n2.0,1.0"), "'2.0,1.0': .* with a blank between"),
        (CurveForm("linear", "0 1\n1 nan"), "Pa"),
        (CurveForm("log-linear", "0 0\n1 2"), "above 0"),
        (CurveForm("linear", "0 1\n1 2", calibrated="yesterday"), "such as 2030-01-31"),
        (CurveForm("linear", "0 1\n1 2", note="x" * 201), "one line"),
    ],
)
def test_what_is_no_curve_is_said(form: CurveForm, expected: str) -> None:
    with pytest.raises(UsageError, match=expected):
        curve_from(form, None)


@pytest.mark.parametrize(
    ("name", "address", "expected"),
    [
        ("../x", "tcp:a:1", "cannot be a profile's name"),
        ("x", "tcp:nowhere", "Wrong sensor address"),
        ("x", "sim:wet", "a gauge's address"),
    ],
)
def test_what_is_no_profile_is_said(name: str, address: str, expected: str) -> None:
    with pytest.raises(UsageError, match=expected):
        edited(name, address, "", CurveForm())
