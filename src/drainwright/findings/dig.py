"""Checks of what the digging meets: buried lines, roots, loads, the locate ticket."""

from __future__ import annotations

import math
from collections.abc import Iterator

from drainwright.build.crossings import hand_dug
from drainwright.build.earth import in_rock
from drainwright.build.exposure import exposures
from drainwright.build.machine import no_breaker
from drainwright.build.model import UNSEEN, Crossing, RootCut
from drainwright.field.words import least_sure
from drainwright.findings.places import counted, listed
from drainwright.findings.rules import Case, Outcome, caution, fails, ok, rule
from drainwright.findings.stations import station_place
from drainwright.job.site import DANGEROUS, Utility
from drainwright.job.values import Basis
from drainwright.quantities import percent

FOOT = 0.3048
NEAR, WARY = 3.0, 5.0  # trunk diameters from the trunk: the tree may fall, an arborist is asked [-]
SHARE = 0.25  # of the root zone, from which an arborist is asked [-]


def _where(case: Case, name: str) -> str:
    if case.system.station_named(name) is not None:
        return station_place(case, name)
    return f"works.runs.{name}" if any(run.name == name for run in case.system.runs) else f"works.inlets.{name}"


def agreement(utility: Utility) -> str:
    """What a line's owner agreed to, quoted with its date; empty where nothing is entered."""
    agreed = utility.agreed
    if agreed is None:
        return ""
    return f"{agreed.by} agreed in writing on {agreed.on.isoformat()}: “{agreed.text.rstrip(' .')}”."


def _why_no_room(case: Case, item: Crossing) -> str:
    """Why there is no more room between a new pipe and a buried line: the one true reason."""
    run = next((run for run in case.system.runs if run.name == item.run), None)
    if run is None:
        return f"{item.run} stands where it was placed."
    if run.pressure:
        return f"No grade is sought for {item.run}, a line under pressure: lead it deeper, higher or another way."
    near = {(one.line, one.other): one.dear for grading in case.system.gradings for one in grading.near}
    here = [dear for (line, other), dear in near.items() if line == item.run and other.startswith(item.utility)]
    struck = any(
        one.line == item.run and one.kind == "utility" for grading in case.system.gradings for one in grading.relaxed
    )
    if here and not struck and all(here):
        return f"A grade of {item.run} with more room would cost more depth and pipe than the room is held worth."
    if here or struck:
        return f"No grade of {item.run} that keeps all else that is asked leaves more room."
    return f"The grading does not reckon with the line at this place: lead {item.run} farther from it."


