"""Checks of dry wells and infiltration trenches: size, soil, and the ground water under them."""

from __future__ import annotations

from collections.abc import Iterator
from math import inf
from typing import TYPE_CHECKING

from drainwright.field.words import Units
from drainwright.findings.places import listed
from drainwright.findings.rules import Case, Outcome, caution, fails, ok, rule
from drainwright.job.values import Basis
from drainwright.system.outlets.soak_model import Soakaway
from drainwright.water.holes import FAR, holes, nearest

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

FOOT, INCH = 0.3048, 0.0254
AN_HOUR = 3600.0
SLOWEST = 0.27 * INCH / AN_HOUR  # soil slower than this takes no dry well: a county's sheet [m/s]
USUAL = 0.5 * INCH / AN_HOUR  # that manuals ask for [m/s]


def where_of(soak: Soakaway) -> str:
    """Its place in the job."""
    return f"works.discharge.{soak.name}"


def named(soak: Soakaway) -> str:
    """``The infiltration trench at OUT``."""
    wells = f"The {soak.count} dry wells" if soak.count > 1 else f"The {soak.kind}"
    return f"{wells} at {soak.name}"


def verb(soak: Soakaway, one: str, many: str) -> str:
    """The verb for one soakaway, or for several wells."""
    return many if soak.count > 1 else one


def speed(case: Case, value: float) -> str:
    """Write a rate of soaking in to two figures: inches or millimetres an hour."""
    return rate_words(value, case.job.units)


def rate_words(value: float, units: Units) -> str:
    """Write a rate of soaking in to two figures [m/s]: ``0.52 in/h``, ``100 mm/h``."""
    shown = value * AN_HOUR / INCH if units == "US" else value * AN_HOUR * 1000
    return f"{float(f'{shown:.2g}'):g} {'in/h' if units == 'US' else 'mm/h'}"


def shape_of(soak: Soakaway) -> BaseGeometry:
    """Its outlines in plan, as one shape."""
    from shapely import MultiPolygon, Polygon

    return MultiPolygon([Polygon(ring) for ring in soak.outlines])


def size_words(case: Case, soak: Soakaway) -> str:
    """``24 in wide, 44 ft long, 3 ft deep``."""
    if soak.kind == "dry well":
        many = f"{soak.count} of " if soak.count > 1 else ""
        return f"{many}{case.length(soak.width)} across, {case.length(soak.depth)} deep"
    return f"{case.length(soak.length)} long, {case.length(soak.width)} wide, {case.length(soak.depth)} deep"


@rule("OUT-10", "A soakaway holds its storm", "ciria_156")
def holds(case: Case) -> Iterator[Outcome]:
    """Every rain of its return period, from five minutes to two days, stays below the pipe."""
    for soak in case.system.soaks:
        years = f"{soak.return_period / 31557600.0:g}-year"
        figure = (
            f"{case.length(soak.fullest)} of water in the {case.hours(soak.critical)} rain ({size_words(case, soak)})"
        )
        limit = f"{case.length(soak.depth)}, the pipe's invert, in the {years} rain"
        said = named(soak)
        if not soak.holds and soak.overflow is None:
            yield fails(
                where_of(soak),
                f"{said} {verb(soak, 'is', 'are')} too small: {case.volume(soak.spilled)} of the {years} rain would "
                "come up out of the ground or stand back in the pipes.",
                figure=figure,
                limit=limit,
                advice="Make it longer or wider, give it an overflow to another lawful way out, or send it less water.",
                basis=soak.basis,
            )
        elif not soak.holds:
            yield caution(
                where_of(soak),
                f"{said} {verb(soak, 'spills', 'spill')} {case.volume(soak.spilled)} of the {years} rain to {soak.overflow}.",
                figure=figure,
                limit=limit,
                advice=f"See that {soak.overflow} may take it, and set the overflow's invert at the inlet's, with a fall of its own.",
                basis=soak.basis,
            )
        elif soak.silted > soak.depth or (soak.nested is not None and soak.nested > soak.depth):
            why = [
                *(["once its bottom has silted up"] if soak.silted > soak.depth else []),
                *(
                    ["in a storm that holds the rain of every duration at once"]
                    if (soak.nested or 0.0) > soak.depth
                    else []
                ),
            ]
            yield caution(
                where_of(soak),
                f"{said} {verb(soak, 'holds', 'hold')} the {years} rain, but not {' nor '.join(why)}.",
                figure=figure,
                limit=limit,
                advice="Fit a trap for leaves and silt before it, and see that what spills runs away from the house; "
                "some feet more of it cost little now.",
                basis=soak.basis,
            )
        else:
            text = f"{said} {verb(soak, 'holds', 'hold')} the {years} rain, {case.length(soak.spare)} to spare."
            yield ok(where_of(soak), text, figure=figure, limit=limit, basis=soak.basis)


