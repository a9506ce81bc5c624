"""Trials of the rules about the crew's days."""

from __future__ import annotations

import datetime
from dataclasses import replace
from typing import Any

from drainwright.build.working_days import WorkingDays
from drainwright.findings.rules import Case
from drainwright.job.firm import BookedVisit
from drainwright.job.locates import Locates

from .change import Change, Trial, as_designed, every, fact, job, put

CALLED = datetime.date(2026, 4, 8)


def badly(end: datetime.date) -> Change:
    """The last day with bad luck, twenty working days taken."""
    return every(put("build", "plan", "doubt", "booked_bad", to=20), put("build", "plan", "doubt", "end_bad", to=end))


def rain(*days: datetime.date) -> Change:
    """Rain in the forecast, the plan as it stands."""
    return job("crew", "rain_days", to=days)


def rain_after(key: str, days: int) -> Change:
    """Rain so many days after the day on which a work ends."""

    def change(case: Case) -> Case:
        plan = case.build.plan
        task = next(item for item in plan.tasks if item.key == key)
        ends = plan.dates[int(task.end / plan.day_length - 1e-6)]
        return rain(ends + datetime.timedelta(days=days))(case)

    return change


def comes(who: Any, days: int, line: str = "") -> Change:
    """Somebody comes so many days after the day on which the pump is started."""

    def change(case: Case) -> Case:
        plan = case.build.plan
        on = plan.dates[next(item.day for item in plan.tasks if item.key == "pump") - 1] + datetime.timedelta(days=days)
        return job("crew", "visits", to=(BookedVisit(who=who, on=on, line=line),))(case)

    return change


def used(**values: Any) -> Change:
    """The way that the plan digs."""

    def change(case: Case) -> Case:
        ways = tuple(replace(way, **values) if way.used else way for way in case.build.plan.ways)
        return put("build", "plan", "ways", to=ways)(case)

    return change


def gets_in(hours: float = -1.0, *, obstacles: tuple[str, ...] = (), there: bool = True) -> Change:
    """A machine can get in, none is planned, and with one it takes so many hours more."""

    def change(case: Case) -> Case:
        ways = case.build.plan.ways
        used = next(way for way in ways if way.name == "by hand")
        told = tuple(
            replace(way, used=way.name == "by hand", days=used.days, hours=used.hours + hours * way.excavator,
                    obstacles=obstacles if way.excavator else ())
            for way in ways
        )  # fmt: skip
        return every(
            put("build", "plan", "ways", to=told), job("property", "access", "machine", to=there),
            job("equipment", "excavator", to=False),
        )(case)  # fmt: skip

    return change


def chain(times: float) -> Change:
    """The soil's whole way so many times as fast as digging, were it all in open ground."""

    def change(case: Case) -> Case:
        earth = case.build.plan.earth
        assert earth is not None
        return put("build", "plan", "earth", "open_share", to=times)(case)

    return change


SUNDAY = WorkingDays(start=datetime.date(2026, 5, 3)).moved
FAR = datetime.date(2030, 1, 1)

