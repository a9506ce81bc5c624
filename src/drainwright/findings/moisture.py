"""Checks of the diagnosis: whether drainage cures what was seen, what to test first, whether the works serve the cause."""

from __future__ import annotations

from collections.abc import Iterator

from drainwright.findings.places import listed
from drainwright.findings.rules import Case, Outcome, caution, fails, ok, rule
from drainwright.job.values import Basis
from drainwright.water.moisture import close_causes, leads_clearly, share_words
from drainwright.water.moisture_model import Moisture, MoistureSources
from drainwright.water.moisture_words import CURED_BY_DRAINAGE
from drainwright.water.wet_places import names_no_wall

METER = "meter with taps shut"


def _leading(found: MoistureSources) -> str:
    """The first two causes with their shares."""
    first, second = found.causes[:2]
    return f"{first.cause.value} {share_words(first.share)}, {second.cause.value} {share_words(second.share)}"


@rule("MOI-01", "Drainage is the remedy", "wi_atcp_110")
def remedy(case: Case) -> Iterator[Outcome]:
    """The costliest failure is sound work against the wrong cause."""
    found = case.moisture
    if not found.causes:
        return
    first, figure, limit = found.causes[0], _leading(found), "a cause that drainage cures"
    opened = [wall.name for wall in case.site.walls if wall.wall.open_and_coat]
    turns = any(test.kind == METER and test.result == "turns" for test in case.job.moisture_tests)
    if turns and opened:
        yield fails(
            "moisture_tests",
            f"The meter turns with the taps shut: a supply pipe leaks, and the {listed(opened)} wall is to be opened.",
            figure="the meter turns with every tap shut",
            limit="a meter that stands still before a wall is opened",
            advice="Have a plumber find and mend the leak, let the house dry, and look again before any digging is sold.",
            basis=Basis.MEASURED,
        )
    if found.drainage_is_remedy:
        text = f"{_big(first.cause)} leads among the causes, and drainage takes it."
        yield ok("symptoms", text, figure=figure, limit=limit, basis=Basis.STATED)
    elif found.drainage_is_remedy is None:
        open_for = "but not clearly, and drainage does not cure all the causes that are close."
        if found.short_of_floor and all(item.cause in CURED_BY_DRAINAGE for item in close_causes(found.causes)):
            open_for = "but the high ground water that was found does not reach the floor."
        yield caution(
            "symptoms",
            f"{_big(first.cause)} leads, {open_for}",
            figure=figure,
            limit=limit,
            advice="Test before anything is dug; answer 4 says how.",
            basis=Basis.STATED,
        )
    else:
        yield caution(
            "symptoms",
            f"{_big(first.cause)} leads among the causes, and these works alone do not cure it.",
            figure=figure,
            limit=limit,
            advice=first.remedy,
            basis=Basis.STATED,
        )


def _big(cause: Moisture) -> str:
    return f"{cause.value[0].upper()}{cause.value[1:]}"


@rule("MOI-02", "A test between the leading causes", "common_practice")
def tested(case: Case) -> Iterator[Outcome]:
    """A cheap test comes before a dear dig."""
    found = case.moisture
    if not found.causes:
        return
    limit, figure = "one cause twice as likely as the next", _leading(found)
    if leads_clearly(found.causes):
        text = "One cause leads clearly, by what was seen and tested."
        yield ok("moisture_tests", text, figure=figure, limit=limit, basis=Basis.STATED)
    elif found.next_test is not None:
        yield caution(
            "moisture_tests",
            "Two causes are close, and a simple test that would tell more is not done yet.",
            figure=figure,
            limit=limit,
            advice=f"Do the test '{found.next_test.test}'. {found.next_test.how}",
            basis=Basis.STATED,
        )


@rule("MOI-03", "Symptoms told by their sign", "common_practice")
def signs(case: Case) -> Iterator[Outcome]:
    """Free words cannot be weighed."""
    symptoms = case.job.symptoms
    if not symptoms:
        return
    unread = [str(number) for number, item in enumerate(symptoms, start=1) if item.sign is None]
    figure, limit = f"{len(symptoms) - len(unread)} of {len(symptoms)} with a sign", "a sign for each"
    if not unread:
        yield ok("symptoms", "Every symptom is told by its sign.", figure=figure, limit=limit)
        return
    which = f"Symptom {unread[0]} has" if len(unread) == 1 else f"Symptoms {listed(unread)} have"
    yield caution(
        "symptoms",
        f"{which} no sign, and the ranking of causes could not use {'it' if len(unread) == 1 else 'them'}.",
        figure=figure,
        limit=limit,
        advice="Add 'sign' (and 'spot') to it, in the words that the job's schema lists.",
    )


@rule("MOI-04", "Works that serve the leading cause", "common_practice")
def served(case: Case) -> Iterator[Outcome]:
    """What leads is what the works must take away."""
    found = case.moisture
    if not found.causes:
        return
    for item in close_causes(found.causes):
        needed = _needed(case, item.cause)
        if needed is None:
            continue
        there, limit, advice = needed
        figure = f"{item.cause.value} {share_words(item.share)}"
        if there:
            text = f"The works take {item.cause.value} away."
            yield ok("works.runs", text, figure=figure, limit=limit, basis=Basis.STATED)
        else:
            text = f"{_big(item.cause)} is among the leading causes, and nothing in the works takes it."
            yield caution("works.runs", text, figure=figure, limit=limit, advice=advice, basis=Basis.STATED)


@rule("MOI-05", "Walls named where it was seen", "common_practice")
def placed(case: Case) -> Iterator[Outcome]:
    """What is seen at two places is weighed apart: a wall by another name would count as a place of its own."""
    walls = [wall.name for wall in case.site.walls]
    told = {
        **{f"symptoms[{number}]": item.where for number, item in enumerate(case.job.symptoms)},
        **{f"moisture_tests[{number}]": item.where for number, item in enumerate(case.job.moisture_tests)},
    }
    for place, where in told.items():
        if names_no_wall(where, walls):
            yield caution(
                place,
                f"'{where}' names no wall of the job, and counts as a place of its own.",
                figure=where,
                limit=f"one of {listed(walls)}" if walls else "a wall of the job",
                advice="Write the wall's name, as it stands under 'house'.",
            )


def _needed(case: Case, cause: Moisture) -> tuple[bool, str, str] | None:
    """Whether the works serve a cause, what would serve it, what to do; None: drainage does not cure it."""
    duties = {run.duty for run in case.system.runs}
    if cause is Moisture.ROOF_WATER:
        led = {spout.name for spout in case.job.downspouts} & {run.upper for run in case.system.runs}
        return (
            bool(led),
            "a downspout that is led away",
            "Lead the downspouts away in a tight pipe of their own, the nearest to the damp first.",
        )
    if cause is Moisture.SURFACE_WATER:
        inlets = any(inlet.kind != "cleanout" for inlet in case.job.works.inlets)
        return (
            inlets or bool(case.site.shaped) or not _falls_to_wall(case),
            "an inlet, or ground that falls away from the walls",
            "Shape the ground so that it falls away from the walls, or set an inlet where the water gathers.",
        )
    if cause in (Moisture.GROUND_WATER, Moisture.OPEN_WATER):
        return (
            "footing drain" in duties,
            "a drain at the footing",
            "Plan a footing drain along the wet walls, or say why the water table needs none.",
        )
    return None


def _falls_to_wall(case: Case) -> bool:
    from drainwright.water.house_facts import house_facts

    return house_facts(case.site, case.inflows).ground_falls_to_wall is True


__all__ = ["placed", "remedy", "served", "signs", "tested"]
