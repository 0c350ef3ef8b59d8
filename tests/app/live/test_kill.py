"""A recording program is killed at any moment: what was saved is there, and recording goes on."""

import random
import shutil
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from app.jobfile.errors import JobDamagedError
from app.jobfile.new import new_job
from app.jobfile.reader import JobReader
from app.jobfile.verify import verify_job
from app.live.recorder import Recorder

KEPT = Path(__file__).parents[1] / "jobfile" / "kept" / "v1-last.simmerdown"

# Each reading's pressure is its number, so that a lost, doubled or swapped one shows. A line is
# printed only after the recorder said that all up to there is saved.
_PROGRAM = """
import sys
from pathlib import Path
from app.live.recorder import Recorder
from sensors.events import Reading

number = int(sys.argv[2])
recorder = Recorder(Path(sys.argv[1]), commit_every_s=0.002)
while True:
    for _ in range(25):
        recorder.put(Reading(recorder.clock.now_s(), float(number)))
        number += 1
    assert recorder.flush(60), recorder.state
    print(number, flush=True)
"""


def record_and_kill(job: Path, first: int, chance: random.Random) -> int:
    """Record from this number on; return how many readings were saved before the kill."""
    program = subprocess.Popen(
        [sys.executable, "-c", _PROGRAM, str(job), str(first)],
        cwd=Path(__file__).parents[3],
        stdout=subprocess.PIPE,
        text=True,
    )
    assert program.stdout is not None
    try:
        saved = [int(program.stdout.readline()) for _ in range(chance.randint(1, 6))]
        with pytest.raises(subprocess.TimeoutExpired):
            program.wait(timeout=chance.uniform(0.0, 0.03))
    finally:
        program.kill()
        rest, _ = program.communicate()
    # A line cut in half by the kill says less than was saved, never more.
    return max([*saved, *(int(line) for line in rest.split("\n")[:-1])])


def numbers(path: Path, *, is_salvage: bool = False) -> list[int]:
    with JobReader(path, is_salvage=is_salvage) as reader:
        return [int(number) for number in reader.readings().pressure_pa]


def kill_again_and_again(tmp_path: Path, kills: int) -> int:
    """Kill a recording job over and over; return how often the main file alone was torn."""
    chance = random.Random(kills)
    job = new_job(tmp_path / "jobs", title="Invented van")
    torn, first, resumptions = 0, 0, 0
    for _ in range(kills):
        saved = record_and_kill(job, first, chance)
        alone = Path(shutil.copy(job, tmp_path / "alone.simmerdown"))
        try:
            found = numbers(alone)
            assert verify_job(alone).is_whole
        except JobDamagedError:
            torn += 1
            found = numbers(alone, is_salvage=True)
        assert found == list(range(len(found)))
        assert len(found) >= saved
        kept = numbers(job)  # with its journal, if the kill left one
        assert kept == list(range(len(kept)))
        assert len(kept) >= saved
        assert verify_job(job).is_whole
        first = len(kept)
        resumptions += 1
    with Recorder(job):
        pass
    assert verify_job(job).is_whole
    with JobReader(job) as reader:
        assert len(list(reader.notes("resumed"))) == resumptions
        assert (np.diff(reader.readings().time_s) >= 0).all()
    assert [path.name for path in job.parent.iterdir()] == [job.name]
    return torn


def test_a_killed_recording_keeps_all_that_was_saved_and_goes_on(tmp_path: Path) -> None:
    assert kill_again_and_again(tmp_path, 10) <= 2


@pytest.mark.slow
@pytest.mark.timeout(1200)
def test_two_hundred_kills(tmp_path: Path) -> None:
    assert kill_again_and_again(tmp_path, 200) <= 10  # 1 when measured


_TWO_GAUGES = """
import sys
from pathlib import Path
from app.gauge.link import AtPump
from app.live.recorder import Recorder
from sensors.events import Reading

number = 0
recorder = Recorder(Path(sys.argv[1]), commit_every_s=0.001)
print(number, flush=True)
while True:
    time_s = recorder.clock.now_s()
    recorder.put(Reading(time_s, float(number)))
    recorder.put(AtPump(Reading(time_s, float(number))))
    number += 1
    if number % 25 == 0:
        assert recorder.flush(60), recorder.state
"""


def kill_while_it_is_raised(tmp_path: Path, kills: int) -> set[int]:
    """Kill programs that bring a second gauge to jobs of version 1; give the versions found."""
    chance = random.Random(kills)
    versions = set()
    for number in range(kills):
        job = Path(shutil.copy(KEPT, tmp_path / f"{number}.simmerdown"))
        before = verify_job(job)
        program = subprocess.Popen(
            [sys.executable, "-c", _TWO_GAUGES, str(job)],
            cwd=Path(__file__).parents[3],
            stdout=subprocess.PIPE,
            text=True,
        )
        try:
            assert program.stdout is not None
            program.stdout.readline()
            with pytest.raises(subprocess.TimeoutExpired):
                program.wait(timeout=chance.uniform(0.0, 0.02))
        finally:
            program.kill()
            program.communicate()
        verdict = verify_job(job, before.last_hash)
        assert verdict.is_whole  # which a row that the header's version has not would forbid
        assert verdict.named_at == before.rows
        with JobReader(job) as reader:
            versions.add(reader.version)
            kinds = {row.kind for row in reader.rows()}
            assert ("pump-readings" in kinds) <= (reader.version == 2)
            assert ("format" in kinds) == (reader.version == 2)
        with Recorder(job):
            pass
        assert verify_job(job).is_whole
    return versions


def test_a_job_killed_while_its_version_is_raised_is_one_or_the_other(tmp_path: Path) -> None:
    kill_while_it_is_raised(tmp_path, 4)


@pytest.mark.slow
@pytest.mark.timeout(1200)
def test_a_hundred_kills_while_the_version_is_raised(tmp_path: Path) -> None:
    assert kill_while_it_is_raised(tmp_path, 100) == {1, 2}