@rule("DIG-01", "New works against buried lines", "ten_states")
def clearance(case: Case) -> Iterator[Outcome]:
    """A new pipe, basin or inlet and an old line cannot be in the same place; a line's depth is seen, not guessed."""
    apart, asked = case.job.rules.water_sewer_separation, case.job.criteria.utility_clearance
    runs = {run.name for run in case.system.runs}
    walls = {wall.name for wall in case.site.walls}
    utilities = {line.name: line for line in case.job.utilities}
    for item in case.build.dig.crossings:
        if item.run in walls:
            continue
        where, does = _where(case, item.run), "crosses" if item.crossing else "runs beside"
        pipe = item.run in runs
        if not pipe and utilities[item.utility].dangerous and 0 <= item.clearance_least < asked - UNSEEN:
            yield _near_body(case, item, utilities[item.utility], where)
            continue
        if item.clearance is None:
            yield _unknown(case, item, utilities[item.utility], where, pipe=pipe)
            continue
        figure = f"{case.small(abs(item.clearance))} {'apart' if item.clearance >= 0 else 'INTO each other'}"
        marked = f" ({item.mark})" if item.mark else ""
        named = f"{figure}: {item.utility}{marked}"  # the worksheet lists checks by their figures
        meet = (pipe or item.crossing) and item.could_meet
        utility = utilities[item.utility]
        line = f"{item.utility} ({item.kind}{f', {item.mark}' if item.mark else ''})"
        if item.clearance < 0 and not pipe:
            thing = (
                f"the hole for {item.run}"
                if case.system.station_named(item.run) is not None
                else f"the body of {item.run}"
            )
            yield fails(
                where,
                f"The {line} passes through {thing}: it cannot stay there.",
                figure=named,
                limit="clear of each other",
                advice=f"Move {item.run}, or have the line moved by its owner before the digging.",
                basis=item.basis,
            )
        elif item.clearance < 0:
            yield fails(
                where,
                f"{item.run} and the {line} meet at {case.length(item.station)} from its upper end.",
                figure=named,
                limit="clear of each other",
                advice="Change the grade or the route; moving a utility is its owner's work.",
                basis=item.basis,
            )
        elif pipe and item.kind == "water" and item.crossing and item.clearance < apart.value:
            yield caution(
                where,
                f"{item.run} crosses the {item.utility}{marked}, {figure}; some places ask for {case.small(apart.value)}.",
                figure=named,
                limit=f"{case.small(apart.value)} or more",
                advice="Ask the local authority; sleeve the water line or keep joints away from the crossing.",
                basis=least_sure(item.basis, apart.basis),
            )
        elif meet:
            text = (
                f"{item.run} {does} the {line}, {figure} by figures, but the line's depth is not "
                f"known so well: between {case.small(-item.clearance_least)} INTO each other and "
                f"{case.small(item.clearance_most)} apart, they could meet."
            )
            advice = "Expose the line by hand where they meet, and level it, before the levels are settled."
            if utility.dangerous and utility.agreed is not None:
                text = f"{text} {agreement(utility)}"
            elif utility.dangerous:
                advice = (
                    f"{_why_no_room(case, item)} Before the levels are settled, have the line exposed by hand where "
                    "they meet and entered so (with no more depth_uncertainty than is left), or enter what its owner agreed to in writing."
                )
            yield (fails if utility.dangerous and utility.agreed is None else caution)(
                where,
                text,
                figure=named,
                limit="clear of each other at the worst depth, or the line exposed",
                advice=advice,
                basis=item.basis,
            )
        elif pipe and utility.dangerous and item.clearance < asked - UNSEEN:
            yield caution(
                where,
                f"{item.run} {does} the {line}, {figure}, where {case.small(asked)} is asked.",
                figure=named,
                limit=f"{case.small(asked)} or more",
                advice=f"{_why_no_room(case, item)} "
                f"{agreement(utility) or 'Ask the owner of the line how near is allowed.'} Bed both by hand there.",
                basis=item.basis,
            )
        elif pipe and item.clearance < asked - UNSEEN:
            yield caution(
                where,
                f"{item.run} {does} the {line}, {figure}, where {case.small(asked)} is asked.",
                figure=named,
                limit=f"{case.small(asked)} or more",
                advice=f"{_why_no_room(case, item)} Ask the line's owner how near is allowed, and bed both by hand there.",
                basis=item.basis,
            )
        else:
            text = f"{item.run} {does if pipe else 'stands near'} the {item.utility}{marked} and keeps clear of it."
            yield ok(where, text, figure=named, limit="clear of each other", basis=item.basis)


def _near_body(case: Case, item: Crossing, utility: Utility, where: str) -> Outcome:
    """A live line at a body or a hole: beside it, it may lie in its place, for its mark is known no better than the zone."""
    asked, zone = case.job.criteria.utility_clearance, case.job.rules.tolerance_zone
    gap = item.clearance_least if item.clearance is None else item.clearance
    beside = not item.crossing and utility.located_by != "exposed by hand"
    text = (
        f"The {item.utility} ({item.kind}{f', {item.mark}' if item.mark else ''}), live, passes {case.small(gap)} from "
        f"{item.run}, where {case.small(asked)} is asked"
    )
    text += (
        f"; its mark may be {case.length(zone.value)} wrong, so that it may lie where {item.run} stands."
        if beside
        else "."
    )
    seen = "lay it bare by hand where it passes, and enter where it was seen (route, located_by: exposed by hand)"
    return (fails if beside and utility.agreed is None else caution)(
        where,
        f"{text}{f' {agreement(utility)}' if utility.agreed is not None else ''}",
        figure=f"{case.small(gap)} apart: {item.utility}{f' ({item.mark})' if item.mark else ''}",
        limit=f"{case.small(asked)} or more",
        advice=f"Move {item.run} away from it. Or, before anything else is dug there, {seen}, or what its owner agreed to in "
        "writing (agreed). Dig the whole pit by hand."
        if beside
        else "Ask the owner of the line how near is allowed. Dig the whole pit by hand, and hold the line where it hangs free.",
        basis=least_sure(item.basis, zone.basis),
    )


