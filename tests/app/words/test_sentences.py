import ast
import re
from dataclasses import replace
from pathlib import Path
from typing import get_args

import pytest

import analysis
from analysis.evacuation import Evacuation
from analysis.reason import Interval, Reason
from analysis.sample import Silence
from analysis.snapshot import CautionKind, FlatEstimate, HoldResult, LimitCheck
from app.words import phrases
from app.words.sentences import Words
from tests.analysis.circuit_made import Circuit

ENDS_PA = {"start": 4.0, "charge": 5.6}
HELD = HoldResult("held", 900.0, 1.0, None, None, None, 0.002, (), ())


def codes_of_the_analysis() -> set[str]:
    """Every literal code that is given to ``Reason(...)`` somewhere in the analysis."""
    found = set()
    for path in Path(analysis.__file__).parent.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if (
                isinstance(node, ast.Call)
                and isinstance(node.func, ast.Name)
                and node.func.id == "Reason"
                and node.args
                and isinstance(node.args[0], ast.Constant)
            ):
                found.add(str(node.args[0].value))
    return found


def test_every_code_of_the_analysis_has_its_phrase() -> None:
    codes = codes_of_the_analysis()
    assert len(codes) > 15
    assert codes - set(phrases.reason_phrases(phrases.english)) == set()


def test_every_caution_has_its_phrase() -> None:
    assert set(get_args(CautionKind)) <= set(phrases.reason_phrases(phrases.english))


def test_numbers_come_in_the_user_s_unit() -> None:
    reason = Reason("not-pulling-down", {"pressure_pa": 133.322})
    assert "1\u00a0000 micron" in Words().reason(reason)
    assert "1.33 mbar" in Words(unit="mbar").reason(reason)


def test_a_number_that_a_code_did_not_bring_is_a_dash() -> None:
    assert "–" in Words().reason(Reason("cold"))


def test_a_code_without_a_phrase_shows_itself() -> None:
    assert (
        Words().reason(Reason("odd-thing", {"rise_pa": 13.3322})) == "odd-thing rise_pa=100 micron"
    )


def test_a_good_hold_never_says_dry_nor_no_leak() -> None:
    text = Words().finding(HELD)
    assert "no further release seen" in text
    assert "no leak above" in text
    assert "under pressure" in text
    assert "dry" not in text


def test_unclear_says_how_much_longer() -> None:
    unclear = replace(HELD, finding="unclear", hold_longer_s=300.0)
    assert "Hold 5 min longer." in Words().finding(unclear)


def test_an_unclear_hold_says_what_it_wanted() -> None:
    reasons = (Reason("leak-would-not-show", {"limit_pa_s": 0.02}),)
    scattered = replace(HELD, finding="unclear", reasons=reasons)
    for text in (Words().finding(scattered), Words().finding_so_far(scattered)):
        assert "scatter too much" in text
        assert "vapour" not in text


def test_a_leak_says_how_large() -> None:
    leak = replace(HELD, finding="leak", leak_pa_s=Interval(0.02, 0.0222, 0.025))
    assert "9.99 micron/min" in Words().finding(leak)


@pytest.mark.parametrize(
    ("flat", "text"),
    [
        (FlatEstimate(4000.0, 3100.0, 5800.0, None), "Flat in about 50 min (35 min to 80 min)."),
        (FlatEstimate(900.0, 800.0, 1200.0, None), "It may be flat already"),
        (FlatEstimate(2e7, 3100.0, 9e8, None), "At this rate not flat within a day (35 min at"),
        (FlatEstimate(2e7, 1e6, 9e8, None), "At this rate not flat within a day."),
        (FlatEstimate(41e3, 3100.0, 9e8, None), "11 h 10 min (35 min to more than a day)."),
        (
            FlatEstimate(None, None, None, Reason("too-few-bursts", {"bursts": 2, "needed": 5})),
            "2 of at least 5",
        ),
    ],
)
def test_the_time_of_flat(flat: FlatEstimate, text: str) -> None:
    assert text in Words().flat(flat, 1000.0)


def test_nowhere_is_dryness_claimed() -> None:
    tables = [
        phrases.stage_phrases,
        phrases.reason_phrases,
        phrases.finding_phrases,
        phrases.advice_phrases,
    ]
    for table in tables:
        for text in table(phrases.english).values():
            assert not re.search(r"\bis dry\b|\bno leak\b(?! above)", text), text


def test_a_translation_reaches_every_sentence() -> None:
    words = Words(translate=lambda context, text: f"«{context}» {text}")
    assert words.stage("flat").startswith("«Stage»")
    assert words.finding(HELD).startswith("«Finding»")
    assert words.flat(FlatEstimate(4000.0, 3100.0, 5800.0, None), 1000.0).startswith("«Flat»")


def test_a_hold_is_told_from_where_to_where() -> None:
    """The rise since the even-out may lessen: 11 micron after 10 minutes, 7 after 23."""
    limits = tuple(
        LimitCheck(name, 100.0, pressure_pa, True, "") for name, pressure_pa in ENDS_PA.items()
    )
    held = replace(HELD, rise_pa=0.97, limits=limits)
    snapshot = Evacuation().update(Silence(900.0))._replace(stage="holding", hold=held)
    verdict = Words().verdict(snapshot)
    assert verdict.startswith("Holding for 15 min: from 30 micron to 42 micron.")


def test_a_fall_by_the_noise_is_no_rise() -> None:
    assert Words().moved(replace(HELD, rise_pa=-0.085)) == "not risen"
    for code in ("blank-off-runs", "blank-off-may-end", "blank-off-shows"):
        assert "not risen" in Words().reason(Reason(code, {"rise_pa": -0.085}))
        assert "risen 1 micron" in Words().reason(Reason(code, {"rise_pa": 0.133322}))


def test_the_verdict_of_a_hold_that_was_opened_says_so() -> None:
    """It was "So far it holds. Leave the valve closed" while air stood in the circuit."""
    circuit = Circuit()
    circuit.read(60, 20.0)
    circuit.mark("valve-closed")
    assert "Leave the valve closed" in Words().verdict(circuit.read(700, 20.0, 0.0005))
    for verdict in (
        Words().verdict(circuit.read(40, 38_000.0)),
        Words().verdict(circuit.mark("hold-over")),
    ):
        assert "gas rushed in" in verdict.split(":")[0]  # before anything good is said
        assert "Leave the valve closed" not in verdict
        assert "So far" not in verdict