@rule("OUT-11", "A soakaway empties in time", "ciria_156")
def empties(case: Case) -> Iterator[Outcome]:
    """Half of it is free again before the next storm."""
    for soak in case.system.soaks:
        never = soak.half_empty == inf
        figure = "never" if never else f"half empty after {case.hours(soak.half_empty)}"
        limit = f"{case.hours(soak.half_empty_limit)} or less"
        if soak.empties:
            text = f"{named(soak)} {verb(soak, 'is', 'are')} ready for the next storm in time."
            yield ok(where_of(soak), text, figure=figure, limit=limit, basis=soak.basis)
        else:
            why = (
                "the ground water that comes all the time keeps it full"
                if never
                else "the soil is too slow for its depth"
            )
            yield fails(
                where_of(soak),
                f"{named(soak)} {verb(soak, 'empties', 'empty')} too slowly: {why}.",
                figure=figure,
                limit=limit,
                advice="Make it shallower and larger in plan, or take another way out.",
                basis=soak.basis,
            )


@rule("OUT-12", "Soil that takes water in", "trench_area")
def soil(case: Case) -> Iterator[Outcome]:
    """Slow soil takes no soakaway, and a rate that nobody measured there is a guess."""
    for soak in case.system.soaks:
        figure = f"{speed(case, soak.soil_rate)}, used {speed(case, soak.rate)}"
        limit = f"{speed(case, USUAL)} or more, measured at its bottom"
        if soak.soil_rate < SLOWEST:
            yield fails(
                where_of(soak),
                f"The soil at {soak.name} is too slow for a soakaway: water would stand in it for days.",
                figure=figure,
                limit=limit,
                advice="Find another way out: a soakaway in such soil is a pond in the ground.",
                basis=soak.basis,
            )
        elif soak.soil_rate < USUAL:
            yield caution(
                where_of(soak),
                f"The soil at {soak.name} is slower than stormwater manuals ask for.",
                figure=figure,
                limit=limit,
                advice="Ask the place whether it takes this; measure the rate in two holes before it is dug.",
                basis=soak.basis,
            )
        elif soak.rate_from != "measured where it goes":
            ground = case.job.ground
            tests = ground.hole_tests if ground.conductivity is None else ()
            by = f" by {'hole test' if len(tests) == 1 else 'hole tests'} {listed([one.name for one in tests])}"
            yield caution(
                where_of(soak),
                f"How fast water soaks in at {soak.name} was told, not measured there."
                if soak.rate_from == "told for its place, not measured"
                else f"Nobody measured how fast water soaks in at the bottom of {soak.name}: half of the soil's conductivity"
                f"{by if tests else ''} is taken.",
                figure=figure,
                limit=limit,
                advice="Fill a hole at its place and depth twice, and enter the slower rate as works.discharge.soak.rate.",
                basis=soak.basis,
            )
        else:
            yield ok(
                where_of(soak), f"The soil at {soak.name} takes water in.", figure=figure, limit=limit, basis=soak.basis
            )


