"""Checks of the crew's days: rain in the forecast, the ticket with bad luck, machines, the soil's whole way."""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from typing import Any

from drainwright.build.booked import WHO, too_early, waiting_for
from drainwright.build.earth_chain import PRACTICE
from drainwright.build.locates import ticket_days
from drainwright.build.model import Task
from drainwright.build.open_days import open_days
from drainwright.build.reach import unknown_names
from drainwright.findings.places import counted, listed
from drainwright.findings.rules import Case, Outcome, caution, fails, ok, rule
from drainwright.quantities import percent, write

FRESH = ("parge", "coat-")  # works that rain spoils until they are dry
DAY = 86400.0  # [s]
#: What crews mostly have, by key: from, to, and what it is. Common practice, no source. [m³, m³, kg, h]
USUAL = {
    "barrow": (0.0283, 0.2832, "one round of the barrow"),  # 1 to 10 ft³
    "carrier": (0.0850, 0.9911, "one round of the powered barrow"),  # 3 to 35 ft³
    "trailer_volume": (0.7646, 15.2911, "the trailer's volume"),  # 1 to 20 yd³
    "trailer_payload": (453.6, 13608.0, "the trailer's payload"),  # 1,000 to 30,000 lb
    "hours_per_day": (4.0, 12.0, "the working day"),
}


def _dry_until(case: Case, task: Task) -> tuple[datetime.date, datetime.date] | None:
    """The day on which a work ends, and that on which it is dry; none where no start is set."""
    plan = case.build.plan
    day = min(int(task.end / plan.day_length - 1e-6), plan.days - 1)
    if day >= len(plan.dates):
        return None
    into = task.end - day * plan.day_length
    dry = int((into / 24.0 * DAY + task.wait) / DAY + 1e-6)
    return plan.dates[day], plan.dates[day] + datetime.timedelta(days=dry)


@rule("DAY-01", "Rain on a fresh coat", "dampproofing_practice")
def fresh_coat(case: Case) -> Iterator[Outcome]:
    """No coat and no parge is put on so that rain in the forecast falls on it before it is dry."""
    rain = case.job.crew.rain_days
    fresh = [task for task in case.build.plan.tasks if task.key.startswith(FRESH) and task.wait > 0]
    if not rain or not fresh or not case.build.plan.dates:
        return
    wet = []
    for task in fresh:
        span = _dry_until(case, task)
        hit = [day for day in rain if span is not None and span[0] <= day <= span[1]]
        if hit and span is not None:
            wet.append(f"{task.title} ends on {span[0].isoformat()}, rain is forecast for {hit[0].isoformat()}")
    figure, limit = counted(len(wet), "coat") + " would be rained on", "dry before the rain"
    if wet:
        yield caution(
            "crew.start",
            f"{'; '.join(wet)}.",
            figure=figure,
            limit=limit,
            advice="Move the start, or cover the wall with a sheet that does not touch the coat; the product's sheet says how long it must stay dry.",
        )
    else:
        yield ok("crew.start", "Every coat is dry before the rain in the forecast.", figure=figure, limit=limit)


@rule("DAY-02", "Trench open in rain", "common_practice")
def open_in_rain(case: Case) -> Iterator[Outcome]:
    """No trench stands open over a day for which rain is forecast."""
    plan, rain = case.build.plan, case.job.crew.rain_days
    span = open_days(plan)
    if not rain or span is None or not plan.dates:
        return
    first, end = (plan.dates[day - 1] for day in span)
    hit = sorted(day for day in rain if first <= day <= end)
    figure = f"open from {first.isoformat()} to {end.isoformat()}"
    if hit:
        yield caution(
            "crew.start",
            f"Trenches stand open while rain is forecast for {listed([day.isoformat() for day in hit])}.",
            figure=figure,
            limit="no rain while a trench is open",
            advice="Move the start or open less at once; else sheet the edges, keep a pump there, lead roof water away, and let nobody in before the competent person has looked after the rain.",
        )
    else:
        yield ok(
            "crew.start",
            "No rain is forecast while trenches are open.",
            figure=figure,
            limit="no rain while a trench is open",
        )


