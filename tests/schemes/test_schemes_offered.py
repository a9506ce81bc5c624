"""Which schemes are offered, which are not and why; what they keep; that taking one gives its figures again."""

from __future__ import annotations

import math
from typing import Any

import pytest
from scheme_lots import NAMES, compared, figures, job, lot, of_seed, seeded

from drainwright.design import design
from drainwright.errors import JobError
from drainwright.job.model import Job
from drainwright.job.reading import read_text
from drainwright.job.writing import changed, to_json
from drainwright.schemes import Missing, Scheme, SchemeSet, schemes
from drainwright.schemes.base import base_of
from drainwright.schemes.comparing import Ways, ends_of, ways_of
from drainwright.schemes.comparing import compared as figures_of
from drainwright.schemes.differing import Made, most_different
from drainwright.schemes.draft import Draft
from drainwright.schemes.gathering import rain_places
from drainwright.schemes.kinds import lay
from drainwright.schemes.model import Laid
from drainwright.schemes.soaking import soak_place
from drainwright.system.gravity import lawfulness


def reason(key: Any, **more: Any) -> str:
    """Why a lot gets no scheme of a kind; empty where one is laid out."""
    found = lay(base_of(job(**more), redraw=False), key)
    return found.why if isinstance(found, Missing) else ""


KINDS = {"gravity", "split", "apart", "soak", "pumped"}
SEEDS = (4, 7)


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
    assert told - {"wells"} == KINDS | {"as-drawn"}  # every kind is offered, or it is said why not
    assert len(found.schemes) <= 4
    assert all(len(item.why) > 20 for item in found.missing)


@pytest.mark.parametrize("name", NAMES)
def test_the_schemes_of_the_examples_fail_no_more_checks_than_the_job_as_drawn(name: str) -> None:
    drawn, *others = compared(name).schemes
    for scheme in others:
        # Rain water apart lacks the stone beside the footing drains, which holds a cubic metre at the storm's peak: it
        # ponds more at CB1 of the block-wall house, which the comparison tells. No scheme is drawn by the storm test.
        storm = {"STM-03"} if (name, scheme.key) == ("block-wall-house/job", "apart") else set()
        assert set(scheme.comparison.fails) <= set(drawn.comparison.fails) | storm, scheme.comparison.fails
        assert not scheme.comparison.conflicts


@pytest.mark.parametrize("name", NAMES)
def test_what_is_taken_designs_to_the_figures_of_the_comparison(name: str) -> None:
    for scheme in compared(name).schemes:
        again = read_text(to_json(scheme.job), "taken.json").job
        assert again == scheme.job
    last = max(compared(name).schemes, key=lambda scheme: len(scheme.job.works.basins))  # the one with most to carry
    assert figures_of(design(last.job)) == last.comparison


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
    assert ({scheme.key for scheme in found.schemes} | {item.key for item in found.missing}) - {"wells"} == KINDS
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
    ways = [ways_of(scheme.design) for scheme in found.schemes]
    assert len(set(ways)) == len(ways)  # no two do the same


def test_equal_jobs_give_equal_sets() -> None:
    first, second = of_seed(7), schemes(seeded(7))
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
    assert soak.overflow is None  # laid, it would leave below the line to the soakaway: it is left out
    assert soak.bottom - 85 * 0.3048 >= rules.soak_above_water.value
    assert not [name for name in scheme.comparison.fails if name.startswith("OUT-1")]
    assert any("Ask the place" in text for text in scheme.asks)
    ends = {cause: end for cause, _, end, _ in ends_of(scheme.design)}
    assert ends["roof"] == ends["yard"] == soak.name
    assert ends["ground"] == "OUT"


def test_a_place_that_forbids_soakaways_gets_none() -> None:
    sand: dict[str, Any] = {"texture": "sand", "rate": "20 ft/day", "water": "85 ft"}
    trench, wells = ({"kind": kind, "standing": "forbidden, mapped"} for kind in ("infiltration trench", "dry well"))
    why = reason("soak", **sand, rules={"outlets": [trench, wells]})
    assert why == "the place forbids it; and of dry wells: the place forbids it"
    laid = lay(base_of(job(**sand, rules={"outlets": [trench]}), redraw=False), "soak")
    assert isinstance(laid, Laid)
    assert [point["kind"] for point in laid.draft.discharge] == ["dry well"]


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


