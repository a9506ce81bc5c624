"""What is said of a chance: one figure, nothing above all there is, no price of nothing, the chief cause's reasons."""

from __future__ import annotations

from dataclasses import replace

import pytest

from drainwright.findings.chance_words import (
    beside_storm,
    between,
    causes,
    deep,
    headline,
    over_years,
    reason_words,
    samples_words,
    upkeep_words,
    worth_words,
)
from drainwright.findings.failure_words import Words
from drainwright.storm.chances.model import Chance, Driver, Interval, Reason, Worth
from drainwright.storm.chances.yearly import CAUSES
from drainwright.terminal_chance import show_chance

from ..conftest import designed

WORDS = Words(units="US", crawl=False)


def told(per_year: float = 1 / 22, chief: str = "dead pump in dry weather", samples: int = 64) -> Chance:
    rates = {cause: (0.04 if cause == chief else 0.0) if per_year else 0.0 for cause in CAUSES}
    bands = {cause: Interval(low=0.5 * rate, middle=rate, high=2.0 * rate) for cause, rate in rates.items()}
    share = Interval(low=0.4, middle=0.5, high=0.6)
    return Chance(
        per_year=per_year, sampling=Interval(low=0.03, middle=per_year, high=0.06), over_10_years=0.35,
        inputs=Interval(low=0.0, middle=0.03, high=0.1), over_30_years=0.67, by_cause=rates, cause_bands=bands,
        rarer=0.01, method="design storms", samples=samples, runs=900, seed=1, uncertain=(),
        drivers=(Driver(key="cut length", name="how long it stays out", first=None, total=share),),
        reasons=(Reason(key="unnoticed", name="time until someone notices", rank=0.5),),
    )  # fmt: skip


def test_the_headline_is_one_figure_with_its_band_and_thirty_years_are_explained() -> None:
    assert headline(told(), WORDS).startswith(
        "Chance of water at the floor in any one year: about 1 in 22 (next to none to 1 in 10, nine times of ten"
    )
    assert over_years(told()).startswith("At least once in 30 years: 67 %, not the 75 % of thirty separate draws: ")
    assert over_years(replace(told(), over_30_years=0.7525)) == "At least once in 30 years: 75 %."
    few = replace(told(), inputs=Interval(low=0.0, middle=0.0, high=0.001))
    assert headline(few, WORDS).endswith(
        "all of it from a few of the ways things may be: in most there is next to none."
    )
    rare = replace(few, per_year=1e-5, inputs=Interval(low=0.0, middle=0.0, high=0.0))
    assert "in any one year: less than 1 in 10,000, all of it" in headline(rare, WORDS)
    assert headline(told(0.0), WORDS) == "Chance of water at the floor: in none of 64 samples did it get there."


def test_few_samples_are_owned_to() -> None:
    assert samples_words(told()).endswith("64 samples are few; 128 or more tell it better.")
    assert samples_words(told(0.0)) == "64 samples are few; 128 or more tell it better."
    assert samples_words(told(samples=128)) == "Another draw of 128 samples might tell 1 in 33 to 1 in 17."
    assert list(causes(told())) == [("a dead pump in dry weather", "1 in 25", "1 in 50 to 1 in 12")]


def test_the_reasons_are_the_chief_cause_s() -> None:
    """The shares are of storms in which the power goes: they say nothing of a pump that dies in dry weather."""
    assert (
        reason_words(told()) == "Main reasons for a dead pump in dry weather: 1. how long a dead pump goes unnoticed."
    )
    assert reason_words(told(chief="storm and power cut")) == (
        "Main reasons for a power cut in a storm: 1. how long power cuts last; 2. how long a dead pump goes unnoticed."
    )
    little = Driver(
        key="cut length", name="how long it stays out", first=None, total=Interval(low=0.05, middle=0.1, high=0.15)
    )
    for driver in (little, replace(little, total=None)):  # a share that hardly moves it, or that nobody reckoned
        small = replace(told(chief="storm and power cut"), drivers=(driver,))
        assert reason_words(small) == (
            "Main reasons for a power cut in a storm: 1. how long a dead pump goes unnoticed."
        )
    assert reason_words(replace(told(), reasons=())).endswith("none stands out in 64 samples.")
    assert reason_words(told(0.0)) == ""


def test_how_deep_and_what_the_storm_says_beside_it() -> None:
    test = designed("wrong-choices/job").storm
    said = deep(told(), test, WORDS)
    assert said.startswith("How deep: in the design storm (pump dead from the start) at most ")
    assert said.endswith(" in deep comes in.")
    assert "no water gets in" in deep(told(chief="storm"), test, WORDS)
    assert f"`storm` runs the {test.storm.name} once" in beside_storm(told(), test, WORDS)
    assert "`years` counts" in beside_storm(told(), test, WORDS)


@pytest.mark.parametrize("narrowing", [0.0, 0.2])
def test_no_test_is_told_to_be_worth_nothing_dollars(narrowing: float) -> None:
    band = told().inputs
    worth = Worth(
        key="conductivity", name="soil", test="a hole test", before=band, after=band, narrowing=narrowing, perfect=0.2,
        sample=0.1,
    )  # fmt: skip
    said = " ".join(worth_words(replace(told(), worth=(worth,)), "USD"))
    assert "$0" not in said
    assert said.endswith("For the choice of a remedy no test is worth its price here.")
    dear = replace(worth, sample=140.0, perfect=120.0)
    text = " ".join(worth_words(replace(told(), worth=(dear,)), "USD"))
    assert ("it is worth $140 at most" in text) == (narrowing > 0.0)


def test_a_job_that_is_not_sound_is_said_so_first(capsys: pytest.CaptureFixture[str]) -> None:
    show_chance(told(), designed("wrong-choices/job"))
    lines = capsys.readouterr().out.splitlines()
    assert lines[0] == designed("wrong-choices/job").job.title
    assert lines[1].startswith("Not sound as drawn: ")
    assert lines[2].startswith("Chance of water at the floor in any one year: about 1 in 22")
    show_chance(told(), designed("metric-basement/job"))
    assert capsys.readouterr().out.splitlines()[1].startswith("Chance of water")


def test_a_band_without_width_is_told_once_and_prices_say_what_they_hold() -> None:
    assert between(Interval(low=0.0, middle=0.0, high=0.0)) == "next to none"
    assert "invented" in upkeep_words(invented=True)
    assert "invented" not in upkeep_words(invented=False)
