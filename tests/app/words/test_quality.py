import io

from app.output.terminal import Terminal
from app.words.quality import quality_text, stuck_text
from app.words.sentences import Words
from sensors.quality import QualityReport


def report(*, is_stuck: bool = False, rejected: int = 0) -> QualityReport:
    return QualityReport(100, rejected, 5.0, 13.33224, 20.0, 700.0, is_stuck)


def test_in_the_users_unit() -> None:
    assert quality_text(report(), "mbar") == "5 readings/s, step 0.133 mbar, noise 0.2 mbar"
    assert quality_text(report(rejected=25), "micron").endswith("20 % bad frames")
    nothing = QualityReport(0, 0, None, None, None, 0.0, False)
    assert quality_text(nothing, "micron") == ""
    assert stuck_text(nothing) == ""


def test_the_terminal_tells_a_stuck_gauge_once() -> None:
    out = io.StringIO()
    terminal = Terminal(Words(), out)
    for is_stuck in (False, True, True, False, True):
        terminal.quality(60.0, report(is_stuck=is_stuck))
    assert out.getvalue().count("has not moved for 12 min") == 2
