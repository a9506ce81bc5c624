"""Customer's answers about pump, basin, price, days, buried lines, warranty and care."""

from __future__ import annotations

from math import isinf

from drainwright.build.paving_work import yards
from drainwright.build.shown import said as amount_words
from drainwright.build.visits import new_circuits, standing_circuits
from drainwright.build.wording import barrow_words, money
from drainwright.findings.model import Severity
from drainwright.findings.places import counted, listed
from drainwright.findings.pump_words import dry_filling, offered_words
from drainwright.paper.documents.against_causes import opened_walls, run_words, runs_of
from drainwright.paper.documents.day_words import weather_words, work_words
from drainwright.paper.documents.priced import seen
from drainwright.paper.documents.told import CANNOT, Plain, View, customer, said
from drainwright.paper.documents.upkeep import upkeep
from drainwright.paper.wording import FLOATS
from drainwright.system.model import LiftStation
from drainwright.system.trade import pump_words

LEAST_ROOTS = 0.005  # a smaller share of a root zone is written as none [-]


def _no_pump(view: View) -> Plain:
    return Plain(
        text=f"Nothing here needs a pump: the water leaves at {listed(view.design.system.ways_out)} by its own weight.",
        do="Nothing.",
    )


@customer(3)
def cycling(view: View) -> Plain:
    """How often it runs when all is well, so that the customer hears what is wrong."""
    station, case = view.design.system.station, view.case
    if station is None:
        return _no_pump(view)
    if not station.reaches:
        return Plain(
            text="As it is chosen, the pump lifts nothing here: it would never stop.", do="We take another pump first."
        )
    parts = [f"At its worst it starts {counted(round(station.starts * 3600), 'time')} an hour."]
    season = None if station.study is None else station.study.season
    if station.inflow_ground <= 0:
        parts.append("In dry weather it stands still.")
    else:
        parts.append(f"Between rains the ground brings it about {case.flow(station.inflow_ground)}.")
        if season is not None:
            parts.append(f"At the height of the wet season it may run {case.hours(season.run_time)} of a day.")
    if station.inflow >= station.operating_flow:
        parts.append("In the design rain it runs without stopping.")
    parts.append(view.found.says("LFT-04", "LFT-07", "LFT-14") if view.found.bad("LFT-04", "LFT-07", "LFT-14") else "")
    return Plain(
        text=said(*parts),
        do="Call us if it starts much more often, hums without lifting, or runs in a drought: read the water meter "
        "with every "
        "tap shut first.",
    )


@customer(7)
def cost(view: View) -> Plain:
    """The price and its largest parts of work."""
    price = view.design.build.price
    biggest = sorted(price.lines, key=lambda line: -line.amount)[:3]
    parts = "; ".join(f"{line.description[0].lower()}{line.description[1:]}" for line in biggest)
    invented = " Invented prices: not an offer." if price.invented else ""
    job = view.design.job
    by_hand = job.property.access.machine and not job.equipment.excavator
    machine = "a machine digs, for this price is for digging by hand" if by_hand else "a machine fits the gate"
    return Plain(
        text=f"{money(price.total, price.currency)}, tax included.{invented} The largest parts of it: "
        f"{parts}. It costs more with rock, roots, lines that nobody marked "
        "and footings deeper "
        f"than measured; less where fewer walls are opened, {machine}, or the earth may stay on the lot.",
        do="Read the prices of surprises in the proposal before you sign.",
    )


@customer(8)
def big_enough(view: View) -> Plain:
    """What comes against what it lifts, new and worn."""
    station, case = view.design.system.station, view.case
    if station is None:
        return _no_pump(view)
    parts = []
    for one in view.design.system.by_house:
        run = view.design.system.run(one.discharge_run)
        word = "Yes" if one.reaches and not view.found.bad("LFT-01", "LFT-02") else "Not as it is chosen"
        named = f" {one.name}:" if len(view.design.system.stations) > 1 else ""
        parts.append(
            f"{word}.{named} It lifts {case.flow(one.operating_flow)} at this house's height and through "
            f"{view.say.whole(run.length)} of pipe; {case.flow(one.inflow)} come in the design rain."
        )
        if one.study is not None and one.reaches:
            parts.append(f"Worn, it still lifts {case.flow(one.study.worn_flow)}.")
    parts.append(view.found.says("LFT-01", "LFT-02", "LFT-06") if view.found.bad("LFT-01", "LFT-02", "LFT-06") else "")
    duties = [
        f"{case.flow(one.operating_flow)} at {view.say.head(one.operating_head)}"
        + (f" for {one.name}" if len(view.design.system.by_house) > 1 else "")
        for one in view.design.system.by_house
    ]
    return Plain(
        text=said(*parts),
        do=f"When it is replaced one day, ask for this duty: {listed(duties)}. A label's horsepower says little.",
    )


