"""Trials of the rules of the way out, of the runs, and of wall and footing: each trips, and its twin does not."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

from drainwright.field.model import Plan
from drainwright.field.terrain_model import WallSlope, WayOn, Whither
from drainwright.field.wall_slopes import REACH
from drainwright.findings.footing_room import footing_margins
from drainwright.findings.places import to_ring
from drainwright.findings.rules import Case
from drainwright.job.place import OutletRule
from drainwright.job.site import YardArea
from drainwright.job.values import Basis
from drainwright.system.model import JoinedCapacity
from drainwright.system.outlets.outfall_model import GroundWay
from drainwright.water.model import Cause, InputRange

from .change import (
    Change,
    Trial,
    as_designed,
    basin,
    coat,
    every,
    fact,
    job,
    job_run,
    outlet,
    outlet_at,
    put,
    run,
    station,
    stations,
    verdict,
    wall,
)

FOOT, INCH = 0.3048, 0.0254


@dataclass(frozen=True)
class Cone:
    """Ground that falls away from a house at one grade, on every side."""

    house: tuple[Plan, ...]
    grade: float
    known: bool = True

    def level(self, east: float, north: float) -> float:
        """Level of the ground [m]."""
        return 30.0 - self.grade * to_ring((east, north), self.house)

    def supported(self, east: float, north: float) -> bool:
        """Whether it was measured."""
        return self.known


UNFOLLOWED = put("site", "terrain", to=None)


def cleanouts(name: str, **values: Any) -> Change:
    """Change the cleanouts of a run."""

    def change(case: Case) -> Case:
        places = tuple(replace(one, **values) if one.run == name else one for one in case.system.cleanouts)
        return put("system", "cleanouts", to=places)(case)

    return change


def followed(back: bool = False, kind: Whither = "boundary", length: float = 20.0, **values: float) -> Change:
    """Follow the water that is let out at OUT; it runs 9 m from the house unless it is said otherwise."""
    on = WayOn(
        name="OUT", kind=kind, to="south side", path=((0.0, 0.0), (0.0, -length)), length=length, fall=0.3, walls=(),
        comes_back=back,
    )  # fmt: skip
    figures = {"nearest_house": 9.0, "starts_from_house": 9.0, "soaked_near": 0.0, **values}
    way = GroundWay(
        length=length, fall=0.3, to="south side", leaves_after=None, leaves_at=None, width=1.0, soaked=0.3, **figures
    )

    def change(case: Case) -> Case:
        falls = tuple(replace(fall, way=way) for fall in case.system.outfalls)
        case = put("site", "terrain", "ways_on", to=(on,))(case)
        return put("system", "outfalls", to=falls)(case)

    return change


def ground(grade: float, known: bool = True) -> Change:
    """Put the site on a cone."""
    return lambda case: put("site", "surface", to=Cone(case.site.outline, grade, known))(case)


def falls(slopes: tuple[float, ...], run: float = REACH) -> Change:
    """Ground that falls away from the west wall at these slopes, at places a metre apart; a run of 0: not known."""
    found = WallSlope(
        wall="west", station=tuple(float(n) for n in range(len(slopes))), run=(run,) * len(slopes),
        fall=tuple(run * slope for slope in slopes), reach=REACH, basis=Basis.MEASURED,
    )  # fmt: skip
    return put("site", "terrain", "wall_slopes", to=(found,))


def from_house(distance: float) -> Change:
    """Put the outlet so far north of the house's northernmost corner."""

    def at(case: Case) -> Plan:
        east, north = max(case.site.outline, key=lambda corner: corner[1])
        return east, north + distance

    return outlet_at(at)


def from_boundary(distance: float) -> Change:
    """Put the outlet so far inside the middle of the boundary's first side; negative lies outside it."""

    def at(case: Case) -> Plan:
        ring = case.site.boundary
        (e1, n1), (e2, n2) = ring[0], ring[1]
        middle = (sum(e for e, _ in ring) / len(ring), sum(n for _, n in ring) / len(ring))
        side = ((e1 + e2) / 2, (n1 + n2) / 2)
        length = ((e2 - e1) ** 2 + (n2 - n1) ** 2) ** 0.5
        inward = (-(n2 - n1) / length, (e2 - e1) / length)
        if (middle[0] - side[0]) * inward[0] + (middle[1] - side[1]) * inward[1] < 0:
            inward = (-inward[0], -inward[1])
        return side[0] + distance * inward[0], side[1] + distance * inward[1]

    return outlet_at(at)


def _taken(case: Case, load: float) -> JoinedCapacity:
    """A line that carries one unit, with so much of it taken."""
    return JoinedCapacity(
        name="old line", pipe=case.system.runs[0].pipe, grade=0.01, capacity=0.01, pumped=0.01 * load - 0.001,
        roof=0.0005, other=0.0005, basis=Basis.STATED,
    )  # fmt: skip


def joins(load: float) -> Change:
    """Join such a line."""
    return lambda case: put("system", "joined", to=_taken(case, load))(case)


