"""Checks of the measurements against each other: likely slips, and what nothing checks."""

from __future__ import annotations

from collections.abc import Iterator

from drainwright.field.model import SetLevels
from drainwright.field.plan_adjust import unchecked, unchecked_ties
from drainwright.field.set_levels import AGREES, OFF
from drainwright.field.usual import unusual
from drainwright.findings.places import listed
from drainwright.findings.rules import Case, Outcome, caution, fails, ok, rule
from drainwright.job.values import Place


@rule("SUR-05", "Measurements that the others contradict", "baarda")
def likely_slips(case: Case) -> Iterator[Outcome]:
    """No reading, tape or turn is so far from what the others say that a slip is likelier."""
    slips = case.site.slips
    for slip in slips:
        yield caution(
            slip.where,
            slip.message,
            figure=f"{slip.strength:.0f} times its standard error off",
            limit="agrees with the others",
            advice="Measure it again before anything is set out from it. It still counts in the design as it is booked.",
        )
    book, network = case.site.level_book, case.site.network
    checked = (book is not None and book.redundancy > 0) or (network is not None and network.redundancy > 0)
    if not slips and checked:
        yield ok(
            "survey.points" if book is None else "survey.level_book",
            "No measurement stands out against the others.",
            figure="none stands out",
            limit="agrees with the others",
        )


@rule("SUR-06", "Places of the works that nothing checks", "least_squares")
def unchecked_places(case: Case) -> Iterator[Outcome]:
    """Points that an inlet, the basin or an outlet hangs on are fixed by more than they need."""
    works, network = case.job.works, case.site.network
    if network is None:
        return
    places: list[tuple[Place, str]] = [(inlet.at, inlet.name) for inlet in works.inlets]
    places += [(discharge.at, discharge.name) for discharge in works.discharge]
    places += [(basin.at, basin.name) for basin in works.basins]
    if not works.basins and works.basin_place is not None:
        places.append((works.basin_place, "the basin"))
    hung = {place.name: work for place, work in places if place.name is not None}
    bare = set(unchecked(network))
    several = unchecked_ties(network)
    loose = [
        f"{point} ({work})" + (f", in its tie from {' and '.join(several[point])}" if point in several else "")
        for point, work in hung.items() if point in bare
    ]  # fmt: skip
    if loose:
        yield caution(
            "survey.points",
            f"Nothing checks the place of {listed(loose)}: a slip of the tape there would not show.",
            figure=f"{len(loose)} unchecked",
            limit="one measurement more than the place needs",
            advice="Take a third tie, or one tape to another point (survey.tapes)"
            + ("; of a point with three, one more across from the tie named." if several.keys() & hung.keys() else "."),
        )
    elif hung:
        yield ok(
            "survey.points",
            "Every place of the works is checked.",
            figure="all checked",
            limit="one measurement more than the place needs",
        )


@rule("SUR-08", "Figures of a usual size", "common_practice")
def usual_sizes(case: Case) -> Iterator[Outcome]:
    """No figure is of another size than a house has it: a foot for an inch, a point that has moved."""
    odd = unusual(case.site)
    for one in odd:
        again = f"Is it {one.meant}? " if one.meant else ""
        yield caution(
            one.where,
            f"A figure of another size than usual: found {one.figure}; {one.rule}.",
            figure=one.figure,
            limit=one.rule,
            advice=f"{again}Look at it again; as long as it stands, the design counts with it.",
        )
    if not odd:
        yield ok(
            "survey.points", "No figure is of another size than a house has it.", figure="all usual",
            limit="as houses have them (common practice)",
        )  # fmt: skip


MIDDLE = 1.2533  # standard error of a median over that of a mean, of a normal spread: sqrt(pi / 2) [-]


@rule("SUR-07", "Levels of shot sets against the benchmark", "common_practice")
def set_levels(case: Case) -> Iterator[Outcome]:
    """Ground that others measured lies on the datum of the level book, and where the level book has it."""
    for one in case.site.set_levels:
        if not one.compared:
            yield caution(
                one.where,
                f"Nothing ties the levels of {one.name} to your benchmark: no levelled shot of yours lies among them.",
                figure="none shared",
                limit="three shots or more that both have",
                advice="Read the rod at three places or more among its shots.",
            )
            continue
        yield _on_the_datum(case, one)
        for name, off in one.odd:
            yield caution(
                f"survey.points.{name}",
                f"{name} lies {case.height(abs(off))} {'above' if off > 0.0 else 'below'} the ground of {one.name}, with "
                "which your other shots agree.",
                figure=f"{case.height(abs(off))} off",
                limit="agrees with the others",
                advice="Read the rod there again, and look at its place in plan.",
            )


def _on_the_datum(case: Case, one: SetLevels) -> Outcome:
    shots = "1 of your shots" if one.compared == 1 else f"{one.compared} of your shots"
    figure = f"{case.height(abs(one.off))} off, scatter {case.height(one.spread)}"
    limit = f"{case.height(AGREES)} in the middle, scatter {case.height(OFF)}"
    doubt = MIDDLE * one.spread / one.compared**0.5
    if abs(one.off) <= AGREES and one.spread <= OFF:
        return ok(one.where, f"{one.name} agrees with {shots}.", figure=figure, limit=limit)
    way = "above" if one.off > 0.0 else "below"
    book = any(slip.where.startswith("survey.level_book") for slip in case.site.slips)
    first = "Mend the level book first. " if book else ""
    message = f"The levels of {one.name} lie {case.height(abs(one.off))} {way} {shots} in the middle."
    if one.spread > OFF:
        return caution(
            one.where,
            f"{message} The differences scatter by {case.height(one.spread)}: it may lie wrong in plan.",
            figure=figure,
            limit=limit,
            advice=f"{first}Check 'known', and the unit.",
        )
    advice = (
        f"{first}If the set hangs on another datum, {'lessen' if one.off > 0.0 else 'raise'} its 'level_shift' by "
        f"{case.height(abs(one.off))}; read the rod again at two shots of the set that are sure."
    )
    judge = fails if abs(one.off) - 2.0 * doubt > OFF else caution
    return judge(one.where, message, figure=figure, limit=limit, advice=advice)


__all__ = ["likely_slips", "set_levels", "unchecked_places", "usual_sizes"]
