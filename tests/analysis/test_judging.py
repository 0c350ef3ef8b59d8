"""What the stage is judged by: quiet that was watched, bursts, and proof by an isolation."""

import pytest

from analysis.judging import Judging, Silence
from analysis.pace import Pace
from analysis.reason import Interval, Reason
from analysis.rules import EvacuationRules
from analysis.snapshot import Burst, CautionKind, FlatEstimate, Isolation

NOTHING = FlatEstimate(None, None, None, Reason("too-few-bursts"))


def judged(
    seconds: int, *, is_observing: bool = True, cautions: frozenset[CautionKind] = frozenset()
) -> Judging:
    judging, pace = Judging(EvacuationRules()), Pace()
    for second in range(seconds):
        if is_observing:
            judging.watch(1.0)
        judge_at(second, judging, pace, cautions)
    return judging


def judge_at(
    second: int,
    judging: Judging,
    pace: Pace,
    cautions: frozenset[CautionKind] = frozenset(),
    *,
    is_climbing: bool = False,
    stepped_pa: float | None = None,
    silence: Silence = "sound",
    is_rate_below: bool = False,
) -> None:
    pace.update(float(second), 20.0)
    judging.judge(
        float(second),
        pace,
        NOTHING,
        has_trend=False,
        is_rate_below=is_rate_below,
        cautions=cautions,
        silence=silence,
        is_climbing=is_climbing,
        stepped_pa=stepped_pa,
    )


def test_quiet_is_only_what_was_watched() -> None:
    assert judged(100).quiet_s == 100.0
    assert judged(100, is_observing=False).quiet_s == 0.0


def test_flat_is_reached_when_no_caution_stands() -> None:
    assert judged(2000).flat_reached_s == pytest.approx(1800.0, abs=5.0)
    blind = judged(2000, cautions=frozenset({"no-bursts-seen"}))
    assert blind.flat_reached_s == judged(2000).flat_reached_s
    assert judged(2000, cautions=frozenset({"cold"})).flat_reached_s is None


@pytest.mark.parametrize("caution", ["cold", "not-pulling-down", "ice"])
def test_quiet_counts_from_when_a_caution_that_may_hide_bursts_is_over(
    caution: CautionKind,
) -> None:
    judging, pace = Judging(EvacuationRules()), Pace()
    for second in range(6000):
        judging.watch(1.0)
        judge_at(second, judging, pace, frozenset({caution}) if second < 3000 else frozenset())
    assert judging.flat_reached_s == pytest.approx(3000.0 + 1800.0, abs=5.0)


def boiled() -> Judging:
    """Three bursts within a minute, and then none."""
    judging = Judging(EvacuationRules())
    for number in range(3):
        at_s = 20.0 * number
        judging.add_burst(Burst(number, at_s, at_s, 5.0, 10.0, 50.0, at_s + 10.0, "confirmed"))
    return judging


@pytest.mark.parametrize(
    ("silence", "flat_s"), [("sound", 300.0), ("sudden", 1800.0), ("none", 2800.0)]
)
def test_the_forecast_is_taken_at_its_word_of_a_sound_silence_only(
    silence: Silence, flat_s: float
) -> None:
    """What is odd until 1000 s waits as long as where nothing ever boiled, from then on if none."""
    judging, pace = boiled(), Pace()
    for second in range(100, 4000):
        judging.watch(1.0)
        is_odd = second < 1000 or silence == "sudden"
        judge_at(second, judging, pace, silence=silence if is_odd else "sound", is_rate_below=True)
    assert judging.flat_reached_s == pytest.approx(flat_s, abs=100.0)


def test_a_burst_makes_a_silence_sound_that_was_none() -> None:
    judging, pace = boiled(), Pace()
    for second in range(100, 1500):
        judging.watch(1.0)
        if second == 1000:
            judging.add_burst(Burst(9, 990.0, 991.0, 5.0, 10.0, 50.0, 1000.0, "confirmed"))
        silence: Silence = "none" if second < 990 else "sound"
        judge_at(second, judging, pace, silence=silence, is_rate_below=second > 1200)
    assert judging.flat_reached_s == pytest.approx(1201.0, abs=5.0)


def test_a_level_that_climbs_slowly_is_not_flat_until_it_stands() -> None:
    judging, pace = Judging(EvacuationRules()), Pace()
    for second in range(4000):
        judging.watch(1.0)
        judge_at(second, judging, pace, is_climbing=second < 3000)
        if second == 2900:
            assert judging.stages.reason.code == "level-climbs"
    assert judging.flat_reached_s == pytest.approx(3000.0, abs=5.0)


def test_flat_after_a_step_up_says_how_much_higher_it_stands() -> None:
    judging, pace = Judging(EvacuationRules()), Pace()
    for second in range(2000):
        judging.watch(1.0)
        judge_at(second, judging, pace, stepped_pa=8.8)
    assert judging.stages.stage == "flat"
    assert judging.stages.reason == Reason("flat-but-higher", {"rise_pa": 8.8})


def test_a_burst_ends_the_quiet_at_its_onset() -> None:
    judging = judged(500)
    judging.add_burst(Burst(1, 480.0, 482.0, 5.0, 10.0, 50.0, 495.0, "confirmed"))
    assert (judging.burst_count, judging.last_onset_s, judging.quiet_s) == (1, 480.0, 15.0)


def test_a_burst_of_the_pull_before_is_none_of_this_one() -> None:
    """Found on looking back, it made a pull that had just begun boil off."""
    judging, pace = judged(500), Pace()
    judging.begin_pull(500.0, Reason("vacuum-broken"))
    judging.add_burst(Burst(1, 480.0, 482.0, 5.0, 10.0, 50.0, 510.0, "confirmed"))
    for onset_s, stage in ((None, "pulling-down"), (520.0, "boiling-off")):
        if onset_s is not None:
            judging.add_burst(Burst(2, onset_s, 522.0, 5.0, 10.0, 50.0, 530.0, "confirmed"))
        for second in range(510, 640):
            judge_at(second, judging, pace)
        assert judging.stages.stage == stage


def test_an_isolation_proves_in_its_own_pull_only() -> None:
    judging = Judging(EvacuationRules())
    good = Isolation(300.0, 600.0, 0.5, 0.001, True, Interval(0.0, 0.001, 0.002))
    judging.prove(good, 0.0)
    assert judging.is_proven
    judging.prove(good, 700.0)
    assert not judging.is_proven
    judging.prove(None, 700.0)
    assert not judging.is_proven