@customer(11)
def power_cut(view: View) -> Plain:
    """How long until water, and what a battery would do."""
    station, case = view.design.system.station, view.case
    if station is None:
        return Plain(
            text=f"Nothing: the water leaves at {listed(view.design.system.ways_out)} without power.", do="Nothing."
        )
    result = view.design.storm.case("power out")
    cut = case.hours(view.design.job.criteria.power_cut)
    parts = []
    if result is None:
        parts.append(f"{CANNOT}: no storm with the power out was tried.")
    else:
        parts.append(f"Power out for {cut} at the worst time of the design storm: {case.outcome(result)}.")
        if result.alarm_to_slab is not None:
            parts.append(
                f"From the alarm you have {case.hours(result.alarm_to_slab)}, if the alarm has power of its own."
            )
    if station.inflow_ground > 0:
        parts.append(dry_filling(case, station))
    unit = None if station.study is None else station.study.unit
    if unit is not None:
        rain = next((hours for hours in unit.hours if hours.water == "design rain"), None)
        lasts = "for good" if rain is None or isinf(rain.seconds) else case.hours(rain.seconds)
        parts.append(f"The battery of {unit.capacity:g} Ah lasts {lasts} with the water of the design rain.")
    else:
        parts += ["No battery is in this price.", offered_words(case, station)]
    return Plain(
        text=said(*parts), do="Try the alarm every month. In a cut, use little water and lift things off the floor."
    )


def _hole(view: View, station: LiftStation) -> str:
    basin = view.design.job.works.basin_named(station.name)
    if basin is None or basin.relief_hole is None:
        return f"{CANNOT}: the pump's sheet says whether {station.name} needs one."
    drilled = view.say.drill(basin.relief_hole)
    return f"It is a hole of {drilled} in the pump's pipe in {station.name}, {basin.relief_hole_place}."


@customer(13)
def relief(view: View) -> Plain:
    """It squirts, and that is right."""
    if view.design.system.station is None:
        return _no_pump(view)
    holes = [_hole(view, station) for station in view.design.system.by_house]
    bad = view.found.says("LFT-08", "LFT-20") if view.found.bad("LFT-08", "LFT-20") else ""
    return Plain(
        text=said(*holes, bad or "It lets trapped air out: that it squirts and hisses while the pump runs is right."),
        do="Nothing: we look at it at the yearly visit, for the lid stays shut.",
    )


def _basin(view: View, station: LiftStation) -> str:
    say = view.say
    floats = listed(
        [f"{FLOATS[name]} at {say.small(level - station.floor)}" for name, level in station.float_levels.items()]
    )
    pumps = "two pumps" if station.second_on is not None else "one pump"
    return (
        f"{station.name} is {say.small(station.inside_diameter)} wide and {say.small(station.depth)} deep, with "
        f"{pumps}; above its floor {floats}."
    )


@customer(14)
def basin(view: View) -> Plain:
    """Sizes, floats, and what a second pump would change."""
    if view.design.system.station is None:
        return _no_pump(view)
    parts = [_basin(view, station) for station in view.design.system.by_house]
    parts += [f"If the {pump} dies in the design storm, {outcome}." for pump, outcome in view.case.dead_pumps()]
    do = "Have both pumps tried once a year."
    if any(station.second_on is None for station in view.design.system.stations):
        do = seen("Ask us for a second pump if that is too little for you.", view.design)
    return Plain(
        text=said(*parts),
        do=f"{do} Leave the floats as they are.",
    )


