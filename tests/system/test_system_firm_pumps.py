"""A whole job with pumps of the firm's own: from the table beside the job to findings, answers and order."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest

from drainwright.design import Design, design
from drainwright.job.reading import read_document

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
TABLE = """name, flow (gpm), head (ft), power (hp), port, float, solids (in), price, input (W), battery
Alpha 60, 0, 30, 0.5, 1-1/2 in, adjustable, 0.5, 402.5, 610, no
Alpha 60, 30, 24
Alpha 60, 60, 13
Alpha 60, 85, 1
Beta 20, 0, 14, , 1-1/4 in, adjustable, 0.375, 120, , no
Beta 20, 10, 10
Beta 20, 22, 1
Gamma 12 V, 0, 15, , 1-1/4 in, adjustable, , 10, , yes
Gamma 12 V, 60, 14
"""
BASIN = """basin:
    name: SUMP
    at: S1
    circuit: dedicated GFCI
    second:
      name: Delta
      price: 199
      curve: [{flow: 0 gpm, head: 25 ft}, {flow: 25 gpm, head: 18 ft}, {flow: 50 gpm, head: 2 ft}]
    battery:
      capacity: 100 Ah
      current: 14 A
      pump:
        name: Unit
        direct_current: true
        curve: [{flow: 0 gpm, head: 14 ft}, {flow: 12 gpm, head: 9 ft}, {flow: 25 gpm, head: 1 ft}]
"""


@cache
def made() -> Design:
    text = (
        (EXAMPLES / "block-wall-house" / "job.yaml")
        .read_text(encoding="utf-8")
        .replace("firm: {file: firm/firm.yaml}", "")
    )
    line = next(part for part in text.splitlines() if part.strip().startswith("basin: {name: SUMP"))
    with TemporaryDirectory() as folder:
        (Path(folder) / "ours.csv").write_text(TABLE, encoding="utf-8")
        whole = text.replace(line, "  " + BASIN.rstrip()) + "\npumps_file: ours.csv\n"
        (Path(folder) / "job.yaml").write_text(whole, encoding="utf-8")
        return design(read_document(Path(folder) / "job.yaml").job)


def test_the_firms_pump_is_chosen_and_bought_at_its_price() -> None:
    result = made()
    station = result.system.station
    assert station is not None
    assert station.pump.name == "Alpha 60"
    assert station.ranking[0].firms
    assert "Gamma 12 V" not in {line.pump.name for line in station.ranking}
    prices = {line.description: float(line.unit_price) for line in result.build.price.lines}
    assert prices["pump: Alpha 60"] == 402.5
    assert prices["pump: Delta"] == 199.0
    assert "pump: Unit" in prices
    assert not any("generic one of our own making" in note for note in result.system.notes)


def test_each_pump_is_worked_out_and_judged() -> None:
    result = made()
    station = result.system.station
    assert station is not None
    assert station.study is not None
    pair, unit = station.study.pair, station.study.unit
    assert pair is not None
    assert unit is not None
    assert pair.second_flow < station.operating_flow < pair.both_flow
    assert unit.flow < station.operating_flow
    assert station.study.season.power == 610.0
    found = {item.id for item in result.findings}
    assert found >= {f"LFT-{number}" for number in range(30, 38)}
    assert "by the power on its sheet" in result.answers[2].answer
    assert "Alpha 60 is taken: it keeps every limit, of the firm's own pumps" in result.answers[7].answer
    assert "The battery unit's pump lifts" in result.answers[10].answer
    assert "The second pump alone lifts" in result.answers[13].answer


def test_the_storm_runs_on_the_weak_second_pump_and_on_the_unit() -> None:
    result = made()
    sound, dead, out = (result.storm.case(key) for key in ("sound", "pump dead", "power out"))
    assert sound is not None
    assert dead is not None
    assert out is not None
    assert dead.nodes["SUMP"].highest > sound.nodes["SUMP"].highest
    assert out.nodes["SUMP"].highest > sound.nodes["SUMP"].highest


@pytest.mark.parametrize("number", [1, 3, 8, 11, 14])
def test_answers_are_sentences(number: int) -> None:
    text = made().answers[number - 1].answer
    assert text.endswith(".")
    assert ".." not in text
    assert "None" not in text
