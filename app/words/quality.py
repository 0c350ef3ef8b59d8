"""The quality of the readings in words, for the terminal and the window."""

from app.words import display
from app.words.counted import counted
from app.words.phrases import Translate, english
from sensors.quality import QualityReport

# Under this share of bad frames a line now and then is worth no word (common practice, no source).
_WORTH_TELLING = 0.01


def quality_text(report: QualityReport, unit: str, translate: Translate = english) -> str:
    """Write what is known of the readings in one short line.

    Examples
    --------
    >>> quality_text(QualityReport(900, 0, 10.0, 0.1333224, 0.08, 0.0, False), "micron")
    '10 readings/s, step 1 micron, noise 0.6 micron'
    """
    parts = []
    if report.rate_hz is not None:
        parts.append(counted(report.rate_hz, "readings a second", translate))
    if report.step_pa is not None:
        step = display.pressure(report.step_pa, unit)
        parts.append(translate("Quality", "step {step}").format(step=step))
    if report.noise_pa is not None:
        noise = display.pressure(report.noise_pa, unit)
        parts.append(translate("Quality", "noise {noise}").format(noise=noise))
    if report.rejected_share >= _WORTH_TELLING:
        share = f"{100 * report.rejected_share:.0f} %"
        parts.append(translate("Quality", "{share} bad frames").format(share=share))
    return ", ".join(parts)


def stuck_text(report: QualityReport, translate: Translate = english) -> str:
    """Say that the value stands still when it should not, or nothing.

    Examples
    --------
    >>> stuck_text(QualityReport(900, 0, 10.0, 0.1, 0.1, 45.0, True))
    'The reading has not moved for 45 s, far longer than before: is the gauge stuck?'
    """
    if not report.is_stuck:
        return ""
    return translate(
        "Quality",
        "The reading has not moved for {time}, far longer than before: is the gauge stuck?",
    ).format(time=display.duration(report.unchanged_s))
