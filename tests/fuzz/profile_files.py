"""Profiles from strangers: data only, checked whole, or refused in one sentence."""

from hypothesis import strategies as st

from app.gauge.profile_text import profile_text, read_profile_text
from app.gauge.profiles import LARGEST_BYTES, ProfileError, read_profile
from sensors.catalogue import open_sensor
from tests.fuzz.mangle import seeded, variants
from tests.fuzz.scratch import folder
from tests.fuzz.target import Outcome, Target, check_sentence

_VALUES = [
    "1", "2", "true", '"tcp:a:1"', '"serial:COM3?curve=head"', '"sim:wet"', '"replay:/x"', "[]",
    '"replay:x"', "{}", "nan", "inf", "1e400", "1" + "0" * 400, "1" + "0" * 5000, "2030-01-31",
    "2030-01-31T00:00:00Z", '"linear"', '"log-linear"', '"table"', '"' + "x" * 600 + '"', '"\\n"',
    '"\\u001b[2J"', "[[0, 1], [1, 2]]", "[[0, 1.0], [1, 10.0], [2, 100]]", "[[0, 1]]", "[[1]]",
    "[[0, 0], [1, 1e300]]", "[" * 900 + "]" * 900, "[[0, nan], [1, 2]]", '[["a", 1], [1, 2]]',
    "[[0, 1], [0, 2]]", "-5", "1e-320", '"\\U0010ffff"', "'''a\nb'''", "0x7fffffffffffffff",
]  # fmt: skip
_KEYS = [
    "version", "address", "note", "curves", "curves.head.kind", "curves.head.points",
    "curves.head.low", "curves.head.high", "curves.head.calibrated", "curves.head.note",
    'curves."\\u001b[2J".kind', 'curves."<b>".points', "curves.a", "run", '"\\u0000"', "x" * 500,
]  # fmt: skip
GOOD = b"""version = 1
address = "serial:COM3?field=2&curve=head"
note = "invented"
[curves.head]
kind = "table"
points = [[0.0, 0.1], [1.0, 10.0], [2.5, 1000.0]]
low = 0.0
calibrated = 2030-01-31
"""

_lines = st.lists(
    st.builds("{} = {}".format, st.sampled_from(_KEYS), st.sampled_from(_VALUES)), max_size=8
).map(lambda lines: "\n".join(lines).encode())
_almost = _lines.map(lambda more: b'version = 1\naddress = "tcp:a:1"\n' + more)
INPUTS = seeded(st.one_of(st.just(GOOD), _almost, _lines, _almost, st.binary(max_size=99)))


def use(data: bytes) -> Outcome:
    """Read the file; what comes out opens a sensor, and is written and read back the same."""
    path = folder() / "stranger.toml"
    path.write_bytes(data)
    try:
        profile = read_profile(path)
    except ProfileError as error:
        check_sentence(str(error))
        return "refused"
    finally:
        path.unlink()
    open_sensor(profile.address, curves=profile.curves)
    for curve in profile.curves.values():
        pressure_pa, _ = curve.read(1.0)
        assert pressure_pa >= 0.0
    text = profile_text(profile.address, profile.note, profile.curves).encode()
    if len(text) <= LARGEST_BYTES:
        assert read_profile_text(text) == (profile.address, profile.note, dict(profile.curves))
    return "read"


TARGET = Target("profile", INPUTS, use, examples=60, spread=variants)