def joined_aside(load: float) -> Change:
    """Join such a line at another way out."""
    return lambda case: put("system", "joints", to={"SIDE": _taken(case, load)})(case)


def shared(load: float) -> Change:
    """Join a line that another way out joins, too: half of the load comes there."""

    def change(case: Case) -> Case:
        line = _taken(case, load)
        half = line.pumped / 2.0
        return put("system", "joined", to=replace(line, pumped=half, beside=half, shared=("SIDE",)))(case)

    return change


def beside_the_pump(*, reaches: bool) -> Change:
    """Let water run by its own weight to a second way out, beside the one that is pumped."""

    def change(case: Case) -> Case:
        falls = next(item for item in case.system.runs if not item.pressure)
        side = replace(case.system.gravity[0], discharge="SIDE", reaches=reaches, lawful="allowed")
        runs = (*case.system.runs, replace(falls, name="GL", lower="SIDE"))
        return every(put("system", "runs", to=runs), put("system", "gravity", to=(side,)))(case)

    return change


def another_way_out(lawful: str = "allowed", drains: tuple[str, ...] = ("FD1",)) -> Change:
    """A second way out whose level would take footing drains that are lifted."""

    def change(case: Case) -> Case:
        (first, *_) = case.system.gravity
        side = replace(first, discharge="SIDE", reaches=True, lawful=lawful, drains=drains, drains_at=29.0)
        return put("system", "gravity", to=(replace(first, reaches=False, lacks="level"), side))(case)

    return change


def end(name: str, above: float) -> Change:
    """Put the end of a run so far above the ground."""
    return stations(name, only=-1, invert=lambda s: s.ground + above)


