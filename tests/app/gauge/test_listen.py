import pytest
from hypothesis import given
from hypothesis import strategies as st

from analysis.reason import Reason
from app.gauge.listen import KEPT_LINES, Listening, Proposal
from app.gauge.listen_phrases import listen_phrases
from app.words.phrases import english
from sensors.catalogue import open_sensor
from sensors.events import Connected, Rejected
from sensors.line_decoder import NO_END
from sensors.units import PA_PER_UNIT


def heard(*lines: bytes, address: str = "serial:COM3") -> Listening:
    listening = Listening(address)
    for number, line in enumerate(lines):
        listening.take(Rejected(float(number), line, "heard only"))
    return listening


def best(*lines: bytes) -> tuple[Proposal, Listening]:
    listening = heard(*lines)
    return listening.proposals()[0], listening


def codes(proposal: Proposal) -> set[str]:
    return {reason.code for reason in proposal.reasons}


@pytest.mark.parametrize(
    ("lines", "field", "unit", "pressure_pa", "code"),
    [
        ([b"1;759100;21,5", b"2;759200;21,5", b"3;759200;21,6"], "2", "micron", 101218, "air-like"),
        ([b"101325", b"101320"], "1", "pa", 101320, "air-like"),
        ([b"1013.2,22", b"1013.1,22"], "1", "mbar", 101310, "air-like"),
        ([b"760.1", b"759.8"], "1", "torr", 101298, "air-like"),
        ([b"101.3", b"101.2"], "1", "kpa", 101200, "air-like"),
        ([b"29.92", b"29.91"], "1", "inhg", 101286, "air-like"),
        ([b"7 523 micron 21.5 C", b"8 522 micron 21.5 C"], "2", None, 69.594, "unit-written"),
        ([b"n,pressure_mbar,t_c", b"1,0.5,20", b"2,0.4,20"], "pressure_mbar", None, 40, "named"),
        ([b'{"n":1,"p":{"Pa":66.5}}', b'{"n":2,"p":{"Pa":66.6}}'], "p.Pa", None, 66.6, "unit-in"),
        ([b"id=7 P=523 T=21", b"id=7 P=522 T=21"], "P", None, 69.594, "named"),
    ],
)
def test_proposes_field_and_unit_with_a_reason(
    lines: list[bytes], field: str, unit: str | None, pressure_pa: float, code: str
) -> None:
    proposal, listening = best(*lines)
    assert (proposal.field, proposal.unit) == (field, unit)
    assert proposal.pressure_pa == pytest.approx(pressure_pa, rel=1e-3)
    assert any(reason.startswith(code) for reason in codes(proposal))
    open_sensor(listening.address(proposal))  # an address that can be opened


def test_what_never_ends_a_line_is_told_and_not_proposed() -> None:
    listening = heard(b"1;759100", b"2;759200")
    assert listening.trouble is None
    for number in range(3):
        listening.take(Rejected(float(number), b"523.1", NO_END))
    assert listening.trouble == Reason("no-line-ends")
    assert listening.proposals() == []


def test_the_temperature_is_found_too() -> None:
    proposal, listening = best(b"P=523;Temp=21.5", b"P=522;Temp=21.6")
    assert proposal.temperature == "Temp"
    assert proposal.temperature_c == 21.6
    assert listening.address(proposal) == "serial:COM3?field=P&temperature=Temp"


def test_without_a_sign_of_the_unit_it_says_so() -> None:
    proposal, _ = best(b"523", b"522")
    assert (proposal.unit, "unit-not-told" in codes(proposal)) == (None, True)
    assert proposal.pressure_pa == pytest.approx(522 * PA_PER_UNIT["micron"])


def test_line_numbers_and_status_words_are_no_pressure() -> None:
    listening = heard(*(b"%d;OK;%d" % (n, 500 - n % 3) for n in range(1, 9)))
    proposals = listening.proposals()
    assert [proposal.field for proposal in proposals] == ["3", "1"]
    assert "counts-lines" in codes(proposals[1])


def test_what_the_address_said_of_the_port_is_kept() -> None:
    listening = heard(b"523", b"522", address="serial:COM3?baud=19200&query=P%3F%0D&field=7")
    address = listening.address(listening.proposals()[0])
    assert address == "serial:COM3?baud=19200&query=P%3F%0D&field=1"
    open_sensor(address)


def test_silence_and_garbage() -> None:
    silent = heard()
    assert silent.proposals() == []
    assert silent.trouble is not None
    assert silent.trouble.code == "nothing-heard"
    garbage = heard(b"\xf8\x80\x9c\x00\xe3", b"\x86\xf8\xff", b"\xc7\xf1\xfe")
    assert garbage.trouble is not None
    assert (garbage.trouble.code, garbage.trouble.values["baud"]) == ("garbled", 115200)
    again = heard(b"\xf8\x80\x9c\x00\xe3", address="serial:COM3?baud=115200")
    assert again.trouble is not None
    assert again.trouble.values["baud"] == 19200


def test_lines_are_shown_and_bounded() -> None:
    listening = heard(*[b"\xb5m %d" % n for n in range(200)])
    assert len(listening.lines) == KEPT_LINES
    assert listening.lines[-1] == "\\xb5m 199"
    listening.take(Connected(0.0))
    assert len(listening.lines) == KEPT_LINES


def test_every_code_has_a_sentence() -> None:
    phrases = listen_phrases(english)
    for lines in ([b"523", b"522"], [b"1;759100;21,5", b"2;759200;21,5"], [b"25"] * 6):
        for proposal in heard(*lines).proposals():
            assert codes(proposal) <= set(phrases)


@given(st.lists(st.binary(max_size=60), max_size=8))
def test_any_lines_give_sound_proposals(lines: list[bytes]) -> None:
    listening = heard(*(line.replace(b"\n", b"").replace(b"\r", b"") for line in lines))
    for proposal in listening.proposals():
        assert proposal.pressure_pa >= 0
        open_sensor(listening.address(proposal))


words = st.sampled_from(["523", "-1", "1e3", "760000", "P=5", "T", "OL", ";", ",", " ", "micron"])


@given(st.lists(st.lists(words, max_size=8).map("".join), max_size=8))
def test_any_gauge_like_lines_give_sound_proposals(lines: list[str]) -> None:
    listening = heard(*(line.encode() for line in lines))
    for proposal in listening.proposals():
        assert proposal.pressure_pa >= 0
        open_sensor(listening.address(proposal))
