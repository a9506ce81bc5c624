"""Answers about cost, quantities, days, hazards, warranty and upkeep."""

from __future__ import annotations

from functools import partial

from drainwright.build.paving_work import yards
from drainwright.build.shown import amount, said, unit_words
from drainwright.build.wording import barrow_words, money, money_band
from drainwright.findings.answers import Findings, Reply, marks, question, sentences
from drainwright.findings.places import counted, listed
from drainwright.findings.rules import Case
from drainwright.job.service import FULL
from drainwright.job.values import Basis
from drainwright.quantities import percent


@question(7, "What will it cost, why that much, and what would make it cost more or less?")
def cost(case: Case, found: Findings) -> Reply:
    """Price with its parts."""
    price = case.build.price
    say = partial(money, currency=price.currency, digits=0)
    biggest = sorted(price.lines, key=lambda line: -line.amount)[:3]
    parts = "; ".join(f"{line.description} {say(line.amount)}" for line in biggest)
    return Reply(
        text=f"Total {money(price.total, price.currency)}, from "
        f"{money_band(price.low, price.high, price.currency)} without contingency and with twice as much. Labour {say(price.labour)}, "
        f"materials {say(price.materials)}, haul, hire and permits {say(price.other)}; then overhead, contingency and profit. "
        f"The largest lines: {parts}. It costs more with rock, roots, unmarked lines, deeper footings or no machine access; "
        "less with less wall opened, a machine that fits the gate, or spoil kept on the lot.",
        rests_on=marks(
            [
                (f"the {price.book}", Basis.ASSUMED if price.invented else Basis.STATED),
                ("quantities", Basis.MEASURED),
            ]
        ),
        limit=f"deposit {money(price.deposit, price.currency)}: {price.deposit_rule}",
        do="Put the unit prices for rock, roots and unmarked lines in the contract.",
    )


@question(15, "How much stone, pipe, fabric and coating; how many barrow rounds, loads and trips?")
def quantities(case: Case, found: Findings) -> Reply:
    """The bulk lines of the takeoff."""
    bulk = [line for line in case.build.takeoff.lines if line.category in ("stone", "pipe", "fabric", "coating")]
    goods = "; ".join(f"{line.description}: {said(line.quantity, line.unit, case.job.units)}" for line in bulk)
    dig = case.build.dig
    spoil = "No spoil leaves the lot."
    if dig.trailer_loads > 0:
        spoil = (
            f"Spoil leaves in {counted(dig.trailer_loads, 'trailer load')} ({dig.trailer_loads_by_volume} by volume, "
            f"{dig.trailer_loads_by_mass} by weight)."
        )
    if dig.barrow_rounds > 0:
        spoil += f" By barrow: {barrow_words(dig, case.job.equipment)}."
    return Reply(
        text=sentences(f"{goods}." if goods else "", spoil, found.says("DIG-09") if found.bad("DIG-09") else ""),
        rests_on=marks([("lengths and depths", Basis.MEASURED), ("soil weight and swell", Basis.ASSUMED)]),
        limit=found.limits("DIG-09"),
        do=found.advice("DIG-09") or "Order by the list; waste is in it.",
    )


@question(19, "How long will it take, how many people, by hand or machine?")
def days(case: Case, found: Findings) -> Reply:
    """The crew plan."""
    plan = case.build.plan
    by_day = [
        f"Day {day}: " + "; ".join(task.title.replace(";", ",") for task in plan.tasks if task.day == day) + "."
        for day in sorted({task.day for task in plan.tasks})
    ]
    used = next((way for way in plan.ways if way.used), None)
    hand = "by hand" if used is None else used.name
    sure = ""
    if plan.doubt is not None:
        sure = (
            f"Half of all cases are done in {counted(plan.doubt.days_likely, 'working day')}, eight of ten in "
            f"{plan.doubt.days_bad}; days lost to weather counted, {plan.doubt.booked_likely} and {plan.doubt.booked_bad}."
        )
    others = [
        f"{way.name[0].upper()}{way.name[1:]}: {counted(way.days, 'day')}"
        + (
            f", but {'; '.join(way.obstacles)}."
            if way.obstacles
            else f", {'; '.join(way.unsure)}."
            if way.unsure
            else "."
        )
        for way in plan.ways
        if not way.used
    ]
    return Reply(
        text=sentences(
            f"{counted(plan.days, 'day')} for a crew of {plan.crew}, {plan.hours:.0f} person-hours, {hand}.",
            sure,
            "" if plan.rock is None else f"With the rock allowed for: {counted(plan.rock.days, 'day')}.",
            *others,
            *by_day,
        ),
        rests_on=marks(
            [
                ("production rates of the price book", Basis.ASSUMED),
                ("quantities", Basis.MEASURED),
                *([("days lost to weather", plan.doubt.weather_basis)] if plan.doubt is not None else []),
            ]
        ),
        do="Compare the hours after the job and enter the firm's own rates.",
        limit="usual: one day opens, cleans and hauls, the next coats, pipes and stones (common practice)",
    )