OUTLET = (
    Trial("OUT-01", "ok", change=verdict(lawful="allowed")),
    Trial("OUT-01", "ok", change=verdict(lawful="permit granted")),
    Trial("OUT-01", "caution", change=verdict(lawful="permit needed")),
    Trial("OUT-01", "caution", change=verdict(lawful="unknown")),
    Trial("OUT-01", "fails", change=verdict(lawful="forbidden")),
    Trial("OUT-02", "ok", change=verdict(reaches=False)),
    Trial("OUT-02", "ok", change=verdict(reaches=False, lacks="way"), says="the runs as laid have not the fall"),
    Trial("OUT-02", "ok", change=verdict(reaches=False, lacks="free water"), says="the water that may stand there"),
    Trial("OUT-02", "caution", change=verdict(reaches=False, lacks="ground", above_ground=0.1524),
          says="its level would do, yet it lies 6 in above the ground there"),
    Trial("OUT-02", "caution", change=verdict(reaches=True, lawful="allowed"), says="Leave the pump out"),
    Trial("OUT-02", "caution", change=verdict(reaches=True, lawful="unknown"), says="Ask whether"),
    Trial("OUT-02", "ok", change=verdict(reaches=True, lawful="forbidden"), says="may not be used"),
    Trial("OUT-02", "ok", where="works.discharge.SIDE", says="no pump lifts it", change=beside_the_pump(reaches=True)),
    Trial("OUT-02", None, change=beside_the_pump(reaches=False)),
    Trial("OUT-02", "caution", where="works.discharge.OUT", change=another_way_out(),
          says="SIDE, which may be used, would take the water of FD1 without a pump"),
    Trial("OUT-02", "ok", where="works.discharge.OUT", change=another_way_out("unknown"), says="must be lifted"),
    Trial("OUT-02", "ok", where="works.discharge.OUT", change=another_way_out(drains=()), says="must be lifted"),
    Trial("OUT-02", "ok", base="gravity", change=verdict(reaches=True), says="no pump is needed"),
    Trial("OUT-02", "fails", base="gravity", change=verdict(reaches=False), says="no pump is planned"),
    Trial("OUT-03", "ok", base="gravity", change=from_boundary(3.1)),
    Trial("OUT-03", "fails", base="gravity", change=from_boundary(0.9), says="from the boundary: concentrated"),
    Trial("OUT-03", "fails", base="gravity", change=from_boundary(-8.0), says="outside the boundary"),
    Trial("OUT-03", "fails", base="gravity", change=every(outlet(kind="dry well"), from_boundary(0.9))),
    Trial("OUT-03", None, base="gravity", change=every(outlet(kind="street"), from_boundary(0.9))),
    Trial("OUT-03", None, base="gravity", change=every(put("site", "boundary", to=()))),
    Trial(  # what the place says of this kind comes before its general rule
        "OUT-03", "fails", base="gravity",
        change=every(
            from_boundary(4.0),
            job("rules", "outlets", to=(
                OutletRule.model_construct(kind="daylight", standing=fact("allowed"), boundary_setback=6.0, note=""),
            )),
        ),
    ),
    Trial("OUT-04", "ok", base="gravity", change=from_house(10 * FOOT)),
    Trial("OUT-04", "fails", base="gravity", change=from_house(9.9 * FOOT)),
    Trial("OUT-04", "fails", base="gravity", change=every(outlet(kind="dry well"), from_house(2.0))),
    Trial("OUT-04", None, change=every(outlet(kind="storm line"), from_house(2.0))),
    Trial("OUT-05", "ok", base="gravity", change=every(from_house(9.0), ground(0.02), UNFOLLOWED)),
    Trial("OUT-05", "caution", base="gravity", change=every(from_house(9.0), ground(0.005), UNFOLLOWED),
          says="nearly level"),
    Trial("OUT-05", "caution", base="gravity", change=every(from_house(9.0), ground(0.02, known=False), UNFOLLOWED),
          says="not measured"),
    Trial("OUT-05", "fails", base="gravity", change=every(from_house(9.0), ground(-0.02), UNFOLLOWED)),
    Trial("OUT-05", "fails", base="gravity", change=every(from_house(9.0), ground(0.0), UNFOLLOWED), says="level"),
    Trial("OUT-05", None, base="gravity",
          change=every(outlet(kind="street"), from_house(9.0), ground(-0.02), UNFOLLOWED)),
    # followed: the way tells, whatever the ground does close by
    Trial("OUT-05", "ok", base="gravity", change=every(from_house(9.0), ground(-0.02), followed()), says="OUT-22"),
    Trial("OUT-05", None, base="gravity", change=every(from_house(9.0), ground(0.02), followed(nearest_house=1.0))),
    Trial("OUT-05", None, base="gravity", change=every(from_house(9.0), ground(0.02), followed(soaked_near=0.2))),
    Trial("OUT-05", None, base="gravity", change=every(from_house(9.0), ground(0.02), followed(True))),
    Trial("OUT-05", "fails", base="gravity", says="falls back",
          change=every(from_house(9.0), ground(-0.02), followed(kind="beyond the shots", length=2.0))),
    Trial("OUT-05", "ok", base="gravity", says="Followed",
          change=every(from_house(9.0), ground(-0.02), followed(kind="beyond the shots", length=4.0))),
    Trial("OUT-06", "ok", base="mended", change=joins(0.8)),
    Trial("OUT-06", "caution", change=joins(0.95)),
    Trial("OUT-06", "fails", change=joins(1.05), says="other"),
    Trial("OUT-06", None, change=put("system", "joined", to=None)),
    Trial("OUT-06", "ok", base="mended", change=shared(0.8), says="from here at SIDE too"),
    Trial("OUT-06", "fails", change=shared(1.05), says="from here at SIDE too"),
    Trial("OUT-06", "ok", where="works.discharge.SIDE.joins", says="from here", change=joined_aside(0.8)),
    Trial("OUT-06", "caution", where="works.discharge.SIDE.joins", says="full in the", change=joined_aside(0.95)),
    Trial("OUT-06", "fails", where="works.discharge.SIDE.joins", says="from here", change=joined_aside(1.05)),
    Trial("OUT-07", "ok",
          change=every(job("rules", "frost_depth", to=fact(0.5)),
                       stations("DL", cover=0.6, invert=lambda s: s.distance))),
    Trial("OUT-07", "ok", says="drains itself",
          change=every(job("rules", "frost_depth", to=fact(0.5)),
                       stations("DL", cover=0.1, invert=lambda s: -s.distance))),
    Trial("OUT-07", "caution",
          change=every(job("rules", "frost_depth", to=fact(0.5)), outlet(air_gap=True, winter_relief=False),
                       stations("DL", cover=0.3, invert=lambda s: s.distance))),
    Trial("OUT-07", "caution",
          change=every(job("rules", "frost_depth", to=fact(0.5)), outlet(air_gap=False, winter_relief=True),
                       stations("DL", cover=0.3, invert=lambda s: s.distance))),
    Trial("OUT-07", "fails",
          change=every(job("rules", "frost_depth", to=fact(0.5)), outlet(air_gap=False, winter_relief=False),
                       stations("DL", cover=0.3, invert=lambda s: s.distance))),
    Trial("OUT-07", None, change=job("rules", "frost_depth", to=fact(0.0))),
    # a line that rises to its end stands full there: all of it below frost but for the end, which is in the air
    Trial("OUT-07", "fails", says="above the ground",
          change=every(job("rules", "frost_depth", to=fact(0.5)), outlet(air_gap=False, winter_relief=False),
                       stations("DL", cover=0.6, invert=lambda s: s.distance), stations("DL", only=-1, cover=-0.1))),
    # the same end, open, behind a pump without a check valve: all of it runs back into the basin
    Trial("OUT-07", "ok", says="drains itself",
          change=every(job("rules", "frost_depth", to=fact(0.5)), outlet(air_gap=False, winter_relief=False),
                       outlet(kind="daylight"), basin(check_valve=False),
                       stations("DL", cover=0.6, invert=lambda s: s.distance), stations("DL", only=-1, cover=-0.1))),
    # past its summit a line runs out at its end
    Trial("OUT-07", "ok", says="of cover",
          change=every(job("rules", "frost_depth", to=fact(0.5)), outlet(air_gap=False, winter_relief=False),
                       stations("DL", cover=0.6, invert=lambda s: s.distance),
                       stations("DL", only=-1, cover=-0.1, invert=0.0))),
    Trial("OUT-09", "ok", change=end("DL", -0.2)),
    Trial("OUT-09", "fails", change=end("DL", 0.3 * FOOT), says="3 5/8 in above the ground at OUT"),
    Trial("OUT-09", "fails", change=every(outlet(kind="dry well"), end("DL", 0.01)), says="in the air"),
    # 0.3 ft is more than the outside of a 2 in pipe, 2.375 in, and less than that of a 4 in one, 4.215 in
    Trial("OUT-09", "fails", change=every(outlet(kind="street"), end("DL", 0.3 * FOOT))),
    Trial("OUT-09", "ok", change=every(outlet(kind="street"), end("DL", 2.3 * INCH))),
    Trial("OUT-09", "ok", base="gravity", change=end("MD", 0.3 * FOOT)),
    Trial("OUT-09", "fails", base="gravity", change=end("MD", 0.4 * FOOT)),
    Trial("OUT-08", "caution", base="gravity",
          change=every(outlet(tailwater=29.9), stations("MD", only=-1, water=lambda s: s.invert + 0.2))),
    Trial("OUT-08", "ok", base="gravity",
          change=every(outlet(tailwater=29.5), stations("MD", only=-1, water=lambda s: s.invert + 0.05))),
    Trial("OUT-08", None, base="gravity", change=outlet(tailwater=None)),
)  # fmt: skip


