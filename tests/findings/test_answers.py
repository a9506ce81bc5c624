"""The 25 answers: the questions as they are asked, plain wording, this job's numbers, and what is missing."""

from __future__ import annotations

import math
import re
from dataclasses import replace

import pytest

from drainwright.build.shown import said
from drainwright.build.wording import round_money
from drainwright.design import Design
from drainwright.findings import answer, judge
from drainwright.findings.model import Answer
from drainwright.findings.rules import Case
from drainwright.job.site import Agreed
from drainwright.job.values import Basis
from drainwright.job.works import Battery
from drainwright.quantities import write
from drainwright.water.model import Cause

from ..conftest import designed
from .change import Change, basin, case_of, coat, every, fact, job, line, put, run, station, storm, trench
from .test_rules import BASES
from .trials_moisture import told

ASKED = (
    "Can the sump, or the footing drain, take the downspouts? How many, in which storm?",
    "Where may the water lawfully go here, and what must be asked first?",
    "Why does (or would) the pump short-cycle, never stop, or run in dry weather?",
    "Where is the water coming from: ground, roof, surface, a pipe, condensation, irrigation?",
    "Will digging here undermine the footing? How close, how deep, how long a stretch at once?",
    "How deep must the drain be: against slab, crawl-space soil and footing?",
    "What will it cost, why that much, and what would make it cost more or less?",
    "Is the pump big enough for this lift and this length, and is the line the right size?",
    "What fall is needed, what fall is there, and does gravity work at all?",
    "Why did the last drain not work?",
    "What happens in a power cut, for how long, and with which battery?",
    "Will the discharge freeze, clog or come back to the house?",
    "Where does the relief hole go, what size, and is its squirting normal?",
    "How wide and deep a basin? One pump or two? Where do the floats sit?",
    "How much stone, pipe, fabric and coating; how many barrow rounds, loads and trips?",
    "Fabric or none, holes up or down, corrugated or smooth, for this soil?",
    "Dig outside, drain inside, or fix roof and grade first?",
    "Is damp-proofing enough here or must it be waterproofing? Parge? How many coats, how long to cure?",
    "How long will it take, how many people, by hand or machine?",
    "What buried thing could be hit, where is its shutoff, and who pays?",
    "What does the pump's electricity need (circuit, protection, alarm), and who does it?",
    "The neighbour's water, or ours on the neighbour?",
    "What does the warranty cover, and what not?",
    "What happens to trees, plants, paving, and who restores them?",
    "What must be maintained, when, by whom?",
)


def answered(case: Case) -> tuple[Answer, ...]:
    found = judge(case.site, case.inflows, case.system, case.storm, case.build, case.moisture)
    return answer(case.site, case.inflows, case.system, case.storm, case.build, case.moisture, found)


def reply(case: Case, number: int) -> Answer:
    return answered(case)[number - 1]


def well_said(item: Answer, units: str) -> None:
    assert item.answer
    assert item.rests_on
    assert item.do
    assert item.complete == (not item.missing)
    for text in (item.answer, item.rests_on, item.limit, item.do, item.missing):
        assert not re.search(r"\b(None|nan|inf|NaN|Infinity)\b", text), text
        assert "  " not in text, text
        assert ".." not in text, text
        assert "Fact(" not in text
        assert text == text.strip()
        assert not re.search(r"[;:,] ?\.|\(\)|\b1 (days|loads|rounds|others|coats|wall lines|sticks)\b", text), text
        said = [part for part in re.split(r"(?<=\.) ", text) if len(part) > 12]
        assert len(said) == len(set(said)), f"said twice: {text}"
    for text in (item.answer, item.do, item.missing):
        assert not text or text.endswith("."), text
    if units == "SI":
        cited = re.sub(r"\((?:[^()]|\([^()]*\))*\)", "", item.limit)  # a cited work keeps its own units
        for text in (item.answer, item.do, item.missing, cited):
            plain = re.sub(r"\b[\d/-]+ in (?=\(DN \d+\))|(?<= mm )\([\d/ to-]+ in\)", "", text)  # trade sizes beside SI
            assert not re.search(r"\d (ft|feet|in|gpm|gal|lb|hp|yd³|ft²)\b", plain), plain


