"""The command that tells the failures and their remedies."""

from __future__ import annotations

import json
from pathlib import Path
from types import SimpleNamespace

import pytest
import typer
from typer.testing import CliRunner

from drainwright.cli import app
from drainwright.commands.storm import asked

METRIC = Path(__file__).resolve().parents[2] / "examples" / "metric-basement" / "job.yaml"


def said(*more: str) -> tuple[int, str]:
    result = CliRunner().invoke(app, ["storm", str(METRIC), *more])
    return result.exit_code, result.output


def test_the_table_is_grouped_and_names_remedies_with_their_cost() -> None:
    code, text = said()
    assert code == 0
    for heading in ("Something is wrong with a pump", "The power is out", "Leaves and roots", "More water than"):
        assert heading in text
    assert "a second pump with a float of its own" in text
    assert "keeps nothing dry by itself" in text
    assert "invented prices" in text


def test_one_case_in_json() -> None:
    code, text = said("--json", "--case", "power out")
    assert code == 0
    told = json.loads(text)
    assert [one["key"] for one in told["cases"]] == ["power out"]
    assert [one["key"] for one in told["remedies"]] == ["power out"]
    kinds = {one["tried"]["remedy"]["kind"]: one["tried"]["prevents"] for one in told["remedies"][0]["remedies"]}
    assert kinds["battery"] is True
    assert kinds["alarm"] is False


def test_an_unknown_case_is_refused_with_those_there_are() -> None:
    code, text = said("--case", "flood")
    assert code == 2
    assert "pump dead" in text


def section(text: str, start: str, end: str) -> str:
    return text[text.index(start) : text.index(end)]


def test_a_column_in_which_nothing_stands_is_left_out() -> None:
    _, text = said()
    assert "alarm" not in section(text, "Nothing broken", "Something is wrong with a pump")
    assert "from the alarm" in text


def test_a_case_is_taken_by_its_words_in_the_table_too() -> None:
    """The whole title, its beginning, or the key, whatever the capitals; what fits several is refused with them."""
    pump = ("Pump dead from the start", "pump dead")
    cases = [
        SimpleNamespace(key=key, title=title)
        for title, key in (pump, ("The float stuck low", "float stuck off"), ("The float stuck high", "float stuck on"))
    ]
    for text in ("Pump dead", "PUMP  DEAD", "pump dead from the start", "pump d"):
        assert [one.key for one in asked(text, cases)] == ["pump dead"]  # type: ignore[arg-type]
    for text in ("the float", ""):
        with pytest.raises(typer.Exit):
            asked(text, cases)  # type: ignore[arg-type]


def test_it_ends_with_the_keys_and_what_one_storm_does_not_tell() -> None:
    _, text = said()
    told = " ".join(text.split())
    assert "'pump dead', 'power out'" in told
    assert "'drainwright years' counts" in told
    assert "for this cut (about $" in told or "for this cut (about €" in told  # the battery says what it is for


def test_a_remedy_of_a_failure_that_leaves_the_floor_dry_says_against_what() -> None:
    """Two basins: the drive's pump dead floods no floor, but the drive."""
    job = METRIC.parents[1] / "two-basins" / "job.yaml"
    text = " ".join(CliRunner().invoke(app, ["storm", str(job)]).output.split())
    assert "Pump of DRIVE dead from the start (the floor stays dry, but 9" in text
    assert "gal more run off over the ground)" in text
    assert "works clearing" not in text  # nobody has proven that a visit keeps a failure away
    assert "guards clearing the outlet twice a year (about $" in text


def test_what_sends_a_person_to_a_basin_warns_of_it() -> None:
    _, text = said()
    told = " ".join(text.split())
    assert "it is a confined space" in told
    assert "unplug the pump" in told
