"""Commands as somebody in a hurry types them: one clear sentence, exit 2, no traceback."""

import sqlite3
from pathlib import Path

import pytest

from app.cli import main
from app.live.run import Run


@pytest.fixture
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    Path("folder").mkdir()
    Path("ok.csv").write_text("time_s,pressure_pa\n" + "".join(f"{n},20\n" for n in range(200)))
    Path("x.pdf").write_bytes(b"%PDF-1.4\n%\xe2\xe3\xcf\xd3\n")
    with sqlite3.connect("other.db") as other:
        other.execute("CREATE TABLE a (b)")
    other.close()
    assert main(["watch", "replay:ok.csv?speed=0", "--job", "good.simmerdown"]) == 0
    return tmp_path


LONG = "a" * 300
CASES = {
    "analyse folder": "directory",
    "analyse missing.csv": "No such file",
    f"analyse {LONG}": "File name too long",
    "analyse x.pdf": "no text",
    "analyse other.db": "no Simmerdown job",
    "analyse ok.csv --volume-l 0": "from 0.01 to 1000",
    "analyse ok.csv --flat-min 0": "from 0.5 to 120",
    "analyse ok.csv --record folder": "exported record",
    "hold folder": "directory",
    "hold ok.csv --volume-l abc": "'abc'",
    "hold ok.csv --volume-l -1": "from 0.01 to 1000",
    "hold ok.csv --closed-s 199": "fewer than two readings",
    "report ": "no file",
    "report x.pdf": "no Simmerdown job",
    "report ok.csv": "no Simmerdown job",
    "report good.simmerdown --out folder": "no file",
    f"report good.simmerdown --out {LONG}": "too long",
    "report good.simmerdown --out missing/x.pdf": "cannot be written",
    "export ": "no file",
    "export ok.csv": "no Simmerdown job",
    "export good.simmerdown --out ok.csv": "no folder",
    "export good.simmerdown --out missing": "no folder",
    "verify x.pdf": "no Simmerdown job",
    "watch ": "Wrong sensor address ''",
    "watch /dev/ttyUSB0": "serial:",
    "watch sim:nope": "scenario",
    "watch replay:missing.csv": "no such file",
    "watch replay:other.db": "no Simmerdown job",
    "watch replay:folder": "directory",
    "watch tcp:127.0.0.1:1": "refuses the connection",
    "watch scpi:127.0.0.1:1": "Cannot open 127.0.0.1:1: Connection refused",
    "watch serial:/dev/null": "no serial port",
    "watch serial:/dev/nowhere": "no port",
    "watch sim:wet --job folder": "no file",
    "watch sim:wet --job ok.csv": "no Simmerdown job",
    "watch sim:wet --job ok.csv/a.simmerdown": "no folder",
    f"watch sim:wet --job {LONG}": "File name too long",
    "watch sim:wet --for abc": "'abc'",
}


@pytest.mark.usefixtures("place")
def test_a_replay_that_fails_once_opened_says_so_once(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["watch", "replay:folder", "--job", "new.simmerdown"]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert told.err.count("\n") == 1


@pytest.mark.usefixtures("place")
def test_where_it_records_is_told_once_something_is_read(
    capsys: pytest.CaptureFixture[str],
) -> None:
    address = "replay:ok.csv?speed=0"
    nowhere = ["--also", "tcp:127.0.0.1:1", "--for", "2"]
    assert main(["watch", address, "--job", "far.simmerdown", *nowhere]) == 0
    assert capsys.readouterr().err.count("far.simmerdown\n") == 1
    pump_alone = ["tcp:127.0.0.1:1", "--also", address, "--for", "1", "--job", "pump.simmerdown"]
    assert main(["watch", *pump_alone]) == 2
    assert capsys.readouterr().err.count("pump.simmerdown\n") == 1
    assert Path("pump.simmerdown").exists()


@pytest.mark.usefixtures("place")
def test_a_stop_before_the_gauge_is_reached_is_no_fault(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def stopped(run: Run, *_: object, **__: object) -> str:
        run.close()
        return ""

    monkeypatch.setattr("app.commands.watch.follow", stopped)
    monkeypatch.setattr("app.live.run.Run.start", lambda *_: None)
    assert main(["watch", "tcp:127.0.0.1:1", "--job", "new.simmerdown"]) == 2
    assert capsys.readouterr().err == ("simmerdown watch: tcp:127.0.0.1:1 was not reached.\n")


@pytest.mark.usefixtures("place")
@pytest.mark.parametrize("typed", CASES, ids=lambda typed: typed[:50])
def test_one_clear_sentence_and_exit_two(typed: str, capsys: pytest.CaptureFixture[str]) -> None:
    arguments = typed.split(" ")
    if arguments[0] == "watch" and "--for" not in arguments:
        arguments += ["--for", "1"]
    if arguments[0] == "watch" and "--job" not in arguments:
        arguments += ["--job", "new.simmerdown"]
    capsys.readouterr()
    try:
        code = main(arguments)
    except SystemExit as end:
        code = end.code if isinstance(end.code, int) else -1
    told = capsys.readouterr()
    assert code == 2
    assert told.out.count("\n") <= 1  # that a gauge was lost, and comes again, is told at once
    said = told.err or told.out
    assert CASES[typed] in said
    assert "Traceback" not in said
    assert "fault" not in said
    assert "broke" not in said
    assert len(said.splitlines()) == 1
    assert not Path("new.simmerdown").exists()
