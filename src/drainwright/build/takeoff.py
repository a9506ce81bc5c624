"""The takeoff: everything to buy or hire, counted from the design, and the holes to cut."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from drainwright.build.book import Book
from drainwright.build.coating import CoatedWall
from drainwright.build.fittings_count import described, fittings, key_of, legs, sockets
from drainwright.build.holes import holes
from drainwright.build.model import DigPlan, Takeoff, TakeoffLine
from drainwright.build.soak_dig import soak_lines
from drainwright.build.sticks import Sticks, best_sticks
from drainwright.build.stone import CONCRETE_BAG, DENSITY, POROSITY, Bed, concrete_volume, stone_mass, void_volume
from drainwright.build.units import CUBIC_YARD, FOOT, GALLON, INCH, SQUARE_FOOT, whole
from drainwright.field.model import Site
from drainwright.field.words import Units
from drainwright.job.values import Basis
from drainwright.quantities import write
from drainwright.system.fittings import Fitting, Riser, inches, inlet_of
from drainwright.system.model import LiftStation, Pipe, PumpChoice, System
from drainwright.system.trade import pipe_words, pump_words, size_words
from drainwright.worksheet import place

Category = Literal[
    "pipe", "fittings", "basins", "pump", "stone", "fabric", "coating", "haul", "hire", "sundries", "permits"
]
CATCH_BASINS = (9.0, 12.0, 18.0, 24.0)  # sizes sold [in]
CHANNEL = 1.0  # length of a channel drain that the job does not give [m]
BASINS = (18.0, 24.0, 30.0, 36.0, 48.0)  # sizes sold, inside [in]
#: Solvent-welded joints (sockets) per pint of cement, by nominal size in inches: from memory.
JOINTS_PER_PINT = ((1.25, 50.0), (1.5, 45.0), (2.0, 30.0), (3.0, 20.0), (4.0, 15.0), (6.0, 5.0), (8.0, 3.0))
PRIMER = 0.5  # pints per pint of cement, from memory
PARGE_THICKNESS = 0.5 * INCH  # two coats of 1/4 in
BAG_YIELD = 0.6 * FOOT**3  # mortar from an 80 lb bag, from memory [m³]
SHEET = 32.0 * SQUARE_FOOT  # 4 x 8 ft


@dataclass(frozen=True, slots=True, kw_only=True)
class Counted:
    """What the counting found, for labour as well as for the takeoff."""

    sticks: dict[str, Sticks]
    fittings: tuple[Fitting, ...]
    risers: tuple[Riser, ...]


def pipe_key(pipe: Pipe, stick: float) -> str:
    """Price-book key of a stick: ``pipe.d2729-4in-perforated.10ft``."""
    name = pipe.key.replace(" in", "in").replace(" ", "-")
    return f"pipe.{name}.{round(stick / FOOT)}ft"


def sold_size(value: float, sold: Sequence[float]) -> float:
    """The nearest size sold, in inches, the larger where it lies half-way."""
    return min(sold, key=lambda size: (abs(size - value / INCH), -size))


def count(site: Site, system: System) -> Counted:
    """Sticks and fittings of the whole network, risers included.

    Parameters
    ----------
    site : Site
        The site.
    system : System
        The designed system.

    Returns
    -------
    Counted
        One stick length for each pipe of the catalogue that is used.
    """
    pipes = {run.pipe.key: run.pipe for run in system.runs}
    lengths = {key: [leg for run in system.runs if run.pipe.key == key for leg in legs(run)] for key in pipes}
    first = {key: best_sticks(lengths[key], pipe.sticks) for key, pipe in pipes.items()}
    found, risers = fittings(site.job, system, first)
    for riser in risers:
        lengths[riser.pipe.key].append(riser.length)
    chosen = {key: best_sticks(lengths[key], (first[key].stick,)) for key in pipes}
    return Counted(sticks=chosen, fittings=found, risers=risers)


def take_off(
    site: Site, system: System, dig: DigPlan, beds: Sequence[Bed], coats: Sequence[CoatedWall], counted: Counted,
    book: Book,
) -> Takeoff:  # fmt: skip
    """Everything to get, and the holes.

    Parameters
    ----------
    site, system : Site, System
        The job's site and design.
    dig : DigPlan
        For loads and hire.
    beds : Sequence of Bed
        Stone and fabric.
    coats : Sequence of CoatedWall
        Opened walls.
    counted : Counted
        From ``count``.
    book : Book
        Waste.

    Returns
    -------
    Takeoff
        Lines by category; nothing is listed of which none is needed. Shields are hired by the crew's plan, which
        comes after (see ``hire``).
    """
    lines: list[TakeoffLine] = []
    units = site.job.units
    lines += _pipes(system, counted, units)
    lines += _fitting_lines(counted, units, book)
    lines += _welding(system, counted)
    lines += _bodies(site, system)
    lines += _pump(site, system)
    lines += _stone(beds, units, book)
    lines += soak_lines(system, units, book)
    lines += _coating(coats, units, book)
    lines += _rest(site, system, dig, book)
    notes = [
        f"{key}: the cutting list is not proven to need the fewest sticks ({item.count}, at least {item.least})"
        for key, item in counted.sticks.items()
        if not item.proven
    ]
    notes.append("Hole diameters clear the pipe's outside; a rubber gasket wants its own hole: read the gasket.")
    return Takeoff(lines=tuple(lines), holes=holes(site, system), notes=tuple(notes))


def _line(
    key: str,
    category: Category,
    description: str,
    net: float,
    unit: str,
    *,
    where: str = "",
    waste: float = 0.0,
    step: float = 1.0,
    basis: Basis = Basis.MEASURED,
    note: str = "",
) -> TakeoffLine:
    return TakeoffLine(
        key=key,
        category=category,
        description=description,
        net=net,
        quantity=whole(net * (1 + waste), step),
        unit=unit,
        where=where,
        waste=waste,
        basis=basis,
        note=note,
    )


def _names(names: Iterable[str]) -> str:
    return ", ".join(dict.fromkeys(names))


def _pipes(system: System, counted: Counted, units: Units) -> Iterable[TakeoffLine]:
    pipes = {run.pipe.key: run.pipe for run in system.runs}
    for key, pipe in pipes.items():
        sticks = counted.sticks[key]
        used = math.fsum(math.fsum(cut) for cut in sticks.cuts)
        yield TakeoffLine(
            key=pipe_key(pipe, sticks.stick),
            category="pipe",
            description=f"{pipe_words(pipe, units)} pipe",
            net=used / sticks.stick,
            quantity=float(sticks.count),
            unit=f"stick {round(sticks.stick / FOOT)} ft",
            where=_names([run.name for run in system.runs if run.pipe.key == key]),
            waste=sticks.bought / used - 1 if used > 0 else 0.0,
            note=f"{write(used, 'length', units, 'ft' if units == 'US' else 'm', 0)} laid, risers included",
        )


def _fitting_lines(counted: Counted, units: Units, book: Book) -> Iterable[TakeoffLine]:
    keys = {key_of(fitting): fitting for fitting in counted.fittings}
    for key in sorted(keys):
        same = [fitting for fitting in counted.fittings if key_of(fitting) == key]
        yield _line(
            key,
            "fittings",
            described(keys[key], units),
            float(len(same)),
            "each",
            where=_names(fitting.where for fitting in same),
            waste=book.waste_of(key, "fittings"),
        )


def _welding(system: System, counted: Counted) -> Iterable[TakeoffLine]:
    """Cement and primer for solid PVC; perforated drains are slipped together."""
    welded = {run.name for run in system.runs if not run.pipe.perforated}
    pints = 0.0
    joints = 0
    for fitting in counted.fittings:
        if fitting.pipe.perforated or fitting.pipe.family.startswith("corrugated"):
            continue
        joints += sockets(fitting)
        pints += sockets(fitting) / _per_pint(fitting.pipe)
    for run in system.runs:
        if run.name in welded and run.pipe.family in ("D2729", "D3034 SDR 35"):
            bells = sum(math.ceil(leg / counted.sticks[run.pipe.key].stick - 1e-9) - 1 for leg in legs(run))
            joints += bells
            pints += bells / _per_pint(run.pipe)
    if joints:
        note = f"{joints} sockets; joints a can from memory, the can's label governs"
        yield _line("cement.pint", "sundries", "PVC solvent cement", pints, "pint", note=note, basis=Basis.ASSUMED)
        yield _line("primer.pint", "sundries", "PVC primer", pints * PRIMER, "pint", note=note, basis=Basis.ASSUMED)


def _per_pint(pipe: Pipe) -> float:
    nominal = inches(pipe.nominal)
    return next((joints for size, joints in JOINTS_PER_PINT if size >= nominal - 1e-9), JOINTS_PER_PINT[-1][1])


def _bodies(site: Site, system: System) -> Iterable[TakeoffLine]:
    units = site.job.units
    found: dict[tuple[str, str, str], list[tuple[float, str]]] = {}
    for node in system.nodes.values():
        inlet = inlet_of(node, site.job) if node.kind == "inlet" else None
        kind = next((item.kind for item in site.job.works.discharge if item.name == node.name), None)
        if inlet is not None and inlet.kind == "channel grate":
            length = (inlet.channel_length or CHANNEL) / FOOT
            found.setdefault(("channel-grate.ft", "channel drain with grate", "ft"), []).append((length, node.name))
        elif inlet is not None and inlet.kind != "cleanout":
            size = f"{sold_size(inlet.size, CATCH_BASINS):.0f}"
            words = f"{size_words(f'{size} in', units)} {inlet.kind} with grate"
            item = (f"{inlet.kind.replace(' ', '-')}.{size}in", words, "each")
            found.setdefault(item, []).append((1.0, node.name))
        elif kind is not None and any(run.lower == node.name for run in system.runs):
            item = (f"outlet.{kind.replace(' ', '-')}", f"outlet: {kind}", "each")
            found.setdefault(item, []).append((1.0, node.name))
    for (key, words, unit), places in found.items():
        net = math.fsum(amount for amount, _ in places)
        yield _line(key, "basins", words, net, unit, where=_names(name for _, name in places))
    for station in system.stations:
        size = f"{sold_size(station.inside_diameter, BASINS):.0f}"
        depth = station.depth / FOOT
        inside = size_words(f"{size} in", units)
        words = f"{inside} sump basin, by depth"
        yield _line(f"basin.{size}in", "basins", words, depth, "ft", where=station.name, step=0.5)
        words = f"{inside} basin lid, sealed"
        yield _line(f"basin-lid.{size}in", "basins", words, 1.0, "each", where=station.name)
        if station.collar > 0.0:
            words = "concrete for the collar round the basin's foot"
            bags = concrete_volume(station) / CONCRETE_BAG
            yield _line("concrete.bag", "basins", words, bags, "bag 80 lb", where=station.name)


_HORSEPOWER = 745.7  # mechanical, to name a label [W]
_LABELS = (
    ("1/6", 1 / 6), ("1/4", 0.25), ("1/3", 1 / 3), ("1/2", 0.5), ("3/4", 0.75), ("1", 1.0), ("1-1/2", 1.5), ("2", 2.0)
)  # fmt: skip


def pump_key(power: float | None, float_kind: str) -> str:
    """Price-book key of a pump by its label; one without a label is priced as 1/2 hp."""
    horses = 0.5 if power is None else power / _HORSEPOWER
    label = min(_LABELS, key=lambda item: abs(item[1] - horses))[0]
    return f"pump.{label}hp.{'integral' if float_kind == 'integral' else 'adjustable'}"


def _pump(site: Site, system: System) -> Iterable[TakeoffLine]:
    for station in system.stations:
        yield from _station_pump(site, station)


def _station_pump(site: Site, station: LiftStation) -> Iterable[TakeoffLine]:
    study = station.study
    second = station.pump if study is None or study.pair is None else study.pair.second
    if station.second_on is None:
        yield _one_pump(site, station, station.pump, 1.0)
    elif second == station.pump:
        yield _one_pump(site, station, station.pump, 2.0)
    else:
        yield _one_pump(site, station, station.pump, 1.0)
        yield _one_pump(site, station, second, 1.0)
    if study is not None and study.unit is not None and study.unit.own_pump:
        yield _one_pump(site, station, study.unit.pump, 1.0)
    yield _line("alarm", "pump", "high-water alarm", 1.0, "each", where=station.name)
    basin = site.job.works.basin_named(station.name)
    if basin is not None and basin.battery is not None:
        words = "backup battery with charger"
        yield _line("battery.ah", "pump", words, basin.battery.capacity, "Ah", where=station.name)
        if basin.battery.pump is None:
            words = "inverter that runs the pump from the battery"
            yield _line("inverter", "pump", words, 1.0, "each", where=station.name)


def _one_pump(site: Site, station: LiftStation, pump: PumpChoice, count: float) -> TakeoffLine:
    """A pump to buy: by its own price where the job gives one, else by the price book's of its label."""
    size = "1/2 hp" if site.job.units == "US" else "373 W (1/2 hp)"
    unlabelled = pump.label_power is None and pump.price is None
    line = _line(
        pump_key(pump.label_power, pump.float_kind),
        "pump",
        f"pump: {pump_words(pump, site.job.units)}",
        count,
        "each",
        where=station.name,
        basis=Basis.ASSUMED if unlabelled else Basis.MEASURED,
        note=f"the data sheet gives no power: priced as {size}" if unlabelled else "hold it to its data sheet's curve",
    )
    return line if pump.price is None else replace(line, own_price=pump.price)


