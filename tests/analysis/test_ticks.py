"""When the analysis looks, and when it judges."""

from analysis.ticks import TICKS_A_JUDGEMENT, Judgements


def test_all_is_judged_on_a_grid_and_at_the_tick_after_something_happened() -> None:
    judgements = Judgements()
    judged = []
    for tick in range(21):
        if tick in (7, 8, 13, 15):
            judgements.stir()
        if judgements.due():
            judged.append(tick)
    assert TICKS_A_JUDGEMENT == 5
    assert judged == [0, 5, 7, 8, 10, 13, 15, 20], "what comes between does not move the grid"