def _unknown(case: Case, item: Crossing, utility: Utility, where: str, *, pipe: bool) -> Outcome:
    """A line whose depth nobody knows: it may lie where the pipe is to lie, and no grade is clear of it."""
    numbered = f", {item.mark}" if item.mark else ""
    line = f"{utility.name} ({utility.kind}{numbered})"
    does = ("crosses" if item.crossing else "runs beside") if pipe else "stands at"
    if not item.could_meet:
        return ok(
            where,
            f"{item.run} {does} the {line}, whose depth nobody knows, and keeps clear of it at any depth.",
            figure=f"{case.small(item.clearance_least)} apart or more: {utility.name}{f' ({item.mark})' if item.mark else ''}",
            limit="clear of each other at any depth",
            basis=item.basis,
        )
    barred = utility.dangerous and utility.agreed is None
    return (fails if barred else caution)(
        where,
        f"{item.run} {does} the {line}, and nobody knows how deep that lies: anywhere from the surface to below the dig, "
        f"so that they could meet.{f' {agreement(utility)}' if utility.agreed is not None else ''}",
        figure=f"depth unknown: {utility.name}{f' ({item.mark})' if item.mark else ''}",
        limit="clear of each other at any depth, or the line exposed",
        advice="Expose it first, by hand from the surface down over the whole crossing, and enter the depth at which it was "
        "seen (located_by: exposed by hand), before the levels are settled."
        + (" Or enter what its owner agreed to in writing." if barred else ""),
        basis=item.basis,
    )


@rule("DIG-02", "Hand digging in tolerance zones", "one_call")
def hand_dig(case: Case) -> Iterator[Outcome]:
    """Inside a marked line's tolerance zone only hand tools dig."""
    zone = case.job.rules.tolerance_zone
    widths = {trench.name: trench.width for trench in case.build.dig.trenches}
    lines: dict[str, list[Crossing]] = {}
    for item in case.build.dig.crossings:
        lines.setdefault(item.utility, []).append(item)
    utilities = {item.name: item for item in case.job.utilities}
    bared = {one.meeting.utility for one in exposures(case.site, case.build.dig) if not one.covered}
    for name, places in lines.items():
        utility = utilities[name]
        length = hand_dug(places)
        shut = f"; shut off at: {utility.shutoff.rstrip(' .')}" if utility.shutoff else ""
        diggings = tuple(dict.fromkeys(place.run for place in places))
        meet = "meets" if len(diggings) == 1 else "meet"
        spots = [
            (f"{place.run} at {case.length(place.station)}" if place.stretch is not None else place.run)
            + (f", {place.mark}" if place.mark else "")
            + (f", {case.length(place.bared)} of it bared" if place.slants(widths.get(place.run, math.inf)) else "")
            for place in places
        ]
        down = "at a depth that nobody knows" if utility.depth is None else f"{case.length(utility.depth.value)} down"
        whole = " from the surface to the bottom" if utility.depth is None else ""
        many = f" in {len(spots)} places" if len(spots) > 1 else ""
        at = f"{many} ({'; '.join(spots)})"
        yield caution(
            f"utilities.{name}",
            f"{listed(diggings)} {meet} the {name} ({utility.kind}){at}, {down}: dig {case.length(length)} by hand"
            f"{whole}{shut}.",
            figure=f"{case.length(length)} by hand",
            limit=f"{case.length(zone.value)} each side of the line's outside",
            advice="Expose the line by hand before any other tool comes near; support it while it hangs free."
            if name in bared
            else "Leave the line covered: it lies below the dig. Dig no deeper than the bed there.",
            basis=least_sure(utility.depth_basis, zone.basis),
        )


