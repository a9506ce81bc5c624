"""Checks of the digging: buried lines, collapse, spoil, loads, roots."""

from __future__ import annotations

import datetime
from collections.abc import Iterator

from drainwright.findings.rules import Case, Outcome, caution, fails, ok, rule
from drainwright.job.values import Basis

FOOT = 0.3048
DANGEROUS = ("gas", "electric", "propane")


@rule("DIG-01", "Pipe against buried lines", "ten_states")
def clearance(case: Case) -> Iterator[Outcome]:
    """A new pipe and an old line cannot be in the same place."""
    apart = case.job.rules.water_sewer_separation
    for item in case.build.dig.crossings:
        if item.run not in {run.name for run in case.system.runs}:
            continue
        where = f"works.runs.{item.run}"
        figure = f"{case.small(abs(item.clearance))} {'apart' if item.clearance >= 0 else 'INTO each other'}"
        if item.clearance < 0 and item.crossing:
            yield fails(
                where,
                f"{item.run} and the {item.utility} ({item.kind}) meet at {case.length(item.station)} from its upper end.",
                figure=figure,
                limit="clear of each other",
                advice="Change the grade or the route; moving a utility is its owner's work.",
                basis=item.basis,
            )
        elif item.kind == "water" and item.crossing and item.clearance < apart.value:
            yield caution(
                where,
                f"{item.run} crosses the {item.utility} with {figure}; some places ask for {case.small(apart.value)}.",
                figure=figure,
                limit=case.small(apart.value),
                advice="Ask the local authority; sleeve the water line or keep joints away from the crossing.",
                basis=item.basis,
            )
        else:
            yield ok(where, f"{item.run} passes the {item.utility}.", figure=figure, limit="clear", basis=item.basis)


@rule("DIG-02", "Hand digging in tolerance zones", "one_call")
def hand_dig(case: Case) -> Iterator[Outcome]:
    """Inside a marked line's tolerance zone only hand tools dig."""
    zone = case.job.rules.tolerance_zone
    lines: dict[str, list[tuple[str, float]]] = {}
    for item in case.build.dig.crossings:
        lines.setdefault(item.utility, []).append((item.run, item.hand_dig))
    utilities = {item.name: item for item in case.job.utilities}
    for name, places in lines.items():
        utility = utilities[name]
        length = sum(part for _, part in places)
        shut = f"; shut off at: {utility.shutoff}" if utility.shutoff else ""
        yield caution(
            f"utilities.{name}",
            f"{', '.join(dict.fromkeys(run for run, _ in places))} meet the {name} ({utility.kind}), {case.length(utility.depth.value)} "
            f"down: dig {case.length(length)} by hand{shut}.",
            figure=f"{case.length(length)} by hand",
            limit=f"{case.length(zone.value)} each side of the line's outside",
            advice="Expose the line by hand before any other tool comes near; support it while it hangs free.",
            basis=utility.depth.basis,
        )


@rule("DIG-03", "Shutoff known", "common_practice")
def shutoff(case: Case) -> Iterator[Outcome]:
    """Whoever may cut a live line knows beforehand how to stop it."""
    met = {item.utility for item in case.build.dig.crossings}
    for utility in case.job.utilities:
        if (
            utility.name in met
            and utility.live
            and utility.kind in ("water", "reclaimed", "irrigation", "gas", "electric", "propane")
        ):
            if utility.shutoff:
                yield ok(
                    f"utilities.{utility.name}",
                    f"The {utility.name}'s shutoff is known.",
                    figure=utility.shutoff,
                    limit="known",
                )
            else:
                yield caution(
                    f"utilities.{utility.name}",
                    f"Nobody has written down how the {utility.name} is shut off.",
                    figure="not known",
                    limit="known before digging",
                    advice="Find it, try it, and write it on the safe-dig sheet.",
                )


@rule("DIG-04", "Lines that nobody located", "one_call")
def unlocated(case: Case) -> Iterator[Outcome]:
    """Lines that such a lot usually has, neither entered nor ruled out."""
    missing = case.build.dig.unlocated
    if missing:
        yield fails(
            "utilities",
            "Such a lot usually has these lines, and nobody has located them or ruled them out: "
            + ", ".join(missing)
            + ".",
            figure=f"{len(missing)} kinds",
            limit="each located or ruled out",
            advice="Call the one-call centre, and have private lines located by a private locator; it does not mark those. "
            "Enter what is found, or list it under utilities_absent.",
            basis=Basis.ASSUMED,
        )
    else:
        yield ok("utilities", "Each usual line was entered or ruled out.", figure="none", limit="none open")


