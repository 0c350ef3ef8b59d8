import subprocess
import sys

import pytest

from sensors.catalogue import find_ports, open_sensor
from sensors.events import SensorError
from sensors.keep_alive import KeepAlive
from sensors.replay import Replay
from sensors.serial_port import SerialSensor
from sensors.sim.sensor import SimSensor
from sensors.tcp import TcpSensor


@pytest.mark.parametrize(
    ("address", "kind"),
    [
        ("serial:/dev/ttyUSB0?baud=19200&field=2&unit=mTorr&delimiter=tab", SerialSensor),
        ("serial:rfc2217://10.0.0.2:4001", SerialSensor),
        ("serial:10.0.0.2:4001?baud=9600", TcpSensor),
        ("tcp:gauge.local:5000?temperature=T", TcpSensor),
        ("replay:no such file.csv?speed=max", Replay),
    ],
)
def test_kinds_and_names(address: str, kind: type) -> None:
    sensor = open_sensor(address, silence_s=None)  # nothing is opened yet
    assert type(sensor) is kind
    assert sensor.name == address


def test_links_are_kept_alive_and_the_rest_is_not() -> None:
    assert isinstance(open_sensor("tcp:a:1"), KeepAlive)
    assert isinstance(open_sensor("serial:COM3"), KeepAlive)
    assert open_sensor("serial:COM3").name == "serial:COM3"
    assert isinstance(open_sensor("replay:a.csv"), Replay)


def test_the_simulator() -> None:
    sensor = open_sensor("sim:wet?seed=7&speed=max&rate=2")
    assert isinstance(sensor, SimSensor)
    again = open_sensor(sensor.name)
    assert again.name == sensor.name
    assert isinstance(open_sensor("sim:wet"), SimSensor)


@pytest.mark.parametrize(
    ("address", "missing"),
    [
        ("modbus:COM3?type=f32", "register=NUMBER"),
        ("ble:Gauge?characteristic=2A6D", "form= together"),
        ("ble:Gauge?form=text", "characteristic= and form="),
    ],
)
def test_what_is_missing_is_told(address: str, missing: str) -> None:
    with pytest.raises(SensorError, match=missing) as caught:
        open_sensor(address)
    assert caught.value.is_final


def test_a_library_is_loaded_only_with_the_kind_that_needs_it() -> None:
    program = (
        "import sys; from sensors.catalogue import open_sensor; open_sensor('serial:COM3');"
        "assert not {'bleak', 'pymodbus', 'dbus_fast'} & set(sys.modules)"
    )
    subprocess.run([sys.executable, "-c", program], check=True)


def test_ports_come_with_the_address_to_use() -> None:
    for port in find_ports():
        assert port.address == f"serial:{port.device}"
        assert isinstance(open_sensor(port.address), KeepAlive)
