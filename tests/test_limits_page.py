"""The pages of limits, methods and what comes after say the figures that the program holds."""

from __future__ import annotations

import math
import re
from pathlib import Path
from statistics import NormalDist

import pytest

from drainwright.build import days_doubt, handling, paving, trials
from drainwright.exchange import known_places
from drainwright.field import level_slips, levels, low_spots, plan_slips, set_levels, shot_sets, spikes, wall_feet
from drainwright.hydraulics import line_surface
from drainwright.job import ground_files
from drainwright.job import service as service_record
from drainwright.job.works import Criteria
from drainwright.learning import shrinkage
from drainwright.paper.documents import site_survey
from drainwright.proving import as_built, basins, lines, season, service, street
from drainwright.schemes import differing, soaking, trees
from drainwright.schemes import words as scheme_words
from drainwright.storm import cases, network
from drainwright.storm.engine import trying
from drainwright.storm.failures import listing, moment, more_water
from drainwright.storm.parts import ground_cells
from drainwright.storm.years import spells
from drainwright.system import bends, catalogue, zones
from drainwright.system.grading import costs
from drainwright.system.lift import float_marks, line_details
from drainwright.system.lift import season as pump_season
from drainwright.system.outlets import soak_sizing, soak_turn, soakaways
from drainwright.system.surface import grates, node_water
from drainwright.system.yard import basin_hole, cells, least_tree
from drainwright.water import flow_net, ground, moisture, travel, uncertainty
from drainwright.water.rain_process import fit