def flows(roof: float = 0.0, yard: float = 0.0, below: float = 1e-4) -> dict[Cause, float]:
    """Flows by cause [m³/s]."""
    return {Cause.ROOF: roof, Cause.YARD: yard, Cause.GROUND: below}


def clear(name: str) -> Change:
    """A run with its water well below the ground."""
    return every(stations(name, water=lambda s: s.ground - 0.5), run(name, surcharged=False))


def _under(case: Case) -> Case:
    """The inlet's grate below the pump's start."""
    here = case.system.station
    assert here is not None
    nodes = {**case.system.nodes, "CB1": replace(case.system.nodes["CB1"], rim=here.on - 0.1)}
    return put("system", "nodes", to=nodes)(case)


def node(name: str, at: Plan) -> Change:
    """Move a place of the network."""
    return lambda case: put(
        "system", "nodes", to={**case.system.nodes, name: replace(case.system.nodes[name], at=at)}
    )(case)  # fmt: skip


def straight(name: str) -> Change:
    """Draw a run straight from end to end, and take its bends out of the job."""

    def change(case: Case) -> Case:
        route = case.system.run(name).route
        return every(job_run(name, via=()), run(name, route=(route[0], route[-1])))(case)

    return change


PAVED = job(
    "yards",
    to=(
        YardArea.model_validate(
            {"name": "drive", "surface": "asphalt", "to": "away",
             "outline": ["-90 ft, -90 ft", "90 ft, -90 ft", "90 ft, 90 ft", "-90 ft, 90 ft"]}
        ),
    ),
)  # fmt: skip

