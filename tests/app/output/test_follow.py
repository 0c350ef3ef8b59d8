"""Following a run in the terminal: however it is ended, its record is whole."""

from pathlib import Path

import pytest

from app.job.rules import JobRules
from app.jobfile.writer import JobWriter
from app.live.opening import run_on
from app.output.follow import follow
from app.output.terminal import Terminal
from app.words.sentences import Words
from sensors.events import Reading
from tests.app.recorded import times


def test_ctrl_c_while_the_gauge_is_let_go_of_loses_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def impatient() -> bool:
        raise KeyboardInterrupt

    path = tmp_path / "van.simmerdown"
    run = run_on(path, JobRules())
    run.recorder.put(Reading(0.5, 60.0))
    monkeypatch.setattr(run.link, "close", impatient)
    with pytest.raises(KeyboardInterrupt):
        follow(run, Terminal(Words()), lambda _step: True, for_s=0.0)
    assert times(path) == [0.5]
    JobWriter(path).close()  # nobody holds it
