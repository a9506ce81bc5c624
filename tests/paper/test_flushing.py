"""From where a line is flushed: what opens there must be there."""

from __future__ import annotations

from dataclasses import replace

import pytest

from drainwright.system.flushing import flushed_from
from drainwright.system.model import System

from ..conftest import designed


@pytest.fixture(scope="module")
def system() -> System:
    return designed("block-wall-house/job").system


def test_a_drain_with_cleanouts_is_flushed_through_them(system: System) -> None:
    assert any(place.fitted and place.run == "FD1" for place in system.cleanouts)
    assert flushed_from(system, "FD1") == "through its cleanouts"


def test_a_line_from_a_grate_or_downspout_is_flushed_from_that(system: System) -> None:
    bare = replace(system, cleanouts=())
    for run in (one for one in system.runs if one.duty in ("leader", "yard drain")):
        assert flushed_from(bare, run.name) == f"from {run.upper}"


def test_a_line_below_a_buried_joint_is_flushed_from_the_first_opening_above(system: System) -> None:
    """A main was to be flushed \"through its cleanouts\", and had none (found by a reader of the long house)."""
    yard = system.run("YD1")
    inlet = system.nodes[yard.upper]
    joint = replace(inlet, name="J1", kind="junction")
    main = replace(yard, name="M1", upper="J1")
    branch = replace(yard, lower="J1")
    nodes = {**system.nodes, "J1": joint}
    others = tuple(run for run in system.runs if run.name != "YD1")
    made = replace(system, nodes=nodes, runs=(branch, main, *others), cleanouts=())
    assert flushed_from(made, "M1") == f"from {yard.upper}"
    fitted = replace(system.cleanouts[0], run="YD1", fitted=True)
    assert flushed_from(replace(made, cleanouts=(fitted,)), "M1") == "through the cleanouts of YD1"
    blind = replace(made, nodes={**nodes, yard.upper: replace(inlet, kind="junction")})
    assert flushed_from(blind, "M1") == "from its upper end"


def test_what_is_said_of_every_line_of_the_long_house_is_there() -> None:
    long = designed("long-house/job").system
    fitted = {place.run for place in long.cleanouts if place.fitted}
    for run in (one for one in long.runs if not one.pressure and one.duty != "overflow"):
        said = flushed_from(long, run.name)
        if said == "through its cleanouts":
            assert run.name in fitted
        elif said.startswith("through the cleanouts of "):
            assert said.removeprefix("through the cleanouts of ") in fitted
        else:
            assert said == "from its upper end" or long.nodes[said.removeprefix("from ")].kind in ("inlet", "downspout")
