"""Figures of another size than a house has them: one table of ranges, and what a slip of the pen would have meant.

A figure outside of its range is not refused, for it may be true; it is told, so that a slip does not reach the price.
The ranges are common practice, no source: wide enough that hardly a house lies outside.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from operator import attrgetter
from typing import TypedDict

import shapely

from drainwright.field.model import Site
from drainwright.field.usual_levels import NEAR, NEAR_GROUND, Figure, as_depth
from drainwright.field.walls import ground_around
from drainwright.field.words import Units
from drainwright.job.values import Basis
from drainwright.job.works import Pump
from drainwright.quantities import convert, unit_label, write

FOOT, INCH = 0.3048, 0.0254  # m, by definition
DEEPEST = 3.66  # a cellar's floor below the ground; a deeper one is told by itself [m]
HARDLY = 3.0 * INCH  # even a measured line hardly lies shallower [m]
BESIDE_WALL = 2.0  # a line so near to a wall runs along it [m]
MOST_ROOF = 2.0  # roofs over a house's own plan: eaves, porch and garage with it [-]


class Sizes(TypedDict):
    """Styles of ``write`` for small sizes."""

    us: str
    si: str


Read = Callable[[Site], Iterator[Figure]]


@dataclass(frozen=True, slots=True)
class Range:
    """Between which sizes a figure of a house's job lies."""

    what: str  # "a house's footing lies"; its two sizes follow, and then ``then``
    low: float  # SI
    high: float  # SI
    kind: str
    read: Read
    then: str = ""  # "below the ground"
    us: str = "ft"  # styles of ``write``
    si: str = "m"
    tenth: bool = field(default=False, kw_only=True)  # a point that moved by one place is guessed before all else

    def said(self, value: float, units: Units, digits: int = 3) -> str:
        """A size in the job's units, rounded to so many figures."""
        style = self.us if units == "US" else self.si
        number = convert(value, self.kind, units, style)
        return f"{float(f'{number:.{digits}g}'):,.10g} {unit_label(self.kind, units, style)}"

    def rule(self, units: Units, per: float = 1.0) -> str:
        """The range as a sentence says it."""
        low, high = (self.said(end * per, units, 2 if per == 1.0 else 3) for end in (self.low, self.high))
        return f"{self.what} {f'{low} to {high}' if self.low > 0.0 else f'at most {high}'} {self.then}".strip()

    def holds(self, value: float, per: float = 1.0) -> bool:
        """Whether a size lies within."""
        return self.low * per <= value <= self.high * per


@dataclass(frozen=True, slots=True, kw_only=True)
class Unusual:
    """A figure outside of its range."""

    where: str
    figure: str  # in the job's units
    rule: str
    meant: str  # what was probably meant; "" where nothing near fits

    @property
    def message(self) -> str:
        """One line for a person."""
        return f"found {self.figure}; {self.rule}" + (f": is it {self.meant}?" if self.meant else ".")


def unusual(site: Site) -> tuple[Unusual, ...]:
    """The figures of a job that a house seldom has.

    Parameters
    ----------
    site : Site
        The surveyed site.

    Returns
    -------
    tuple of Unusual
        In the order of the table, then of the job.
    """
    units = site.job.units
    return tuple(
        Unusual(
            where=figure.where,
            figure=_found(one, figure, units),
            rule=one.rule(units, figure.per),
            meant=figure.meant or _meant(one, figure, units),
        )
        for one in RANGES
        for figure in one.read(site)
        if not one.holds(figure.value, figure.per)
    )


def _found(one: Range, figure: Figure, units: Units) -> str:
    if figure.found:
        return figure.found
    return _written(one, figure.value, units) if figure.value == figure.written else one.said(figure.value, units)


def _meant(one: Range, figure: Figure, units: Units) -> str:
    """The first size within the range that a common slip would have turned into the one found."""
    if figure.written is None or figure.written <= 0.0:
        return ""
    shift = figure.value - figure.written
    tried = (*((figure.written * 10.0,) if one.tenth else ()), *_slips(one.kind, figure.written, units))
    size = next((size for size in tried if one.holds(size + shift, figure.per)), None)
    if size is None:
        return ""
    if one.kind == "length" and units == "US" and size == figure.written / 12.0 and size < 100.0 * INCH:
        return write(size, "length", "US", "in")
    return _written(one, size, units)


def _written(one: Range, size: float, units: Units) -> str:
    """A size as it would be written in a job."""
    if one.kind != "length" or (units == "SI" and size < 1.0) or (one.tenth and units == "US"):
        return one.said(size, units)
    return write(size, "length", "US", "ft-in") if units == "US" else f"{size:.4g} m"


