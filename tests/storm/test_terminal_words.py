"""What the storm and the years say first at the terminal."""

from __future__ import annotations

from dataclasses import replace

from storm_jobs import inflows, pumped_system, site
from test_years import record

from drainwright.findings.failure_words import Words
from drainwright.storm import storm_test
from drainwright.storm.years.spells import spells_of_record
from drainwright.storm.years.telling import run_years
from drainwright.terminal_storm import answer as storm_answer
from drainwright.terminal_years import answer as years_answer

WORDS = Words(units="SI", crawl=False)


def test_the_storm_s_first_words_are_the_answer() -> None:
    test = storm_test(site(), inflows(), pumped_system())
    name = test.storm.name
    said = storm_answer(name, test.cases, WORDS)
    wet = [case for case in test.cases[1:] if case.time_to_slab is not None]
    assert said.startswith(f"In the {name}, with everything working, the floor stays dry. {len(wet)} of ")
    dry = [replace(case, time_to_slab=None, rising=0.0) for case in test.cases]
    assert storm_answer(name, dry, WORDS).endswith("It stays dry with any one thing broken that was tried.")
    away = [replace(case, highest_at_house=None, time_to_slab=None) for case in test.cases]
    assert "no drain and no basin there" in storm_answer(name, away, WORDS)
    assert storm_answer(name, wet[:1], WORDS).startswith(f"In the {name}, pump dead from the start: water at the floor")


def test_the_years_first_words_are_the_answer_in_the_job_s_units() -> None:
    metric = replace(site(), job=site().job.model_copy(update={"units": "SI"}))
    found = run_years(metric, inflows(), pumped_system(), spells_of_record(record([10.0, 10.01], [0.01, 0.02])))
    slab, pond = found.outcome("slab"), found.outcome("pond")
    assert slab is not None
    assert pond is not None
    years = len(slab.years)
    assert years_answer(found).startswith(f"With everything working no water came to the floor in {years} years: that ")
    assert pond.outcome.title == "Water 152 mm deep over a grate"
    assert slab.words.startswith(f"Not reached in {years} years: rarer than about once in ")
    wet = replace(found, returns=(replace(slab, reached=1),))
    assert years_answer(wet) == f"With everything working water came to the floor in 1 of {years} years."
