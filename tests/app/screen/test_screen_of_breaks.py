"""What the screen says while nitrogen stands in the circuit, in the pull after, and of the rig."""

from analysis.evacuation import Evacuation
from analysis.rules import EvacuationRules
from analysis.sample import Mark
from analysis.snapshot import Snapshot
from app.job.fields import JobFields
from app.rig.rig_screen import with_rig_share
from app.rig.rig_tests import blank_off_now
from app.screen.moment import before_readings, of_moment
from app.screen.shown import HoldScreen, Screen
from app.words.phrases import english
from app.words.sentences import Words
from sensors.events import Reading

AIR_PA = 101_325.0


def shown(snapshot: Snapshot, page: str = "none") -> Screen:
    screen = before_readings(Screen(hold=HoldScreen(page=page)), english, 600.0)  # type: ignore[arg-type]
    return of_moment(screen, snapshot, Words(), english, 600.0)


def level(
    evacuation: Evacuation, from_s: int, seconds: int, pressure_pa: float, rate_pa_s: float = 0.0
) -> Snapshot:
    for second in range(from_s, from_s + seconds):
        shown_pa = pressure_pa + 0.01 * (second % 3) + rate_pa_s * (second - from_s)
        snapshot = evacuation.update(Reading(float(second), shown_pa))
    return snapshot


def test_nitrogen_in_the_circuit_is_no_boiling() -> None:
    evacuation = Evacuation()
    level(evacuation, 0, 60, 50.0)
    evacuation.update(Mark(60.0, "nitrogen-in"))
    broken = shown(level(evacuation, 60, 20, AIR_PA))
    assert "vacuum is broken" in broken.verdict
    assert "pull 2" in broken.verdict
    assert "regulator" in broken.next_step
    again = shown(level(evacuation, 80, 90, 45.0))
    assert "broken" not in again.verdict
    assert again.isolation.startswith("This is pull 2.")


def test_a_running_blank_off_stands_in_the_verdict_and_its_outcome_after_it() -> None:
    evacuation = Evacuation()
    level(evacuation, 0, 30, 8.0)
    evacuation.update(Mark(30.0, "blank-off"))
    running = shown(level(evacuation, 30, 120, 8.0, 0.002))
    assert "Blank-off test" in running.verdict
    assert "of 5 min" in running.verdict
    assert "leave both valves closed" in running.next_step
    ripe = shown(level(evacuation, 150, 200, 8.24, 0.002))
    assert "long enough" in ripe.verdict
    over = shown(evacuation.update(Mark(350.0, "hold-over")))
    assert over.verdict.startswith("The blank-off test is over. Pump, hoses and gauge are good")
    assert "open the valves" in over.next_step
    later = shown(level(evacuation, 350, 200, 8.0))
    assert "Blank-off" not in later.verdict


def test_an_isolation_speaks_of_no_leak() -> None:
    evacuation = Evacuation()
    level(evacuation, 0, 60, 20.0)
    evacuation.update(Mark(60.0, "valve-closed"))
    for second in range(60, 260):
        snapshot = evacuation.update(Reading(float(second), 20.0 + 0.1 * (second - 60)))
    assert snapshot.hold is not None
    assert snapshot.hold.finding == "leak"
    assert "leak" not in shown(snapshot, "isolating").verdict.lower()


def test_volumes_told_late_give_the_rigs_share_of_a_rise() -> None:
    evacuation = Evacuation()
    evacuation.update(Mark(0.0, "blank-off"))
    for second in range(310):
        evacuation.update(Reading(float(second), 8.0 + 0.02 * second))
    evacuation.update(Mark(310.0, "hold-over"))
    level(evacuation, 310, 30, 20.0)
    evacuation.update(Mark(340.0, "valve-closed"))
    for second in range(340, 520):
        evacuation.update(Reading(float(second), 20.0 + 0.004 * (second - 340)))
    snapshot = evacuation.update(Mark(520.0, "valve-opened"))
    fields, rules = JobFields(volume_m3=0.002, rig_volume_m3=8e-5), EvacuationRules()
    told = blank_off_now(snapshot.blank_off, fields, rules)
    assert told is not None
    assert told.load_pa_m3_s is not None
    screen = with_rig_share(shown(snapshot), snapshot, fields, rules, Words())
    # 0.02 Pa/s x 80 mL, of 0.004 Pa/s x 2.08 L: a fifth (0.192)
    assert "about a fifth is the rig's own (19 %)" in screen.isolation
    unknown = with_rig_share(shown(snapshot), snapshot, JobFields(), rules, Words())
    assert "rig's own" not in unknown.isolation
