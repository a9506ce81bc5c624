"""Checks of what lies round a dig: loads, water, what hangs over it, what it must spare, room for its spoil."""

from __future__ import annotations

import math
from collections.abc import Iterator

from drainwright.build.earth import dug
from drainwright.build.paving_work import thick_words
from drainwright.build.pumping import days_pumped
from drainwright.build.reach import reached
from drainwright.build.room import APPROACH
from drainwright.build.sheeting import CLEAR
from drainwright.build.spoil import heap_beside
from drainwright.build.wording import beside_rule
from drainwright.field.places import plan_of
from drainwright.field.words import least_sure
from drainwright.findings.dig import agreement
from drainwright.findings.places import counted, listed
from drainwright.findings.rules import Case, Outcome, caution, fails, ok, rule
from drainwright.findings.trenches import TO_HEAP, no_room, trench_name, trench_place
from drainwright.job.values import Basis
from drainwright.quantities import write

NO_SHIELD = "No slope, shield or brace is set on it or against it, and no shields are planned there."
FOULED = {
    "fuel smell": "a smell of fuel", "septic effluent": "septic effluent in it",
    "other smell or colour": "a smell or colour that is not soil's",
}  # fmt: skip
DEADLY = ("septic field", "septic tank", "pool", "well", "footing")  # what digging breaks at once


@rule("DIG-16", "Loads beside the trench", "osha_652")
def loads(case: Case) -> Iterator[Outcome]:
    """Cars, machines and heaps nearer to a trench than it is deep press on its side."""
    for trench in case.build.dig.trenches:
        if trench.loads:
            yield caution(
                trench_place(case, trench),
                f"{trench_name(trench)} is {case.length(trench.depth_greatest)} deep, and nearer to its edge than that "
                f"lies {listed(trench.loads)}.",
                figure=listed(trench.loads),
                limit=f"loads {case.length(trench.depth_greatest)} or more from the edge",
                advice="Block it to cars, trucks and machines while the trench is open, or have a competent person choose "
                "the shoring for that load.",
                basis=Basis.ASSUMED,
            )
        for name, kind in trench.stands:
            yield caution(
                trench_place(case, trench),
                f"{trench_name(trench)} is {case.length(trench.depth_greatest)} deep, and this stands nearer to its edge "
                f"than that: the {name} ({kind}).",
                figure=f"the {name} ({kind})",
                limit=f"{case.length(trench.depth_greatest)} or more from the edge, or held up",
                advice=beside_rule(kind)
                + (" It is charged by the foot, at its unit price (extra.fence)." if kind == "fence" else ""),
                basis=Basis.ASSUMED,
            )
        if trench.machines:
            yield caution(
                trench_place(case, trench),
                f"{trench_name(trench)} is {case.length(trench.depth_greatest)} deep, and on its edge bears the weight of "
                f"{listed(trench.machines)}.",
                figure=listed(trench.machines),
                limit=f"loads {case.length(trench.depth_greatest)} or more from the edge",
                advice="While anyone is in it, machines stand still and as far from the edge as it is deep. Where they cannot, a "
                "competent person flattens the slope or chooses the shoring for their weight (29 CFR 1926 Subpart P, "
                "Appendix B).",
                basis=Basis.ASSUMED,
            )


@rule("DIG-17", "Water in the trench", "osha_651")
def water(case: Case) -> Iterator[Outcome]:
    """Ground water above a trench's bottom softens its sides: nobody works in standing water, soil counts as type C."""
    table = case.job.ground.water_table
    days = days_pumped(case.build.plan)
    planned = (
        f"{counted(days, 'day')} of pumping {'is' if days == 1 else 'are'} in the plan and the price, more"
        if days
        else "Pumping is not in the price but"
    )
    for trench in case.build.dig.trenches:
        if trench.water > 0.0 and table is not None:
            deep, where = case.small(trench.water), _small(trench_name(trench))
            text, figure = f"Ground water stands {deep} above the bottom of {where}.", f"{deep} of water"
            if trench.water_slopes:
                figure = f"up to {figure}"
                text = (
                    f"Ground water stands up to {deep} above the bottom of {where}: the one level that is known of the lot lies "
                    "above the ground there. The water falls with the slope, and nobody measured how far."
                )
            yield caution(
                trench_place(case, trench),
                text,
                figure=figure,
                limit="no water where people stand",
                advice="Have a pump with its power protected on site before the day, pump from a stone-filled pit in the "
                "trench and clear of the house's water. Ask first where that water may lawfully go, through a filter bag. "
                f"{planned} by the day, as the price of surprises has it. Count the soil as type C, and use no house-foundation letters.",
                basis=table.basis,
            )


