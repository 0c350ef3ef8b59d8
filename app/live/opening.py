"""Opening what a run stands on: the sensor by its address, the job new or gone on with."""

import os
from collections.abc import Callable
from functools import partial
from pathlib import Path

from analysis.evacuation import Evacuation
from analysis.sample import Mark, Sample
from analysis.snapshot import Snapshot
from app.gauge.profiles import Profile, load_profile
from app.job.recording import Recording, is_job, load, load_job
from app.job.rules import JobRules, kept_rules
from app.jobfile.errors import JobFileError
from app.jobfile.new import new_job
from app.live.run import Run
from app.system.errors import UsageError
from app.system.paths import jobs_folder
from sensors.address import parse_address
from sensors.catalogue import open_sensor
from sensors.correction import Applied
from sensors.events import Sensor, SensorError
from sensors.replay import Replay
from sensors.series import Series

PROFILE = "profile:"
ONE_READER = ("serial", "scpi", "modbus", "ble")
"""Kinds of gauge whose port, or radio link, only one can read."""


def sensor_at(address: str) -> Sensor:
    """Open a sensor by its address or, ``profile:NAME``, by the user's name for it.

    A replay's job file is read here, since sensors know nothing of jobs.

    Raises
    ------
    UsageError
        If the address is wrong or the profile cannot be used.
    """
    address = address.strip()
    if address.startswith(PROFILE):
        return sensor_of(load_profile(address.removeprefix(PROFILE)))
    try:
        sensor = open_sensor(address)
    except SensorError as error:
        raise UsageError(str(error)) from error
    if isinstance(sensor, Replay):
        path = Path(parse_address(address).target)
        if is_job(path):
            return Replay(partial(_recorded, path), speed=sensor.speed, name=address)
        if not os.path.exists(path):
            raise UsageError(f"Cannot read {path}: there is no such file.")
        if path.is_fifo():  # nobody may ever write: the run could not be ended
            raise UsageError(f"Cannot replay {path}: it is a pipe; copy it into a file first.")
    return sensor


def _recorded(path: Path) -> Series:
    """Load a job to be replayed; what is wrong with it ends the replay in one sentence."""
    try:
        return load(path).series
    except UsageError as error:
        raise ValueError(str(error)) from error


def plain_address(address: str) -> str:
    """Give the address of a gauge, also of one that is kept under a name.

    Raises
    ------
    UsageError
        If it is wrong, or the profile cannot be used.
    """
    address = address.strip()
    if address.startswith(PROFILE):
        return load_profile(address.removeprefix(PROFILE)).address
    try:
        parse_address(address)
    except SensorError as error:
        raise UsageError(str(error)) from error
    return address


def second_sensor_at(address: str, far: str) -> Sensor:
    """Open the gauge at the pump, beside the far one.

    Raises
    ------
    UsageError
        If the address is wrong, or both would be the same gauge, or read at one port: each would
        take bytes from the other.
    """
    check_second(address, far)
    return sensor_at(address)


def check_second(address: str, far: str) -> None:
    """Refuse a second gauge that cannot be read beside the far one, as above."""
    second, first = (parse_address(plain_address(each)) for each in (address, far))
    is_one_port = second.kind in ONE_READER and second.target == first.target
    if second == first or is_one_port:
        raise UsageError(
            f"The second gauge, at the pump, needs a place of its own: {second.target} is read "
            "for the far one already."
        )


def sensor_of(profile: Profile) -> Sensor:
    """Open a profile's gauge.

    Raises
    ------
    UsageError
        If this version cannot read it.
    """
    try:
        sensor = open_sensor(profile.address, curves=profile.curves)
    except SensorError as error:
        raise UsageError(str(error)) from error
    return Applied(sensor, None, f"kept as '{profile.name}'")  # the record tells which it was


def run_on(
    path: Path | None,
    told: JobRules,
    title: str = "",
    progress: Callable[[float], None] = lambda _share: None,
    seen: Callable[[Sample | Mark, Snapshot], None] = lambda _item, _snapshot: None,
) -> Run:
    """Give a run that records into a job: a new one, or an old one with its state rebuilt.

    Parameters
    ----------
    path
        The job; made when it is not there. ``None``: a new one in the jobs folder.
    told
        What the analysis is told, kept in the job where that is not what it keeps already.
    progress
        Told the share (0 to 1) of an old job's readings that went through the analysis.
    seen
        Told each of them and what was known after it, so that an old job can be drawn again.

    Raises
    ------
    UsageError
        If the job can't be made or opened.
    """
    evacuation, kept = Evacuation(rules=told.rules, history=told.history), None
    is_new = path is None or not os.path.exists(path)  # nor where it cannot be looked up
    try:
        if path is None:
            path = new_job(jobs_folder(), title=title)
        elif is_new:
            path = new_job(path.parent, name=path.name, title=title)
        else:
            recording = load_job(path)
            rebuild(recording, evacuation, progress, seen)
            kept = kept_rules(recording.fields)
        run = Run(path, evacuation, is_new=is_new, told=told)
    except JobFileError as error:
        raise UsageError(str(error)) from error
    if told != kept:
        run.recorder.put(told.note())
    return run


def rebuild(
    recording: Recording,
    evacuation: Evacuation,
    progress: Callable[[float], None],
    seen: Callable[[Sample | Mark, Snapshot], None],
) -> None:
    """Send a recording through the analysis again, telling how far it is and what is seen."""
    total = max(len(recording.series.time_s), 1)
    for count, item in enumerate(recording.items()):
        seen(item, evacuation.update(item))
        if count % 10_000 == 0:
            progress(min(count / total, 1.0))
    progress(1.0)
