"""Which water gravity takes and which is lifted: the demonstration, with a line of our own for its second downspout."""

from __future__ import annotations

from dataclasses import replace

import pytest

from drainwright.design import Design
from drainwright.findings.answers import entering
from drainwright.findings.places import by_own_line
from drainwright.job.place import OutletRule
from drainwright.paper.documents.blocks import Paragraph
from drainwright.paper.documents.proposal_works import water_blocks
from drainwright.quantities import write
from drainwright.terminal import show_design
from drainwright.water.model import Cause

from .change import case_of, fact, job, run, verdict
from .test_answers import reply


@pytest.fixture(name="parted", scope="module")
def _parted(pumped: Design) -> Design:
    """As designed, but the second downspout falls to the outlet in a leader of these works."""
    system = pumped.system
    like = next(one for one in system.runs if not one.pressure)
    line = replace(like, name="L9", duty="leader", upper="DS2", lower=system.discharge, walls=())
    not_reached = replace(system.gravity[0], reaches=False)
    return replace(
        pumped, system=replace(system, runs=(*system.runs, line), gravity=(not_reached, *system.gravity[1:]))
    )


def _roof(design: Design, entry: str) -> str:
    return write(design.inflows.at(entry, Cause.ROOF), "flow", "US")


def test_what_our_gravity_lines_carry_comes_into_the_works(pumped: Design, parted: Design) -> None:
    assert set(by_own_line(pumped.system, pumped.inflows)) == {"DS2"}
    assert by_own_line(parted.system, parted.inflows) == {}
    causes, apart = entering(case_of(parted))
    assert apart == {}
    roofs = [parted.inflows.at(entry, Cause.ROOF) for entry in ("DS1", "DS2")]
    assert causes[Cause.ROOF] == pytest.approx(sum(roofs))


def test_the_proposal_parts_what_is_pumped_from_what_falls(pumped: Design, parted: Design) -> None:
    said = {}
    for name, design in (("own", pumped), ("ours", parted)):
        said[name] = " ".join(block.text for block in water_blocks(design) if isinstance(block, Paragraph))
    station = parted.system.station
    assert station is not None
    assert "Not counted here" in said["own"]
    assert "Our gravity lines" not in said["own"]
    assert "Not counted here" not in said["ours"]
    comes, past = write(station.inflow, "flow", "US"), _roof(parted, "DS2")
    assert f"Of it {comes} comes to the basin {station.name} and is pumped." in said["ours"]
    assert f"Our gravity lines carry {past} past the basin {station.name}: west hip at DS2 ({past})." in said["ours"]


def test_a_verdict_tells_for_which_water(pumped: Design, parted: Design, capsys: pytest.CaptureFixture[str]) -> None:
    """What is lifted stands with "does not reach", and what falls there all the same stands beside it."""
    drains = [one.name for one in parted.system.runs if one.duty == "footing drain"]
    assert drains
    text = reply(case_of(parted), 2).answer
    start = text.index("gravity does not reach it for footing drain")
    assert all(name in text[start:] for name in drains)
    assert f"which SUMP lifts; {_roof(parted, 'DS2')} of roof water falls there by gravity" in text
    show_design(parted, every=False)
    shown = " ".join(capsys.readouterr().out.split())
    assert "gravity does not reach OUT" in shown
    assert f"{_roof(parted, 'DS2')} of roof water falls there by gravity" in shown
    own = reply(verdict(reaches=False)(case_of(pumped)), 2).answer
    assert "which SUMP lifts" in own
    assert "falls there by gravity" not in own
    assert "gravity reaches it." in reply(verdict(reaches=True)(case_of(parted)), 2).answer


def test_roof_water_that_is_led_away_is_left_so(parted: Design) -> None:
    """Both downspouts by gravity: nothing more to do. One only: the other is named."""
    first = next(one.name for one in parted.system.runs if one.upper == "DS1")
    out = parted.system.discharge
    both = run(first, lower=out)(case_of(parted))
    found = reply(both, 1)
    assert f"gravity leads the roof water to {out} already" in found.do
    assert "Lead " not in found.do
    assert f"Gravity takes DS1 and DS2 to {out}, past the basin." in found.answer
    assert "elsewhere" not in found.answer
    one = run(first, upper="NOWHERE", lower=out)(case_of(parted))
    assert "Lead the roof water of DS1 to the yard by gravity" in reply(one, 1).do


def test_roof_water_is_never_sent_where_it_is_forbidden(parted: Design) -> None:
    leave = [one.name for one in parted.system.runs if one.upper in ("DS1", "DS2")]
    case = case_of(parted)
    for name in leave:
        case = run(name, upper=f"{name}-top")(case)
    told: tuple[tuple[tuple[str, ...], str], ...] = (
        ((), "Lead roof water to the yard or street by gravity"),
        (("street",), "Lead roof water to the yard by gravity"),
        (("street", "daylight"), "to a lawful way out"),
    )
    for kinds, expected in told:
        rules = tuple(OutletRule.model_construct(kind=kind, standing=fact("forbidden")) for kind in kinds)
        assert expected in reply(job("rules", "outlets", to=rules)(case), 1).do
