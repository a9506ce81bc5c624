"""What the built works need, when and by whom: from the parts that this job has."""

from __future__ import annotations

from dataclasses import dataclass

from drainwright.design import Design
from drainwright.findings.places import leads_to, series
from drainwright.job.service import FULL
from drainwright.paper.documents.say import Say, joined
from drainwright.paper.wording import FLOATS
from drainwright.quantities import percent
from drainwright.system.freeze_relief import freeze_reliefs
from drainwright.system.lift.season import PUMP_YEARS
from drainwright.system.model import LiftStation

OWNER, FIRM = "you", "we, at the yearly visit"
# Parts of when something is done, the most frequent first.
OFTEN = (
    "each week", "each month", "every month", "after each big storm", "twice a year", "every year", "every 2 years",
    "every 3 years", "every 4 years", "every 3 to 5 years", "every 5 years", "every 6 years", "every 7 to 10 years",
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Care:
    """One thing to look at or do."""

    when: str
    what: str
    who: str


def upkeep(design: Design) -> tuple[Care, ...]:
    """The calendar of care for this job's own parts; intervals are common practice, no source.

    Parameters
    ----------
    design : Design
        The designed job.

    Returns
    -------
    tuple of Care
        The most frequent first.
    """
    found = (*_inlets(design), *_stations(design), *_ends(design), *_soaks(design), *_drains(design), *_house(design))
    return tuple(sorted(found, key=lambda care: next(n for n, often in enumerate(OFTEN) if often in care.when)))


def _inlets(design: Design) -> list[Care]:
    say = Say(design.job.units)
    grates = [inlet for inlet in design.job.works.inlets if inlet.kind != "cleanout"]
    if not grates:
        return []
    swept = joined(series([inlet.name for inlet in grates]))
    one = len(grates) == 1
    sumps: dict[str, list[str]] = {}
    for inlet in grates:
        if inlet.sump_depth > 0:
            sumps.setdefault(say.small(FULL * inlet.sump_depth), []).append(inlet.name)
    found = [
        Care(
            when="each month in the wet season, and before a big storm",
            what=f"Sweep the {'grate' if one else 'grates'} {swept}.",
            who=OWNER,
        )
    ]
    if sumps:
        deep = "; ".join(f"{joined(series(names))} {half}" for half, names in sumps.items())
        found.append(
            Care(
                when="each month in the wet season",
                what=f"Scoop the silt out from under {'the grate' if one else 'each grate'} before it fills "
                f"{percent(FULL)} of its trap: {deep}.",
                who=OWNER,
            )
        )
    return found


def _where_in(design: Design, station: LiftStation) -> str:
    """Where water is let in that comes to a pump: by name, since another grate never starts it."""
    system = design.system
    bodies = {inlet.name for inlet in design.job.works.inlets if inlet.kind != "cleanout"}
    grates = [
        name for name, node in system.nodes.items()
        if node.kind == "inlet" and name in bodies and leads_to(system, name, station.name)
    ]  # fmt: skip
    if grates:
        return f"the grate of {joined(series(grates), 'or')}"
    runs = [place.run for place in system.cleanouts if place.fitted and leads_to(system, place.run, station.name)]
    return f"a cleanout of {joined(series(runs), 'or')}" if runs else "a pipe that leads to it"


def _stations(design: Design) -> list[Care]:
    say, found = Say(design.job.units), []
    for station in design.system.by_house:
        heights = {name: level - station.floor for name, level in station.float_levels.items()}
        found += [
            Care(
                when="every month",
                what=f"{station.name}: run a hose into {_where_in(design, station)} until you hear the pump "
                f"start, shut it, and hear the pump stop. (It starts {say.small(heights['on'])} above the floor and "
                f"stops at {say.small(heights['off'])}: that takes up to {say.volume(station.band_volume)}.) Hear "
                "nothing: call us. Press the alarm's test button. The lid stays shut: it is opened by us at the yearly "
                "visit, with the breaker off.", who=OWNER,
            ),
            Care(
                when="every year, before the wet season",
                what=f"{station.name}: clean the basin, move each float "
                f"({joined([FLOATS[name] for name in heights])}), "
                "look at check valve and relief hole, measure the flow by drawdown and clock: "
                f"{say.flow(station.operating_flow)} when new, so from start to stop "
                f"({say.volume(station.band_volume)}) {station.band_volume / station.operating_flow:.0f} s with no "
                "water coming in and one pump at work.",
                who=FIRM,
            ),
        ]  # fmt: skip
        basin = design.job.works.basin_named(station.name)
        if basin is not None and basin.battery is not None:
            found.append(
                Care(
                    when="every year",
                    what=f"Test the battery of {station.name} ({basin.battery.capacity:g} Ah) under load; it is "
                    "replaced "
                    "every 3 to 5 years.", who=FIRM,
                )
            )  # fmt: skip
        found += _switch(station)
    if design.system.stations:
        names = joined([station.name for station in design.system.by_house])
        kept = joined([station.name for station in design.system.by_house if not _goes_with_its_switch(station)])
        if kept:
            found.append(
                Care(
                    when=f"every {PUMP_YEARS[0]} to {PUMP_YEARS[1]} years",
                    what=f"New pump in {kept}, before the old one fails.",
                    who="we, when you ask",
                )
            )
        found.append(
            Care(when="every month", what=f"Press the test button of the protected outlet of {names}.", who=OWNER)
        )
    return found


def _wears_soon(station: LiftStation) -> bool:
    return station.study is not None and station.study.season.likely_years < PUMP_YEARS[0]


def _goes_with_its_switch(station: LiftStation) -> bool:
    """Whether the pump is replaced for its switch, which is part of it."""
    return station.pump.float_kind == "integral" and _wears_soon(station)


def _switch(station: LiftStation) -> list[Care]:
    """A switch that makes its last start before the pump is due."""
    study = station.study
    if study is None or not _wears_soon(station):
        return []
    years, lasts = int(study.season.likely_years), study.season.cycles
    when = f"every {years} years" if years > 1 else "every year"
    new = (
        f"New pump in {station.name}, whose float is built in"
        if _goes_with_its_switch(station)
        else f"New float switch for the pump of {station.name}"
    )
    return [
        Care(when=when, what=f"{new}: by then it has made the {lasts:,} starts that it lasts.", who="we, when you ask")
    ]


def _ends(design: Design) -> list[Care]:
    kinds = {point.name: point for point in design.job.works.discharge}
    used = {run.lower for run in design.system.runs} | {design.system.discharge}
    found = []
    for name in [name for name in kinds if name in used]:
        if kinds[name].kind in ("dry well", "infiltration trench"):
            continue
        found.append(
            Care(
                when="after each big storm",
                what=f"Look where the line that {name} joins ({joined_line.name}) lets its water go: it runs freely."
                if (joined_line := design.system.joined_at(name)) is not None and not kinds[name].air_gap
                else f"Look at the end {name} ({kinds[name].kind}): water runs freely, nothing grows or lies before "
                "it.",
                who=OWNER,
            )
        )
    say = Say(design.job.units)
    found += [
        Care(
            when="each week of hard frost",
            what=f"Look at the freeze relief on {relief.run}, {say.length(relief.along)} from "
            f"{design.system.run(relief.run).upper}: keep it clear of snow and soil. Water squirting there means the "
            "line beyond is frozen or blocked: call us.",
            who=OWNER,
        )
        for relief in freeze_reliefs(design.system)
    ]
    if design.job.rules.frost_depth.value > 0 and found:
        found.append(
            Care(when="each week of hard frost", what="See that no ice closes the end of the line.", who=OWNER)
        )
    return found


def _soaks(design: Design) -> list[Care]:
    say = Say(design.job.units)
    return [
        Care(
            when="after each big storm, a day later",
            what=f"{_looked_into(design, soak.name)} By the design it is half empty {say.time(soak.half_empty)} after "
            "it was full: water that still stands there a day later means that it silts up: tell us.", who=OWNER,
        )
        for soak in design.system.soaks
    ]  # fmt: skip


def _looked_into(design: Design, soak: str) -> str:
    """Where the water of a closed soakaway can be seen: in the grates whose pipes end in it."""
    seen = [
        f"{run.upper} (the pipe of {run.name})"
        for run in design.system.runs
        if run.lower == soak and design.system.nodes[run.upper].kind == "inlet"
    ]
    if seen:
        return f"Look under the grate of {joined(seen)} whether water stands in that pipe: {soak} is closed all round."
    return f"We look at the line of {soak} when we flush it: it is closed all round, and no grate leads straight in."


def _drains(design: Design) -> list[Care]:
    drains = [run.name for run in design.system.runs if run.duty == "footing drain"]
    others = [run.name for run in design.system.runs if run.duty in ("yard drain", "leader")]
    counts: dict[int, list[str]] = {}
    for name in drains:
        counts.setdefault(sum(place.fitted and place.run == name for place in design.system.cleanouts), []).append(name)
    fitted = [f"{joined(series(names))} {count}" for count, names in counts.items() if count]
    found = []
    if drains:
        by = f" from its cleanouts ({'; '.join(fitted)})" if fitted else ", with a hose from its upper end"
        found.append(
            Care(
                when="every 3 to 5 years",
                what=f"Flush the footing drain {joined(series(drains))}{by} and watch the end.",
                who=FIRM,
            )
        )
    if others:
        above = "from the grate, cleanout or downspout above"
        what = f"Flush {joined(series(others))} {above}, and watch the end."
        found.append(Care(when="every 3 years", what=what, who=FIRM))
    trees = list(dict.fromkeys(cut.tree for cut in design.build.dig.roots))
    if trees:
        runs = {run.name for run in design.system.runs}
        lines = joined(series([cut.item for cut in design.build.dig.roots if cut.item in runs]))
        found.append(
            Care(
                when="twice a year",
                what=f"Roots of the {joined(trees)} reach for {lines}: see that water still runs through.",
                who="you; we flush when it runs slowly",
            )
        )
    return found


def _house(design: Design) -> list[Care]:
    spouts = joined(series([spout.name for spout in design.job.downspouts]))
    walls = joined([wall.name for wall in design.site.walls if wall.wall.open_and_coat])
    dug = walls or joined(series([run.name for run in design.system.runs]))
    found = [
        Care(
            when="twice a year", what=f"Clean the gutters; see that water comes down {spouts}." if spouts
            else "Clean the gutters, where there are any.", who=OWNER,
        )
    ]  # fmt: skip
    if dug:
        where = f"At the {dug} wall{'s' if ' and ' in dug else ''}" if walls else f"Over {dug}"
        found.append(
            Care(
                when="after the first winter, then every year",
                what=f"{where} the filled ground settles: top it up so that it falls away from the house.",
                who=OWNER,
            )
        )
    return found


__all__ = ["OFTEN", "Care", "upkeep"]
