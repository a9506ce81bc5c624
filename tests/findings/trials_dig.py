"""Trials of the rules of the digging, and of how well things are known."""

from __future__ import annotations

import datetime
from dataclasses import replace
from decimal import Decimal
from typing import Any

from drainwright.build.model import LineAtShields, RockDays, RootCut, RootLoss, ShieldHire, ShieldPlace
from drainwright.build.paving import Paved
from drainwright.field.model import LevelBook, Traverse
from drainwright.field.terrain_model import NextShot
from drainwright.findings.rules import Case
from drainwright.job.locates import Locates
from drainwright.job.site import Agreed, FouledSoil, Surface
from drainwright.job.values import Basis, Place
from drainwright.system.grading.model import Near

from .change import Change, Trial, as_designed, crossing, every, fact, job, line, put, run, stations, trench, wall

FOOT = 0.3048


def roots(*distances: float, share: float = 0.0, sides: tuple[str, ...] = ()) -> Change:
    """Trenches through the root zone of one tree with a foot of trunk: the nearest decides."""
    cuts = tuple(
        RootCut(item="YD1", tree="old oak", distance=distance, root_radius=5.4, trunk_diameter=0.3)
        for distance in distances
    )
    loss = RootLoss(tree="old oak", share=share, sides=sides, nearest=min(distances), trunk_diameter=0.3)
    return every(put("build", "dig", "roots", to=cuts), put("build", "dig", "tree_roots", to=(loss,)))


def watched(case: Case) -> Case:
    """Half an hour of standing by at a live line is in the plan."""
    plan = case.build.plan
    one = replace(plan.tasks[0], key="trench", watch=0.5)
    return put("build", "plan", "tasks", to=(*plan.tasks, one))(case)


def book(misclosure: float | None, allowable: float | None = 0.003) -> Change:
    """A level book that misses by so much [m]."""
    return put("site", "level_book", to=LevelBook(
        lines=(), set_ups=2, misclosure=misclosure, allowable=allowable, distance=60.0, arithmetic=0.0,
    ))  # fmt: skip


def walk(gap: float) -> Change:
    """A perimeter walk of fifty metres that misses by so much [m]."""
    return put("site", "traverse", to=Traverse(
        perimeter=50.0, closure_east=gap, closure_north=0.0, angular_misclosure=None, adjusted=True,
    ))  # fmt: skip


def tie(weak: bool) -> Change:
    """The tied point with strong or weak ties."""

    def change(case: Case) -> Case:
        name = next(item.name for item in case.site.points.values() if item.way == "ties")
        return put("site", "points", to={name: replace(case.site.points[name], weak=weak)})(case)

    return change


def deposit(share: str, cap: float | None = None) -> Change:
    """A deposit of so much of a total of 10,000, where a tenth is allowed."""
    return every(
        lambda case: put("build", "price", to=replace(
            case.build.price, total=Decimal("10000.00"), deposit=Decimal("10000.00") * Decimal(share)))(case),
        job("rules", "deposit_fraction", to=fact(0.10)),
        job("rules", "deposit_cap", to=None if cap is None else fact(cap)),
    )  # fmt: skip


def over(yard: str, surface: Surface) -> Paved:
    """Three metres of a drain's trench under paving."""
    return Paved(
        dig="FD1", yard=yard, surface=surface, length=3.0, area=0.9, taken=2.0, edge=6.0, thickness=4 / 12 * FOOT,
        basis=Basis.ASSUMED,
    )  # fmt: skip


def shields_at(*lines: LineAtShields) -> Change:
    """Shields in the basin's hole with these buried lines in their way."""
    place = ShieldPlace(
        where="SUMP", trench="SUMP", kind="basin", work="trench", length=1.4, sets=1, days=(4,), lines=lines
    )
    return put("build", "shields", to=ShieldHire(set_length=2.4, least=1.0, places=(place,), needed=(1,), days=(1.0,)))


def roofs(share: float) -> Change:
    """Roof of so much of the house's plan."""

    def change(case: Case) -> Case:
        ring = case.site.outline
        plan = abs(sum(ring[i - 1][0] * ring[i][1] - ring[i][0] * ring[i - 1][1] for i in range(len(ring)))) / 2
        roof = case.job.roofs[0].model_copy(update={"area": fact(share * plan)})
        return job("roofs", to=(roof,))(case)

    return change


def looked_up(*but: str) -> Change:
    """All rules of the place looked up, but for some."""

    def change(case: Case) -> Case:
        names = (
            "code_edition", "locate_notice", "ticket_life", "tolerance_zone", "boundary_setback", "frost_depth",
            "deposit_fraction", "cancellation_days", "house_foundation_letters",
        )  # fmt: skip
        for name in names:
            old = getattr(case.job.rules, name)
            basis = Basis.ASSUMED if name in but else Basis.MAPPED
            case = job("rules", name, to=old.model_copy(update={"basis": basis}))(case)
        return case

    return change


def days(number: int, start: datetime.date | None = datetime.date(2026, 6, 15)) -> Change:
    """Work of so many days, with 3 days' notice and a ticket of 15."""
    return every(
        job("crew", "start", to=start),
        job("rules", "locate_notice", to=fact(3)),
        job("rules", "ticket_life", to=fact(15)),
        put("build", "plan", "days", to=number),
    )


