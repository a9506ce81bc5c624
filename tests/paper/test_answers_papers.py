"""The 25 answers as the customer and the crew lead are told them: all there, none empty, none generic."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from typer.testing import CliRunner

from drainwright.build.paving import Paved
from drainwright.cli import app
from drainwright.design import Design
from drainwright.findings.places import leads_to
from drainwright.job.values import Basis
from drainwright.paper.documents.answers_paper import numbered_sources
from drainwright.paper.documents.told import CANNOT, crew_answers, customer_answers
from drainwright.paper.documents.upkeep import upkeep
from drainwright.quantities import write

from ..conftest import EXAMPLES, designed
from .papers import text_of, tight

JOBS = (
    "block-wall-house/job", "metric-basement/job", "sloping-lot/job", "soak-lot/job", "two-basins/job",
    "wrong-choices/job", "wrong-choices/mended", "long-house/job",
)  # fmt: skip
TRADE = re.compile(r"\b(invert|hydraulic|duty point|conductivity|wedge|grade line|[A-Z]{3}-\d\d)\b")
UNITS = re.compile(r"\d (ft|in|gpm|gal|lb|hp|yd³|ft²)\b")
SIZES = re.compile(r"\b[\d/-]+ in (?=\(DN \d+\))|(?<= mm )\([\d/ to-]+ in\)|\([\d/]+ hp\)|\([\d/-]+ in\)")


def names_of(design: Design) -> set[str]:
    """What this job alone calls things."""
    job, system = design.job, design.system
    named = {run.name for run in system.runs} | set(system.nodes) | {wall.name for wall in design.site.walls}
    named |= {item.name for group in (job.utilities, job.trees, job.downspouts, job.works.discharge) for item in group}
    return named | {job.ground.texture.value}


def told_of_this_job(text: str, design: Design) -> bool:
    """Whether a text has a figure or a name of this job, or says that it cannot be told."""
    figure = re.search(r"\d", text) is not None
    name = any(re.search(rf"(?<!\w){re.escape(name)}(?!\w)", text) for name in names_of(design))
    return figure or name or CANNOT in text


@pytest.mark.parametrize("example", JOBS)
def test_the_customer_is_told_all_25_with_this_job_s_figures(example: str) -> None:
    design = designed(example)
    told = customer_answers(design)
    assert [answer.number for answer in told] == list(range(1, 26))
    text = tight(text_of(design, "answers"))
    for answer, office in zip(told, design.answers, strict=True):
        assert all((answer.text, answer.do, answer.rests_on)), answer.number
        assert told_of_this_job(answer.text, design), f"{answer.number}: {answer.text}"
        assert bool(answer.missing) == (not office.complete)
        if CANNOT in answer.text:
            assert answer.missing or answer.do != "Nothing.", answer.number
        assert tight(f"{answer.number}. {answer.question}") in text
        assert tight(answer.text)[:60] in text


@pytest.mark.parametrize("example", JOBS)
def test_the_crew_lead_has_all_25_and_the_office_s_in_one_line(example: str) -> None:
    design = designed(example)
    told = crew_answers(design)
    assert [answer.number for answer in told] == list(range(1, 26))
    text = tight(text_of(design, "answers-crew"))
    for answer in told:
        work = answer.work
        assert len(work.do) > 0, answer.number
        assert all(work.do), answer.number
        assert told_of_this_job(" ".join((*work.do, work.measure)), design), f"{answer.number}: {work}"
        assert tight(answer.question) in text
        if work.office:
            assert f"{work.measure}{work.stop}" == ""
            assert len(" ".join(work.do)) < 160, "one line"
    assert {4, 7, 17, 23} <= {answer.number for answer in told if answer.work.office}
    assert not {5, 9, 20, 24} & {answer.number for answer in told if answer.work.office}


@pytest.mark.parametrize("example", JOBS)
def test_both_are_plainly_said(example: str) -> None:
    design = designed(example)
    said = [text for answer in customer_answers(design) for text in (answer.text, answer.do, answer.missing)]
    for text in said:
        assert not TRADE.search(text), text
        assert not re.search(r"\b[a-z_]+\.[a-z_]+\b", text.replace("e.g.", "")), f"a field's name: {text}"
    for answer in crew_answers(design):
        said += [*answer.work.do, answer.work.measure, answer.work.stop]
    for text in said:
        assert not re.search(
            r"\b(None|nan|inf)\b|  |\( |\.\.|\(\)|[;:,] ?\.|\b1 (days|loads|coats|times|starts)\b", text
        ), text
        assert text == text.strip()
        assert not text or text.endswith((".", "!", "?")), text
        if design.job.units == "SI":
            assert not UNITS.search(SIZES.sub("", text)), text


@pytest.mark.parametrize("teller", [customer_answers, crew_answers])
def test_two_jobs_are_told_two_things(teller: object, pumped: Design, metric: Design) -> None:
    """An answer that fits two different houses word by word says nothing of either."""
    assert callable(teller)
    same = [
        one.number
        for one, other in zip(teller(pumped), teller(metric), strict=True)
        if (one.text if hasattr(one, "text") else one.work) == (other.text if hasattr(other, "text") else other.work)
    ]
    assert same == []


def test_figures_are_those_of_the_design(pumped: Design) -> None:
    told = {answer.number: answer.text for answer in customer_answers(pumped)}
    station = pumped.system.station
    assert station is not None
    roof = sum(
        item.flow for item in pumped.inflows.contributions
        if item.cause.value == "roof" and leads_to(pumped.system, item.entry, station.name)
    )  # fmt: skip
    for flow in (station.operating_flow, roof, station.inflow - roof):
        assert write(flow, "flow", "US") in told[1]
    drains = [run for run in pumped.system.runs if run.duty == "footing drain"]
    floor = pumped.site.floor - pumped.job.house.floor_thickness
    inches = round((floor - max(run.invert_upper for run in drains)) / 0.0254)
    assert f"{inches // 12} ft {inches % 12} in below the underside of the floor" in told[6]
    assert told[7].startswith(f"${pumped.build.price.total:,.2f}")


def test_a_drain_is_not_promised_before_the_test(metric: Design) -> None:
    """Its high ground water does not reach the floor: no drain is the cure before the test says so."""
    assert metric.moisture.drainage_is_remedy is None
    told = customer_answers(metric)[16].text
    assert "cannot be told before a simple test" in told
    assert "keeps the water below the floor" not in told


def test_roof_water_in_the_footing_drain_is_never_ordered(wrong: Design) -> None:
    crew = crew_answers(wrong)[0].work
    assert crew.do[0].startswith("Join no downspout")
    assert "FD1" in crew.stop


def test_an_unwritten_warranty_and_current_cannot_be_told(metric: Design) -> None:
    told = customer_answers(metric)
    assert not metric.job.firm.warranty
    assert "states no warranty" in told[22].text
    assert told[22].missing
    assert CANNOT in told[20].text


def test_each_pump_is_told_where_there_are_two() -> None:
    """The duty to ask for is each pump's own, and a month's care says what is done, not the basin's name alone."""
    design = designed("two-basins/job")
    told = customer_answers(design)
    assert all(f"for {station.name}" in told[7].do for station in design.system.by_house)
    assert "SUMP: run a hose into a cleanout of FD1 or FD2 until" in told[24].text
    for station in design.system.by_house:
        assert f"The pump in {station.name} lifts" in told[0].text
        assert f"in the pump's pipe in {station.name}" in told[12].text
    assert re.search(r"The pump in DRIVE lifts.*downspouts led to it \(DS1\)", told[0].text)