@rule("DAY-03", "Ticket and days with bad luck", "one_call")
def ticket_in_bad_luck(case: Case) -> Iterator[Outcome]:
    """The locate ticket outlives the work also where hours and weather go badly."""
    doubt, life = case.build.plan.doubt, case.job.rules.ticket_life
    if doubt is None or case.job.crew.start is None:
        return
    last = ticket_days(case.job, case.build.plan.dates).last  # of the ticket that was called, renewals counted
    told: dict[str, Any] = {
        "figure": f"{doubt.booked_likely} working days likely, {doubt.booked_bad} with bad luck, days lost to weather counted",
        "limit": f"{life.value} working days",
        "basis": life.basis,
    }
    late = doubt.booked_bad > life.value
    if last is not None and doubt.end_bad is not None:
        late = doubt.end_bad > last
        told |= {
            "figure": f"{told['figure']}: until {doubt.end_bad.isoformat()}",
            "limit": f"ticket until {last.isoformat()}",
        }
    if late:
        yield caution(
            "crew.start",
            "With bad luck the work outlives the locate ticket.",
            advice="Put the day before the ticket ends in the calendar, and renew it in time where digging is still to come.",
            **told,
        )
    else:
        yield ok("crew.start", "The ticket outlives the work in eight cases of ten.", **told)


@rule("DAY-04", "Machine and its way in", "common_practice")
def machine(case: Case) -> Iterator[Outcome]:
    """A machine that the plan counts on gets in."""
    way = next((way for way in case.build.plan.ways if way.used), None)
    if way is None or not (way.excavator or way.carrier):
        return
    told = {"figure": f"the plan digs {way.name}", "limit": "a way in, measured"}
    unknown = unknown_names(case.site, case.build.dig, case.system)
    if unknown:
        yield fails(
            "property.access.by_hand",
            f"Nothing that is dug is called {listed(unknown)}: all of it counts as in the machine's reach.",
            figure=", ".join(unknown),
            limit="names of walls, runs, inlets, basins and soakaways",
            advice="Write the names as they stand in the design: papers and plan have them.",
        )
    if way.obstacles:
        yield fails(
            "equipment",
            f"The plan counts on a machine that does not get in: {'; '.join(way.obstacles)}.",
            advice="Plan by hand, take a fence panel out with its owner's leave, or find a smaller machine. Where it gets to a "
            "part of the work, name what it does not reach: property.access.by_hand.",
            **told,
        )
    elif way.unsure:
        yield caution(
            "equipment",
            f"Whether the machine gets in is not sure: {'; '.join(way.unsure)}.",
            advice="Measure the gate and the way, wires and branches over it, before it is hired.",
            **told,
        )
    else:
        yield ok("equipment", "The machine that the plan counts on gets in.", **told)


@rule("DAY-05", "The soil's whole way against practice", "common_practice")
def whole_way(case: Case) -> Iterator[Outcome]:
    """Soil that leaves goes through the whole chain at a third to 0.6 of the rate of open digging, by hand in open ground."""
    chain = case.build.plan.earth
    if chain is None or chain.share <= 0:
        return
    low, high = PRACTICE
    told = {
        "figure": f"{percent(chain.share)} of the rate of open digging, {percent(chain.open_share)} were it all open ground",
        "limit": f"{100 * low:.0f} to {percent(high)} in open ground",
    }
    if low <= chain.open_share <= high:
        yield ok("price_book", chain.told, **told)
    else:
        yield caution(
            "price_book",
            chain.told,
            advice="Read the links one by one, compare the hours after the job, and enter the firm's own rates.",
            **told,
        )


@rule("DAY-06", "Barrow, trailer and working day of the usual size", "common_practice")
def usual_kit(case: Case) -> Iterator[Outcome]:
    """Rounds, loads and days rest on what carries and on the hours: a slip there moves all of them."""
    kit = case.job.equipment
    held = {
        "carrier" if kit.carrier else "barrow": ("equipment.barrow", kit.barrow),
        "trailer_volume": ("equipment.trailer_volume", kit.trailer_volume),
        "trailer_payload": ("equipment.trailer_payload", kit.trailer_payload),
        "hours_per_day": ("crew.hours_per_day", case.job.crew.hours_per_day),
    }
    odd = False
    for key, (where, value) in held.items():
        low, high, name = USUAL[key]
        if not low * 0.999 <= value <= high * 1.001:
            odd = True
            yield caution(
                where,
                f"{name.capitalize()} is far from the usual: rounds, loads, hours and price rest on it.",
                figure=_amount(case, key, value),
                limit=f"{_amount(case, key, low)} to {_amount(case, key, high)} (common practice)",
                advice="Read the entry and its unit again, before anyone is shown days or a price.",
            )
    if not odd:
        yield ok(
            "equipment",
            "Barrow, trailer and working day are of the usual size.",
            figure=f"{_amount(case, 'barrow', kit.barrow)} a round, "
            f"{_amount(case, 'trailer_payload', kit.trailer_payload)} a load",
            limit="as crews have them (common practice)",
        )


