"""Ground that still leads water to the walls: strips that would turn it, about what they cost, or why there is none."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from drainwright.build import build_side
from drainwright.design import Design
from drainwright.field.shaping import BANK, ShapedStrip, shaped_strips
from drainwright.field.terrain_model import WallSlope
from drainwright.field.wall_slopes import FALL_AWAY
from drainwright.field.words import Units
from drainwright.findings.model import Severity
from drainwright.findings.places import listed
from drainwright.job.offer import Option
from drainwright.job.values import Basis
from drainwright.job.works import Shaping
from drainwright.quantities import write
from drainwright.worksheet import quiet

LEAST_RUN = 0.6096  # 2 ft: a narrower strip is no ground to shape; common practice, no source [m]
LEAST_STRETCH = (
    0.3048  # 1 ft: what is left beside a strip and shorter is graded with it; common practice, no source [m]
)
INCH, CENTIMETRE = 0.0254, 0.01  # stretches are told in whole ones [m]
HAIR = 1e-4  # of a root zone: a strip that only touches one does not lie over it [m²]


@dataclass(frozen=True, slots=True, kw_only=True)
class ShapingLeft:
    """Walls whose ground the job leaves wrong: shaped at what more, and where that cannot be had."""

    strips: tuple[ShapedStrip, ...]  # that could be had, in the order of the walls
    refused: tuple[tuple[str, str], ...]  # wall, and why no strip is had there
    rooted: tuple[tuple[str, str, float], ...]  # wall, tree, and the stretch left off for its roots [m]
    more: Decimal | None  # on the price with tax, with no other change of the job; None without strips
    currency: str
    units: Units

    @property
    def walls(self) -> tuple[str, ...]:
        """Walls that could be shaped."""
        return tuple(dict.fromkeys(strip.wall.name for strip in self.strips))

    @property
    def untold(self) -> tuple[str, ...]:
        """Those of them where nobody measured what earth must stay below."""
        return tuple(dict.fromkeys(strip.wall.name for strip in self.strips if not strip.wall.wall.keep_clear))

    @property
    def swales(self) -> tuple[str, ...]:
        """Those of them where the strip's edge lies below the ground beyond."""
        low = [strip for strip in self.strips if not all(item.runs_out for item in strip.sections)]
        return tuple(dict.fromkeys(strip.wall.name for strip in low))

    @property
    def assumed(self) -> tuple[str, ...]:
        """Those of them whose ground no shots surround."""
        return tuple(dict.fromkeys(strip.wall.name for strip in self.strips if strip.basis is Basis.ASSUMED))


def shaping_left(base: Design) -> ShapingLeft:
    """What shaping the job leaves out where the ground does not fall away from a wall (check FTG-10).

    Parameters
    ----------
    base : Design
        The designed job.

    Returns
    -------
    ShapingLeft
        Strips of the usual width and fall along what is not shaped yet of each such wall, off the root zones of trees
        that stay. Their price is what dig, takeoff, days and price come to with them, less the job's: water and drains
        are left as they are, so it is about what an option designed anew comes to.
    """
    site, had, refused = base.site, list(base.site.shaped), []
    rooted: list[tuple[str, str, float]] = []
    slopes = {} if site.terrain is None else {slope.wall: slope for slope in site.terrain.wall_slopes}
    found: list[ShapedStrip] = []
    wrong = [item for item in base.findings if item.id == "FTG-10" and item.severity is not Severity.OK]
    for name in (item.where.removeprefix("house.walls.") for item in wrong):
        wall = next(wall for wall in site.walls if wall.name == name)
        known = [strip for strip in had if strip.wall.name == name]
        wanted = [*_open(slopes[name], known, wall.length)]
        if not any(run > 0.0 for run in slopes[name].run):
            refused.append((name, "nobody measured how the ground falls there"))
        elif not wanted:
            refused.append(
                (name, "its shaped ground is held low by what must stay clear of earth, or by its start level")
            )
        else:
            made = _made(base, (*had, *found), wanted)
            roots = [item for strip in made for item in _rooted(strip, base)]
            if roots:
                wanted = [piece for strip in made for piece in _clear(strip, [way for _, way in roots])]
                made = _made(base, (*had, *found), wanted) if wanted else ()
            why = next((why for strip in made if (why := _why_not(strip, base))), None)
            if why is None and not made:
                trees = listed(list(dict.fromkeys(tree for tree, _ in roots)))
                why = f"fill kills the roots of {trees}"
            if why is None:
                found += made
                rooted += [(name, tree, end - start) for tree, (start, end) in roots]
            else:
                refused.append((name, why))
    return ShapingLeft(
        strips=tuple(found),
        refused=tuple(refused),
        rooted=tuple(rooted),
        more=_more(base, found) if found else None,
        currency=base.build.price.currency,
        units=base.job.units,
    )


def _open(slope: WallSlope, strips: Sequence[ShapedStrip], length: float) -> Iterator[Shaping]:
    """Stretches of a wall that no strip covers and where the ground is known not to fall away as it must."""
    low = [
        along
        for along, run, fall in zip(slope.station, slope.run, slope.fall, strict=True)
        if run > 0.0 and fall / run < FALL_AWAY - 1e-6
    ]
    start = 0.0
    covered = sorted((strip.sections[0].station, strip.sections[-1].station) for strip in strips)
    for first, last in (*covered, (length, length)):
        if first - start >= LEAST_STRETCH and any(start <= along <= first for along in low):
            end = None if first >= length - 1e-6 else first
            yield Shaping.model_validate(
                {"wall": slope.wall, "from": f"{start!r} m", "to": None if end is None else f"{end!r} m"}
            )
        start = max(start, last)


