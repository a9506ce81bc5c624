"""Ten lots, and three hazards planted on each: what is done to the clean document, and which finding must tell it."""

from __future__ import annotations

import copy
from collections.abc import Callable
from dataclasses import dataclass

from .lots import Lot, Record

Plant = Callable[[Lot, Record], object]


@dataclass(frozen=True, slots=True)
class Planted:
    """One hazard: the finding that must name it, its place in the job, and words that must stand in it."""

    what: str
    plant: Plant
    finding: str
    where: str
    says: str


@dataclass(frozen=True, slots=True)
class PlantedLot:
    """A clean job, its hazards, and the cautions that the clean job rightly bears."""

    lot: Lot
    clean: Record
    hazards: tuple[Planted, ...]
    justified: tuple[tuple[str, str], ...] = ()

    def document(self, *, with_hazards: bool) -> Record:
        """The job document."""
        job = copy.deepcopy(self.clean)
        if with_hazards:
            for hazard in self.hazards:
                hazard.plant(self.lot, job)
        return job


def add_line(
    name: str, kind: str, route: list[tuple[float, float]], depth: str, *, answered: bool = True, **changes: object
) -> Plant:
    """One more buried line; its owner marked it, where it is a public one."""

    def plant(lot: Lot, job: Record) -> None:
        job["utilities"].append(lot.line(name, kind, route, depth, **changes))
        job["utilities_absent"] = [item for item in job["utilities_absent"] if item != kind]
        said = {item["line"] for item in job["locates"].get("answers", ())}
        if answered and kind not in said and job["locates"].get("called"):
            job["locates"]["answers"].append({"line": kind, "answer": "marked"})

    return plant


def change_line(name: str, **changes: object) -> Plant:
    """A buried line, otherwise."""
    return lambda _, job: next(line for line in job["utilities"] if line["name"] == name).update(changes)


def change_wall(name: str, **changes: object) -> Plant:
    """A wall, otherwise."""
    return lambda _, job: next(wall for wall in job["house"]["walls"] if wall["name"] == name).update(changes)


def change_walls(**changes: object) -> Plant:
    """All walls, otherwise."""
    return lambda _, job: [wall.update(changes) for wall in job["house"]["walls"]]


def put(part: str, **changes: object) -> Plant:
    """A part of the job, otherwise."""
    return lambda _, job: job.setdefault(part, {}).update(changes)


def add(part: str, **record: object) -> Plant:
    """One more record in a list of the job."""
    return lambda _, job: job.setdefault(part, []).append(record)


def protect(kind: str, name: str, ring: list[tuple[float, float]]) -> Plant:
    """A thing to be spared, by its outline."""
    return lambda lot, job: (
        job["property"]
        .setdefault("protected", [])
        .append({"name": name, "kind": kind, "at": [lot.at(*place) for place in ring]})
    )


def answer(line: str, said: str | None) -> Plant:
    """The answer of the ticket for one line, otherwise; None: none came."""

    def plant(_: Lot, job: Record) -> None:
        rest = [item for item in job["locates"]["answers"] if item["line"] != line]
        job["locates"]["answers"] = rest + ([] if said is None else [{"line": line, "answer": said}])

    return plant


def run(name: str, **changes: object) -> Plant:
    """A run, otherwise."""
    return lambda _, job: next(run for run in job["works"]["runs"] if run["name"] == name).update(changes)


def near_boundary(side: str, feet: float) -> Plant:
    """The boundary so near to the house on one side."""

    def plant(lot: Lot, job: Record) -> None:
        w, d = lot.width, lot.depth
        west, east, north = -32.0, w + 32.0, d + 34.0
        if side == "north":
            north = d + feet
        else:
            east = w + feet
        ring = ((west, -60.0), (east, -60.0), (east, north), (west, north))
        job["property"]["boundary"] = [lot.at(*place) for place in ring]

    return plant


def deeper(feet: float) -> Plant:
    """All footings and the floor deeper, and the end of the drain with them."""

    def plant(lot: Lot, job: Record) -> None:
        footing = lot.ground(lot.depth) - feet
        for wall in job["house"]["walls"]:
            wall["footing_bottom"] = f"{lot.say(footing)}, measured"
        job["house"]["floor"] = f"{lot.say(footing + 1.5)}, measured"

    return plant


def _orchard() -> PlantedLot:
    lot = Lot()
    return PlantedLot(lot, lot.job("Crawl space under fruit trees"), (
        Planted("a water line 7 in down crosses the drain twice",
                add_line("garden tap", "water", [(30, -20), (60, -20), (60, -36), (30, -36)], "7 in"),
                "DIG-02", "utilities.garden tap", "in 2 places"),
        Planted("an electric line without a known shutoff",
                add_line("shed cable", "electric", [(30, -12), (64, -12)], "18 in", shutoff=""),
                "DIG-03", "utilities.shed cable", "shut off"),
        Planted("nobody called", lambda _, job: job.update(locates={}), "DIG-11", "locates", "Nobody has called"),
    ))  # fmt: skip


