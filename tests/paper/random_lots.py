"""Lots by chance, for the placing of names: a house, runs, inlets, buried lines and trees, drawn by a seed."""

from __future__ import annotations

import random
from dataclasses import replace
from functools import cache

from drainwright.design import Design
from drainwright.system.model import Node, SizedRun
from tests.paper.sample import sample_design

HALF = 24.0  # half the side of the square that holds the works [m]


@cache
def _model() -> Design:
    return sample_design()


def random_lot(seed: int) -> Design:
    """A design to be drawn, not to be built: the places are by chance, the levels are those of the sample's runs."""
    chance = random.Random(seed)
    model = _model()
    wide, deep = chance.uniform(8.0, 22.0), chance.uniform(7.0, 13.0)
    house = ((0.0, 0.0), (wide, 0.0), (wide, deep), (0.0, deep))

    def spot() -> tuple[float, float]:
        return (wide / 2 + chance.uniform(-HALF, HALF), deep / 2 + chance.uniform(-HALF, HALF))

    def node(name: str, kind: str) -> Node:
        first = next(iter(model.system.nodes.values()))
        return replace(first, name=name, kind=kind, at=spot())  # type: ignore[arg-type]

    inlets = [node(f"CB{n}", "inlet") for n in range(1, chance.randint(3, 13))]
    spouts = [node(f"DS{n}", "downspout") for n in range(1, chance.randint(3, 11))]
    junctions = [node(f"J{n}", "junction") for n in range(1, chance.randint(3, 8))]
    out = node("OUT", "discharge")
    nodes = {item.name: item for item in (*inlets, *spouts, *junctions, out)}
    pattern = next(run for run in model.system.runs if not run.pressure)
    runs: list[SizedRun] = []
    for number, upper in enumerate((*inlets, *spouts, *junctions), start=1):
        lower = out if upper in junctions else chance.choice(junctions)
        duty = {"inlet": "yard drain", "downspout": "leader", "junction": "yard drain"}[upper.kind]
        runs.append(
            replace(
                pattern, name=f"R{number}", duty=duty, upper=upper.name, lower=lower.name, route=(upper.at, lower.at),
                walls=(),
            )  # type: ignore[arg-type]
        )  # fmt: skip
    buried = tuple(
        replace(item, route=((wide / 2 - HALF, end), spot()), top=item.top[:2])
        for item, end in ((item, chance.uniform(-HALF, HALF)) for item in model.site.utilities)
        if len(item.route) >= 2
    )
    trees = tuple(replace(tree, at=spot()) for tree in model.site.trees)
    site = replace(model.site, outline=house, walls=(), utilities=buried, trees=trees, boundary=(), points={})
    dig = replace(model.build.dig, crossings=(), trenches=())
    return replace(
        model,
        site=site,
        system=replace(model.system, nodes=nodes, runs=tuple(runs), stations=(), fittings=(), cleanouts=()),
        build=replace(model.build, dig=dig),
    )


__all__ = ["random_lot"]
