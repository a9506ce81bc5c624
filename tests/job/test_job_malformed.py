"""Malformed jobs, each with one fault, and what must be said of it: line, path, words.

Every file differs from ``small.yaml`` in one place, or is a few lines of something that is no job.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from drainwright.errors import JobError
from drainwright.job import read_document, read_job
from drainwright.job.reading import read_text

HERE = Path(__file__).parent
FOLDER = HERE / "malformed"

# The faults of these bring others with them, which are rightly reported too.
SEVERAL = {
    "alias_bomb", "anchor_and_alias", "point_named_as_an_inlet", "point_named_floor", "points_lean_in_a_circle",
    "rain_durations_not_rising", "run_from_a_discharge_point", "self_crossing_house", "two_points_of_one_name",
}  # fmt: skip

CASES: tuple[tuple[str, int | None, str, tuple[str, ...]], ...] = (  # file, line, path, words
    ("absent_downspout.yaml", 32, "roofs[0].to", ("'DS9'", "a downspout", "did you mean 'DS'?")),
    ("absent_inlet.yaml", 36, "yards[0].to", ("'CD'", "an inlet, or 'away'", "did you mean 'CB'?")),
    ("absent_run_end.yaml", 43, "works.runs[2].to", ("'SUM'", "did you mean 'SUMP'?")),
    ("absent_wall.yaml", 41, "works.runs[0].beside[0]", ("'sout'", "name of a wall", "did you mean 'south'?")),
    ("alias_bomb.yaml", 2, "a0", ("an anchor (&a0)", "remove the anchor")),
    ("anchor_and_alias.yaml", 2, "title", ("an anchor (&t)",)),
    ("bad_date.yaml", 3, "date", ("'2024-13-45'", "a date")),
    ("bad_level.yaml", 23, "house.walls[0].footing_bottom", ("'2 ft below'", "a level")),
    ("bad_name.yaml", 20, "house.walls[0].name", ("'south wall'", "a name of at most 24")),
    ("bad_place.yaml", 58, "works.discharge[0].at", ("'-20' (a number without a unit)",)),
    ("bare_number.yaml", 49, "works.basin.off", ("8 (a number without a unit)", "a length", "write '8 ft' (or '8 m')")),
    ("bare_number_in_a_fact.yaml", 32, "roofs[0].area", ("500 (a number without a unit)", "an area", "'500 ft2'")),
    ("basin_rim_below_its_pipe.yaml", 47, "works.basin.rim", ("the rim of SUMP at 97.00 ft",)),
    ("boolean_for_a_quantity.yaml", 50, "works.basin.on", ("True", "a length")),
    ("breakline_to_an_absent_point.yaml", 16, "survey.breaklines[0].points[1]", ("'PP'", "did you mean 'P'?")),
    ("breakline_without_a_level.yaml", 16, "survey.breaklines[0].points[1]", ("'Q', which has no level",)),
    ("colon_in_a_text.yaml", 2, "", ("a second ':'", "quotes")),
    ("control_character_escaped.yaml", 2, "title", ("a control character (U+0000)",)),
    ("corner_given_twice.yaml", 16, "house.outline[4]", ("A again", "closes by itself")),
    ("date_long_ago.yaml", 3, "date", ("0024-05-02", "between 1900 and 2100")),
    ("duplicate_key.yaml", 4, "title", ("the key 'title' again", "the first is on line 2")),
    ("empty.yaml", None, "", ("an empty document", "schema_version")),
    ("empty_outline.yaml", 16, "house.outline", ("at least 3 entries",)),
    ("fault_in_a_union.yaml", 47, "works.basin.rim", ("100 (a number without a unit)", "a length")),
    ("float_above_the_rim.yaml", 51, "works.basin.alarm", ("4 ft 2 in, above the basin's rim", "4 ft")),
    ("float_order.yaml", 50, "works.basin.on", ("6 in, not above 'off' at 8 in", "off below on below alarm")),
    ("footing_above_the_floor.yaml", 23, "house.walls[0].footing_bottom", ("not below the floor",)),
    (
        "inlet_below_its_pipe.yaml",
        39,
        "works.inlets[0].rim",
        ("the rim of CB at 97.80 ft", "above the invert_from of run Y at 98.00 ft"),
    ),
    ("invalid_utf8.yaml", 2, "", ("not UTF-8 (0xe9)", "save the file as UTF-8")),
    ("locate_answer_for_no_line.yaml", 63, "locates.answers[0].line", ("'gass'", "the name of a utility, or a kind")),
    ("key_that_is_a_list.yaml", 2, "", ("a key that is not a word",)),
    (
        "level_too_far_below.yaml",
        23,
        "house.walls[0].footing_bottom",
        ("'2000 ft'", "an offset from a level of at most"),
    ),
    ("level_below_minus.yaml", 23, "house.walls[0].footing_bottom", ("leave out the minus sign",)),
    (
        "level_from_a_point_without_one.yaml",
        23,
        "house.walls[0].footing_bottom",
        ("'Q', which has no level", "level book"),
    ),
    ("list_at_the_top.yaml", 1, "", ("a list at the top", "a mapping")),
    ("list_for_a_mapping.yaml", 24, "ground", ("a list", "a mapping")),
    (
        "lot_too_wide.yaml",
        58,
        "works.discharge[0].at",
        ("a place 8,96", "within a square of 6,562 ft", "check the units"),
    ),
    ("loop_of_runs.yaml", 41, "works.runs[0]", ("in a circle: F > Z > Y",)),
    ("mark_cut_by_a_comma.yaml", 32, "roofs[0].measured", ('put it in quotes: area: "500 ft2, measured"',)),
    ("mapping_for_a_list.yaml", 38, "works.inlets", ("a mapping", "a list")),
    ("missing_alias_key.yaml", 20, "house.walls[0].from", ("'from', which is required",)),
    ("missing_key.yaml", 15, "house.floor", ("nothing", "'floor', which is required")),
    ("missing_point.yaml", 16, "house.outline[3]", ("'DD'", "a point or corner", "did you mean 'D'?")),
    ("misspelt_required_key.yaml", 18, "house.flor", ("unknown key 'flor'", "did you mean 'floor'?")),
    ("misspelt_unit.yaml", 48, "works.basin.depth", ("unknown unit", "did you mean '4 feet'?")),
    ("negative_depth.yaml", 48, "works.basin.depth", ("'-4 ft'", "above zero")),
    ("not_a_number.yaml", 48, "works.basin.depth", ("nan", "not a finite number")),
    ("nul_byte.yaml", 2, "", ("binary content",)),
    (
        "note_cut_by_a_comma.yaml",
        10,
        "survey.points[4].over the storm line",
        ('put it in quotes: note: "street, over the storm line"',),
    ),
    ("number_for_a_text.yaml", 2, "title", ("12345", "a text", "in quotes")),
    ("number_too_large.yaml", 48, "works.basin.depth", ("inf", "a length")),
    ("only_comments.yaml", None, "", ("an empty document",)),
    ("only_one_tie.yaml", 11, "survey.points[5]", ("two ties or more",)),
    ("percent_over_100.yaml", 37, "criteria.grate_clogging", ("140 %", "at most 100 %")),
    ("place_cut_by_a_comma.yaml", 58, "works.discharge[0].-20 ft", ('in quotes: at: "60 ft, -20 ft"',)),
    ("pipe_below_the_basin_floor.yaml", 42, "works.runs[1].invert_to", ("95.50 ft", "the floor of SUMP at 96.00 ft")),
    ("point_named_as_an_inlet.yaml", 39, "works.inlets[0].name", ("'P' again", "one set of names")),
    ("point_named_floor.yaml", 10, "survey.points[4].name", ("'floor'", "are taken")),
    ("points_lean_in_a_circle.yaml", 10, "survey.points[4]", ("leans in a circle on Q",)),
    ("pump_curve_not_falling.yaml", 56, "works.basin.pump.curve[1].head", ("28 ft after 20 ft", "heads that fall")),
    ("pump_flows_not_rising.yaml", 56, "works.basin.pump.curve[1].flow", ("40.0 gpm after 50.0 gpm",)),
    ("python_tag.yaml", 2, "title", ("a tag", "remove the tag")),
    ("rain_durations_not_rising.yaml", 30, "rain.table[1].duration", ("5 min after 5 min",)),
    ("rain_falls_with_the_duration.yaml", 30, "rain.table[1].depths[0]", ("below 0.40 in of the shorter rain",)),
    (
        "rain_falls_with_the_return_period.yaml",
        30,
        "rain.table[1].depths[2]",
        ("4.00 in after 5.00 in", "rise with the return period"),
    ),
    ("rain_file_elsewhere.yaml", 27, "rain.file", ("'../../rain.csv'", "in the job's folder or below")),
    ("rain_more_intense_when_longer.yaml", 30, "rain.table[1].depths[2]", ("more intense than the shorter rain",)),
    ("rain_periods_not_rising.yaml", 27, "rain.return_periods[2]", ("10 yr after 25 yr",)),
    ("rain_row_too_short.yaml", 26, "rain", ("2 depths in row 1", "expected 3")),
    (
        "rod_too_long.yaml",
        14,
        "survey.level_book[1].intermediate",
        ("'49.0 ft'", "at most 25 ft", "a rod is no longer than 25 ft: was 4.90 ft meant?"),
    ),
    ("roof_too_large.yaml", 32, "roofs[0].area", ("'1e8 ft2'", "expected an area of at most 1,076,000 ft2")),
    ("run_from_a_discharge_point.yaml", 43, "works.runs[2].from", ("leaves the discharge point 'OUT'",)),
    (
        "run_that_ends_nowhere.yaml",
        43,
        "works.runs[2].to",
        ("'C', from where no run goes on", "a basin, a discharge point"),
    ),
    (
        "run_uphill.yaml",
        42,
        "works.runs[1].invert_from",
        ("the upper end at 98.00 ft", "above the lower end at 98.50 ft"),
    ),
    ("section_left_empty.yaml", 24, "ground", ("nothing", "a mapping")),
    ("self_crossing_house.yaml", 16, "house.outline[2]", ("crosses side A-C", "corners in order")),
    (
        "storm_beyond_the_table.yaml",
        38,
        "criteria.storm_return_period",
        ("100 yr, which the rain table does not cover", "2 yr to 25 yr"),
    ),
    ("stone_sizes_reversed.yaml", 39, "works.stone.d85", ("5 mm, below 'd15' of 20 mm", "exchanged?")),
    ("soil_sizes_reversed.yaml", 27, "ground.grading.d85", ("0.2 mm, below 'd50' of 1 mm",)),
    (
        "more_fines_than_the_sizes_leave.yaml",
        27,
        "ground.grading.fines",
        ("60 % finer than 0.075 mm", "'d15' above it", "less than 18 %"),
    ),
    (
        "fewer_fines_than_the_sizes_ask.yaml",
        27,
        "ground.grading.fines",
        ("10 % finer than 0.075 mm", "'d50' below it", "50 % or more"),
    ),
    (
        "steepest_below_flattest_grade.yaml",
        39,
        "criteria.maximum_grade",
        ("0.50 %, below 'minimum_grade' of 1.04 %",),
    ),
    (
        "least_speed_above_the_most.yaml",
        39,
        "criteria.minimum_velocity",
        ("13.1 ft/s, above 'maximum_velocity' of 8.00 ft/s",),
    ),
    ("shaping_at_an_absent_wall.yaml", 46, "works.shaping[0].wall", ("'sout'", "did you mean 'south'?")),
    ("shaping_ends_before_it_begins.yaml", 46, "works.shaping[0]", ("ends before it begins", "'to' beyond 'from'")),
    ("shaping_twice_at_one_place.yaml", 37, "works", ("two strips over each other along the wall 'south'", "once")),
    ("shaping_too_steep.yaml", 46, "works.shaping[0]", ("steeper than 1 in 3", "a wider strip")),
    ("soak_at_daylight.yaml", 59, "works.discharge[0].soak", ("whose kind is 'daylight'", "dry well")),
    ("soak_overflow_into_itself.yaml", 59, "works.discharge[0].soak.overflow", ("comes back: OUT > OUT",)),
    ("soak_overflow_to_an_inlet.yaml", 59, "works.discharge[0].soak.overflow", ("'CB'", "another discharge point")),
    ("soak_overflows_in_a_circle.yaml", 59, "works.discharge[0].soak.overflow", ("OUT > W > OUT",)),
    ("two_basins_of_one_name.yaml", 59, "works.more_basins[0].name", ("'SUMP' again", "the first is works.basin")),
    ("basin_pumped_two_ways.yaml", 46, "works.runs[4].from", ("a second way down from 'SUMP'", "the duty 'overflow'")),
    ("two_pumps_of_one_name.yaml", 40, "pumps[1].name", ("'X' again", "the first is pumps[0]")),
    ("pump_port_unknown.yaml", 55, "works.basin.pump.discharge_size", ("'garden hose'", "like '1-1/2 in'")),
    ("pump_that_must_not_start.yaml", 55, "works.basin.pump.starts_limit", ("'0 /h'", "above zero")),
    ("battery_that_gives_nothing.yaml", 53, "works.basin.battery.current", ("0.0", "above 0")),
    (
        "protected_outline_that_crosses_itself.yaml",
        40,
        "property.protected[0].at[2]",
        ("which crosses side", "corners in order"),
    ),
    ("two_protected_of_one_name.yaml", 41, "property.protected[1].name", ("'well' again",)),
    ("place_rule_without_words.yaml", 40, "rules.checklist[0].demand", ("''", "not empty")),
    ("pipes_that_may_not_fill.yaml", 39, "criteria.maximum_fill", ("0.0", "above 0")),
    ("cloth_without_openings.yaml", 39, "works.cloth.opening", ("'0 mm'", "above zero")),
    ("stray_level_reading.yaml", 14, "survey.level_book[1].point", ("'PP'", "did you mean 'P'?")),
    ("tab_indentation.yaml", 3, "", ("a tab", "indent with spaces")),
    ("table_and_file.yaml", 26, "rain", ("either a 'table'", "or a 'file'")),
    ("text_at_the_top.yaml", 1, "", ("'just some words' at the top",)),
    ("tie_from_itself.yaml", 11, "survey.points[5].ties[1].from", ("'Q'", "another point")),
    ("thousands_cut_by_a_comma.yaml", 36, "yards[0].900 ft2", ('in quotes: area: "1,900 ft2"',)),
    ("trailer_that_carries_nothing.yaml", 37, "equipment.trailer_payload", ("'0 lb'", "a mass, above zero")),
    ("trailer_of_a_few_pounds.yaml", 37, "equipment.trailer_payload", ("may carry 5 lb", "of 110 lb")),
    ("trailer_less_than_a_barrow.yaml", 37, "equipment", ("smaller than one round", "takes a round")),
    ("two_breaklines_of_one_name.yaml", 17, "survey.breaklines[1].name", ("'kerb' again",)),
    ("two_discharges_of_one_name.yaml", 59, "works.discharge[1].name", ("'OUT' again",)),
    ("two_documents.yaml", 59, "", ("a second document", "one job")),
    ("two_points_of_one_name.yaml", 8, "survey.points[2].name", ("'B' again", "the first is survey.points[1]")),
    ("two_runs_from_one_place.yaml", 43, "works.runs[2].from", ("a second way down from 'CB'", "run Y")),
    ("two_ties_from_one_point.yaml", 11, "survey.points[5].ties", ("only 'A'", "two points")),
    ("two_ways_to_fix_a_point.yaml", 10, "survey.points[4]", ("one way to fix the point",)),
    ("unclosed_bracket.yaml", 3, "", ("not YAML",)),
    (
        "unknown_key.yaml",
        18,
        "house.flor_thickness",
        ("unknown key 'flor_thickness'", "did you mean 'floor_thickness'?"),
    ),
    ("utf16.yaml", None, "", ("UTF-16",)),
    ("utility_here_and_absent.yaml", 39, "utilities_absent[1]", ("'gas', which is also among the utilities",)),
    ("version_missing.yaml", None, "schema_version", ("nothing", "add the line: schema_version: 1")),
    ("version_no_number.yaml", 1, "schema_version", ("'one'", "the format number")),
    ("version_too_new.yaml", 1, "schema_version", ("2", "newer Drainwright")),
    ("walk_that_crosses_itself.yaml", 25, "house.outline[2]", ("K3-K4, which crosses side K1-K2",)),
    ("wall_not_on_the_outline.yaml", 20, "house.walls[0]", ("from A to C", "no side of the outline")),
    ("work_before_the_visit.yaml", 37, "crew.start", ("2023-05-02", "before the visit")),
    ("wrong_choice.yaml", 25, "ground.texture", ("'sandy lome'", "one of: sand,", "did you mean 'sandy loam'?")),
    (
        "wrong_choice_in_a_union.yaml",
        45,
        "works.basin",
        ("'if need be'", "one of: if needed, none", "did you mean 'if needed'?"),
    ),
    ("wrong_unit.yaml", 10, "survey.points[4].distance", ("44 gpm", "a length", "measures a flow")),
    ("yaml_directive.yaml", 2, "", ("a directive (%)",)),
    ("tape_to_itself.yaml", 15, "survey.tapes[0].to", ("'A' at both ends",)),
    ("tape_to_an_absent_point.yaml", 15, "survey.tapes[0].to", ("'CC'", "did you mean 'C'?")),
    ("tape_without_a_length.yaml", 15, "survey.tapes[0].distance", ("'distance', which is required",)),
    ("tape_of_nothing.yaml", 15, "survey.tapes[0].distance", ("'0 ft'", "above zero")),
    (
        "tape_accuracy_too_coarse.yaml",
        15,
        "survey.tape_accuracy",
        ("'12 ft'", "a standard error of a length of at most 3.3 ft"),
    ),
    ("turn_accuracy_too_coarse.yaml", 15, "survey.turn_accuracy", ("'90 deg'", "at most 45 deg")),
    ("turn_accuracy_of_nothing.yaml", 15, "survey.turn_accuracy", ("'0 deg'", "an angle, above zero")),
    ("rod_accuracy_without_a_unit.yaml", 15, "survey.rod_accuracy", ("0.005 (a number without a unit)",)),
    ("breakline_drop_upwards.yaml", 15, "survey.breaklines[0].drop", ("'-6 in'", "zero or more")),
    ("breakline_kind_unknown.yaml", 15, "survey.breaklines[0].kind", ("'curb'", "one of: wall, kerb")),
    ("shot_set_without_shots.yaml", 15, "survey.shot_sets[0]", ("either a 'file' or 'shots'",)),
    ("shot_set_with_both.yaml", 16, "survey.shot_sets[0]", ("either a 'file' or 'shots'",)),
    ("shot_without_a_level.yaml", 15, "survey.shot_sets[0].shots[0][2]", ("nothing",)),
    ("shot_far_off.yaml", 20, "survey.shot_sets[0].shots[2]", ("a place 8,9", "a lot within a square of 6,562 ft")),
    ("shots_on_another_datum.yaml", 18, "survey.shot_sets[0].shots[0]", ("1,999 ft above the middle", "level_shift")),
    ("two_shot_sets_of_one_name.yaml", 21, "survey.shot_sets[1].name", ("'lot' again",)),
    ("known_place_alone.yaml", 16, "survey.shot_sets[0]", ("one place in 'known'", "two or more")),
    ("known_places_without_a_unit.yaml", 16, "survey.shot_sets[0]", ("a 'unit' for 'in_file'",)),
    ("known_place_in_words.yaml", 22, "survey.shot_sets[0].known[0].in_file[0]", ("'0 ft'", "a number")),
    ("backdrop_without_a_file.yaml", 15, "survey.backdrop", ("either a 'file' or a 'picture'",)),
    ("backdrop_elsewhere.yaml", 15, "survey.backdrop.file", ("'../plat.png'", "in the job's folder or below")),
    ("point_on_another_datum.yaml", 9, "survey.points[3].level", ("'100 km'", "at most 32,800 ft")),
    ("floor_on_another_datum.yaml", 18, "house.floor", ("1,500 ft above the middle of the others", "within 984 ft")),
    ("hand_texture_in_a_word.yaml", 25, "ground.hand_texture", ("'clayey'", "a mapping")),
    ("hand_texture_without_a_ball.yaml", 25, "ground.hand_texture.ball", ("'ball', which is required",)),
    ("no_texture.yaml", 24, "ground.texture", ("'texture', which is required",)),
    ("hole_without_its_water.yaml", 27, "ground.hole_tests[0]", ("'water_depth', the water at rest",)),
    ("hole_read_below_its_bottom.yaml", 27, "ground.hole_tests[0]", ("a reading deeper than the hole",)),
    ("hole_read_back_in_time.yaml", 27, "ground.hole_tests[0]", ("in the order of their times",)),
    ("hole_read_once.yaml", 27, "ground.hole_tests[0].readings", ("at least 2 entries",)),
    ("hole_wider_than_a_room.yaml", 27, "ground.hole_tests[0]", ("a hole of no such width", "1 cm to 3 m")),
    ("two_hole_tests_of_one_name.yaml", 28, "ground.hole_tests[1].name", ("'pit' again",)),
    ("open_water_at_the_wall.yaml", 26, "ground.open_water.distance", ("'0 ft'", "a length, above zero")),
    ("open_water_without_a_level.yaml", 26, "ground.open_water.level", ("'level', which is required",)),
    ("open_water_unknown.yaml", 26, "ground.open_water.kind", ("'lake'", "one of: tide, canal")),
    ("low_above_the_value.yaml", 26, "ground.conductivity", ("a 'low' above the value itself",)),
    ("low_of_a_word.yaml", 25, "ground.texture", ("no 'low' beside a value that is not a number",)),
    ("low_from_another_place.yaml", 26, "ground.water_table", ("'low' from the same place as the value",)),
    ("rain_bounds_of_nothing.yaml", 26, "rain", ("a 'low' of zero in row 0", "above zero")),
    ("rain_low_above_its_depth.yaml", 26, "rain", ("a 'low' beyond its depth in row 0",)),
    ("rain_spread_over_100.yaml", 27, "rain.spread", ("'120 %'", "at most 100 %")),
    ("roof_rule_unknown.yaml", 37, "criteria.roof_rule", ("'half'", "one of: plan, half wall, wind")),
    ("wall_above_of_nothing.yaml", 32, "roofs[0].wall_above", ("'0 ft2'", "above zero")),
    ("flow_path_beside_a_length.yaml", 36, "yards[0]", ("both 'flow_path' and 'flow_length'",)),
    ("flow_path_of_glass.yaml", 36, "yards[0].flow_path[0].roughness", ("found 0", "above 0")),
    ("channel_without_its_depth.yaml", 36, "yards[0].flow_path[0]", ("'depth', 'width' and 'roughness'",)),
    ("yard_from_ground_with_an_area.yaml", 36, "yards[0]", ("'from_ground' and an area of its own",)),
    ("yard_from_ground_without_an_inlet.yaml", 36, "yards[0].to", ("'CBX'", "did you mean 'CB'?")),
    ("yard_along_a_line.yaml", 36, "yards[0].outline", ("enclose next to nothing",)),
    ("symptom_sign_unknown.yaml", 37, "symptoms[0].sign", ("'damp flor'", "did you mean 'damp floor'?")),
    ("symptom_spot_unknown.yaml", 37, "symptoms[0].spot", ("'attic'", "one of: wall base")),
    ("moisture_test_unknown.yaml", 37, "moisture_tests[0].kind", ("'smell'", "one of: plastic on floor")),
    ("moisture_test_of_another_result.yaml", 37, "moisture_tests[0]", ("'turns' for 'plastic on floor'", "wet behind")),
    ("boundary_inside_the_house.yaml", 5, "property.boundary", ("no corner of the house inside it", "measured from")),
    ("boundary_of_two_places.yaml", 5, "property.boundary", ("2 places", "three places or more")),
    ("boundary_along_a_line.yaml", 5, "property.boundary", ("enclose next to nothing",)),
    ("boundary_that_crosses_itself.yaml", 5, "property.boundary[2]", ("which crosses side",)),
    ("porosity_below_nothing.yaml", 26, "ground.drainable_porosity", ("'-5 %' (negative)", "a fraction")),
    ("rain_of_next_to_nothing.yaml", 29, "rain.table[0].depths[0]", ("next to nothing", "0.004 in or more")),
)


def problems_in(path: Path) -> list[str]:
    with pytest.raises(JobError) as caught:
        read_document(path)
    assert all(problem.file == str(path) for problem in caught.value.problems)
    return [f"{problem.line}|{problem.where}|{problem}" for problem in caught.value.problems]


@pytest.mark.parametrize(("name", "line", "path", "words"), CASES, ids=[case[0] for case in CASES])
def test_the_fault_is_told_with_its_line_path_and_remedy(
    name: str, line: int | None, path: str, words: tuple[str, ...]
) -> None:
    problems = problems_in(FOLDER / name)
    told = [text for text in problems if text.startswith(f"{line}|{path}|")]
    assert any(all(word.lower() in text.lower() for word in words) for text in told), problems
    assert name.removesuffix(".yaml") in SEVERAL or len(problems) == 1, problems


def test_every_malformed_file_is_expected() -> None:
    assert {path.name for path in FOLDER.iterdir()} == {case[0] for case in CASES}


def test_the_job_they_differ_from_is_right() -> None:
    assert read_job(HERE / "small.yaml").title == "A small job"


def test_found_is_short() -> None:
    for name, *_ in CASES:
        with pytest.raises(JobError) as caught:
            read_document(FOLDER / name)
        assert all(len(problem.found) <= 160 for problem in caught.value.problems)


def test_all_faults_are_told_at_once(tmp_path: Path) -> None:
    text = (HERE / "small.yaml").read_text(encoding="utf-8")
    for old, new in (("depth: 4 ft", "depth: 4"), ("texture: loam", "texture: lome"), ("at: P\n", "att: P\n")):
        assert old in text
        text = text.replace(old, new)
    path = tmp_path / "job.yaml"
    path.write_text(text, encoding="utf-8")
    wheres = [problem.split("|")[1] for problem in problems_in(path)]
    assert wheres == ["ground.texture", "works.basin.att", "works.basin.depth"]


def test_one_word_behind_a_comma_of_a_note_is_no_key() -> None:
    text = (FOLDER / "note_cut_by_a_comma.yaml").read_text().replace("street, over the storm line", "street, nearby")
    with pytest.raises(JobError, match='Put it in quotes: note: "street, nearby"'):
        read_text(text)


def test_a_misspelt_key_without_a_value_is_no_rest_of_a_name() -> None:
    text = (FOLDER / "note_cut_by_a_comma.yaml").read_text().replace("note: street, over the storm line", "distanc")
    with pytest.raises(JobError, match="unknown key 'distanc'") as error:
        read_text(text)
    assert "quotes" not in str(error.value)