@rule("DIG-23", "Live line along inside a dig", "osha_651")
def along(case: Case) -> Iterator[Outcome]:
    """A live gas, electric or propane line that lies along inside a dig is bared for a stretch, and holds itself no more."""
    lines = {item.name: item for item in case.job.utilities if item.dangerous}
    for name, line in lines.items():
        here = [(trench, length) for trench in case.build.dig.trenches for what, length in trench.along if what == name]
        if here:
            longest = case.length(max(length for _, length in here))
            text = (
                f"The {name} ({line.kind}) lies along inside {listed([_small(trench_name(trench)) for trench, _ in here])}: "
                f"{longest} of it is bared while that is open."
            )
            by_hand = "Dig there by hand only, a short length at a time."
            held = [_small(trench_name(trench)) for trench, _ in here if trench.held]
            if held:
                by_hand = f"{by_hand} Nobody enters {listed(held)}: no protection is planned there (works.protection)."
            if line.agreed is None:
                advice = (
                    "Before anyone digs there, have the line's owner move it, make it dead (live: false), or agree in writing "
                    f"how it is held and who watches, and enter that with the line (agreed). {NO_SHIELD} {by_hand}"
                )
            else:
                text = f"{text} {agreement(line)}"
                advice = f"Keep to what was agreed, and have the writing on site. {NO_SHIELD} {by_hand}"
            yield (fails if line.agreed is None else caution)(
                f"utilities.{name}",
                text,
                figure=f"{longest} along inside",
                limit="moved, made dead, or held as its owner says in writing",
                advice=advice,
                basis=line.depth_basis,
            )


@rule("DIG-30", "Live line along beside a dig", "osha_651")
def close(case: Case) -> Iterator[Outcome]:
    """Nearer to a dig than its mark may be wrong, a live line may lie in its side or inside it: it is seen first.

    29 CFR 1926.651(b)(3) and (4): its place is found by safe means, and while the dig is open it is protected.
    """
    zone = case.job.rules.tolerance_zone
    for line in case.job.utilities:
        here = [
            (trench, gap, length)
            for trench in case.build.dig.trenches
            for what, gap, length in trench.close
            if what == line.name
        ]
        if not here:
            continue
        gap, longest = min(gap for _, gap, _ in here), max(length for _, _, length in here)
        seen = line.located_by == "exposed by hand" or line.agreed is not None
        deep = any(trench.protection not in ("none", "competent person decides") for trench, _, _ in here)
        digs = listed([_small(trench_name(trench)) for trench, _, _ in here])
        text = (
            f"The {line.name} ({line.kind}), live, runs along {case.small(gap)} beside {digs}, for up to "
            f"{case.length(longest)} and higher than the bottom: "
        )
        text += (
            f"the ground between may fall in and leave it bare.{f' {agreement(line)}' if line.agreed else ''}"
            if seen
            else f"where it is marked may be {case.length(zone.value)} wrong, so that it may lie in that side or inside."
        )
        first = "" if seen else (
            "Before the offer is signed have it laid bare by hand, from above, at both ends of that stretch and between, and "
            "enter where it was seen (route, located_by: exposed by hand), or what its owner agreed to in writing (agreed). "
        )  # fmt: skip
        yield (fails if deep and not seen else caution)(
            f"utilities.{line.name}",
            text,
            figure=f"{case.small(gap)} beside it",
            limit=f"{case.length(zone.value)} or more, or laid bare and seen",
            advice=f"{first}Shore that side tight before anyone goes in; no side is sloped towards it. No panel, post or bar is "
            "driven between. Stop where it shows, or where soil comes away from it.",
            basis=least_sure(zone.basis, line.depth_basis),
        )


@rule("DIG-25", "Buried lines in the way of shields", "common_practice")
def at_shields(case: Case) -> Iterator[Outcome]:
    """No set is lowered over a line, and none guards its end towards a dig that has no shields."""
    lines = {item.name: item for item in case.job.utilities}
    for item in case.build.shields.places if case.build.shields else ():
        for met in item.lines:
            line = lines[met.line]
            if met.across:
                text = f"The {line.name} ({line.kind}) lies across the shields of {item.where}."
                figure, limit = "across them", "no set over a line"
                advice = (
                    f"Expose it by hand from above before any set is there. No set stands within {case.length(CLEAR)} of it: "
                    f"{case.length(item.sheeted)} of {item.where} is sheeted by hand, {counted(item.bays, 'bay')} of sheets, walings and "
                    "struts in hire, hours and price, set from above as the competent person reads the maker's data or 29 CFR "
                    "1926 Subpart P, appendices C and D. Nothing hangs from a set or leans on the line."
                )
            else:
                figure = f"{case.small(met.gap)} from the end"
                limit = f"a closed end within {case.length(case.job.rules.tolerance_zone.value)} of the line"
                text = (
                    f"The shields of {item.where} end {case.small(met.gap)} from the {line.name} ({line.kind}), live, and "
                    "open there into a dig without shields."
                )
                advice = (
                    "Close that end with sheeting before anyone goes in, and keep people an arm's length from it. The set goes "
                    "down by hand signals, beside the line laid bare, and touches neither it nor what holds it."
                )
            yield caution(
                f"utilities.{line.name}", text, figure=figure, limit=limit, advice=advice, basis=line.depth_basis
            )