def _stone(beds: Sequence[Bed], units: Units, book: Book) -> Iterable[TakeoffLine]:
    stone = math.fsum(bed.stone for bed in beds)
    if stone > 0:
        waste = book.waste_of("stone.57", "stone")
        with place("stone", "to buy"):
            mass = stone_mass(stone, DENSITY) * (1 + waste)
            voids = void_volume(stone, POROSITY)
        heavy = write(mass, "mass", units, "ton" if units == "US" else "t", 1)
        water = write(voids, "volume", units, "gal" if units == "US" else "L", 0)
        yield _line(
            "stone.57",
            "stone",
            f"washed stone, {size_words('3/4 in', units)} clean (No. 57)",
            stone / CUBIC_YARD,
            "yd³",
            where=_names(bed.run for bed in beds if bed.stone > 0),
            waste=waste,
            step=0.5,
            note=f"about {heavy} with waste; its voids hold about {water}",
        )
    fabric = math.fsum(bed.fabric for bed in beds)
    if fabric > 0:
        yield _line(
            "fabric.nonwoven",
            "fabric",
            "non-woven drainage fabric, laps included",
            fabric / SQUARE_FOOT,
            "ft²",
            where=_names(bed.run for bed in beds if bed.fabric > 0),
            waste=book.waste_of("fabric.nonwoven", "fabric"),
            step=50.0,
        )


