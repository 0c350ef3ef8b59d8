"""The phrases of the printed record that are not of the analysis."""

from app.words.phrases import Translate
from app.words.terms import curve_names, finding_names, joint_names, line_names, link_phrases


def banner_phrases(translate: Translate) -> dict[str, str]:
    """Give what stands over everything else, because it changes what the page is worth."""
    return {
        "demo": translate(
            "Report",
            "DEMO: readings of an invented circuit stand in it. This is no record of a vehicle.",
        ),
        "replay": translate(
            "Report", "REPLAY: readings come from a recording and were not measured in this job."
        ),
        "not-whole": translate(
            "Report",
            "NOT WHOLE: the job file does not fit its chain of hashes from row {row} on ({why}). "
            "Only what can be read is shown; it proves nothing.",
        ),
        "no-readings": translate("Report", "No reading of a gauge is in this record."),
    }


def heading_phrases(translate: Translate) -> dict[str, str]:
    """Give the headings."""
    return {
        "title": translate("Report", "Evacuation record"),
        "vehicle": translate("Report", "Vehicle and circuit"),
        "times": translate("Report", "Times"),
        "gauge": translate("Report", "Gauge"),
        "evacuation": translate("Report", "Evacuation"),
        "hold": translate("Report", "Standing test"),
        "limits": translate("Report", "Limits (apart from the finding)"),
        "joints": translate("Report", "Joints that were or may have been opened"),
        "events": translate("Report", "What happened (time since the first reading, local time)"),
        "cannot": translate("Report", "What this record can say"),
        "proof": translate("Report", "How to check this page against the job file"),
        "page": translate("Report", "Page {page} of {pages}."),
    }


def fact_phrases(translate: Translate) -> dict[str, str]:
    """Give the names of the facts, and what stands where a fact is missing."""
    return {
        "job": translate("Report", "Job"),
        "vehicle": translate("Report", "Vehicle"),
        "drive": translate("Report", "Drive"),
        "refrigerant": translate("Report", "Refrigerant"),
        "volume": translate("Report", "Volume"),
        "circuit": translate("Report", "Kind of circuit"),
        "oil": translate("Report", "Oil"),
        "charge": translate("Report", "Charge"),
        "parts": translate("Report", "Done"),
        "began": translate("Report", "Began"),
        "ended": translate("Report", "Ended"),
        "lasted": translate("Report", "Readings over"),
        "flat": translate("Report", "Flat reached"),
        "held": translate("Report", "Standing test"),
        "address": translate("Report", "Gauge"),
        "link": translate("Report", "Link"),
        "readings": translate("Report", "Readings"),
        "rejected": translate("Report", "Bad frames"),
        "outside": translate("Report", "Out of range"),
        "step": translate("Report", "Rounds to"),
        "noise": translate("Report", "Noise"),
        "temperature": translate("Report", "Temperature"),
        "bursts": translate("Report", "Bursts"),
        "visible": translate("Report", "Smallest visible"),
        "isolations": translate("Report", "Isolations"),
        "lowest": translate("Report", "Lowest"),
        "pulls": translate("Report", "Pulls"),
        "blank-off": translate("Report", "Blank-off test"),
        "pressure-test": translate("Report", "Pressure test"),
        "not-said": translate("Report", "not said"),
        "not-weighed": translate("Report", "________ g, by weight"),
        "not-known": translate("Report", "not known"),
        "not-reached": translate("Report", "not reached"),
        "none": translate("Report", "none"),
        "no-hold": translate("Report", "none recorded"),
    }


