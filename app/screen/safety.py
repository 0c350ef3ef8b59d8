"""The cautions of the work itself, by refrigerant and kind of vehicle.

The program advises; local codes, the vehicle maker's procedure and licensed practice decide.
"""

from app.job.refrigerants import fluid_of, may_burn
from app.screen.shown import Passage
from app.words.phrases import Translate


def safety(translate: Translate, refrigerant: str, vehicle_kind: str) -> tuple[Passage, ...]:
    """Give what to mind before starting; what is not said counts as possible."""
    passages = [_always(translate)]
    if vehicle_kind != "combustion":
        passages.insert(0, _high_voltage(translate))
    fluid = fluid_of(refrigerant)
    if may_burn(refrigerant):
        passages.insert(0, _flammable(translate, is_sure=not refrigerant or fluid is not None))
    if fluid is not None and fluid.name == "R-744":
        passages.insert(0, _carbon_dioxide(translate))
    return (*passages, _limits(translate))


def caution_of(translate: Translate, mark: str, refrigerant: str) -> str:
    """Give the caution that belongs to what is being done, or nothing."""
    if mark == "nitrogen-in":
        return translate(
            "Safety",
            "Dry nitrogen through a regulator only, never above the lowest-rated component. "
            "Isolate the gauge before pressure.",
        )
    if mark == "heat" and may_burn(refrigerant):
        return translate(
            "Safety", "Warm without flame or heat gun: R-1234yf burns and makes hydrogen fluoride."
        )
    return ""


def _always(translate: Translate) -> Passage:
    return Passage(
        translate("Safety", "Always"),
        (
            translate("Safety", "Gloves and eye protection: liquid refrigerant freezes the skin."),
            translate(
                "Safety", "Recover the refrigerant, never vent it; certified people, local law."
            ),
            translate("Safety", "Ventilate: every refrigerant displaces air, in pits first."),
            translate(
                "Safety",
                "Pressure test with dry nitrogen through a regulator only, never above the lowest-"
                "rated component. Never oxygen or compressed air.",
            ),
            translate("Safety", "Isolate the gauge before pressure or charge."),
            translate(
                "Safety",
                "A stopped pump with an open valve sucks air and pump oil back: valve first.",
            ),
        ),
    )


def _high_voltage(translate: Translate) -> Passage:
    return Passage(
        translate("Safety", "Hybrid or electric: high voltage"),
        (
            translate(
                "Safety",
                "Qualified staff only. Unplug from charging and disable preconditioning: the "
                "compressor can start by itself. Isolate as the maker says.",
            ),
            translate(
                "Safety",
                "Only the maker's insulating oil: no PAG residue in hoses, no pump oil drawn back.",
            ),
            translate("Safety", "Never run or megohm-test an electric compressor under vacuum."),
        ),
    )


def _flammable(translate: Translate, *, is_sure: bool) -> Passage:
    heading = translate("Safety", "R-1234yf: flammable")
    if not is_sure:  # another one, of which nothing is known here
        heading = translate("Safety", "R-1234yf and others: flammable")
    return Passage(
        heading,
        (
            translate(
                "Safety",
                "It makes hydrogen fluoride on flames and hot surfaces: no flame and no heat gun, "
                "not for warming either.",
            ),
            translate("Safety", "Ignition-safe pump, its exhaust led outdoors."),
        ),
    )


def _carbon_dioxide(translate: Translate) -> Passage:
    return Passage(
        translate("Safety", "R-744: high pressure"),
        (
            translate("Safety", "Gauge, hoses and couplers must be rated for its pressure."),
            translate("Safety", "It suffocates unnoticed: ventilate, and never alone in a pit."),
        ),
    )


def _limits(translate: Translate) -> Passage:
    return Passage(
        translate("Safety", "What vacuum cannot do"),
        (
            translate(
                "Safety",
                "It does not restore a spent desiccant and does not reliably dry soaked oil: renew "
                "drier and oil when lines stood open for weeks. It does not find small leaks.",
            ),
            translate(
                "Safety",
                "Simmerdown advises. Local codes, the vehicle maker's procedure and licensed "
                "practice decide.",
            ),
        ),
    )