@rule("DIG-24", "Breaker near a live line", "one_call")
def breaker(case: Case) -> Iterator[Outcome]:
    """A breaker is a power tool: within the tolerance zone of a gas, electric or propane line rock is broken by hand."""
    zone, kinds = case.job.rules.tolerance_zone, {item.name: item.kind for item in case.job.utilities}
    for name in no_breaker(case.site, case.build.dig, case.build.plan):
        where = "In stable rock" if in_rock(case.job.ground) else "Where rock is met, as the price allows for it"
        yield caution(
            f"utilities.{name}",
            f"{where}, a breaker is at hand, and the digging enters the tolerance zone of the {name} ({kinds[name]}).",
            figure="rock within the tolerance zone",
            limit=f"no power tool within {case.length(zone.value)} of the line's outside",
            advice="Break it there by hand, with wedges and bar, the line exposed first. No breaker comes into the zone unless "
            "the line's owner agreed in writing or stands by; that is slower than the hours of the plan say.",
            basis=zone.basis,
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
            advice="Call the one-call centre; have private lines, which it does not mark, located by a private locator. "
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
                f"The place of the {utility.name} ({utility.kind}), which the work meets, is known only because "
                f"{'the owner says so' if utility.located_by == 'owner says' else 'it was drawn in'}.",
                figure="owner's word" if utility.located_by == "owner says" else "located by nobody",
                limit="located",
                advice="Have it located, or expose it by hand along its whole way through the work.",
                basis=Basis.ASSUMED,
            )


@rule("DIG-09", "Trailer load", "common_practice")
def trailer(case: Case) -> Iterator[Outcome]:
    """Wet soil fills the payload long before it fills the trailer."""
    dig, equipment = case.build.dig, case.job.equipment
    if dig.trailer_loads == 0:
        return
    figure, limit = case.mass(dig.load_mass), f"{case.mass(equipment.trailer_payload)} or less"
    if dig.load_mass > equipment.trailer_payload * (1 + 1e-6):
        yield fails(
            "equipment",
            f"A trailer filled to its sides with this soil weighs {figure}; it may carry "
            f"{case.mass(equipment.trailer_payload)}.",
            figure=figure,
            limit=limit,
            advice=f"Stop at the payload: {counted(dig.trailer_loads_by_mass, 'load')} instead of "
            f"{dig.trailer_loads_by_volume}.",
        )
    else:
        yield ok(
            "equipment", f"{counted(dig.trailer_loads, 'load')}, each within the payload.", figure=figure, limit=limit
        )


@rule("DIG-10", "Roots", "root_cutting")
def roots(case: Case) -> Iterator[Outcome]:
    """Digging through a tree's root zone can kill or fell it years later."""
    cuts: dict[str, list[RootCut]] = {}
    for cut in case.build.dig.roots:
        cuts.setdefault(cut.tree, []).append(cut)
    losses = {loss.tree: loss for loss in case.build.dig.tree_roots}
    for tree, items in cuts.items():
        near, loss = min(items, key=lambda item: item.distance), losses.get(tree)
        where, figure = f"trees.{tree}", f"{case.length(near.distance)} from the trunk"
        edge = near.distance if loss is None else loss.nearest
        share = 0.0 if loss is None else loss.share
        told = ""
        if loss is not None and loss.sides:
            number = ("one side", "two sides", "three sides", "all four sides")[len(loss.sides) - 1]
            told = (
                f" All digging cuts {percent(share)} of its root zone, on {number} of the trunk ({listed(loss.sides)})."
            )
        if edge < NEAR * near.trunk_diameter:
            yield fails(
                where,
                f"{near.item} passes {figure} of the {tree}, within three trunk diameters: the tree may fall.{told}",
                figure=figure,
                limit=f"{case.length(NEAR * near.trunk_diameter)} or more from the trunk to the dig's edge",
                advice="Move the run, bore or hand-tunnel under the roots, or have an arborist decide about the tree first.",
            )
        elif edge < WARY * near.trunk_diameter or share > SHARE:
            why = f"{percent(share)} of the root zone" if share > SHARE else figure
            yield caution(
                where,
                f"{near.item} passes {figure} of the {tree}, inside its root zone of {case.length(near.root_radius)}: "
                f"an arborist is asked first.{told}",
                figure=why,
                limit=f"{case.length(WARY * near.trunk_diameter)} or more from the trunk, {percent(SHARE)} or less of the zone",
                advice="Ask an arborist before digging; bore or hand-tunnel under the roots, or lead the run round them.",
            )
        else:
            yield caution(
                where,
                f"{near.item} passes {figure} of the {tree}, inside its root zone of {case.length(near.root_radius)}.{told}",
                figure=figure,
                limit=f"{case.length(near.root_radius)} or more from the trunk",
                advice=f"Dig by hand there; cut no root thicker than {case.small(2 * FOOT / 12)} without an arborist; saw "
                "clean, close the same day.",
            )