def _sand() -> PlantedLot:
    lot = Lot(width=34, depth=26, slope=0.08)
    ground = {
        "texture": "sand, measured", "conductivity": "20 ft/day, measured", "osha_type": "C, measured",
        "water_table": "88 ft, measured", "barrier": "80 ft, assumed",
    }  # fmt: skip
    return PlantedLot(lot, lot.job("Slab on sand", floor_kind="slab", ground=ground, rules={
        "house_foundation_letters": {"value": False, "basis": "mapped", "source": "state plan (invented)"}}), (
        Planted("a trench 5 ft 2 in deep in sand", deeper(5.45), "DIG-06", "house.walls.north",
                "nobody enters it"),
        Planted("no room for spoil behind the house", near_boundary("north", 6.0), "DIG-07", "house.walls.north",
                "no room"),
        Planted("a ticket long over", put("locates", called="2026-05-04"), "DIG-11", "locates",
                "before the digging starts"),
    ))  # fmt: skip


def _below() -> PlantedLot:
    lot = Lot(width=44, depth=28, slope=0.06)
    return PlantedLot(lot, lot.job("A drain drawn too deep"), (
        Planted("a drain below the footing", lambda lot, job: run(
                    "FD1", invert_from=lot.say(lot.ground(28) - 3.6),
                    invert_to=lot.say(lot.ground(28) - 4.0))(lot, job),
                "FTG-02", "works.runs.FD1", "goes"),
        Planted("a private line that nobody located",
                add_line("path lights", "low voltage lighting", [(44, -20), (66, -24)], "6 in", located_by="nobody"),
                "DIG-05", "utilities.path lights", "drawn in"),
        Planted("gas alongside inside the tolerance zone",
                add_line("gas service", "gas", [(51.0, -10), (59.0, -44)], "2 ft"),
                "DIG-02", "utilities.gas service", "by hand"),
    ))  # fmt: skip


def _pumped() -> PlantedLot:
    lot = Lot(width=36, depth=26, slope=0.005)
    job = lot.job("Low lot with a basin", down=2.6)
    job["works"]["basin"] = {"name": "SUMP", "at": "J1", "circuit": "dedicated GFCI"}
    job["works"]["runs"] = [
        {**job["works"]["runs"][0], "to": "SUMP"},
        {"name": "DL", "duty": "discharge line", "from": "SUMP", "to": "OUT"},
    ]
    job["survey"]["points"][4] = lot.point("J1", 50, -14)
    return PlantedLot(lot, job, (
        Planted("a basin inside the footing's bearing wedge",
                lambda lot, job: job["survey"]["points"].__setitem__(4, lot.point("J1", 38.5, -2.5)),
                "FTG-04", "works.basin", "carries the footing"),
        Planted("a trailer filled with moist clay", lambda _, job: (
                    job["ground"].update(texture="clay, measured", unit_weight="125 pcf, measured"),
                    job.update(equipment={"trailer_full": True, "trailer_volume": "8 yd3"})),
                "DIG-09", "equipment", "may carry"),
        Planted("a sewer right over the discharge line",
                add_line("side sewer", "sewer", [(40, -30), (70, -30)], "0 ft 10 in", diameter="4 in"),
                "DIG-01", "works.runs.DL", "side sewer"),
    ), justified=(("DIG-06", "works.basin"), ("DIG-08", "works.basin")))  # fmt: skip


def _stone() -> PlantedLot:
    lot = Lot(width=30, depth=32, slope=0.05)
    return PlantedLot(lot, lot.job("An old house", floor_kind="basement"), (
        Planted("an old stone wall opened", change_wall("north", material="stone", condition="unknown"),
                "FTG-08", "house.walls.north", "stone"),
        Planted("water above the bottom of a trench that the letters would leave open", lambda lot, job: (
                    deeper(6.0)(lot, job),
                    job["ground"].update(water_table=f"{lot.say(lot.ground(32) - 3)}, measured")),
                "DIG-17", "house.walls.north", "water"),
        Planted("a deck over the work", put("house", deck_overhead=True), "DIG-18", "house.walls.east", "deck"),
    ))  # fmt: skip


