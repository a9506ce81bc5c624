"""Invented lots for the schemes: a house on ground that falls to the south, and ten seeded ones of all sorts."""

from __future__ import annotations

import random
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Any

from drainwright.job.model import Job
from drainwright.job.reading import read_job
from drainwright.schemes import SchemeSet, schemes
from drainwright.schemes.model import Comparison, Failure

FOOT = 0.3048
EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
KINDS = (
    "water", "reclaimed", "irrigation", "irrigation control", "electric", "gas", "communication", "sewer", "septic",
    "pool",
    "propane", "oil", "low voltage lighting",
)  # fmt: skip
NAMES = (
    "block-wall-house/job", "metric-basement/job", "sloping-lot/job", "wrong-choices/job", "soak-lot/job",
    "two-basins/job",
)  # fmt: skip


def lot(
    fall: float = 0.02,
    *,
    texture: str = "loam",
    rate: str = "1 ft/day",
    water: str | None = "99 ft",
    wet: tuple[str, ...] = ("south", "east"),
    kind: str = "daylight",
    permission: str = "allowed, measured",
    out: tuple[float, float] = (20.0, -80.0),
    below: float = 0.0,
    floor: float = 0.7,
    utilities: tuple[dict[str, Any], ...] = (),
    rules: dict[str, Any] | None = None,
    house: tuple[float, float] = (40.0, 30.0),
    dip: float = 0.0,
    dips: int = 1,
    **works: Any,
) -> dict[str, Any]:
    """A job whose ground falls by a share of the distance to the south; levels in feet, the north edge at 100 ft."""
    wide, high = house

    def level(north: float) -> float:
        return 100.0 - fall * (high - north)

    corners = {"A": (0.0, 0.0), "B": (wide, 0.0), "C": (wide, high), "D": (0.0, high)}
    spread = [(e, n) for e in (-30.0, 5.0, wide / 2, wide + 5.0, 80.0) for n in (-90.0, -40.0, -12.0, high + 15.0)]
    points: list[dict[str, Any]] = [
        {"name": name, "east": f"{e} ft", "north": f"{n} ft", "level": f"{level(n):.3f} ft"}
        for name, (e, n) in corners.items()
    ]
    points += [
        {"name": f"G{number}", "east": f"{e} ft", "north": f"{n} ft", "level": f"{level(n):.3f} ft"}
        for number, (e, n) in enumerate(spread)
    ]
    if dip:
        ring = [(e, n) for e in (wide + 8.0, wide + 14.0) for n in (8.0, 14.0)]
        points += [
            {"name": f"R{number}", "east": f"{e} ft", "north": f"{n} ft", "level": f"{level(n):.3f} ft"}
            for number, (e, n) in enumerate(ring)
        ]
        points += [
            {"name": name, "east": f"{wide + 11.0 + off} ft", "north": "11 ft", "level": f"{level(11.0) - dip:.3f} ft"}
            for name, off in (("DIP", 0.0), ("DIP2", 1.5))[:dips]
        ]
    slab = level(0.0)
    footing = f"{slab - 3.0 + min(floor, 0.0):.3f} ft, measured"
    sides = (("south", "A", "B"), ("east", "B", "C"), ("north", "C", "D"), ("west", "D", "A"))
    ground: dict[str, Any] = {"texture": f"{texture}, measured", "conductivity": f"{rate}, measured"}
    if water is not None:
        ground["water_table"] = f"{water}, measured"
    found = {
        "schema_version": 1,
        "title": "invented",
        "property": {
            "boundary": ["-29 ft, -88 ft", "79 ft, -88 ft", f"79 ft, {high + 14} ft", f"-29 ft, {high + 14} ft"]
        },
        "survey": {"points": points},
        "house": {
            "outline": ["A", "B", "C", "D"],
            "floor_kind": "slab" if floor > 0 else "basement",
            "floor": f"{slab + floor:.3f} ft, measured",
            "walls": [
                {"name": name, "from": a, "to": b, "footing_bottom": footing, "wet": name in wet}
                for name, a, b in sides
            ],
        },
        "ground": ground,
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
        "downspouts": [
            {"name": "DS1", "at": f"{wide - 1} ft, -0.5 ft"}, {"name": "DS2", "at": f"{wide + 0.5} ft, {high - 1} ft"},
        ],
        "yards": [{"name": "lawn", "area": "1500 ft2, measured", "to": "CB1", "slope": "2 %, measured"}],
        "utilities": list(utilities),
"utilities_absent": [kind for kind in KINDS if kind not in {line["kind"] for line in utilities}],
        "works": {
            "inlets": [{"name": "CB1", "at": "-12 ft, -6 ft"}],
            "discharge": [
                {
                    "name": "OUT", "at": f"{out[0]} ft, {out[1]} ft", "kind": kind,
                    "invert": f"{level(out[1]) - below:.3f} ft", "permission": permission,
                }
            ],
            **works,
        },
    }  # fmt: skip
    if rules is not None:
        found["rules"] = rules
    return found


