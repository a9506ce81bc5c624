"""What fills the digs again, so that it adds up: stone, pipe and basins, topsoil, native soil, and what is bought."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from drainwright.build.backfill import CAP
from drainwright.build.dig_model import Filling
from drainwright.build.earth import SOILS, UNFIT, in_rock, loose_volume
from drainwright.build.shaping import TOPSOIL, suitable
from drainwright.build.trench import Cut
from drainwright.field.model import Site
from drainwright.field.places import plan_of
from drainwright.job.values import Basis
from drainwright.water.check import IMPERVIOUS
from drainwright.worksheet import place

LOAM_SWELL = SOILS["loam"].swell  # of bought topsoil [-]


def own_cap(site: Site) -> bool:
    """Whether the cap beside a house is of the dig's own soil: as the job says, else only where it was found tight."""
    told = site.job.works.cap
    return told == "own soil" if told else tight(site)


def tight(site: Site) -> bool:
    """Whether the dig's own soil was found to let little water down beside a house."""
    return suitable(site).fit and site.job.ground.texture.basis is Basis.MEASURED


def filling(site: Site, digs: Sequence[Cut], bank: float, displaced: float, beside: Collection[str] = ()) -> Filling:
    """How the digs are filled.

    Parameters
    ----------
    site : Site
        Soil, yards, shaped strips, which have a fill of their own.
    digs : Sequence of Cut
        From ``trench.cuts``.
    bank : float
        All that is dug, in the bank. [m³]
    displaced : float
        What stone, pipes and basins take of it, at most all. [m³]
    beside : collection of str
        Runs that lie beside walls.

    Returns
    -------
    Filling
        Its five volumes in place add up to what is dug. Under paving there is no topsoil, and none in rock.
    """
    from shapely import Polygon, union_all

    room = bank - displaced
    open_ = union_all([cut.area for cut in digs]) if digs else Polygon()
    paved = [
        Polygon([plan_of(at, site.points, f"yards[{index}]") for at in yard.outline]).buffer(0.0)
        for index, yard in enumerate(site.job.yards)
        if yard.surface in IMPERVIOUS and yard.outline
    ]
    grown = open_.difference(union_all(paved)) if paved else open_
    topsoil = 0.0 if in_rock(site.job.ground) else min(room, grown.area * TOPSOIL)
    cap = 0.0
    if not own_cap(site):
        walls = [cut.area for cut in digs if cut.kind == "wall" or cut.name in beside]
        capped = union_all(walls).intersection(grown) if walls else Polygon()
        if site.shaped:
            capped = capped.difference(union_all([Polygon(strip.outline) for strip in site.shaped]))
        cap = min(room - topsoil, capped.area * (CAP - TOPSOIL))
    wanted = room - topsoil - cap
    native = min(wanted, (bank - topsoil) * (1 - UNFIT))
    made_up = wanted - native
    with place("equipment", "bought soil"):
        cap_loose = loose_volume(cap, SOILS["clay"].swell) if cap > 0 else 0.0
        made_up_loose = loose_volume(made_up, LOAM_SWELL) if made_up > 0 else 0.0
    return Filling(
        displaced=displaced, topsoil=topsoil, native=native, cap=cap, made_up=made_up, cap_loose=cap_loose,
        made_up_loose=made_up_loose,
    )  # fmt: skip


__all__ = ["filling", "own_cap", "tight"]
