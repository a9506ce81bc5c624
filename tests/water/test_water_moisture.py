"""The ranking of moisture's causes: its tables, its arithmetic, its contradictions, the next test."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import combinations
from typing import Any, get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drainwright.errors import InputError
from drainwright.job.moisture import TESTS, MoistureTest, Sign, Spot, Symptom, When
from drainwright.sources import SOURCES
from drainwright.water import moisture, moisture_evidence, moisture_words
from drainwright.water.moisture import leads_clearly, rank_causes, share_words
from drainwright.water.moisture_evidence import CAUSES, FACTS, PRIOR, RESULTS, SIGNS, SPOTS, TIMES, TOGETHER, chances
from drainwright.water.moisture_model import HouseFacts, Moisture, MoistureSources, RankedCause
from drainwright.water.next_test import entropy, expected_gain, next_tests
from drainwright.water.wet_places import names_no_wall, wet_places

BASEMENT = HouseFacts(floor_kind="basement", texture="clay loam")
TIDAL = replace(BASEMENT, open_water=True, tidal=True)
CRAWL = HouseFacts(floor_kind="crawl space", texture="loam")
SLAB = HouseFacts(floor_kind="slab", texture="loam")


def seen(**told: Any) -> Symptom:
    return Symptom.model_validate({"what": "seen", **told})


def done(kind: str, result: str) -> MoistureTest:
    return MoistureTest.model_validate({"kind": kind, "result": result})


def share(found: MoistureSources, cause: Moisture) -> float:
    return of(found, cause).share


def of(found: MoistureSources, cause: Moisture) -> RankedCause:
    return next(item for item in found.causes if item.cause is cause)


# -- the tables --------------------------------------------------------------------------------


def test_tables_hold_every_word_of_the_job() -> None:
    assert set(SIGNS) == set(get_args(Sign))
    assert set(SPOTS) == set(get_args(Spot)) - {"yard", "unknown"}
    assert set(TIMES) == set(get_args(When)) - {"unknown"}
    assert set(RESULTS) == set(TESTS) == set(moisture_words.HOW)
    assert set(PRIOR) == set(moisture_words.REMEDIES) == set(Moisture)
    words = {*get_args(Sign), *get_args(Spot), *get_args(When)}
    assert all(set(pair) <= words for pair in TOGETHER)


def test_rows_are_whole_and_cite_what_is_known() -> None:
    rows = [*SIGNS.values(), *SPOTS.values(), *TIMES.values(), *TOGETHER.values(), *FACTS.values()]
    rows += [moisture_evidence.LOW_DAMP, moisture_evidence.HIGH_DAMP]
    assert all(len(row.grades) == len(CAUSES) for row in rows)
    assert all(row.source in SOURCES for row in rows)
    assert all(any(row.grades) for row in rows)  # a row that says nothing is no evidence
    assert set(moisture_evidence.TEST_SOURCES.values()) <= set(SOURCES)
    assert math.fsum(PRIOR.values()) == pytest.approx(1.0)


@pytest.mark.parametrize("test", TESTS)
def test_results_of_a_test_share_out_every_house(test: Any) -> None:
    each = [chances(test, result) for result in TESTS[test]]
    for column in range(len(CAUSES)):
        assert math.fsum(row[column] for row in each) == pytest.approx(1.0)
        assert all(0.0 < row[column] < 1.0 for row in each)


def test_a_result_that_a_test_has_not_is_refused() -> None:
    with pytest.raises(InputError, match="expected one of: turns, still"):
        chances("meter with taps shut", "wet behind")


# -- the arithmetic ----------------------------------------------------------------------------


def test_prior_and_evidence_add_up_to_the_odds() -> None:
    """Log odds of any two causes are the difference of their priors' logarithms and evidence."""
    symptoms = [
        seen(sign="salts on wall", when="wet season", height="8 in"),
        seen(sign="damp band on wall", when="always", spot="wall base"),
    ]
    found = rank_causes(symptoms, [], replace(BASEMENT, ground_falls_to_wall=True, table_below_floor=0.2))
    assert math.fsum(item.share for item in found.causes) == pytest.approx(1.0)

    def score(item: RankedCause) -> float:
        evidence = (*item.evidence_for, *item.evidence_against)
        return math.log(PRIOR[item.cause]) + math.fsum(piece.weight for piece in evidence)

    for one, other in combinations(found.causes, 2):
        assert math.log(one.share / other.share) == pytest.approx(score(one) - score(other))


