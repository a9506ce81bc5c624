"""Catch basins, channels, outlets and sump basins."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from types import MappingProxyType

from drainwright.build.model import TakeoffLine
from drainwright.build.stone import CONCRETE_BAG, concrete_volume
from drainwright.build.takeoff.lines import line, names
from drainwright.build.units import FOOT, INCH
from drainwright.field.model import Site
from drainwright.field.words import Units
from drainwright.job.values import Basis
from drainwright.quantities import Kind, write
from drainwright.system.catalogue import find_pipe
from drainwright.system.fittings import Fitting, inlet_of
from drainwright.system.grading.site import driven
from drainwright.system.model import System
from drainwright.system.outlets.end_model import PipeEnd
from drainwright.system.outlets.soak_model import TRENCH_PIPE
from drainwright.system.trade import nominal_words, size_words

CATCH_BASINS = (9.0, 12.0, 18.0, 24.0)  # sizes sold [in]
#: Height of a catch basin's body as sold, grate to floor, by its size [in]; a riser's: common practice, no source.
BODY = MappingProxyType({9.0: 10.0, 12.0: 14.0, 18.0: 18.0, 24.0: 24.0})
RISER = 6.0  # [in]
CHANNEL = 1.0  # length of a channel drain that the job does not give [m]
BASINS = (18.0, 24.0, 30.0, 36.0, 48.0)  # sizes sold, inside [in]


def risers(height: float, size: float) -> int:
    """Risers that a catch basin's body needs to reach from its sump's floor to its grate.

    Parameters
    ----------
    height : float
        From the floor to the rim. [m]
    size : float
        One of ``CATCH_BASINS``. [in]

    Returns
    -------
    int
        Whole ones; the last is cut off at the rim.

    Examples
    --------
    >>> [risers(inches * INCH, 12.0) for inches in (12.0, 14.0, 18.0, 20.0, 44.0)]
    [0, 0, 1, 1, 5]
    """
    return max(0, math.ceil((height / INCH - BODY[size]) / RISER - 1e-6))


def rims(site: Site, system: System) -> Iterable[tuple[str, float, float, float]]:
    """Each catch basin: its name, its rim's level, the height from sump floor to rim, the cut at its riser. [m]"""
    for node in system.nodes.values():
        inlet = inlet_of(node, site.job) if node.kind == "inlet" else None
        if inlet is None or inlet.kind in ("cleanout", "channel grate"):
            continue
        sold, rim = sold_size(inlet.size, CATCH_BASINS), max(node.ground, node.rim)
        height = rim - node.invert + inlet.sump_depth
        more = risers(height, sold)
        yield node.name, rim, height, max(0.0, (BODY[sold] + more * RISER) * INCH - height) if more else 0.0


def small(value: float, units: Units) -> str:
    """A short length as a rule reads it."""
    return write(value, Kind.LENGTH, units, "in" if units == "US" else "mm")


def sold_size(value: float, sold: Sequence[float]) -> float:
    """The nearest size sold, in inches, the larger where it lies half-way."""
    return min(sold, key=lambda size: (abs(size - value / INCH), -size))


def end_words(end: PipeEnd, units: Units) -> str:
    """What is bought for a pipe's end: ``animal guard for an open end, 4 in``."""
    size = nominal_words(end.fitting or end.nominal, units)
    if end.form == "air gap":
        return f"receiver below an air gap of a {size} pipe"
    thing = {
        "open end": "animal guard for an open end", "kerb hole": "kerb adapter",
        "pop-up emitter": "pop-up emitter with elbow",
    }[end.form]  # fmt: skip
    return f"{thing}, {size}"


def outlet_words(kind: str, units: Units) -> str:
    """What is bought for a way out that has no drawn end: ``dry well chamber``."""
    return {
        "dry well": "dry well chamber",
        "infiltration trench": (
            f"end kit of an infiltration trench, {nominal_words(find_pipe(TRENCH_PIPE).nominal, units)}: cap at the "
            "far end, joint to the line"
        ),
    }.get(kind, f"connection to: {kind}")


def _under_wheels(site: Site, system: System) -> set[str]:
    nodes = tuple(system.nodes.values())
    return {node.name for node, bears in zip(nodes, driven(site, [node.at for node in nodes]), strict=True) if bears}