def job(**more: Any) -> Job:
    """The lot as a job."""
    return Job.model_validate(lot(**more))


def seeded(seed: int) -> Job:
    """One of the ten: slope, soil, water, walls, outlet, lines and size drawn by the seed."""
    draw = random.Random(seed)
    fall = draw.choice((0.0, 0.004, 0.01, 0.02, 0.05))
    sides = ["south", "east", "north", "west"]
    lines = [
        {"name": f"line {number}", "kind": kind, "depth": "2 ft, mapped", "located_by": "locate ticket",
         "route": [f"{(east := draw.uniform(-20, 70)):.1f} ft, -85 ft", f"{east:.1f} ft, -3 ft"]}
        for number, kind in enumerate(draw.sample(["water", "electric", "gas", "sewer", "communication"], 3))
    ]  # fmt: skip
    return job(
        fall=fall,
        texture=draw.choice(("clay", "loam", "sandy loam", "sand")),
        rate=draw.choice(("0.05 ft/day", "0.8 ft/day", "3 ft/day", "20 ft/day")),
        water=draw.choice((None, "93 ft", "97 ft", "98.5 ft")),
        wet=tuple(draw.sample(sides, draw.randint(0, 4))),
        kind=draw.choice(("daylight", "storm line", "street")),
        permission=draw.choice(("allowed, measured", "not asked, assumed", "permit needed, mapped")),
        out=(draw.uniform(-20.0, 70.0), -80.0),
        below=draw.choice((0.0, 0.0, 1.5, 3.0)),
        floor=draw.choice((0.7, 0.7, -2.0)),
        utilities=tuple(lines),
        house=(draw.uniform(30.0, 50.0), draw.uniform(24.0, 36.0)),
        dip=draw.choice((0.0, 0.3)),
    )


@cache
def compared(name: str) -> SchemeSet:
    """The schemes of an example, laid out anew; once in a run."""
    return schemes(read_job(EXAMPLES / f"{name}.yaml"), redraw=True)


@cache
def of_seed(seed: int) -> SchemeSet:
    """The schemes of a seeded lot; once in a run."""
    return schemes(seeded(seed))


def figures(price: str = "10000", hours: tuple[float | None, ...] = (), **more: Any) -> Comparison:
    """Figures of an invented scheme."""
    failures = tuple(
        Failure(key=f"case {number}", title=f"case {number}", hours=hour, head_room=None)
        for number, hour in enumerate(hours)
    )
    common: dict[str, Any] = {
        "price": Decimal(price), "price_low": Decimal(price), "price_high": Decimal(price), "currency": "USD",
        "days": 3, "hours": 90.0, "pipe": 50.0, "earth": 20.0, "hand_dig": 5.0, "crossings": 2, "met": (("water", 2),),
        "deep": 0.0, "deepest": 1.0, "in_wedge": 0, "roots": 0, "head_room": 0.2, "house_dry": False,
        "pump_margin": None, "pumps": 0, "energy": None, "failures": failures, "grates": 1, "outlets": ("OUT",),
        "fails": (), "warns": (), "conflicts": (),
    }  # fmt: skip
    return Comparison(**{**common, **more})
