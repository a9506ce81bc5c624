"""Checks of the trenches themselves: protection, spoil, the way out, room to work."""

from __future__ import annotations

from collections.abc import Iterator

from drainwright.build.model import Trench
from drainwright.build.protection import DOUBT, SLOPES, UNSURE
from drainwright.build.spoil import WALL_HEAP
from drainwright.build.wording import entry_rule
from drainwright.field.words import least_sure
from drainwright.findings.places import listed
from drainwright.findings.rules import Case, Outcome, caution, fails, ok, rule
from drainwright.findings.stations import station_place
from drainwright.job.values import Basis
from drainwright.quantities import percent

FOOT = 0.3048
#: Larger figures are rare on a house lot; common practice, no source.
LONG, DEEP, LOADS = 500 * FOOT, 10 * FOOT, 40


def trench_place(case: Case, trench: Trench) -> str:
    """Where a dig stands in the job."""
    if trench.kind == "basin":
        return station_place(case, trench.name)
    if trench.kind == "inlet":
        box = any(end.name == trench.name for end in case.system.ends)
        return f"works.{'discharge' if box else 'inlets'}.{trench.name}"
    if trench.kind == "soakaway":
        named = (soak.name for soak in case.system.soaks if f"{trench.name} ".startswith(f"{soak.name} "))
        return f"works.discharge.{next(named, trench.name)}"
    return f"house.walls.{trench.name}" if trench.kind == "wall" else f"works.runs.{trench.name}"


def trench_name(trench: Trench) -> str:
    """A dig at the head of a sentence."""
    if trench.kind == "basin":
        return f"The hole for {trench.name}"
    if trench.kind == "inlet":
        return f"The pit for {trench.name}"
    if trench.kind == "soakaway":
        return f"The soakaway {trench.name}"
    return f"The trench along the {trench.name} wall" if trench.kind == "wall" else f"The trench of {trench.name}"


LOOSE = (
    "Reckon with sides sloped back, a shield, or work from the edge with nobody in it: none of these is in the price. "
)


