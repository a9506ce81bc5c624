"""Checks of the ground water: what a drain cannot mend, what it would pump for ever, what a test hole is worth."""

from __future__ import annotations

from collections.abc import Iterator

from drainwright.findings.rules import Case, Outcome, caution, fails, ok, rule
from drainwright.job.values import Basis
from drainwright.water.holes import holes
from drainwright.water.model import Cause
from drainwright.water.open_water import water_name

LOWERS = (
    0.02  # less than this below the water a drain lowers nothing that one could see; common practice, no source [m]
)
READ_WITHIN = 0.05  # a depth to water in a hole is read so well; common practice, no source [m]
SAME_FLOW = 0.01  # flows within this are the same: they are written to two digits [-]
BANK = 1e-6  # a reach that comes so near to the bank ends at it [m]


@rule("GWT-01", "Floor above the damp soil", "rawls_1982")
def above_the_damp(case: Case) -> Iterator[Outcome]:
    """Soil draws water up above the water table; a drain keeps water off a floor, not damp."""
    lines = case.inflows.ground_lines
    if not lines:
        return
    best = min(lines, key=lambda line: line.level_with)  # each line leaves the drains of the other walls out
    gap, thing = best.floor_underside - best.level_with, case.floor_name
    where = f"works.runs.{best.run}"
    figure = f"the water stands {case.small(abs(gap))} {'below' if gap >= 0.0 else 'above'} the {thing} at mid-house"
    limit = f"more than {case.small(best.capillary_rise)} below, the usual capillary rise of this soil"
    remedy = "it takes a break of coarse stone and a membrane under the slab, or a vapour barrier under the flooring."
    if case.job.house.floor_kind == "crawl space":
        remedy = "cover the soil with a sealed vapour barrier."
    if gap > best.capillary_rise:
        text = f"With the drains the water does not rise in the soil as far as the {thing}."
        yield ok(where, text, figure=figure, limit=limit, basis=best.basis)
    elif gap >= 0.0:
        yield caution(
            where,
            f"With the drains no water stands at the {thing}, but the soil draws it up so high: the floor stays damp.",
            figure=figure,
            limit=limit,
            advice=f"No drain mends that: {remedy}",
            basis=best.basis,
        )
    else:
        yield caution(
            where,
            f"Even with the drains water may stand above the {thing} at mid-house.",
            figure=figure,
            limit=limit,
            advice="Drain the opposite side too, or lay drains under the floor; look in a hole through the floor first.",
            basis=best.basis,
        )


@rule("GWT-02", "Open water within the drain's reach", "common_practice")
def open_water(case: Case) -> Iterator[Outcome]:
    """A drain below open water nearby pumps that water, without end."""
    water = case.job.ground.open_water
    if water is None:
        return
    away, name = case.length(water.distance), water_name(water.kind)
    for item in case.inflows.seepage:
        where, basis = f"works.runs.{item.run}", item.basis
        limit = "no open water that stands higher than the drain within its reach"
        if item.bound and item.influence >= water.distance - BANK:
            yield caution(
                where,
                f"{item.run} reaches the {name}, {away} off, and lies {case.small(item.far_level - item.drain_level)}"
                " below it: the pump works against it without end.",
                figure=f"{case.flow(item.flow)}, day and night",
                limit=limit,
                advice="Raise the drain as far as the floor allows, or cut the ground off from that water; reckon with a "
                "pump that runs all year, and with the day on which the power fails.",
                basis=basis,
            )
        else:
            text = (
                f"The reach of {item.run} ends before the {name}."
                if item.bound
                else f"The {name} does not feed {item.run}."
            )
            figure = f"the drain reaches {case.length(item.influence)}; the {name} is {away} off"
            yield ok(where, text, figure=figure, limit=limit, basis=basis)


@rule("GWT-03", "Test hole soaked first", "porchet")
def soaked_first(case: Case) -> Iterator[Outcome]:
    """Water that sinks into dry soil tells of its thirst, not of its conductivity."""
    ground = case.job.ground
    if ground.conductivity is not None:  # the tests do not count
        return
    for test in ground.hole_tests:
        if test.kind == "auger hole":
            continue
        where, limit = f"ground.hole_tests.{test.name}", "kept full for hours before the readings"
        if test.soaked:
            yield ok(where, f"Hole {test.name} was soaked before it was read.", figure="soaked", limit=limit)
        else:
            yield caution(
                where,
                f"Hole {test.name} was not soaked: its conductivity is too great, so the drain's inflow is overstated and "
                "the water seems to fall sooner than it will.",
                figure="not soaked",
                limit=limit,
                advice="Keep the hole full for four hours, in clay overnight, and read it again.",
            )