@question(20, "What buried thing could be hit, where is its shutoff, and who pays?")
def buried(case: Case, found: Findings) -> Reply:
    """Crossings, unlocated lines, hand digging."""
    ids = ("DIG-04", "DIG-23", "DIG-02", "DIG-05", "DIG-01", "DIG-03")
    met = " ".join(found.says(key) for key in ids if found.bad(key))
    if not met:
        met = "No entered line is met." if case.job.utilities else "No buried line is entered."
    barred = {name for trench in case.build.dig.trenches for name in trench.bars}
    unsaid = [item.name for item in case.job.utilities if item.name in barred and item.agreed is None]
    lacks = [f"What the owner of the {listed(unsaid)} agreed to in writing (utilities, agreed)."] if unsaid else []
    held = [trench.name for trench in case.build.dig.trenches if trench.held]
    if held:
        lacks.append(f"How people are kept safe in {listed(held)}, where no slope or shield fits (works.protection).")
    return Reply(
        text=sentences(met, "Who pays for a line that nobody marked is settled in the contract before digging."),
        rests_on=marks((item.name, item.depth_basis) for item in case.job.utilities) or "nothing is entered",
        limit=found.limits("DIG-02"),
        do=found.advice("DIG-04", "DIG-23", "DIG-05", "DIG-02", "DIG-03", "DIG-11")
        or "Keep the ticket number on site.",
        complete=not lacks,
        missing=" ".join(lacks),
    )


@question(23, "What does the warranty cover, and what not?")
def warranty(case: Case, found: Findings) -> Reply:
    """The firm's own words."""
    words = case.job.firm.warranty.strip()
    coated = [wall.name for wall in case.site.walls if wall.wall.open_and_coat]
    if not words:
        return Reply(
            text="Can't tell yet: the firm has entered no warranty text.",
            rests_on="the job document",
            do="Write where, which symptom, how long, the remedy, the conditions, and what is not covered.",
            complete=False,
            missing="The firm's own warranty text (firm.warranty).",
        )
    return Reply(
        text=f"{words}{' ' if words.endswith(('.', '!', '?')) else '. '}Walls treated: {listed(coated) or 'none'}.",
        rests_on="the firm's text in the job document",
        do="Read it to the customer before the contract is signed.",
    )


@question(24, "What happens to trees, plants, paving, and who restores them?")
def restore(case: Case, found: Findings) -> Reply:
    """Roots and surfaces."""
    trees = bool(case.job.trees)
    text = found.says("DIG-10", every=True) or "No tree's root zone is touched."
    seeded = next((line for line in case.build.takeoff.lines if line.key == "restore.ft2"), None)
    cut = case.build.dig.paved
    paved = f"laying again what is cut of the {yards(cut)}; " if cut else "paving and "
    missing = "Restoration of surfaces is not in the price."
    if seeded is not None:
        missing = f"The price has {seeded.description} over {amount(seeded.net, seeded.unit, case.job.units):,.0f} {unit_words(seeded.unit, case.job.units)}; {paved}plants are not in it."
    if not trees:
        text = "No tree is entered; whether there are any nobody noted."
        missing = f"Whether trees stand on the lot or near the digging (trees). {missing}"
    surfaces = listed([yard.surface for yard in case.job.yards]) or "not entered"
    return Reply(
        text=f"{text} Surfaces on the lot: {surfaces}. Plants that are to be saved are moved by the owner before the work, unless the "
        "contract says otherwise.",
        rests_on=marks(
            [
                ("tree places and trunks", Basis.MEASURED),
                ("root-zone rule", case.job.rules.root_zone_per_diameter.basis),
            ]
        )
        if trees
        else "the job document",
        limit=found.limits("DIG-10"),
        do=found.advice("DIG-10") or "Photograph the yard before and after.",
        complete=False,
        missing=missing,
    )


@question(25, "What must be maintained, when, by whom?")
def upkeep(case: Case, found: Findings) -> Reply:
    """What this system has that needs care."""
    parts = []
    if any(node.kind == "inlet" for node in case.system.nodes.values()):
        parts.append(
            "Owner, each month in the wet season and after big storms: sweep the grates; empty the catch basins' traps before "
            f"they are {percent(FULL)} full."
        )
    if case.system.station is not None:
        parts.append(
            "Owner, monthly: hose water in at a grate or cleanout until the pump starts, and try the alarm. Firm, yearly before the wet "
            "season: clean the basin, check float, check valve, relief hole and flow; a pump lasts some 7 to 10 years."
        )
    if any(run.duty == "footing drain" for run in case.system.runs):
        parts.append("Firm, every 3 to 5 years: flush the footing drain from its cleanouts and watch the outlet.")
    if any(basin.battery is not None for basin in case.job.works.basins):
        parts.append("Firm, yearly: test the battery under load, and replace it every 3 to 5 years.")
    parts.append("Owner, after each big storm: look at the outlet.")
    parts.append("Owner, twice a year: gutters.")
    return Reply(
        text=" ".join(parts),
        rests_on="common practice",
        do="Sign up for the yearly visit; write each reading down.",
        limit="common practice, no source",
    )