def value_phrases(translate: Translate) -> dict[str, str]:
    """Give the patterns of the facts' values."""
    return {
        "link": translate("Report", "connected {connected}×, lost {lost}×"),
        "rejected": translate("Report", "{count}, such as: {why}"),
        "noise": translate("Report", "{noise} (one reading, at last)"),
        "no-step": translate("Report", "no step seen"),
        "assumed": translate("Report", "not measured; {temperature} assumed"),
        "measured": translate("Report", "{low} to {high}, by the gauge"),
        "burst": translate("Report", "1, {first} high"),
        "bursts": translate("Report", "{count}, the first {first} high, the last {last}"),
        "visible": translate("Report", "a burst of {size}, at last"),
        "isolation": translate("Report", "{rate}"),
        "at": translate("Report", "{value} at {clock}"),
        "span": translate("Report", "{from_clock} to {until_clock}, {duration}"),
        "on": translate("Report", "{span}, on {day}"),
        "flat": translate("Report", "{clock} (fewer than one burst in {interval})"),
        "parts": translate("Report", "{done} of {of} parts (page 2)"),
        "litres": translate("Report", "{litres} L"),
        "grams": translate("Report", "{grams} g, by weight"),
        "page-2": translate("Report", "{text} (page 2)"),
        "blank-off-good": translate("Report", "within its limits: {start}, {end} after {duration}"),
        "blank-off-over": translate("Report", "OVER ITS LIMITS: {start}, {end} after {duration}"),
        "blank-off-short": translate(
            "Report", "too short to count: {start}, {end} after {duration}"
        ),
        "blank-off-unclear": translate("Report", "proves nothing: {start}, {end} after {duration}"),
        "no-fall-seen": translate("Report", "no fall seen over {duration} from {pressure} abs."),
        "fell": translate("Report", "FELL by {fall} over {duration} from {pressure} abs."),
        "rose": translate("Report", "rose by {fall}: it proves nothing"),
        "cooling": translate(
            "Report", "unclear: fell by {fall} while its gas was cooling; test anew"
        ),
    }


def joint_phrases(translate: Translate) -> dict[str, str]:
    """Give the states of a joint."""
    return {
        **joint_names(translate),
        "none": translate("Report", "No joint was listed."),
        "more": translate("Report", "and {count} more, from page 3 on"),
    }


def hold_phrases(translate: Translate) -> dict[str, str]:
    """Give what is said of the standing test beside the finding itself."""
    return {
        **{code: name.upper() for code, name in finding_names(translate).items()},
        "before-rush": translate("Report", "{finding}, UNTIL GAS RUSHED IN"),
        "none": translate("Report", "NO STANDING TEST"),
        "unended": translate("Report", "NO FINDING"),
        "nothing": translate(
            "Report",
            "None was recorded: this record says nothing about whether the circuit is tight.",
        ),
        "never-ended": translate(
            "Report",
            "The standing test begun at {clock} was never ended with a finding. As far as it went, "
            "by this program now: {finding}",
        ),
        "later": translate(
            "Report", "The valve was closed again at {clock}; nothing was found by that."
        ),
        "earlier": translate("Report", "Earlier standing tests: {list}."),
        "earlier-one": translate("Report", "{finding} at {clock}"),
        "by-now": translate(
            "Report", "Worked out anew from the same readings, by this program: {finding}."
        ),
        "yet-fell": translate(
            "Report", "Yet the last pressure test with nitrogen fell by {fall}: not explained here."
        ),
        "yet-leaks": translate("Report", "Yet listed as leaking: {names}."),
        "numbers": translate(
            "Report",
            "Closed for {duration}, {moved}. Usual at least: {least} ({kind} circuit).",
        ),
        "leak-range": translate("Report", "Leak {best} ({low} to {high}, 80 in 100)."),
        "leak-flow": translate("Report", "With {litres} L: {flow} Pa m³/s."),
        "vapour-range": translate("Report", "Vapour {best} ({low} to {high}, 80 in 100)."),
        "source": translate("Report", "Source: {source}"),
        "sources": translate("Report", "Source of each: {source}"),
        "at-most": translate("Report", "≤ {limit}"),
        "no-limits": translate("Report", "No limit was checked."),
        "more": translate("Report", "and {count} more, see the job file"),
    }