@rule("GWT-04", "Water in the test holes against the high ground water", "common_practice")
def water_in_holes(case: Case) -> Iterator[Outcome]:
    """The seasonal high water is not lower than the water that stood in a hole on the day of a test."""
    fact, table = case.job.ground.water_table, case.site.water_table
    for hole in holes(case.site):
        where = hole.where
        basis = Basis.MEASURED if hole.supported else Basis.ASSUMED
        if hole.dry and table is not None and hole.bottom is not None and hole.bottom < table - READ_WITHIN:
            words = hole.words(case.job.units)
            yield caution(
                where,
                f"{words[0].upper()}{words[1:]}, stayed dry {hole.on}, though the seasonal high water that is entered would "
                f"stand {case.small(table - hole.bottom)} over its bottom. One level is taken for the whole lot.",
                figure=f"dry down to {case.level(hole.bottom)}",
                limit=f"water up to {case.level(table)} in the wet season",
                advice="Look again in the wet season, in a hole left open overnight: it was a dry day, clay that lets water in "
                "slowly, or the water does not stand so high there.",
                basis=basis,
            )
        if hole.stood is None:
            continue
        stood = hole.stood
        figure = f"water at {case.level(stood)} in the hole"
        if table is None or fact is None:
            yield caution(
                where,
                f"Water stood at {case.level(stood)} in hole {hole.name}, and no seasonal high water is entered.",
                figure=figure,
                limit="a seasonal high water at least so high",
                advice=f"Enter ground.water_table: no lower than {case.level(stood)}, and higher if the day of the test was "
                "in a dry month.",
                basis=basis,
            )
        elif stood > table + READ_WITHIN:
            yield fails(
                where,
                f"Water stood at {case.level(stood)} in hole {hole.name}, {case.small(stood - table)} above the seasonal high "
                "water that is entered: drain, coating and uplift are reckoned with too little.",
                figure=figure,
                limit=f"at most {case.level(table)}, the seasonal high water as entered",
                advice="Mend ground.water_table, or the hole's place and depth.",
                basis=basis,
            )
        else:
            text = f"The water in hole {hole.name} stood no higher than the seasonal high water."
            yield ok(where, text, figure=figure, limit=f"at most {case.level(table)}", basis=basis)


@rule("GWT-07", "Water seen against ground water reckoned", "common_practice")
def seen_inflow(case: Case) -> Iterator[Outcome]:
    """What somebody bails or pumps out of the house today comes in today: a design that reckons with less is wrong."""
    seen = case.job.ground.taken_out
    if seen is None:
        return
    flow, likely = seen.flow.value, case.inflows.by_cause()[Cause.GROUND]
    band = case.inflows.bands.get(Cause.GROUND)
    most = likely if band is None else max(band.high, likely)
    when = "" if seen.when == "unknown" else f", {seen.when}"
    told = f"{case.flow(flow)} taken out today ({seen.flow.basis.value}{when})"
    figure = f"{told}; reckoned {case.flow(likely)}, at the most {case.flow(most)}"
    limit = f"no more than the {case.flow(likely)} of ground water that the drains are reckoned with"
    rain = (
        " Part of it may be rain that comes in from above: count it again in dry weather."
        if seen.when in ("during rain", "after rain", "unknown")
        else ""
    )
    if flow <= likely * (1.0 + SAME_FLOW):
        text = "The drains are reckoned with no less ground water than is taken out of the house today."
        yield ok("ground.taken_out", text, figure=figure, limit=limit, basis=seen.flow.basis)
    elif flow <= most * (1.0 + SAME_FLOW):
        yield caution(
            "ground.taken_out",
            "More water is taken out of the house today than the ground water that is likely by these figures, though not more "
            f"than their range: soil or high water let more through than was taken.{rain}",
            figure=figure,
            limit=limit,
            advice="Test the soil at the wet wall and find the high water. Drains below the floor draw more than what comes in "
            "now: choose pump and battery by the range's upper end.",
            basis=seen.flow.basis,
        )
    else:
        yield fails(
            "ground.taken_out",
            "More water is taken out of the house today than these figures let come from the ground at the most: soil, high "
            f"water or the way of the water are wrong.{rain}",
            figure=figure,
            limit=limit,
            advice="Time the water with a bucket in dry weather, test the soil at the wet wall, look for another source (a spring, "
            "a broken pipe, open water), and mend ground.conductivity and ground.water_table before pump and basin are chosen.",
            basis=seen.flow.basis,
        )


@rule("GWT-05", "Drain below the high ground water", "dupuit")
def drain_below_water(case: Case) -> Iterator[Outcome]:
    """A drain takes ground water only where it lies lower than that stands."""
    for line in case.inflows.ground_lines:
        if not line.run:
            continue
        below = line.level_without - line.drain_level
        where = f"works.runs.{line.run}"
        figure = (
            f"{case.small(abs(below))} {'below' if below > 0.0 else 'above'} it at the {line.wall} wall, on the mean"
        )
        limit = f"below the high ground water, {case.level(line.level_without)}"
        if below > LOWERS:
            text = f"{line.run} lies below the high ground water along the {line.wall} wall."
            yield ok(where, text, figure=figure, limit=limit, basis=line.basis)
        else:
            yield caution(
                where,
                f"{line.run} lies hardly below the high ground water along the {line.wall} wall, or above it: there it takes "
                "surface water and rain, and lowers the ground water little or not at all.",
                figure=figure,
                limit=limit,
                advice="Lower the drain as far as the footing allows, begin it at the other end so that its low end lies at "
                "the wet wall, or do not count on it against ground water there.",
                basis=line.basis,
            )
