"""When the analysis looks, and when it judges."""

from analysis.ticks import TICKS_A_JUDGEMENT, Judgements


def test_all_is_judged_on_a_grid_and_at_the_tick_after_something_happened() -> None:
    judgements = Judgements()
    judged = []
    for tick in range(22):
        if tick in (6, 7, 14, 21):
            judgements.stir()
        if judgements.due():
            judged.append(tick)
    assert TICKS_A_JUDGEMENT == 10
    assert judged == [0, 1, 6, 7, 11, 14, 21], "what comes between does not move the grid"
