import subprocess
import sys
from pathlib import Path

import pytest

from app.cli import main
from app.commands.verify import DONE
from tests.app.report.conftest import MakeJob, played
from tests.app.report.printed import text_of


def test_the_page_lies_beside_the_job(
    make_job: MakeJob, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    job = make_job(played("wet", 120.0))
    assert main(["report", str(job)]) == 0
    said = capsys.readouterr().out
    page = tmp_path / "job.pdf"
    assert str(page) in said
    digest = said.rsplit(" ", 1)[1].strip().rstrip(")")
    assert digest in text_of(page)
    # The page's own advice: this must call the file whole and find the hash.
    assert main(["verify", str(job), "--hash", digest]) == DONE


def test_what_is_wrong_is_one_sentence(
    leak_job: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    target = tmp_path / "there.pdf"
    target.write_text("mine")
    for arguments in (
        [str(tmp_path / "none")],
        [str(target)],
        [str(leak_job), "--out", str(target)],
    ):
        assert main(["report", *arguments]) == 2
        told = capsys.readouterr().err
        assert told.startswith("simmerdown report: ")
        assert told.count("\n") == 1
    assert target.read_text() == "mine"


def test_a_wrong_unit_is_refused(leak_job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as left:
        main(["report", str(leak_job), "--unit", "furlong"])
    assert left.value.code == 2
    assert "furlong" in capsys.readouterr().err


def test_no_other_command_imports_qt_for_it() -> None:
    program = (
        "import sys; from app.cli import build_parser; build_parser();"
        "sys.exit(any(name.startswith('PySide6') for name in sys.modules))"
    )
    subprocess.run([sys.executable, "-c", program], check=True, timeout=60)


def test_it_needs_no_screen(
    make_job: MakeJob, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    job = make_job(played("wet", 120.0))
    for name in ("QT_QPA_PLATFORM", "DISPLAY", "WAYLAND_DISPLAY"):
        monkeypatch.delenv(name, raising=False)
    target = tmp_path / "page.pdf"
    arguments = [sys.executable, "-m", "app.cli", "report", str(job), "--out", str(target)]
    subprocess.run(arguments, check=True, timeout=100, capture_output=True)
    assert target.stat().st_size > 20_000