def _coating(coats: Sequence[CoatedWall], units: Units, book: Book) -> Iterable[TakeoffLine]:
    for kind in ("damp-proofing", "waterproofing"):
        walls = [coat for coat in coats if coat.wall.wall.coating.kind == kind and coat.volume > 0]
        if walls:
            pail = 5 * GALLON
            style = "gal" if units == "US" else "L"
            low, high = (
                write(sum(volumes), "volume", units, style, 0)
                for volumes in zip(*((coat.least, coat.most) for coat in walls), strict=True)
            )
            spread = high if low == high else f"{low.removesuffix(f' {style}')} to {high}"
            yield _line(
                f"coating.{kind}",
                "coating",
                f"{kind} emulsion",
                sum(coat.volume for coat in walls) / pail,
                "pail 5 gal",
                where=_names(coat.wall.name for coat in walls),
                waste=book.waste_of(f"coating.{kind}", "coating"),
                basis=Basis.ASSUMED,
                note=f"{spread} by coverage; the product's sheet governs",
            )
    parged = [coat for coat in coats if coat.wall.wall.coating.parge]
    if parged:
        bags = sum(coat.area for coat in parged) * PARGE_THICKNESS / BAG_YIELD
        where = _names(coat.wall.name for coat in parged)
        waste = book.waste_of("parge.bag", "coating")
        yield _line("parge.bag", "coating", "mortar for parge, type S", bags, "bag 80 lb", where=where, waste=waste)
    boarded = [coat for coat in coats if coat.wall.wall.coating.board]
    if boarded:
        sheets = sum(coat.area for coat in boarded) / SHEET
        where = _names(coat.wall.name for coat in boarded)
        waste = book.waste_of("board.sheet", "coating")
        yield _line("board.sheet", "coating", "protection board", sheets, "sheet 4x8 ft", where=where, waste=waste)


