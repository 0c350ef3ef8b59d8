"""An open job is judged, shown and recorded by the limits that it tells, whatever is set by now."""

from dataclasses import replace
from pathlib import Path

import pytest

from analysis.evacuation import Evacuation
from analysis.sample import Mark
from app.job.recording import load
from app.job.rules import JobRules, kept_rules, rules_at_finding
from app.jobfile.new import new_job
from app.jobfile.reader import JobReader
from app.jobfile.rows import FindingNote
from app.live.opening import run_on
from app.live.run import Run
from app.report.course import follow
from app.report.hold_note import hold_result, rules_told
from app.report.record import read_record
from app.settings.job_rules import job_rules
from app.settings.phrases import later_line
from app.settings.values import Limit, Settings
from app.words.phrases import english
from sensors.events import Reading
from tests.app.bench import Bench, pull
from tests.app.live.test_run import Clock

MAKERS = Settings(
    hold_rise=Limit(pressure_pa=2.0, source="maker's manual, page 7"),
    hold_normal_min=45.0,
    hold_length_source="maker's manual, page 9",
    flat_min=30.0,
)
USUAL, OTHERS = job_rules(Settings()), job_rules(MAKERS)


class Played:
    """A run whose readings rise by 0.5 Pa a minute while the valve is closed."""

    def __init__(self, path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        self.run, self._clock = Run(path, Evacuation(rules=USUAL.rules), told=USUAL), Clock()
        monkeypatch.setattr(self.run.link, "clock", self._clock)
        self.run.recorder.put(USUAL.note())

    def go_on(self, for_s: int, rise_pa_s: float = 0.0) -> None:
        begin_s = int(self._clock.at_s)
        for second in range(1, for_s + 1):
            reading = Reading(float(begin_s + second), 20.0 + rise_pa_s * second)
            self.run.recorder.put(reading)
            self.run.link.events.put(reading)
        self._clock.at_s = float(begin_s + for_s)
        self.look()

    def hold(self) -> None:
        self.run.mark("valve-closed")
        self.go_on(150, 1 / 120)
        self.run.mark("hold-over")
        self.look()

    def look(self) -> None:
        for _ in self.run.drain():
            pass

    def rise_limit_pa(self) -> float:
        assert self.run.snapshot is not None
        assert self.run.snapshot.hold is not None
        return next(c.limit for c in self.run.snapshot.hold.limits if c.name == "rise")


@pytest.fixture
def played(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Played:
    return Played(new_job(tmp_path, name="job.simmerdown"), monkeypatch)


def kept(path: Path) -> list[JobRules | None]:
    with JobReader(path) as job:
        edits = [note for _, note in job.notes("edit")]
    told = [kept_rules({note.key: note.value}) for note in edits]  # type: ignore[union-attr]
    return [rules for rules in told if rules is not None]


def test_they_count_from_the_next_hold_on_and_the_record_says_which(
    played: Played, tmp_path: Path
) -> None:
    run = played.run
    played.go_on(60)
    run.mark("valve-closed")
    played.go_on(150, 1 / 120)
    run.tell_limits(OTHERS)
    assert run.told == USUAL
    run.mark("hold-over")
    played.go_on(5)
    assert played.rise_limit_pa() == USUAL.rules.hold.rise_pa
    assert run.told == USUAL  # the finding is still shown, by what it was judged by
    played.hold()
    assert played.rise_limit_pa() == 2.0
    assert run.told.least_holds == OTHERS.least_holds
    assert run.told.rules.flat_interval_s == USUAL.rules.flat_interval_s  # the job's own
    assert run.close()
    path = tmp_path / "job.simmerdown"
    assert kept(path) == [USUAL, run.told]
    with JobReader(path) as job:
        findings = [note for _, note in job.notes("finding") if isinstance(note, FindingNote)]
    limits = [rules_told(hold_result(note)) for note in findings]
    assert [rules.rise_pa for rules in limits] == [USUAL.rules.hold.rise_pa, 2.0]
    assert limits[1].rise_source == "maker's manual, page 7"
    course = follow(read_record(path))
    assert course.told.rules.hold.rise_pa == 2.0


def test_what_came_after_the_last_finding_does_not_count_for_it(
    played: Played, tmp_path: Path
) -> None:
    played.go_on(60)
    played.hold()
    played.run.mark("valve-opened")
    played.go_on(10)
    played.run.tell_limits(OTHERS)
    assert played.run.told.least_holds == OTHERS.least_holds
    assert played.run.close()
    path = tmp_path / "job.simmerdown"
    assert len(kept(path)) == 2
    record = read_record(path)
    assert rules_at_finding(record.notes) == USUAL
    assert follow(record).told == USUAL
    assert kept_rules(load(path).fields) == USUAL  # as ``hold`` and ``analyse`` see it


def test_a_job_gone_on_with_takes_the_settings_of_that_day(played: Played, tmp_path: Path) -> None:
    """So the window says of a flat interval that it does not count while the job is open."""
    played.go_on(60)
    assert played.run.close()
    path = tmp_path / "job.simmerdown"
    again = run_on(path, OTHERS)
    assert again.told.rules.flat_interval_s == OTHERS.rules.flat_interval_s == 1800.0
    assert again.close()
    assert kept(path) == [USUAL, OTHERS]
    assert later_line(english, [], ["flat_min"]) == (
        "Not in this job while it is open: Flat interval."
    )


def test_limits_told_twice_in_a_hold_count_once(played: Played, tmp_path: Path) -> None:
    played.go_on(60)
    played.run.tell_limits(USUAL)
    played.run.mark("valve-closed")
    played.go_on(30)
    played.run.tell_limits(OTHERS)
    played.run.tell_limits(USUAL)
    played.run.mark("valve-opened")
    played.go_on(30)
    assert played.run.close()
    assert kept(tmp_path / "job.simmerdown") == [USUAL]


def test_an_open_job_is_shown_by_what_it_is_judged_by(bench: Bench) -> None:
    bench.run.told = replace(USUAL, least_holds=OTHERS.least_holds)
    bench.settings = replace(Settings(), hold_normal_min=25.0, flat_min=120.0)
    bench.play([*pull(), Mark(60.0, "valve-closed")])
    bench.presenter.walk_on()
    bench.presenter.walk_on()
    assert dict(bench.seen.screen.hold.kinds)["normal"] == "ordinary: at least 45 min"
    bench.session.run = None
    assert bench.session.told == job_rules(Settings())


def test_limits_of_a_blank_off_test_are_judged_by_and_told_with_their_sources() -> None:
    settings = Settings(
        blank_off_end=Limit(pressure_pa=8.0, source="page 3"),
        blank_off_rise=Limit(pressure_pa=4.0, source="page 4"),
        blank_off_min=2.0,
        blank_off_load_pct=10.0,
        blank_off_load_source="page 5",
    )
    told = job_rules(settings)
    evacuation = Evacuation(rules=replace(told.rules, rig_volume_m3=1e-4, volume_m3=2e-3))
    evacuation.update(Mark(0.0, "blank-off"))
    for second in range(130):
        evacuation.update(Reading(float(second), 5.0 + 0.04 * second))
    test = evacuation.update(Mark(130.0, "hold-over")).blank_off
    assert test is not None
    assert [(check.limit, check.passed, check.source) for check in test.limits] == [
        (8.0, False, "page 3"),
        (4.0, False, "page 4"),
        # A tenth of what 100 micron in 10 min are in 2 L; the rig gives 0.04 Pa/s x 0.1 L.
        (pytest.approx(0.1 * 13.33224 / 600.0 * 2e-3, rel=1e-5), True, "page 5"),
    ]
    assert kept_rules({(note := told.note()).key: note.value}) == told
