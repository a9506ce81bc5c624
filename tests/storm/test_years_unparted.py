"""Some months stepped wholly, every rain step and every pump cycle, beside the same parted into wet spells.

Roofs and ground water alone: what the soil forgets between spells is told of in docs/limits.md, and is no part of this.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from storm_jobs import inflows, pumped_system, site
from test_years_run import STEP, rain_of, showers

from drainwright.design import design
from drainwright.field.model import Site
from drainwright.job.reading import read_document
from drainwright.storm.engine.packing import packed
from drainwright.storm.engine.plant import FAR, IN, OUT, Run
from drainwright.storm.engine.ready import forcing_of, state_of
from drainwright.storm.engine.stepper import step
from drainwright.storm.network import build_network
from drainwright.storm.surface.surfaces import resting, run_off, surfaces_of
from drainwright.storm.years.model import SpellRain
from drainwright.storm.years.running import TOLERANCE, run_course, sound_plant
from drainwright.system.model import System
from drainwright.water.model import Cause, Inflows

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
DAYS = 60.0


def by_hand() -> tuple[Site, Inflows, System]:
    return site(), inflows(yard=0.0), pumped_system()


def of_example(name: str) -> tuple[Site, Inflows, System]:
    """The example without its yards."""
    made = design(read_document(EXAMPLES / name / "job.yaml").job)
    parts = tuple(part for part in made.inflows.contributions if part.cause is not Cause.YARD)
    return made.site, replace(made.inflows, contributions=parts), made.system


def two_months() -> SpellRain:
    rain = rain_of(showers(24, 11, DAYS * 86400.0))
    return replace(rain, span=DAYS * 86400.0, years=(replace(rain.years[0], end=DAYS * 86400.0),))


def unparted(given: tuple[Site, Inflows, System], rain: SpellRain) -> tuple[Run, Any]:
    """One run from the first minute to the last: no spells, no steps taken together, no cycle passed over."""
    place, water, system = given
    network = build_network(place, water, system)
    plant = sound_plant(place, system, network)
    surfaces = surfaces_of(place, water, network.entries)
    fallen = np.zeros(round(rain.span / STEP))
    for spell in rain.spells:
        first = round(spell.start / STEP)
        fallen[first : first + spell.last - spell.first + 1] = rain.depths[spell.first : spell.last + 1] / STEP
    off = run_off(surfaces, resting(surfaces), fallen, STEP)
    entry = np.array([network.entries[name] for name in surfaces.entries], np.int64)
    forcing = forcing_of(STEP * np.arange(fallen.size + 1.0), entry, off.inflow)
    return step(packed(plant), forcing, state_of(plant, network.start), TOLERANCE, False, False), network


@pytest.mark.parametrize("case", ["by hand", "soak-lot", "two-basins"])
def test_parting_into_spells_changes_no_level_start_or_volume(case: str) -> None:
    """Levels to half a millimetre, a quarter of the stepper's tolerance; starts, hours and volumes to a thousandth."""
    given, rain = by_hand() if case == "by hand" else of_example(case), two_months()
    whole, network = unparted(given, rain)
    told = run_course(*given, rain)
    (year,) = told.years
    assert year.highest == pytest.approx(whole.highest, abs=5e-4)
    assert year.starts == pytest.approx(whole.start_count, rel=1e-3, abs=0.5)
    assert year.pumped == pytest.approx(whole.pumped, rel=1e-3)
    assert year.seconds == pytest.approx(whole.pump_seconds, rel=1e-3)
    for what in (IN, FAR, OUT):
        assert told.totals[what] == pytest.approx(whole.totals[what], rel=1e-3)
    assert year.spilled == pytest.approx(whole.over, rel=1e-3, abs=1e-6)
    assert told.totals[IN] > 1.0
    assert len(network.stations) == {"by hand": 1, "soak-lot": 0, "two-basins": 2}[case]
    if case == "soak-lot":
        assert whole.soaked.sum() > 0.5 * whole.totals[IN]
