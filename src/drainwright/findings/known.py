"""Checks of how well things are known: the survey, the soil, the rain, the rules, the prices."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from typing import Any

import numpy as np

from drainwright.build.wording import money
from drainwright.field.model import CLOSES_WITHIN
from drainwright.field.words import least_sure
from drainwright.findings.places import counted
from drainwright.findings.prices import invented_part
from drainwright.findings.rules import Case, Outcome, caution, fails, ok, rule
from drainwright.job.values import Basis, Fact
from drainwright.quantities import percent
from drainwright.water.holes import holes

LEAST_ROOF, MOST_ROOF = 0.9, 1.5  # roof entered over the house's plan; common practice, no source [-]


@rule("SUR-01", "Level book closes", "level_allowance")
def level_book(case: Case) -> Iterator[Outcome]:
    """The book returns to a benchmark within the allowable misclosure."""
    book = case.site.level_book
    if book is None:
        return
    if book.misclosure is None or book.allowable is None:
        yield caution(
            "survey.level_book",
            "The level book does not return to a benchmark: a wrong reading cannot show.",
            figure="not closed",
            limit="closed on a benchmark",
            advice="Finish with a sight on the benchmark.",
            basis=Basis.STATED,
        )
        return
    figure, limit = f"{case.height(abs(book.misclosure))} off", f"{case.height(book.allowable)} either way"
    if book.closes:
        yield ok("survey.level_book", "The level book closes.", figure=figure, limit=limit)
    elif book.within_readings:
        yield caution(
            "survey.level_book",
            f"The level book misses its benchmark by {case.height(abs(book.misclosure))}; {case.height(book.allowable)} "
            "is allowed for so short a round. That is within what two rod readings can be off.",
            figure=figure,
            limit=limit,
            advice="Read the first and last sights again before relying on heights to "
            + ("a hundredth of a foot." if case.job.units == "US" else "3 mm."),
        )
    else:
        yield fails(
            "survey.level_book",
            f"The level book misses its benchmark by {case.height(abs(book.misclosure))}.",
            figure=figure,
            limit=limit,
            advice="Level again from the last sure point before anything is set out from these heights.",
        )


@rule("SUR-02", "Perimeter walk closes", "bowditch")
def perimeter(case: Case) -> Iterator[Outcome]:
    """The walk round the house comes back to where it began."""
    walk = case.site.traverse
    if walk is None:
        return
    ratio = walk.misclosure / walk.perimeter
    figure = f"{case.small(walk.misclosure)} in {case.length(walk.perimeter)}"
    limit = f"1 part in {CLOSES_WITHIN}"
    if walk.closes:
        yield ok("survey.perimeter", "The perimeter walk closes.", figure=figure, limit=limit)
    elif ratio <= 1 / 100:
        yield caution(
            "survey.perimeter",
            f"The perimeter walk misses its start by {figure}.",
            figure=figure,
            limit=limit,
            advice="Tape the longest sides again.",
        )
    else:
        yield fails(
            "survey.perimeter",
            f"The perimeter walk misses its start by {figure}: a side or a turn is wrong.",
            figure=figure,
            limit=limit,
            advice="Walk it again before anything is set out from it.",
        )


@rule("SUR-03", "Strength of ties", "least_squares")
def ties(case: Case) -> Iterator[Outcome]:
    """Ties that cross at a poor angle fix a point poorly."""
    for point in case.site.points.values():
        if point.way != "ties":
            continue
        error = point.standard_error
        figure = "not known" if error is None else f"{case.small(error)} standard error"
        where = f"survey.points.{point.name}"
        if point.weak:
            yield caution(
                where,
                f"The ties to {point.name} cross at a poor angle.",
                figure=figure,
                limit="30 to 150 degrees",
                advice="Tape a third tie from another corner.",
            )
        else:
            yield ok(where, f"{point.name} is well fixed.", figure=figure, limit="30 to 150 degrees")


@rule("SUR-04", "Ground shots along the runs", "delaunay")
def shots(case: Case) -> Iterator[Outcome]:
    """Ground levels along a run lie between shots, not beyond them, and near enough to one."""
    proposed = case.site.terrain.next_shots if case.site.terrain is not None else ()
    for run in case.system.runs:
        east, north = np.array([station.at for station in run.stations]).T
        known = case.site.surface.supported(east, north)
        outside = [station for station, near in zip(run.stations, known, strict=True) if not near]
        where = f"works.runs.{run.name}"
        missing = [shot.why for shot in proposed if shot.bears_on == where]
        if outside:
            first, last = outside[0].distance, outside[-1].distance
            yield caution(
                where,
                f"Part of {run.name} lies beyond the measured ground (from {case.length(first)} to {case.length(last)} "
                "from its upper end).",
                figure=f"{len(outside)} of {len(run.stations)} stations",
                limit="none beyond",
                advice="Take a shot beyond its end." if run.stations[-1] in outside else "Take a shot on its far side.",
                basis=Basis.ASSUMED,
            )
        elif missing:
            yield caution(
                where,
                missing[0],
                figure=f"{counted(len(missing), 'shot')} missing",
                limit="ground known well beside the fall along the run",
                advice="Take it before the grade is set out.",
                basis=Basis.ASSUMED,
            )
        else:
            yield ok(where, f"{run.name} lies on measured ground.", figure="none beyond", limit="none beyond")


@rule("SOI-01", "Conductivity of the soil", "common_practice")
def conductivity(case: Case) -> Iterator[Outcome]:
    """Ground-water inflow leans on the soil's conductivity."""
    basis = case.inflows.conductivity_basis
    figure = f"{basis.value}: {case.job.ground.texture.value}"
    if basis is Basis.MEASURED:
        timed = [hole.words(case.job.units) for hole in holes(case.site) if hole.timed]
        by = f" in {'; '.join(timed)}" if timed and case.job.ground.conductivity is None else ""
        yield ok("ground.conductivity", f"The soil's conductivity was measured{by}.", figure=figure, limit="measured")
    else:
        yield caution(
            "ground.conductivity",
            "The soil's conductivity was not measured: ground-water inflow may be off by a factor of several.",
            figure=figure,
            limit="measured",
            advice="Time the fall of water in an auger hole or a test pit; it takes an hour.",
            basis=basis,
        )