@customer(15)
def quantities(view: View) -> Plain:
    """What is brought and what is taken away."""
    dig, takeoff = view.design.build.dig, view.design.build.takeoff
    units = view.design.job.units
    coats = {wall.wall.coating.kind for wall in view.design.site.walls if wall.wall.open_and_coat}
    bulk = [
        f"{line.description.partition(', sticks')[0]}, {amount_words(line.quantity, line.unit, units)}"
        for line in takeoff.lines
        if line.category in ("stone", "pipe", "fabric")
        or (line.category == "coating" and any(coat in line.description for coat in coats))
    ]
    loads = "No earth leaves the lot."
    if dig.trailer_loads:
        loads = f"{counted(dig.trailer_loads, 'trailer load')} of earth leave the lot."
    barrow = f"By barrow: {barrow_words(dig, view.design.job.equipment)}." if dig.barrow_rounds else ""
    return Plain(
        text=said(f"Brought: {'; '.join(bulk)}." if bulk else "", loads, barrow),
        do="Keep the way from the street to the work free, and cars off it.",
    )


@customer(16)
def fabric(view: View) -> Plain:
    """Why this pipe, these holes, this fabric."""
    drains, soil = runs_of(view.design, "footing drain"), view.design.job.ground.texture.value
    if not drains:
        runs = view.design.system.runs
        tight = f": {run_words(view.design, runs)} stay tight" if runs else ""
        return Plain(text=f"No drain with holes is laid at the walls, in your {soil}{tight}.", do="Nothing.")
    wrapped = [run.name for run in drains if run.fabric]
    rough = any("corrugated single" in run.pipe.family for run in drains)
    return Plain(
        text=said(
            f"{run_words(view.design, drains)}, in washed stone.",
            f"Your soil is {soil}: fabric goes round the stone, not round the pipe, to keep the soil out."
            if wrapped
            else f"Your soil is {soil}: it is laid without fabric.",
            "Holes down, so that the water leaves as low as it can.",
            "Corrugated pipe holds silt in its dips." if rough else "Smooth pipe holds its fall and can be flushed.",
        ),
        do="Plant nothing with deep roots over it.",
    )


@customer(18)
def coating(view: View) -> Plain:
    """What is put on which wall, and what that holds back."""
    walls = [wall for wall in view.design.site.walls if wall.wall.open_and_coat]
    if not walls:
        names = listed([wall.name for wall in view.design.site.walls])
        return Plain(
            text=f"No wall is opened or coated{f' ({names} stay as they are)' if names else ''}.", do="Nothing."
        )
    alike: dict[str, list[str]] = {}
    for wall in walls:
        coat = wall.wall.coating
        words = "no coat" if coat.kind == "none" else f"{coat.kind}, {counted(coat.coats, 'coat')} on "
        alike.setdefault(words if coat.kind == "none" else words + wall.wall.material, []).append(wall.name)
    each = [f"{'Wall' if len(names) == 1 else 'Walls'} {listed(names)}: {words}" for words, names in alike.items()]
    damp = any(wall.wall.coating.kind == "damp-proofing" for wall in walls)
    parts = [f"{words}." for words in each]
    if damp:
        parts.append("Damp-proofing keeps damp soil off; standing water it does not hold back: the drain does that.")
    if view.design.site.water_table is None:
        parts.append(f"{CANNOT} whether that is enough: how high ground water stands is not known.")
    parts.append(" ".join(item.message for item in view.found.of("FTG-05") if item.severity is Severity.FAILS))
    parts.append("About a day between coats and before the ground goes back, longer when it is cool or damp.")
    return Plain(
        text=said(*parts),
        do=seen("Ask us what waterproofing costs instead.", view.design) if damp else "Nothing: rain may cost a day.",
    )


@customer(19)
def days(view: View) -> Plain:
    """How long, and what may stretch it."""
    plan = view.design.build.plan
    used = next((way for way in plan.ways if way.used), None)
    weather = "" if plan.doubt is None else weather_words(plan.doubt)
    return Plain(
        text=said(work_words(plan), f"The work is done {'by hand' if used is None else used.name}.", weather),
        do="Keep children and pets away from open trenches, and cars off the way.",
    )


@customer(20)
def buried(view: View) -> Plain:
    """Which lines lie in the way, and where they are shut off."""
    met: dict[str, list[str]] = {}
    for item in view.design.build.dig.crossings:
        shut = f"shut off at: {item.shutoff}" if item.shutoff.strip() else "where it is shut off is not written down"
        met.setdefault(f"{item.utility} ({item.kind}; {shut})", []).append(item.run)
    parts = [
        f"In the way of our digging: {'; '.join(met)}."
        if met
        else f"No line that we know is met by {listed([run.name for run in view.design.system.runs])}."
    ]
    unlocated = view.design.build.dig.unlocated
    if unlocated:
        parts.append(f"Nobody has located: {listed(unlocated)}.")
    parts.append("Lines of your own (irrigation, lights, gas to a grill) nobody marks but you.")
    return Plain(
        text=said(*parts),
        do="Show us your own lines before we dig, and read in the contract who pays for one that nobody marked.",
    )