def _dry_beside(case: Case, soak: Soakaway) -> str:
    """What a hole near a soakaway says that stayed dry: the water stood lower, and how that lies to its bottom."""
    shape = shape_of(soak)
    hole = nearest([one for one in holes(case.site) if one.dry], shape)
    if hole is None or hole.bottom is None or hole.off(shape) > FAR:
        return ""
    over = hole.bottom - soak.bottom
    side = "above" if over > 0.0 else "below"
    words = hole.words(case.job.units)
    return (
        f" {words[0].upper()}{words[1:]}, {case.length(hole.off(shape))} off, stayed dry {hole.on}, but "
        f"{'only reaches to' if over > 0.0 else 'that was one day: it reaches'} {case.length(abs(over))} {side} its bottom."
    )


@rule("OUT-13", "A soakaway over the ground water", "hantush_1967")
def over_water(case: Case) -> Iterator[Outcome]:
    """Its bottom keeps clear of the high water, also of the mound that its own water raises."""
    needed = case.job.rules.soak_above_water
    for soak in case.system.soaks:
        limit = f"{case.length(needed.value)} or more over the seasonal high water"
        if soak.water_table is None:
            yield caution(
                where_of(soak),
                f"Nobody knows how high the ground water stands under {soak.name}: it may stand in the stone in the wet season."
                f"{_dry_beside(case, soak)}",
                figure=f"its bottom lies at {case.level(soak.bottom)}",
                limit=limit,
                advice="Dig a test hole three feet below its bottom in the wet season; look for water and for grey mottles."
                if case.job.units == "US"
                else "Dig a test hole 1 m below its bottom in the wet season; look for water and for grey mottles.",
                basis=Basis.ASSUMED,
            )
            continue
        clear = soak.bottom - soak.water_table
        figure = f"{case.length(abs(clear))} {'over' if clear >= 0 else 'below'} it; its own water lifts that {case.length(soak.mound)}"
        if clear < needed.value - 1e-6:
            yield fails(
                where_of(soak),
                f"The bottom of {soak.name} lies too low over the ground water.",
                figure=figure,
                limit=limit,
                advice="Make it shallower and longer, raise its inlet, or take another way out.",
                basis=needed.basis,
            )
        elif soak.mound >= clear:
            yield fails(
                where_of(soak),
                f"The ground water under {soak.name} rises into the stone when it works: it would empty far slower than reckoned.",
                figure=figure,
                limit=f"a rise of less than {case.length(clear)}",
                advice="Stretch it out: a long narrow trench raises the water less than a wide one. Or take another way out.",
                basis=Basis.ASSUMED,
            )
        else:
            text = f"{soak.name} keeps clear of the ground water, and of the mound under it."
            yield ok(where_of(soak), text, figure=figure, limit=limit, basis=needed.basis)


@rule("OUT-17", "Water that never rests in a soakaway", "common_practice")
def ground_water(case: Case) -> Iterator[Outcome]:
    """A soakaway is for storms; ground water led into it leaves no room, and goes round in a circle."""
    for soak in case.system.soaks:
        figure, limit = f"{case.flow(soak.base_flow)} of ground water", "none"
        if soak.base_flow > 0.0:
            yield caution(
                where_of(soak),
                f"Ground water from the footing drain goes into {soak.name}: in the wet season it takes room from the storm, "
                "and part of it may come back to the drain.",
                figure=figure,
                limit=limit,
                advice="Give the footing drain a way out of its own, or prove that the soil below is dry all year.",
                basis=soak.basis,
            )
        else:
            yield ok(
                where_of(soak), f"Only storm water goes to {soak.name}.", figure=figure, limit=limit, basis=soak.basis
            )


