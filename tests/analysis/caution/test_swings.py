"""What a level has done before and taken back."""

from analysis.caution.swings import Swings


def test_before_any_swing_all_is_news() -> None:
    assert Swings().is_news(0.1, 20.0)


def test_what_came_back_must_be_outdone_by_half() -> None:
    swings = Swings()
    for level in (20.0, 22.0, 24.0, 23.0):
        swings.look(level, (0.0, 20.0))
    assert swings.largest_pa == 0.0, "not half of it is gone"
    swings.look(21.9, None)
    assert swings.largest_pa == 4.0
    assert not swings.is_news(5.9, 20.0)
    assert swings.is_news(6.1, 20.0)


def test_half_of_what_it_rose_from_is_always_news() -> None:
    swings = Swings()
    for level in (20.0, 400.0, 20.0):  # a pump that stopped, and runs again
        swings.look(level, (0.0, 20.0) if level > 20.0 else None)
    assert swings.largest_pa == 380.0
    assert not swings.is_news(9.9, 20.0)
    assert swings.is_news(10.1, 20.0)
