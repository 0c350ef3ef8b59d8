"""A leak's rate of rise as refrigerant lost in a year: a span over the flow laws it may follow."""

from collections.abc import Mapping

from analysis.hold.leak import LAWS, FlowLaw, Refrigerant, losses_g_per_yr
from analysis.reason import Interval
from analysis.snapshot import HoldResult
from app.words import display
from app.words.phrases import Translate
from app.words.sentences import Words


def loss_lines(
    result: HoldResult, volume_m3: float | None, fluid: Refrigerant | None, words: Words
) -> list[str]:
    """Say what the leak found, or the smallest one that would have shown, may lose in service.

    Nothing without volume or refrigerant. The last line is the assumption.
    """
    if volume_m3 is None or fluid is None:
        return []
    translate, lines = words.translate, []
    leak, smallest = result.leak_pa_s, smallest_seen(result)
    if leak is not None and result.finding in ("leak", "both"):
        text = translate("Leak", "As {refrigerant} in service this leak may lose {losses}.")
        lines.append(_filled(text, leak, volume_m3, fluid, translate))
    elif smallest is not None:
        text = translate(
            "Leak", "The smallest leak that would have shown may lose {losses} of {refrigerant}."
        )
        lines.append(_filled(text, smallest, volume_m3, fluid, translate))
    if lines:
        lines.append(assumption(translate))
    return lines


def smallest_seen(result: HoldResult) -> Interval | None:
    """Give the smallest leak that would have shown, Pa/s."""
    seen = result.smallest_leak_seen_pa_s
    return None if seen is None else Interval(seen, seen, seen)


def losses_of(
    rate_pa_s: Interval, volume_m3: float, fluid: Refrigerant
) -> Mapping[FlowLaw, Interval]:
    """Give what a leak of this rate of rise may lose in service, g/yr, under each flow law."""
    rates = rate_pa_s.low, rate_pa_s.best, rate_pa_s.high
    return losses_g_per_yr(Interval(*(volume_m3 * rate for rate in rates)), fluid)


def assumption(translate: Translate) -> str:
    """Say what the conversion rests on."""
    return translate(
        "Leak",
        "At 20 °C, air in at vacuum turned into refrigerant vapour out at its saturation "
        "pressure. Which flow law a leak follows is not known: the truth may lie anywhere "
        "between the least and the greatest. For orientation only.",
    )


def _filled(
    text: str, rate_pa_s: Interval, volume_m3: float, fluid: Refrigerant, translate: Translate
) -> str:
    losses = losses_of(rate_pa_s, volume_m3, fluid)
    names: dict[FlowLaw, str] = {
        "molecular": translate("Leak", "{grams} g a year if very fine (molecular flow)"),
        "choked": translate("Leak", "{grams} g if a short hole (choked)"),
        "laminar": translate("Leak", "{grams} g if long and fine (laminar)"),
    }
    parts = [names[law].format(grams=_grams(losses[law])) for law in LAWS]
    return text.format(refrigerant=fluid.name, losses=", ".join(parts))


def _grams(loss: Interval) -> str:
    low, best, high = (display.rough(value) for value in (loss.low, loss.best, loss.high))
    return best if low == high else f"{best} ({low} – {high})"
