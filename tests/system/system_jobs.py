"""An invented job for the tests: a 40 ft by 30 ft house on ground that falls to the south."""

from __future__ import annotations

import json
from functools import cache
from typing import Any

from drainwright.field import survey
from drainwright.field.model import Site
from drainwright.job.model import Job
from drainwright.system import lay_out
from drainwright.system.model import System
from drainwright.water import inflows
from drainwright.water.model import Inflows


def document(fall: float = 0.02, **works: Any) -> dict[str, Any]:
    """A job whose ground falls by a share of the distance to the south; ``works`` replaces parts of the works."""

    def level(north: float) -> str:
        return f"{100.0 - fall * (30.0 - north):.3f} ft"

    corners = {"A": (0, 0), "B": (40, 0), "C": (40, 30), "D": (0, 30)}
    spread = [(e, n) for e in (-30, 5, 20, 45, 80) for n in (-90, -40, -12, 45)]
    points = [
        {"name": name, "east": f"{e} ft", "north": f"{n} ft", "level": level(n)} for name, (e, n) in corners.items()
    ]
    points += [
        {"name": f"G{number}", "east": f"{e} ft", "north": f"{n} ft", "level": level(n)}
        for number, (e, n) in enumerate(spread)
    ]
    footing = f"{100.0 - fall * 30.0 - 3.0:.3f} ft, measured"
    return {
        "schema_version": 1,
        "title": "invented",
        "survey": {"points": points},
        "house": {
            "outline": ["A", "B", "C", "D"],
            "floor_kind": "slab",
            "floor": f"{100.4 - fall * 30.0 + 0.3:.3f} ft, measured",
            "walls": [
                {"name": "south", "from": "A", "to": "B", "footing_bottom": footing, "wet": True},
                {"name": "east", "from": "B", "to": "C", "footing_bottom": footing, "wet": True},
                {"name": "north", "from": "C", "to": "D", "footing_bottom": footing},
                {"name": "west", "from": "D", "to": "A", "footing_bottom": footing},
            ],
        },
        "ground": {"texture": "loam, measured", "conductivity": "1 ft/day, measured", "water_table": "99 ft, measured"},
        "rain": {
            "return_periods": ["2 yr", "10 yr", "25 yr"],
            "table": [
                {"duration": "5 min", "depths": ["0.4 in", "0.55 in", "0.65 in"]},
                {"duration": "1 h", "depths": ["1.4 in", "2.1 in", "2.5 in"]},
                {"duration": "24 h", "depths": ["3.2 in", "5 in", "6.1 in"]},
            ],
        },
        "roofs": [
            {"name": "front", "area": "600 ft2, measured", "to": "DS1"},
            {"name": "back", "area": "600 ft2, measured", "to": "DS2"},
        ],
        "downspouts": [{"name": "DS1", "at": "39 ft, -0.5 ft"}, {"name": "DS2", "at": "40.5 ft, 29 ft"}],
        "yards": [{"name": "lawn", "area": "1500 ft2, measured", "to": "CB1", "slope": "2 %, measured"}],
        "works": {
            "inlets": [{"name": "CB1", "at": "-12 ft, -6 ft"}],
            "discharge": [
                {
                    "name": "OUT",
                    "at": "20 ft, -80 ft",
                    "kind": "daylight",
                    "invert": "at ground" if "invert" not in works else works.pop("invert"),
                    "permission": works.pop("permission", "allowed, measured"),
                }
            ],
            **works,
        },
    }


def designed(data: dict[str, Any]) -> tuple[Site, Inflows, System]:
    """The job carried as far as its system; each job once."""
    return _designed(json.dumps(data))


@cache
def _designed(text: str) -> tuple[Site, Inflows, System]:
    site = survey(Job.model_validate(json.loads(text)))
    water = inflows(site)
    return site, water, lay_out(site, water)