TRIALS = (
    Trial("DAY-09", "caution", change=gets_in(), says="that alone digs nothing"),
    Trial("DAY-09", "ok", change=gets_in(1.0), says="would save nothing"),
    Trial("DAY-09", "ok", change=gets_in(obstacles=("the gate is narrow",)), says="but the gate is narrow"),
    Trial("DAY-09", None, change=gets_in(there=False)),
    Trial("DAY-09", None, change=every(gets_in(), job("equipment", "excavator", to=True))),
    Trial("DAY-01", None, change=as_designed),
    Trial("DAY-01", "ok", change=rain(FAR), where="crew.start"),
    Trial("DAY-01", "caution", change=rain_after("coat-1", 1), where="crew.start", says="coat 1 ends on"),
    Trial("DAY-01", "ok", change=rain_after("coat-2", 3)),  # a day's cure is over by then
    Trial("DAY-01", None, base="gravity", change=rain(FAR)),  # nothing is coated
    Trial("DAY-02", None, change=as_designed),
    Trial("DAY-02", "ok", change=rain(FAR), where="crew.start"),
    Trial("DAY-02", "caution", change=rain_after("open", 0), says="nobody in before the competent person"),
    Trial("DAY-03", "ok", change=as_designed, where="crew.start"),
    Trial("DAY-03", "caution", change=job("rules", "ticket_life", to=fact(4)), says="outlives the locate ticket"),
    Trial("DAY-03", "ok", where="crew.start",  # until a renewal's last day, 1 May, not for nine days of work
          change=every(badly(datetime.date(2026, 4, 30)), job("rules", "ticket_life", to=fact(9)),
                       job("locates", to=Locates(called=CALLED, renewals=(datetime.date(2026, 4, 20),))))),
    Trial("DAY-03", "caution", where="crew.start", says="outlives the locate ticket",
          change=every(badly(datetime.date(2026, 4, 22)), job("rules", "ticket_life", to=fact(9)),
                       job("locates", to=Locates(called=CALLED)))),
    Trial("DAY-03", "ok", where="crew.start", change=every(
        badly(datetime.date(2026, 5, 20)),
        job("locates", to=Locates(called=CALLED, valid_until=datetime.date(2026, 6, 30))))),
    Trial("DAY-03", None, change=job("crew", "start", to=None)),
    Trial("DAY-04", None, change=as_designed),
    Trial("DAY-04", "ok", change=used(excavator=True, obstacles=(), unsure=()), where="equipment"),
    Trial("DAY-04", "caution", change=used(carrier=True, obstacles=(), unsure=("the gate is not measured",)),
          where="equipment", says="the gate is not measured"),
    Trial("DAY-04", "fails", change=used(excavator=True, obstacles=("the gate is narrow",)), where="equipment",
          says="the gate is narrow"),
    Trial("DAY-04", "fails", where="property.access.by_hand", says="Nothing that is dug is called nowhere",
          change=every(used(excavator=True, obstacles=(), unsure=()),
                       job("property", "access", "by_hand", to=("west", "nowhere")))),
    Trial("DAY-04", "ok", where="equipment",
          change=every(used(excavator=True, obstacles=(), unsure=()),
                       job("property", "access", "by_hand", to=("west", "YD1")))),
    Trial("DAY-05", "ok", change=chain(0.5), where="price_book"),
    Trial("DAY-05", "caution", change=chain(0.3), where="price_book", says="common practice"),
    Trial("DAY-05", "caution", change=chain(0.7), where="price_book", says="70 %"),
    Trial("DAY-06", "ok", change=as_designed, where="equipment"),
    Trial("DAY-06", "ok", base="metric", change=as_designed, where="equipment"),
    Trial("DAY-06", "caution", change=job("equipment", "trailer_payload", to=60.0), where="equipment.trailer_payload",
          says="1,000 lb"),
    Trial("DAY-06", "caution", change=job("equipment", "barrow", to=0.5), where="equipment.barrow", says="10.0 ft³"),
    Trial("DAY-06", "ok", change=every(job("equipment", "barrow", to=0.5), job("equipment", "carrier", to=True))),
    Trial("DAY-06", "caution", change=job("equipment", "trailer_volume", to=30.0), says="20.0 yd³"),
    Trial("DAY-06", "caution", change=job("crew", "hours_per_day", to=0.5), where="crew.hours_per_day", says="4 h"),
    Trial("DAY-07", "ok", change=as_designed, where="crew.start"),
    Trial("DAY-07", None, change=put("build", "plan", "dates", to=())),
    Trial("DAY-07", "caution", change=put("build", "plan", "moved", to=SUNDAY), where="crew.start",
          says="a Sunday, which the crew does not work: work begins on 2026-05-04"),
    Trial("DAY-05", None, change=put("build", "plan", "earth", to=None)),
    Trial("DAY-08", None, change=as_designed),
    Trial("DAY-08", "ok", change=comes("electrician", -5), where="crew.visits[0]", says="no earlier than the visit of"),
    Trial("DAY-08", "ok", change=comes("electrical inspector", 0), where="crew.visits[0]"),
    Trial("DAY-08", "fails", change=comes("electrical inspector", -1), where="crew.visits[0]",
          says="there is nothing to see yet"),
    Trial("DAY-08", "caution", change=comes("line's owner", 0, "no line"), says="Nothing in the plan waits for"),
)  # fmt: skip
