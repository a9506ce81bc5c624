"""Which schemes are offered, which are not and why; what they keep; that taking one gives its figures again."""

from __future__ import annotations

import math
from typing import Any

import pytest
from scheme_lots import NAMES, compared, job, lot, of_seed, seeded

from drainwright.design import design
from drainwright.errors import JobError
from drainwright.job.model import Job
from drainwright.job.reading import read_text
from drainwright.job.writing import to_json
from drainwright.schemes import Missing, Scheme, SchemeSet, schemes
from drainwright.schemes.base import base_of
from drainwright.schemes.comparing import compared as figures_of
from drainwright.schemes.comparing import ends_of
from drainwright.schemes.kinds import Laid, lay
from drainwright.system.gravity import lawfulness


def reason(key: Any, **more: Any) -> str:
    """Why a lot gets no scheme of a kind; empty where one is laid out."""
    found = lay(base_of(job(**more), redraw=False), key)
    return found.why if isinstance(found, Missing) else ""


KINDS = {"gravity", "split", "soak", "pumped"}
SEEDS = (4, 5, 7)


def missing(found: SchemeSet, key: str) -> Missing:
    """The reason for a kind that is not offered."""
    return next(item for item in found.missing if item.key == key)


def of(found: SchemeSet, key: str) -> Scheme:
    scheme = found.scheme(key)
    assert scheme is not None, [(item.key, item.why) for item in found.missing]
    return scheme


@pytest.mark.parametrize("name", NAMES)
def test_every_example_gets_its_schemes(name: str) -> None:
    found = compared(name)
    assert found.schemes[0].key == "as-drawn"
    assert len(found.schemes) >= 2
    told = {scheme.key for scheme in found.schemes} | {item.key for item in found.missing}
    assert told == KINDS | {"as-drawn"}  # every kind is offered, or it is said why not
    assert all(len(item.why) > 20 for item in found.missing)


@pytest.mark.parametrize("name", NAMES)
def test_the_schemes_of_the_examples_fail_no_more_checks_than_the_job_as_drawn(name: str) -> None:
    drawn, *others = compared(name).schemes
    for scheme in others:
        assert set(scheme.comparison.fails) <= set(drawn.comparison.fails), scheme.comparison.fails
        assert not scheme.comparison.conflicts


@pytest.mark.parametrize("name", NAMES)
def test_what_is_taken_designs_to_the_figures_of_the_comparison(name: str) -> None:
    for scheme in compared(name).schemes:
        again = read_text(to_json(scheme.job), "taken.json").job
        assert again == scheme.job
        assert figures_of(design(again)) == scheme.comparison


@pytest.mark.parametrize("which", [*NAMES, *SEEDS])
def test_water_leaves_by_lawful_ways_only(which: str | int) -> None:
    found = of_seed(which) if isinstance(which, int) else compared(which)
    for scheme in found.schemes:
        points = {point.name: point for point in scheme.job.works.discharge}
        for _, source, end, _ in ends_of(scheme.design):
            if scheme.key != "as-drawn":
                assert end in points, f"{source} ends at {end}"
                assert lawfulness(points[end], scheme.job.rules)[0] != "forbidden"


@pytest.mark.parametrize("seed", SEEDS)
def test_a_seeded_lot_tells_all_kinds_and_lifts_only_where_it_says_so(seed: int) -> None:
    found = of_seed(seed)
    assert {scheme.key for scheme in found.schemes} | {item.key for item in found.missing} == KINDS
    for scheme in found.schemes:
        lifted = {is_lifted for *_, is_lifted in ends_of(scheme.design)}
        if scheme.key == "gravity":
            assert lifted <= {False}
            assert scheme.comparison.pumps == 0
        if scheme.key == "pumped":
            assert lifted == {True}
            assert scheme.comparison.pumps > 0
        if scheme.key == "split":
            assert all(up == (cause == "ground") for cause, _, _, up in ends_of(scheme.design) if cause == "ground")
            assert {up for cause, _, _, up in ends_of(scheme.design) if cause != "ground"} >= {False}
    ends = [ends_of(scheme.design) for scheme in found.schemes]
    assert len(set(ends)) == len(ends)  # no two do the same


def test_equal_jobs_give_equal_sets() -> None:
    first, second = (schemes(seeded(7)) for _ in range(2))
    assert [scheme.job for scheme in first.schemes] == [scheme.job for scheme in second.schemes]
    assert [scheme.comparison for scheme in first.schemes] == [scheme.comparison for scheme in second.schemes]
    assert (first.missing, first.rankings, first.verdict) == (second.missing, second.rankings, second.verdict)


# -- reasons, with their numbers ----------------------------------------------------------------


