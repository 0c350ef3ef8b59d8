import pytest
from hypothesis import given
from hypothesis import strategies as st

from analysis.ring import Ring


@given(
    capacity=st.integers(1, 9),
    steps_s=st.lists(st.floats(0.0, 5.0), max_size=40),
    from_s=st.floats(0.0, 100.0),
)
def test_windows_equal_those_of_a_plain_list(
    capacity: int, steps_s: list[float], from_s: float
) -> None:
    ring, pairs, time_s = Ring(capacity), [], 0.0
    for number, step_s in enumerate(steps_s):
        time_s += step_s
        ring.append(time_s, float(number))
        pairs.append((time_s, float(number)))
        kept = pairs[-capacity:]
        times, values = ring.all()
        assert len(ring) == len(kept)
        assert list(zip(times.tolist(), values.tolist(), strict=True)) == kept
        times, values = ring.since(from_s)
        wanted = [pair for pair in kept if pair[0] >= from_s]
        assert list(zip(times.tolist(), values.tolist(), strict=True)) == wanted


def test_clear_forgets() -> None:
    ring = Ring(4)
    ring.append(1.0, 2.0)
    ring.clear()
    assert len(ring) == 0
    assert ring.all()[0].size == 0


def test_refuses_no_capacity() -> None:
    with pytest.raises(ValueError, match="capacity"):
        Ring(0)