def _stayed_dry(case: Case) -> str:
    """What dry holes say of the high water: no more than that it stood lower on their day."""
    dry = [hole for hole in holes(case.site) if hole.dry]
    told = "; ".join(f"{hole.words(case.job.units)}, stayed dry {hole.on}" for hole in dry)
    return f" {told[0].upper()}{told[1:]}: the water stood lower then, and more those holes do not tell." if dry else ""


@rule("SOI-02", "Seasonal high water", "common_practice")
def high_water(case: Case) -> Iterator[Outcome]:
    """How high ground water stands in the wet season."""
    fact = case.job.ground.water_table
    if fact is None:
        yield caution(
            "ground.water_table",
            f"Nobody knows how high ground water stands in the wet season.{_stayed_dry(case)}",
            figure="not known",
            limit="measured",
            advice="Dig a test pit in the wet season, or look for mottles; until then inflow and uplift rest on an assumption.",
            basis=Basis.ASSUMED,
        )
    elif fact.basis is Basis.ASSUMED:
        yield caution(
            "ground.water_table",
            "The seasonal high water is assumed.",
            figure="assumed",
            limit="measured",
            advice="Dig a test pit in the wet season, or look for mottles.",
            basis=fact.basis,
        )
    else:
        yield ok(
            "ground.water_table",
            "The seasonal high water is known.",
            figure=fact.basis.value,
            limit="known",
            basis=fact.basis,
        )


@rule("SOI-03", "Depth of the footings", "common_practice")
def footings(case: Case) -> Iterator[Outcome]:
    """A footing's depth is seen in a test pit, not guessed."""
    drained = {name for run in case.system.runs if run.duty == "footing drain" for name in run.walls}
    for wall in case.site.walls:
        if not wall.wall.open_and_coat and wall.name not in drained:
            continue
        basis = wall.wall.footing_bottom.basis
        where = f"house.walls.{wall.name}"
        if basis in (Basis.MEASURED, Basis.MAPPED):
            yield ok(
                where, f"The {wall.name} footing's depth is known.", figure=basis.value, limit="measured", basis=basis
            )
        else:
            yield caution(
                where,
                f"The depth of the {wall.name} wall's footing is {basis.value}: the drain, the wedge and the price rest on it.",
                figure=basis.value,
                limit="measured",
                advice="Dig a test pit at the wall before the contract, or make it the first work of the first day: nobody in it "
                "unguarded where it is more than waist-deep, the depth by rod from its edge.",
                basis=basis,
            )


@rule("SOI-04", "Expansive clay", "common_practice")
def expansive(case: Case) -> Iterator[Outcome]:
    """Drying expansive clay can settle a house."""
    if case.job.ground.expansive:
        yield fails(
            "ground.expansive",
            "The clay swells and shrinks: a drain that dries it can settle the footings.",
            figure="expansive",
            limit="engineer's advice",
            advice="Ask a licensed geotechnical engineer before any drain is laid.",
        )


@rule("RAI-01", "Rain of the place", "noaa_atlas14")
def rain(case: Case) -> Iterator[Outcome]:
    """The rain table comes from a published source for the place."""
    basis = case.job.rain.basis
    figure = case.job.rain.source or "no source named"
    if basis in (Basis.MEASURED, Basis.MAPPED):
        yield ok("rain", "The rain is the place's own.", figure=figure, limit="published for the place", basis=basis)
    else:
        yield caution(
            "rain",
            f"The rain table is {basis.value}.",
            figure=figure,
            limit="published for the place",
            advice="Download the public depth table for the address and name it under rain.file.",
            basis=basis,
        )