@rule("OUT-18", "Water that a soakaway raises at the house", "hantush_1967")
def at_the_house(case: Case) -> Iterator[Outcome]:
    """What soaks in must not lift the ground water to the floor."""
    for soak in case.system.soaks:
        if soak.water_table is None:
            continue
        level, floor = soak.water_table + soak.mound_at_house, case.floor_underside
        figure = f"{case.level(level)}, lifted {case.length(soak.mound_at_house)}"
        limit = f"below {case.level(floor)}, the {case.floor_name}"
        if level < floor:
            text = f"The water that {soak.name} lets in does not reach the house."
            yield ok(where_of(soak), text, figure=figure, limit=limit, basis=Basis.ASSUMED)
        elif soak.water_table >= floor and any(run.duty == "footing drain" for run in case.system.runs):
            yield caution(
                where_of(soak),
                f"The ground water stands at the {case.floor_name} before {soak.name} adds anything: footing drains must hold "
                f"it down, and {soak.name} presses {case.some(soak.mound_at_house)} more of it on them.",
                figure=figure,
                limit=limit,
                advice="No distance makes this nothing; farther from the house and downhill it is less. What it adds to the "
                "drains' inflow is not counted: leave the pump that much to spare, or take the water away in a pipe.",
                basis=Basis.ASSUMED,
            )
        else:
            yield fails(
                where_of(soak),
                f"In a storm the ground water at the house, lifted by {soak.name}, stands at the {case.floor_name}.",
                figure=figure,
                limit=limit,
                advice="Move it farther from the house and downhill of it, or take the water away in a pipe.",
                basis=Basis.ASSUMED,
            )


@rule("OUT-19", "When the soakaway is full", "common_practice")
def overflow(case: Case) -> Iterator[Outcome]:
    """Some day a larger storm comes, or it has silted up."""
    for soak in case.system.soaks:
        limit = "a lawful way out for what it cannot take"
        if soak.overflow is None:
            yield caution(
                where_of(soak),
                f"No overflow is named for {soak.name}: in a larger storm than the one it is sized for, or when it has silted "
                "up, water comes out at the lowest grate or downspout.",
                figure="none named",
                limit=limit,
                advice="Let the lowest opening be one from which water runs away from the house, or name an overflow.",
            )
            continue
        over = next((item for item in case.system.overflows if item.to == soak.overflow), None)
        verdict = next((item for item in case.system.gravity if item.discharge == soak.overflow), None)
        lawful = "unknown" if verdict is None else verdict.lawful
        if over is None:
            yield caution(
                where_of(soak),
                f"{soak.overflow} is named for what {soak.name} cannot take, but no line leads there by gravity.",
                figure=f"to {soak.overflow}, no line",
                limit=limit,
                advice="Draw one from the last place before it; where a pump lifts the water, give its basin the overflow.",
            )
            continue
        figure = f"by {over.run} to {soak.overflow}, from {case.level(over.starts)} up"
        text = f"What {soak.name} cannot take stands back to {over.place} and leaves by {over.run} to {soak.overflow}"
        if lawful == "forbidden":
            yield fails(
                where_of(soak),
                f"{text}, where it may not go.",
                figure=figure,
                limit=limit,
                advice="Name another discharge point for it.",
                basis=Basis.STATED,
            )
        elif over.starts < soak.invert:
            yield caution(
                where_of(soak),
                f"{text}, but that begins to run {case.small(soak.invert - over.starts)} below the pipe into {soak.name}: "
                "water leaves by it that could soak away.",
                figure=figure,
                limit=f"{case.level(soak.invert)} or higher",
                advice=f"Let {over.run} leave {over.place} higher.",
                basis=Basis.STATED,
            )
        elif (water := case.system.water.get(over.place)) is not None and water.level > over.starts:
            yield caution(
                where_of(soak),
                f"{text}, but water stands {case.small(water.level - over.starts)} above its beginning already while "
                f"{soak.name} takes all: part of it leaves without need.",
                figure=figure,
                limit=f"{case.level(water.level)} or higher",
                advice=f"Lay the pipe from {over.place} to {soak.name} lower at {over.place} by that much, or raise {over.run}.",
                basis=Basis.STATED,
            )
        elif lawful not in ("allowed", "permit granted"):
            yield caution(
                where_of(soak),
                f"{text}; nobody has yet said that it may take this water ({lawful}).",
                figure=figure,
                limit=limit,
                advice="Ask the local authority before it is laid.",
                basis=Basis.STATED,
            )
        else:
            yield ok(where_of(soak), f"{text}.", figure=figure, limit=limit, basis=Basis.STATED)


__all__ = ["named", "rate_words", "size_words", "speed", "verb", "where_of"]