# -- ways apart ---------------------------------------------------------------------------------


def test_rain_that_does_not_fall_gets_a_basin_of_its_own() -> None:
    """On the flat lot with its outlet too high, two stations: ground water in one, roof and yard water in the other."""
    given = job(fall=0.0, kind="storm line", below=0.2, floor=-2.0, water="97 ft")
    base = base_of(given, redraw=False)
    laid, everything = lay(base, "apart"), lay(base, "pumped")
    assert isinstance(laid, Laid)
    assert isinstance(everything, Laid)
    result = design(laid.draft.applied(given))
    first, second = result.system.stations
    basins = {cause: basins for cause, _, _, basins in ways_of(result)}
    assert {first.name, second.name} == {"SUMP", "RAIN"}
    assert basins == {"ground": ("SUMP",), "roof": ("RAIN",), "yard": ("RAIN",)}
    lines = {run.upper: run for run in result.system.runs if run.pressure}
    assert set(lines) == {"SUMP", "RAIN"}
    assert {run.lower for run in lines.values()} == {"OUT"}
    pumped = design(everything.draft.applied(given))
    ground = next(station for station in result.system.stations if station.name == "SUMP")
    assert ground.inflow < 0.5 * pumped.system.stations[0].inflow  # rain no longer comes to the drain's pump
    document = changed(read_text(to_json(given), "job.json"), laid.draft.write_into)
    assert document.job == laid.draft.applied(given)


def test_no_second_basin_where_all_rain_falls() -> None:
    why = reason("apart", fall=0.05, wet=("south",), floor=-2.0, water="97 ft")
    assert why == "all roof and yard water falls to OUT by gravity: none is left for a basin of its own"


def test_no_pump_is_offered_for_rain_that_falls_by_itself() -> None:
    assert reason("pumped", fall=0.05, wet=()) == "all water falls to OUT by gravity: a pump would gain nothing"


def test_dry_wells_go_where_a_trench_has_no_room() -> None:
    """A strip of 14 ft before the house with buried lines 18 ft apart: room for a well, for no 20 ft of trench."""
    lines = tuple(
        {"name": f"line {east}", "kind": "electric", "depth": "2 ft, mapped", "located_by": "locate ticket",
         "route": [f"{east} ft, -34 ft", f"{east} ft, -3 ft"]}
        for east in range(-14, 70, 18)
    )  # fmt: skip
    data = lot(
        0.0, texture="sand", rate="20 ft/day", water="80 ft", kind="storm line", wet=(), utilities=lines, below=1.5
    )
    data["property"]["boundary"] = ["-20 ft, -34 ft", "60 ft, -34 ft", "60 ft, 44 ft", "-20 ft, 44 ft"]
    base = base_of(Job.model_validate(data), redraw=False)
    rain = rain_places(base)
    trench = soak_place(base, rain, "infiltration trench")
    assert isinstance(trench, str)
    assert "room for 20 ft of trench" in trench
    well = soak_place(base, rain, "dry well")
    assert not isinstance(well, str), well
    laid = lay(base, "soak")
    assert isinstance(laid, Laid)
    assert [point["kind"] for point in laid.draft.discharge] == ["dry well"]


def test_a_soakaway_spills_to_a_second_way_out_that_lies_lower() -> None:
    sand: dict[str, Any] = {"texture": "sand", "rate": "20 ft/day", "water": "80 ft", "wet": ()}
    for below, over in ((3.0, "OUT"), (-2.0, None)):
        laid = lay(base_of(job(fall=0.02, kind="storm line", below=below, **sand), redraw=False), "soak")
        assert isinstance(laid, Laid)
        (point,) = laid.draft.discharge
        assert point["soak"].get("overflow") == over


def test_dry_wells_are_tried_where_little_else_is_offered() -> None:
    found = compared("soak-lot/job")
    wells = of(found, "wells")
    assert [soak.kind for soak in wells.design.system.soaks] == ["dry well"]