def _rest(site: Site, system: System, dig: DigPlan, book: Book) -> Iterable[TakeoffLine]:
    job = site.job
    assumed = Basis.ASSUMED
    if dig.trailer_loads:
        yield _line("haul.load", "haul", "haul spoil to the dump", float(dig.trailer_loads), "load", basis=assumed)
        yield _line("dump.load", "haul", "dump fee", float(dig.trailer_loads), "load", basis=assumed)
    opened = sum(trench.length * trench.width for trench in dig.trenches) / SQUARE_FOOT
    if opened > 0:
        waste = book.waste_of("restore.ft2", "sundries")
        yield _line("restore.ft2", "sundries", "topsoil and seed over the dig", opened, "ft²", step=10.0, waste=waste)
    yield _line("sundries.job", "sundries", "marking, sheets, blades, brushes, fasteners", 1.0, "job", basis=assumed)
    if dig.unlocated:
        yield _line(
            "locate.private",
            "permits",
            "private locate",
            1.0,
            "each",
            basis=assumed,
            note=f"nobody located: {', '.join(dig.unlocated)}",
        )
    yield _line("permit.drainage", "permits", "drainage or building permit (allowance)", 1.0, "each", basis=assumed)
    if system.station is not None:
        yield _line("permit.electrical", "permits", "electrical permit (allowance)", 1.0, "each", basis=assumed)
        circuits = float(len(system.stations))
        words = "pump circuit by an electrician (allowance)"
        yield _line("circuit.pump", "permits", words, circuits, "each", basis=assumed)
    used = next((item for item in job.works.discharge if item.name == system.discharge), None)
    if used is not None and used.permission.value != "allowed":
        yield _line(
            "permit.discharge", "permits", "permission to discharge (allowance)", 1.0, "each", where=used.name,
            basis=assumed,
        )  # fmt: skip


__all__ = ["Counted", "count", "pipe_key", "pump_key", "sold_size", "take_off"]
