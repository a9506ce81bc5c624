"""A small site made by hand, so that the water wing is tested without the survey."""

from __future__ import annotations

from typing import Any

from drainwright.field.model import Site, SitePoint, SiteWall
from drainwright.job.model import Job
from drainwright.job.values import Basis

RAIN = {
    "source": "invented table",
    "basis": "mapped",
    "return_periods": ["2 yr", "10 yr", "25 yr"],
    "table": [
        {"duration": "5 min", "depths": ["0.40 in", "0.55 in", "0.65 in"]},
        {"duration": "15 min", "depths": ["0.80 in", "1.10 in", "1.30 in"]},
        {"duration": "60 min", "depths": ["1.40 in", "2.10 in", "2.50 in"]},
        {"duration": "6 h", "depths": ["2.30 in", "3.60 in", "4.40 in"]},
        {"duration": "24 h", "depths": ["3.20 in", "5.00 in", "6.10 in"]},
    ],
}


def job_of(**changes: Any) -> Job:
    """A house of 30 ft by 40 ft with two downspouts, a lawn, a drive and one footing drain."""
    document: dict[str, Any] = {
        "schema_version": 1,
        "title": "invented",
        "survey": {},
        "house": {
            "outline": ["A", "B", "C", "D"],
            "floor_kind": "basement",
            "floor": "96 ft, measured",
            "walls": [
                {"name": "W1", "from": "A", "to": "B", "footing_bottom": "94.5 ft, measured"},
                {"name": "W2", "from": "B", "to": "C", "footing_bottom": "94.8 ft, measured"},
            ],
        },
        "ground": {"texture": "clay loam, mapped"},
        "rain": RAIN,
        "roofs": [
            {"name": "R1", "area": "700 ft2, measured", "to": "DS1"},
            {"name": "R2", "area": "650 ft2, measured", "to": "DS2"},
        ],
        "downspouts": [
            {"name": "DS1", "at": "A"},
            {"name": "DS2", "at": "B", "ends": "splash", "to": "LAWN"},
        ],
        "yards": [
            {"name": "LAWN", "area": "2000 ft2, measured", "slope": "3 %, measured", "to": "CB1"},
            {"name": "DRIVE", "outline": ["0 ft, 50 ft", "20 ft, 50 ft", "20 ft, 80 ft", "0 ft, 80 ft"],
             "surface": "concrete", "to": "CB1"},
            {"name": "BACK", "area": "500 ft2", "to": "away"},
        ],
        "works": {
            "inlets": [{"name": "CB1", "at": "20 ft, 60 ft"}],
            "runs": [{"name": "FD1", "duty": "footing drain", "from": "A", "to": "SUMP", "beside": ["W1", "W2"]}],
            "basin_place": "50 ft, 50 ft",
            "discharge": [{"name": "OUT", "at": "90 ft, 90 ft", "kind": "street", "invert": "97 ft"}],
        },
    }  # fmt: skip
    return Job.model_validate({**document, **changes})


def site_of(job: Job, *, water_table: float | None = None, barrier: float | None = None, walls: bool = True) -> Site:
    """The job's site, reduced by hand."""
    foot = 0.3048
    corners = {"A": (0.0, 0.0), "B": (40.0, 0.0), "C": (40.0, 30.0), "D": (0.0, 30.0)}
    plan = {name: (east * foot, north * foot) for name, (east, north) in corners.items()}
    lines = []
    for wall in job.house.walls if walls else ():
        start, end = plan[wall.from_], plan[wall.to]
        length = ((end[0] - start[0]) ** 2 + (end[1] - start[1]) ** 2) ** 0.5
        bottom = wall.footing_bottom.value.offset
        lines.append(
            SiteWall(
                wall=wall, start=start, end=end, outward=(0.0, -1.0), length=length, ground_start=98 * foot,
                ground_end=98 * foot, ground_lowest=98 * foot, ground_highest=98 * foot, footing_bottom=bottom,
                footing_top=bottom + wall.footing_thickness.value,
            )
        )  # fmt: skip
    surface: Any = None
    return Site(
        job=job,
        points={name: SitePoint(name=name, east=at[0], north=at[1]) for name, at in plan.items()},
        traverse=None,
        level_book=None,
        surface=surface,
        outline=tuple(plan.values()),
        walls=tuple(lines),
        floor=96 * foot,
        floor_basis=Basis.MEASURED,
        water_table=water_table,
        barrier=barrier,
        utilities=(),
        trees=(),
        boundary=(),
    )
