"""Blank-off and pressure test on the screen."""

from analysis.reason import Interval
from analysis.snapshot import BlankOff, Isolation
from app.job.fields import JobFields
from app.rig.rig_screen import judge_typed
from app.rig.rig_tests import pressure_test_note
from app.settings.job_rules import job_rules
from app.settings.values import Settings
from sensors.events import Reading
from tests.app.bench import Bench, pull


def test_a_blank_off_test_is_begun_and_ended_by_one_button(bench: Bench) -> None:
    bench.play([Reading(float(k), 10.0) for k in range(30)])
    bench.presenter.blank_off()
    screen = bench.play([Reading(30.0 + k, 10.0 + 0.01 * k) for k in range(310)])
    assert screen.is_blanking
    assert screen.blank_off[0].startswith("The rig pulled down to")
    bench.presenter.blank_off()
    screen = bench.play([Reading(341.0, 10.0)])
    assert not screen.is_blanking
    assert "blank-off" in screen.parts_done
    assert [str(kind) for kind in bench.run.marked] == ["blank-off", "hold-over"]
    assert "Blank-off test" in [passage.heading for passage in screen.why]


def test_what_a_blank_off_test_showed_stays_for_long_enough_to_be_read(bench: Bench) -> None:
    def over_pa(second: int) -> float:  # 25 Pa more: over the limits
        return 10.0 + 0.08 * second

    bench.play([Reading(float(k), 10.0) for k in range(30)])
    bench.presenter.blank_off()
    bench.play([Reading(30.0 + k, over_pa(k)) for k in range(310)])
    bench.presenter.blank_off()
    for until, is_verdict, is_told in ((400, True, True), (470, False, True), (2200, False, False)):
        begun = (
            341 if bench.presenter.snapshot is None else int(bench.presenter.snapshot.time_s) + 1
        )
        screen = bench.play([Reading(float(k), over_pa(310)) for k in range(begun, until)])
        assert screen.verdict.startswith("The blank-off test is over. It ended at") == is_verdict
        assert screen.tells_blank_off == is_told


def test_a_later_rise_is_set_beside_the_rigs_gas_load(bench: Bench) -> None:
    bench.session.fields = JobFields(volume_m3=0.003)
    bench.run.told = job_rules(Settings(rig_volume_ml=60.0))
    bench.play(pull())
    rate = Interval(0.09, 0.1, 0.11)
    load = Interval(0.9e-4, 1e-4, 1.1e-4)
    screen = bench.at(
        isolations=(Isolation(10.0, 50.0, 4.0, 0.1, True, rate),),
        blank_off=BlankOff(0.0, 9.0, 1.0, 2.0, 1.0, rate, load, True, (), ()),
    )
    [share] = [passage for passage in screen.why if passage.heading == "The rig's own share"]
    assert "is the rig's own" in share.lines[0]


def test_a_pressure_test_is_kept_with_the_job_and_told(bench: Bench) -> None:
    bench.play(pull())
    typed = {"start_bar": 10.0, "start_c": 20.0, "end_bar": 7.0, "end_c": 20.0, "minutes": 20.0}
    test = judge_typed(typed)
    bench.presenter.save_pressure_test(test)
    bench.presenter.look()
    assert pressure_test_note(test) in bench.run.recorder.put_items
    screen = bench.seen.screen
    assert "pressure-test" in screen.parts_done
    [passage] = [passage for passage in screen.why if passage.heading == "Pressure test"]
    assert any("a leak" in line for line in passage.lines)
    assert len(bench.presenter.pressure_test_cautions().lines) == 7