def test_four_at_most_and_the_one_left_out_differs_least() -> None:
    made = [
        Made(laid=Laid(key=key, draft=Draft(), summary="", asks=()), job=job(), design=None, figures=figure, ways=ways)
        for key, figure, ways in (
            ("as-drawn", figures("9000"), ways_like("AAA")), ("gravity", figures("9000"), ways_like("BBB")),
            ("split", figures("9500"), ways_like("CCC")), ("apart", figures("9900"), ways_like("CCD")),
            ("pumped", figures("9000"), ways_like("EEE")),
        )
    ]  # fmt: skip
    kept, dropped = most_different(made[::-1])
    assert [one.laid.key for one in kept] == ["as-drawn", "gravity", "split", "pumped"]
    assert [item.key for item in dropped] == ["apart"]
    assert "only P2 goes another way, for $9,900 against $9,500" in dropped[0].why


def ways_like(ends: str) -> Ways:
    """Three yards, the water of each to an end of one letter."""
    return frozenset(("yard", f"P{number}", end, ()) for number, end in enumerate(ends))


# -- what is drawn stays ------------------------------------------------------------------------

DRAWN: list[dict[str, Any]] = [
    {"name": "FD1", "duty": "footing drain", "from": "C", "to": "SUMP", "beside": ["east", "south"],
     "pipe": "d2729 4 in perforated"},
    {"name": "DL", "duty": "discharge line", "from": "SUMP", "to": "OUT", "via": ["45 ft, -30 ft"]},
]  # fmt: skip


def test_drawn_runs_stay_the_very_same_and_only_the_rest_is_proposed() -> None:
    given = job(fall=0.0, runs=DRAWN, basin={"name": "SUMP", "at": "-5 ft, -6 ft", "diameter": "30 in"})
    found = schemes(given)
    assert not found.redraw
    assert "stay as they are drawn" in found.how
    assert len(found.schemes) >= 2
    for scheme in found.schemes[1:]:
        assert scheme.job.works.runs[:2] == given.works.runs
        assert scheme.job.works.basin == given.works.basin
        assert {run.from_ for run in scheme.job.works.runs[2:]} >= {"DS1", "DS2", "CB1"}
    assert "a basin of its own, SUMP" in missing(found, "gravity").why
    assert "the job as drawn does the same by itself" in missing(found, "pumped").why


def test_a_basin_that_is_drawn_is_refused_with_what_its_leaving_out_would_bring() -> None:
    basin: dict[str, Any] = {"name": "SUMP", "at": "-5 ft, -6 ft"}
    low = reason("gravity", fall=0.0, kind="storm line", below=1.0, water="99 ft", wet=("south",), basin=basin)
    assert low.startswith("the job has a basin of its own, SUMP; without it the footing drain of the south wall")
    assert "below the storm line OUT" in low
    high = reason("gravity", fall=0.05, wet=("south",), water="96 ft", basin=basin)
    assert "a redraw (--redraw) may leave it out: what is open would fall away with" in high
    drawn = reason("gravity", fall=0.05, wet=("east", "south"), water="96 ft", runs=DRAWN, basin=basin)
    assert "to which FD1 leads as drawn" in drawn


def test_a_redraw_keeps_inlets_outlets_walls_and_the_basins_place_alone() -> None:
    given = job(
        fall=0.0, runs=DRAWN, basin={"name": "SUMP", "at": "50 ft, -12 ft", "diameter": "30 in", "depth": "7 ft"}
    )
    laid = lay(base_of(given, redraw=True), "pumped")
    assert isinstance(laid, Laid)
    works = laid.draft.applied(given).works
    assert (works.inlets, works.discharge) == (given.works.inlets, given.works.discharge)
    assert not {"FD1", "DL"} & {run.name for run in works.runs if run in given.works.runs}
    assert not isinstance(works.basin, str)
    assert not isinstance(given.works.basin, str)
    assert (works.basin.at, works.basin.diameter, works.basin.depth) == (given.works.basin.at, None, None)


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
    assert len(found.schemes) > 1
    asked = lay(base_of(given, redraw=True), "gravity")
    assert isinstance(asked, Missing)
    assert missing(found, "gravity") == asked


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
