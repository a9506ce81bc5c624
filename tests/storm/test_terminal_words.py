"""What the storm and the years say first at the terminal."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from storm_jobs import inflows, pumped_system, site
from test_years import record

from drainwright.build.remedies import RemedyCost
from drainwright.design import Design, design
from drainwright.findings.failure_words import Words, in_the_yard, inside, longer_words, ran_off_words, wet_words
from drainwright.findings.model import Severity
from drainwright.findings.years_words import storm_beside
from drainwright.job.reading import read_job
from drainwright.storm import storm_test
from drainwright.storm.model import NodeStorm, Spilled, Storm, StormCase
from drainwright.storm.years.beside import beside_years, heaviest
from drainwright.storm.years.model import StationYear
from drainwright.storm.years.spells import spells_of_record
from drainwright.storm.years.telling import run_years
from drainwright.terminal_storm import answer as storm_answer
from drainwright.terminal_storm import unsound
from drainwright.terminal_years import answer as years_answer
from drainwright.terminal_years import show_years

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
WORDS = Words(units="SI", crawl=False)


def test_the_storm_s_first_words_are_the_answer() -> None:
    test = storm_test(site(), inflows(), pumped_system())
    storm, name = test.storm, WORDS.storm(test.storm)
    said = storm_answer(storm, test.cases, WORDS)
    wet = [case for case in test.cases[1:] if case.time_to_slab is not None]
    assert said.startswith(f"In the {name}, with everything working, the floor stays dry. {len(wet)} of ")
    dry = [replace(case, time_to_slab=None, rising=0.0) for case in test.cases]
    assert "It stays dry with any one thing broken that was tried." in storm_answer(storm, dry, WORDS)
    away = [replace(case, highest_at_house=None, time_to_slab=None) for case in test.cases]
    assert "no drain and no basin there" in storm_answer(storm, away, WORDS)
    assert storm_answer(storm, wet[:1], WORDS).startswith(
        f"In the {name}, pump dead from the start: water at the underside"
    )


def test_the_storm_says_its_rain_and_from_when_its_hours_count() -> None:
    """54.4 mm and 2.142 in are one depth; a failure from the start counts from the rain, a later one from itself."""
    storm = replace(storm_test(site(), inflows(), pumped_system()).storm, depth=0.0544)
    assert WORDS.storm(storm) == f"{storm.name} (54 mm of rain)"
    assert replace(WORDS, units="US").storm(storm) == f"{storm.name} (2.14 in of rain)"
    case = a_case(failure_at=0.0)
    assert inside(case, WORDS) == "water at the underside of the floor 2.0 h after the rain begins"
    assert inside(replace(case, failure_at=600.0), WORDS).endswith("2.0 h after the failure")
    assert inside(replace(case, time_to_slab=0.0), WORDS).endswith("at once")
    assert wet_words(case, WORDS) == "after 2.0 h"
    assert wet_words(replace(case, time_to_slab=None), WORDS) == "stays dry"
    assert wet_words(replace(case, time_to_slab=None, rising=1e-6), WORDS) == "not by 10.0 h, rising"


def a_case(**more: Any) -> StormCase:
    """Water at the floor after two hours, 76.2 mm (3 in) over CB1, 12.6 mm over CB2, 2 m³ off over the ground."""
    nodes = {
        name: NodeStorm(
            node=name, highest=rim + pond, highest_at=0.0, rim=rim, pond_depth=pond, pond_volume=0.0, lost=0.0
        )
        for name, rim, pond in (("CB1", 31.0, 0.0762), ("CB2", 31.0, 0.0126), ("SUMP", 31.0, 0.2))
    }
    told: dict[str, Any] = {
        "key": "pump dead", "title": "Pump dead from the start", "nodes": nodes, "slab_level": 30.0,
        "highest_at_house": 30.1, "time_to_slab": 7200.0, "failure_at": 0.0, "pump_starts": 0, "pump_seconds": 0.0,
        "starts_busiest_hour": 0, "volume_in": 10.0, "volume_out": 8.0, "volume_lost": 2.0, "volume_stored": 0.0,
        "times": np.array([0.0, 36000.0]), "basin_level": np.empty(0), "inflow": np.empty(0), "outflow": np.empty(0),
    }  # fmt: skip
    return StormCase(**{**told, **more})


def test_the_table_says_which_cases_ran_on_and_where_its_water_ran_off() -> None:
    """A basin with an inflow of next to nothing beside hundreds of gallons run off, and five starts beside none."""
    sound = a_case(key="sound", times=np.array([0.0, 10 * 3600.0]), volume_lost=0.0)
    ran = a_case(
        pump_starts=5, times=np.array([0.0, 72 * 3600.0]),
        spilled=(
            Spilled(place="CB1", to="not known", name="beyond the shots", volume=1.5),
            Spilled(place="DS1", to="off the lot", name="", volume=0.5),
            Spilled(place="DS1", to="inlet", name="CB1", volume=9.0),
        ),
    )  # fmt: skip
    told = longer_words((sound, ran), WORDS)
    assert "to 72.0 h (everything working: 10.0 h)" in told
    assert "water in the ground" in told
    assert longer_words((sound, replace(ran, pump_starts=0)), WORDS) == ""
    assert longer_words((sound, replace(ran, times=sound.times)), WORDS) == ""
    off = "Ran off, at the most: 1,500 L over the ground at CB1 and 500 L over the ground at DS1"
    assert ran_off_words((sound, ran), WORDS, basin=False) == f"{off}."
    assert ran_off_words((sound, ran), WORDS, basin=True) == f"{off}; the peak inflow above is of the basin alone."
    assert ran_off_words((sound,), WORDS, basin=True) == ""


def test_the_yard_has_words_of_its_own() -> None:
    """2 m³ are 528 gal; less than half an inch over a grate, and water in a basin, are not the yard's."""
    american, grates = replace(WORDS, units="US"), ("CB1", "CB2")
    assert in_the_yard(a_case(), grates, american) == "3 in over CB1; 528 gal run off"
    to_house = a_case(over_ground={"house": 1.0})
    assert in_the_yard(to_house, grates, WORDS) == "76 mm over CB1; 2,000 L run off, 1,000 L of it to the house"
    assert in_the_yard(a_case(over_ground={"house": 2.0}), (), WORDS).endswith("run off, all of it to the house")
    assert in_the_yard(a_case(volume_lost=0.05), ("CB2",), WORDS) == ""