def _small(text: str) -> str:
    return text[:1].lower() + text[1:]


@rule("DIG-18", "What hangs over the work", "common_practice")
def overhead(case: Case) -> Iterator[Outcome]:
    """Under a deck its posts stand in the dig, and nobody gets out upright; a power line kills whoever reaches it."""
    for trench in case.build.dig.trenches:
        if trench.under:
            near = case.job.equipment.excavator and reached(case.job.property.access, trench.name)
            yield (fails if near else caution)(
                trench_place(case, trench),
                f"{trench_name(trench)} lies under the {listed(trench.under)}, or within {case.length(APPROACH)} of it.",
                figure=f"under the {listed(trench.under)}",
                limit=f"{case.length(APPROACH)} or more from the line to machine, load, pipe and rod",
                advice="Have the line's owner make it dead, cover it or say how near is allowed, before the day. No machine "
                "without a person who watches the line alone; carry pipes and rods level.",
                basis=Basis.STATED,
            )
    if not case.job.house.deck_overhead:
        return
    for trench in case.build.dig.trenches:
        if trench.kind == "wall":
            yield caution(
                trench_place(case, trench),
                f"A deck stands over the work at the house: {_small(trench_name(trench))} may run beneath it.",
                figure="a deck overhead",
                limit="open sky, or posts held by other means",
                advice="Look where its posts and their footings stand, hold or move them before the digging, and keep a way "
                "out at both ends.",
                basis=Basis.STATED,
            )


@rule("DIG-26", "Fouled soil or water", "common_practice")
def fouled(case: Case) -> Iterator[Outcome]:
    """Where soil smells of fuel or sewage nobody digs before it is tested; fumes burn and poison, disposal is ruled."""
    found = case.job.ground.fouled
    if found is None or not case.build.dig.trenches:
        return
    at = f" ({found.where})" if found.where.strip() else ""
    figure, limit = found.kind, "clean, or tested and agreed on"
    if found.cleared.strip():
        yield caution(
            "ground.fouled",
            f"The soil was found with {FOULED[found.kind]}{at}; settled: {found.cleared}.",
            figure=figure,
            limit=limit,
            advice="Dig as it was settled; test the air first, no flame, gloves; keep its soil and water apart, and stop "
            "where it turns up elsewhere. Disposal is not in the price: its prices by yard and load are assumed.",
            basis=Basis.STATED,
        )
    else:
        yield fails(
            "ground.fouled",
            f"The soil was found with {FOULED[found.kind]}{at}, and nobody has tested it.",
            figure=figure,
            limit=limit,
            advice="Stop: nobody digs there. Have soil and air tested, tell the owner, ask the health department or the fire "
            "marshal, and write in 'cleared' what was settled. Disposal is not in the price: its prices by yard and load are assumed.",
            basis=Basis.STATED,
        )


@rule("DIG-27", "Somebody stands by at a live line", "common_practice")
def stands_by(case: Case) -> Iterator[Outcome]:
    """Who digs beside a live gas, electric or propane line looks at the blade: another must look at the line."""
    hours = sum(task.watch for task in case.build.plan.tasks)
    if hours <= 0.0:
        return
    people = case.job.crew.size
    told = f"{hours:.2g} h of standing by are in the plan and in the price"
    if people > 1:
        yield ok(
            "crew.size",
            f"Somebody can stand by at the live lines: {told}.",
            figure=f"{people} people",
            limit="two or more",
        )
        return
    yield fails(
        "crew.size",
        f"One person alone would dig beside a live line, and nobody could stand by: {told}, and nobody is there to do them.",
        figure="1 person",
        limit="two or more while it is dug there",
        advice="Bring a second person for that digging, who does nothing else meanwhile; nobody digs there alone.",
        basis=Basis.STATED,
    )


