"""Build figures reckoned once more from the results as they are written: whoever has the file alone can do the same.

Nothing of ``drainwright.build`` is called. Wanted are all figures within 1 %; what stands apart is left out by name:
runs in a wall's dig, whose soil is the wall's; stone that fills a wall's gap under a bed; pipe that lies in a soakaway,
which has no cutting list; sets of shields, whose hours are in the digging and not in the soil's chain.
"""

from __future__ import annotations

import json
import math
from collections.abc import Iterator
from decimal import ROUND_HALF_UP, Decimal
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from drainwright.results import design_to_plain

from ..conftest import designed

BOOK = json.loads(
    (Path(__file__).parents[2] / "src/drainwright/job/data/demonstration_prices.json").read_text(encoding="utf-8")
)
SQUARE_FOOT = 0.3048**2

Figure = tuple[str, float, float]  # its name, reckoned here, as written


def cents(amount: Decimal) -> Decimal:
    return amount.quantize(Decimal("0.01"), ROUND_HALF_UP)


def kept(run: dict[str, Any], trench: dict[str, Any], holes: dict[str, float]) -> tuple[float, float]:
    """From and to along a run, without what lies in holes at its ends and in a wall's dig at its upper one [m]."""
    gone = run["length"] - trench["length"]
    above, below = run["upper"] in holes, run["lower"] in holes
    first = gone / 2 if above and below else gone if above else 0.0
    if below and not above:  # square, and met straight on: what more is gone lies beside the wall that it begins at
        first = max(0.0, gone - holes[run["lower"]] / 2)
    return first, first + trench["length"]


def dug(found: dict[str, Any]) -> Iterator[Figure]:
    """Trenches away from walls: depth by station, times width."""
    runs = {run["name"]: run for run in found["system"]["runs"]}
    trenches = found["build"]["dig"]["trenches"]
    holes = {trench["name"]: trench["width"] for trench in trenches if trench["kind"] == "basin"}
    for trench in trenches:
        if trench["kind"] != "run" or runs[trench["name"]]["walls"]:
            continue
        run = runs[trench["name"]]
        at = [place["distance"] for place in run["stations"]]
        under = run["pipe"]["wall"] + (run["stone_under"] if run["stone_width"] else 0.0)
        deep = [place["ground"] - place["invert"] + under for place in run["stations"]]
        along = np.linspace(*kept(run, trench, holes), 2001)
        depths = np.interp(along, at, deep)
        area = sum((a + b) / 2 for a, b in pairwise(depths)) * (along[1] - along[0])
        yield f"trench {trench['name']}", float(area) * trench["width"], trench["bank_volume"]


def soil(found: dict[str, Any]) -> Iterator[Figure]:
    """Swelled, hauled, in loads."""
    dig, equipment = found["build"]["dig"], found["job"]["equipment"]
    cut = 0.0 if dig["shaped"] is None else dig["shaped"]["cut"]
    bank = math.fsum(trench["bank_volume"] for trench in dig["trenches"])
    yield "bank", bank, dig["bank_volume"]
    yield "loose", (bank + cut) * (1 + dig["swell"]), dig["loose_volume"]
    room, most = (float(equipment[key].split()[0]) for key in ("trailer_volume", "trailer_payload"))  # m³, kg
    loads = max(math.ceil(dig["haul_volume"] / room - 1e-9), math.ceil(dig["haul_mass"] / most - 1e-9))
    yield "loads", float(loads), float(dig["trailer_loads"])


def stone(found: dict[str, Any]) -> Iterator[Figure]:
    """Round the drains, up to the basin's wall, the pipe taken out."""
    wide = {station["name"]: station["inside_diameter"] for station in found["system"]["stations"]}
    zones = [zone for zone in found["build"]["takeoff"]["stone"] if "gap" not in zone["zone"]]
    for run in found["system"]["runs"]:
        if run["stone_width"]:
            pipe = run["pipe"]["outside"]
            section = run["stone_width"] * (run["stone_under"] + pipe + run["stone_over"]) - math.pi / 4 * pipe**2
            long = run["length"] - sum(wide.get(run[end], 0.0) / 2 for end in ("upper", "lower"))
            mine = math.fsum(zone["volume"] for zone in zones if zone["where"] == run["name"])
            yield f"stone of {run['name']}", section * long, mine