def called(day: str, white: bool | None = True, renewals: tuple[str, ...] = (), **said: str | None) -> Change:
    """A ticket called for on a day, all lines marked but for those said otherwise; None: no answer entered."""

    def change(case: Case) -> Case:
        told = {line.name: "marked" for line in case.job.utilities} | said
        answers = [{"line": line, "answer": answer} for line, answer in told.items() if answer is not None]
        ticket = Locates.model_validate(
            {"number": "T-1", "called": day, "white_marked": white, "renewals": renewals, "answers": answers}
        )
        return job("locates", to=ticket)(case)

    return change


def uncalled(**values: Any) -> Change:
    """A ticket on which nobody wrote the day of the call."""
    return job("locates", to=Locates.model_validate(values))


def letters(depth: float) -> Change:
    """The west wall's trench under OSHA's letters."""
    return trench("west", protection="house-foundation letters", depth_greatest=depth, spoil_setback=depth)


def planted(name: str, utility: str, clearance: float, *, crossing: bool = True) -> Change:
    """A line through or near the basin's hole or an inlet's body."""

    def change(case: Case) -> Case:
        like = next(item for item in case.build.dig.crossings if item.utility == utility)
        extra = replace(like, run=name, clearance=clearance, crossing=crossing, stretch=None)
        return put("build", "dig", "crossings", to=(*case.build.dig.crossings, extra))(case)

    return change


def gas_beside(name: str, gap: float, **values: Any) -> Change:
    """A gas line at the side of a hole or an inlet's body, so far off at any depth."""
    return every(
        planted(name, "valve wires", gap, crossing=False),
        crossing(name, "valve wires", **{
            "kind": "gas", "clearance": gap, "clearance_least": gap, "clearance_most": gap, **values,
        }),
    )  # fmt: skip


def dear(key: str) -> Change:
    """A price line that makes more than half of the cost."""

    def change(case: Case) -> Case:
        lines = case.build.price.lines
        number = next(i for i, item in enumerate(lines) if item.key == key)
        return put("build", "price", "lines", number, "amount", to=case.build.price.direct_cost * Decimal("0.51"))(case)

    return change


ROCK = RockDays(hours=20.0, days=8, days_likely=8, days_bad=10)
AGREED = Agreed(by="Peak Gas", on=datetime.date(2026, 5, 4), text="3 in apart")


def no_grade(run_name: str, utility: str, *, dear: bool = False) -> Change:
    """A grading that proved that no grade keeps more room to a line; or one that held it too dear."""

    def change(case: Case) -> Case:
        near = Near(line=run_name, other=utility, gap=0.1, wanted=0.3048, held=not dear, dear=dear)
        first, *rest = case.system.gradings
        return put("system", "gradings", to=(replace(first, near=(near,)), *rest))(case)

    return change


def twice(run_name: str, utility: str) -> Change:
    """A meeting told again."""

    def change(case: Case) -> Case:
        met = case.build.dig.crossings
        like = next(item for item in met if (item.run, item.utility) == (run_name, utility))
        return put("build", "dig", "crossings", to=(*met, like))(case)

    return change


