"""The sentences of listening to an unknown gauge: why a field is proposed, what is wrong."""

from app.words.phrases import Translate


def listen_phrases(translate: Translate) -> dict[str, str]:
    """Give one sentence for each code of ``app.gauge.listen``."""
    return {
        "named-pressure": translate("Listen", "Its name says pressure."),
        "unit-written": translate("Listen", "A unit of pressure stands beside it."),
        "unit-in-name": translate("Listen", "Its name ends with a unit of pressure."),
        "air-like": translate("Listen", "In this unit it is the air outside: {pressure_pa}."),
        "unit-not-told": translate(
            "Listen", "No unit is told: it is taken as micron. Compare it with the gauge."
        ),
        "varies": translate("Listen", "It moves."),
        "never-changes": translate("Listen", "It never moves."),
        "first-field": translate("Listen", "It stands first."),
        "counts-lines": translate("Listen", "It only counts the lines."),
        "room-temperature": translate("Listen", "It could be a temperature: {temperature_c}."),
        "nothing-heard": translate(
            "Listen", "Nothing is heard. Is the gauge on, and does it wait to be asked (query)?"
        ),
        "no-line-ends": translate(
            "Listen",
            "Bytes come, but no line ends: try another speed of the line. A gauge that does not "
            "speak in lines of text cannot be read so.",
        ),
        "garbled": translate("Listen", "This is no text: try another speed of the line."),
    }
