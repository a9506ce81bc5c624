"""Checks of where the ground was tested: a test tells of its own place and depth, not of the whole lot."""

from __future__ import annotations

from collections.abc import Iterator

from drainwright.findings.rules import Case, Outcome, caution, ok, rule
from drainwright.findings.soaks import named, shape_of, where_of
from drainwright.job.values import LEVEL_WORDS, Basis
from drainwright.system.outlets.soak_model import Soakaway
from drainwright.water.holes import FAR, HIGHER, Hole, holes, nearest


def _off_words(case: Case, hole: Hole, off: float, level: float) -> str:
    """``62 ft off, its bottom 2 ft 1 in above``: how a hole lies to what leans on it."""
    over = (hole.bottom or 0.0) - level
    return f"{case.length(off)} off, {case.length(abs(over))} {'above' if over >= 0.0 else 'below'} it"


@rule("OUT-29", "Where a soakaway's soil was tested", "common_practice")
def soil_where_it_goes(case: Case) -> Iterator[Outcome]:
    """Soil differs from place to place and with depth: the test is made where the water is to go, at that depth."""
    timed = [hole for hole in holes(case.site) if hole.timed]
    if not timed or (case.job.ground.conductivity is not None and all(_rated(case, one) for one in case.system.soaks)):
        return
    limit = f"within {case.length(FAR)}, and no higher than {case.length(HIGHER)} above its bottom"
    for soak in case.system.soaks:
        shape = shape_of(soak)
        hole = nearest(timed, shape)
        if hole is None or hole.bottom is None:
            yield caution(
                where_of(soak),
                f"Nobody told where the soil was tested: how far from {soak.name}, and how deep there, is not known.",
                figure="no place of a test hole",
                limit=limit,
                advice="Enter where each hole is (ground.hole_tests, at).",
                basis=Basis.ASSUMED,
            )
            continue
        off, over = hole.off(shape), hole.bottom - soak.bottom
        figure = _off_words(case, hole, off, soak.bottom)
        if off <= FAR and over <= HIGHER:
            text = f"The soil was tested where {soak.name} goes, in {hole.words(case.job.units)}."
            yield ok(where_of(soak), text, figure=figure, limit=limit)
            continue
        why = [
            *([f"lies {case.length(off)} from it"] if off > FAR else []),
            *([f"ends {case.length(over)} above its bottom"] if over > HIGHER else []),
        ]
        yield caution(
            where_of(soak),
            f"{named(soak)}: the nearest test of the soil, {hole.words(case.job.units)}, {' and '.join(why)}. Soil differs "
            "from place to place and with depth.",
            figure=figure,
            limit=limit,
            advice="Fill a hole twice where it goes, down to its bottom, and enter the slower rate as works.discharge.soak.rate.",
            basis=Basis.ASSUMED,
        )


def _rated(case: Case, soak: Soakaway) -> bool:
    """Whether the job tells a rate for a soakaway's place."""
    point = next(item for item in case.job.works.discharge if item.name == soak.name)
    return point.soak is not None and point.soak.rate is not None


@rule("OUT-30", "Where the high water was read", "common_practice")
def water_where_it_goes(case: Case) -> Iterator[Outcome]:
    """One level of ground water is taken for the lot, although it mostly follows the ground."""
    fact = case.job.ground.water_table
    if fact is None:
        return
    limit = f"read within {case.length(FAR)} of it"
    for soak in case.system.soaks:
        if soak.water_table is None:
            continue
        shape = shape_of(soak)
        told = [one for one in holes(case.site) if _tells(one, soak.water_table)]
        hole = nearest(told, shape)
        if hole is not None and hole.off(shape) <= FAR:
            text = f"Hole {hole.name} beside {soak.name} tells how high the water stands there."
            yield ok(where_of(soak), text, figure=f"{case.length(hole.off(shape))} off", limit=limit)
            continue
        off, place = _read_at(case, soak)
        if off is not None and off <= FAR:
            yield ok(where_of(soak), f"The high water was read near {soak.name}.", figure=place, limit=limit)
            continue
        yield caution(
            where_of(soak),
            f"The high water under {soak.name} is the lot's one level, {case.level(soak.water_table)}, {place}. Ground water "
            "mostly follows the ground: it may stand higher or lower here.",
            figure=f"{place}; {soak.name} is {case.length(soak.house_distance)} from the house",
            limit=limit,
            advice="Dig a hole beside it in the wet season, below its bottom, and enter it (ground.dug_holes, with its place).",
            basis=Basis.ASSUMED,
        )


def _tells(hole: Hole, table: float) -> bool:
    """Whether a hole says of the high water: water stood in it, or it was dry down to below that level."""
    return hole.stood is not None or (hole.dry and hole.bottom is not None and hole.bottom < table)


def _read_at(case: Case, soak: Soakaway) -> tuple[float | None, str]:
    """How far from a soakaway the lot's level was read, and that in words; None where nobody told."""
    from shapely import Point

    level = case.job.ground.water_table
    reference = None if level is None else level.value.reference
    if reference is None:
        return None, "read at a place that nobody told"
    if reference in LEVEL_WORDS:
        return soak.house_distance, f"taken from the house, {case.length(soak.house_distance)} away"
    point = case.site.points[reference]
    if point.way == "level only":
        return None, f"taken from {reference}, whose place nobody told"
    off = float(shape_of(soak).distance(Point(point.east, point.north)))
    return off, f"taken from {reference}, {case.length(off)} away"


@rule("GWT-06", "Where the soil was tested against the drain", "common_practice")
def soil_at_the_drain(case: Case) -> Iterator[Outcome]:
    """The drain's ground water leans on the conductivity: of the soil beside it, at its depth."""
    lines = case.inflows.ground_lines
    timed = [hole for hole in holes(case.site) if hole.timed]
    if not lines or not timed or case.job.ground.conductivity is not None:
        return
    from shapely import Polygon

    house, lowest = Polygon(case.site.outline), min(line.drain_level for line in lines)
    limit = f"within {case.length(FAR)} of the house, and no higher than {case.length(HIGHER)} above the drain"
    hole = nearest(timed, house)
    if hole is None or hole.bottom is None:
        yield caution(
            "ground.hole_tests",
            "Nobody told where the soil was tested: how far from the drain, and how deep there, is not known.",
            figure="no place of a test hole",
            limit=limit,
            advice="Enter where each hole is (ground.hole_tests, at).",
            basis=Basis.ASSUMED,
        )
        return
    off, over = hole.off(house), hole.bottom - lowest
    figure = _off_words(case, hole, off, lowest)
    if off <= FAR and over <= HIGHER:
        text = f"The soil was tested beside the house, in {hole.words(case.job.units)}."
        yield ok(hole.where, text, figure=figure, limit=limit)
        return
    why = [
        *([f"lies {case.length(off)} from the house"] if off > FAR else []),
        *([f"ends {case.length(over)} above the drain"] if over > HIGHER else []),
    ]
    yield caution(
        hole.where,
        f"The drain's ground water leans on {hole.words(case.job.units)}, which {' and '.join(why)}. Soil differs from "
        "place to place and with depth.",
        figure=figure,
        limit=limit,
        advice="Time the water in a hole beside the wet wall, down to the footing; until then the inflow may be off by a factor "
        "of several.",
        basis=Basis.ASSUMED,
    )
