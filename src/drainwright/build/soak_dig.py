"""Soakaways and aprons as they are built: holes to dig, stone and fabric to lay, pipe to buy."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import TYPE_CHECKING

import numpy as np

from drainwright.build.book import Book
from drainwright.build.levels import along, grid
from drainwright.build.model import TakeoffLine
from drainwright.build.units import CUBIC_YARD, FOOT, whole
from drainwright.field.model import Site
from drainwright.field.words import Units
from drainwright.job.values import Basis
from drainwright.quantities import write
from drainwright.system.catalogue import find_pipe
from drainwright.system.model import System
from drainwright.system.outlets.outfall_model import Outfall
from drainwright.system.outlets.soak_model import TRENCH_PIPE, Soakaway
from drainwright.system.trade import pipe_words

if TYPE_CHECKING:
    from drainwright.build.stone import Bed
    from drainwright.build.trench import Cut

CHAMBER = 0.6  # voids over which the fill is a chamber, not stone [-]
SPREADER_STICK = 10.0 * FOOT
WIDEST = 12.5 * FOOT  # of fabric, in which a soakaway is lined


def soak_cuts(site: Site, system: System) -> tuple[Cut, ...]:
    """The holes of the soakaways: a trench, or one for each well, counted as wide as gives its true area.

    Dug from the ground as it lies along them; their water is reckoned from the lowest over them.
    """
    from shapely import LineString, Polygon

    from drainwright.build.trench import Cut

    found = []
    for soak in system.soaks:
        for number, ring in enumerate(soak.outlines, 1):
            area = Polygon(ring)
            if soak.kind == "infiltration trench":
                corners = np.array(ring)
                first, last = (corners[0] + corners[3]) / 2.0, (corners[1] + corners[2]) / 2.0
                width = soak.width
            else:
                middle = np.array(area.centroid.coords[0])
                half = np.array([soak.width / 2.0, 0.0])
                first, last = middle - half, middle + half
                width = math.pi / 4.0 * soak.width
            length = float(np.hypot(*(last - first)))
            distances = grid(length)
            points = along(LineString([first, last]), distances)
            ground = np.maximum(np.asarray(site.surface.level(points[:, 0], points[:, 1]), dtype=float), soak.ground)
            found.append(
                Cut(
                    name=soak.name if soak.count == 1 else f"{soak.name} {number}",
                    kind="soakaway",
                    distances=distances,
                    points=points,
                    ground=ground,
                    bottom=np.full(len(distances), min(soak.bottom, soak.ground)),
                    width=width,
                    bed=width,
                    clear=soak.width,
                    area=area,
                )
            )
    return tuple(found)


def soak_beds(system: System) -> tuple[Bed, ...]:
    """Stone and fabric of the soakaways; a chamber is no stone, yet takes the soil's room."""
    from drainwright.build.stone import Bed, Zone, fabric_area

    found = []
    for soak in system.soaks:
        tall = soak.top - soak.bottom
        if soak.kind == "infiltration trench":
            fabric = fabric_area(2.0 * (soak.width + tall), soak.length) + 2.0 * soak.width * tall
        else:
            fabric = 1.1 * soak.fabric  # laps of a round hole: common practice, no source
        stone = 0.0 if soak.voids > CHAMBER else max(soak.stone - _pipe_room(soak), 0.0)
        low = min(max(soak.invert - find_pipe(TRENCH_PIPE).wall - soak.bottom, 0.0), tall)
        under = soak.stone * low / tall if tall > 0 else 0.0
        layers = (
            Zone(name="under the pipe", volume=min(under, stone), height=low),
            Zone(name="round and over the pipe", volume=stone - min(under, stone), height=tall - low),
        )
        zones = tuple(zone for zone in layers if zone.volume > 0)
        strip = (WIDEST, fabric / WIDEST) if fabric > 0 else (0.0, 0.0)
        found.append(Bed(run=soak.name, stone=stone, fabric=fabric, displaced=soak.stone, zones=zones, strip=strip))
    return tuple(found)


def _pipe_room(soak: Soakaway) -> float:
    """Room that the pipe along a trench takes of its stone [m³]."""
    if soak.kind != "infiltration trench":
        return 0.0
    return math.pi / 4.0 * find_pipe(TRENCH_PIPE).outside ** 2 * soak.length


def apron_volume(fall: Outfall) -> float:
    """Stone of the apron at a pipe's end: from three diameters wide to its far width [m³]."""
    if fall.apron_built <= 0.0:
        return 0.0
    thick = fall.apron_thickness or 0.15  # a planned apron that nothing asks for: 6 in; common practice, no source
    return fall.apron_built * (3.0 * fall.diameter + fall.apron_width) / 2.0 * thick


def soak_lines(system: System, units: Units, book: Book) -> Iterable[TakeoffLine]:
    """What the ways out need beside drain stone, fabric and digging."""
    trenches = [soak for soak in system.soaks if soak.kind == "infiltration trench"]
    sticks = sum(math.ceil(soak.length / SPREADER_STICK - 1e-9) for soak in trenches)
    if sticks:
        pipe = find_pipe(TRENCH_PIPE)
        sold = write(SPREADER_STICK, "length", units, *(("ft", 0) if units == "US" else ("m", 2)))
        yield TakeoffLine(
            key="pipe.d2729-4in-perforated.10ft", category="pipe",
            description=f"{pipe_words(pipe, units)} pipe along the soakaway, level, sticks of {sold}",
            net=math.fsum(soak.length for soak in trenches) / SPREADER_STICK, quantity=float(sticks),
            unit="stick 10 ft", where=", ".join(soak.name for soak in trenches), waste=0.0,
        )  # fmt: skip
    more = [soak for soak in system.soaks if soak.count > 1]
    if more:
        extra = float(sum(soak.count - 1 for soak in more))
        yield TakeoffLine(
            key="outlet.dry-well", category="basins", description="dry well chamber, the further ones of the row",
            net=extra, quantity=extra, unit="each", where=", ".join(soak.name for soak in more), waste=0.0,
        )  # fmt: skip
    aprons = [(fall, apron_volume(fall)) for fall in system.outfalls if apron_volume(fall) > 0.0]
    if aprons:
        net = math.fsum(volume for _, volume in aprons) / CUBIC_YARD
        waste = book.waste_of("stone.apron", "stone")
        size = max(fall.stone for fall, _ in aprons)
        written = write(size, "length", units, "in" if units == "US" else "mm", 0)
        yield TakeoffLine(
            key="stone.apron", category="stone", description="coarse stone for aprons at the outlets", net=net,
            quantity=whole(net * (1 + waste), 0.25), unit="yd³", where=", ".join(fall.name for fall, _ in aprons),
            waste=waste, basis=Basis.ASSUMED,
            note=f"median {written} or larger" if size > 0 else "planned by the job",
        )  # fmt: skip


__all__ = ["apron_volume", "soak_beds", "soak_cuts", "soak_lines"]
