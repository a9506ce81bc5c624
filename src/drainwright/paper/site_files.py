"""What goes out to other programs: points, features and drawings of a site, of a design, or of ground by itself."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from typing import TYPE_CHECKING

import numpy as np

from drainwright.exchange.geojson import Feature, closed, features_text
from drainwright.exchange.points_csv import points_text
from drainwright.exchange.shots import LengthUnit, Shots
from drainwright.field.ground_study import GroundStudy
from drainwright.field.model import Site
from drainwright.field.shot_sets import shots_in_place
from drainwright.field.terrain_model import Contour, DrainedArea, LowSpot, Plan, Ring
from drainwright.paper.dxf import Model, run_line, site_to_dxf, to_dxf, written
from drainwright.paper.ground_sheet import ground_sheet
from drainwright.paper.svg import to_svg
from drainwright.quantities import System

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

    from drainwright.design import Design

UNIT: Mapping[System, LengthUnit] = {"US": "ft", "SI": "m"}
NOT_GROUND = "not ground"


def site_points(site: Site) -> Shots:
    """All points of a site that have a place and a level: named ones, then those of shot sets.

    Codes are how a point was fixed (corner, ties, along, coordinates), "not ground" where its note says so, and the
    name of the set.
    """
    given = {point.name: point.note.lower() for point in site.job.survey.points}
    rows = [
        (p.name, (p.east, p.north), p.level, NOT_GROUND if NOT_GROUND in given.get(p.name, "") else p.way)
        for p in site.points.values()
        if p.level is not None and math.isfinite(p.east) and math.isfinite(p.north) and p.way != "level only"
    ]
    others, _ = shots_in_place(site.job, site.points, site.outline)
    rows += [(name, at, level, name.rpartition(" ")[0]) for name, at, level in others]
    figures = np.array([(*at, level) for _, at, level, _ in rows]).reshape(-1, 3)
    return Shots(
        source=site.job.title, east=figures[:, 0], north=figures[:, 1], level=figures[:, 2],
        names=tuple(row[0] for row in rows), codes=tuple(row[3] for row in rows),
    )  # fmt: skip


def site_features(site: Site, design: Design | None = None) -> list[Feature]:
    """A site as features in local metres; of a design, its runs and nodes with it."""
    return [
        *_points(site_points(site)),
        *_house(site),
        *_buried_and_trees(site),
        *(_ground(site) if site.terrain is not None else ()),
        *(_works(design) if design is not None else ()),
    ]


def _points(shots: Shots) -> Iterator[Feature]:
    for number in range(len(shots)):
        yield Feature(
            kind="Point", layer="point",
            coordinates=(shots.east[number], shots.north[number], shots.level[number]),
            properties={
                "name": shots.names[number] if shots.names else str(number + 1),
                "code": shots.codes[number] if shots.codes else "",
            },
        )  # fmt: skip


def _house(site: Site) -> Iterator[Feature]:
    yield Feature(kind="Polygon", layer="house", coordinates=[closed(site.outline)], properties={"floor": site.floor})
    if len(site.boundary) > 2:
        yield Feature(kind="Polygon", layer="boundary", coordinates=[closed(site.boundary)])
    for wall in site.walls:
        yield Feature(
            kind="LineString", layer="wall", coordinates=[wall.start, wall.end],
            properties={"name": wall.name, "footing_bottom": wall.footing_bottom, "ground_lowest": wall.ground_lowest,
                        "ground_highest": wall.ground_highest},
        )  # fmt: skip


def _buried_and_trees(site: Site) -> Iterator[Feature]:
    for line in site.utilities:
        yield Feature(
            kind="LineString", layer="buried line",
            coordinates=list(line.route)
            if line.utility.depth is None
            else [(*at, top) for at, top in zip(line.route, line.top, strict=True)],
            properties={"name": line.utility.name, "kind": line.utility.kind, "basis": line.utility.depth_basis.value,
                        "note": ("nobody knows its depth" if line.utility.depth is None else "as marked or told")
                        + ": dig by hand to find it"},
        )  # fmt: skip
    for joined in site.joined:
        yield Feature(
            kind="LineString", layer="joined line", coordinates=list(joined.route),
            properties={"name": joined.line.name, "outlet": joined.outlet, "basis": joined.line.route_basis.value,
                        "note": "there already; its depth is known only where the outlet joins it"},
        )  # fmt: skip
    for tree in site.trees:
        yield Feature(
            kind="Point", layer="tree", coordinates=tree.at,
            properties={"name": tree.tree.name, "trunk_diameter": tree.tree.trunk_diameter,
                        "root_radius": tree.root_radius, "keep": tree.tree.keep},
        )  # fmt: skip


def _ground(site: Site) -> Iterator[Feature]:
    terrain = site.terrain
    assert terrain is not None
    yield from _contours(terrain.contours)
    yield from _low_spots(terrain.low_spots)
    for area in terrain.drained:
        yield from _drained(area)


def _contours(contours: Iterable[Contour], shift: Plan = (0.0, 0.0)) -> Iterator[Feature]:
    for contour in contours:
        lines = [[(e + shift[0], n + shift[1], contour.level) for e, n in line] for line in contour.lines]
        yield Feature(
            kind="MultiLineString", layer="contour", coordinates=lines,
            properties={"level": contour.level, "index": contour.index},
        )  # fmt: skip


def _low_spots(spots: Iterable[LowSpot], shift: Plan = (0.0, 0.0)) -> Iterator[Feature]:
    for spot in spots:
        yield Feature(
            kind="MultiPolygon", layer="low spot", coordinates=areas_of(spot.rings, shift),
            properties={"name": spot.name, "depth": spot.depth, "area": spot.area, "volume": spot.volume,
                        "bottom": spot.bottom, "spill_level": spot.spill_level, "sure": spot.sure,
                        "why_unsure": spot.why_unsure},
        )  # fmt: skip


def _drained(area: DrainedArea) -> Iterator[Feature]:
    if area.rings:
        yield Feature(
            kind="MultiPolygon", layer="drained area", coordinates=areas_of(area.rings),
            properties={"to": area.to, "kind": area.kind, "area": area.area, "beyond": area.beyond},
        )  # fmt: skip


def areas_of(rings: Iterable[Ring], shift: Plan = (0.0, 0.0)) -> list[list[list[Plan]]]:
    """Rings as areas with their holes: outer rings turn left, holes right (RFC 7946 sec. 3.1.6)."""
    import shapely

    even: BaseGeometry = shapely.Polygon()
    for ring in rings:
        if len(ring) > 2:
            even = even.symmetric_difference(shapely.Polygon(ring).buffer(0))
    found = []
    for piece in getattr(even, "geoms", [even]):
        if piece.geom_type == "Polygon" and not piece.is_empty:
            turned = shapely.geometry.polygon.orient(piece)
            found.append(
                [
                    [(e + shift[0], n + shift[1]) for e, n in line.coords]
                    for line in (turned.exterior, *turned.interiors)
                ]
            )
    return found


def _works(design: Design) -> Iterator[Feature]:
    for run in design.system.runs:
        yield Feature(
            kind="LineString", layer="run", coordinates=list(run_line(run)),
            properties={"name": run.name, "duty": run.duty, "from": run.upper, "to": run.lower, "length": run.length,
                        "invert_upper": run.invert_upper, "invert_lower": run.invert_lower, "pumped": run.pressure},
        )  # fmt: skip
    for node in design.system.nodes.values():
        yield Feature(
            kind="Point", layer="node", coordinates=(*node.at, node.rim),
            properties={"name": node.name, "rim": node.rim, "invert": node.invert},
        )  # fmt: skip


def export_files(site: Site, design: Design | None = None) -> dict[str, bytes]:
    """A site, or a design, for other programs.

    Parameters
    ----------
    site : Site
        The reduced survey.
    design : Design, optional
        With it runs, nodes and crossings go out, too.

    Returns
    -------
    dict
        ``points.csv`` in the job's unit, ``site.geojson`` in local metres, ``site.dxf`` in the job's unit.
    """
    job = site.job
    unit = UNIT[job.units]
    return {
        "points.csv": points_text(site_points(site), unit, f"{job.title}, levels above the job's datum").encode(),
        "site.geojson": features_text(site_features(site, design), job.title).encode("utf-8", "replace"),
        "site.dxf": (site_to_dxf(site) if design is None else to_dxf(design)).encode("utf-8", "replace"),
    }


def ground_files(study: GroundStudy, units: System) -> dict[str, bytes]:
    """Ground by itself, for people and other programs.

    Parameters
    ----------
    study : GroundStudy
        The ground.
    units : {"US", "SI"}
        Of drawing and points; GeoJSON is in metres.

    Returns
    -------
    dict
        ``ground.svg``, ``ground.geojson``, ``ground.dxf``, ``points.csv``, all in the frame of the files.
    """
    shift = study.origin
    features = [
        *_points(study.shots), *_contours(study.contours, shift), *_low_spots(study.low_spots, shift),
    ]  # fmt: skip
    if study.building:
        ring = closed([(east + shift[0], north + shift[1]) for east, north in study.building])
        features.append(Feature(kind="Polygon", layer="house", coordinates=[ring], properties={}))

    def draw(model: Model) -> None:
        model.contours(study.contours, shift)
        model.low_spots(study.standing, shift)
        for place in np.stack([study.shots.east, study.shots.north, study.shots.level], axis=1).tolist():
            model.space.add_point(model.at(place), dxfattribs={"layer": "SHOT"})

    return {
        "ground.svg": to_svg(ground_sheet(study, units)).encode(),
        "ground.geojson": features_text(features, study.title).encode("utf-8", "replace"),
        "ground.dxf": written(units, draw).encode("utf-8", "replace"),
        "points.csv": points_text(study.shots, UNIT[units], study.title).encode(),
    }


__all__ = ["areas_of", "export_files", "ground_files", "site_features", "site_points"]