def test_a_thing_seen_twice_counts_once() -> None:
    once = rank_causes([seen(sign="salts on wall", when="after rain")], [], BASEMENT)
    twice = rank_causes(
        [seen(sign="salts on wall", when="after rain", where=w) for w in ("west", "east")], [], BASEMENT
    )
    assert [item.share for item in twice.causes] == pytest.approx([item.share for item in once.causes])
    assert "west" in of(twice, Moisture.CAPILLARY_RISE).evidence_for[0].text


def test_signs_of_one_kind_do_not_count_as_independent() -> None:
    """Two signs of a leaking pipe: the second counts half, by hand from the table's grades."""
    both = rank_causes([seen(sign="warm spot on floor"), seen(sign="high water bill")], [], BASEMENT)
    pieces = of(both, Moisture.SUPPLY_LEAK).evidence_for
    weights = {piece.text.split(" (")[0]: piece.weight for piece in pieces}
    assert weights["warm spot on floor"] == pytest.approx(6 * math.log(2) * moisture.SEEN)
    assert weights["high water bill"] == pytest.approx(5 * math.log(2) * moisture.SEEN / 2)


def test_what_speaks_against_counts_half_beside_what_speaks_for() -> None:
    """Rain and humid weather, of condensation: +5 whole and -2 halved, by hand from the table's grades."""
    both = rank_causes([seen(sign="damp floor", when="humid weather"), seen(sign="water on floor", when="during rain")],
                       [], BASEMENT)  # fmt: skip
    found = of(both, Moisture.CONDENSATION)
    weights = {piece.text.split(" (")[0]: piece.weight for piece in (*found.evidence_for, *found.evidence_against)}
    assert weights["time: humid weather"] == pytest.approx(5 * math.log(2) * moisture.SEEN)
    assert weights["time: during rain"] == pytest.approx(-2 * math.log(2) * moisture.SEEN / 2)


def test_another_symptom_does_not_silence_a_cause_that_one_speaks_for() -> None:
    found = rank_causes([seen(sign="drops on cold surfaces", when="humid weather"), seen(sign="puddle against house",
                        when="during rain")], [], BASEMENT)  # fmt: skip
    assert {item.cause for item in found.causes[:2]} == {Moisture.CONDENSATION, Moisture.SURFACE_WATER}


# A house with two wet walls: the front after rain, the side for days after it, damp low down, white salts between.
COVE = seen(sign="water on floor", spot="floor edge", when="after rain", where="south wall")
SIDE = seen(sign="damp band on wall", spot="wall base", when="days after rain", height="14 in", where="west wall")
SALTS = seen(sign="salts on wall", spot="wall base", when="days after rain", where="SW corner")
PUDDLE = seen(sign="puddle against house", when="during rain", spot="yard", where="front bed")
CLAY = HouseFacts(
    floor_kind="basement", texture="clay", ground_falls_to_wall=True, water_stands_at_wall=True, run_on=True
)


