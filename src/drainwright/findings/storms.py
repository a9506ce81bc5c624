"""Checks of the storm test: does it hold, how much ponds, what a failure does."""

from __future__ import annotations

from collections.abc import Iterator

from drainwright.findings.failure_words import over_grates
from drainwright.findings.places import counted, listed
from drainwright.findings.remedy_words import advised
from drainwright.findings.rules import Case, Check, Outcome, caution, fails, ok, rule
from drainwright.findings.stations import each_station, the_pump
from drainwright.storm.model import NodeStorm, StormCase
from drainwright.system.model import LiftStation

TOLD = 0.005  # water lower than this over a grate or at a wall is not told; common practice, no source [m]
NOTHING = 0.001  # water lower than this over a grate is written as none [m]
PONDING = 0.0762  # 3 in over a grate is noted, twice that fails; common practice, no source [m]
RUN_OFF = 0.1  # over an inlet's rim and away; common practice, no source [m³]


def _sound(case: Case) -> StormCase:
    return case.storm.cases[0]


@rule("STM-01", "The floor in the design storm", "common_practice")
def floor(case: Case) -> Iterator[Outcome]:
    """With everything working the floor stays dry."""
    result = _sound(case)
    figure = case.at_house(result)
    if figure is None:
        return
    limit = f"below {case.level(result.slab_level)}, the {case.floor_name}"
    if result.time_to_slab is None:
        text = "The floor stays dry through the design storm."
        yield ok("storm", text, figure=figure, limit=limit, basis=case.water_basis)
    elif result.time_to_slab == 0.0:
        yield fails(
            "storm",
            f"A drain or basin at the house lies over the {case.floor_name}: water in it stands over that before it rains.",
            figure=figure,
            limit=limit,
            advice="Lay the drains, and set the floats, below the floor; or look whether the floor's level is right.",
            basis=case.water_basis,
        )
    else:
        yield fails(
            "storm",
            f"In the design storm water reaches the {case.floor_name} after {case.hours(result.time_to_slab)}, with "
            "everything working.",
            figure=figure,
            limit=limit,
            advice="Bring less water in (roof water elsewhere), or take a stronger pump or a larger way out.",
            basis=case.water_basis,
        )


@rule("STM-02", "Water balance of the test", "common_practice")
def balance(case: Case) -> Iterator[Outcome]:
    """The arithmetic neither makes nor loses water."""
    worst = max((abs(item.balance_error) for item in case.storm.every), default=0.0)
    figure, limit = f"{worst * 100:.4f} % of the water", "0.1 % of it"
    if worst < 1e-3:
        yield ok("storm", "The storm test's arithmetic keeps its water.", figure=figure, limit=limit)
    else:
        yield fails(
            "storm",
            "The storm test gained or lost water by its arithmetic: do not rely on it.",
            figure=figure,
            limit=limit,
            advice="Report this job to those who keep the program.",
        )


def _pond(node: NodeStorm) -> str:
    return "the low spot as surveyed" if node.surveyed else "a cone, assumed"


def _mend(result: StormCase, node: NodeStorm) -> str:
    """What to do about water over a grate, by what holds it up: the grate, the pipe below it, or a basin."""
    below = result.levels(node.node)
    away = "or lead the rest away from the house in a swale"
    if not below.size or below.max() < node.rim:
        return f"Fit a larger grate, a second inlet, {away}; keep it clear of leaves."
    full = [station.name for station in result.stations if station.highest >= node.rim]
    if full:
        return (
            f"The water in {listed(full)} rises over this grate: fit a second pump or a stronger one, bring less water there, "
            f"{away}. A larger grate or pipe gains little."
        )
    return f"The pipe below stands full over the grate: lay a larger or a steeper one, {away}. A larger grate gains little."


@rule("STM-03", "Ponding at the inlets", "hec22")
def ponding(case: Case) -> Iterator[Outcome]:
    """Water that the grates cannot take stands over them."""
    for node in _sound(case).nodes.values():
        if case.system.nodes[node.node].kind != "inlet":
            continue
        where, basis = f"works.inlets.{node.node}", case.water_basis
        figure = "none stands over it"
        if node.pond_depth >= NOTHING:
            figure = f"{case.small(node.pond_depth)} deep, {case.volume(node.pond_volume)} standing in {_pond(node)}"
        if node.lost > 0:
            figure += f", {case.volume(node.lost)} run off"
        limit = f"{case.small(PONDING)} over the grate"
        advice = _mend(_sound(case), node)
        stands = f"Water stands {case.small(node.pond_depth)} deep over {node.node} in the design storm"
        if node.pond_depth > 2 * PONDING or node.lost > RUN_OFF:
            away = f", and {case.volume(node.lost)} run off over the ground" if node.lost > 0 else ""
            yield fails(where, f"{stands}{away}.", figure=figure, limit=limit, advice=advice, basis=basis)
        elif node.pond_depth > PONDING:
            yield caution(where, f"{stands}.", figure=figure, limit=limit, advice=advice, basis=basis)
        else:
            yield ok(where, f"{node.node} takes its water.", figure=figure, limit=limit, basis=basis)


