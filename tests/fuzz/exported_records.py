"""The JSON file that an export writes beside its CSV file, from somebody else."""

import json

import numpy as np
from hypothesis import strategies as st

from analysis.evacuation import Evacuation
from app.job.fields import job_fields
from app.job.history import history_of
from app.job.recording import Recording
from app.output.export_read import with_record
from app.system.errors import UsageError
from sensors.series import Series
from tests.fuzz.mangle import seeded, variants
from tests.fuzz.scratch import folder
from tests.fuzz.target import Outcome, Target, check_sentence

_COUNT = 40
_RECORDING = Recording(Series(np.arange(_COUNT) / 2.0, np.full(_COUNT, 60.0), None))
_VALUES: st.SearchStrategy[object] = st.sampled_from(
    [0, -1, 5, 39, 40, 1e12, 1e300, 10**400, 1.5, True, None, "", "5", "\ud800", "\x1b[2J", [], {}]
)
_KINDS = st.sampled_from(["note", "valve-closed", "hold-over", "blank-off", "x", None, ["note"]])
_mark = st.fixed_dictionaries({"time_s": _VALUES, "kind": _KINDS, "text": _VALUES})
_good_mark = st.fixed_dictionaries(
    {"time_s": st.floats(-5.0, 30.0), "kind": st.just("note"), "text": st.text(max_size=5)}
)
_span = st.fixed_dictionaries({"first": _VALUES, "last": _VALUES, "status": st.just("over-range")})
_good_span = st.integers(0, 38).map(lambda at: {"first": at, "last": at + 1, "status": "ok"})
_record = st.fixed_dictionaries(
    {
        "version": st.sampled_from([1, 1, 1, 1, 2, None]),
        "samples": st.sampled_from([_COUNT, _COUNT, _COUNT, 5, "40"]),
        "marks": st.lists(st.one_of(_good_mark, _good_mark, _mark), max_size=3),
        "out_of_range": st.lists(st.one_of(_good_span, _good_span, _span), max_size=2),
        "fields": st.one_of(
            st.none(), _VALUES, st.dictionaries(st.sampled_from(["volume_m3", "joints"]), _VALUES)
        ),
    }
)
INPUTS = seeded(_record.map(lambda record: json.dumps(record).encode()))


def use(data: bytes) -> Outcome:
    """Read it beside a recording, and analyse what came of it."""
    path = folder() / "record.json"
    path.write_bytes(data)
    try:
        recording = with_record(_RECORDING, path)
    except UsageError as error:
        check_sentence(str(error))
        return "refused"
    assert recording.series.status is not None
    assert len(recording.series.status) == _COUNT
    history_of(job_fields(recording.fields))
    evacuation = Evacuation()
    for item in recording.items():
        evacuation.update(item)
    return "read"


TARGET = Target("record", INPUTS, use, examples=40, spread=variants)
