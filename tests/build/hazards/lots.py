"""A house on a lot as a job document: what varies from job to job is given, the rest stands."""

from __future__ import annotations

from typing import Any

Record = dict[str, Any]
FOOT = 0.3048
ABSENT = (
    "gas", "communication", "septic", "propane", "oil", "pool", "irrigation", "irrigation control", "reclaimed",
    "low voltage lighting", "storm drain",
)  # fmt: skip
DEPTHS = (
    ("5 min", 0.40, 0.53, 0.61), ("15 min", 0.76, 1.02, 1.18), ("1 h", 1.31, 1.87, 2.24), ("6 h", 2.02, 2.90, 3.52),
    ("24 h", 2.90, 4.20, 5.10),
)  # fmt: skip


class Lot:
    """Writes lengths in feet, or in metres for a job in SI units."""

    def __init__(self, *, metric: bool = False, width: float = 40.0, depth: float = 30.0, slope: float = 0.05) -> None:
        self.metric, self.width, self.depth, self.slope = metric, width, depth, slope

    def say(self, feet: float) -> str:
        """A length."""
        return f"{feet * FOOT:.4f} m" if self.metric else f"{feet:.4f} ft"

    def at(self, east: float, north: float) -> str:
        """A place."""
        return f"{self.say(east)}, {self.say(north)}"

    def ground(self, north: float) -> float:
        """Level of the ground, which falls to the south [ft]."""
        return 100.0 + self.slope * north

    def point(self, name: str, east: float, north: float) -> Record:
        """A shot on the ground."""
        return {
            "name": name, "east": self.say(east), "north": self.say(north),
            "level": self.say(self.ground(north)),
        }  # fmt: skip

    def wall(self, name: str, start: str, end: str, footing: float, **changes: Any) -> Record:
        """A foundation wall whose footing was measured."""
        return {
            "name": name, "from": start, "to": end, "footing_bottom": f"{self.say(footing)}, measured",
            "footing_thickness": "8 in, measured", "footing_projection": "4 in, measured", **changes,
        }  # fmt: skip

    def line(self, name: str, kind: str, route: list[tuple[float, float]], depth: str, **changes: Any) -> Record:
        """A buried line that a ticket located."""
        return {
            "name": name, "kind": kind, "route": [self.at(*place) for place in route], "depth": f"{depth}, measured",
            "located_by": "locate ticket", "shutoff": "at the street", **changes,
        }  # fmt: skip

    def job(self, title: str, *, down: float = 3.0, floor_kind: str = "crawl space", **changes: Any) -> Record:
        """The whole job without a hazard: two walls opened, their drain to an open end below the house.

        ``down`` is the footing's bottom below the ground of the house's uphill side [ft].
        """
        w, d = self.width, self.depth
        footing = self.ground(d) - down
        end = (w + 14, -46.0)
        corners = [("A", 0.0, 0.0), ("B", w, 0.0), ("C", w, d), ("D", 0.0, d)]
        shots = [("J1", w + 4, -5.0), ("P1", *end)]
        shots += [
            (f"G{n}", east, north)
            for n, (east, north) in enumerate(
                (east, north) for east in (-28.0, w / 2, w + 28) for north in (-56.0, -12.0, d + 12, d + 30)
            )
        ]
        opened = {"open_and_coat": True, "coating": {"kind": "waterproofing", "board": True}}
        job: Record = {
            "schema_version": 1, "title": title, "units": "SI" if self.metric else "US", "demonstration": True,
            "property": {
                "address": "1 Invented Way", "town": "Fernhollow",
                "boundary": [self.at(*p) for p in ((-32, -60), (w + 32, -60), (w + 32, d + 34), (-32, d + 34))],
                "access": {"stockpile": self.at(w + 20, 0.0)},
            },
            "survey": {
                "benchmark": {"name": "BM", "elevation": self.say(100.0)},
                "points": [self.point(*shot) for shot in (*corners, *shots)],
            },
            "house": {
                "outline": ["A", "B", "C", "D"], "floor_kind": floor_kind,
                "floor": f"{self.say(footing + 1.5)}, measured",
                "floor_thickness": "0 in" if floor_kind == "crawl space" else "4 in",
                "walls": [
                    self.wall("south", "A", "B", footing), self.wall("east", "B", "C", footing, **opened),
                    self.wall("north", "C", "D", footing, **opened), self.wall("west", "D", "A", footing),
                ],
            },
            "ground": {
                "texture": "loam, measured", "conductivity": "0.8 ft/day, measured", "osha_type": "B, measured",
                "water_table": f"{self.say(footing - 4.0)}, measured",
                "barrier": f"{self.say(footing - 12.0)}, assumed",
            },
            "rain": {
                "source": "invented", "basis": "assumed", "return_periods": ["2 yr", "10 yr", "25 yr"],
                "table": [{"duration": row[0], "depths": [f"{value} in" for value in row[1:]]} for row in DEPTHS],
            },
            "utilities": [
                self.line("water service", "water", [(-20, -58), (-20, 8), (0, 8)], "2 ft 6 in"),
                self.line("service cable", "electric", [(-24, -58), (-24, 14), (0, 14)], "2 ft"),
                self.line("house sewer", "sewer", [(-16, -58), (-16, 4), (0, 4)], "3 ft", diameter="4 in"),
            ],
            "utilities_absent": list(ABSENT),
            "works": {
                "runs": [
                    {
                        "name": "FD1", "duty": "footing drain", "from": "D", "to": "J1", "beside": ["north", "east"],
                        "beside_offset": "10 in", "cleanout": True,
                    },
                    {"name": "MD", "duty": "yard drain", "from": "J1", "to": "OUT"},
                ],
                "basin": "if needed",
                "discharge": [
                    {
                        "name": "OUT", "at": "P1", "kind": "daylight", "invert": self.say(self.ground(end[1])),
                        "permission": "allowed, measured",
                    }
                ],
            },
            "crew": {"size": 4, "start": "2026-06-15"},
            "locates": {
                "number": "T-100", "called": "2026-06-08", "white_marked": True,
                "answers": [
                    {"line": kind, "answer": "marked", "date": "2026-06-10"} for kind in ("water", "electric", "sewer")
                ],
            },
        }  # fmt: skip
        return {**job, **changes}


__all__ = ["ABSENT", "Lot", "Record"]
