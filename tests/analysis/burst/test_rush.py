from analysis.burst.rush import RushWatch


def told(pressures_pa: list[float], step_s: float = 1.0) -> list[bool]:
    watch = RushWatch()
    return [watch.update(step_s * i, p) for i, p in enumerate(pressures_pa)]


def test_a_nitrogen_break_is_a_rush_until_it_stands_still() -> None:
    rise = [101325.0 * (1.0 - 0.6**i) + 30.0 for i in range(1, 20)]
    seen = told([30.0] * 10 + rise + [101325.0] * 30)
    assert not any(seen[:10])
    assert all(seen[12:20])
    assert not any(seen[-15:])


def test_a_burst_of_a_hundred_micron_on_a_low_base_is_none() -> None:
    assert not any(told([6.0] * 10 + [6.0 + 13.3 * 0.9**i for i in range(40)]))


def test_a_slow_leak_is_none() -> None:
    assert not any(told([30.0 + 2.0 * i for i in range(300)]))


def test_pulling_down_is_none() -> None:
    assert not any(told([101325.0 * 0.9**i for i in range(100)]))


def test_a_glitch_to_nothing_or_to_the_sky_is_none() -> None:
    for glitch in (0.0, 9000.0):
        assert not any(told([150.0] * 10 + [glitch] + [150.0] * 30))