@customer(21)
def electricity(view: View) -> Plain:
    """What the electrician does."""
    station = view.design.system.station
    if station is None:
        return _no_pump(view)
    chosen = view.design.job.works.basin_named(station.name)
    pump = None if chosen is None else chosen.pump
    draws = (
        f"{CANNOT} what the pump of {station.name} ({pump_words(station.pump, view.say.units)}) draws: its label "
        "says it."
        if pump is None or pump.current is None
        else f"The pump of {station.name} draws {pump.current:g} A."
    )
    many = len(view.design.system.stations)
    comes = next((visit.day for visit in view.design.build.plan.visits if "electrician" in visit.who), None)
    by = "" if comes is None else f", by working day {comes}, before the pump is started"
    circuits = "a circuit of its own" if many == 1 else f"{many} circuits, one for each pump"
    site, system = view.design.site, view.design.system
    if new_circuits(site, system) == 0:
        return Plain(
            text=said(
                "The pump runs on the protected circuit of its own that is there already; the alarm on another one.",
                draws,
            ),
            do=f"A licensed electrician checks it where the place asks{by}; that check is not in the price.",
        )
    there = "Those that are there already are kept, and checked." if standing_circuits(site, system) else ""
    return Plain(
        text=said(
            f"{circuits[0].upper()}{circuits[1:]} with ground-fault protection, an outlet above any flood, and the "
            "alarm on another circuit.",
            there,
            draws,
        ),
        do=f"A licensed electrician does it, with a permit{by}. Keep the certificate.",
    )


@customer(23)
def warranty(view: View) -> Plain:
    """The firm's own words."""
    words, walls = view.design.job.firm.warranty.strip(), opened_walls(view.design)
    runs = listed([run.name for run in view.design.system.runs])
    treated = f"Walls treated: {listed(walls)}." if walls else f"No wall is treated; the works are {runs}."
    if not words:
        return Plain(
            text=said("The offer states no warranty; what the law gives you stands.", treated),
            do="Ask for it in writing before you sign.",
        )
    ended = words if words.endswith((".", "!", "?")) else f"{words}."
    return Plain(text=said(ended, treated), do="Read it before you sign, and keep the yearly visits.")


@customer(24)
def restore(view: View) -> Plain:
    """Trees, lawn, paving."""
    roots = [item for item in view.design.build.dig.tree_roots if item.sides and item.share >= LEAST_ROOTS]
    trees = [
        f"the {item.tree} loses {view.say.percent(item.share)} of its root zone ({listed(item.sides)} side)"
        for item in roots
    ]
    if trees:
        first = f"Roots are cut: {'; '.join(trees)}."
    elif view.design.job.trees:
        first = f"No root zone of the {listed([tree.name for tree in view.design.job.trees])} is touched."
    else:
        first = f"{CANNOT}: no tree is written down; whether there are any nobody noted."
    surfaces = listed([yard.surface for yard in view.design.job.yards])
    over = "What is dug is raked and seeded"
    if cut := yards(view.design.build.dig.paved):
        over += f"; what is cut of the {cut} is laid again, in the price."
    else:
        over += f"; {surfaces} as it was is not in the price unless a line of it says so." if surfaces else "."
    return Plain(text=said(first, over), do="Move plants that you want to keep before we start; photograph the yard.")


def _short(what: str) -> str:
    """A care in a few words: up to its figures, past the name of the basin that it begins with."""
    first, _, rest = what.partition(": ")
    return f"{first}: {rest.partition(',')[0]}" if first.isupper() else first.rstrip(".")


@customer(25)
def care(view: View) -> Plain:
    """The calendar in short."""
    by_when: dict[str, list[str]] = {}
    for item in upkeep(view.design):
        if item.who == "you" or item.who.startswith("you;"):
            by_when.setdefault(item.when, []).append(_short(item.what))
    told = " ".join(f"{when[0].upper()}{when[1:]}: {'; '.join(whats)}." for when, whats in by_when.items())
    return Plain(
        text=f"For you. {told} The handover paper has all of it.",
        do="Have us come once a year, before the wet season; write each reading down.",
    )