@rule("DAY-08", "Visits on agreed days", "common_practice")
def booked(case: Case) -> Iterator[Outcome]:
    """Who comes to look finds something to look at; the works that wait for a visit are planned after it."""
    visits, plan = case.job.crew.visits, case.build.plan
    if not visits or not plan.dates:
        return
    held = waiting_for(visits, plan.tasks, case.build.dig)
    early = dict(too_early(visits, held, plan))
    titles = {task.key: task.title for task in plan.tasks}
    for number, (visit, keys) in enumerate(zip(visits, held, strict=True)):
        where, who = f"crew.visits[{number}]", WHO[visit.who]
        figure, limit = f"on {visit.on.isoformat()}", "a day on which there is what it is for"
        if not keys:
            yield caution(
                where, f"Nothing in the plan waits for the visit of {who} on {visit.on.isoformat()}.", figure=figure,
                limit=limit, advice="Strike it, or say in the job what it is for: the inspection, the pump, the line.",
            )  # fmt: skip
        elif visit in early:
            yield fails(
                where,
                f"{who[:1].upper()}{who[1:]} comes on {visit.on.isoformat()}, and “{titles[keys[0]]}” begins only on "
                f"{early[visit].isoformat()}: there is nothing to see yet.",
                figure=figure, limit=f"on {early[visit].isoformat()} or later",
                advice="Agree another day, or start the work earlier.",
            )  # fmt: skip
        else:
            text = f"“{titles[keys[0]]}” begins no earlier than the visit of {who} on {visit.on.isoformat()} allows."
            yield ok(where, text, figure=figure, limit=limit)


@rule("DAY-07", "Start on a day that is worked", "common_practice")
def worked_start(case: Case) -> Iterator[Outcome]:
    """A start on a day off is not silently another day: locates, deliveries and the customer hang on the date."""
    plan = case.build.plan
    if not plan.dates:
        return
    if plan.moved is not None:
        asked, first = plan.moved.asked.isoformat(), plan.moved.first.isoformat()
        yield caution(
            "crew.start",
            f"The start is set for {asked}, {plan.moved.why}: work begins on {first}.",
            figure=f"begins on {first}",
            limit="a start on a day that the crew works",
            advice=f"Set the start to {first}, or change 'week', 'holidays' or 'rain_days', and tell the customer the day.",
        )
    else:
        yield ok(
            "crew.start",
            "The start falls on a day that the crew works.",
            figure=f"begins on {plan.dates[0].isoformat()}",
            limit="a start on a day that the crew works",
        )


def _amount(case: Case, key: str, value: float) -> str:
    us = case.job.units == "US"
    if key == "hours_per_day":
        return f"{value:g} h"
    if key == "trailer_payload":
        return case.mass(value)
    if key == "trailer_volume":
        return write(value, "volume", case.job.units, "yd3" if us else "m3", 1)
    return write(value, "volume", case.job.units, "ft3" if us else "L", 1 if us else 0)


@rule("DAY-09", "A machine that could get in", "common_practice")
def machine_unused(case: Case) -> Iterator[Outcome]:
    """That a machine gets in digs nothing: the plan has one only where the equipment has."""
    if not case.job.property.access.machine or case.job.equipment.excavator:
        return
    ways = case.build.plan.ways
    now = next((way for way in ways if way.used), None)
    then = next((way for way in ways if way.excavator and now is not None and way.carrier == now.carrier), None)
    if now is None or then is None:
        return
    figure = f"{counted(now.days, 'day')} {now.name}, {counted(then.days, 'day')} {then.name}"
    limit = "by the way that is chosen for it"
    if then.obstacles:
        text = f"A machine is said to get in, but {'; '.join(then.obstacles)}: it is dug {now.name}."
        yield ok("property.access.machine", text, figure=figure, limit=limit)
    elif (then.days, then.hours) < (now.days, now.hours):
        yield caution(
            "property.access.machine",
            f"A small machine can get in, but no work is planned with it: that alone digs nothing. It is dug {now.name}, "
            f"{now.hours:.0f} person-hours; {then.name} it takes {then.hours:.0f}.",
            figure=figure,
            limit=limit,
            advice="Set equipment.excavator to true to plan and price with it (hired, unless it stands under equipment.owned); "
            "the cost sheet has every way to dig side by side.",
        )
    else:
        text = f"A machine can get in, and would save nothing: it is dug {now.name}."
        yield ok("property.access.machine", text, figure=figure, limit=limit)


__all__ = ["FRESH"]