@rule("DIG-05", "Lines known by hearsay", "one_call")
def hearsay(case: Case) -> Iterator[Outcome]:
    """A line that only the owner told of is not located."""
    met = {item.utility for item in case.build.dig.crossings}
    for utility in case.job.utilities:
        if utility.name in met and utility.located_by in ("owner says", "nobody"):
            severity = fails if utility.kind in DANGEROUS else caution
            yield severity(
                f"utilities.{utility.name}",
                f"The {utility.name} ({utility.kind}) crosses the work and its place is known only because "
                f"{'the owner says so' if utility.located_by == 'owner says' else 'it was drawn in'}.",
                figure=utility.located_by,
                limit="located",
                advice="Have it located, or expose it by hand along its whole way through the work.",
                basis=Basis.ASSUMED,
            )


@rule("DIG-06", "Trench protection", "osha_652")
def protection(case: Case) -> Iterator[Outcome]:
    """From 5 ft of depth a trench is sloped, shored or shielded, unless the house-foundation letters hold."""
    kind = case.job.ground.osha_type
    for trench in case.build.dig.trenches:
        figure = f"{case.length(trench.depth_greatest)} deep, soil type {kind.value}"
        where = trench.name
        if trench.protection == "engineer":
            yield fails(
                where,
                f"{trench.name} is {case.length(trench.depth_greatest)} deep.",
                figure=figure,
                limit=f"{case.length(20 * FOOT)}",
                advice="Protection this deep is designed by a registered professional engineer.",
                basis=kind.basis,
            )
        elif trench.protection == "slope or shield":
            yield caution(
                where,
                f"{trench.name} is {case.length(trench.depth_greatest)} deep: nobody enters it unless it is sloped "
                f"{trench.slope_run:g} to 1, benched, shored or shielded.",
                figure=figure,
                limit=f"{case.length(5 * FOOT)} without protection",
                advice="Choose the protection before the day, have it on site, and let a competent person inspect it daily "
                "and after rain.",
                basis=kind.basis,
            )
        elif trench.protection == "house-foundation letters":
            yield caution(
                where,
                f"{trench.name} is {case.length(trench.depth_greatest)} deep beside the foundation: open without shoring only "
                "under all conditions of OSHA's letters of 1995.",
                figure=figure,
                limit=f"under {case.length(7.5 * FOOT)}, bottom 2 ft wide or more, spoil as far away as the depth",
                advice="No standing water, no cracks, no machine near, the fewest people for the shortest time, a competent "
                "person present. Check that the letters still stand and hold in this state.",
                basis=kind.basis,
            )
        elif trench.protection == "competent person decides":
            yield caution(
                where,
                f"{trench.name} is {case.length(trench.depth_greatest)} deep: shallow trenches kill too, in wet or made ground.",
                figure=figure,
                limit=f"{case.length(5 * FOOT)} without protection",
                advice="A competent person looks at it before anyone enters, daily, and after rain.",
                basis=kind.basis,
            )
        else:
            yield ok(
                where, f"{trench.name} is shallow.", figure=figure, limit=f"{case.length(5 * FOOT)}", basis=kind.basis
            )


@rule("DIG-07", "Spoil set-back", "osha_1995_06")
def spoil(case: Case) -> Iterator[Outcome]:
    """Spoil lies 2 ft from the edge; beside a foundation, by the letters, as far as the trench is deep."""
    from drainwright.findings.outlet import to_ring

    for trench in case.build.dig.trenches:
        if trench.kind != "wall":
            continue
        wall = next(item for item in case.site.walls if item.name in trench.name)
        middle = ((wall.start[0] + wall.end[0]) / 2, (wall.start[1] + wall.end[1]) / 2)
        room = to_ring(middle, case.site.boundary) - trench.width if len(case.site.boundary) >= 3 else None
        figure = f"{case.length(room)} from the trench to the boundary" if room is not None else "room not measured"
        limit = f"{case.length(trench.spoil_setback)} clear, then the heap"
        where = f"house.walls.{wall.name}"
        if room is not None and room < trench.spoil_setback + 1.0:
            yield fails(
                where,
                f"Between the {wall.name} wall's trench and the boundary there is no room to heap spoil {case.length(trench.spoil_setback)} away.",
                figure=figure,
                limit=limit,
                advice="Haul the spoil as it is dug, or slope or shield the trench and keep the 2 ft rule.",
            )
        elif trench.spoil_setback > 2 * FOOT + 1e-6:
            yield caution(
                where,
                f"Keep spoil, stone and barrows {case.length(trench.spoil_setback)} from the {wall.name} wall's trench "
                f"(its depth, by the letters); {case.length(2 * FOOT)} is the least anywhere.",
                figure=figure,
                limit=limit,
                advice="Mark the line on the ground before the digging starts.",
            )
        else:
            yield ok(where, f"Spoil has room beside the {wall.name} wall.", figure=figure, limit=limit)