def test_one_puddle_does_not_rule_ground_water_out() -> None:
    """It took ground water from 32 % to under 1 % and left no test worth its while."""
    wet = [COVE, SIDE, SALTS]
    dry_bed, with_puddle = (rank_causes(told, [], CLAY) for told in (wet, [*wet, PUDDLE]))
    for found in (dry_bed, with_puddle):
        assert found.causes[0].cause is Moisture.SURFACE_WATER
        assert found.next_test is not None
        assert found.next_test.test == "hose on ground at wall"
    assert share(dry_bed, Moisture.GROUND_WATER) > 0.2
    assert share(with_puddle, Moisture.GROUND_WATER) > 0.1
    odds = [share(one, Moisture.SURFACE_WATER) / share(one, Moisture.GROUND_WATER) for one in (dry_bed, with_puddle)]
    assert 1.0 < odds[1] / odds[0] < 4.0
    assert with_puddle.next_test is not None
    assert dict(zip([name for name, _ in with_puddle.next_test.outcomes], with_puddle.next_test.brought_close,
                    strict=True)) == {"wet inside": False, "stays dry": True}  # fmt: skip


def test_a_puddle_leans_on_the_shape_of_the_ground() -> None:
    """Both tell that water stands at the wall: by hand from the table's grades, 3 whole, 2 halved, 2 a quarter."""
    found = of(rank_causes([PUDDLE], [], replace(CLAY, run_on=None)), Moisture.SURFACE_WATER)
    weights = sorted((piece.weight / math.log(2) for piece in found.evidence_for), reverse=True)
    assert weights == pytest.approx([3.0, 1.0, 0.5])


def test_rain_at_a_puddle_is_no_time_at_which_the_house_is_wet() -> None:
    told = [seen(sign="damp floor"), seen(sign="puddle against house", when="during rain")]
    at_once, always = rank_causes(told, [], BASEMENT), rank_causes([told[0], seen(sign="puddle against house",
                                  when="always")], [], BASEMENT)  # fmt: skip
    texts = [piece.text for item in at_once.causes for piece in (*item.evidence_for, *item.evidence_against)]
    assert not any(text.startswith("time: during rain") for text in texts)
    assert share(always, Moisture.SUPPLY_LEAK) > share(at_once, Moisture.SUPPLY_LEAK)  # no rain fills that one


def test_what_is_seen_at_one_wall_does_not_count_against_another_wall_s_cause() -> None:
    """Days after rain at the side does not speak against surface water, which the front after rain speaks for."""
    apart, together = rank_causes([COVE, SIDE], [], BASEMENT), rank_causes(
        [item.model_copy(update={"where": "south wall"}) for item in (COVE, SIDE)], [], BASEMENT
    )  # fmt: skip
    unsaid = rank_causes([COVE, SIDE.model_copy(update={"where": ""})], [], BASEMENT)

    def against(found: MoistureSources) -> list[str]:
        return [item.text.split(" (")[0] for item in of(found, Moisture.SURFACE_WATER).evidence_against]

    assert "time: days after rain" not in against(apart)
    assert "time: days after rain" in against(together)
    assert "time: days after rain" in against(unsaid)  # it may have been at the front


@pytest.mark.parametrize("where", ["South", "the SOUTH  side", "south"])
def test_one_wall_written_in_two_ways_is_one_place(where: str) -> None:
    """As told at "south wall": what is seen there is not freed by the other way of writing it."""
    walls = ("south", "west")
    one, other = COVE.model_copy(update={"where": "south wall"}), SIDE.model_copy(update={"where": where})
    same = rank_causes([one, other.model_copy(update={"where": "south wall"})], [], BASEMENT, walls=walls)
    told = rank_causes([one, other], [], BASEMENT, walls=walls)
    assert [item.share for item in told.causes] == pytest.approx([item.share for item in same.causes])
    apart = rank_causes([one, other.model_copy(update={"where": "west wall"})], [], BASEMENT, walls=walls)
    assert [item.share for item in apart.causes] != pytest.approx([item.share for item in same.causes])


def test_words_name_the_walls_that_stand_in_them() -> None:
    walls = ("north", "north-crawl", "W 1")
    assert wet_places("North-Crawl wall", walls) == {"north-crawl"}  # not the wall whose name is part of it
    assert wet_places("north and W 1", walls) == {"north", "W 1"}
    assert wet_places("crawl side", walls) == {"north-crawl"}
    assert wet_places("", walls) == {""}
    assert names_no_wall("back wall", walls)
    assert not names_no_wall("laundry", walls)