RUNS = (
    Trial("NET-01", "ok", change=run("YD1", grade=0.0105), where="works.runs.YD1"),
    Trial("NET-01", "caution", change=run("YD1", grade=0.006), where="works.runs.YD1"),
    Trial("NET-01", "fails", change=run("YD1", grade=0.004), where="works.runs.YD1", says="falls only"),
    Trial("NET-01", "fails", change=run("YD1", grade=-0.01), where="works.runs.YD1", says="rises"),
    # the same fall from end to end, but level over the last stretch
    Trial(
        "NET-01", "fails", change=stations("YD1", only=-1, invert=lambda item: item.invert + 0.05),
        where="works.runs.YD1", says="in part",
    ),
    Trial("NET-02", "ok", change=stations("YD1", cover=0.21), where="works.runs.YD1"),
    Trial("NET-02", "caution", change=stations("YD1", only=5, cover=0.1), where="works.runs.YD1"),
    Trial("NET-02", "caution", change=every(PAVED, stations("YD1", cover=0.30)), where="works.runs.YD1", says="wheels"),
    Trial("NET-02", "ok", change=every(PAVED, stations("YD1", cover=0.31)), where="works.runs.YD1"),
    Trial("NET-02", "fails", change=stations("YD1", only=5, cover=-0.02), where="works.runs.YD1"),
    # the last ten feet before daylight come out of the ground, the stretch before them does not
    Trial("NET-02", "ok", base="gravity", where="works.runs.MD",
          change=every(stations("MD", cover=0.25), stations("MD", only=-1, cover=-0.05))),
    Trial("NET-02", "fails", base="gravity", where="works.runs.MD",
          change=every(stations("MD", cover=0.25), stations("MD", only=-5, cover=-0.05))),
    Trial("NET-02", "fails", base="gravity", where="works.runs.MD",  # nor may they hang in the air
          change=every(stations("MD", cover=0.25),
                       stations("MD", only=-1, cover=-0.25, invert=lambda s: s.ground + 0.2))),
    Trial("NET-02", "fails", where="works.runs.DL",  # a storm line lies in the ground
          change=every(stations("DL", cover=0.25), stations("DL", only=-1, cover=-0.05))),
    Trial("NET-03", "ok", change=run("YD1", flow=0.001, capacity=0.006, depth=0.03), where="works.runs.YD1"),
    Trial("NET-03", "caution", change=run("YD1", flow=0.0059, capacity=0.006, depth=0.09),
          where="works.runs.YD1"),
    Trial("NET-03", "fails", change=run("YD1", flow=0.007, capacity=0.006, depth=0.1),
          where="works.runs.YD1"),
    Trial("NET-04", "ok", change=clear("YD1"), where="works.runs.YD1"),
    Trial("NET-04", "caution", change=every(clear("YD1"), run("YD1", surcharged=True)),
          where="works.runs.YD1"),
    Trial("NET-04", "fails", change=every(clear("YD1"), stations("YD1", only=3, water=lambda s: s.ground + 0.1)),
          where="works.runs.YD1"),
    Trial("NET-04", "ok", base="gravity", where="works.runs.MD",
          change=every(clear("MD"), stations("MD", only=-1, water=lambda s: s.ground + 0.1))),
    Trial("NET-05", "ok", change=station(on=lambda s: s.floor + 0.1), where="works.runs.YD1"),
    Trial("NET-05", "fails",
          change=lambda c: run("YD1", invert_lower=c.system.station.on - 0.01)(c),  # type: ignore[union-attr]
          where="works.runs.YD1"),
    Trial("NET-05", "fails", change=_under, where="works.inlets.CB1"),
    Trial("NET-05", None, change=as_designed, where="works.inlets.CB1"),
    Trial("NET-05", None, change=every(_under, run("YD1", lower="OUT")), where="works.inlets.CB1"),
    Trial("NET-06", "ok", change=run("FD1", flows=flows()), where="works.runs.FD1"),
    Trial("NET-06", "fails", change=run("FD1", flows=flows(roof=1e-3)), where="works.runs.FD1"),
    Trial("NET-07", None, change=run("FD1", flows=flows())),
    Trial("NET-07", "fails", change=run("FD1", flows=flows(yard=1e-3)), where="works.runs.FD1"),
    Trial("NET-08", None, change=as_designed),
    Trial("NET-08", "fails", base="gravity", where="works.runs.MD",
          change=run("MD", pipe={"inside": 0.07, "key": "smaller"})),
    Trial("NET-08", None, base="gravity",
          change=run("MD", duty="overflow", pipe={"inside": 0.07, "key": "smaller"})),
    Trial("NET-09", "ok", change=job_run("FD1", cleanout=True), where="works.runs.FD1"),
    Trial("NET-09", "caution", change=job_run("FD1", cleanout=False), where="works.runs.FD1"),
    Trial("NET-09", "caution", change=as_designed, where="works.runs.YD1", says="1 cleanout wanted"),
    Trial("NET-09", "ok", change=cleanouts("YD1", fitted=True), where="works.runs.YD1", says="1 cleanout fitted"),
    Trial("NET-09", None, change=cleanouts("YD1", why="upper end"), where="works.runs.YD1"),
    # of a gravity line out a cleanout at its upper end is asked no more than of a leader
    Trial("NET-09", None, base="gravity", change=run("MD", duty="discharge line"), where="works.runs.MD"),
    Trial("NET-10", "ok", change=as_designed),
    Trial("NET-10", "fails", change=run("DL", pipe={"family": "D2729"}), says="pressure"),
    Trial("NET-10", "fails", change=run("L1", pipe={"perforated": True}), where="works.runs.L1"),
    Trial("NET-10", "fails", change=run("FD1", pipe={"perforated": False}), where="works.runs.FD1"),
    Trial("NET-10", "fails", change=run("FD1", pipe={"inside": 0.079}), where="works.runs.FD1"),
    Trial("NET-11", "ok", change=run("FD1", fabric=True), where="works.runs.FD1"),
    Trial("NET-11", "caution", change=run("FD1", fabric=False), where="works.runs.FD1", says="fines will wash"),
    Trial("NET-11", "caution", where="works.runs.FD1", says="the code asks",
          change=every(run("FD1", fabric=False), job("ground", "texture", to=fact("clay")))),
    Trial("NET-11", "caution", where="works.runs.FD1", says="seal",
          change=every(run("FD1", fabric=True), job("ground", "texture", to=fact("clay")))),
    Trial("NET-11", None, change=run("FD1", stone_width=0.0), where="works.runs.FD1"),
    Trial("NET-13", "ok", change=run("YD1", velocity=0.62), where="works.runs.YD1"),
    Trial("NET-13", "caution", change=run("YD1", velocity=0.6), where="works.runs.YD1"),
    Trial("NET-13", None, change=run("YD1", velocity=0.0, flow=0.0), where="works.runs.YD1"),
    Trial("NET-17", None, change=as_designed),
    Trial("NET-17", "fails", change=run("YD1", route=((-4.0, -1.0), (16.0, -1.0), (2.0, -1.0))), where="works.runs.YD1",
          says="over its own way for 45 ft 11"),  # 14 m back
    Trial("NET-17", "fails", where="works.runs.YD1",
          change=run("YD1", route=((-4.0, -1.0), (9.0, -1.0), (9.0, -4.0), (9.0, -1.2), (16.0, -1.2)))),
    # a sharp bend, and a way back 3 ft beside the way there
    Trial("NET-17", None, change=run("YD1", route=((-4.0, -1.0), (9.0, -1.0), (9.0, -4.0), (2.0, -2.0)))),
    Trial("NET-17", None, change=run("YD1", route=((-4.0, -1.0), (9.0, -1.0), (9.0, -1.9), (-4.0, -1.9)))),
    Trial("NET-34", None, change=as_designed),
    Trial("NET-34", "caution", where="works.runs.YD1", says="Bend 1 of YD1 turns 55°",
          change=run("YD1", route=((-4.0, -1.0), (9.0, -1.0), (12.0, -5.3)))),
    Trial("NET-34", "caution", where="works.runs.YD1", says="turns 74°",
          change=run("YD1", route=((-4.0, -1.0), (9.0, -1.0), (9.72, -3.5)))),  # 67.5° and 5° in the joints end at 72.5
    Trial("NET-34", None, change=run("YD1", route=((-4.0, -1.0), (9.0, -1.0), (9.84, -3.5)))),  # 71.4°
    Trial("NET-14", "ok", change=as_designed),
    # the west wall stands at east 0 and the west yard 14 ft from it: straight to the basin the run cuts the house
    Trial("NET-14", "fails", change=straight("YD1"), where="works.runs.YD1", says='by via "-1.00 ft, -1.00 ft"'),
    Trial("NET-14", "fails", base="metric", change=straight("YD1"), where="works.runs.YD1", says=' m"; or leave'),
    Trial("NET-14", "fails", change=run("YD1", route=((-4.0, 3.0), (16.0, 3.0))), where="works.runs.YD1",
          says="Move its bends"),  # it has its own
    Trial("NET-14", "fails", change=run("L1", route=((12.9, 0.5), (12.0, 0.5))), where="works.runs.L1",
          says="Move its end"),
    Trial("NET-14", "ok", change=run("L1", route=((12.9, 0.5), (15.0, 0.5)))),  # the tape's 2 in at the wall
    Trial("NET-14", "fails", change=node("CB1", (1.0, 3.0)), where="works.inlets.CB1", says="3 ft 3 3/8 in into"),
    Trial("NET-14", "ok", change=node("CB1", (0.04, 3.0))),
    Trial("NET-14", "fails", change=node("OUT", (2.0, 3.0)), where="works.discharge.OUT"),
    Trial("NET-14", "fails", change=node("SUMP", (5.0, 3.0)), where="works.basin", says="A basin in the cellar"),
    # its middle is a foot off the wall, its inside half of 2 ft 6 in: 3 in in, less the misclosure
    Trial("NET-14", "fails", change=node("SUMP", (5.0, -FOOT)), where="works.basin", says="reaches 5 7/8 in into"),
)  # fmt: skip