@rule("DIG-08", "Way out of the trench", "osha_651")
def ladder(case: Case) -> Iterator[Outcome]:
    """From 4 ft of depth a ladder stands within 25 ft of everyone."""
    for trench in case.build.dig.trenches:
        if trench.ladder:
            yield caution(
                trench.name,
                f"{trench.name} is {case.length(trench.depth_greatest)} deep: a ladder stands within {case.length(25 * FOOT)} of "
                f"everyone in it, {case.length(3 * FOOT)} above the edge.",
                figure=case.length(trench.depth_greatest),
                limit=case.length(4 * FOOT),
                advice="Put the ladder in before the trench reaches that depth.",
            )


@rule("DIG-09", "Trailer load", "common_practice")
def trailer(case: Case) -> Iterator[Outcome]:
    """Wet soil fills the payload long before it fills the trailer."""
    dig, equipment = case.build.dig, case.job.equipment
    if dig.trailer_loads == 0:
        return
    figure, limit = case.mass(dig.load_mass), case.mass(equipment.trailer_payload)
    if dig.load_mass > equipment.trailer_payload * (1 + 1e-6):
        yield fails(
            "equipment",
            f"A trailer filled to its sides with this soil weighs {figure}; it may carry {limit}.",
            figure=figure,
            limit=limit,
            advice=f"Stop at the payload: {dig.trailer_loads_by_mass} loads instead of {dig.trailer_loads_by_volume}.",
        )
    else:
        yield ok("equipment", f"{dig.trailer_loads} loads, each within the payload.", figure=figure, limit=limit)


@rule("DIG-10", "Roots", "root_zone")
def roots(case: Case) -> Iterator[Outcome]:
    """Digging through a tree's root zone can kill or fell it years later."""
    nearest: dict[str, tuple[float, str, float, float]] = {}
    for cut in case.build.dig.roots:
        known = nearest.get(cut.tree)
        if known is None or cut.distance < known[0]:
            nearest[cut.tree] = (cut.distance, cut.item, cut.trunk_diameter, cut.root_radius)
    for tree, (distance, item, diameter, radius) in nearest.items():
        where, figure = f"trees.{tree}", f"{case.length(distance)} from the trunk"
        if distance < 3 * diameter:
            yield fails(
                where,
                f"{item} passes {figure} of the {tree}, within three trunk diameters: the tree may fall.",
                figure=figure,
                limit=case.length(3 * diameter),
                advice="Move the run, or have an arborist decide about the tree first.",
            )
        else:
            yield caution(
                where,
                f"{item} passes {figure} of the {tree}, inside its root zone of {case.length(radius)}.",
                figure=figure,
                limit=case.length(radius),
                advice="Dig by hand there; cut no root thicker than 2 in without an arborist; saw clean, close the same day.",
            )


@rule("DIG-11", "Locate ticket", "one_call")
def ticket(case: Case) -> Iterator[Outcome]:
    """The locate call goes out in time, and the ticket outlives the digging."""
    start = case.job.crew.start
    notice, life = case.job.rules.locate_notice, case.job.rules.ticket_life
    if start is None:
        yield caution(
            "crew.start",
            "No start date yet, so the locate call cannot be timed.",
            figure="none",
            limit=f"{notice.value} working days before digging",
            advice="Set the date; call for locates in time; dig only while the ticket is valid.",
            basis=notice.basis,
        )
        return
    call = working_days_before(start, notice.value)
    figure = f"call by {call.isoformat()}"
    if case.build.plan.days > life.value:
        yield fails(
            "crew.start",
            f"The work takes {case.build.plan.days} days; a ticket lasts {life.value}.",
            figure=figure,
            limit=f"{life.value} working days",
            advice="Renew the ticket before it ends.",
            basis=life.basis,
        )
    else:
        yield ok(
            "crew.start",
            f"Call for locates by {call.isoformat()}.",
            figure=figure,
            limit=f"{notice.value} working days",
            basis=notice.basis,
        )


def working_days_before(day: datetime.date, count: int) -> datetime.date:
    """The date so many working days (Monday to Friday; holidays not known here) before a day."""
    while count > 0:
        day -= datetime.timedelta(days=1)
        if day.weekday() < 5:
            count -= 1
    return day


@rule("DIG-12", "Width of a wall trench", "osha_1995_06")
def wall_width(case: Case) -> Iterator[Outcome]:
    """A trench that people work in beside a wall is 2 ft wide at its bottom."""
    for trench in case.build.dig.trenches:
        if trench.kind != "wall":
            continue
        figure, limit = case.length(trench.width), f"{case.length(2 * FOOT)} or more"
        if trench.width >= 2 * FOOT - 1e-6:
            yield ok(trench.name, f"{trench.name} has room to work.", figure=figure, limit=limit)
        else:
            yield fails(
                trench.name,
                f"{trench.name} is too narrow to clean and coat a wall in, and outside the letters' conditions.",
                figure=figure,
                limit=limit,
                advice="Dig it 2 ft wide at the bottom.",
            )


__all__ = ["working_days_before"]
