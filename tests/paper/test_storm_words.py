"""What the owner is told of the storm: that the alarm sounds though nothing has failed."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest

from drainwright.design import Design
from drainwright.paper.documents.handover import _alarm
from drainwright.paper.documents.storm_words import alarm_words, drains_filled, storm_short, time_over
from drainwright.paper.documents.told import crew_answers, customer_answers, open_ends, view_of
from drainwright.paper.documents.upkeep import upkeep

from ..conftest import designed
from .test_spanish import texts


@pytest.mark.parametrize("path", ["block-wall-house/job", "metric-basement/job"])
def test_an_alarm_that_sounds_with_all_in_order_is_told_to_the_owner(path: str) -> None:
    """Neither proposal nor handover said it: the owner would have called at midnight for a pump that ran."""
    design = designed(path)
    sound, station = design.storm.cases[0], design.system.by_house[0]
    ran = sound.station(station.name)
    assert ran is not None
    assert ran.highest > station.float_levels["alarm"]
    words = alarm_words(design)
    assert f"the alarm of {station.name} sounds" in words
    for drain in design.system.runs:
        if drain.duty == "footing drain" and drain.lower == station.name:
            assert (drain.name in drains_filled(design)) == (ran.highest > drain.invert_lower)
    assert any(words in text for text in texts(_alarm(design)))
    assert any(words in text for text in texts(storm_short(design)))
    told = customer_answers(design)[0].text
    assert ("water rises into it from the basin" in told) == bool(drains_filled(design))


def test_an_alarm_that_stays_silent_is_not_told(pumped: Design) -> None:
    sound, *others = pumped.storm.cases
    low = tuple(replace(one, highest=one.level.min() - 5.0) for one in sound.stations)
    calm = replace(pumped, storm=replace(pumped.storm, cases=(replace(sound, stations=low), *others)))
    assert alarm_words(calm) == ""
    assert drains_filled(calm) == []


def test_time_over_a_limit_by_hand() -> None:
    times, levels = np.array([0.0, 60.0, 120.0, 180.0]), np.array([0.0, 2.0, 2.0, 0.0])
    assert time_over(times, levels, 1.0) == 60.0


def test_the_crew_lead_hears_of_no_lid_or_open_end_that_is_not_there() -> None:
    """A gravity job was told of lid and alarm, a soakaway closed all round and a buried joint of ends to clear."""
    for path in ("long-house/job", "soak-lot/job", "block-wall-house/job"):
        design = designed(path)
        answers = {item.number: item.work for item in crew_answers(design)}
        walk = f"{answers[25].do} {answers[25].measure}"
        assert ("lid" in walk) == ("alarm" in walk) == bool(design.system.by_house)
        told = set(re.findall(r"End (\S+) free", walk))
        assert told == set(open_ends(view_of(design)))
        assert not told & {soak.name for soak in design.system.soaks}
        joins = [name for name in design.system.ways_out if design.system.joined_at(name) is not None]
        assert ("line joined" in answers[12].stop) == bool(joins)


def test_a_soakaway_is_looked_at_where_it_can_be_seen() -> None:
    """The owner was to look whether a closed trench had emptied, a day later, in 66 min."""
    design = designed("soak-lot/job")
    (care,) = [item for item in upkeep(design) if "half empty" in item.what]
    (soak,) = design.system.soaks
    grates = [
        run.upper
        for run in design.system.runs
        if run.lower == soak.name and design.system.nodes[run.upper].kind == "inlet"
    ]
    assert all(name in care.what for name in grates)
    assert "closed all round" in care.what