def test_the_questions_are_those_that_are_asked(pumped: Design) -> None:
    assert tuple(item.question for item in pumped.answers) == ASKED
    assert [item.number for item in pumped.answers] == list(range(1, 26))


@pytest.mark.parametrize("base", BASES)
def test_answers_are_well_said(base: str) -> None:
    result = designed(BASES[base])
    for item in result.answers:
        well_said(item, result.job.units)


def test_a_gravity_job_is_told_that_no_pump_is_needed(gravity: Design) -> None:
    for number in (3, 8, 13, 14, 21):
        assert gravity.answers[number - 1].answer == "No pump is needed here: gravity takes the water away."
    assert gravity.answers[10].answer == "Nothing: the system works without power."
    assert not re.search(
        "empty|float|basin until", gravity.answers[24].answer.replace("empty the catch basins' traps", "")
    )


def barred(name: str, utility: str) -> Change:
    """A dig in which a live line lies along inside."""
    return trench(name, along=((utility, 4.0),), bars=(utility,))


def _bare(case: Case) -> Case:
    """Nothing known that need not be: no water table, boundary, symptoms, utilities, roofs, yards or warranty."""
    quiet = every(
        put("site", "water_table", to=None), put("site", "boundary", to=()), job("ground", "water_table", to=None),
        job("symptoms", to=()), job("utilities", to=()), job("roofs", to=()), job("yards", to=()), job("trees", to=()),
        job("firm", "warranty", to=""), job("rules", "outlets", to=()), job("crew", "start", to=None),
        put("build", "dig", "crossings", to=()), put("build", "dig", "roots", to=()),
        put("build", "dig", "wedges", to=()), put("build", "dig", "trailer_loads", to=0),
        put("inflows", "contributions", to=()), put("system", "joined", to=None), told(),
    )  # fmt: skip
    return quiet(case)


CHANGED: dict[str, Change] = {
    "bare": _bare,
    "no walls": every(
        put("site", "walls", to=()), put("build", "dig", "trenches", to=()), put("build", "dig", "wedges", to=()),
        put("build", "dig", "wall_panel", to=0.0),
    ),
    "pump that does not reach": station(
        reaches=False, operating_flow=0.0, starts=0.0, starts_design=0.0, static_head=20.0
    ),
    "pump that never stops": station(operating_flow=0.001, inflow=0.002, starts_design=0.0),
    "no ground water": station(inflow_ground=0.0),
    "no storm but the sound one": lambda case: put("storm", "cases", to=case.storm.cases[:1])(case),
    "two pumps": station(second_on=lambda here: (here.on + here.alarm) / 2),
    "one coat": every(coat("west", coats=1), coat("south", kind="none"), coat("east", parge=False)),
    "no footing drain": lambda case: put(
        "system", "runs", to=tuple(item for item in case.system.runs if item.duty != "footing drain")
    )(case),
    "no gravity run": lambda case: put(
        "system", "runs", to=tuple(item for item in case.system.runs if item.pressure)
    )(case),
    "one day, one load": every(
        put("build", "plan", "days", to=1), put("build", "dig", "trailer_loads", to=1),
        put("build", "dig", "barrow_rounds", to=1),
    ),
    "battery": basin(battery=Battery.model_construct(capacity=100.0, volts=12.0, usable=0.5, current=12.5)),
    "frost not looked up": job("rules", "frost_depth", to=fact(0.0, Basis.ASSUMED)),
    "a live line along inside": every(line("valve wires", kind="gas"), barred("west", "valve wires")),
    "basin left to the design": job("works", "basin", to="if needed"),
}  # fmt: skip


@pytest.mark.parametrize("change", CHANGED)
def test_answers_stay_well_said_on_other_jobs(change: str, pumped: Design) -> None:
    case = CHANGED[change](case_of(pumped))
    for item in answered(case):
        well_said(item, "US")


def test_the_owner_s_word_on_a_live_line_along_inside_is_asked_for(pumped: Design) -> None:
    agreed = Agreed.model_validate({"by": "Hill Gas", "on": "2026-05-04", "text": "hung from planks"})
    for word in (None, agreed):
        case = every(line("valve wires", kind="gas", agreed=word), barred("west", "valve wires"))(case_of(pumped))
        found = reply(case, 20)
        assert "lies along inside the trench along the west wall" in found.answer
        assert ("What the owner of the valve wires agreed to in writing" in found.missing) == (word is None)
        held = "How people are kept safe in west, where no slope or shield fits" in found.missing
        assert found.complete == (word is not None and not held)
    assert "along inside" not in pumped.answers[19].answer