def test_nothing_told_gives_no_ranking() -> None:
    found = rank_causes([Symptom(what="wet", when="after rain")], [], BASEMENT)
    assert found.causes == ()
    assert found.unread == ("wet",)
    assert found.drainage_is_remedy is None
    assert found.next_test is None
    assert "cannot be ranked" in found.verdict


def test_a_symptom_without_a_sign_is_named_and_not_used() -> None:
    with_it = rank_causes([seen(sign="joint leaks"), Symptom(what="odd", when="humid weather")], [], BASEMENT)
    without = rank_causes([seen(sign="joint leaks")], [], BASEMENT)
    assert with_it.unread == ("odd",)
    assert with_it.causes == without.causes


# -- what leads --------------------------------------------------------------------------------

LEADS: tuple[tuple[Moisture, bool | None, HouseFacts, dict[str, str]], ...] = (
    (Moisture.GROUND_WATER, True, BASEMENT, {"sign": "joint leaks", "when": "days after rain", "spot": "floor edge"}),
    (Moisture.GROUND_WATER, True, BASEMENT, {"sign": "sump runs", "when": "wet season"}),
    (Moisture.CAPILLARY_RISE, False, SLAB, {"sign": "damp band on wall", "when": "always", "height": "12 in"}),
    (Moisture.ROOF_WATER, True, replace(BASEMENT, downspouts_at_wall=2),
     {"sign": "water on floor", "when": "during rain", "spot": "one corner"}),
    (Moisture.ROOF_WATER, True, BASEMENT, {"sign": "gutter overflows", "when": "during rain"}),
    (Moisture.SURFACE_WATER, True, replace(SLAB, ground_falls_to_wall=True),
     {"sign": "puddle against house", "when": "after rain"}),
    (Moisture.WALL_RAIN, False, BASEMENT, {"sign": "damp patch on wall", "when": "during rain", "spot": "wall top"}),
    (Moisture.SUPPLY_LEAK, False, SLAB, {"sign": "warm spot on floor", "when": "always"}),
    (Moisture.DRAIN_LEAK, False, SLAB, {"sign": "water on floor", "when": "water in use"}),
    (Moisture.CONDENSATION, False, BASEMENT, {"sign": "drops on cold surfaces", "when": "humid weather"}),
    (Moisture.CONDENSATION, False, CRAWL, {"sign": "timber cups", "when": "humid weather", "spot": "crawl space"}),
    (Moisture.IRRIGATION, False, replace(SLAB, irrigation=True), {"sign": "damp floor", "when": "watering"}),
    (Moisture.OPEN_WATER, True, TIDAL, {"sign": "water in pit", "when": "high tide"}),
)  # fmt: skip


@pytest.mark.parametrize(("cause", "drainage", "facts", "told"), LEADS)
def test_the_plain_case_of_each_cause(
    cause: Moisture, drainage: bool | None, facts: HouseFacts, told: dict[str, str]
) -> None:
    found = rank_causes([seen(**told)], [], facts)
    assert found.causes[0].cause is cause
    assert found.drainage_is_remedy is drainage
    assert found.verdict.lower().startswith(cause.value)
    assert "not measured chances" in found.verdict
    if drainage is False:
        assert "Drainage is not the remedy" in found.verdict
        assert found.causes[0].remedy in found.verdict


def test_every_cause_has_its_plain_case() -> None:
    assert {case[0] for case in LEADS} == set(Moisture)


def test_a_meter_that_turns_outweighs_what_was_seen() -> None:
    told = [seen(sign="damp floor", when="wet season", spot="floor middle")]
    assert rank_causes(told, [], SLAB).causes[0].cause is not Moisture.SUPPLY_LEAK
    found = rank_causes(told, [done("meter with taps shut", "turns")], SLAB)
    assert found.causes[0].cause is Moisture.SUPPLY_LEAK
    assert found.drainage_is_remedy is False


