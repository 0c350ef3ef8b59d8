"""One thing has one name, in the window, in the terminal and in the printed record."""

import io
from dataclasses import replace
from pathlib import Path
from typing import get_args

import numpy as np
import pytest
from pytestqt.qtbot import QtBot

from analysis.evacuation import Evacuation
from analysis.hold.finding import analyse_hold
from analysis.reason import Reason
from analysis.sample import MarkKind
from analysis.snapshot import Caution, CautionKind, Finding, HoldCurve
from app.charts.hold_chart import HoldChart
from app.cli import main
from app.hold.walk import hold_screen, limit_lines
from app.job.fields import JointState, VehicleKind
from app.live.run import Step
from app.output.terminal import Terminal
from app.report.phrases import chart_phrases, event_phrases, hold_phrases, joint_phrases
from app.screen.phrases import alarm_titles
from app.words import terms
from app.words.phrases import english
from app.words.sentences import Words
from sensors.csv_file import write_csv
from sensors.events import Reading
from sensors.series import Series

TIME_S = np.arange(0.0, 1300.0)
PRESSURE_PA = 20.0 + 0.05 * TIME_S + np.random.default_rng(1).normal(0.0, 0.05, TIME_S.size)


def test_every_code_has_its_name() -> None:
    assert terms.caution_names(english).keys() == set(get_args(CautionKind))
    assert terms.finding_names(english).keys() == set(get_args(Finding))
    names = get_args(HoldCurve.__annotations__["name"])
    assert terms.curve_names(english).keys() == set(names)
    assert terms.drive_names(english).keys() == set(get_args(VehicleKind))
    assert terms.joint_names(english).keys() == set(get_args(JointState))
    assert {words for kind in get_args(MarkKind) if (words := Words().mark(kind))}


def test_the_charts_name_curves_and_lines_alike(qtbot: QtBot) -> None:
    printed = chart_phrases(english)
    result = analyse_hold(TIME_S, PRESSURE_PA)
    chart = HoldChart()
    qtbot.addWidget(chart)
    chart.begin(0.0)
    for time_s, pressure_pa in zip(TIME_S.tolist(), PRESSURE_PA.tolist(), strict=True):
        chart.add_reading(time_s, pressure_pa)
    chart.set_result(result)
    shown = [each.text for each in chart._curves.explanations]
    assert sorted(shown) == sorted(printed[f"curve-{curve.name}"] for curve in result.curves)
    assert shown
    levels = {level.text for level in chart._levels.levels}
    assert levels == {printed["rise"], printed["highest"]}


def test_findings_limits_and_how_long_it_was_closed_are_told_alike(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "hold.csv"
    write_csv(path, Series(TIME_S, PRESSURE_PA))
    assert main(["hold", str(path)]) == 0
    out = capsys.readouterr().out.splitlines()
    result, words = analyse_hold(TIME_S, PRESSURE_PA), Words()
    for line in limit_lines(result, words, english):
        assert any(told.startswith(line.text) for told in out), line.text
    evacuation = Evacuation()
    snapshot = evacuation.update(Reading(0.0, 20.0))
    snapshot = snapshot._replace(stage="done", hold=result, hold_from_s=0.0)
    screen = hold_screen("finding", snapshot, words, english)
    assert screen.clock in out
    assert screen.finding.text.endswith("leak")
    assert hold_phrases(english)["leak"] == "LEAK"
    assert hold_phrases(english)["both"] == terms.finding_names(english)["both"].upper()


def test_cautions_and_the_link_are_told_alike() -> None:
    out = io.StringIO()
    terminal = Terminal(Words(), out)
    snapshot = Evacuation().update(Reading(0.0, 20.0))
    caution = Caution("no-signal", 0.0, None, Reason("no-signal", {"silence_s": 30.0}))
    reading = Reading(0.0, 20.0)
    terminal.show(Step(reading, snapshot._replace(caution_changes=(caution,))))
    over = replace(caution, until_s=9.0)
    terminal.show(Step(reading, snapshot._replace(caution_changes=(over,))))
    assert "CAUTION, NO SIGNAL: No reading for 30 s" in out.getvalue()
    assert "Over: no signal, after 9 s" in out.getvalue()
    assert alarm_titles(english)["no-signal"] == "No signal"
    assert event_phrases(english)["lost"] == terms.link_phrases(english)["lost"]
    assert joint_phrases(english)["tight"] == terms.joint_names(english)["tight"]