def test_bare_job_is_told_what_to_measure(pumped: Design) -> None:
    found = answered(_bare(case_of(pumped)))
    assert "No symptom is entered" in found[3].answer
    assert "Nobody knows how high" in found[3].answer
    assert "nobody can say yet" in found[17].answer
    assert "wet season" in found[17].missing
    assert "no boundary is entered" in found[21].rests_on
    assert "the firm has entered no warranty" in found[22].answer
    assert "No downspout" in found[0].answer or "none is led" in found[0].answer or "take" in found[0].answer


def test_coats_are_told_wall_by_wall(pumped: Design) -> None:
    text = reply(CHANGED["one coat"](case_of(pumped)), 18).answer
    assert re.search(r"\bsouth: no coat, on ", text), text
    assert re.search(r"\bwest: [\w-]+, 1 coat, parged first, on ", text), text
    assert re.search(r"\beast: [\w-]+, \d coats, on ", text), text


def test_a_basin_that_ground_water_comes_to_is_told_its_season(pumped: Design) -> None:
    """A trickle is no less of a season than a flood."""
    assert pumped.system.station is not None
    assert 0.0 < pumped.system.station.inflow_ground < 0.1
    assert "It makes " in pumped.answers[2].answer
    assert "on such a day" in pumped.answers[2].answer


def test_no_downspout_led_to_the_basin_is_said_in_words(pumped: Design) -> None:
    """Of the roofs' water none comes to the pump where only the one that leaves by the joined line is there."""
    case = case_of(pumped)
    kept = tuple(item for item in case.inflows.contributions if item.cause is not Cause.ROOF or item.entry == "DS2")
    text = reply(put("inflows", "contributions", to=kept)(case), 1).answer
    assert "and none is led to it" in text, text


def test_only_downspouts_that_come_to_the_basin_count(pumped: Design) -> None:
    """One of the two downspouts of this job leaves by the joined line: its water is no part of the pump's inflow."""
    here = pumped.system.station
    assert here is not None
    roof = {item.entry: item.flow for item in pumped.inflows.contributions if item.cause is Cause.ROOF}
    assert set(roof) == {"DS1", "DS2"}
    rest = here.inflow - roof["DS1"]
    assert rest > 0
    text = pumped.answers[0].answer
    assert f"everything but the roofs brings {write(rest, 'flow', 'US')}" in text
    assert f"A downspout here brings {write(roof['DS1'], 'flow', 'US')}" in text
    assert "1 is led to it" in text
    assert "1 other goes elsewhere" in text
    assert "-" not in re.sub(r"\d+-(year|,| and)", "", text)  # no flow below zero


def test_how_many_downspouts_a_pump_takes(pumped: Design) -> None:
    """By hand: 1.2 times (rest + n downspouts) must not pass what the pump delivers."""
    roof = pumped.inflows.at("DS1", Cause.ROOF)
    case = case_of(pumped)
    for number in (0, 1, 3):
        flow = 1.2 * (0.001 + roof * (number + 0.5))
        changed = station(inflow=0.001 + roof, operating_flow=flow)(case)
        takes = "none" if number == 0 else f"{number}"
        assert f"the pump can take {takes}, and 1 is led to it" in reply(changed, 1).answer
    assert "Leave it so" in reply(station(inflow=0.001 + roof, operating_flow=1.2 * (0.001 + 1.5 * roof))(case), 1).do
    assert "larger pump" in reply(station(inflow=0.001 + roof, operating_flow=1.2 * (0.001 + 0.5 * roof))(case), 1).do