DEEP: dict[str, Any] = {"utility_top": None, "clearance": None, "clearance_least": -0.1, "clearance_most": 0.5}
FD1, SUMP, WEST = "works.runs.FD1", "works.basin", "house.walls.west"
DIG = (
    Trial("DIG-01", "ok", where=FD1,
          change=every(crossing("FD1", "water service", clearance=0.5), crossing("FD1", "house sewer", clearance=0.4))),
    Trial("DIG-01", "caution", where=FD1, says="7 7/8 in apart, where 12 in is asked",
          change=every(crossing("FD1", "water service", clearance=0.5), crossing("FD1", "house sewer", clearance=0.2))),
    Trial("DIG-01", "ok", where=FD1,
          change=every(crossing("FD1", "water service", clearance=0.5), crossing("FD1", "house sewer", clearance=0.2),
                       job("criteria", "utility_clearance", to=0.2))),
    Trial("DIG-01", "caution", change=crossing("FD1", "water service", clearance=0.45), where=FD1, says="18 in"),
    Trial("DIG-01", "fails", change=crossing("FD1", "water service", clearance=-0.05), where=FD1),
    Trial("DIG-01", "fails", change=crossing("FD1", "house sewer", clearance=-0.05, crossing=False), where=FD1),
    Trial("DIG-01", "caution", where=FD1, says="they could meet",
          change=every(line("house sewer", depth_uncertainty=0.1524, located_by="private locate"),
                       crossing("FD1", "house sewer", clearance=0.1))),
    Trial("DIG-01", "ok", where=FD1,
          change=every(line("house sewer", depth_uncertainty=None, located_by="exposed by hand"),
                       crossing("FD1", "water service", clearance=0.5), crossing("FD1", "house sewer", clearance=0.1),
                       job("criteria", "utility_clearance", to=0.1))),
    Trial("DIG-01", "fails", where=FD1, says="they could meet",
          change=every(line("house sewer", kind="gas", depth_uncertainty=0.1524, located_by="private locate"),
                       crossing("FD1", "house sewer", kind="gas", clearance=0.1))),
    Trial("DIG-01", "fails", where=FD1, says="No grade of FD1 that keeps all else that is asked leaves more room",
          change=every(line("house sewer", kind="gas", depth_uncertainty=0.1524, located_by="private locate"),
                       crossing("FD1", "house sewer", kind="gas", clearance=0.1), no_grade("FD1", "house sewer"))),
    Trial("DIG-01", "caution", where=FD1, says="Peak Gas agreed in writing on 2026-05-04: “3 in apart”.",
          change=every(line("house sewer", kind="gas", depth_uncertainty=0.1524, located_by="private locate",
                            agreed=AGREED),
                       crossing("FD1", "house sewer", kind="gas", clearance=0.1))),
    Trial("DIG-01", "caution", where=FD1, says="they could meet",
          change=every(line("house sewer", kind="gas", live=False, depth_uncertainty=0.1524),
                       crossing("FD1", "house sewer", kind="gas", clearance=0.1))),
    Trial("DIG-01", "caution", where=FD1, says="No grade of FD1 that keeps all else that is asked leaves more room",
          change=every(line("house sewer", kind="propane", depth_uncertainty=None, located_by="exposed by hand"),
                       crossing("FD1", "house sewer", kind="propane", clearance=0.1), no_grade("FD1", "house sewer"))),
    Trial("DIG-01", "caution", where=FD1, says="than the room is held worth. Ask the line's",
          change=every(crossing("FD1", "house sewer", clearance=0.2), no_grade("FD1", "house sewer", dear=True))),
    Trial("DIG-01", "caution", where=FD1, says="all else that is asked leaves more room. Ask the line's owner",
          change=every(crossing("FD1", "house sewer", clearance=0.2), no_grade("FD1", "house sewer"))),
    Trial("DIG-01", "caution", where="works.runs.DL", says="No grade is sought for DL, a line under pressure",
          change=every(line("house sewer", kind="electric", depth_uncertainty=None, located_by="exposed by hand"),
                       crossing("FD1", "house sewer", run="DL", kind="electric", clearance=0.1))),
    Trial("DIG-01", "fails", where=FD1, says="nobody knows how deep",
          change=every(line("house sewer", kind="gas", depth=None),
                       crossing("FD1", "house sewer", kind="gas", **DEEP))),
    Trial("DIG-01", "caution", where=FD1, says="agreed in writing",
          change=every(line("house sewer", kind="gas", depth=None, agreed=AGREED),
                       crossing("FD1", "house sewer", kind="gas", **DEEP))),
    Trial("DIG-01", "caution", where=FD1, says="from the surface down over the whole crossing",
          change=every(line("house sewer", depth=None), crossing("FD1", "house sewer", **DEEP))),
    Trial("DIG-01", "ok", where=SUMP, says="keeps clear of it at any depth",
          change=every(line("house sewer", depth=None), planted("SUMP", "house sewer", 0.2, crossing=False),
                       crossing("SUMP", "house sewer", clearance=None, clearance_least=0.2, clearance_most=1.0))),
    Trial("DIG-02", "caution", where="utilities.house sewer", says="at a depth that nobody knows: dig",
          change=line("house sewer", depth=None)),
    Trial("DIG-01", "fails", where=SUMP, says="moved by its owner", change=planted("SUMP", "house sewer", -0.2)),
    Trial("DIG-01", "ok", where=SUMP, change=planted("SUMP", "house sewer", 0.2, crossing=False)),
    Trial("DIG-01", "fails", where="works.inlets.CB1",
          says="5/8 in from CB1, where 12 in is asked; its mark may be 2 ft wrong",
          change=every(line("valve wires", kind="gas"), gas_beside("CB1", 0.0146))),
    Trial("DIG-01", "ok", where="works.inlets.CB1",
          change=every(line("valve wires", kind="gas"), gas_beside("CB1", 0.31))),
    Trial("DIG-01", "caution", where="works.inlets.CB1", says="5/8 in from CB1, where 12 in is asked.",
          change=every(line("valve wires", kind="gas", located_by="exposed by hand"), gas_beside("CB1", 0.0146))),
    Trial("DIG-01", "caution", where="works.inlets.CB1", says="Peak Gas agreed in writing",
          change=every(line("valve wires", kind="gas", agreed=AGREED), gas_beside("CB1", 0.0146))),
    Trial("DIG-01", "fails", where=SUMP, says="1 1/2 in from SUMP, where 12 in is asked",
          change=every(line("valve wires", kind="gas", depth=None), gas_beside("SUMP", 0.0381, clearance=None))),
    Trial("DIG-01", "fails", where="works.inlets.CB1", says="body of CB1", change=planted("CB1", "valve wires", -0.1)),
    Trial("DIG-01", None, where="works.inlets.CB1", change=as_designed),
    Trial("DIG-02", "caution", change=every(twice("FD1", "house sewer"), twice("FD1", "house sewer")),
          where="utilities.house sewer", says="8 ft 10"),  # the same stretch counts once
    Trial("DIG-02", "caution", change=as_designed, where="utilities.house sewer", says="FD1 and YD1 meet"),
    Trial("DIG-02", None, change=put("build", "dig", "crossings", to=())),
    Trial("DIG-24", None, change=line("house sewer", kind="gas")),  # no rock in soil of type C, and none allowed for
    Trial("DIG-24", "caution", where="utilities.house sewer", says="In stable rock, a breaker is at hand",
          change=every(line("house sewer", kind="gas"), job("ground", "osha_type", to=fact("stable rock")))),
    Trial("DIG-24", "caution", where="utilities.house sewer", says="Where rock is met, as the price allows for it",
          change=every(line("house sewer", kind="electric"), put("build", "plan", "rock", to=ROCK))),
    Trial("DIG-24", None, change=every(
        line("house sewer", kind="gas", live=False), job("ground", "osha_type", to=fact("stable rock")))),
    Trial("DIG-24", None, change=job("ground", "osha_type", to=fact("stable rock"))),
    Trial("DIG-03", "ok", change=line("water service", shutoff="at the meter"), where="utilities.water service"),
    Trial("DIG-03", "caution", change=line("water service", shutoff=""), where="utilities.water service"),
    Trial("DIG-03", None, change=line("water service", live=False), where="utilities.water service"),
    Trial("DIG-04", "ok", change=put("build", "dig", "unlocated", to=())),
    Trial("DIG-04", "fails", change=put("build", "dig", "unlocated", to=("gas", "sewer")), says="gas, sewer"),
    Trial("DIG-05", None, change=line("valve wires", located_by="private locate")),
    Trial("DIG-05", "caution", change=line("valve wires", located_by="owner says"), says="owner says so"),
    Trial("DIG-05", "fails", change=line("valve wires", located_by="nobody", kind="electric"), says="drawn in"),
    Trial("DIG-06", "ok", change=trench("west", protection="none", depth_greatest=1.1), where=WEST),
    Trial("DIG-06", "ok", where="works.runs.L1", says="(29 CFR 1926.652(a)(1)(ii)). Where it crosses",
          change=trench("L1", over=("west",))),
    Trial("DIG-06", "ok", where="works.runs.L1", says="a cave-in (29 CFR 1926.652(a)(1)(ii)).", change=as_designed),
    Trial("DIG-06", "ok", where=WEST, says="stable rock",
          change=trench("west", protection="none", depth_greatest=2.0)),
    Trial("DIG-06", "caution", where=WEST,
          change=trench("west", protection="competent person decides", depth_greatest=1.3)),
    Trial("DIG-06", "caution", where=WEST, says="makes one hole with a deeper dig",
          change=trench("west", protection="slope or shield", depth_greatest=0.6, slope_run=1.5, slope_meets=())),
    Trial("DIG-06", "caution", change=letters(2.0), where=WEST, says="7 ft 6 in"),
    Trial("DIG-06", "caution", where=SUMP, says="sloped 1.5 to 1",
          change=trench("SUMP", protection="slope or shield", slope_run=1.5, slope_meets=())),
    Trial("DIG-06", "caution", where=SUMP, says="does not fit: it would reach the house and the cable",
          change=trench("SUMP", protection="slope or shield", slope_meets=("the house", "the cable"))),
    Trial("DIG-06", "caution", where=WEST, says="the depth is assumed, taken 6 in more",
          change=trench("west", protection="competent person decides", basis=Basis.ASSUMED)),
    Trial("DIG-06", "caution", where=SUMP, says="as type C for water",
          change=every(job("ground", "osha_type", to=fact("B")),
                       trench("SUMP", protection="slope or shield", slope_run=1.5))),
    Trial("DIG-06", "fails", where=SUMP, says="engineer",
          change=trench("SUMP", protection="engineer", depth_greatest=6.5)),
    Trial("DIG-07", "ok", where=WEST, change=trench("west", spoil_setback=2 * FOOT, spoil_room=5.0)),
    Trial("DIG-07", "caution", where=WEST, says="away over 50 % of its length: it is wheeled 65 ft 7",
          change=trench("west", spoil_setback=2 * FOOT, spoil_room=1.0, no_room=0.5, heap_way=20.0)),
    Trial("DIG-07", "caution", where=WEST, says="2 ft away: it is wheeled 65 ft 7",
          change=trench("west", spoil_setback=2 * FOOT, spoil_room=1.0, no_room=1.0, heap_way=20.0)),
    Trial("DIG-07", "caution", change=every(letters(2.0), trench("west", spoil_room=5.0)), where=WEST,
          says="by the letters"),
    Trial("DIG-07", "fails", change=every(letters(2.0), trench("west", spoil_room=2.0, no_room=1.0, heap_way=20.0)),
          where=WEST, says="slope or shield"),
    Trial("DIG-07", "caution", change=trench("west", spoil_room=None), where=WEST, says="not known"),
    Trial("DIG-07", None, change=put("build", "dig", "trenches", to=())),
    Trial("DIG-08", "caution", change=trench("SUMP", ladder=True), where=SUMP, says="within 25 ft"),
    Trial("DIG-08", "caution", change=trench("SUMP", ladder=True), where=SUMP, says="3 ft above the edge"),
    Trial("DIG-08", "caution", change=trench("SUMP", ladder=True), where=SUMP, says="4 ft without a ladder"),
    Trial("DIG-08", None, change=trench("SUMP", ladder=False), where=SUMP),
    Trial("DIG-09", "ok", change=every(put("build", "dig", "load_mass", to=3000.0),
                                                     job("equipment", "trailer_payload", to=3175.0))),
    Trial("DIG-09", "fails", change=every(put("build", "dig", "load_mass", to=5000.0),
                                                        job("equipment", "trailer_payload", to=3175.0))),
    Trial("DIG-09", None, change=put("build", "dig", "trailer_loads", to=0)),
    Trial("DIG-10", "caution", change=roots(2.0), says="root zone"),
    Trial("DIG-10", "caution", change=roots(1.4), says="an arborist is asked first"),  # 4.7 trunk diameters
    Trial("DIG-10", "caution", change=roots(2.0, share=0.3, sides=("east", "south")), says="two sides"),
    Trial("DIG-10", "caution", change=roots(2.0, share=0.2, sides=("east",)), says="cut no root thicker"),
    Trial("DIG-10", "fails", change=roots(0.8), says="three trunk diameters"),
    Trial("DIG-10", "fails", change=roots(3.0, 0.8, 2.0), says="2 ft 7 1/2 in"),
    Trial("DIG-10", None, change=put("build", "dig", "roots", to=())),
    # 15 June 2026 is a Monday; the full working days before it are Friday, Thursday, Wednesday: call on Tuesday
    Trial("DIG-11", "caution", change=days(5), says="call by 2026-06-09"),
    Trial("DIG-11", "caution", change=days(5, None), says="No start date"),
    Trial("DIG-11", "caution", change=days(13), says="Counted from the call"),
    Trial("DIG-11", "ok", change=every(days(5), called("2026-06-09")), where="locates"),
    Trial("DIG-11", "fails", change=every(days(5), called("2026-06-10")), says="from 2026-06-16", where="locates"),
    # fifteen working days after the 9th are over on the 30th; thirteen days of work end on 1 July
    Trial("DIG-11", "ok", change=every(days(12), called("2026-06-09")), where="locates"),
    Trial("DIG-11", "fails", change=every(days(13), called("2026-06-09")), says="Renew it by 2026-06-25"),
    Trial("DIG-11", "ok", change=every(days(13), called("2026-06-09", renewals=("2026-06-25",))), where="locates"),
    Trial("DIG-11", "fails", change=every(days(13), called("2026-06-09", renewals=("2026-07-01",)))),  # too late
    # renewed on Monday the 29th: its answers are due for 3 July, and the old ones run out on the 30th
    Trial("DIG-11", "fails", change=every(days(13), called("2026-06-09", renewals=("2026-06-29",))),
          where="locates.renewals", says="on 2026-07-01 the old one has run out"),
    Trial("DIG-11", "ok", change=every(days(13), called("2026-06-09", renewals=("2026-06-16", "2026-07-01"))),
          where="locates"),
    Trial("DIG-11", "fails", change=every(days(5), called("2026-05-11")), says="before the digging starts"),
    # a holiday on Friday the 12th puts the call a day earlier
    Trial("DIG-11", "caution", says="call by 2026-06-08",
          change=every(days(5), job("crew", "holidays", to=(datetime.date(2026, 6, 12),)))),
    # a ticket without the day of its call: the rest of it counts, and what is not known is told
    Trial("DIG-11", "caution", change=every(days(5), uncalled(number="T-1")), where="locates",
          says="no day of its call: from when it holds and until when is not known"),
    Trial("DIG-11", "caution", change=every(days(5), uncalled(valid_until="2026-07-10")),
          says="from when it holds is not"),
    Trial("DIG-11", "fails", change=every(days(5), uncalled(valid_until="2026-06-16")), says="and the work on"),
    Trial("DIG-11", "fails", change=every(days(5), uncalled(valid_from="2026-06-20", valid_until="2026-07-10")),
          says="Start on 2026-06-20 or later"),
    Trial("DIG-11", "caution", change=every(days(5), uncalled(valid_from="2026-06-01", valid_until="2026-07-10")),
          says="taken by the days that it names"),
    Trial("DIG-14", "fails", change=uncalled(answers=[{"line": "house sewer", "answer": "clear"}]),
          where="utilities.house sewer", says="one of the two is wrong"),
    Trial("DIG-15", "caution", change=uncalled(number="T-1"), says="not known"),
    Trial("DIG-14", None, change=as_designed),
    Trial("DIG-14", "ok", change=called("2026-06-09")),
    Trial("DIG-14", "fails", change=called("2026-06-09", **{"house sewer": "clear"}), where="utilities.house sewer",
          says="one of the two is wrong"),
    Trial("DIG-14", "fails", change=called("2026-06-09", **{"house sewer": None}), where="utilities.house sewer",
          says="do not dig on silence"),
    Trial("DIG-14", "caution", where="utilities.house sewer",
          change=every(called("2026-06-09", **{"house sewer": "no answer"}), put("build", "dig", "crossings", to=()))),
    Trial("DIG-14", "caution", change=called("2026-06-09", **{"house sewer": "not complete"}),
          where="utilities.house sewer"),
    Trial("DIG-14", "fails", where="locates", says="no well is entered",
          change=every(job("utilities", to=()), called("2026-06-09", water="clear"))),
    Trial("DIG-15", None, change=as_designed),
    Trial("DIG-15", "ok", change=called("2026-06-09")),
    Trial("DIG-15", "caution", change=called("2026-06-09", white=None), says="not known"),
    Trial("DIG-15", "caution", change=called("2026-06-09", white=False), says="not marked white"),
    Trial("DIG-12", "ok", change=lambda c: trench("west", width=2 * FOOT + 0.1016)(c), where=WEST),
    Trial("DIG-12", "fails", change=lambda c: trench("west", width=2 * FOOT)(c), where=WEST),  # less the footing
    Trial("DIG-13", "ok", change=as_designed),
    Trial("DIG-13", "ok", base="metric", change=as_designed),
    Trial("DIG-13", "caution", change=run("FD1", length=501 * FOOT), where=FD1, says="501 ft long"),
    Trial("DIG-13", "ok", change=run("FD1", length=499 * FOOT)),
    Trial("DIG-13", "caution", change=trench("west", depth_greatest=10.1 * FOOT), where=WEST, says="deep"),
    Trial("DIG-13", "ok", change=trench("west", depth_greatest=9.9 * FOOT)),
    Trial("DIG-13", "caution", change=put("build", "dig", "trailer_loads", to=41), where="equipment", says="41 t"),
    Trial("DIG-13", "caution", change=dear("stone.57"), where="price_book", says="washed stone"),
)  # fmt: skip


