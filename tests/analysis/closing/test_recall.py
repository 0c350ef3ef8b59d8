from analysis.closing.recall import RECALL_S, Recall


def test_ten_minutes_are_kept_and_no_more() -> None:
    recall = Recall()
    for second in range(2000):
        recall.add(float(second), 20.0 + second, 21.0)
    assert recall.from_s == 1999.0 - RECALL_S
    assert recall.since(1998.0) == [(1998.0, 2018.0, 21.0), (1999.0, 2019.0, 21.0)]


def test_however_fast_the_gauge_the_memory_is_bounded() -> None:
    recall = Recall()
    for count in range(100_000):
        recall.add(count / 1000.0, 20.0, None)
    assert len(recall.since(0.0)) <= 100.0 / 0.05 + 1


def test_forgetting() -> None:
    recall = Recall()
    recall.add(1.0, 20.0, None)
    recall.forget()
    assert recall.from_s is None
    assert recall.since(0.0) == []
