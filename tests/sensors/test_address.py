import pytest
from hypothesis import given
from hypothesis import strategies as st

from sensors.address import host_and_port, parse_address, read_speed
from sensors.events import SensorError


@pytest.mark.parametrize(
    ("text", "kind", "target", "options"),
    [
        (
            "serial:/dev/ttyUSB0?baud=9600&field=2&unit=micron&delimiter=;",
            "serial",
            "/dev/ttyUSB0",
            {"baud": "9600", "field": "2", "unit": "micron", "delimiter": ";"},
        ),
        ("serial:COM3", "serial", "COM3", {}),
        ("serial:gauge.local:4001", "serial", "gauge.local:4001", {}),
        ("serial:rfc2217://10.0.0.2:4001?baud=300", "serial", "rfc2217://10.0.0.2:4001", None),
        ("tcp:[fe80::1]:5000?delimiter=%26", "tcp", "[fe80::1]:5000", {"delimiter": "&"}),
        ("tcp:a:1?field=my%20field", "tcp", "a:1", {"field": "my field"}),
        ("tcp:a:1?field=a+b", "tcp", "a:1", {"field": "a+b"}),
        ("replay:C:\\data\\van 1.csv?speed=10", "replay", "C:\\data\\van 1.csv", {"speed": "10"}),
        ("replay:/tmp/what?.csv", "replay", "/tmp/what?.csv", {}),
        ("replay:/tmp/what?.csv?speed=max", "replay", "/tmp/what?.csv", {"speed": "max"}),
        ("replay:/tmp/a?b=c.csv?", "replay", "/tmp/a?b=c.csv", {}),
        ("replay:50%25.csv", "replay", "50%25.csv", {}),
        ("sim:wet?seed=7&speed=2.5&rate=5", "sim", "wet", None),
        ("ble:Gauge 7?form=u32le&scale=0.1", "ble", "Gauge 7", {"form": "u32le", "scale": "0.1"}),
        ("scpi:h:5025?query=MEAS:PRES?&every=1", "scpi", "h:5025", None),
        ("scpi:h:5025?query=MEAS:PRES?", "scpi", "h:5025", {"query": "MEAS:PRES?"}),
        ("scpi:h:5025?query=MEAS:PRES%3F", "scpi", "h:5025", {"query": "MEAS:PRES?"}),
        ("modbus:/dev/ttyS1?register=7&type=f32", "modbus", "/dev/ttyS1", None),
        ("bthome:AA:BB:CC:DD:EE:FF", "bthome", "AA:BB:CC:DD:EE:FF", {}),
        ("  tcp:a:1 ", "tcp", "a:1", {}),
    ],
)
def test_taken_apart(text: str, kind: str, target: str, options: dict[str, str] | None) -> None:
    address = parse_address(text)
    assert (address.kind, address.target) == (kind, target)
    assert options is None or dict(address.options) == options


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("", "sim:"),
        ("/dev/ttyUSB0", "serial:"),
        ("C:\\data.csv", "replay:"),
        ("Serial:COM3", "serial:"),
        ("serial:", "a device"),
        ("serial:?baud=9600", "a device"),
        ("serial:COM3?baud=fast", "whole number of baud"),
        ("serial:COM3?baud=0", "whole number of baud"),
        ("serial:COM3?baud=", "no value"),
        ("serial:COM3?baud", "name=value"),
        ("serial:COM3?bawd=9600", "baud"),
        ("serial:COM3?baud=9600&baud=9600", "once"),
        ("serial:COM3?field=0", "from 1"),
        ("serial:COM3?unit=psig", "micron"),
        ("serial:COM3?delimiter=abc", "semicolon"),
        ("serial:rfc2217://host", "HOST:PORT"),
        ("tcp:host", "HOST:PORT"),
        ("tcp:host:0", "65535"),
        ("tcp:host:99999", "65535"),
        ("tcp:host:1?baud=9600", "field"),
        ("replay:a.csv?speed=-1", "such as 10"),
        ("replay:a.csv?speed=nan", "such as 10"),
        ("sim:wet?seed=1.5", "whole number"),
        ("sim:wet?at=home", "far or pump"),
        ("sim:wet?rate=0", "above 0"),
        ("bthome:AA?unit=pa", "expected zero_pa, gain, checked"),
        ("bthome:AA?gain=3", "from 0.5 to 2"),
        ("tcp:a:1?zero_pa=nan", "from -100000"),
        ("tcp:a:1?checked=2030", "a day such as"),
        ("ble:G?characteristic=2A", "hexadecimal"),
        ("ble:G?form=u12le", "or text"),
        ("ble:G?scale=0", "other than 0"),
        ("scpi:COM3?query=%0A", "MEAS:PRES?"),
        ("modbus:COM3?register=65536", "from 0 to 65535"),
        ("modbus:COM3?table=coil", "holding, input"),
        ("modbus:rfc2217://h", "HOST:PORT"),
    ],
)
def test_wrong_ones_are_told_in_one_sentence_that_says_what_was_expected(
    text: str, expected: str
) -> None:
    with pytest.raises(SensorError) as caught:
        parse_address(text)
    assert caught.value.is_final
    assert expected in str(caught.value)
    assert text in str(caught.value) or "rfc2217" in text or text.startswith("tcp:")
    assert "\n" not in str(caught.value)


@given(
    st.text(),
    st.sampled_from(["", "serial:", "tcp:", "replay:", "sim:", "tcp:h:1?", "scpi:h:1?", "ble:g?"]),
)
def test_any_text_is_an_address_or_a_final_error(text: str, start: str) -> None:
    try:
        address = parse_address(start + text)
    except SensorError as caught:
        error = caught
    else:
        assert (start + text).strip().startswith(f"{address.kind}:{address.target}")
        return
    assert error.is_final


def test_hosts_and_speeds() -> None:
    assert host_and_port("[::1]:80") == ("::1", 80)
    assert read_speed("max") == 0.0
    assert read_speed(".5") == 0.5