def test_what_comes_of_a_dead_pump_is_told_of_each() -> None:
    """Of two pumps the worst only was told, as of "the pump"."""
    design = designed("two-basins/job")
    papers = {
        "customer": customer_answers(design)[13].text, "office": design.answers[13].answer,
        "handover": " ".join(text_of(design, "handover").split()),
    }  # fmt: skip
    for reader, text in papers.items():
        for station in design.system.by_house:
            assert f"If the pump in {station.name} dies in the design storm" in text, reader
        assert "If the pump dies" not in text, reader
    alone = customer_answers(designed("block-wall-house/job"))[13].text
    assert alone.count("If the pump dies in the design storm") == 1


@pytest.mark.parametrize("example", JOBS)
def test_care_is_for_the_parts_that_are_there(example: str) -> None:
    design = designed(example)
    said = " ".join(item.what for item in upkeep(design))
    grates = [inlet for inlet in design.job.works.inlets if inlet.kind != "cleanout"]
    assert ("Sweep the grate" in said) == bool(grates)
    assert ("Sweep the grates" in said) == (len(grates) > 1)
    told = set(re.findall(r"\w+", said))
    for kind, first, last in re.findall(r"\b([A-Z]+)(\d+)–(?:[A-Z]+)?(\d+)\b", said):  # names in a row, by their ends
        told |= {f"{kind}{number}" for number in range(int(first), int(last) + 1)}
    assert {inlet.name for inlet in grates} <= told
    assert ("alarm" in said) == bool(design.system.stations)
    assert ("battery" in said) == any(basin.battery is not None for basin in design.job.works.basins)
    assert ("Flush the footing drain" in said) == any(run.duty == "footing drain" for run in design.system.runs)
    assert all(soak.name in said for soak in design.system.soaks)
    frost = design.job.rules.frost_depth
    assert ("ice" in said) == (frost.value > 0 and "Look at the end" in said)
    assert frost.basis in Basis