@rule("STM-04", "Pump starts in the storm", "cycle_rules")
@each_station
def storm_starts(case: Case, station: LiftStation, _: str) -> Iterator[Outcome]:
    """Starts counted in the storm, in the busiest hour."""
    sound, basis = _sound(case), case.water_basis
    result = sound.station(station.name) if len(case.system.stations) > 1 else sound
    if result is None:
        return
    pump = the_pump(case, station)
    most = case.job.criteria.maximum_starts * 3600
    sheet = station.pump.starts_limit * 3600
    busiest = result.starts_busiest_hour
    figure = f"{counted(busiest, 'start')} in the busiest hour, {counted(result.pump_starts, 'start')} in all"
    limit = f"{most:.0f} an hour" + (f", {sheet:.0f} by the pump's sheet" if sheet != most else "")
    advice = "Give the pump more volume between the floats: a wider basin, or a wider float band."
    if busiest <= min(most, sheet) + 0.5:
        text = f"{pump} starts seldom enough in the storm."
        yield ok("storm", text, figure=figure, limit=limit, basis=basis)
    elif busiest <= sheet + 0.5:
        yield caution(
            "storm",
            f"{pump} starts {counted(busiest, 'time')} in the busiest hour; its sheet allows {sheet:.0f}.",
            figure=figure,
            limit=limit,
            advice=advice,
            basis=basis,
        )
    else:
        yield fails(
            "storm",
            f"{pump} starts {counted(busiest, 'time')} in the storm's busiest hour.",
            figure=figure,
            limit=limit,
            advice=advice,
            basis=basis,
        )


def _standing(case: Case, result: StormCase) -> tuple[str, bool]:
    """Where water stands over grates and at the walls' ground, in words, and whether it is deep enough to be minded."""
    nodes = [node for node in result.nodes.values() if case.system.nodes[node.node].kind == "inlet"]
    ponds = [(node.node, node.pond_depth) for node in nodes if node.pond_depth > TOLD]
    words = over_grates(ponds, case.small)
    deepest = max([0.0, *(deep for _, deep in ponds)])
    for station in case.system.stations if len(case.system.stations) > 1 else ():
        basin = result.nodes[station.name]
        if basin.lost > RUN_OFF:
            words.append(f"over the rim of {station.name}, where {case.volume(basin.lost)} run off")
            deepest = max(deepest, basin.pond_depth)
    highest = result.highest_at_house
    wall = min(case.site.walls, key=lambda item: item.ground_lowest, default=None)
    over = wall is not None and highest is not None and highest > wall.ground_lowest + TOLD
    if wall is not None and highest is not None and over:
        words.append(f"{case.small(highest - wall.ground_lowest)} above the ground at the {wall.name} wall")
    return listed(words), over or deepest > PONDING


def _failed(case: Case, result: StormCase, advice: str) -> Iterator[Outcome]:
    """How a failure came out."""
    figure = case.at_house(result)
    if figure is None:
        return
    basis = case.water_basis
    limit = f"below {case.level(result.slab_level)}, the {case.floor_name}"
    stands, deep = _standing(case, result)
    if result.undecided:
        text = f"{result.title}: {case.undecided(result)}"
        text += f"; water stands {stands}." if stands else "."
        yield caution("storm", text, figure=figure, limit=limit, advice=advice, basis=basis)
    elif result.time_to_slab is None:
        dry = f"{result.title}: the floor stays dry in the design storm{case.by_rain(result)}"
        if not deep:
            text = f"{dry}; water stands {stands}." if stands else f"{dry}."
            yield ok("storm", text, figure=figure, limit=limit, basis=basis)
        else:
            text = f"{dry}, but water stands {stands}."
            yield caution("storm", text, figure=figure, limit=limit, advice=advice, basis=basis)
    else:
        after = "at once" if result.time_to_slab == 0.0 else f"after {case.hours(result.time_to_slab)}"
        reaches = f"{result.title}: in the design storm water reaches the {case.floor_name} {after}"
        yield caution(
            "storm",
            f"{reaches} and stands {stands}." if stands else f"{reaches}.",
            figure=figure,
            limit=limit,
            advice=advice,
            basis=basis,
        )


def _failure(key: str, group: str, advice: str) -> Check:
    def check(case: Case) -> Iterator[Outcome]:
        for result in case.storm.cases:
            if result.key == key or result.key.startswith(f"{key}: "):
                yield from _failed(case, result, advised(case, group, advice, result))

    return check


for _id, _title, _key, _group, _advice in (
    (
        "STM-05",
        "If the pump dies",
        "pump dead",
        "pump",
        "Fit a second pump with its float higher and flow enough for the storm, and an alarm that wakes someone.",
    ),
    (
        "STM-06",
        "If the power goes",
        "power out",
        "power",
        "Fit a battery unit that lasts the cut; or an overflow by gravity above the floats, if there is any fall.",
    ),
    (
        "STM-07",
        "If the discharge is blocked",
        "discharge blocked",
        "way out",
        "Give the water an overflow, and look at the outlet every year.",
    ),
    (
        "STM-08",
        "If the grates clog",
        "grate half clogged",
        "leaves and roots",
        "Sweep the grates before the wet season, or add a second inlet.",
    ),
):
    rule(_id, _title, "common_practice")(_failure(_key, _group, _advice))