def test_clay_takes_no_water_in_and_the_number_is_said() -> None:
    why = reason("soak", texture="clay", rate="0.1 ft/day", water="90 ft")
    assert "clay" in why
    assert "0.0500 in/h" in why  # 0.1 ft/day is 1.2 in in 24 h
    assert "0.500 in/h" in why


def test_high_ground_water_leaves_no_room_for_a_soakaway() -> None:
    why = reason("soak", texture="sand", rate="20 ft/day", water="99 ft")
    assert "below the high ground water (99.00 ft)" in why
    assert "2 ft or more over it" in why


def test_a_flat_lot_offers_no_gravity_and_says_by_how_much() -> None:
    flat = {"fall": 0.0, "wet": ("south", "east"), "floor": -2.0, "water": "97 ft"}
    why = reason("gravity", **flat)
    assert "below the daylight OUT" in why
    assert "south and east walls" in why
    assert not reason("pumped", **flat)


def test_the_number_by_which_gravity_misses_is_the_one_that_lets_it_reach() -> None:
    """Lower the outlet by what was said, and a hair: gravity reaches. A hair less: it does not."""
    data = lot(fall=0.0, kind="storm line", below=1.0, water="99 ft", wet=("south",))
    found = lay(base_of(Job.model_validate(data), redraw=False), "gravity")
    assert isinstance(found, Missing)
    level = float(found.why.split("(")[1].split(" ft at the least fall")[0])
    for off, reaches in ((-0.02, True), (0.03, False)):
        data["works"]["discharge"][0]["invert"] = f"{level + off:.3f} ft"
        again = lay(base_of(lower := Job.model_validate(data), redraw=False), "gravity")
        assert isinstance(again, Laid) == reaches
        if isinstance(again, Laid):  # and the grading, which knows nothing of these words, agrees
            result = design(again.draft.applied(lower))
            assert not result.system.conflicts
            assert result.system.station is None


def test_sand_over_deep_water_offers_a_soakaway_that_keeps_every_distance() -> None:
    found = schemes(job(fall=0.01, texture="sand", rate="20 ft/day", water="85 ft", kind="storm line", below=6.0))
    scheme = of(found, "soak")
    soak = scheme.design.system.soaks[0]
    rules = scheme.job.rules
    assert soak.house_distance >= rules.soak_house_setback.value
    east = [corner[0] for ring in soak.outlines for corner in ring]
    north = [corner[1] for ring in soak.outlines for corner in ring]
    edge = rules.soak_boundary_setback.value / 0.3048
    assert min(east) / 0.3048 >= -29 + edge
    assert max(east) / 0.3048 <= 79 - edge
    assert min(north) / 0.3048 >= -88 + edge
    assert soak.bottom - 85 * 0.3048 >= rules.soak_above_water.value
    assert not [name for name in scheme.comparison.fails if name.startswith("OUT-1")]
    assert any("Ask the place" in text for text in scheme.asks)
    ends = {cause: end for cause, _, end, _ in ends_of(scheme.design)}
    assert ends["roof"] == ends["yard"] == soak.name
    assert ends["ground"] == "OUT"


def test_a_place_that_forbids_soakaways_gets_none() -> None:
    rule = {"outlets": [{"kind": "infiltration trench", "standing": "forbidden, mapped"}]}
    assert reason("soak", texture="sand", rate="20 ft/day", water="85 ft", rules=rule) == "the place forbids it"


def test_no_lawful_way_out_is_said_for_every_kind_that_wants_one() -> None:
    found = schemes(job(kind="sanitary sewer", permission="allowed, measured"))
    for key in ("gravity", "split", "pumped"):
        assert missing(found, key).why == "no lawful way out: OUT (sanitary sewer) is forbidden"
    assert found.schemes == ()
    assert found.verdict.startswith("No scheme can be offered")


def test_an_outlet_nobody_asked_about_comes_with_its_question() -> None:
    found = lay(base_of(job(fall=0.0, permission="not asked, assumed"), redraw=False), "pumped")
    assert isinstance(found, Laid)
    assert found.asks == ("Ask the place whether water may leave by OUT (daylight): nobody has yet.",)


def test_ground_water_that_falls_away_by_itself_is_not_pumped() -> None:
    assert not reason("gravity", fall=0.05, wet=("south",), water="96 ft")
    assert "to pump its water would gain nothing" in reason("split", fall=0.05, wet=("south",), water="96 ft")


# -- what is drawn stays ------------------------------------------------------------------------