def _made(base: Design, before: Sequence[ShapedStrip], wanted: Sequence[Shaping]) -> tuple[ShapedStrip, ...]:
    """Wanted strips on the lot, beside those that are there already."""
    site = base.site
    every = (*(strip.strip for strip in before), *wanted)
    with quiet():
        return shaped_strips(site, every, site.outline, site.boundary, base.job.units)[len(before) :]


def _rooted(strip: ShapedStrip, base: Design) -> Iterator[tuple[str, tuple[float, float]]]:
    """Trees that stay whose root zone a strip would cover, each with the stretch of the wall before it. [m]"""
    from shapely import LineString, Point, Polygon, get_coordinates

    wall, step = strip.wall, INCH if base.job.units == "US" else CENTIMETRE
    line, ends = LineString([wall.start, wall.end]), (strip.sections[0].station, strip.sections[-1].station)
    for tree in base.site.trees:
        covered = Polygon(strip.outline).intersection(Point(tree.at).buffer(tree.root_radius, quad_segs=64))
        if not tree.tree.keep or covered.area < HAIR:
            continue
        along = [line.project(Point(place)) for place in get_coordinates(covered)]
        start, end = math.floor(min(along) / step) * step, math.ceil(max(along) / step) * step
        yield tree.tree.name, (max(start, ends[0]), min(end, ends[1]))


def _clear(strip: ShapedStrip, roots: Sequence[tuple[float, float]]) -> Iterator[Shaping]:
    """What is left of a strip beside stretches of its wall that lie before root zones."""
    end = strip.sections[-1].station
    start = strip.sections[0].station
    for first, last in sorted((*roots, (end, end))):
        if min(first, end) - start >= LEAST_STRETCH:
            to = None if first >= strip.wall.length - 1e-6 else f"{first!r} m"
            yield Shaping.model_validate({"wall": strip.wall.name, "from": f"{start!r} m", "to": to})
        start = max(start, last)


def _why_not(strip: ShapedStrip, base: Design) -> str | None:
    """Why a strip cannot be had; None where it can."""
    units = base.job.units
    narrow = min(strip.sections, key=lambda item: item.run)
    if narrow.run < LEAST_RUN:
        return f"only {write(narrow.run, 'length', units)} are free between it and the lot line or another wall"
    lost = [item for item in strip.sections if item.bank is None]
    held = next((item for item in lost if item.highest is not None and item.wall_level >= item.highest - 1e-9), None)
    if held is not None:
        return f"earth must stay clear of the {held.clear_of}, and no bank of 1 in {BANK:g} meets the ground beyond"
    if lost:
        return f"the ground beyond rises so that no bank of 1 in {BANK:g} meets it"
    return None


def _more(base: Design, strips: Sequence[ShapedStrip]) -> Decimal:
    with quiet():
        built = build_side(replace(base.site, shaped=(*base.site.shaped, *strips)), base.system)
    return built.price.total - base.build.price.total


def shaping_option(base: Design, left: ShapingLeft) -> Option | None:
    """The strips that could be had as an option of the job; None where there are none."""
    if not left.strips:
        return None
    asked = (*base.job.works.shaping, *(strip.strip for strip in left.strips))
    return Option(
        key="shaped-ground",
        title=f"Ground shaped to fall away at the {_listed(left.walls)}"[:120],
        words="The first remedy against rain that runs to the wall." + _doubt(left),
        changes={"works.shaping": [item.model_dump(mode="json", by_alias=True) for item in asked]},
    )


def _listed(walls: Sequence[str]) -> str:
    return f"{listed(walls)} wall{'' if len(walls) == 1 else 's'}"


def _doubt(left: ShapingLeft) -> str:
    """What must be read or led on before the strips are built."""
    told = []
    if left.rooted:
        walls = dict.fromkeys(wall for wall, _, _ in left.rooted)
        lost = {name: math.fsum(length for wall, _, length in left.rooted if wall == name) for name in walls}
        of = [f"{write(length, 'length', left.units)} of the {wall} wall" for wall, length in lost.items()]
        trees = listed(list(dict.fromkeys(tree for _, tree, _ in left.rooted)))
        told.append(f"Left off over roots of {trees}, which die under fill: {listed(of)}.")
    if left.untold:
        told.append(
            f"How high earth may stand{_at(left, left.untold)} was not measured: read it before fill is ordered."
        )
    if left.assumed:
        told.append(f"The ground{_at(left, left.assumed)} is ASSUMED: take shots first.")
    if left.swales:
        told.append(
            f"The ground beyond is high{_at(left, left.swales)}: the strip ends in a swale, which wants a way out."
        )
    return "".join(f" {words}" for words in told)


def _at(left: ShapingLeft, walls: Sequence[str]) -> str:
    return " there" if walls == left.walls else f" at the {_listed(walls)}"


def shaping_words(left: ShapingLeft, price: str) -> str:
    """About what the shaping that is left out costs, and where it cannot be had; empty where none is left out.

    Parameters
    ----------
    left : ShapingLeft
        From ``shaping_left``.
    price : str
        ``left.more`` without its sign, as money is written on the paper.
    """
    parts = []
    if left.more is not None:
        change = f"make it about {price} cheaper, with tax" if left.more < 0 else f"add about {price} with tax"
        parts.append(f"At the {_listed(left.walls)} it would {change}.{_doubt(left)}")
    for why in dict.fromkeys(why for _, why in left.refused):
        walls = [wall for wall, other in left.refused if other == why]
        parts.append(f"At the {_listed(walls)} it cannot be priced: {why}.")
    return " ".join(parts)


__all__ = ["ShapingLeft", "shaping_left", "shaping_option", "shaping_words"]