def test_what_runs_off_is_told_though_no_floor_gets_wet() -> None:
    """Also of a house without a drain of the system, whose cases otherwise all read alike."""
    storm = storm_test(site(), inflows(), pumped_system()).storm
    sound = a_case(time_to_slab=None, highest_at_house=None, volume_lost=0.5)
    worse = replace(sound, title="Discharge blocked", volume_lost=2.5)
    told = storm_answer(storm, (sound, sound, worse), WORDS)
    assert told.endswith(
        "In the yard 1 of 2 let more water run off over the ground, the most 2,000 L more: Discharge blocked."
    )
    assert "In the yard" not in storm_answer(storm, (sound, sound), WORDS)


def test_a_design_that_fails_says_so_before_any_failure(pumped: Design) -> None:
    sound, *rest = pumped.storm.cases
    kept = tuple(one for one in pumped.findings if one.severity is not Severity.FAILS)
    assert not list(unsound(replace(pumped, findings=kept)))
    bad = replace(kept[0], severity=Severity.FAILS)
    assert next(unsound(replace(pumped, findings=(bad, *kept)))).startswith("Not sound: 1 check fails;")
    wet = replace(pumped.storm, cases=(replace(sound, time_to_slab=3600.0), *rest))
    assert "wet with nothing broken" in next(unsound(replace(pumped, findings=kept, storm=wet)))


def test_a_remedy_that_costs_nothing_more_has_no_price_of_zero() -> None:
    dear = RemedyCost(total=Decimal("1378.20"), yearly=False, currency="USD", invented=True)
    assert dear.about == "about $1,378"
    assert replace(dear, total=Decimal(0)).about == "nothing more by the price book"
    assert replace(dear, total=Decimal(0), included=True).about == "in the price"


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


