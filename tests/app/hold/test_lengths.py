"""How long a hold lasts at least: the user's figures, in the command's words."""

from pathlib import Path

import pytest

from app.cli import main
from app.settings.job_rules import least_holds
from app.settings.values import Settings
from tests.app.commands.test_commands import saved


def test_the_lengths_are_settings_with_their_source() -> None:
    assert least_holds(Settings())["normal"].length_s == 1200.0
    assert "practice" in least_holds(Settings())["normal"].source
    own = Settings(hold_long_min=45.0, hold_length_source="maker's manual, page 9")
    assert (least_holds(own)["long"].length_s, least_holds(own)["long"].source) == (
        2700.0,
        "maker's manual, page 9",
    )


@pytest.mark.parametrize(
    ("circuit", "words"),
    [("clean", "may end: the 10 min that it takes"), ("disputed", "46 min longer")],
)
def test_hold_says_whether_it_may_end(
    circuit: str, words: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = saved(tmp_path / "hold.csv", "hold-held", 900.0)
    assert main(["hold", str(path), "--circuit", circuit]) == 0
    out = capsys.readouterr().out
    assert words in out
    assert "practice" in out