def _wedge(below: float, allowed: float) -> Change:
    """The first footing wedge with other depths."""
    return lambda case: put(
        "build", "dig", "wedges",
        to=(replace(case.build.dig.wedges[0], below_footing=below, allowed_below=allowed, offset=allowed),),
    )(case)  # fmt: skip


def table(level: float | None) -> Change:
    """High ground water so far from the floor; None: not known."""

    def change(case: Case) -> Case:
        value = None if level is None else case.site.floor + level
        known = None if value is None else fact(value)
        return every(put("site", "water_table", to=value), job("ground", "water_table", to=known))(case)

    return change


def reach(above: float) -> Change:
    """The high ground water may stand so far above the floor."""

    def change(case: Case) -> Case:
        high = case.site.floor + above
        ranges = (
            InputRange(
                name="water table", low=high - 0.4, middle=high - 0.2, high=high, kind="length", basis=Basis.ASSUMED,
                why="a trial", share=0.1,
            ),
        )  # fmt: skip
        return put("inflows", "ranges", to=ranges)(case)

    return change


W = "house.walls.west"


def lowest_trench(case: Case) -> float:
    """Bottom of FD1's trench where it is lowest [m]."""
    return min(one.trench for one in footing_margins(case.site, case.system.run("FD1")))


def deep_footings(bottom: Callable[[Case], float], basis: Basis = Basis.ASSUMED) -> Change:
    """Every footing beside FD1 at that level, as deep as the lowest place of its trench or deeper."""

    def changed(case: Case) -> Case:
        level = bottom(case)
        for name in case.system.run("FD1").walls:
            told = next(one.wall.footing_bottom for one in case.site.walls if one.name == name)
            of_job = {"footing_bottom": told.model_copy(update={"basis": basis})}
            case = wall(name, footing_bottom=level, of_job=of_job)(case)
        return case

    return changed


