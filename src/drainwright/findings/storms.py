"""Checks of the storm test: does it hold, how much ponds, what a failure does."""

from __future__ import annotations

from collections.abc import Iterator

from drainwright.findings.rules import Case, Outcome, caution, fails, ok, rule
from drainwright.storm.model import StormCase


def _sound(case: Case) -> StormCase:
    return case.storm.cases[0]


@rule("STM-01", "The floor in the design storm", "common_practice")
def floor(case: Case) -> Iterator[Outcome]:
    """With everything working the floor stays dry."""
    result = _sound(case)
    if result.highest_at_house is None:
        return
    figure = case.level(result.highest_at_house)
    limit = f"below {case.level(result.slab_level)}"
    if result.time_to_slab is None:
        yield ok("storm", "The floor stays dry through the design storm.", figure=figure, limit=limit)
    else:
        yield fails(
            "storm",
            f"In the design storm water reaches the floor after {case.hours(result.time_to_slab)}, with everything working.",
            figure=figure,
            limit=limit,
            advice="Less water into the system (roof water elsewhere), a stronger pump, or a larger way out.",
        )


@rule("STM-02", "Water balance of the test", "common_practice")
def balance(case: Case) -> Iterator[Outcome]:
    """The arithmetic neither makes nor loses water."""
    worst = max((abs(item.balance_error) for item in case.storm.cases), default=0.0)
    figure, limit = f"{worst:.4%}", "0.1 %"
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


@rule("STM-03", "Ponding at the inlets", "hec22")
def ponding(case: Case) -> Iterator[Outcome]:
    """Water that the grates cannot take stands over them."""
    for node in _sound(case).nodes.values():
        if case.system.nodes[node.node].kind != "inlet":
            continue
        where = f"works.inlets.{node.node}"
        figure = f"{case.small(node.pond_depth)}, {case.volume(node.pond_volume)}"
        limit = f"{case.small(0.0762)} over the grate"
        if node.pond_depth > 0.1524 or node.lost > 0.1:
            yield fails(
                where,
                f"Water stands {case.small(node.pond_depth)} deep over {node.node} in the design storm, and "
                f"{case.volume(node.lost)} run off over the ground.",
                figure=figure,
                limit=limit,
                advice="A larger grate, a second inlet, or a swale that leads the rest away from the house.",
            )
        elif node.pond_depth > 0.0762:
            yield caution(
                where,
                f"Water stands {case.small(node.pond_depth)} deep over {node.node} in the design storm.",
                figure=figure,
                limit=limit,
                advice="A larger grate or a second inlet; keep it clear of leaves.",
            )
        else:
            yield ok(where, f"{node.node} takes its water.", figure=figure, limit=limit)


@rule("STM-04", "Pump starts in the storm", "cycle_rules")
def storm_starts(case: Case) -> Iterator[Outcome]:
    """Starts counted in the storm, in the busiest hour."""
    station = case.system.station
    if station is None:
        return
    result = _sound(case)
    most = case.job.criteria.maximum_starts * 3600
    sheet = station.pump.starts_limit * 3600
    figure, limit = (
        f"{result.starts_busiest_hour} in the busiest hour, {result.pump_starts} in all",
        f"{most:.0f} an hour",
    )
    if result.starts_busiest_hour <= most + 0.5:
        yield ok("storm", "The pump's starts in the storm are few enough.", figure=figure, limit=limit)
    elif result.starts_busiest_hour <= sheet + 0.5:
        yield caution(
            "storm",
            f"The pump starts {result.starts_busiest_hour} times in the busiest hour; its sheet allows {sheet:.0f}.",
            figure=figure,
            limit=limit,
            advice="More volume between the floats.",
        )
    else:
        yield fails(
            "storm",
            f"The pump starts {result.starts_busiest_hour} times in the storm's busiest hour.",
            figure=figure,
            limit=f"{limit}, by its sheet {sheet:.0f}",
            advice="More volume between the floats: a wider basin, a wider float band.",
        )


def _failure(key: str, advice: str) -> object:
    def check(case: Case) -> Iterator[Outcome]:
        result = case.storm.case(key)
        if result is None or result.highest_at_house is None:
            return
        figure, limit = case.level(result.highest_at_house), f"below {case.level(result.slab_level)}"
        if result.time_to_slab is None:
            yield ok("storm", f"{result.title}: the floor stays dry in the design storm.", figure=figure, limit=limit)
        else:
            yield caution(
                "storm",
                f"{result.title}: in the design storm water reaches the floor after {case.hours(result.time_to_slab)}.",
                figure=figure,
                limit=limit,
                advice=advice,
            )

    return check


for _id, _title, _key, _advice in (
    (
        "STM-05",
        "If the pump dies",
        "pump dead",
        "A second pump with its float higher, and an alarm that wakes someone.",
    ),
    (
        "STM-06",
        "If the power goes",
        "power out",
        "A battery unit; or an overflow by gravity above the floats, if there is any fall.",
    ),
    ("STM-07", "If the discharge is blocked", "discharge blocked", "An overflow, and a yearly look at the outlet."),
    ("STM-08", "If the grates clog", "grate half clogged", "Sweep the grates before the wet season; a second inlet."),
):
    rule(_id, _title, "common_practice")(_failure(_key, _advice))  # type: ignore[arg-type]
