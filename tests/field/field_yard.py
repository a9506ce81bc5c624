"""An invented house and yard for the tests: 40 ft by 30 ft, ground falling to the north-east."""

from __future__ import annotations

from typing import Any

from drainwright.job.model import Job


def document(**changes: Any) -> dict[str, Any]:
    """The job as data; a change replaces a top-level part."""
    job: dict[str, Any] = {
        "schema_version": 1,
        "title": "Invented house",
        "demonstration": True,
        "survey": {
            "benchmark": {"name": "BM", "elevation": "100 ft"},
            "perimeter": {
                "start": "A",
                "bearing": "0 deg",
                "legs": [
                    {"to": "B", "length": "30 ft", "turn": "90 deg"},
                    {"to": "C", "length": "40 ft", "turn": "90 deg"},
                    {"to": "D", "length": "30 ft", "turn": "90 deg"},
                    {"to": "A", "length": "40 ft", "turn": "90 deg"},
                ],
            },
            "points": [
                {"name": "P1", "ties": [{"from": "B", "distance": "25 ft"}, {"from": "C", "distance": "25 ft"}]},
                {"name": "P2", "along": ["D", "C"], "distance": "15 ft", "offset": "-20 ft"},
                {"name": "P3", "east": "-20 ft", "north": "-20 ft"},
                {"name": "P4", "east": "60 ft", "north": "-20 ft"},
                {"name": "P5", "east": "-20 ft", "north": "50 ft"},
                {"name": "P6", "east": "60 ft", "north": "50 ft"},
            ],
            "level_book": [
                {"point": "BM", "backsight": "5.00 ft"},
                {"point": "A", "intermediate": "5.50 ft"},
                {"point": "B", "intermediate": "6.00 ft"},
                {"point": "D", "intermediate": "6.00 ft"},
                {"point": "TP1", "backsight": "4.00 ft", "foresight": "6.20 ft"},
                {"point": "C", "intermediate": "5.30 ft"},
                {"point": "P1", "intermediate": "5.40 ft"},
                {"point": "P2", "intermediate": "5.50 ft"},
                {"point": "P3", "intermediate": "3.00 ft"},
                {"point": "P4", "intermediate": "4.50 ft"},
                {"point": "P5", "intermediate": "4.80 ft"},
                {"point": "P6", "intermediate": "6.30 ft"},
                {"point": "BM", "foresight": "2.81 ft"},
            ],
        },
        "house": {
            "outline": ["A", "B", "C", "D"],
            "floor_kind": "crawl space",
            "floor": "18 in below A",
            "walls": [
                {"name": "N", "from": "C", "to": "B", "footing_bottom": "3 ft 2 in below B, measured"},
                {"name": "E", "from": "C", "to": "D", "footing_bottom": "2 ft below ground, assumed"},
            ],
        },
        "ground": {"texture": "clay loam", "water_table": "6 ft below ground"},
        "rain": {"return_periods": ["10 yr"], "table": [{"duration": "5 min", "depths": ["0.6 in"]}]},
        "utilities": [
            {"name": "W1", "kind": "water", "route": ["P3", "P5"], "depth": "2 ft"},
        ],
        "trees": [{"name": "OAK", "at": "P6", "trunk_diameter": "12 in"}],
        "works": {"discharge": [{"at": "P6", "kind": "daylight", "invert": "96 ft"}]},
    }
    return job | changes


def job(**changes: Any) -> Job:
    """The job, validated."""
    return Job.model_validate(document(**changes))
