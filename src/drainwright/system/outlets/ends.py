"""Ends of pipes with their sizes: open ends, holes in kerbs, pop-up emitters and air gaps."""

from __future__ import annotations

from drainwright.field.model import Plan, Site
from drainwright.hydraulics.outfall import least_air_gap
from drainwright.job.values import Basis
from drainwright.job.works import AT_THE_GROUND, Discharge
from drainwright.system.catalogue import PIPES
from drainwright.system.fittings import emitter_size
from drainwright.system.model import Pipe, SizedRun, System
from drainwright.system.outlets.end_model import EndForm, PipeEnd
from drainwright.worksheet import place

# Where the job says nothing: common practice, no source [m]
KERB = 0.1524  # height of a kerb
GUTTER = 0.0127  # invert above the gutter, so that grit there does not close it
PLAY = 0.00635  # round a pipe in its hole through a kerb, for grout
FLUSH = 0.0  # an emitter's lid in the lawn: a mower passes over it
MOUTH = 2.0  # of a receiver, over the bore that pours into it; common practice, no source [-]
ELBOW = 1.5  # height of an emitter's elbow over its outside diameter: a radius of one and half the bore, as bends are
#: taken to be; common practice, no source [-]
FORMS: dict[str, EndForm] = {"street": "kerb hole", "pop-up emitter": "pop-up emitter"}


def lid_level(point: Discharge, ground: float) -> float | None:
    """Level of a pop-up emitter's lid, where the water leaves; None at any other way out [m]."""
    if point.kind != "pop-up emitter":
        return None
    return ground + (FLUSH if point.end.height is None else point.end.height)


def emitter_bore(point: Discharge, pipe: Pipe) -> float:
    """Bore of the emitter that a pipe ends in: as the job has it, else of the smallest sold that fits [m]."""
    return point.end.opening or _emitter(pipe).inside


def _emitter(pipe: Pipe) -> Pipe:
    size = emitter_size(pipe)
    return next((one for one in PIPES.values() if one.nominal == size and one.family == "D2729"), pipe)


def pipe_ends(site: Site, system: System) -> tuple[PipeEnd, ...]:
    """The ends of the pipes that let water out in the open or through an air gap.

    Parameters
    ----------
    site, system : Site, System
        The site, and the system as laid out.

    Returns
    -------
    tuple of PipeEnd
        One for each such discharge point that a run ends at, in the order of the job.
    """
    found = []
    for point in site.job.works.discharge:
        run = next((one for one in system.runs if one.lower == point.name), None)
        if run is not None and (point.kind in AT_THE_GROUND or point.air_gap):
            found.append(_end(site, system, point, run))
    return tuple(found)


def _end(site: Site, system: System, point: Discharge, run: SizedRun) -> PipeEnd:
    node, pipe, sizes = system.nodes[point.name], run.pipe, point.end
    form: EndForm = "air gap" if point.air_gap else FORMS.get(point.kind, "open end")
    size = emitter_size(pipe) if form == "pop-up emitter" else ""
    opening = sizes.opening or (_emitter(pipe) if size else pipe).inside
    measured = Basis.MEASURED if site.surface.supported(*node.at) else Basis.ASSUMED
    usual = GUTTER if form == "kerb hole" else FLUSH
    height, height_basis = (sizes.height, Basis.STATED) if sizes.height is not None else (usual, Basis.ASSUMED)
    if form == "kerb hole" and sizes.height is None and (gutter := _gutter(site, point)) is not None:
        height, height_basis = run.invert_lower - gutter, Basis.STATED
    if form in ("open end", "air gap"):
        height, height_basis = run.invert_lower - node.ground, measured
    gap = gap_least = receiver = 0.0
    receiver_basis = Basis.ASSUMED
    if form == "air gap":
        with place(f"works.discharge.{point.name}", "least air gap"):
            gap_least = float(least_air_gap(pipe.inside))
        gap = gap_least if sizes.gap is None else sizes.gap
        receiver = sizes.receiver or MOUTH * pipe.inside
        receiver_basis = Basis.ASSUMED if sizes.receiver is None else Basis.STATED
    kerb = form == "kerb hole"
    house, boundary = end_distances(site, node.at)
    return PipeEnd(
        name=point.name, kind=point.kind, form=form, at=node.at, run=run.name, nominal=pipe.nominal, bore=pipe.inside,
        outside=pipe.outside, invert=run.invert_lower, ground=node.ground, opening=opening,
        opening_basis=Basis.STATED if sizes.opening else Basis.ASSUMED if size else Basis.MEASURED, fitting=size,
        height=height, height_basis=height_basis, kerb=(sizes.kerb or KERB) if kerb else 0.0,
        kerb_basis=Basis.STATED if sizes.kerb else Basis.ASSUMED,
        core=max(pipe.outside + 2 * PLAY, sizes.opening or 0.0) if kerb else 0.0, gap=gap, gap_least=gap_least,
        gap_basis=Basis.ASSUMED if sizes.gap is None else Basis.STATED, receiver=receiver,
        receiver_basis=receiver_basis, guard=form == "open end" and sizes.guard,
        elbow=ELBOW * _emitter(pipe).outside if size else 0.0, from_house=house,
        from_boundary=boundary,
    )  # fmt: skip


def _gutter(site: Site, point: Discharge) -> float | None:
    """Level of the outlet's own point, where the job hangs the invert over it: the gutter. Else None [m]."""
    level = point.invert
    if level.reference is None or level.reference != point.at.name or level.offset < 0.0:
        return None
    return site.points[level.reference].level


def end_distances(site: Site, at: Plan) -> tuple[float, float | None]:
    """How far a place lies from the house and from the boundary.

    Parameters
    ----------
    site : Site
        With the house's outline; its boundary may be unknown.
    at : Plan
        The place. [m]

    Returns
    -------
    tuple of float
        From the house, and from the boundary, or None where that is not known. [m]
    """
    from shapely import LinearRing, Point, Polygon

    here = Point(at)
    boundary = here.distance(LinearRing(site.boundary)) if len(site.boundary) >= 3 else None
    return float(here.distance(Polygon(site.outline))), None if boundary is None else float(boundary)


def bare_length(run: SizedRun) -> float:
    """How far before the end of a run the ground begins to lie lower than its crown.

    Parameters
    ----------
    run : SizedRun
        With its stations.

    Returns
    -------
    float
        Along the run, between its stations by proportion; 0 where the end itself is covered. [m]
    """
    bare = 0.0
    for station, before in zip(reversed(run.stations), reversed(run.stations[:-1]), strict=False):
        if station.cover >= 0:
            break
        share = 1.0 if before.cover < 0 else station.cover / (station.cover - before.cover)
        bare = run.length - station.distance + share * (station.distance - before.distance)
    return bare


__all__ = ["bare_length", "emitter_bore", "end_distances", "lid_level", "pipe_ends"]