def test_the_heaviest_stretch_of_a_storm_by_hand() -> None:
    """Steps of 10 min with 1, 6 and 3 mm: in 15 min at most 6 mm and half of 3 mm; in 5 min half of 6 mm."""
    storm = Storm(
        name="by hand", times=np.array([0.0, 600.0, 1200.0]), intensity=np.array([1.0, 6.0, 3.0]) * 1e-3 / 600.0,
        step=600.0, depth=0.010, return_period=1.0, source="",
    )  # fmt: skip
    for span, depth in ((900.0, 0.0075), (300.0, 0.003), (1800.0, 0.010), (7200.0, 0.010)):
        assert heaviest(storm, span) == pytest.approx(depth)


def test_the_design_storm_stands_beside_the_years_and_says_where_they_part() -> None:
    """A storm that wets the floor contradicts dry years only if these bound the wet floor as rarer than the storm."""
    test = storm_test(site(), inflows(), pumped_system())
    found = run_years(site(), inflows(), pumped_system(), spells_of_record(record([10.0, 10.01], [0.01, 0.02])))
    slab = found.outcome("slab")
    assert slab is not None
    assert slab.reached == 0
    assert slab.low is not None

    def told(storm: object, run: object) -> tuple[str, str]:
        beside = beside_years(storm, run)  # type: ignore[arg-type]
        assert beside is not None
        return beside.verdict, storm_beside(beside, WORDS)

    assert told(test, found)[0] == "both dry"
    assert "it leaves the floor dry. The years say the same." in told(test, found)[1]
    wet = replace(test, cases=(replace(test.cases[0], time_to_slab=10800.0), *test.cases[1:]))
    verdict, words = told(wet, found)
    assert verdict == "too few years"
    assert "water to the floor after 3.0 h. The two do not contradict each other" in words
    assert "The storm is larger than all of their rain: the storm brings 19 mm in its heaviest 5 min and 70 mm" in words
    assert "the heaviest of these years 20 mm in 5 min and 30 mm in one wet spell" in words  # 10 and 20 mm a day apart
    sure = replace(found, returns=(replace(slab, low=80.0),))
    assert told(wet, sure)[0] == "apart"
    assert "The two contradict each other: the years find it rarer than the storm comes." in told(wet, sure)[1]
    often = replace(found, returns=(replace(slab, reached=3, low=1.0, high=4.0),))
    assert told(test, often)[0] == "apart"
    assert "the years find it more often." in told(test, often)[1]
    assert told(wet, often)[0] == "both wet"
    assert beside_years(test, replace(found, returns=())) is None


def test_years_are_told_pump_by_pump_in_the_job_s_units_with_the_depth_below_the_floor(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """Two pumps have columns of their own, and a year that nobody read has no figures."""
    job = read_job(EXAMPLES / "two-basins" / "job.yaml")
    laid = design(job)
    pump = StationYear(name="SUMP", starts=700.0, seconds=36000.0, second_seconds=0.0, pumped=10.0, energy=None)
    pumps = (pump, replace(pump, name="DRIVE", starts=33.0, seconds=7200.0))
    run = run_years(site(), inflows(), pumped_system(), spells_of_record(record([10.0, 10.01], [0.01, 0.02])))
    slab = laid.storm.cases[0].slab_level
    year = replace(run.years[0], highest=slab - 0.6096, stations=pumps, counts=True, share=1.0)
    unread = replace(year, year=year.year + 1, share=0.0, counts=False)
    found = replace(run, years=(year, unread), stations=pumps, slab_level=slab, highest=slab - 0.6096)
    show_years(laid, found, ())
    lines = capsys.readouterr().out.splitlines()
    head = next(line for line in lines if line.split()[:1] == ["year"])
    assert head.endswith("SUMP starts   SUMP hours   DRIVE starts   DRIVE hours ")
    told = next(line for line in lines if line.split()[:1] == [str(year.year)])
    assert " 2 ft " in told
    assert told.split()[-4:] == ["700", "10", "33", "2"]
    assert next(line for line in lines if line.split()[:1] == [str(unread.year)]).split()[1:] == ["*", "not", "read"]