def test_close_causes_that_disagree_leave_drainage_open() -> None:
    found = rank_causes([seen(sign="damp floor", when="always", spot="floor middle")], [], BASEMENT)
    assert {item.cause for item in found.causes[:2]} == {Moisture.CAPILLARY_RISE, Moisture.SUPPLY_LEAK}
    assert not leads_clearly(found.causes)
    assert found.drainage_is_remedy is None
    assert found.next_test is not None
    assert found.next_test.test == "meter with taps shut"
    assert dict(found.next_test.outcomes)["turns"] is Moisture.SUPPLY_LEAK


# -- contradictions ----------------------------------------------------------------------------

AGAINST: tuple[tuple[str, Moisture, dict[str, Any], dict[str, Any], HouseFacts, HouseFacts], ...] = (
    ("salts", Moisture.CONDENSATION, {"sign": "damp patch on wall"}, {"sign": "salts on wall"}, BASEMENT, BASEMENT),
    ("damp too high", Moisture.CAPILLARY_RISE, {"sign": "damp band on wall", "height": "59 in"},
     {"sign": "damp band on wall", "height": "60 in"}, BASEMENT, BASEMENT),
    ("water table far below", Moisture.GROUND_WATER, {"sign": "damp floor"}, {"sign": "damp floor"},
     replace(BASEMENT, table_below_floor=0.9, capillary_rise=0.3),
     replace(BASEMENT, table_below_floor=1.1, capillary_rise=0.3)),
    ("no irrigation", Moisture.IRRIGATION, {"sign": "damp floor", "when": "watering"},
     {"sign": "damp floor", "when": "watering"}, BASEMENT, replace(BASEMENT, irrigation=False)),
    ("a pond has no tide", Moisture.OPEN_WATER, {"sign": "water in pit", "when": "high tide"},
     {"sign": "water in pit", "when": "high tide"}, TIDAL, replace(TIDAL, tidal=False)),
    ("no open water", Moisture.OPEN_WATER, {"sign": "water in pit", "when": "high tide"},
     {"sign": "water in pit", "when": "high tide"}, TIDAL, BASEMENT),
    ("every downspout led away", Moisture.ROOF_WATER, {"sign": "water on floor"}, {"sign": "water on floor"},
     replace(BASEMENT, downspouts_at_wall=1), replace(BASEMENT, gutters=True)),
    ("ground falls away", Moisture.SURFACE_WATER, {"sign": "water on floor"}, {"sign": "water on floor"},
     replace(BASEMENT, ground_falls_to_wall=True), replace(BASEMENT, ground_falls_to_wall=False)),
)  # fmt: skip


@pytest.mark.parametrize(("why", "cause", "before", "after", "facts", "then"), AGAINST, ids=[c[0] for c in AGAINST])
def test_what_contradicts_a_cause(
    why: str, cause: Moisture, before: dict[str, Any], after: dict[str, Any], facts: HouseFacts, then: HouseFacts
) -> None:
    without, with_it = rank_causes([seen(**before)], [], facts), rank_causes([seen(**after)], [], then)

    def odds(found: MoistureSources) -> float:
        return share(found, cause) / (1.0 - share(found, cause))

    assert odds(with_it) < 0.5 * odds(without)
    assert of(with_it, cause).evidence_against


def test_ground_that_falls_away_too_little_speaks_less_against_surface_water() -> None:
    to, little, enough = (
        rank_causes([seen(sign="water on floor")], [], replace(BASEMENT, **facts))
        for facts in (
            {"ground_falls_to_wall": True, "ground_falls_enough": False},
            {"ground_falls_to_wall": False, "ground_falls_enough": False},
            {"ground_falls_to_wall": False, "ground_falls_enough": True},
        )
    )
    surface = Moisture.SURFACE_WATER
    assert share(to, surface) > share(little, surface) > share(enough, surface)
    assert any("less than 5 % somewhere" in piece.text for piece in of(little, surface).evidence_against)


