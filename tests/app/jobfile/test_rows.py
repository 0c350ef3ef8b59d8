import json
import math
from dataclasses import fields
from typing import Any, get_args

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from analysis.reason import Interval
from analysis.sample import Mark, MarkKind
from analysis.snapshot import CautionKind, Finding, HoldResult, LimitCheck, Stage
from app.jobfile.errors import JobFileError
from app.jobfile.jsontext import decode_json, encode_json, plain
from app.jobfile.rows import (
    KIND_OF,
    NOTES,
    CautionChange,
    Edit,
    FindingNote,
    Gap,
    HoldChange,
    JobStart,
    LinkChange,
    Note,
    Rejections,
    Resumed,
    StageChange,
    decode_row,
    encode_note,
)
from sensors.csv_careful import LARGEST_TIME_S

number = st.floats(allow_nan=False, allow_infinity=False)
time_s = st.floats(-LARGEST_TIME_S, LARGEST_TIME_S)
text = st.text(st.characters(exclude_categories=["Cs"]), max_size=30)
json_value = st.recursive(
    st.none() | st.booleans() | st.integers(-(2**53), 2**53) | number | text,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(text, inner, max_size=3),
    max_leaves=8,
)
json_object = st.dictionaries(text, json_value, max_size=4)
values = st.dictionaries(text, number, max_size=4)

notes: st.SearchStrategy[Note] = st.one_of(
    st.builds(JobStart, text, text, text),
    st.builds(Mark, time_s, st.sampled_from(get_args(MarkKind)), text),
    st.builds(LinkChange, time_s, st.sampled_from(["connected", "lost", "failed", "ended"]), text),
    st.builds(
        Rejections,
        time_s,
        time_s,
        st.integers(0, 2**53),
        st.lists(json_object, max_size=3).map(tuple),
    ),
    st.builds(Gap, time_s, time_s, text),
    st.builds(Resumed, time_s, time_s, st.booleans()),
    st.builds(Edit, text, json_value),
    st.builds(HoldChange, time_s, st.sampled_from(["begun", "ended", "given-up"]), text),
    st.builds(FindingNote, time_s, st.sampled_from(get_args(Finding)), json_object),
    st.builds(
        CautionChange, time_s, st.sampled_from(get_args(CautionKind)), st.booleans(), text, values
    ),
    st.builds(StageChange, time_s, st.sampled_from(get_args(Stage)), text, values),
)


@given(notes)
def test_every_note_comes_back(note: Note) -> None:
    kind, payload = encode_note(note)
    assert decode_row(kind, payload) == note
    assert encode_note(note) == (kind, payload)


@given(notes, st.data())
def test_a_field_too_few_or_too_many_or_of_another_type_is_refused(
    note: Note, data: st.DataObject
) -> None:
    kind, payload = encode_note(note)
    value = json.loads(payload)
    name = data.draw(st.sampled_from(sorted(value)))
    lacking = {key: part for key, part in value.items() if key != name}
    wrong = {**value, name: [1]} if kind != "edit" else {**value, "key": 5}
    for odd in (lacking, {**value, "more": 1}, wrong):
        with pytest.raises(JobFileError):
            decode_row(kind, encode_json(odd))


def test_every_kind_has_a_strategy_here() -> None:
    drawn = {KIND_OF[note] for note in NOTES.values()}
    assert drawn == set(NOTES)
    assert len(get_args(Note)) == len(NOTES)


@pytest.mark.parametrize(
    ("note", "text_of_it"),
    [
        (Mark(12.5, "valve-closed", "é"), '{"kind":"valve-closed","text":"é","time_s":12.5}'),
        (Edit("volume_l", 3.2), '{"key":"volume_l","value":3.2}'),
        (
            StageChange(3.0, "easing", "lulls-grow", {"lull_s": 38.0}),
            '{"code":"lulls-grow","stage":"easing","time_s":3.0,"values":{"lull_s":38.0}}',
        ),
    ],
)
def test_the_bytes_are_these(note: Note, text_of_it: str) -> None:
    assert encode_note(note)[1] == text_of_it.encode()


def test_a_finding_keeps_all_numbers_of_a_hold() -> None:
    result = HoldResult(
        finding="leak",
        duration_s=900.0,
        rise_pa=12.0,
        hold_longer_s=None,
        leak_pa_s=Interval(0.01, 0.02, 0.03),
        vapour_pa=None,
        smallest_leak_seen_pa_s=0.001,
        limits=(LimitCheck("rise", 13.3, 12.0, True, "common practice"),),
        reasons=(),
    )
    details: Any = plain(result)
    back = decode_row(*encode_note(FindingNote(900.0, result.finding, details)))
    assert isinstance(back, FindingNote)
    assert set(back.details) == {part.name for part in fields(HoldResult)}
    assert back.details["leak_pa_s"] == {"low": 0.01, "best": 0.02, "high": 0.03}


@pytest.mark.parametrize(
    "note",
    [
        Mark(math.nan, "note"),
        Mark(math.inf, "note"),
        Mark(True, "note"),
        Mark(0.0, "polka"),  # type: ignore[arg-type]
        Edit("volume_l", math.nan),
        Edit("volume_l", {"deep": [math.inf]}),
        Edit("odd", object()),
        Edit("odd", {1: "a number as key"}),
        Edit("odd", b"bytes"),
        Gap(0.0, 1.0, 5),  # type: ignore[arg-type]
        Rejections(0.0, 1.0, -1),
    ],
)
def test_a_note_that_could_not_be_read_back_is_refused(note: Note) -> None:
    with pytest.raises(JobFileError):
        encode_note(note)


def test_numpy_numbers_are_written_as_numbers() -> None:
    note = Edit("counts", {"n": np.int64(3), "x": np.float32(0.5), "b": np.bool_(True)})
    assert encode_note(note)[1] == b'{"key":"counts","value":{"b":true,"n":3,"x":0.5}}'


def test_half_a_surrogate_pair_becomes_a_question_mark() -> None:
    assert encode_note(Edit("path", "\udc80a"))[1] == b'{"key":"path","value":"?a"}'


@pytest.mark.parametrize(
    "payload",
    [
        b"",
        b"[]",
        b"3",
        b"{",
        b'{"a":NaN}',
        b'{"a":Infinity}',
        b'{"a":-Infinity}',
        b'{"a":1e999}',
        b'{"a":1,"a":2}',
        b'{"a":"\xff"}',
        b"\xef\xbb\xbf{}",
        b'{"a":' + b"[" * 100_000 + b"]" * 100_000 + b"}",
        b'{"a":' + b"9" * 10_000 + b"}",
    ],
)
def test_json_that_is_not_strict_is_refused(payload: bytes) -> None:
    with pytest.raises(JobFileError):
        decode_json(payload)


@given(st.sampled_from(sorted(NOTES)), st.binary(max_size=60))
def test_any_bytes_are_read_or_refused(kind: str, payload: bytes) -> None:
    try:
        decode_row(kind, payload)
    except JobFileError:
        pass


def test_an_unknown_kind_is_refused() -> None:
    with pytest.raises(JobFileError, match="polka"):
        decode_row("polka", b"{}")
