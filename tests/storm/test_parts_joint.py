"""The line that the discharge joins: it stands as deep as even flow, backs up full, and comes up at the joint."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from drainwright.field import survey
from drainwright.hydraulics.openflow import flowing_depth
from drainwright.job.reading import read_job
from drainwright.storm.engine.plant import AWAY, IN, OUT, Run
from drainwright.storm.engine.ready import forcing_of, state_of
from drainwright.storm.engine.stepper import step
from drainwright.storm.network import Network, build_network
from drainwright.storm.parts.joint import JointLine, joint_lines
from drainwright.system import lay_out
from drainwright.water import inflows

HOUSE = Path(__file__).resolve().parents[2] / "examples" / "block-wall-house" / "job.yaml"


@pytest.fixture(scope="module")
def joined() -> tuple[Network, JointLine]:
    site = survey(read_job(HOUSE))
    water = inflows(site)
    system = lay_out(site, water)
    return build_network(site, water, system), joint_lines(site, system)[0]


def settled(network: Network, joint: JointLine, flow: float) -> tuple[Run, float]:
    """An even flow into the joint alone, for an hour; the level there at the end."""
    place = network.names.index(joint.name)
    plant = network.plant._replace(
        stations=network.plant.stations._replace(on=np.full(len(network.stations), 1e30)),
        ground=network.plant.ground._replace(conductance=0.0 * network.plant.ground.conductance),
    )
    forcing = forcing_of(np.array([0.0, 3600.0]), np.array([place]), np.array([[flow]]))
    run = step(plant, forcing, state_of(plant, network.start), 0.0005, True, False)
    return run, float(run.trace[-1, 1 + place])


@pytest.mark.parametrize("share", [0.1, 0.4, 0.8])
def test_it_stands_as_deep_as_even_flow(joined: tuple[Network, JointLine], share: float) -> None:
    network, joint = joined
    flow = share * joint.conveyance * joint.grade**0.5
    _, level = settled(network, joint, flow)
    rough = joint.pipe.manning
    assert level - joint.invert == pytest.approx(
        float(flowing_depth(flow, joint.pipe.inside, joint.grade, rough)), abs=0.001
    )


def test_what_it_cannot_carry_comes_up_at_the_joint(joined: tuple[Network, JointLine]) -> None:
    network, joint = joined
    most = joint.conveyance * joint.grade**0.5
    run, level = settled(network, joint, 6.0 * most)
    assert level > joint.rim
    assert run.totals[AWAY] > 0.0
    assert run.totals[IN] == pytest.approx(run.totals[OUT] + run.totals[AWAY], rel=0.01)


def test_its_other_roofs_come_to_it(joined: tuple[Network, JointLine]) -> None:
    network, joint = joined
    assert joint.roofs
    assert all(network.entries[roof] == network.names.index(joint.name) for roof in joint.roofs)


def test_water_from_elsewhere_runs_through_it_and_is_not_told_as_ours() -> None:
    job = read_job(HOUSE)
    point = job.works.discharge[0]
    assert point.joins is not None
    record = job.model_dump(mode="json", by_alias=True, exclude_none=True)
    record["works"]["discharge"][0]["joins"]["other_flow"] = "0.5 L/s, stated"
    from drainwright.job.model import Job

    site = survey(Job.model_validate(record, context={"document": True}))
    water = inflows(site)
    network = build_network(site, water, system := lay_out(site, water))
    (joint,) = joint_lines(site, system)
    assert joint.other == pytest.approx(0.0005)
    run, level = settled(network, joint, 0.0)
    depth = float(flowing_depth(0.0005, joint.pipe.inside, joint.grade, joint.pipe.manning))
    assert level - joint.invert == pytest.approx(depth, abs=0.001)
    assert run.totals[OUT] == pytest.approx(0.0, abs=0.01)