@rule("DIG-06", "Trench protection", "osha_652")
def protection(case: Case) -> Iterator[Outcome]:
    """From 5 ft of depth a trench is sloped, shored or shielded, unless the house-foundation letters hold."""
    kind = case.job.ground.osha_type
    unprotected = f"{case.length(5 * FOOT)} without protection"
    for trench in case.build.dig.trenches:
        where, deep = trench_place(case, trench), f"{trench_name(trench)} is {case.length(trench.depth_greatest)} deep"
        if trench.protection == "slope or shield" and trench.depth_greatest + DOUBT < 5 * FOOT:
            deep += ", and makes one hole with a deeper dig"
        figure = f"{case.length(trench.depth_greatest)} deep, soil type {kind.value}"
        if trench.slope_run > SLOPES[kind.value]:
            figure += ", as type C for water"
        basis = least_sure(kind.basis, trench.basis)
        if trench.basis in UNSURE:
            figure += f"; the depth is {trench.basis.value}, taken {case.small(DOUBT)} more"
        if trench.protection == "engineer":
            yield fails(
                where,
                f"{deep}.",
                figure=figure,
                limit=f"{case.length(20 * FOOT)} without an engineer's design",
                advice="Protection this deep is designed by a registered professional engineer.",
                basis=basis,
            )
        elif trench.protection == "slope or shield" and trench.bars:
            held = trench.held
            yield (fails if held else caution)(
                where,
                f"{deep}{': nobody enters it' if held else ''}. The {listed(trench.bars)} lies along inside, live: neither "
                f"slopes nor shields fit there{', and no other protection is planned' if held else ''}.",
                figure=figure,
                limit=unprotected,
                advice="Have the line's owner move it or make it dead before the digging (live: false), or enter the shoring "
                "that is designed round it, and who answers for it (works.protection). What was agreed on holding the line "
                "keeps no side from falling in."
                if held
                else f"{entry_rule(trench)} A competent person looks before anyone enters, daily, and after rain.",
                basis=basis if held else least_sure(basis, Basis.STATED),
            )
        elif trench.protection == "slope or shield" and not trench.slope_fits:
            yield caution(
                where,
                f"{deep}: nobody enters it unless it is shored or shielded. Sloping it back {trench.slope_run:g} to 1 "
                f"does not fit: it would reach {listed(trench.slope_meets)}.",
                figure=figure,
                limit=unprotected,
                advice="Have a shield or shoring on site before the day, and let a competent person inspect it daily and "
                "after rain.",
                basis=basis,
            )
        elif trench.protection == "slope or shield":
            yield caution(
                where,
                f"{deep}: nobody enters it unless it is sloped {trench.slope_run:g} to 1, benched, shored or shielded.",
                figure=figure,
                limit=unprotected,
                advice="Choose the protection before the day, have it on site, and let a competent person inspect it daily "
                "and after rain.",
                basis=basis,
            )
        elif trench.protection == "house-foundation letters":
            yield caution(
                where,
                f"{deep} beside the foundation: open without shoring only under all conditions of OSHA's letters of 1995.",
                figure=figure,
                limit=f"under {case.length(7.5 * FOOT)}, bottom {case.length(2 * FOOT)} wide or more, spoil as far away as the "
                "depth",
                advice="No standing water, no cracks, no machine near, the fewest people for the shortest time, a competent "
                "person present. Check that the letters still stand and hold in this state.",
                basis=least_sure(basis, case.job.rules.house_foundation_letters.basis),
            )
        elif trench.protection == "competent person decides":
            loose = trench.slope_run >= SLOPES["C"]
            why = (
                "in sand, soft or wet ground upright sides so deep are themselves a sign of a cave-in"
                if loose
                else "shallow trenches kill too, in wet or made ground"
            )
            yield caution(
                where,
                f"{deep}: {why}.",
                figure=figure,
                limit=unprotected,
                advice=(LOOSE if loose else "")
                + "A competent person looks at it before anyone enters, daily, and after rain. No protection is asked "
                "only where no sign of a cave-in is seen (29 CFR 1926.652(a)(1)(ii)).",
                basis=basis,
            )
        elif trench.depth_greatest >= 5 * FOOT - 1e-9:
            yield ok(where, f"{deep}, in stable rock.", figure=figure, limit=unprotected, basis=basis)
        else:
            text = (
                f"{trench_name(trench)} is shallow: below {case.length(5 * FOOT)} of depth no protection is asked where a "
                "competent person sees no sign of a cave-in (29 CFR 1926.652(a)(1)(ii))."
            )
            if trench.over:
                text += (
                    f" Where it crosses the dig along the {listed(trench.over)} wall it is laid when that is filled, or from "
                    "outside: nobody stands in that dig but guarded as it asks."
                )
            yield ok(where, text, figure=figure, limit=unprotected, basis=basis)


@rule("DIG-13", "Figures out of the ordinary", "common_practice")
def outliers(case: Case) -> Iterator[Outcome]:
    """A figure that a house lot seldom has is more often a slip of the pen: it is read again before it is priced."""
    build, found = case.build, []
    limits = (
        f"runs to {case.length(LONG)}, digging to {case.length(DEEP)}, {LOADS} loads, no line over half of the cost"
    )
    found += [
        (f"works.runs.{run.name}", f"{run.name} is", f"{case.length(run.length)} long")
        for run in case.system.runs
        if run.length > LONG
    ]
    found += [
        (trench_place(case, item), f"{trench_name(item)} is", f"{case.length(item.depth_greatest)} deep")
        for item in build.dig.trenches
        if item.depth_greatest > DEEP
    ]
    if build.dig.trailer_loads > LOADS:
        found.append(("equipment", "The spoil to haul comes to", f"{build.dig.trailer_loads} trailer loads"))
    for line in build.price.lines:
        if line.category != "labour" and line.amount > build.price.direct_cost / 2:
            share = f"{percent(line.amount / build.price.direct_cost)} of the cost before overhead"
            found.append(("price_book", f"One line alone, {line.description}, makes", share))
    for where, thing, figure in found:
        yield caution(
            where,
            f"{thing} {figure}; few house lots have that. See that the figure is right.",
            figure=figure,
            limit=limits,
            advice="Look again at the entry, its unit and its decimal point, before anything is priced or ordered by it.",
        )
    if not found:
        yield ok("works.runs", "No length, depth or amount is out of the ordinary.", figure="none", limit=limits)