DOCS = Path(__file__).resolve().parents[1] / "docs"
PAGE, AFTER, METHODS = (
    " ".join((DOCS / name).read_text("utf-8").split()) for name in ("limits.md", "after.md", "methods.md")
)
FOOT, INCH, HOUR, YEAR = 0.3048, 0.0254, 3600.0, 31557600.0
WORDS = ("none", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")


def whole(value: float) -> int:
    """A value that must be a whole number, but for rounding."""
    assert math.isclose(value, round(value), rel_tol=1e-9), value
    return round(value)


def word(value: float) -> str:
    return WORDS[whole(value)]


SCANNED = (moment.COARSE - 1) * (moment.FINE - 1) ** moment.ROUNDS  # parts of the range that the last round tells apart
THICK = {surface: round(thick / INCH, 3) for surface, thick in paving.THICKNESS.items()}
SENTENCES = (
    f"until {word(levels.DECENT)} readings more than needed",
    f"in a book of more than {level_slips.LARGEST} readings or fewer than {level_slips.FEWEST} ground shots",
    f"Search is for one slip at a time, {word(plan_slips.MOST)} at most",
    f"({set_levels.AGREES:g} m off in the middle is a caution, {set_levels.OFF:g} m fails)",
    f"must begin within {whole(shot_sets.AWAY / FOOT)} ft of the house",
    f"{word(spikes.TIMES)} times the roughness round it",
    f"A job keeps {ground_files.MOST_SHOTS:,} shots",
    f"Sheet flow counts for {whole(travel.SHEET_LIMIT / FOOT)} ft at most",
    f"roots leave a {'fifth' if listing.ROOTED == 0.2 else '?'} of a line's capacity",
    f"a pump that runs dry burns out in {'an hour' if listing.DRY_RUN == HOUR else '?'}",
    f"a {'quarter' if more_water.STRIP == 0.25 else '?'} of the largest yard's water comes as the neighbour's",
    f"the wall as {whole(flow_net.WALL_THICKNESS / INCH)} in thick",
    f"{whole(ground.ASSUMED_LAYER / FOOT)} ft of it where no barrier is known",
    f"water is taken {whole(ground.LEAST_INFLUENCE)} m off at least",
    f"a row of {word(ground_cells.CELLS)} cells on each side",
    f"over cells of {cells.LEAST_CELL:g} m and more",
    f"A shot within {round(wall_feet.NEAR_WALL / FOOT, 1):g} ft of a wall",
    f"for {whole(wall_feet.UNTOLD / FOOT)} ft either way",
    f"its edge runs more than {low_spots.NEAR:g} m from any shot",
    f"the known places tell it above 1 in {1 / known_places.SCALE_DOUBT:,.0f}",
    f"{'an inch' if grates.SET_LOW == INCH else '?'} of water over it is counted on",
    f"Turns are made to the nearest {whole(bends.TURN - 0.5)}-1/2 degrees",
    f"({bends.IN_JOINTS:g} degrees: common practice, no source)",
    f"ground water of a wet season of {pump_season.WET_DAYS:g} days alone",
    f"(more than {whole(100 * spells.OTHER_STEP)} % of its rain in rows after a longer time",
    f"narrower than an {'eighth' if moment.COARSE - 1 == 8 else '?'} of the storm",
    f"to a {'two-hundredth' if round(SCANNED, -2) == 200 else '?'} of its range",
    f"(`criteria.shield_panels`, {whole(Criteria().shield_panels / INCH)} in",
    f"taken up {whole(paving.BEYOND / INCH)} in past each, on a base of {whole(paving.BASE / INCH)} in",
    f"({THICK['concrete']:g} in of concrete, {THICK['asphalt']:g} in of asphalt)",
    f"Trees of more than {word(least_tree.EXACT)} places are found by exchanges",
    f"in steps of {whole(math.degrees(soak_turn.STEP))} degrees",
    f"at bends {line_surface.BEND:g} of the velocity head a degree",
    f"a storey ({whole(node_water.STOREY / FOOT)} ft) above the ground",
    f"A trench grows no wider than {whole(max(soak_sizing.NARROW) / FOOT)} ft or longer than "
    f"{whole(soak_sizing.LONGEST / FOOT)} ft by itself",
    f"wells no wider than {whole(max(soak_sizing.WELLS) / FOOT)} ft and no more than {word(soak_sizing.MOST_WELLS)}",
    f"up to what a line's uncertain depth asks {costs.KNOWN_WORTH:,.0f} a metre",
    f"the separation from water lines {costs.CLEARANCE_WORTH:,.0f} (the 11 in",
    f"(the 11 in from the least gap to a foot: {round(costs.CLEARANCE_WORTH * 11 * INCH, -1):.0f}, or 3 m³",
    f"swing check shuts late ({line_details.SWING_DELAY:g} s)",
    f"turn over {whole(math.degrees(float_marks.SWING))} degrees above and below its tie",
    f"{word(zones.MOST_ON_ONE_MAIN).capitalize()} basins at most share one discharge line",
    f"sought on cells of {soaking.CELL:g} m, on {word(len(soaking.BEARINGS))} bearings",
    f"the grading judges what comes within {whole(1000 * trees.HAIR)} mm of it",
    f"Of more than {word(differing.MOST)} schemes",
    f"That prices within {whole(100 * scheme_words.LIKE)} % are alike",
    f"{'half a foot' if math.isclose(network.POND_DEPTH, FOOT / 2) else '?'} deep, which may hold more",
    f"still rises by {whole(1000 * HOUR * cases.RISING)} mm an hour when the record ends, or by "
    f"{1000 * HOUR * cases.CREEPING:g} mm towards ground water above the floor, goes on without rain, to "
    f"{whole(cases.LONGEST / HOUR)} h at most",
    f"after {'two thousand' if trying.MANY == 2000 else '?'} forced steps, in steps of "
    f"{'a second' if trying.COARSE == 1.0 else '?'}",
    f"Between spells, {word(spells.APART / HOUR)} hours or more apart",
    f"square, {whole(basin_hole.HOLE_ROOM / INCH)} in wider than the body all round",
    f"({whole(100 * days_doubt.LOST)} % where the job says nothing)",
    f"A machine leaves {handling.FACE / FOOT:g} ft of soil at a wall",
    f"common to them by {shrinkage.SHARED:g} (assumed)",
    f"({fit.YEARLY_OVER_DAY:g} times the two-year day, {whole(1000 * fit.STORM_DEPTH)} mm a storm",
)  # fmt: skip


AFTERWARDS = (
    f"from {whole(100 * basins.LEAST)} % to {whole(100 * basins.MOST)} % of the expected flow",
    f"below {'a litre a minute' if math.isclose(basins.LEAK, 1e-3 / 60) else '?'}",
    f"within {'an inch' if basins.FLOAT == INCH else '?'} of the design",
    f"at {whole(100 * lines.KEPT)} % or above",
    f"more than {'half an inch' if math.isclose(as_built.LEVEL_APART, INCH / 2) else '?'} "
    f"(places: {word(as_built.PLACE_APART / INCH)} inches)",
    f"every {service.USUAL} months; every {service.HALF} where roots reach the lines",
    f"a tree stands within {whole(service.LEAF_REACH / FOOT)} ft of a grate",
    f"(not below {service.LEAST} months)",
    f"(not over {service.MOST})",
    f"before its sump is {whole(100 * service_record.FULL)} % full",
    f"or {whole(100 * service.READ_WITHIN)} % of it",
    f"to last {pump_season.SWITCH_CYCLES:,} starts",
    f"a deviation of {season.POROSITY_SPREAD:g} in its logarithm, c about {season.RECHARGED[0]:g}, the direct share "
    f"{season.DIRECT[0]:g} ± {season.DIRECT[1]:.2f}; a day is in error by {season.COUNTED:g} starts and "
    f"{whole(100 * season.SCALE)} %",
    f"more than {word(season.FAR)} errors from all soils",
    f"more than {'a tenth' if season.MOST_OUT == 0.1 else '?'} of the days are such",
    f"a factor of {street.LOTS:g} each way between two lots",
)  # fmt: skip

assert level_slips.MOST == plan_slips.MOST  # the page says it of both
USUAL = Criteria()
METHOD = (
    f"slips sought one at a time, {word(level_slips.MOST)} at most",
    f"error ellipses at {whole(100 * (1 - math.exp(-(site_survey.IN_PLAN**2) / 2)))} %",
    f"counts with {moisture.SEEN:g} of its logarithm",
    f"{whole(ground.ASSUMED_LAYER / FOOT)} ft below the drain where nobody found it",
    f"Sichardt's reach, {whole(ground.LEAST_INFLUENCE)} m off at least",
    f"{uncertainty.COUNT:,} stratified draws of all inputs",
    f"{'nine of ten' if math.isclose(NormalDist().cdf(uncertainty.NINE_OF_TEN), 0.95) else '?'} lie within an "
    f"input's range",
    f"(C {catalogue.PLASTIC_C:g} for plastic",
    f"even rains of {whole(min(soakaways.DURATIONS) / 60)} minutes to {whole(max(soakaways.DURATIONS) / HOUR)} hours",
    f"what {'half' if days_doubt.LIKELY == 0.5 else '?'} and {'eight of ten' if days_doubt.BAD == 0.8 else '?'} of "
    f"{trials.COUNT} trials keep",
    f"unsure the book is of a rate ({shrinkage.UNSURE:g}), how much jobs differ ({shrinkage.SPREAD:g})",
)
assert USUAL.roof_return_period == USUAL.yard_return_period == USUAL.soak_return_period  # one row of the table
CRITERIA = (
    f"| once in {whole(USUAL.roof_return_period / YEAR)} years each |",
    f"| once in {whole(USUAL.storm_return_period / YEAR)} years, {whole(USUAL.storm_duration / HOUR)} h long |",
    f"| {whole(USUAL.roof_time / 60)} min; {whole(USUAL.minimum_time / 60)} min |",
    f"| What of a roof catches rain | its {USUAL.roof_rule} |",
    f"| 1/{whole(1 / (12 * USUAL.minimum_grade))} in/ft; {100 * USUAL.least_grade:g} % |",
    f"| {whole(100 * USUAL.maximum_fill)} % of the diameter at most |",
    f"| {whole(USUAL.minimum_cover / INCH)} in; {whole(USUAL.traffic_cover / INCH)} in |",
    f"| Footing drain below the floor's underside | {whole(USUAL.drain_below_floor / INCH)} in |",
    f"| {whole(USUAL.minimum_velocity / FOOT)} to {whole(USUAL.maximum_velocity / FOOT)} ft/s |",
    f"| {USUAL.pump_margin:g} times; {whole(HOUR * USUAL.maximum_starts)} an hour at most; "
    f"{whole(USUAL.minimum_run / 60)} min |",
    f"| Head that a worn pump has lost | {whole(100 * USUAL.pump_wear)} % |",
    f"| Openings of a grate that are clogged | {whole(100 * USUAL.grate_clogging)} % |",
    f"| Power cut | {whole(USUAL.power_cut / HOUR)} h |",
    f"| Safety against uplift | {USUAL.uplift_safety:g} |",
    f"| Footing's wedge, run over fall | {USUAL.bearing_slope:g} |",
    f"| From a pipe to a buried line, outside to outside | {whole(USUAL.utility_clearance / INCH)} in |",
    f"| within {whole(USUAL.soak_empty / HOUR)} h |",
)  # fmt: skip


@pytest.mark.parametrize("sentence", [*METHOD, *CRITERIA], ids=lambda sentence: sentence[:40])
def test_the_page_of_methods_does_too(sentence: str) -> None:
    assert sentence in METHODS


def test_each_usual_value_on_the_page_is_held() -> None:
    """A row of the table of what is taken that no constant stands behind would go stale unseen."""
    told = METHODS[METHODS.index("| What | Usual |") : METHODS.index("## How a figure is known")]
    rows = [row.strip() for row in re.findall(r"\| ([^|]+ \| [^|]+) \|", told)[1:]]
    assert len(rows) == len(CRITERIA)
    assert [row for row in rows if not any(held.strip("| ") in row for held in CRITERIA)] == []


def test_the_time_of_the_grading_is_that_of_the_benchmarks_table() -> None:
    """The page had 0.13 and 0.41 s while the table beside it said 0.25 and 0.66."""
    tried = (DOCS / "tried.md").read_text("utf-8")
    found = re.search(r"of this process: median ([\d.]+) s, .*? worst ([\d.]+) s", tried)
    assert found is not None
    assert f"half took {found[1]} s of one core or less, the worst {found[2]} s." in PAGE


@pytest.mark.parametrize("sentence", AFTERWARDS, ids=lambda sentence: sentence[:40])
def test_the_page_of_what_comes_after_does_too(sentence: str) -> None:
    assert sentence in AFTER


@pytest.mark.parametrize("sentence", SENTENCES, ids=lambda sentence: sentence[:40])
def test_the_page_says_what_the_program_holds(sentence: str) -> None:
    assert sentence in PAGE
