"""Sensor addresses: typed, pasted, or from a stranger's profile."""

from hypothesis import strategies as st

from sensors.catalogue import open_listener, open_sensor
from sensors.events import SensorError
from tests.fuzz.target import Outcome, Target, check_sentence

_KINDS = ["sim", "replay", "serial", "tcp", "scpi", "modbus", "ble", "bthome", "SIM", "file", ""]
_TARGETS = [
    "wet", "clean", "/dev/ttyUSB0", "COM3", "host:502", "[::1]:4001", "[::1", "host:0", "host:",
    "rfc2217://host:2217", "rfc2217://", "socket://a:1", "loop://", "spy://x", "hwgrep://.*",
    "what?.csv", "a?b=c", "../../x", "\0", "AA:BB:CC:DD:EE:FF", "", "  ", "\x1b[2J", "é\u202e",
    "host:99999999999", "MEAS:PRES?", "%00", "x" * 3000,
]  # fmt: skip
_OPTIONS = [
    "baud", "field", "unit", "delimiter", "temperature", "query", "every", "curve", "seed",
    "speed", "rate", "register", "device", "table", "type", "order", "parity", "framing", "scale",
    "offset", "characteristic", "form", "pulse", "", "FIELD", "fıeld",
]  # fmt: skip
_VALUES = [
    "9600", "1", "2", "0", "-1", "micron", "pa", "psig", ";", "semicolon", "tab", "%3B", "%0D",
    "%", "%zz", "%ff%fe", "PR1%0D", "1e400", "9" * 400, "9" * 5000, "0.0000001", ".5", "max",
    "inf", "nan", "٣", "f32", "big", "even", "tcp", "input", "2A6D", "text", "u16@0", "", "=", "&",
    "head", "\x1b[31m", "%1b[31m", "\n", "1_0", "x" * 2000, "0.05", "3600", "pressure_pa",
]  # fmt: skip

_piece = st.one_of(st.text(max_size=12), st.sampled_from(_VALUES))
_option = st.builds(
    "{}={}".format, st.one_of(st.sampled_from(_OPTIONS), st.text(max_size=5)), _piece
)
_options = st.lists(st.one_of(_option, _option, _piece), max_size=4).map("&".join)
_target = st.one_of(st.sampled_from(_TARGETS), st.text(max_size=20))
_address = st.builds(
    "{}:{}{}{}".format, st.sampled_from(_KINDS), _target, st.sampled_from(["?", "??", ""]), _options
)
INPUTS = st.one_of(_address, _address, _address, st.text(max_size=60))


def use(text: str) -> Outcome:
    """Make what the address names, and what listens there; nothing is opened by that."""
    ends: list[Outcome] = []
    for make in (open_sensor, open_listener):
        try:
            sensor = make(text)
        except SensorError as error:
            _check(error)
            ends.append("refused")
        else:
            assert isinstance(sensor.name, str)
            ends.append("read")
    return ends[0]


def _check(error: SensorError) -> None:
    check_sentence(str(error))
    assert error.is_final, "trying again cannot mend an address"


TARGET = Target("address", INPUTS, use, examples=400)
