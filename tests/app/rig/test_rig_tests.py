"""Blank-off and pressure test: kept in a real job, read back, told in words."""

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from analysis.closing.cut_off import CutOff
from analysis.evacuation import Evacuation
from analysis.nitrogen.pressure_test import TestPoint, judge_pressure_test
from analysis.pump.pulls import Pull, Reached
from analysis.reason import Interval, Reason
from analysis.rules import EvacuationRules
from analysis.sample import Mark
from analysis.snapshot import BlankOff, Isolation, Snapshot
from app.job.fields import JobFields
from app.jobfile.new import new_job
from app.jobfile.reader import JobReader
from app.jobfile.rows import Edit, HoldChange
from app.live.recorder import Recorder
from app.live.run import Run, notes
from app.rig import rig_tests
from app.words.sentences import Words
from sensors.events import Reading


def played() -> tuple[list[Snapshot], list[object]]:
    """A blank-off test of five minutes, and every row the record would get."""
    evacuation = Evacuation(rules=EvacuationRules(volume_m3=2e-3, rig_volume_m3=60e-6))
    items: list[Reading | Mark] = [Reading(float(s), 5.0 + 0.01 * (s % 2)) for s in range(60)]
    items.append(Mark(60.0, "blank-off"))
    items += [Reading(60.0 + s, 5.0 + 0.01 * s) for s in range(1, 310)]
    items.append(Mark(369.0, "valve-opened"))
    snapshots: list[Snapshot] = []
    rows: list[object] = []
    for item in items:
        snapshots.append(evacuation.update(item))
        rows += list(notes(snapshots[-2] if len(snapshots) > 1 else None, snapshots[-1]))
    return snapshots, rows


@pytest.fixture(scope="module")
def blank_off() -> tuple[BlankOff, list[object]]:
    snapshots, rows = played()
    test = snapshots[-1].blank_off
    assert test is not None
    return test, rows


def test_a_blank_off_becomes_one_row_and_comes_back(
    blank_off: tuple[BlankOff, list[object]], tmp_path: Path
) -> None:
    test, rows = blank_off
    edits = [row for row in rows if isinstance(row, Edit)]
    assert [edit.key for edit in edits] == ["blank_off"]
    assert not any(isinstance(row, HoldChange) for row in rows), "it is no hold"
    pressure = judge_pressure_test(
        TestPoint(11e5, 20.0), TestPoint(10.5e5, 19.0), 1800.0, middle_pa=10.6e5
    )
    path = new_job(tmp_path, title="rig")
    recorder = Recorder(path)
    for edit in (*edits, rig_tests.pressure_test_note(pressure)):
        recorder.put(edit)
    assert recorder.close()
    with JobReader(path) as job:
        fields = job.fields()
    assert rig_tests.blank_off_of(fields) == test
    assert rig_tests.pressure_test_of(fields) == pressure


def test_a_pressure_test_without_a_reading_half_way_is_kept_as_before_there_was_one() -> None:
    test = judge_pressure_test(TestPoint(11e5, 20.0), TestPoint(10.5e5, 19.0), 1800.0)
    note = rig_tests.pressure_test_note(test)
    assert isinstance(note.value, dict)
    assert "middle_pa" not in note.value
    assert rig_tests.pressure_test_of({note.key: note.value}) == test


def test_the_words_of_a_blank_off(blank_off: tuple[BlankOff, list[object]]) -> None:
    lines = rig_tests.blank_off_lines(blank_off[0], Words())
    text = " ".join(lines)
    assert "micron" in lines[0]
    assert "mbar L/s" in lines[1]
    assert "good for this job" in text
    fields, rules = JobFields(volume_m3=2e-3, rig_volume_m3=60e-6), EvacuationRules()
    rate = Interval(0.001, 0.0015, 0.002)
    share = rig_tests.share_of_rig(blank_off[0], rate, fields, rules)
    assert share is not None
    assert Words().reason(share) == "Of this rise about a fifth is the rig's own (19 %)."
    for test, told in ((None, fields), (blank_off[0], JobFields())):
        assert rig_tests.share_of_rig(test, rate, told, rules) is None


def test_every_reason_of_the_rig_s_tests_has_its_words(
    blank_off: tuple[BlankOff, list[object]],
) -> None:
    bad = judge_pressure_test(TestPoint(11e5, 20.0), TestPoint(9e5, 20.0), 60.0, rated_pa=8e5)
    lines = rig_tests.pressure_test_lines(bad, Words())
    assert any("2 bar" in line and "a leak" in line for line in lines)
    for check in blank_off[0].limits:
        failed = Words().reason(Reason(f"{check.name}-over", {}))
        assert failed.count("blank-off") == 0, "a sentence, not the code"