DRAWN: list[dict[str, Any]] = [
    {"name": "FD1", "duty": "footing drain", "from": "C", "to": "SUMP", "beside": ["east", "south"],
     "pipe": "d2729 4 in perforated"},
    {"name": "DL", "duty": "discharge line", "from": "SUMP", "to": "OUT", "via": ["45 ft, -30 ft"]},
]  # fmt: skip


def test_drawn_runs_stay_the_very_same_and_only_the_rest_is_proposed() -> None:
    given = job(fall=0.0, runs=DRAWN, basin={"name": "SUMP", "at": "-5 ft, -6 ft", "diameter": "30 in"})
    found = schemes(given)
    pumped = of(found, "pumped")
    assert pumped.job.works.runs[:2] == given.works.runs
    assert pumped.job.works.basin == given.works.basin
    assert {run.from_ for run in pumped.job.works.runs[2:]} >= {"DS1", "DS2", "CB1"}
    assert "a basin of its own, SUMP" in missing(found, "gravity").why


def test_a_redraw_keeps_inlets_outlets_walls_and_the_basins_place_alone() -> None:
    given = job(
        fall=0.0, runs=DRAWN, basin={"name": "SUMP", "at": "50 ft, -12 ft", "diameter": "30 in", "depth": "7 ft"}
    )
    found = schemes(given, redraw=True)
    works = of(found, "pumped").job.works
    assert (works.inlets, works.discharge) == (given.works.inlets, given.works.discharge)
    assert not {"FD1", "DL"} & {run.name for run in works.runs if run in given.works.runs}
    assert not isinstance(works.basin, str)
    assert not isinstance(given.works.basin, str)
    assert (works.basin.at, works.basin.diameter, works.basin.depth) == (given.works.basin.at, None, None)
    assert found.schemes[0].job == given


def test_a_job_with_all_its_runs_stands_beside_schemes_laid_anew() -> None:
    runs = [
        *DRAWN, {"name": "L1", "duty": "leader", "from": "DS1", "to": "SUMP"},
        {"name": "L2", "duty": "leader", "from": "DS2", "to": "SUMP"},
        {"name": "YD1", "duty": "yard drain", "from": "CB1", "to": "SUMP"},
    ]  # fmt: skip
    given = job(fall=0.0, runs=runs, basin={"name": "SUMP", "at": "50 ft, -12 ft"})
    found = schemes(given)
    assert found.redraw
    assert found.schemes[0].key == "as-drawn"
    assert found.schemes[0].job == given
    assert "laid out anew" in found.how
    asked = schemes(given, redraw=True)
    assert [scheme.job for scheme in found.schemes] == [scheme.job for scheme in asked.schemes]
    assert len(found.schemes) > 1
    partly = given.model_copy(update={"works": given.works.model_copy(update={"runs": given.works.runs[:-1]})})
    kept = schemes(partly)
    assert not kept.redraw
    assert "stay as they are drawn" in kept.how
    assert all(scheme.job.works.runs[:4] == partly.works.runs for scheme in kept.schemes)


def test_a_lot_without_water_to_lead_away_says_so() -> None:
    data = lot(wet=(), inlets=[])
    data["downspouts"] = [{**spout, "ends": "splash"} for spout in data["downspouts"]]
    data["yards"] = []
    found = schemes(Job.model_validate(data))
    assert found.schemes == ()
    assert {item.why for item in found.missing} == {
        "no wall wants a footing drain, and no inlet or downspout waits to be led away"
    }


def test_a_basin_ruled_out_by_the_job_is_not_proposed() -> None:
    assert reason("pumped", fall=0.0, basin="none") == "the job says that there is to be no basin"


def test_a_sure_low_spot_near_the_house_gets_a_catch_basin() -> None:
    one = base_of(job(fall=0.0, dip=0.5), redraw=False)  # one shot below its neighbours is no sure low spot
    assert len(one.job.works.inlets) == 1
    assert any("DIP gets no inlet" in note for note in one.notes)
    two = base_of(job(fall=0.0, dip=0.5, dips=2), redraw=False)
    new = [inlet for inlet in two.job.works.inlets if inlet.name == "CB2"]
    assert len(new) == 1
    assert any("catch basin CB2 in the low spot at DIP" in note for note in two.notes)
    at = new[0].at
    assert math.hypot((at.east or 0) / 0.3048 - 51.0, (at.north or 0) / 0.3048 - 11.0) < 3.0
    laid = lay(two, "pumped")
    assert isinstance(laid, Laid)
    assert any(words["from"] == "CB2" for words in laid.draft.runs)


def test_a_job_that_cannot_be_computed_with_raises() -> None:
    broken = job(runs=[{"name": "YD1", "duty": "yard drain", "from": "CB1", "to": "NOWHERE"}])
    with pytest.raises(JobError, match="NOWHERE"):
        schemes(broken)