def bodies(site: Site, system: System, fits: Sequence[Fitting]) -> Iterable[TakeoffLine]:
    """Catch basins, channels, outlets, sump basins with their lids."""
    units = site.job.units
    found: dict[tuple[str, str, str], list[tuple[float, str]]] = {}
    tops: dict[tuple[float, str], list[tuple[int, str, float]]] = {}
    ends = {end.name: end for end in system.ends}
    for node in system.nodes.values():
        inlet = inlet_of(node, site.job) if node.kind == "inlet" else None
        kind = next((item.kind for item in site.job.works.discharge if item.name == node.name), None)
        cut_in = any(fit.kind == "flexible" and fit.where == node.name for fit in fits)
        if inlet is not None and inlet.kind == "channel grate":
            length = (inlet.channel_length or CHANNEL) / FOOT
            found.setdefault(("channel-grate.ft", "channel drain with grate", "ft"), []).append((length, node.name))
        elif inlet is not None and inlet.kind != "cleanout":
            sold = sold_size(inlet.size, CATCH_BASINS)
            size = f"{sold:.0f}"
            height = max(node.ground, node.rim) - node.invert + inlet.sump_depth
            if more := risers(height, sold):
                tall = size_words(f"{RISER:.0f} in", units)
                words = f"{size_words(f'{size} in', units)} riser, {tall} high, for a catch basin"
                tops.setdefault((sold, words), []).append((more, node.name, height))
            words = f"{size_words(f'{size} in', units)} {inlet.kind} with grate"
            item = (f"{inlet.kind.replace(' ', '-')}.{size}in", words, "each")
            found.setdefault(item, []).append((1.0, node.name))
        elif kind is not None and not cut_in and any(run.lower == node.name for run in system.runs):
            end = ends.get(node.name)
            if end is not None and end.form == "open end" and not end.guard:
                continue
            words = outlet_words(kind, units) if end is None else end_words(end, units)
            item = (f"outlet.{kind.replace(' ', '-')}", words, "each")
            found.setdefault(item, []).append((1.0, node.name))
            if end is not None and end.buried:
                sold = sold_size(end.box, CATCH_BASINS)
                across, height = size_words(f"{sold:.0f} in", units), end.ground - end.box_floor
                words = f"{across} catch basin with grate, as the open box round an air gap"
                found.setdefault((f"catch-basin.{sold:.0f}in", words, "each"), []).append((1.0, node.name))
                if more := risers(height, sold):
                    tall = size_words(f"{RISER:.0f} in", units)
                    words = f"{across} riser, {tall} high, for a catch basin"
                    tops.setdefault((sold, words), []).append((more, node.name, height))
    wheels = _under_wheels(site, system)
    for (key, words, unit), places in found.items():
        net = math.fsum(amount for amount, _ in places)
        driven_on = names(name for _, name in places if name in wheels)
        note = f"{driven_on}: UNDER WHEELS, body and grate for that load; priced as in a lawn" if driven_on else ""
        yield line(key, "basins", words, net, unit, where=names(name for _, name in places), note=note)
    for (sold, words), each in tops.items():
        these = {name for _, name, _ in each}
        off = [f"{name} by {small(cut, units)}" for name, _, _, cut in rims(site, system) if cut > 0 and name in these]
        cuts = f"riser cut: {', '.join(off)}; " if off else ""
        tall = ", ".join(f"{name} {write(height, Kind.LENGTH, units)}" for _, name, height in each)
        body = write(BODY[sold] * INCH, Kind.LENGTH, units)
        note = f"from sump floor to rim: {tall}; {cuts}the body as sold taken as {body}"
        number = float(sum(one for one, _, _ in each))
        where = names(name for _, name, _ in each)
        key = f"catch-basin-riser.{sold:.0f}in"
        yield line(key, "basins", words, number, "each", where=where, basis=Basis.ASSUMED, note=note)
    cored = [end.name for end in system.ends if end.core > 0.0]
    if cored:
        words = "hole cored through the kerb and grouted, by whom the street's owner lets (allowance)"
        count = float(len(cored))
        yield line("outlet.kerb-core", "permits", words, count, "each", where=names(cored), basis=Basis.ASSUMED)
    for station in system.stations:
        size = f"{sold_size(station.inside_diameter, BASINS):.0f}"
        depth = station.depth / FOOT
        inside = size_words(f"{size} in", units)
        words = f"{inside} sump basin, by depth"
        yield line(f"basin.{size}in", "basins", words, depth, "ft", where=station.name, step=0.5)
        words = f"{inside} basin lid, sealed"
        note = "UNDER WHEELS, lid and ring for that load; priced as in a lawn" if station.name in wheels else ""
        yield line(f"basin-lid.{size}in", "basins", words, 1.0, "each", where=station.name, note=note)
        if station.collar > 0.0:
            words = "concrete for the collar round the basin's foot"
            bags = concrete_volume(station) / CONCRETE_BAG
            yield line("concrete.bag", "basins", words, bags, "bag 80 lb", where=station.name)


__all__ = ["bodies", "end_words", "outlet_words", "sold_size"]