def _unmeasured(case: Case) -> Case:
    """One station a kilometre away."""
    return stations("YD1", only=-1, at=(1000.0, 1000.0))(case)


KNOWN = (
    Trial("SUR-01", "ok", change=book(-0.003)),
    Trial("SUR-01", "caution", change=book(None), says="not closed"),
    Trial("SUR-01", "caution", change=book(0.005), says="readings"),
    Trial("SUR-01", "fails", change=book(0.02), says="0.066 ft"),
    Trial("SUR-01", "fails", base="metric", change=book(-0.02), says="20.0 mm off"),
    Trial("SUR-01", None, change=put("site", "level_book", to=None)),
    Trial("SUR-02", "ok", change=walk(0.09)),
    Trial("SUR-02", "caution", change=walk(0.3)),
    Trial("SUR-02", "fails", change=walk(0.6)),
    Trial("SUR-02", None, change=put("site", "traverse", to=None)),
    Trial("SUR-03", "ok", change=tie(False)),
    Trial("SUR-03", "caution", change=tie(True)),
    Trial("SUR-04", "ok", change=put("site", "terrain", "next_shots", to=()), where="works.runs.YD1"),
    Trial("SUR-04", "caution", where="works.runs.L1", says="No shot lies within 4 ft of L1", change=put(
        "site", "terrain", "next_shots", to=(NextShot(at=(13.0, 0.5), why="No shot lies within 4 ft of L1: take one.",
                                                      bears_on="works.runs.L1", doubt=0.05, after=0.02),))),
    Trial("SUR-04", "caution", change=_unmeasured, where="works.runs.YD1", says="beyond the measured ground"),
    Trial("SUR-04", "ok", change=put("site", "terrain", to=None), where="works.runs.YD1"),
    Trial("SOI-01", "ok", change=put("inflows", "conductivity_basis", to=Basis.MEASURED)),
    Trial("SOI-01", "caution", change=put("inflows", "conductivity_basis", to=Basis.ASSUMED)),
    Trial("SOI-02", "ok", change=job("ground", "water_table", to=fact(29.0))),
    Trial("SOI-02", "caution", change=job("ground", "water_table", to=fact(29.0, Basis.ASSUMED))),
    Trial("SOI-02", "caution", change=job("ground", "water_table", to=None)),
    Trial("SOI-03", "ok", change=wall("west", of_job={"footing_bottom": fact(29.0)}), where=WEST),
    Trial("SOI-03", "caution", where=WEST,
          change=wall("west", of_job={"footing_bottom": fact(29.0, Basis.ASSUMED)})),
    # a drain lies along it, though it is not opened
    Trial("SOI-03", "caution", where=WEST,
          change=wall("west", of_job={"footing_bottom": fact(29.0, Basis.STATED), "open_and_coat": False})),
    Trial("SOI-03", None, where=WEST,
          change=every(wall("west", of_job={"open_and_coat": False}), run("FD1", walls=()))),
    Trial("SOI-04", "fails", change=job("ground", "expansive", to=True)),
    Trial("SOI-04", None, change=job("ground", "expansive", to=False)),
    Trial("RAI-01", "ok", change=job("rain", "basis", to=Basis.MAPPED)),
    Trial("RAI-01", "caution", change=job("rain", "basis", to=Basis.ASSUMED)),
    Trial("RAI-01", "caution", change=every(job("rain", "basis", to=Basis.STATED), job("rain", "source", to="")),
          says="no source named"),
    Trial("SIZ-01", "ok", change=roofs(1.0)),
    Trial("SIZ-01", "caution", change=roofs(0.5), says="sheds its water somewhere"),
    Trial("SIZ-01", "caution", change=roofs(1.6), says="not along its slope"),
    Trial("SIZ-01", "caution", change=job("roofs", to=()), says="Only 0 %"),
    Trial("PLA-01", "ok", change=looked_up()),
    Trial("PLA-01", "caution", change=looked_up("frost_depth"), says="frost depth"),
    Trial("PLA-01", "ok", change=looked_up("house_foundation_letters")),  # no trench leans on them
    Trial("PLA-01", "caution", change=every(letters(2.0), looked_up("house_foundation_letters")), says="letters"),
    Trial("COM-01", "ok", change=deposit("0.10")),
    Trial("COM-01", "fails", change=deposit("0.12"), says="1,000.00 at most"),
    Trial("COM-01", "fails", change=deposit("0.10", cap=500.0), says="500.00 at most"),
    Trial("COM-01", "ok", change=deposit("0.05", cap=500.0)),
    Trial("COM-02", "caution",
          change=every(job("demonstration", to=False), put("build", "price", "invented", to=True))),
    Trial("COM-02", None, change=every(job("demonstration", to=True), put("build", "price", "invented", to=True))),
    Trial("COM-02", None, change=every(job("demonstration", to=False), put("build", "price", "invented", to=False))),
)  # fmt: skip

