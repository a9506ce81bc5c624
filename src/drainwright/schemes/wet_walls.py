"""Water let into the ground beside a wall where water came in, while nobody knows how high ground water stands."""

from __future__ import annotations

from drainwright.design import Design
from drainwright.field.model import Site, SiteWall
from drainwright.job.moisture import Sign
from drainwright.quantities import write

BESIDE = (
    9.144  # from a wet wall, 30 ft: water let into the ground so near may come back; common practice, no source [m]
)
WATER: tuple[Sign, ...] = (
    "water on floor",
    "water runs down wall",
    "crack leaks",
    "joint leaks",
    "sump runs",
    "water in pit",
)


def wet_walls(site: Site) -> tuple[SiteWall, ...]:
    """Walls marked wet or named by a symptom of water; all of them where a symptom names none.

    Parameters
    ----------
    site : Site
        Has the walls, and the job with what was seen.

    Returns
    -------
    tuple of SiteWall
        In the order of the job.
    """
    seen = [one for one in site.job.symptoms if one.sign in WATER and one.spot != "yard"]
    told = [f"{one.what} {one.where}".lower() for one in seen]
    named = {wall.name for wall in site.walls if wall.wall.wet or any(wall.name.lower() in text for text in told)}
    if seen and not named:
        return site.walls
    return tuple(wall for wall in site.walls if wall.name in named)


def at_wet_walls(design: Design) -> tuple[str, ...]:
    """Each soakaway beside a wet wall where nobody knows the ground water, in words without a full stop.

    Parameters
    ----------
    design : Design
        A scheme, designed.

    Returns
    -------
    tuple of str
        Empty where the high water is known, no wall was wet, or nothing soaks away beside one.
    """
    from shapely import LineString, MultiPolygon, Polygon

    site = design.site
    if site.water_table is not None:
        return ()
    found = []
    for soak in design.system.soaks:
        shape = MultiPolygon([Polygon(ring) for ring in soak.outlines])
        gaps = [(float(shape.distance(LineString([wall.start, wall.end]))), wall.name) for wall in wet_walls(site)]
        gap, name = min(gaps, default=(BESIDE + 1.0, ""))
        if gap <= BESIDE:
            far = write(gap, "length", site.job.units)
            found.append(
                f"{soak.name} lets its water into the ground {far} from the {name} wall, where water came in, and "
                "nobody knows how high ground water stands: it may come back into the house"
            )
    return tuple(found)


__all__ = ["BESIDE", "at_wet_walls", "wet_walls"]