@pytest.mark.parametrize(
    ("units", "words"), [("SI", "1500 mm up, within the 1.5 m"), ("US", "59 in up, within the 5 ft")]
)
def test_height_is_told_in_the_jobs_units(units: Any, words: str) -> None:
    found = rank_causes([seen(sign="damp band on wall", height="1500 mm")], [], BASEMENT, units)
    texts = [piece.text.replace(",", "") for piece in of(found, Moisture.CAPILLARY_RISE).evidence_for]
    assert any(words.replace(",", "") in text for text in texts), texts


# -- the next test -----------------------------------------------------------------------------


def test_gain_of_a_known_channel() -> None:
    """A two-valued test wrong once in ten tells 1 - H(0.1) = 0.531 bits of an even question (any information theory
    text, the binary symmetric channel; from memory)."""
    assert expected_gain((0.5, 0.5), ((0.9, 0.1), (0.1, 0.9))) == pytest.approx(0.5310, abs=5e-5)
    assert expected_gain((0.5, 0.5), ((0.4, 0.4), (0.6, 0.6))) == pytest.approx(0.0, abs=1e-12)
    assert entropy((0.25,) * 4) == pytest.approx(2.0)


@given(st.lists(st.floats(0.01, 1.0), min_size=10, max_size=10), st.sampled_from(sorted(TESTS)))
def test_gain_is_the_same_the_other_way_round(parts: list[float], test: Any) -> None:
    """Mutual information is symmetric: the fall of the result's uncertainty once the cause is known."""
    shares = [part / sum(parts) for part in parts]
    results = [chances(test, name) for name in TESTS[test]]
    marginal = [sum(s * c for s, c in zip(shares, often, strict=True)) for often in results]
    other_way = entropy(marginal) - sum(
        s * entropy([often[n] for often in results]) for n, s in enumerate(shares)
    )  # fmt: skip
    assert expected_gain(shares, results) == pytest.approx(other_way, abs=1e-9)


@pytest.mark.parametrize("case", LEADS, ids=[f"{case[0].value}-{n}" for n, case in enumerate(LEADS)])
def test_each_outcome_is_what_the_ranking_then_says(case: tuple[Any, ...]) -> None:
    _, _, facts, told = case
    found = rank_causes([seen(**told)], [], facts)
    tests = next_tests([share(found, cause) for cause in CAUSES], set(), facts)
    assert tests
    lead, remedy = found.causes[0].cause, found.drainage_is_remedy
    telling = [item for item in tests if item.changes(lead, remedy)]
    assert found.next_test == (telling[0] if telling else None)
    assert list(found.also) == telling[1:4]
    for item in tests:
        changed = False
        assert [name for name, _ in item.outcomes] == list(TESTS[item.test])
        assert 0.0 < item.gain <= entropy(cause.share for cause in found.causes) + 1e-9
        for (name, cause), cured in zip(item.outcomes, item.remedies, strict=True):
            then = rank_causes([seen(**told)], [done(item.test, name)], facts)
            assert then.causes[0].cause is cause
            assert then.drainage_is_remedy is cured
            changed |= cause is not lead or cured is not remedy
        assert item.changes(lead, remedy) == changed


def test_a_test_that_changes_nothing_is_not_proposed() -> None:
    """A gutter that overflows in rain: whatever any cheap test shows, roof water still leads and is led away first."""
    found = rank_causes([seen(sign="gutter overflows", when="during rain")], [], BASEMENT)
    assert found.causes[0].cause is Moisture.ROOF_WATER
    assert next_tests([share(found, cause) for cause in CAUSES], set(), BASEMENT), "tests that tell something there are"
    assert found.next_test is None
    assert found.also == ()


