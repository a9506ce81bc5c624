"""Downspouts that stand over open digs: what they pour goes elsewhere until the digs are filled."""

from __future__ import annotations

from collections.abc import Sequence

from drainwright.build.trench import Cut
from drainwright.errors import JobError
from drainwright.field.model import Site
from drainwright.field.places import plan_of

SPLASH = 0.6  # from a downspout's foot to a dig that it pours into; common practice, no source [m]


def over_digs(site: Site, digs: Sequence[Cut]) -> tuple[str, ...]:
    """The downspouts that would pour into a dig while it is open.

    Parameters
    ----------
    site : Site
        Its job has the downspouts; one whose place is not known is left out, as the design says elsewhere.
    digs : Sequence of Cut
        From ``trench.cuts``.

    Returns
    -------
    tuple of str
        Names, in the order of the job.
    """
    from shapely import Point

    found = []
    for spout in site.job.downspouts:
        try:
            foot = Point(plan_of(spout.at, site.points))
        except JobError:
            continue
        if any(dig.area.distance(foot) < SPLASH for dig in digs):
            found.append(spout.name)
    return tuple(found)


__all__ = ["over_digs"]