@rule("DIG-19", "Digging through what must be spared", "common_practice")
def spared(case: Case) -> Iterator[Outcome]:
    """A trench through a septic field, a tank, a pool, a well, a footing or a fence breaks it; in a bank it may be forbidden."""
    trenches = {trench.name: trench for trench in case.build.dig.trenches}
    for dig, name, kind in case.build.dig.spared:
        if dig not in trenches:
            continue
        severity = fails if kind in DEADLY else caution
        yield severity(
            trench_place(case, trenches[dig]),
            f"{trench_name(trenches[dig])} goes through the {name} ({kind}).",
            figure=f"through the {name}",
            limit=f"clear of the {kind}",
            advice="Lead it round, or have its owner's leave in writing to take panels and posts out over the dig, and to set "
            "them again when it is filled and tamped: charged by the foot, at its unit price, or put into the price as an "
            "allowance (offer.allowances: fence)."
            if kind == "fence"
            else "Lead it round; below a footing or a retaining wall nobody digs without an engineer's design."
            if kind in ("footing", "retaining wall")
            else "Lead it round; ask the health department, or whoever has charge of it, how near is allowed.",
        )


@rule("DIG-28", "Paving in the way of a dig", "common_practice")
def paving(case: Case) -> Iterator[Outcome]:
    """A trench through a drive or a walk is sawn, broken out, hauled and closed again before and after it is dug."""
    trenches = {trench.name: trench for trench in case.build.dig.trenches}
    units = case.job.units
    for item in case.build.dig.paved:
        if item.dig not in trenches:
            continue
        taken, thick = write(item.taken, "area", units), thick_words(item, units)
        work = (
            f"{taken} to be lifted and set again"
            if item.lifted
            else f"{taken} to be broken out and laid anew, {case.length(item.edge)} to be sawn"
        )
        assumed = item.basis is Basis.ASSUMED
        yield caution(
            trench_place(case, trenches[item.dig]),
            f"{trench_name(trenches[item.dig])} goes through the {item.yard} ({item.surface}, {thick}) for "
            f"{case.length(item.length)}: {work}.",
            figure=f"{case.length(item.length)} of {item.surface}",
            limit="no paving over a dig, or its work agreed",
            advice="Its work is in the price, the order and the days"
            + (
                ", by a thickness that nobody measured: measure it (yards: thickness), at an edge or a joint"
                if assumed
                else ""
            )
            + ("; the asphalt itself by an allowance" if item.surface == "asphalt" else "")
            + ". Tell the owner that new paving shows; mark lines before the blade goes in"
            + ("." if item.lifted else "; saw wet or with a vacuum, in a mask that fits: the dust is silica."),
            basis=item.basis,
        )


@rule("DIG-29", "Heap over roots", "common_practice")
def heap(case: Case) -> Iterator[Outcome]:
    """Spoil heaped for days over a tree's roots presses and smothers them."""
    pile = case.job.property.access.stockpile
    if pile is None or not case.site.trees:
        return
    where, at = "property.access.stockpile", plan_of(pile, case.site.points, "property.access.stockpile")
    for tree in case.site.trees:
        away, zone = math.dist(at, tree.at), tree.root_radius
        if not tree.tree.keep or away >= zone:
            continue
        yield caution(
            where,
            f"The stockpile lies {case.length(away)} from the trunk of {tree.tree.name}, over its roots: a heap presses and "
            "smothers them, and barrows on the way do too.",
            figure=f"{case.length(away)} from the trunk",
            limit=f"{case.length(zone)}, the root zone",
            advice="Heap it elsewhere; where there is no other place, on thick mulch under boards, for as few days as can be.",
            basis=Basis.STATED,
        )


@rule("DIG-20", "Room for spoil along a run", "osha_651")
def spoil_room(case: Case) -> Iterator[Outcome]:
    """Spoil lies 2 ft from a run's edge, and its heap must have room between house and boundary."""
    swell = dug(case.job.ground).swell
    for trench in case.build.dig.trenches:
        if trench.kind != "run" or trench.spoil_room is None:
            continue
        heap = heap_beside(trench, swell)
        where, figure = trench_place(case, trench), f"{case.length(trench.spoil_room)} beside it"
        limit = f"{case.length(trench.spoil_setback)} clear, then {case.length(heap)} for the heap"
        if trench.spoil_room < trench.spoil_setback + heap:
            yield caution(
                where,
                f"Beside the trench of {trench.name} there is no room to heap its spoil, on either side"
                f"{no_room(case, trench)}",
                figure=figure,
                limit=limit,
                advice=f"{TO_HEAP}.",
            )
        else:
            yield ok(where, f"Spoil has room beside {trench.name}.", figure=figure, limit=limit)


__all__ = ["fouled", "loads", "overhead", "spared", "spoil_room", "stands_by", "water"]
