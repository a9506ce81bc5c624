"""What a dig must keep people safe by itself, and how much wider the panels of shields make it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from drainwright.build.protection import PROTECTION_DEPTH, Guard, doubt_of, guard
from drainwright.field.model import Site
from drainwright.field.words import least_sure
from drainwright.job.values import Basis
from drainwright.worksheet import quiet

if TYPE_CHECKING:
    from drainwright.build.earth import Series
    from drainwright.build.trench import Cut

GUARDS = ("slope or shield", "engineer")
AT_WALL = 0.5  # of the panels of a trench: at a wall that is worked on they stand on the soil's side alone [-]


def basis_of(cut: Cut, site: Site) -> Basis:
    """Mark of a dig's depth: the least sure of the footings it is dug to."""
    names = cut.run.walls if cut.run else (cut.name,)
    along = [wall.wall.footing_bottom.basis for wall in site.walls if wall.name in names]
    return least_sure(*along) if along else Basis.MEASURED


def water_over(cut: Cut, site: Site, own: NDArray[np.bool_]) -> float:
    """Ground water over a dig's bottom there, up to the ground at most; none where its level is not known. [m]"""
    if site.water_table is None:  # one level for the lot: down a slope it lies above the ground, which it cannot
        return 0.0
    return max(0.0, float(np.max((np.minimum(site.water_table, cut.ground) - cut.bottom)[own])))


def need_of(cut: Cut, site: Site) -> Guard:
    """What a dig needs, judged alone."""
    with quiet():  # the steps of protection are those of the whole hole: see ``sides``
        return guard(
            depth=cut.depth,
            bottom_width=cut.clear,
            soil_type=site.job.ground.osha_type.value,
            by_house=cut.kind == "wall" or bool(cut.beside) or bool(cut.run and cut.run.walls),
            letters=site.job.rules.house_foundation_letters.value,
            water=water_over(cut, site, np.ones(len(cut.ground), dtype=np.bool_)) > 0.0,
            basis=basis_of(cut, site),
        )


def panels_at(walls: Sequence[Cut], site: Site) -> dict[str, float]:
    """What shields add to the width of each opened wall's dig that is deep enough for them. [m]

    Where one wall's dig wants them, so do the others that are as deep: they are one hole with it.
    """
    if not any(need_of(cut, site).protection in GUARDS for cut in walls):
        return {}
    return {cut.name: site.job.criteria.shield_panels * AT_WALL for cut in walls if deep(cut, site).any()}


def deep(cut: Cut, site: Site) -> Series:
    """At which stations of a dig shields stand: those that reach the protection depth, with its doubt."""
    judged = cut.ground - cut.bottom + doubt_of(basis_of(cut, site))
    return np.asarray(judged >= PROTECTION_DEPTH - 1e-9)


def widened(cut: Cut, site: Site) -> Cut:
    """A run's trench as wide as its shields are outside; the room between them stays.

    OSHA's letters on foundations speak of no run but one beside a wall.
    """
    alone = cut if cut.run is not None and cut.run.walls else replace(cut, beside=())
    panels = site.job.criteria.shield_panels
    if panels <= 0.0 or need_of(alone, site).protection not in GUARDS:
        return cut
    width = cut.width + panels
    area = cut.axis.buffer(width / 2, cap_style="flat", join_style="mitre")
    return replace(cut, width=width, panels=panels, area=area)


def widths_along(cut: Cut, site: Site) -> Series:
    """Width at each station: with the panels of shields only where they stand; a wall's dig is of one width. [m]"""
    if cut.kind != "run" or cut.panels <= 0.0:
        return np.full(len(cut.distances), cut.width)
    return np.where(deep(cut, site), cut.width, cut.width - cut.panels)


__all__ = ["basis_of", "deep", "need_of", "panels_at", "water_over", "widened", "widths_along"]