def _slips(kind: str, written: float, units: Units) -> Iterator[float]:
    """Sizes that are written as this one by a missed sign, a moved point or another unit."""
    feet = written / FOOT
    if kind == "length" and units == "US":
        yield written / 12.0  # feet written for inches: the commonest
        if abs(feet - round(feet)) < 1e-6 and 11 <= round(feet) <= 99 and round(feet) % 10 > 0:
            yield (round(feet) // 10) * FOOT + (round(feet) % 10) * INCH  # 56 ft for 5 ft 6 in
        yield written * 12.0
    for times in (0.1, 0.01, 0.001) if kind != "grade" else (0.01, 0.1):
        yield written * times
    for times in (10.0, 100.0, 1000.0):
        yield written * times


# -- Readings of a job ----------------------------------------------------------------------------


def _footings(site: Site) -> Iterator[Figure]:
    for wall in site.walls:
        level = wall.wall.footing_bottom.value
        written = -level.offset if level.reference is not None and level.offset < 0.0 else None
        meant = as_depth(site, level, wall.ground_highest)
        yield Figure(f"house.walls.{wall.name}.footing_bottom", wall.depth, written, 1.0, *meant)


def _of_walls(name: str) -> Read:
    def read(site: Site) -> Iterator[Figure]:
        for wall in site.job.house.walls:
            size = getattr(wall, name).value
            yield Figure(f"house.walls.{wall.name}.{name}", size, size)

    return read


def _lengths(site: Site) -> Iterator[Figure]:
    for wall in site.walls:
        yield Figure(f"house.walls.{wall.name}", wall.length, None)


def _above(site: Site) -> float:
    """How far the lowest floor lies above the ground round the house; below it is negative [m]."""
    return site.floor - ground_around(site.outline, site.surface)[1]


def _floor_up(site: Site) -> Iterator[Figure]:
    yield Figure("house.floor", max(0.0, _above(site)), None)


def _floor_down(site: Site) -> Iterator[Figure]:
    meant = as_depth(site, site.job.house.floor.value, site.floor - _above(site))
    yield Figure("house.floor", max(0.0, -_above(site)), None, 1.0, *meant)


def _slab_down(site: Site) -> Iterator[Figure]:
    if site.job.house.floor_kind == "slab":
        yield from _floor_down(site)


def _plan(site: Site) -> Iterator[Figure]:
    yield Figure("house.outline", shapely.Polygon(site.outline).area, None)


def _roofs(site: Site) -> Iterator[Figure]:
    """Each roof beside the house's plan; where none alone is beyond it, all together."""
    plan = shapely.Polygon(site.outline).area
    roofs = site.job.roofs
    together = sum(roof.area.value for roof in roofs)
    if any(roof.area.value > MOST_ROOF * plan for roof in roofs):
        yield from (Figure(f"roofs.{roof.name}", roof.area.value, roof.area.value, plan) for roof in roofs)
    elif roofs:
        yield Figure("roofs", together, None, plan)


def _one(where: str) -> Read:
    """One size of the job by its dotted key; nothing where it is left out."""
    of = attrgetter(where)

    def read(site: Site) -> Iterator[Figure]:
        size = of(site.job)
        if size is not None:
            yield Figure(where, size, size)

    return read


def _depths(site: Site) -> Iterator[Figure]:
    for name, depth in ((line.name, line.depth.value) for line in site.job.utilities if line.depth is not None):
        yield Figure(f"utilities.{name}.depth", depth, depth)


def _shallow(*kinds: str, low: float, high: float) -> Range:
    """Lines of some kinds nearer to the ground than they are laid, where ten times as deep would be usual.

    Lines do lie shallow, and a measured one that does is no slip; it is told only where hardly a line could lie. What a
    locate ticket marks is where a line runs, not how deep, so a ticket alone does not make a depth sure.
    """

    def read(site: Site) -> Iterator[Figure]:
        for line in site.job.utilities:
            depth = 0.0 if line.depth is None else line.depth.value  # one that is unknown is no slip
            sure = line.depth_basis is Basis.MEASURED or line.located_by == "exposed by hand"
            slip = depth < low <= 10.0 * depth * (1.0 + 1e-9) and 10.0 * depth <= high
            if line.kind in kinds and slip and not (sure and depth >= HARDLY):
                yield Figure(f"utilities.{line.name}.depth", depth, depth)

    names = f"{', '.join(kinds[:-1])} and {kinds[-1]}" if len(kinds) > 1 else kinds[0]
    return Range(f"{names} lines lie", low, high, "length", read, "deep", "in", "mm", tenth=True)


def _trees_inside(site: Site) -> Iterator[Figure]:
    """How far inside the house's outline trees stand."""
    plan = shapely.Polygon(site.outline)
    for tree in site.trees:
        spot = shapely.Point(tree.at)
        inside = plan.exterior.distance(spot) if plan.contains(spot) else 0.0
        yield Figure(f"trees.{tree.tree.name}.at", inside, None)


def _lines_inside(site: Site) -> Iterator[Figure]:
    """How much of each buried line lies inside the house's outline; one that ends just inside the wall is none."""
    plan = shapely.Polygon(site.outline)
    for line in site.utilities:
        route = shapely.LineString(line.route)
        part = route.intersection(plan.buffer(-FOOT, join_style="mitre"))
        if part.length <= 0.0:
            continue
        ends = [shapely.LineString((wall.start, wall.end)).distance(part.representative_point()) for wall in site.walls]
        near = [wall for wall, off in zip(site.walls, ends, strict=True) if off <= BESIDE_WALL]
        found = " of its ".join(write(each, "length", site.job.units) for each in (part.length, route.length))
        meant = f"on the other side of the {near[0].name} wall (the sign of its offset)" if near else ""
        yield Figure(f"utilities.{line.utility.name}.route", part.length, None, route.length, f"{found} inside", meant)


def _above_cellar(site: Site) -> Iterator[Figure]:
    """How far footings end above the floor of the cellar that stands on them."""
    if site.job.house.floor_kind == "basement" and -_above(site) <= DEEPEST:
        for wall in site.walls:
            yield Figure(f"house.walls.{wall.name}.footing_bottom", max(0.0, wall.footing_bottom - site.floor), None)


def _diameters(site: Site) -> Iterator[Figure]:
    for line in site.job.utilities:
        yield Figure(f"utilities.{line.name}.diameter", line.diameter, line.diameter)


def _trunks(site: Site) -> Iterator[Figure]:
    for tree in site.job.trees:
        yield Figure(f"trees.{tree.name}", tree.trunk_diameter, tree.trunk_diameter)


def _rain(site: Site) -> Iterator[Figure]:
    """The most intense rain of the table; one place tells it."""
    rows = [(max(row.depths) / row.duration, n) for n, row in enumerate(site.job.rain.table) if row.depths]
    if rows:
        intensity, number = max(rows)
        yield Figure(f"rain.table[{number}]", intensity, intensity)


def _pump_list(site: Site) -> Iterator[tuple[str, Pump]]:
    for number, pump in enumerate(site.job.pumps):
        yield f"pumps[{number}]", pump
    for number, basin in enumerate(site.job.works.basins):
        path = f"works.more_basins.{basin.name}" if number else "works.basin"
        spare = None if basin.battery is None else basin.battery.pump
        for name, fitted in (("pump", basin.pump), ("second", basin.second), ("battery.pump", spare)):
            if fitted is not None:
                yield f"{path}.{name}", fitted


def _pump_most(name: str) -> Read:
    """The greatest flow, or head, of each pump's data sheet."""

    def read(site: Site) -> Iterator[Figure]:
        for where, pump in _pump_list(site):
            most = max(getattr(point, name) for point in pump.curve)
            yield Figure(f"{where}.curve", most, most)

    return read


def _basins(name: str) -> Read:
    def read(site: Site) -> Iterator[Figure]:
        for number, basin in enumerate(site.job.works.basins):
            size = getattr(basin, name)
            if size is not None:
                yield Figure(f"works.more_basins.{basin.name}.{name}" if number else f"works.basin.{name}", size, size)

    return read


def _grades(site: Site) -> Iterator[Figure]:
    for run in site.job.works.runs:
        if run.grade is not None:
            yield Figure(f"works.runs.{run.name}.grade", run.grade, run.grade)
    for point in site.job.works.discharge:
        if point.joins is not None:
            grade = point.joins.grade.value
            yield Figure(f"works.discharge.{point.name}.joins.grade", grade, grade)
    for name in ("minimum_grade", "least_grade"):
        grade = getattr(site.job.criteria, name)
        yield Figure(f"criteria.{name}", grade, grade)


def _slopes(site: Site) -> Iterator[Figure]:
    for yard in site.job.yards:
        if not yard.from_ground:
            yield Figure(f"yards.{yard.name}.slope", yard.slope.value, yard.slope.value)


def _inlet_sizes(site: Site) -> Iterator[Figure]:
    for inlet in site.job.works.inlets:
        yield Figure(f"works.inlets.{inlet.name}.size", inlet.size, inlet.size)


def _offsets(site: Site) -> Iterator[Figure]:
    for run in site.job.works.runs:
        if run.beside:
            yield Figure(f"works.runs.{run.name}.beside_offset", run.beside_offset, run.beside_offset)


def _water(site: Site) -> Iterator[Figure]:
    """How far high ground water stands above the ground; below it is none."""
    if site.water_table is not None:
        above = site.water_table - ground_around(site.outline, site.surface)[1]
        yield Figure("ground.water_table", max(0.0, above), None)


SMALL: Sizes = {"us": "in", "si": "mm"}
RANGES: tuple[Range, ...] = (
    Range("a house's plan has", 15.0, 1500.0, "area", _plan, us="ft2", si="m2"),
    Range("a wall of a house is", 0.3, 61.0, "length", _lengths, "long"),
    Range("a house's footing lies", 0.1524, 4.27, "length", _footings, "below the ground"),
    Range("the bottom of a cellar's footing lies", 0.0, 0.0508, "length", _above_cellar, "above the cellar's floor",
          **SMALL),
    Range("a footing is", 0.1016, 0.61, "length", _of_walls("footing_thickness"), "thick", **SMALL),
    Range("a footing stands out", 0.0, 0.61, "length", _of_walls("footing_projection"), "from its wall", **SMALL),
    Range("a house's lowest floor stands", 0.0, 1.83, "length", _floor_up, "above the ground"),
    Range("a house's lowest floor lies", 0.0, DEEPEST, "length", _floor_down, "below the ground"),
    Range("a slab on the ground lies", 0.0, 1.22, "length", _slab_down, "below it"),
    Range("a floor is", 0.0, 0.4064, "length", _one("house.floor_thickness"), "thick",
          **SMALL),
    Range("the roofs of a house have", 0.0, MOST_ROOF, "area", _roofs, "here, twice its plan", "ft2", "m2"),
    Range("high ground water stands", 0.0, 0.31, "length", _water, "above the ground"),
    *(Range(what, 0.0, NEAR, "length", read, "above or below the ground") for what, read in NEAR_GROUND),
    Range("rain falls with", 12.7e-3 / 3600.0, 0.508 / 3600.0, "intensity", _rain, "at its most", "in/h", "mm/h"),
    Range("a yard falls", 0.0, 0.6, "grade", _slopes, us="%", si="%"),
    Range("a gate is", 0.6, 5.5, "length", _one("property.access.gate_width"),
          "wide"),
    Range("a barrow is pushed", 0.0, 152.0, "length",
          _one("property.access.barrow_distance")),
    Range("a street lies", 0.0, 305.0, "length",
          _one("property.access.street_distance"), "away"),
    Range("lines of a house lie", 0.0, 3.66, "length", _depths, "deep"),
    _shallow("gas", "propane", low=12.0 * INCH, high=60.0 * INCH),
    _shallow("water", "reclaimed", low=18.0 * INCH, high=96.0 * INCH),
    _shallow("electric", low=18.0 * INCH, high=60.0 * INCH),
    _shallow("sewer", "septic", "storm drain", "pool", "oil", low=6.0 * INCH, high=144.0 * INCH),
    _shallow("communication", "low voltage lighting", low=6.0 * INCH, high=30.0 * INCH),
    _shallow("irrigation", "irrigation control", low=4.0 * INCH, high=24.0 * INCH),
    Range("lines of a house are", 0.0064, 0.61, "length", _diameters, "wide", **SMALL),
    Range("a tree stands", 0.0, 0.1524, "length", _trees_inside, "inside the house's outline"),
    Range("a buried line lies", 0.0, 0.5, "length", _lines_inside, "inside the house's outline, half of it"),
    Range("trunks of trees are", 0.0254, 2.44, "length", _trunks, "thick", **SMALL),
    Range("pipes at a house fall", 0.0009, 0.5, "grade", _grades, us="%", si="%"),
    Range("a footing drain lies", 0.0, 1.22, "length", _offsets, "out from its wall", **SMALL),
    Range("inlets of a yard are", 0.1016, 1.22, "length", _inlet_sizes, "wide", **SMALL),
    Range("basins are", 0.254, 1.83, "length", _basins("diameter"), "wide", **SMALL),
    Range("basins are", 0.4, 4.57, "length", _basins("depth"), "deep"),
    Range("at their most, pumps for a house give", 0.0003, 0.0158, "flow", _pump_most("flow"), us="gpm", si="L/s"),
    Range("at their most, pumps for a house lift", 1.5, 36.6, "length", _pump_most("head")),
    Range("trenches are", 0.1524, 1.83, "length", _one("criteria.trench_width"), "wide",
          **SMALL),
    Range("a barrow holds", 0.03, 0.6, "volume", _one("equipment.barrow"), us="ft3", si="m3"),
    Range("a trailer holds", 0.4, 23.0, "volume", _one("equipment.trailer_volume"),
          us="yd3", si="m3"),
    Range("a trailer bears", 200.0, 23000.0, "mass",
          _one("equipment.trailer_payload"), us="lb", si="kg"),
)  # fmt: skip

__all__ = ["RANGES", "Figure", "Range", "Unusual", "unusual"]