def test_downspouts_are_counted_rain_by_rain(pumped: Design) -> None:
    """From the station's own figures, cumulative in order, ground and yard water first."""
    here = pumped.system.station
    assert here is not None
    assert here.study is not None
    text = pumped.answers[0].answer
    assert "Counted one after the other (DS1, then DS2), behind ground and yard water" in text
    storms = {round(item.return_period / 31557600): item for item in here.study.storms}
    assert set(storms) == {2, 5, 10, 25, 100}
    for item in storms.values():
        flows = [pumped.inflows.at(name, Cause.ROOF) for name in ("DS1", "DS2")]
        ratio = pumped.inflows.rain.intensity(300.0, item.return_period) / pumped.inflows.rain.intensity(
            300.0, pumped.job.criteria.roof_return_period
        )
        total, count = item.first, 0
        for flow in flows:
            total += flow * ratio
            if total > here.operating_flow / 1.2:
                break
            count += 1
        assert count == item.carried
    assert "1 of 2 in the 2-, 5- and 10-year rain, none in the 25- and 100-year rain" in text
    assert "fills the room over its floats in" in text


def test_pumps_are_told_with_reasons_and_running_cost(pumped: Design, metric: Design) -> None:
    text = pumped.answers[7].answer
    assert "The generic 1/2 hp is taken: it keeps every limit, at the least cost. Next to it, generic" in text
    assert "generic 249 W is taken" in metric.answers[7].answer
    said = pumped.answers[2].answer
    assert re.search(r"the pump runs \d+ (min|h) of the day|the pump runs [\d.]+ h of the day", said)
    assert re.search(r"A wet season of 120 days \(assumed\) takes \d+ kWh, .* of power, by the power on", said)
    assert "12 V unit" in pumped.answers[10].answer


def test_two_pumps_and_a_battery_unit_are_told(pumped: Design) -> None:
    from .trials_pumps import pair, unit

    text = reply(every(pair(0.004, 0.0044), station(second_on=29.5))(case_of(pumped)), 14).answer
    assert "The second pump alone lifts 63.4 gpm" in text
    assert "10 % more than the stronger alone" in text
    cell = basin(battery=Battery.model_construct(capacity=75.0, volts=12.0, usable=0.5, current=15.0))
    said = reply(every(unit(0.0012, 30.0), cell)(case_of(pumped)), 11)
    assert "lifts 19.0 gpm here, of 47.6 gpm at the end of its sheet" in said.answer
    assert "It lasts 30 h with the water of the wet season's high." in said.answer
    weak = reply(every(unit(0.0009, 30.0), cell)(case_of(pumped)), 11)
    assert "stronger battery unit" in weak.do


def test_head_and_lift_are_of_the_same_level(pumped: Design, wrong: Design, metric: Design) -> None:
    for result in (pumped, wrong, metric):
        here = result.system.station
        assert here is not None
        lift = here.static_head - (here.on - here.off) / 2
        assert lift < here.operating_head
        style = "ft-in" if result.job.units == "US" else "m"
        text = result.answers[7].answer
        assert f"{write(here.operating_head, 'length', result.job.units, style)} of head" in text
        assert f"({write(lift, 'length', result.job.units, style)} of lift" in text


def test_dry_weather_cycle(pumped: Design) -> None:
    """By hand: 0.36 m³ fill at 0.1 L/s in 3600 s, and empty at 3.9 L/s in 92 s: 62 min."""
    case = station(band_volume=0.36, inflow_ground=1e-4, operating_flow=4e-3)(case_of(pumped))
    assert "starts it every 62 min" in reply(case, 3).answer


def test_power_cut_speaks_of_the_battery(pumped: Design) -> None:
    bare = every(basin(battery=None), storm("power out", time_to_slab=1020.0))(case_of(pumped))
    said = reply(bare, 11)
    assert "17 min after the power goes" in said.answer
    assert not said.complete
    assert "No battery is entered" in said.missing
    fitted = every(CHANGED["battery"], storm("power out", time_to_slab=None),
                   station(operating_flow=4e-3, inflow=2e-3))(bare)  # fmt: skip
    said = reply(fitted, 11)
    assert "100 Ah at 12 V, 50 % of it usable" in said.answer
    assert "12.5 A" in said.answer
    assert said.complete
    alone = replace(fitted, storm=replace(fitted.storm, cases=fitted.storm.cases[:1]))
    assert not reply(alone, 11).complete


def test_yes_and_no_to_undermining(pumped: Design, wrong: Design) -> None:
    assert pumped.answers[4].answer.startswith("No, as it is planned.")
    assert wrong.answers[4].answer.startswith("Yes, as it is planned.")
    assert "licensed engineer" in wrong.answers[4].do