def test_a_test_done_is_not_proposed_again() -> None:
    told = [seen(sign="damp floor", when="always")]
    tests: list[MoistureTest] = []
    proposed: list[str] = []
    for _ in range(len(TESTS)):
        found = rank_causes(told, tests, TIDAL)
        if found.next_test is None:
            break
        names = [found.next_test.test, *(item.test for item in found.also)]
        assert len(names) == len(set(names)) <= 4
        assert not set(names) & {item.kind for item in tests}
        proposed.append(found.next_test.test)
        tests.append(done(found.next_test.test, TESTS[found.next_test.test][-1]))
    assert len(proposed) > 5


def test_a_test_like_one_that_was_done_is_not_proposed() -> None:
    told = [seen(sign="mould or musty smell", when="humid weather")]
    found = rank_causes(told, [done("plastic on wall", "dry")], BASEMENT)
    assert "plastic on floor" not in [item.test for item in (found.next_test, *found.also) if item is not None]


@pytest.mark.parametrize(
    ("test", "facts", "told"),
    [
        ("level against tide", replace(TIDAL, tidal=False), {"sign": "water in pit"}),
        ("irrigation off", replace(SLAB, irrigation=False), {"sign": "damp floor", "when": "watering"}),
        ("hose at downspout", replace(SLAB, gutters=False), {"sign": "water on floor", "when": "after rain"}),
        ("plastic on floor", CRAWL, {"sign": "mould or musty smell"}),
    ],
)
def test_what_cannot_be_done_here_is_not_proposed(test: str, facts: HouseFacts, told: dict[str, str]) -> None:
    found = rank_causes([seen(**told)], [], facts)
    assert test not in [item.test for item in (found.next_test, *found.also) if item is not None]


def test_shares_are_never_written_as_sure() -> None:
    assert share_words(1.0) == "over 95 %"
    assert share_words(0.0) == "under 1 %"
    assert share_words(0.5) == "50 %"


# -- ground water that does not reach the floor ------------------------------------------------

JOINT = {"sign": "joint leaks", "when": "days after rain", "spot": "floor edge"}


@pytest.mark.parametrize(
    ("below", "more", "tests", "short", "remedy"),
    [
        (0.23, [], [], True, None),
        (0.03, [], [], True, None),
        (0.02, [], [], False, True),
        (-0.10, [], [], False, True),
        (None, [], [], False, True),
        (0.23, [{"sign": "sump runs", "when": "days after rain"}], [], True, True),
        (0.23, [{"sign": "water in pit", "when": "days after rain"}], [], True, True),
        (0.23, [], [("test pit", "water found")], True, True),
        (0.23, [], [("meter with taps shut", "still")], True, None),
    ],
)
def test_ground_water_found_below_the_floor_leaves_the_remedy_open(
    below: float | None, more: list[dict[str, str]], tests: list[tuple[str, str]], short: bool, remedy: bool | None
) -> None:
    found = rank_causes([seen(**JOINT), *(seen(**item) for item in more)], [done(*test) for test in tests],
                        replace(BASEMENT, table_below_floor=below))  # fmt: skip
    assert found.causes[0].cause is Moisture.GROUND_WATER
    assert found.short_of_floor is short
    assert (moisture_words.NOT_REACHED in found.verdict) is short
    assert found.drainage_is_remedy is remedy


def test_the_next_test_knows_what_would_settle_it() -> None:
    facts = replace(BASEMENT, table_below_floor=0.23)
    found = rank_causes([seen(**JOINT)], [], facts)
    tests = next_tests([share(found, cause) for cause in CAUSES], set(), facts)
    assert any(item.test == "test pit" for item in tests)
    assert found.next_test is not None
    for item in tests:
        for (name, _), cured in zip(item.outcomes, item.remedies, strict=True):
            assert rank_causes([seen(**JOINT)], [done(item.test, name)], facts).drainage_is_remedy is cured
