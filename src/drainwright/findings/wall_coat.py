"""Checks of what is put on a wall: against standing water, how high, and whether a drain goes with it."""

from __future__ import annotations

import math
from collections.abc import Iterator

from drainwright.field.words import least_sure
from drainwright.findings.rules import Case, Outcome, caution, fails, ok, rule
from drainwright.job.values import Basis

INCH = 0.0254


def _may_stand(case: Case) -> float:
    """Upper end of the range of the high ground water, where one was reckoned [m]."""
    return max((item.high for item in case.inflows.ranges if item.name == "water table"), default=-math.inf)


@rule("FTG-05", "Damp-proofing where water stands", "irc_r406")
def water_against_wall(case: Case) -> Iterator[Outcome]:
    """Damp-proofing resists no standing water; high ground water asks for waterproofing."""
    table = case.site.water_table
    fact = case.job.ground.water_table
    for wall in case.site.walls:
        if not wall.wall.open_and_coat:
            continue
        where, kind = f"house.walls.{wall.name}", wall.wall.coating.kind
        planned = "no coat" if kind == "none" else kind
        if table is None or fact is None:
            limit = "waterproofing where water stands above the floor"
            if kind == "waterproofing":
                text = f"The {wall.name} wall is waterproofed, which also resists standing water."
                yield ok(where, text, figure=planned, limit=limit)
            else:
                yield caution(
                    where,
                    f"Nobody knows how high ground water stands at the {wall.name} wall; {planned} resists none.",
                    figure=planned,
                    limit=limit,
                    advice="Look for mottles and standing water in a test pit, in the wet season.",
                    basis=Basis.ASSUMED,
                )
            continue
        basis = least_sure(fact.basis, case.site.floor_basis)
        figure = f"{planned}; water at {case.level(table)}"
        limit = f"waterproofing where water stands above the floor, {case.level(case.site.floor)}"
        if kind == "waterproofing":
            yield ok(where, f"The {wall.name} wall is waterproofed.", figure=figure, limit=limit, basis=basis)
        elif table > case.site.floor:
            yield fails(
                where,
                f"Ground water stands above the floor at the {wall.name} wall, and only {planned} is planned."
                if kind != "none"
                else f"Ground water stands above the floor at the {wall.name} wall, and no coat is planned.",
                figure=figure,
                limit=limit,
                advice="Waterproof the wall (R406.2), and never call a damp-proofing coat waterproof.",
                basis=basis,
            )
        elif (may := _may_stand(case)) > case.site.floor:
            yield caution(
                where,
                f"Ground water may stand above the floor at the {wall.name} wall, and only {planned} is planned: its high "
                f"level is known no better than up to {case.level(may)}."
                if kind != "none"
                else f"Ground water may stand above the floor at the {wall.name} wall, and no coat is planned: its high "
                f"level is known no better than up to {case.level(may)}.",
                figure=figure,
                limit=limit,
                advice="Waterproof the wall, or look in a test hole in the wet season and give the level a range.",
                basis=basis,
            )
        elif table > wall.footing_bottom:
            yield caution(
                where,
                f"Without the drain, ground water stands against the foot of the {wall.name} wall, below the floor. The coat "
                "alone does nothing lasting: the drain must work.",
                figure=figure,
                limit=limit,
                advice="Keep the drain maintained; offer waterproofing as the better choice.",
                basis=basis,
            )
        else:
            yield ok(where, f"No water stands against the {wall.name} wall.", figure=figure, limit=limit, basis=basis)


@rule("FTG-06", "Top of the coating", "common_practice")
def coating_top(case: Case) -> Iterator[Outcome]:
    """A wall coat ends 1 to 2 in above the final grade."""
    low, high = INCH, 2 * INCH
    for wall in case.site.walls:
        if not wall.wall.open_and_coat or wall.wall.coating.kind == "none":
            continue
        top = wall.wall.coating.top_above_grade
        figure, limit = case.small(top), f"{case.small(low)} to {case.small(high)} above the final grade"
        where = f"house.walls.{wall.name}"
        if low - 1e-4 <= top <= high + 1e-4:
            yield ok(where, f"The coat of the {wall.name} wall ends above the ground.", figure=figure, limit=limit)
        else:
            why = "higher shows, and weathers" if top > high else "lower lets water behind it"
            yield caution(
                where,
                f"The coat of the {wall.name} wall ends {figure} above the final grade: {why}.",
                figure=figure,
                limit=limit,
                advice=f"End it {limit}.",
            )


@rule("FTG-07", "Coating without a drain", "common_practice")
def coat_needs_drain(case: Case) -> Iterator[Outcome]:
    """A coat does nothing lasting without a drain to take the water away."""
    drained = {name for run in case.system.runs if run.duty == "footing drain" for name in run.walls}
    for wall in case.site.walls:
        if not wall.wall.open_and_coat:
            continue
        where = f"house.walls.{wall.name}"
        if wall.name in drained:
            yield ok(
                where, f"A drain lies along the coated {wall.name} wall.", figure="a drain", limit="a footing drain"
            )
        else:
            yield fails(
                where,
                f"The {wall.name} wall is opened and coated, but no drain lies along it.",
                figure="no drain",
                limit="a footing drain",
                advice="Lay a footing drain along it while it is open.",
            )