FOOTING = (
    Trial("FTG-01", "ok", where="works.runs.FD1",
          change=lambda c: run("FD1", invert_upper=c.floor_underside - 0.11, invert_lower=c.floor_underside - 0.3)(c)),
    Trial("FTG-01", "fails", where="works.runs.FD1",
          change=lambda c: run("FD1", invert_upper=c.floor_underside - 0.09, invert_lower=c.floor_underside - 0.3)(c)),
    Trial("FTG-01", "fails", where="works.runs.FD1", says="above the underside",
          change=lambda c: run("FD1", invert_upper=c.floor_underside + 0.09)(c)),
    Trial("FTG-01", "ok", base="gravity", says="crawl-space soil", where="works.runs.FD1",
          change=lambda c: run("FD1", invert_upper=c.site.floor - 0.11, invert_lower=c.site.floor - 0.3)(c)),
    Trial("FTG-02", "ok", change=deep_footings(lambda c: 20.0), where="works.runs.FD1", says="west"),
    Trial("FTG-02", "fails", change=wall("west", footing_bottom=29.9), where="works.runs.FD1", says="west"),
    Trial("FTG-02", "caution", where="works.runs.FD1", says="ends level with the bottom of the",
          change=deep_footings(lowest_trench)),
    Trial("FTG-02", "caution", where="works.runs.FD1", says="1 in over the bottom of the",
          change=deep_footings(lambda c: lowest_trench(c) - 0.99 * FOOT / 12)),
    Trial("FTG-02", "ok", where="works.runs.FD1", says="west",
          change=deep_footings(lambda c: lowest_trench(c) - 1.01 * FOOT / 12)),
    Trial("FTG-02", "ok", where="works.runs.FD1", says="where it was measured",
          change=deep_footings(lowest_trench, Basis.MEASURED)),
    Trial("FTG-02", None, change=run("FD1", walls=()), where="works.runs.FD1"),
    Trial("FTG-12", "ok", where="works.runs.FD1", says="west",
          change=every(wall("west", footing_top=29.9), wall("south", footing_top=29.9))),
    Trial("FTG-12", "caution", change=wall("west", footing_top=29.7), where="works.runs.FD1", says="west"),
    Trial("FTG-12", None, change=run("FD1", walls=()), where="works.runs.FD1"),
    Trial("FTG-03", "ok", change=job_run("FD1", beside_offset=10 * INCH), where="works.runs.FD1"),
    Trial("FTG-03", "fails", change=job_run("FD1", beside_offset=5 * INCH), where="works.runs.FD1",
          says="Move it out by 1 1/8 in"),  # 4 in of footing and half of 4.215 in of pipe, less 5 in
    Trial("FTG-03", "fails", change=every(job_run("FD1", beside_offset=8 * INCH),
          run("FD1", pipe={"envelope": 10 * INCH})), where="works.runs.FD1"),
    Trial("FTG-04", "ok", change=_wedge(0.8, 1.0), where="works.basin"),
    Trial("FTG-04", "fails", change=_wedge(1.1, 1.0), where="works.basin"),
    Trial("FTG-04", None, change=_wedge(0.001, 0.0)),
    Trial("FTG-04", "fails", where="works.inlets.CB1", says="The pit for CB1 enters the ground",
          change=every(_wedge(1.1, 1.0), lambda c: put("build", "dig", "wedges", 0, "item", to="CB1")(c))),
    Trial("FTG-04", "fails", where=W, says="End the opened wall 3 ft 7 1/4 in or more short",
          change=every(_wedge(1.1, 1.0), lambda c: put("build", "dig", "wedges", 0, "item", to="west")(c))),
    Trial("FTG-05", "fails", change=every(table(0.1), coat("west", kind="damp-proofing")), where=W),
    Trial("FTG-05", "fails", change=every(table(0.1), coat("west", kind="none")), where=W, says="no coat"),
    Trial("FTG-05", "caution", change=every(table(-0.1), coat("west", kind="damp-proofing")), where=W),
    Trial("FTG-05", "caution", change=every(table(-0.1), reach(0.02), coat("west", kind="damp-proofing")), where=W,
          says="may stand above the floor"),
    Trial("FTG-05", "caution", change=every(table(-0.1), reach(-0.02), coat("west", kind="damp-proofing")), where=W,
          says="the drain must work"),
    Trial("FTG-05", "ok", change=every(table(-9.0), coat("west", kind="damp-proofing")), where=W),
    Trial("FTG-05", "ok", change=every(table(0.1), coat("west", kind="waterproofing")), where=W),
    Trial("FTG-05", "caution", change=every(table(None), coat("west", kind="damp-proofing")), where=W),
    Trial("FTG-05", "ok", change=every(table(None), coat("west", kind="waterproofing")), where=W),
    Trial("FTG-05", None, change=wall("west", of_job={"open_and_coat": False}), where=W),
    Trial("FTG-06", "ok", change=coat("west", top_above_grade=1.0 * INCH), where=W),
    Trial("FTG-06", "ok", change=coat("west", top_above_grade=2.0 * INCH), where=W),
    Trial("FTG-06", "caution", change=coat("west", top_above_grade=0.5 * INCH), where=W, says="behind it"),
    Trial("FTG-06", "caution", change=coat("west", top_above_grade=3.0 * INCH), where=W, says="weathers"),
    Trial("FTG-06", None, change=coat("west", kind="none"), where=W),
    Trial("FTG-07", "ok", change=as_designed, where=W),
    Trial("FTG-07", "fails", change=run("FD1", walls=("south",)), where=W),
    Trial("FTG-07", None, change=wall("west", of_job={"open_and_coat": False}), where=W),
    Trial("FTG-08", "ok", change=wall("west", of_job={"condition": "sound"}), where=W),
    Trial("FTG-08", "caution", change=wall("west", of_job={"condition": "cracked"}), where=W),
    Trial("FTG-08", "caution", change=wall("west", of_job={"condition": "unknown"}), where=W),
    Trial("FTG-08", "fails", change=wall("west", of_job={"condition": "bowed"}), where=W),
    Trial("FTG-08", "fails", change=wall("west", of_job={"material": "stone"}), where=W),
    Trial("FTG-08", "fails", change=wall("west", of_job={"material": "brick", "condition": "bowed"}), where=W),
    Trial("FTG-08", "caution", change=wall("west", of_job={"material": "brick", "condition": "sound"}), where=W,
          says="Pointing is not in the price"),
    Trial("FTG-08", "caution", change=wall("west", of_job={"material": "brick", "condition": "cracked"}), where=W,
          says="of brick and cracked"),
    Trial("FTG-08", "caution", change=every(wall("west", of_job={"material": "brick"}), coat("west", parge=False)),
          where=W, says="parged (R406.1)"),
    Trial("FTG-09", "caution", where=W, says="odd lengths first",
          change=every(put("build", "dig", "wall_panel", to=8 * FOOT), wall("west", length=8.1 * FOOT))),
    Trial("FTG-09", None, where=W,
          change=every(put("build", "dig", "wall_panel", to=8 * FOOT), wall("west", length=8 * FOOT))),
    Trial("FTG-09", "ok", change=put("build", "dig", "wall_panel", to=0.0), where=W, says="opened whole"),
    Trial("FTG-09", "ok", change=as_designed, where=W, says="2 ft 5"),
    Trial("FTG-09", "caution", base="metric", change=as_designed, where="house.walls.south", says="2.44 m open"),
    Trial("FTG-10", "ok", change=falls((0.06, 0.055)), where=W),
    Trial("FTG-10", "ok", change=falls((0.06, 0.055), run=1.0), where=W),
    Trial("FTG-10", "caution", change=falls((0.06, 0.04)), where=W, says="hardly falls away"),
    Trial("FTG-10", "caution", change=falls((0.06, 0.04), run=1.0), where=W, says="in 3 ft 3 3/8 in"),
    Trial("FTG-10", "caution", change=falls((-0.04, 0.06)), where=W, says="falls toward"),
    Trial("FTG-10", "caution", change=falls((0.06, 0.06), run=0.0), where=W, says="Nobody measured"),
    Trial("FTG-10", None, change=put("site", "terrain", to=None), where=W),
    Trial("FTG-11", "ok", change=run("FD1", stone_under=2 * INCH, stone_over=8 * INCH), where="works.runs.FD1"),
    Trial("FTG-11", "caution", change=run("FD1", stone_under=1 * INCH, stone_over=8 * INCH),
          where="works.runs.FD1"),
    Trial("FTG-11", "caution", change=run("FD1", stone_under=2 * INCH, stone_over=5 * INCH),
          where="works.runs.FD1"),
    Trial("FTG-11", "caution", where="works.runs.FD1", says="footing's top",  # 6 in over the footing's top too
          change=every(run("FD1", stone_over=6 * INCH),
                       lambda c: wall("west", footing_top=c.site.walls[0].footing_top + 0.5)(c))),
    Trial("FTG-11", "caution", where="works.runs.FD1", says="beyond it",  # 10 + 9 - 4 is 15 in; 10 + 5 - 4 is 11
          change=run("FD1", stone_over=8 * INCH, stone_width=10 * INCH)),
    Trial("FTG-11", None, change=run("FD1", stone_width=0.0), where="works.runs.FD1"),
    Trial("FTG-11", None, change=run("FD1", pipe={"envelope": 10 * INCH}), where="works.runs.FD1"),  # wrapped: no stone
)  # fmt: skip

TRIALS = (*OUTLET, *RUNS, *FOOTING)
