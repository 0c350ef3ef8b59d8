"""The phrases of the record's technical page."""

from app.words.phrases import Translate


def technical_headings(translate: Translate) -> dict[str, str]:
    """Give the headings."""
    return {
        "title": translate("Technical", "Technical page"),
        "done": translate("Technical", "The job"),
        "told": translate("Technical", "What the analysis was told"),
        "hold": translate("Technical", "The standing test in numbers"),
        "loss": translate("Technical", "The leak as refrigerant lost in service, grams a year"),
        "isolations": translate("Technical", "Isolations"),
        "pulls": translate("Technical", "Pulls"),
        "blank-off": translate("Technical", "Blank-off test of pump, hoses and gauge"),
        "pressure-test": translate("Technical", "Pressure test with dry nitrogen"),
        "pumping": translate("Technical", "Pump, hose and water"),
        "at-pump": translate("Technical", "Second gauge, at the pump"),
        "words": translate("Technical", "Words"),
    }


def glossary(translate: Translate) -> tuple[str, ...]:
    """Say what the page's words mean, for a reader who was not there."""
    return (
        translate(
            "Technical",
            "Burst: water boils off; the pressure jumps up and falls back as the pump takes the "
            "vapour away. Lull: the time from one burst to the next.",
        ),
        translate(
            "Technical",
            "Flat: bursts have become rarer than one in the time given above. It means ready for "
            "the standing test, and proves nothing by itself.",
        ),
        translate(
            "Technical",
            "Isolation: the circuit cut off from the running pump for some minutes. Standing test: "
            "cut off for longer, pump off; time zero is the closing of the valve.",
        ),
        translate(
            "Technical",
            "Findings: held; leak (a straight rise); vapour (a rise that levels off: water, or "
            "refrigerant or solvent leaving oil; a gauge cannot name the gas); leak and vapour; "
            "unclear.",
        ),
        translate(
            "Technical",
            "Pull: one evacuation from atmosphere or nitrogen down. Blank-off test: pump, hoses "
            "and gauge alone, cut off from pump and circuit.",
        ),
    )


def technical_phrases(translate: Translate) -> dict[str, str]:
    """Give the patterns of the lines."""
    return {
        "lead": translate(
            "Technical",
            "What page 1 rests on. Ranges are meant to hold the truth 80 times in 100. Made from "
            "the job file alone, with the settings that it keeps.",
        ),
        "flat": translate("Technical", "Flat: fewer than one burst in {interval}, under {limit}."),
        "circuit": translate(
            "Technical", "Circuit at {temperature} where the gauge tells none; volume {volume}."
        ),
        "gauge": translate("Technical", "The gauge overstates water vapour {factor} times."),
        "as-it-reads": translate(
            "Technical",
            "The gauge is taken as it reads; a thermal one calibrated for air overstates water "
            "vapour about 1.5 times.",
        ),
        "done": translate("Technical", "Done: {parts}."),
        "not-done": translate("Technical", "Not ticked off: {parts}."),
        "least": translate(
            "Technical", "This circuit ({kind}) is held for at least {least} ({source})."
        ),
        "past": translate("Technical", "The circuit's past, as told: {past}."),
        "air": translate("Technical", "in air of {humidity} % humidity"),
        "oil": translate("Technical", "{amount} of {kind} oil"),
        "new-oil": translate("Technical", "oil renewed"),
        "new-drier": translate("Technical", "drier renewed"),
        "not-kept": translate(
            "Technical", "This job keeps no settings: the usual ones stand in for them."
        ),
        "no-hold": translate("Technical", "No standing test was recorded."),
        "held-for": translate("Technical", "Closed for {duration}, {moved}."),
        "leak": translate("Technical", "Leak: {best}, {low} to {high}."),
        "throughput": translate(
            "Technical", "Into {volume}: {best}, {low} to {high} ({si} Pa m³/s; 40 CFR 1065.644)."
        ),
        "seen": translate("Technical", "Smallest leak that would have shown: {rate}."),
        "seen-throughput": translate(
            "Technical", "Smallest leak that would have shown: {rate}, {flow} into {volume}."
        ),
        "vapour": translate("Technical", "Vapour: {best}, {low} to {high}."),
        "no-loss": translate(
            "Technical",
            "Not told: volume and refrigerant (one of {known}) have to stand in the job.",
        ),
        "found": translate("Technical", "this leak"),
        "smallest": translate("Technical", "the smallest that would have shown"),
        "molecular": translate("Technical", "very fine (molecular)"),
        "choked": translate("Technical", "short hole (choked)"),
        "laminar": translate("Technical", "long and fine (laminar)"),
        "flow-law": translate("Technical", "if the leak is ..."),
        "range": translate("Technical", "{best} ({low} to {high})"),
        "at": translate("Technical", "at"),
        "closed": translate("Technical", "closed for"),
        "rise": translate("Technical", "rise"),
        "rate": translate("Technical", "rate of rise"),
        "beside": translate("Technical", "beside the one before"),
        "pull": translate("Technical", "pull"),
        "from": translate("Technical", "from"),
        "lowest": translate("Technical", "lowest"),
        "bursts": translate("Technical", "bursts"),
        "often": translate("Technical", "at last, an hour"),
        "dial": translate(
            "Technical",
            "{start} bar at {start_c} became {end} bar at {end_c} in {duration} (absolute); by the "
            "temperature alone {expected} bar.",
        ),
        "half-way": translate("Technical", "Half way it read {middle} bar."),
        "typed": translate(
            "Technical", "Pump {pump} L/min, hose {bore} mm inside, {length} m, cores {cores}."
        ),
        "at-pump": translate(
            "Technical",
            "{readings} from {at} to {until}; lowest {lowest}. It decides nothing.",
        ),
        "at-pump-ordinary": translate(
            "Technical", "Beside the far gauge it showed nothing out of the ordinary."
        ),
        "at-pump-said": translate("Technical", "From {at}, {duration} in all: {said}"),
        "no-pumping": translate(
            "Technical",
            "What the pump took and how much water came is not told: the circuit's volume has to "
            "stand in the job.",
        ),
        "in": translate("Technical", "in"),
        "out": translate("Technical", "out"),
        "page": translate("Technical", "Page {page} of {pages}. Job {job}, last hash {hash}."),
    }
