import math

from hypothesis import given
from hypothesis import strategies as st

from app.jobfile.clock import JobClock
from sensors.events import Connected, Lost, Reading


def test_two_sensors_with_other_zeros_share_one_clock() -> None:
    steady = [50.0]
    clock = JobClock(steady=lambda: steady[0])
    steady[0] = 52.0
    assert clock.to_job(Connected(9000.0, "a")).time_s == 2.0
    assert clock.to_job(Reading(9003.0, 5.0)).time_s == 5.0
    steady[0] = 60.0
    clock.begin_run()
    assert clock.to_job(Reading(0.0, 5.0)).time_s == 10.0
    assert clock.to_job(Lost(4.0, "gone")) == Lost(14.0, "gone")


def test_time_goes_on_after_a_replay_that_ran_ahead() -> None:
    clock = JobClock(steady=lambda: 0.0)
    clock.to_job(Reading(0.0, 5.0))
    clock.to_job(Reading(3600.0, 5.0))
    assert clock.now_s() == 3600.0
    clock.begin_run()
    assert clock.to_job(Reading(77.0, 5.0)).time_s == 3600.0


def test_a_time_that_is_no_number_is_left_for_the_recorder_to_refuse() -> None:
    clock = JobClock(steady=lambda: 0.0)
    assert math.isnan(clock.to_job(Reading(math.nan, 5.0)).time_s)
    assert clock.to_job(Reading(8.0, 5.0)).time_s == 0.0


@given(st.lists(st.tuples(st.floats(0, 1e4), st.booleans(), st.floats(-1e6, 1e6)), max_size=30))
def test_job_time_never_goes_back(steps: list[tuple[float, bool, float]]) -> None:
    steady, sensor_s, last_s = [0.0], 0.0, 0.0
    clock = JobClock(steady=lambda: steady[0])
    for wait_s, is_new_run, zero_s in steps:
        steady[0] += wait_s
        sensor_s += wait_s
        if is_new_run:
            clock.begin_run()
            sensor_s = zero_s
        time_s = clock.to_job(Reading(sensor_s, 5.0)).time_s
        assert time_s >= last_s - 1e-6
        last_s = time_s


def test_the_second_gauge_has_its_own_zero_and_moves_no_clock() -> None:
    clock = JobClock(100.0, steady=lambda: 7.0)
    assert clock.to_job(Reading(5000.0, 20.0)).time_s == 100.0
    assert clock.to_job(Reading(3.0, 20.0), "pump").time_s == 100.0
    assert clock.to_job(Reading(53.0, 20.0), "pump").time_s == 150.0
    assert clock.now_s() == 100.0
    clock.begin_run("pump")  # another one there: never behind the one before
    assert clock.to_job(Reading(0.0, 20.0), "pump").time_s == 150.0
    assert clock.to_job(Reading(5001.0, 20.0)).time_s == 101.0