def event_phrases(translate: Translate) -> dict[str, str]:
    """Give the patterns of what happened."""
    return {
        "stage": translate("Report", "{stage}: {why}"),
        "mark": translate("Report", "Marked: {mark}"),
        "mark-text": translate("Report", "Marked: {mark}: {text}"),
        "caution": translate("Report", "Caution {kind}: {why} Ended after {duration}."),
        "caution-open": translate("Report", "Caution {kind}: {why} Never ended."),
        **link_phrases(translate),
        "gap": translate("Report", "Gap of {duration} in the readings: {why}"),
        "resumed": translate("Report", "Recording went on after {duration}"),
        "clock-back": translate(
            "Report", "Recording went on; the computer's clock had been set meanwhile"
        ),
        "finding": translate("Report", "Finding: {finding}"),
        "more": translate("Report", "and {count} more, from page 3 on"),
        "more-in-file": translate("Report", "and {count} more, see the job file"),
        "none": translate("Report", "Nothing was noted."),
    }


def entry_phrases(translate: Translate) -> dict[str, str]:
    """Give the patterns of what was entered and changed on the way."""
    return {
        "measured": translate("Report", "{name}: {value}"),
        "entered": translate("Report", "Entered: {name}: {value}"),
        "before": translate("Report", "{value}; before: {before}"),
        "joint": translate("Report", "Entered: joint {name}: {state}"),
        "joint-gone": translate("Report", "Entered: joint {name}: no longer listed"),
    }


def list_phrases(translate: Translate) -> dict[str, str]:
    """Give the headings of the lists on further pages: the first one of each, and the rest."""
    return {
        "first": translate("Report", "{heading}, in full"),
        "begun": translate("Report", "{heading}, in full, continued"),
    }


def chart_phrases(translate: Translate) -> dict[str, str]:
    """Give the titles and labels of the charts."""
    return {
        "run": translate("Report", "Whole run: pressure in {unit}, log scale"),
        "lulls": translate("Report", "Lulls: time from burst to burst, log scale"),
        "hold": translate("Report", "Standing test: pressure in {unit} since the valve was closed"),
        **line_names(translate),
        **{f"curve-{name}": text for name, text in curve_names(translate).items()},
        "burst": translate("Report", "▼ burst"),
        "gap": translate("Report", "hatched: no readings"),
        "fold": translate("Report", "long breaks drawn short"),
        "closed": translate("Report", "grey: valve closed"),
        "trend": translate("Report", "line: fitted trend, 80 in 100"),
        "no-lulls": translate("Report", "Too few bursts for a lull."),
        "no-hold": translate("Report", "No standing test was recorded."),
        "no-run": translate("Report", "No reading was recorded."),
        "readings": translate("Report", "readings"),
    }


def proof_phrases(translate: Translate) -> dict[str, str]:
    """Give what stands at the foot of the page."""
    return {
        "under-pressure": translate(
            "Report",
            "At best that no further release and no leak above what is stated was seen: a leak may "
            "show only under pressure, and a standing test never replaces leak detection under "
            "pressure. Water left in oil or desiccant may not show at all.",
        ),
        "hash": translate("Report", "Hash of the last row ({row}): "),
        "hash-fits": translate("Report", "Hash of the last row that fits ({row}): "),
        "verify": translate(
            "Report",
            "simmerdown verify {file} --hash HASH must call the file whole and find this hash at "
            "row {row}. Each row's hash is SHA-256 over the previous hash, the row's number, kind, "
            "UTC and payload; a job gone on with later has more rows after it.",
        ),
        "made": translate(
            "Report",
            "Job {job}, recorded by {program}. Page made {utc} UTC by simmerdown "
            "{version}; local times are those of the computer that made it.",
        ),
        "signed": translate(
            "Report", "Technician ______________________   Date ______________   Signature"
        ),
        "both": translate("Report", "{local} UTC{offset}; {utc} in UTC"),
    }