ROOM = (
    Trial("DIG-16", None, change=every(trench("west", loads=()), trench("SUMP", loads=())), where=WEST),
    Trial("DIG-16", "caution", change=trench("west", loads=("the driveway (asphalt)",)), where=WEST, says="driveway"),
    Trial("DIG-16", "caution", change=trench("west", loads=(), machines=("the small excavator at work",)), where=WEST,
          says="weight of the small excavator at work"),
    Trial("DIG-16", "caution", change=trench("west", loads=(), machines=(), stands=(("side fence", "fence"),)),
          where=WEST, says="the side fence (fence)"),
    Trial("DIG-16", None, change=trench("west", loads=(), machines=(), stands=()), where=WEST),
    Trial("DIG-17", None, change=trench("west", water=0.0), where=WEST),
    Trial("DIG-17", "caution", change=trench("west", water=0.3), where=WEST, says="11 3/4 in"),
    Trial("DIG-17", "caution", change=trench("west", water=0.3, water_slopes=True), where=WEST,
          says="up to 11 3/4 in above the bottom of"),
    Trial("DIG-17", "caution", change=trench("west", water=0.3, water_slopes=True), where=WEST,
          says="the one level that is known of the lot lies above the ground there"),
    Trial("DIG-23", None, change=trench("west", along=(("house sewer", 5.0),))),
    Trial("DIG-23", "fails", where="utilities.house sewer", says="16 ft 4 7/8 in of it is bared",
          change=every(line("house sewer", kind="gas"), trench("west", along=(("house sewer", 5.0),)))),
    Trial("DIG-23", "fails", where="utilities.house sewer", says="agree in writing how it is held",
          change=every(line("house sewer", kind="electric"), trench("FD1", along=(("house sewer", 5.0),)))),
    Trial("DIG-23", "caution", where="utilities.house sewer",
          says="is bared while that is open. Peak Gas agreed in writing on 2026-05-04: “3 in apart”.",
          change=every(line("house sewer", kind="gas", agreed=AGREED), trench("west", along=(("house sewer", 5.0),)))),
    Trial("DIG-06", "fails", where=SUMP, says="live: neither slopes nor shields fit there, and no other protection is",
          change=trench("SUMP", protection="slope or shield", slope_meets=("the gas service",), bars=("gas service",))),
    Trial("DIG-06", "caution", where=SUMP, says="live: neither slopes nor shields fit there.",
          change=trench("SUMP", protection="slope or shield", bars=("gas service",), planned="shoring, N. Ross")),
    Trial("DIG-06", "caution", where=SUMP, says="upright sides so deep are themselves a sign of a cave-in",
          change=trench("SUMP", protection="competent person decides", slope_run=1.5)),
    Trial("DIG-06", "caution", where=SUMP, says="shallow trenches kill too",
          change=trench("SUMP", protection="competent person decides", slope_run=1.0, bars=("gas service",))),
    Trial("DIG-23", None, change=every(
        line("house sewer", kind="gas", live=False), trench("west", along=(("house sewer", 5.0),)))),
    Trial("DIG-30", None, change=every(
        line("house sewer", kind="gas"), trench("west", protection="slope or shield", close=()))),
    Trial("DIG-30", "fails", where="utilities.house sewer",
          says="runs along 4 3/8 in beside the trench along the west wall, for up to 16 ft 4 7/8 in and higher than "
          "the bottom: where it is marked may be 2 ft wrong",
          change=every(line("house sewer", kind="gas"), trench(
              "west", protection="slope or shield", close=(("house sewer", 0.11, 5.0),)))),
    Trial("DIG-30", "caution", where="utilities.house sewer", says="may be 2 ft wrong",
          change=every(line("house sewer", kind="gas"), trench(
              "west", protection="none", close=(("house sewer", 0.11, 5.0),)))),
    Trial("DIG-30", "caution", where="utilities.house sewer",
          says="the ground between may fall in and leave it bare. Peak Gas agreed in writing on 2026-05-04",
          change=every(line("house sewer", kind="gas", agreed=AGREED), trench(
              "west", protection="slope or shield", close=(("house sewer", 0.11, 5.0),)))),
    Trial("DIG-30", "caution", where="utilities.house sewer", says="the ground between may fall in and leave it bare.",
          change=every(line("house sewer", kind="gas", located_by="exposed by hand"), trench(
              "west", protection="slope or shield", close=(("house sewer", 0.11, 5.0),)))),
    Trial("DIG-25", None, change=as_designed),
    Trial("DIG-26", None, change=as_designed),
    Trial("DIG-26", "fails", where="ground.fouled", says="a smell of fuel (west wall), and nobody has tested it",
          change=job("ground", "fouled", to=FouledSoil(kind="fuel smell", where="west wall"))),
    Trial("DIG-26", "fails", says="septic effluent in it, and",
          change=job("ground", "fouled", to=FouledSoil(kind="septic effluent", cleared=" "))),
    Trial("DIG-26", "caution", says="settled: tested clean by N. Ross",
          change=job("ground", "fouled", to=FouledSoil(kind="fuel smell", cleared="tested clean by N. Ross"))),
    Trial("DIG-27", None, change=as_designed),
    Trial("DIG-27", "ok", where="crew.size", says="0.5 h of standing by are in the plan", change=watched),
    Trial("DIG-27", "fails", where="crew.size", says="Bring a second person",
          change=every(watched, job("crew", "size", to=1))),
    Trial("DIG-29", None, change=as_designed),
    Trial("DIG-29", "caution", where="property.access.stockpile",
          change=job("property", "access", "stockpile", to=Place(east=52 * FOOT, north=-30 * FOOT)),
          says="15 ft 2 3/4 in from the trunk of drive oak, over its roots"),
    Trial("DIG-29", None, change=job("property", "access", "stockpile", to=None)),
    Trial("DIG-29", None, change=put("site", "trees", to=())),
    Trial("DIG-28", None, change=as_designed),
    Trial("DIG-28", "caution", where=FD1,
          says="through the drive (concrete, 4 in thick, ASSUMED) for 9 ft 10 1/8 in: 22 ft² to be broken",
          change=put("build", "dig", "paved", to=(over("drive", "concrete"),))),
    Trial("DIG-28", "caution", where=FD1, says="by a thickness that nobody measured",
          change=put("build", "dig", "paved", to=(over("drive", "asphalt"),))),
    Trial("DIG-28", "caution", where=FD1, says="to be lifted and set again",
          change=put("build", "dig", "paved", to=(over("walk", "paving"),))),
    Trial("DIG-25", "caution", where="utilities.house sewer", says="lies across the shields of SUMP",
          change=shields_at(LineAtShields(line="house sewer", across=True))),
    Trial("DIG-25", "caution", where="utilities.house sewer", says="end 7 7/8 in from the house sewer (gas), live, and",
          change=every(line("house sewer", kind="gas"),
                       shields_at(LineAtShields(line="house sewer", across=False, gap=0.2)))),
    Trial("DIG-18", None, change=job("house", "deck_overhead", to=False)),
    Trial("DIG-18", "caution", change=job("house", "deck_overhead", to=True), where=WEST, says="deck"),
    Trial("DIG-18", "caution", change=trench("SUMP", under=("service drop",)), where=SUMP, says="within 10 ft of it"),
    Trial("DIG-18", "fails", where=SUMP, says="under the service drop",
          change=every(job("equipment", "excavator", to=True), trench("SUMP", under=("service drop",)))),
    Trial("DIG-19", None, change=as_designed),
    Trial("DIG-19", "fails", change=put("build", "dig", "spared", to=(("FD1", "porch pier", "footing"),)), where=FD1,
          says="without an engineer's design"),
    Trial("DIG-19", "fails", change=put("build", "dig", "spared", to=(("FD1", "old field", "septic field"),)),
          where=FD1, says="old field"),
    Trial("DIG-19", "caution", change=put("build", "dig", "spared", to=(("FD1", "bank", "steep bank"),)), where=FD1),
    Trial("DIG-19", "caution", change=put("build", "dig", "spared", to=(("FD1", "side fence", "fence"),)), where=FD1,
          says="goes through the side fence (fence)"),
    Trial("DIG-20", "ok", change=trench("YD1", spoil_room=5.0, depth_mean=0.6, width=0.3), where="works.runs.YD1"),
    # two feet clear, and 0.6 x 0.3 m of soil, loose, in a heap: more than one metre wide
    Trial("DIG-20", "caution", change=trench("YD1", spoil_room=1.5, depth_mean=0.6, width=0.3), where="works.runs.YD1",
          says="no room to heap"),
    Trial("DIG-20", None, change=trench("YD1", spoil_room=None), where="works.runs.YD1"),
)  # fmt: skip

TRIALS = (*DIG, *ROOM, *KNOWN)