@pytest.mark.parametrize(
    "code",
    [
        *(f"blank-off-{why}" for why in ("not-pulled", "never-moved", "stuck", "air")),
        *("blank-off-falls", "blank-off-no-rise", "blank-off-stands", "blank-off-few-readings"),
        *("blank-off-rise-over-little", "blank-off-load-counts", "pump-side-rose"),
        *("pressure-test-cooling", "pressure-test-fell-on", "pressure-test-fell-either"),
        *("pressure-test-middle-outside", "pressure-test-as-warm"),
        *("pressure-test-uneven", "rig-explains-all"),
    ],
)
def test_no_reason_is_told_by_its_code(code: str) -> None:
    assert code not in Words().reason(Reason(code, {}))


def test_the_cautions_of_a_pressure_test_are_all_there() -> None:
    text = " ".join(rig_tests.pressure_test_cautions(Words()))
    for word in ("regulator", "Never oxygen or compressed air", "lowest-rated", "Isolate"):
        assert word in text
    assert "pressure-test-" not in text


def test_an_offer_an_isolation_and_a_pull_in_words() -> None:
    offer = rig_tests.offer_line(CutOff(100.0, "steady", 13.33224), 160.0, Words())
    assert "60 s ago" in offer
    assert "100 micron" in offer
    slower = Reason("isolation-slower", {"ratio": 0.5})
    isolation = Isolation(0.0, 180.0, 1.3, 0.0222, True, comparison=slower)
    assert "half of the last rate" in rig_tests.isolation_lines(isolation, Words())[1]
    first = Pull(1, 0.0, reached=(Reached(133.3224, 300.0),))
    second = replace(first, number=2, reached=(Reached(133.3224, 120.0),))
    assert rig_tests.pull_lines([first], Words()) == []
    line = rig_tests.pull_lines([first, second], Words())[0]
    assert line == "Down to 1\u00a0000 micron in 2 min; the pull before took 5 min."


@given(
    st.recursive(
        st.none() | st.booleans() | st.floats() | st.text(),
        lambda inner: st.lists(inner) | st.dictionaries(st.text(), inner),
        max_leaves=10,
    )
)
def test_a_stranger_s_field_is_not_believed(value: object) -> None:
    assert rig_tests.blank_off_of({"blank_off": value}) is None
    assert rig_tests.pressure_test_of({"pressure_test": value}) is None


def test_a_field_with_one_odd_part_is_not_believed(
    blank_off: tuple[BlankOff, list[object]],
) -> None:
    (edit,) = (row for row in blank_off[1] if isinstance(row, Edit))
    assert isinstance(edit.value, dict)
    for name in edit.value:
        for odd in ("x", [7], {"low": "a"}, float("nan")):
            assert rig_tests.blank_off_of({"blank_off": {**edit.value, name: odd}}) is None


def test_a_late_closing_is_recorded_and_analysed_at_its_own_time(tmp_path: Path) -> None:
    path = new_job(tmp_path, title="late")
    run = Run(path, Evacuation())
    for second in range(100):
        run.link.events.put(Reading(float(second), 20.0))
    list(run.drain())
    run.mark("valve-closed", at_s=60.0)
    *_, last = run.drain()
    assert last.snapshot is not None
    assert last.snapshot.hold_from_s == 60.0
    assert run.close()
    with JobReader(path) as job:
        marks = [note for _, note in job.notes("mark")]
        holds = [note for _, note in job.notes("hold")]
    assert [mark.time_s for mark in marks if isinstance(mark, Mark)] == [60.0]
    assert [hold.time_s for hold in holds if isinstance(hold, HoldChange)] == [60.0]


def test_an_isolation_that_fell_did_not_rise() -> None:
    still = Isolation(100.0, 400.0, -0.085, -0.0003, True)
    assert rig_tests.isolation_lines(still, Words()) == ["Isolated, it did not rise."]
    stood = rig_tests.isolation_lines(replace(still, rise_pa=0.1333), Words())
    assert stood == ["Isolated, it rose by 1 micron at first and then no more."]
    rose = rig_tests.isolation_lines(replace(still, rise_pa=0.1333, rate_pa_s=0.00222), Words())
    assert rose == ["Isolated, it rose by 1 micron: 0.999 micron/min."]