@rule("SIZ-01", "Roof water accounted for", "common_practice")
def roof_share(case: Case) -> Iterator[Outcome]:
    """Roof that is not entered still sheds somewhere; more roof than house was measured along its slope."""
    ring = case.site.outline
    plan = abs(sum(ring[i - 1][0] * ring[i][1] - ring[i][0] * ring[i - 1][1] for i in range(len(ring)))) / 2
    if plan <= 0:
        return
    share = sum(roof.area.value for roof in case.job.roofs) / plan
    basis = least_sure(Basis.MEASURED, *(roof.area.basis for roof in case.job.roofs))
    figure, limit = f"{percent(share)} of the house's plan", f"{percent(LEAST_ROOF)} to {percent(MOST_ROOF)} of it"
    if share < LEAST_ROOF:
        yield caution(
            "roofs",
            f"Only {figure} is entered as roof: the rest sheds its water somewhere.",
            figure=figure,
            limit=limit,
            advice="Follow each downspout and eave; enter a roof that sheds away too, with a downspout that ends in a splash.",
            basis=basis,
        )
    elif share > MOST_ROOF:
        yield caution(
            "roofs",
            f"The roofs that are entered are {figure}: more than eaves explain.",
            figure=figure,
            limit=limit,
            advice="Enter each roof's area in plan, not along its slope; leave out roofs of other buildings that shed elsewhere.",
            basis=basis,
        )
    else:
        yield ok("roofs", "The whole roof is accounted for.", figure=figure, limit=limit, basis=basis)


@rule("PLA-01", "Rules of the place", "common_practice")
def place_rules(case: Case) -> Iterator[Outcome]:
    """Rules that nobody has looked up are marked assumed."""
    rules = case.job.rules
    named: dict[str, Fact[Any]] = {
        "code edition": rules.code_edition, "locate notice": rules.locate_notice, "ticket life": rules.ticket_life,
        "tolerance zone": rules.tolerance_zone, "boundary set-back": rules.boundary_setback, "frost depth": rules.frost_depth,
        "deposit limit": rules.deposit_fraction, "cancellation notice": rules.cancellation_days,
    }  # fmt: skip
    if any(trench.protection == "house-foundation letters" for trench in case.build.dig.trenches):
        named["OSHA's house-foundation letters"] = rules.house_foundation_letters
    open_rules = [name for name, fact in named.items() if fact.basis is Basis.ASSUMED]
    if open_rules:
        yield caution(
            "rules",
            "Nobody has looked up these rules of the place: " + ", ".join(open_rules) + ".",
            figure=f"{len(open_rules)} assumed",
            limit="each with its source and date",
            advice="Look them up once for the town and keep them for the next job there.",
            basis=Basis.ASSUMED,
        )
    else:
        text = f"These rules of the place are looked up: {', '.join(named)}. The place sheet has the others, with their marks."
        yield ok("rules", text, figure=f"none of {len(named)} assumed", limit="none assumed")


@rule("COM-01", "Deposit", "common_practice")
def deposit(case: Case) -> Iterator[Outcome]:
    """The deposit stays within the place's limit."""
    price, rules = case.build.price, case.job.rules
    allowed, cap = rules.deposit_fraction, rules.deposit_cap
    share = float(price.deposit / price.total) if price.total else 0.0
    figure, limit = (
        f"deposit of {money(price.deposit, price.currency)}, {percent(share, 1)} of the total",
        price.deposit_rule,
    )
    above_cap = cap is not None and float(price.deposit) > cap.value + 0.005
    basis = allowed.basis if cap is None else least_sure(allowed.basis, cap.basis)
    if share <= allowed.value + 1e-4 and not above_cap:
        yield ok("rules.deposit_fraction", "The deposit keeps the limit.", figure=figure, limit=limit, basis=basis)
    else:
        most = float(price.total) * allowed.value
        most = most if cap is None else min(most, cap.value)
        yield fails(
            "rules.deposit_fraction",
            "The deposit is above the limit of the place.",
            figure=figure,
            limit=limit,
            advice=f"Ask for {money(Decimal(str(most)), price.currency)} at most.",
            basis=basis,
        )


@rule("COM-02", "Prices", "common_practice")
def prices(case: Case) -> Iterator[Outcome]:
    """Invented prices are for demonstration only."""
    if case.build.price.invented and not case.job.demonstration:
        figure, told = invented_part(case)
        yield caution(
            "price_book",
            told,
            figure=figure,
            limit="the firm's own",
            advice="Enter the firm's own prices and rates before a proposal goes out.",
            basis=Basis.ASSUMED,
        )