def sticks(found: dict[str, Any]) -> Iterator[Figure]:
    """As many are cut as are bought, and each is its pieces, its saw cuts and its rest."""
    takeoff = found["build"]["takeoff"]
    soaks = {soak["name"] for soak in found["system"]["soaks"]}
    bought = [line for line in takeoff["lines"] if line["category"] == "pipe" and line["unit"].startswith("stick")]
    yield "sticks", float(len(takeoff["cuts"])), sum(one["quantity"] for one in bought if one["where"] not in soaks)
    for stick in takeoff["cuts"]:
        pieces = [piece["length"] for piece in stick["pieces"]]
        sawn = 0.003 * len(pieces)
        yield f"{stick['pipe']} {stick['number']}", math.fsum(pieces) + sawn + stick["rest"], stick["length"]


def walls(found: dict[str, Any]) -> Iterator[Figure]:
    """The face that is coated, by the hours of the first coat."""
    opened = [wall for wall in found["site"]["walls"] if wall["wall"]["open_and_coat"]]
    area = 0.0
    for wall in opened:
        top = (wall["ground_start"] + wall["ground_end"]) / 2
        above = float(str(wall["wall"]["coating"]["top_above_grade"]).split()[0])
        area += wall["length"] * (top + above - wall["footing_top"])
    tasks = {task["key"]: task["hours"] for task in found["build"]["plan"]["tasks"]}
    if "coat-1" in tasks:
        yield "coated face", area / SQUARE_FOOT, tasks["coat-1"] * BOOK["rates"]["coat"]["value"]
    for line in found["build"]["takeoff"]["lines"]:
        if line["key"] == "coating.damp-proofing":  # on block 25 to 40 ft² a gallon, then 40 to 60, from memory
            yield "coat", area / SQUARE_FOOT * (1 / 32.5 + 1 / 50), line["net"] * 5


def hours(found: dict[str, Any]) -> Iterator[Figure]:
    """The soil's chain from the dig to the tip, and all works."""
    plan, shields = found["build"]["plan"], found["build"]["shields"]
    sets = 0.0 if shields is None else sum(place["sets"] for place in shields["places"])
    works = {
        key: [task["hours"] for task in plan["tasks"] if task["key"].startswith(key)] for key in ("open", "trench")
    }
    haul = [task["hours"] for task in plan["tasks"] if task["key"].startswith("haul")]
    digging = math.fsum([*works["open"], *works["trench"]]) - sets * 1.0
    chain = {link["name"]: link["hours"] for link in plan["earth"]["out"]}
    yield "digging", digging, chain["dig"] + chain.get("lift out", 0.0)
    yield "from the dig to the tip", digging + math.fsum(haul), math.fsum(chain.values())
    yield "all works", math.fsum(task["hours"] for task in plan["tasks"]), plan["hours"]


def money(found: dict[str, Any]) -> Iterator[Figure]:
    """From direct cost to tax, by the shares of the book's file."""
    told = found["build"]["price"]
    share = {key: Decimal(value) for key, value in BOOK["shares"].items()}
    lines = [(line, cents(Decimal(str(line["quantity"])) * Decimal(str(line["unit_price"])))) for line in told["lines"]]
    direct = sum((amount for _, amount in lines), Decimal(0))
    overhead = cents(direct * share["overhead"])
    contingency = cents((direct + overhead) * share["contingency"])
    before = cents((direct + overhead + contingency) / (1 - share["profit_margin"])) + Decimal(told["allowances"])
    tax = cents(sum((amount for line, amount in lines if line["taxable"]), Decimal(0)) * share["sales_tax"])
    for name, mine in (
        ("direct_cost", direct), ("overhead", overhead), ("contingency", contingency), ("before_tax", before),
        ("tax", tax), ("total", before + tax),
    ):  # fmt: skip
        yield name, float(mine), float(told[name])


@pytest.mark.parametrize("name", ["block-wall-house", "sloping-lot", "two-basins", "soak-lot"])
def test_the_written_results_again(name: str) -> None:
    found = design_to_plain(designed(f"{name}/job"))
    parts = (dug, soil, stone, sticks, walls, hours, money)
    figures = [figure for part in parts for figure in part(found)]
    apart = [(what, mine, told) for what, mine, told in figures if mine != pytest.approx(told, rel=0.01)]
    assert apart == []
    assert len(figures) > 20
