"""A poor design never raises: jobs drawn at random, many of them absurd, all come out as a whole system."""

from __future__ import annotations

import random
from typing import Any

import pytest
from system_jobs import designed, document
from test_system_layout import BASIN, GIVEN, LEADERS, check


def drawn(seed: int) -> dict[str, Any]:
    rng = random.Random(seed)
    mode = rng.choice(["none", "if needed", "basin"])
    basin: dict[str, Any] = dict(BASIN)
    for name, low, high in (("depth", 12, 96), ("diameter", 10, 50), ("on", 2, 30), ("off", 0, 20)):
        if rng.random() < 0.3:
            basin[name] = f"{rng.uniform(low, high):.1f} in"
    if rng.random() < 0.4:
        basin |= {
            "check_valve": rng.random() < 0.5,
            "pump": {
                "name": "drawn",
                "curve": [
                    {"flow": f"{rng.choice([0, 3])} gpm", "head": f"{rng.uniform(2, 30):.1f} ft"},
                    {"flow": "40 gpm", "head": f"{rng.uniform(0, 1.9):.1f} ft"},
                ],
                "float_kind": rng.choice(["integral", "adjustable", "wide angle"]),
            },
        }
    runs = [dict(run) for run in rng.choice([GIVEN, GIVEN + LEADERS, []])]
    for run in runs:
        for name, low, high, unit in (
            ("invert_from", 94, 101, "ft"),
            ("invert_to", 94, 101, "ft"),
            ("grade", 0, 6, "%"),
        ):
            if rng.random() < 0.2:
                run[name] = f"{rng.uniform(low, high):.2f} {unit}"
        if rng.random() < 0.2:
            run["pipe"] = rng.choice(["corrugated 4 in", "wrapped 10 in", "sch40 2 in", "d2729 3 in perforated"])
    if mode == "none":
        runs = [run for run in runs if run["name"] != "DL"]
    works: dict[str, Any] = {"basin": basin if mode == "basin" else mode}
    if runs:
        works["runs"] = runs
    data = document(
        rng.choice([-0.05, 0.0, 0.03, 0.2]),
        invert=rng.choice(["at ground", "97 ft", "92 ft", "101 ft"]),
        permission=rng.choice(["allowed", "forbidden", "not asked"]),
        **works,
    )
    data["works"]["discharge"][0]["kind"] = rng.choice(["daylight", "storm line", "street", "sanitary sewer"])
    data["criteria"] = {
        "roof_water": rng.choice(["separate", "to basin", "to footing drain"]),
        "minimum_grade": rng.choice(["0 %", "1 %", "5 %"]),
        "minimum_cover": rng.choice(["0 in", "8 in", "4 ft"]),
        "maximum_fill": rng.choice(["100 %", "50 %"]),
        "maximum_starts": rng.choice(["0.1 /h", "10 /h"]),
        "trench_width": rng.choice(["0 in", "24 in"]),
    }
    data["roofs"][0]["area"] = f"{rng.choice([1, 600, 9000])} ft2"
    return data


@pytest.mark.parametrize("seed", range(16))
def test_any_job_gives_a_whole_system(seed: int) -> None:
    data = drawn(seed)
    _, _, system = designed(data)
    check(system)
    assert (system.station is None) <= (data["works"]["basin"] in ("none", "if needed"))
    for run in system.runs:
        rises = run.invert_lower > run.invert_upper + 1e-6
        if rises and not run.pressure:
            assert any(text.startswith(f"{run.name}:") and "rise" in text for text in system.conflicts)