def test_damp_proofing_is_enough_or_not(pumped: Design, wrong: Design, metric: Design) -> None:
    assert "Enough on west, south and east while the drain works" in pumped.answers[17].answer
    assert "Not enough on west and south" in wrong.answers[17].answer
    assert "Waterproofing also resists" in metric.answers[17].answer


def test_the_price_is_the_price(pumped: Design) -> None:
    price = pumped.build.price
    text = pumped.answers[6].answer
    low, high = round_money(price.low, "USD"), round_money(price.high, "USD")
    for figure in (f"${price.total:,.2f}", f"from {low} to {high}", f"${price.labour:,.0f}"):
        assert figure in text
    assert f"${price.deposit:,.2f}" in pumped.answers[6].limit


def test_bulk_is_told_in_the_jobs_units() -> None:
    """A cubic yard is 0.764554857984 m³ and a square foot 0.09290304 m², exact from the international foot."""
    assert math.isclose(0.764554857984, 0.9144**3)
    assert said(10.5, "yd³", "US") == "10.5 yd³"
    assert said(10.5, "yd³", "SI") == "8.0 m³"
    assert said(1000.0, "ft²", "SI") == "92.9 m²"
    assert said(1.0, "stick 10 ft", "US") == "1 stick of 10 ft"
    assert said(14.0, "stick 10 ft", "SI") == "14 sticks of 3.05 m"
    assert said(3.0, "pail 5 gal", "SI") == "3 pails of 19 L"
    assert said(17.0, "bag 80 lb", "SI") == "17 bags of 36 kg"
    assert said(8.0, "sheet 4x8 ft", "SI") == "8 sheets of 1.22 x 2.44 m"
    assert said(2.0, "each", "US") == "2"


HOSTILE = "{0} %s ${x} <script>alert('1')</script> \\frac | `rm` \u202e\u00e9\u4e2d {findings!r} ..  None"


def test_the_firms_own_words_pass_unharmed(pumped: Design) -> None:
    case = job("firm", "warranty", to=HOSTILE)(case_of(pumped))
    said = reply(case, 23)
    assert HOSTILE in said.answer
    assert said.answer.endswith("Walls treated: west, south and east.")
    assert said.complete
    symptom = pumped.job.symptoms[0].model_copy(update={"what": HOSTILE, "where": ""})
    assert HOSTILE in reply(job("symptoms", to=(symptom,))(case), 4).answer


def test_corrugated_pipe_is_advised_against(pumped: Design) -> None:
    case = run("FD1", pipe={"family": "corrugated single wall"})(case_of(pumped))
    said = reply(case, 16)
    assert "Corrugated pipe dips" in said.answer
    assert said.do == "Use smooth pipe."


def test_what_is_assumed_is_marked(pumped: Design) -> None:
    """The example's rain is invented and its pump is not bought yet."""
    for number in (1, 8, 11, 12):
        assert "assumed" in pumped.answers[number - 1].rests_on
        assert "rain table" in pumped.answers[number - 1].rests_on.split("assumed: ")[1]
    assert "pump's curve" in pumped.answers[7].rests_on.split("assumed: ")[1]


def test_the_neighbours_water_is_answered_as_far_as_the_ground_was_measured(pumped: Design) -> None:
    case = case_of(pumped)
    here = reply(case, 22)
    assert not here.complete
    assert "Water comes in over 20 ft of the west side and goes to CB1" in here.answer
    away = put("site", "terrain", "run_on", to=())
    assert not reply(away(case), 22).complete  # a tenth of the lot lies beyond the shots
    measured = reply(every(away, put("site", "terrain", "bare", to=0.0))(case), 22)
    assert measured.complete
    assert "no water comes in over the boundary" in measured.answer
    assert not reply(put("site", "terrain", to=None)(case), 22).complete


def test_without_a_tree_in_the_job_nobody_says_that_none_is_touched(metric: Design) -> None:
    assert not metric.job.trees
    answer = metric.answers[23]
    assert answer.answer.startswith("No tree is entered; whether there are any nobody noted.")
    assert answer.missing.startswith("Whether trees stand")
    assert "measured" not in answer.rests_on


def test_trees_that_were_measured_are_told_as_measured(pumped: Design) -> None:
    assert pumped.job.trees
    assert "tree places and trunks" in pumped.answers[23].rests_on
    assert "trees" not in pumped.answers[23].missing
