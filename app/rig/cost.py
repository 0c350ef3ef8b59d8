"""What hose and cores cost, in words, from what the job says of the rig."""

from analysis.pump.flow import Hose
from analysis.pump.rig import TYPICAL_PA, WIDE_HOSE, Rig, RigChoice, rig_choices
from app.job.fields import JobFields
from app.words import display
from app.words.phrases import Translate
from app.words.shares import fraction

MM_M = 1e-3


def rig_of(fields: JobFields) -> Rig | None:
    """Give the rig, once pump, hose and cores are all told."""
    if fields.pump_speed_m3_s is None or not fields.cores:
        return None
    if fields.hose_bore_m is None or fields.hose_length_m is None:
        return None
    hose = Hose(fields.hose_bore_m, fields.hose_length_m)
    return Rig(fields.pump_speed_m3_s, hose, fields.cores == "in")


def rig_cost_lines(fields: JobFields, unit: str, translate: Translate) -> tuple[str, ...]:
    """Say what reaches the circuit of the pump's speed, and what the usual changes would gain.

    Nothing before the whole rig is told. The last line is what it rests on.
    """
    rig = rig_of(fields)
    if rig is None:
        return ()
    patterns = {
        "as-it-is": translate(
            "Rig",
            "At {pressure}, {fraction} of the pump's speed reaches the circuit ({share}): clearing "
            "the same gas takes {times} times as long as with the pump right at it.",
        ),
        "cores-out": translate(
            "Rig", "With the cores out, through a coupler with a valve: {share}, {times} times."
        ),
        "wide-hose": translate(
            "Rig", "With a hose of {bore} mm and {length} m too: {share}, {times} times."
        ),
    }
    if not rig.has_core:
        patterns["wide-hose"] = translate(
            "Rig", "With a hose of {bore} mm and {length} m: {share}, {times} times."
        )
    lines = [
        patterns[choice.name].format(**_numbers(choice, unit, translate))
        for choice in rig_choices(rig)
    ]
    basis = translate(
        "Rig",
        "Air at 20 °C, a smooth straight hose; a core's opening of 2 mm² is rough practice. "
        "Couplers throttle more.",
    )
    return (*lines, basis)


def _numbers(choice: RigChoice, unit: str, translate: Translate) -> dict[str, str]:
    return {
        "pressure": display.pressure(TYPICAL_PA, unit),
        "fraction": fraction(choice.share_left, translate),
        "share": display.share(choice.share_left),
        "times": display.rough(choice.times_as_long),
        "bore": display.number(WIDE_HOSE.bore_m / MM_M),
        "length": display.number(WIDE_HOSE.length_m),
    }