def _oak() -> PlantedLot:
    lot = Lot(width=42, depth=30)
    small = {"name": "far maple", "at": lot.at(-30, 50), "trunk_diameter": "10 in"}
    return PlantedLot(lot, lot.job("Under an oak", trees=[small]), (
        Planted("an oak's roots cut on two sides", lambda lot, job: job["trees"].append(
                    {"name": "corner oak", "at": lot.at(47, 37), "trunk_diameter": "14 in"}),
                "DIG-10", "trees.corner oak", "two sides"),
        Planted("a trench within three trunk diameters", lambda lot, job: job["trees"].append(
                    {"name": "yard elm", "at": lot.at(53, -26), "trunk_diameter": "20 in"}),
                "DIG-10", "trees.yard elm", "three trunk diameters"),
        Planted("'clear' for a sewer that the house must have", lambda lot, job: (
                    answer("sewer", "clear")(lot, job), job["utilities"].pop(),
                    job["utilities_absent"].append("sewer")),
                "DIG-14", "locates", "clear"),
    ))  # fmt: skip


def _septic() -> PlantedLot:
    lot = Lot(width=38, depth=28, slope=0.06)
    return PlantedLot(lot, lot.job("With its own sewage"), (
        Planted("a septic field crossed",
                protect("septic field", "old field", [(40, -30), (62, -30), (62, -16), (40, -16)]),
                "DIG-19", "works.runs.MD", "old field"),
        Planted("a dig area nobody marked white", put("locates", white_marked=False), "DIG-15", "locates",
                "not marked white"),
        Planted("a pool whose lines nobody looked for", lambda lot, job: (
                    protect("pool", "pool", [(-30, 40), (-20, 40), (-20, 50), (-30, 50)])(lot, job),
                    job["utilities_absent"].remove("pool")),
                "DIG-04", "utilities", "pool"),
    ))  # fmt: skip


def _metric() -> PlantedLot:
    lot = Lot(metric=True, width=36, depth=33, slope=0.06)
    return PlantedLot(lot, lot.job("Half a basement, in metres"), (
        Planted("a clearance smaller than the doubt of the depth",
                add_line("data line", "communication", [(40, -28), (66, -28)], "0.25 m", depth_uncertainty="0.30 m"),
                "DIG-01", "works.runs.MD", "could meet"),
        Planted("no answer from the power company", lambda lot, job: (
                    add_line("garage cable", "electric", [(36, -34), (66, -34)], "0.6 m")(lot, job),
                    answer("electric", None)(lot, job)),
                "DIG-14", "utilities.garage cable", "No answer"),
        Planted("a cracked wall bared", change_wall("east", condition="cracked"), "FTG-08", "house.walls.east",
                "cracked"),
    ))  # fmt: skip


def _drive() -> PlantedLot:
    lot = Lot(width=40, depth=30, slope=0.07)
    return PlantedLot(lot, lot.job("Beside a driveway"), (
        Planted("cars beside an opened wall", lambda lot, job: job.setdefault("yards", []).append(
                    {"name": "driveway", "surface": "asphalt", "to": "away", "slope": "2 %, measured",
                     "outline": [lot.at(*p) for p in ((44, 5), (56, 5), (56, 60), (44, 60))]}),
                "DIG-16", "house.walls.east", "driveway"),
        Planted("no room for spoil along the drain to the street", near_boundary("east", 7.0), "DIG-07",
                "house.walls.east", "no room"),
        Planted("a ticket over before the work is", put("locates", valid_until="2026-06-15"), "DIG-11", "locates",
                "and the work on"),
    ))  # fmt: skip


def _clay() -> PlantedLot:
    lot = Lot(width=48, depth=24, slope=0.08)
    return PlantedLot(lot, lot.job("On swelling clay"), (
        Planted("propane known by the owner's word",
                add_line("propane to the grill", "propane", [(48, -16), (70, -18)], "12 in", located_by="owner says",
                         shutoff="tank valve"),
                "DIG-05", "utilities.propane to the grill", "owner says so"),
        Planted("a long wall in swelling clay", put("ground", expansive=True), "FTG-09", "house.walls.north",
                "odd lengths first"),
        Planted("a trench in the bearing wedge of the next wall", lambda lot, job: (
                    run("MD", via=[lot.at(47, -1.6), lot.at(30, -1.6)],
                        invert_from=lot.say(lot.ground(24) - 4.4))(lot, job)),
                "FTG-04", "works.runs.MD", "carries the footing"),
    ))  # fmt: skip


LOTS = {
    "orchard": _orchard(), "sand": _sand(), "below": _below(), "pumped": _pumped(), "stone": _stone(), "oak": _oak(),
    "septic": _septic(), "metric": _metric(), "drive": _drive(), "clay": _clay(),
}  # fmt: skip

__all__ = ["LOTS", "Planted", "PlantedLot"]