TO_HEAP = "Have barrows, boards and the place for the heap ready before the first spade, or haul it away at once"


def no_room(case: Case, trench: Trench) -> str:
    """How much of a trench has no room for its spoil, where that lies, and that the plan counts the way."""
    part = "" if trench.no_room > 1 - 1e-9 else f" over {percent(trench.no_room)} of its length"
    where = "to the stockpile" if case.job.property.access.stockpile is not None else "as far as the barrows go"
    return f"{part}: it is wheeled {case.length(trench.heap_way)}, {where}, as it is dug, and back; hours and price have it."


@rule("DIG-07", "Spoil set-back", "osha_1995_06")
def spoil(case: Case) -> Iterator[Outcome]:
    """Spoil lies 2 ft from the edge; beside a foundation, by the letters, as far as the trench is deep.

    The room is looked for straight out from the wall, all along it.
    """
    walls = {wall.name: wall for wall in case.site.walls}
    for trench in case.build.dig.trenches:
        if trench.kind != "wall":
            continue
        wall, setback = walls[trench.name], trench.spoil_setback
        where, limit = (
            trench_place(case, trench),
            f"{case.length(setback)} clear, then {case.length(WALL_HEAP)} for the heap",
        )
        if trench.spoil_room is None:
            yield caution(
                where,
                f"The room for spoil beside the {wall.name} wall is not known: no boundary is entered there.",
                figure="not measured",
                limit=limit,
                advice="Measure from the wall to the fence or boundary, and enter the boundary.",
                basis=Basis.ASSUMED,
            )
            continue
        room, letters = trench.spoil_room, setback > 2 * FOOT + 1e-6
        figure = f"{case.length(room)} from the trench to the boundary"
        if room < setback + WALL_HEAP:
            severity = fails if letters else caution
            yield severity(
                where,
                f"Between the {wall.name} wall's trench and the boundary there is no room to heap spoil {case.length(setback)} "
                f"away{no_room(case, trench)}",
                figure=figure,
                limit=limit,
                advice=f"{TO_HEAP}, or slope or shield the trench and keep the {case.length(2 * FOOT)} rule."
                if letters
                else f"{TO_HEAP}.",
            )
        elif letters:
            yield caution(
                where,
                f"Keep spoil, stone and barrows {case.length(setback)} from the {wall.name} wall's trench "
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
            deep = case.length(trench.depth_greatest)
            yield caution(
                trench_place(case, trench),
                f"{trench_name(trench)} is {deep} deep: a ladder stands within {case.length(25 * FOOT)} of everyone in it, "
                f"{case.length(3 * FOOT)} above the edge.",
                figure=f"{deep} deep",
                limit=f"{case.length(4 * FOOT)} without a ladder",
                advice="Put the ladder in before the trench reaches that depth.",
            )


@rule("DIG-12", "Width of a wall trench", "osha_1995_06")
def wall_width(case: Case) -> Iterator[Outcome]:
    """A trench that people work in beside a wall is 2 ft wide at its bottom, clear of the footing."""
    walls = {wall.name: wall for wall in case.site.walls}
    for trench in case.build.dig.trenches:
        if trench.kind != "wall":
            continue
        footing = walls[trench.name].wall.footing_projection
        clear = trench.width - trench.panels - footing.value
        figure, limit = f"{case.length(clear)} clear of the footing", f"{case.length(2 * FOOT)} or more"
        if clear >= 2 * FOOT - 1e-6:
            text = f"{trench_name(trench)} has room to work."
            yield ok(trench_place(case, trench), text, figure=figure, limit=limit, basis=footing.basis)
        else:
            yield fails(
                trench_place(case, trench),
                f"{trench_name(trench)} is too narrow to clean and coat a wall in, and outside the letters' conditions.",
                figure=figure,
                limit=limit,
                advice=f"Dig it {case.length(2 * FOOT)} wide at the bottom, clear of the footing.",
                basis=footing.basis,
            )


__all__ = ["TO_HEAP", "no_room", "trench_name", "trench_place"]