def test_the_command_tells_each_reader() -> None:
    job = str(EXAMPLES / "sloping-lot/job.yaml")
    customer = CliRunner().invoke(app, ["answers", job, "--number", "12", "--for", "customer"])
    crew = CliRunner().invoke(app, ["answers", job, "--number", "12", "--for", "crew", "--json"])
    assert customer.exit_code == crew.exit_code == 0
    assert f"{CANNOT} about frost" in " ".join(customer.output.split())
    assert '"measure"' in crew.output
    assert '"stop"' in crew.output
    assert CliRunner().invoke(app, ["answers", job, "--for", "nobody"]).exit_code == 2


def test_the_customer_s_limits_cite_by_number_and_each_number_stands_at_the_end(pumped: Design) -> None:
    limits, works = numbered_sources(tuple(answer.limit for answer in customer_answers(pumped)))
    assert works
    for number, work in enumerate(works, start=1):
        assert any(f"(source {number})" in limit for limit in limits), work
        assert not any(work in limit for limit in limits)
    cited = {int(found) for limit in limits for found in re.findall(r"\(source (\d+)\)", limit)}
    assert cited == set(range(1, len(works) + 1))


@pytest.mark.parametrize("example", JOBS)
def test_the_customer_is_told_in_sentences_and_the_crew_briefly(example: str) -> None:
    design = designed(example)
    for answer in customer_answers(design):
        assert not answer.text[0].islower(), answer.text
    for one in crew_answers(design):
        assert all(len(text) < 520 for text in (" ".join(one.work.do), one.work.measure)), one


def test_the_crew_is_told_what_paving_the_dig_goes_through(pumped: Design) -> None:
    """The lawn alone was told, while a patio was to be broken out and flagstones set aside."""
    slab = Paved(
        dig="FD1", yard="patio", surface="concrete", length=3.0, area=0.9, taken=2.0, edge=6.0, thickness=0.1,
        basis=Basis.ASSUMED,
    )  # fmt: skip
    dig = replace(pumped.build.dig, paved=(slab, replace(slab, yard="path", surface="paving")))
    measure = crew_answers(replace(pumped, build=replace(pumped.build, dig=dig)))[23].work.measure
    assert "To saw and break out in the dig: patio." in measure
    assert "To lift, set aside and set again: path." in measure
    assert "To saw" not in crew_answers(pumped)[23].work.measure
