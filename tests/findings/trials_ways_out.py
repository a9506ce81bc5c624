"""Trials of soakaways, ends of pipes in the open, and what the place must be asked: each trips, its twin does not."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

from drainwright.findings.place_checks import place_checks
from drainwright.findings.rules import Case
from drainwright.findings.soaks import shape_of
from drainwright.job.ground_tests import HoleTest
from drainwright.job.place import PlaceRule
from drainwright.job.site import Protected
from drainwright.job.values import Basis, Level, Place
from drainwright.system.outlets.outfall_model import GroundWay
from drainwright.system.ways import stations_along

from .change import Change, Trial, as_designed, every, fact, job, outlet, put, run

FOOT = 0.3048


def soak(**values: Any) -> Change:
    """Change the first soakaway."""
    return lambda case: put("system", "soaks", 0, to=replace(case.system.soaks[0], **values))(case)


def fall(**values: Any) -> Change:
    """Change the first end of a pipe in the open."""
    return lambda case: put("system", "outfalls", 0, to=replace(case.system.outfalls[0], **values))(case)


def overflows_alone(case: Case) -> Case:
    """Give every run to the first way out the duty of an overflow."""
    name = case.job.works.discharge[0].name
    runs = tuple(replace(run, duty="overflow") if run.lower == name else run for run in case.system.runs)
    return put("system", "runs", to=runs)(case)


def pipe_end(**values: Any) -> Change:
    """Change the first end of a pipe."""
    return lambda case: put("system", "ends", 0, to=replace(case.system.ends[0], **values))(case)


INCH = 0.0254
KERB = {"form": "kerb hole", "kerb": 6 * INCH, "height": 0.5 * INCH, "opening": 2 * INCH, "core": 2.9 * INCH}
LID = {
    "form": "pop-up emitter", "fitting": "4 in", "ground": 30.0, "height": 0.02, "invert": 29.7, "elbow": 6.3 * INCH,
}  # fmt: skip
WAY = GroundWay(
    length=20.0, fall=0.5, to="south side", nearest_house=9.0, starts_from_house=9.0, leaves_after=None, leaves_at=None,
    width=1.0, soaked=0.3, soaked_near=0.0,
)  # fmt: skip


def way(**values: Any) -> Change:
    """Give the first end of a pipe a way on."""
    return fall(way=replace(WAY, **values))


def spared(kind: str, east: float, north: float, setback: float | None = None, *, wide: bool = False) -> Change:
    """Put something to be spared on the lot, at a place in feet; wide: an area of 4 ft."""
    corners = ((0, 0), (4, 0), (4, 4), (0, 4)) if wide else ((0, 0),)
    feet = [(east + x, north + y) for x, y in corners]
    thing = Protected.model_construct(
        name="the old one", kind=kind, note="",
        at=tuple(Place.model_construct(name=None, east=x * FOOT, north=y * FOOT) for x, y in feet),
        setback=None if setback is None else fact(setback * FOOT),
    )  # fmt: skip
    return job("property", "protected", to=(thing,))


def over(**values: Any) -> Change:
    """Change the soakaway's overflow."""
    return lambda case: put("system", "overflows", to=(replace(case.system.overflows[0], **values),))(case)


def stands(level: float) -> Change:
    """Water at the place that the overflow leaves [m]."""

    def change(case: Case) -> Case:
        at = {**case.system.water, "CB1": replace(case.system.water["CB1"], level=level)}
        return put("system", "water", to=at)(case)

    return change


def may(**values: Any) -> Change:
    """What the place says of every way out."""
    return lambda case: put("system", "gravity", to=tuple(replace(one, **values) for one in case.system.gravity))(case)


def ticked(met: bool | None) -> Change:
    """Write every demand that follows from the job into the place's own list, ticked so."""

    def change(case: Case) -> Case:
        rules = tuple(
            PlaceRule.model_construct(
                demand=f"{item.demand} ({item.key})", about=item.about, source="", date=None, met=met
            )
            for item in place_checks(case)
        )
        return job("rules", "checklist", to=rules)(case)

    return change


def shifted(east: float) -> Change:
    """Move the soakaway so far east, in feet."""

    def change(case: Case) -> Case:
        outlines = tuple(tuple((x + east * FOOT, y) for x, y in ring) for ring in case.system.soaks[0].outlines)
        return soak(outlines=outlines)(case)

    return change


def across(lift: float) -> Change:
    """The overflow laid straight to its end, over the trench, and so much higher, in feet."""

    def change(case: Case) -> Case:
        line = case.system.run("OF1")
        route = (line.route[0], line.route[-1])
        inverts = [line.invert_upper, line.invert_lower]
        laid = []
        for distance, at in stations_along(route):
            share = distance / math.dist(*route)
            invert = inverts[0] + share * (inverts[1] - inverts[0]) + lift * FOOT
            laid.append(replace(line.stations[0], distance=distance, at=at, invert=invert))
        return run("OF1", route=route, stations=tuple(laid))(case)

    return change


def in_wells(case: Case) -> Case:
    """The soakaway as two wells, the second where the straight way to the swale lies."""
    rings = tuple(
        tuple((x * FOOT + math.cos(turn), y * FOOT + math.sin(turn)) for turn in (0.0, 1.5, 3.0, 4.5))
        for x, y in ((62.0, 18.0), (60.5, -4.0))
    )
    return soak(kind="dry well", count=2, outlines=rings)(case)


def water(below: float) -> Change:
    """Ground water so far below the soakaway's bottom [m]."""
    return lambda case: soak(water_table=case.system.soaks[0].bottom - below)(case)


def cover(height: float) -> Change:
    """So much soil over the soakaway's stone [m]."""
    return lambda case: soak(top=case.system.soaks[0].ground - height)(case)


def bored(off: float, above: float, *, placed: bool = True) -> Change:
    """A percolation test so far from the soakaway, its bottom so far above; the rate leans on it [m]."""

    def change(case: Case) -> Case:
        one = case.system.soaks[0]
        shape = shape_of(one)
        east = shape.bounds[2] + off
        north = (shape.bounds[1] + shape.bounds[3]) / 2
        depth = case.site.surface.level(east, north) - one.bottom - above
        at = Place(east=east, north=north) if placed else None
        test = HoleTest.model_construct(name="T1", kind="percolation", soaked=True, at=at, hole_depth=depth)
        return every(job("ground", "hole_tests", to=(test,)), job("ground", "conductivity", to=None))(case)

    return change


no_holes = job("ground", "dug_holes", to=())


def read_at(reference: str) -> Change:
    """The high water read from a point or from the house."""
    return every(no_holes, job("ground", "water_table", to=fact(Level(offset=-2.0, reference=reference))))


fast = fall(velocity=2.0, stone=0.06, apron=0.5, apron_thickness=0.2)
frost = job("rules", "frost_depth", to=fact(0.6))
no_frost = job("rules", "frost_depth", to=fact(0.0, Basis.ASSUMED))
roomy = soak(fullest=0.6, silted=0.7, nested=0.8)

TRIALS = (
    Trial("OUT-10", "ok", roomy, "soak", says="to spare"),
    Trial("OUT-10", "caution", every(roomy, soak(silted=1.5)), "soak", says="silted"),
    Trial("OUT-10", "caution", every(roomy, soak(nested=1.5)), "soak", says="every duration at once"),
    Trial("OUT-10", "ok", every(roomy, soak(nested=None)), "soak"),
    Trial("OUT-10", "caution", soak(fullest=1.2, spilled=0.5, overflow="KERB"), "soak", says="to KERB"),
    Trial("OUT-10", "fails", soak(fullest=1.2, spilled=0.5, overflow=None), "soak", says="too small"),
    Trial("OUT-10", "ok", every(roomy, soak(kind="dry well", count=3)), "soak", says="3 dry wells"),
    Trial("OUT-10", None, as_designed, "pumped"),
    Trial("OUT-11", "ok", as_designed, "soak"),
    Trial("OUT-11", "fails", soak(half_empty=3 * 86400.0), "soak", says="too slow"),
    Trial("OUT-11", "fails", soak(half_empty=math.inf), "soak", says="never"),
    Trial("OUT-12", "ok", as_designed, "soak"),
    Trial("OUT-12", "caution", soak(soil_rate=3e-6), "soak", says="slower"),
    Trial("OUT-12", "fails", soak(soil_rate=1e-6), "soak", says="too slow"),
    Trial("OUT-12", "caution", soak(rate_from="half the ground's conductivity"), "soak", says="half"),
    Trial("OUT-13", "ok", as_designed, "soak"),
    Trial("OUT-13", "caution", soak(water_table=None), "soak", says="Nobody knows"),
    Trial("OUT-12", "caution", soak(rate_from="told for its place, not measured"), "soak",
          says="was told, not measured"),
    Trial("OUT-12", "caution", every(soak(rate_from="half the ground's conductivity"), bored(4.0, 0.2)), "soak",
          says="conductivity by hole test T1 is taken"),
    Trial("OUT-29", None, as_designed, "soak"),
    Trial("OUT-29", None, every(bored(4.0, 0.2), job("ground", "conductivity", to=fact(1e-5))), "soak"),
    Trial("OUT-29", "ok", bored(4.0, 0.0), "soak", says="was tested where SOAK goes"),
    Trial("OUT-29", "ok", bored(7.6, 0.15), "soak"),
    Trial("OUT-29", "caution", bored(8.0, 0.0), "soak", says="lies 26 ft 3 in from it. Soil differs"),
    Trial("OUT-29", "caution", bored(0.0, 0.16), "soak", says="ends 6 1/4 in above its bottom"),
    Trial("OUT-29", "caution", bored(9.0, 0.6), "soak", says="from it and ends"),
    Trial("OUT-29", "caution", bored(0.0, 0.0, placed=False), "soak", says="Nobody told where the soil was tested"),
    Trial("OUT-30", "caution", no_holes, "soak", says="read at a place that nobody told"),
    Trial("OUT-30", "ok", read_at("floor"), "soak"),
    Trial("OUT-30", "caution", every(read_at("floor"), soak(house_distance=8.0)), "soak",
          says="taken from the house, 26 ft 3 in away"),
    Trial("OUT-30", "caution", read_at("G1"), "soak", says="taken from G1"),
    Trial("OUT-30", "ok", read_at("P1"), "soak"),
    Trial("OUT-30", "ok", every(no_holes, bored(2.0, -3.0)), "soak", says="tells how high"),  # dry to below that level
    Trial("OUT-30", "caution", every(no_holes, bored(2.0, 0.0)), "soak", says="one level"),  # ends above it
    Trial("OUT-30", None, soak(water_table=None), "soak"),
    Trial("OUT-13", "caution", every(soak(water_table=None), bored(2.0, 0.6096)), "soak",
          says="only reaches to 2 ft above its bottom"),
    Trial("OUT-13", "caution", every(soak(water_table=None), bored(2.0, -0.5)), "soak", says="that was one day"),
    Trial("OUT-13", "caution", every(job("units", to="SI"), soak(water_table=None)), "soak", says="1 m"),
    Trial("OUT-13", "fails", water(0.5), "soak", says="too low"),
    Trial("OUT-13", "fails", water(-0.1), "soak", says="below"),
    Trial("OUT-13", "fails", soak(mound=2.0), "soak", says="rises into the stone"),
    Trial("OUT-14", "ok", as_designed, "soak"),
    Trial("OUT-14", "fails", soak(house_distance=2.0), "soak", says="the house"),
    Trial("OUT-14", "fails", shifted(22.0), "soak", says="the boundary"),
    Trial("OUT-14", "fails", shifted(60.0), "soak", says="31 ft over the boundary"),  # 121 less 90
    Trial("OUT-14", "fails", shifted(31.0), "soak", says="2 ft over the boundary"),  # from 90 to 92
    Trial("OUT-14", "fails", shifted(31.0), "soak", says="on the neighbour's land"),
    Trial("OUT-14", "ok", put("site", "boundary", to=()), "soak"),
    Trial("OUT-15", "ok", as_designed, "soak"),
    Trial("OUT-15", "fails", spared("well", 60, 10), "soak", where="works.discharge.SOAK", says="50 ft"),
    Trial("OUT-15", "ok", spared("well", 70, 10, 5.0), "soak", where="works.discharge.SOAK"),
    Trial("OUT-15", "fails", spared("septic field", 58, 30, wide=True), "soak", where="works.discharge.SOAK"),
    Trial("OUT-15", "fails", spared("pool", 55, -42), "gravity", where="works.discharge.OUT"),
    Trial("OUT-15", "fails", spared("septic field", 70, 20), "gravity", where="works.runs.FD1", says="septic"),
    Trial("OUT-15", "ok", spared("septic field", 20, 120), "gravity", where="works.runs.FD1"),
    Trial("OUT-15", None, as_designed, "gravity"),
    Trial("OUT-16", "ok", soak(ground_slope=0.05), "soak"),
    Trial("OUT-16", "caution", soak(ground_slope=0.17), "soak", says="slope"),
    Trial("OUT-16", "fails", soak(ground_slope=0.25), "soak", says="steep"),
    Trial("OUT-16", "caution", cover(0.05), "soak", says="shallow"),
    Trial("OUT-16", "fails", cover(-0.05), "soak", says="stand out"),
    Trial("OUT-16", "fails", cover(-0.05), "soak", says="2 in above the ground"),
    Trial("OUT-16", "fails", soak(bottom=28.0, house_distance=0.3), "soak", says="footing"),
    Trial("OUT-17", "ok", as_designed, "soak"),
    Trial("OUT-17", "caution", soak(base_flow=1e-4), "soak", says="Ground water"),
    Trial("OUT-18", "ok", as_designed, "soak"),
    Trial("OUT-18", "fails", soak(mound_at_house=5.0), "soak", says="lifted"),
    Trial("OUT-18", None, soak(water_table=None), "soak"),
    # the water itself reaches the floor: no distance of the soakaway could ever pass
    Trial("OUT-18", "fails", soak(water_table=99.0, mound_at_house=0.02), "soak", says="Move it farther"),
    Trial("OUT-18", "caution", every(run("L1", duty="footing drain"), soak(water_table=99.0, mound_at_house=0.02)),
          "soak", says="footing drains must hold it down, and SOAK presses 3/4 in more of it on them"),
    Trial("OUT-19", "ok", as_designed, "soak", says="by OF1 to SWALE"),
    Trial("OUT-19", "caution", soak(overflow=None), "soak", says="No overflow is named"),
    Trial("OUT-19", "caution", soak(overflow="KERB"), "soak", says="no line leads there"),
    Trial("OUT-19", "caution", over(starts=1.0), "soak", says="could soak away"),
    Trial("OUT-19", "caution", every(over(starts=29.9), stands(29.95)), "soak", says="leaves without need"),
    Trial("OUT-19", "ok", every(over(starts=29.9), stands(29.89)), "soak"),
    Trial("OUT-19", "fails", may(lawful="forbidden"), "soak", says="may not go"),
    Trial("OUT-19", "caution", may(lawful="unknown"), "soak", says="nobody has yet said"),
    Trial("OUT-20", "caution", as_designed, "soak", says="must still be asked"),
    Trial("OUT-20", "ok", ticked(True), "soak"),
    Trial("OUT-20", "fails", ticked(False), "soak", says="Not met"),
    Trial("OUT-20", "caution", ticked(None), "soak"),
    Trial("OUT-21", "ok", as_designed, "gravity"),
    Trial("OUT-21", "ok", fall(surface="asphalt", allowed=math.inf), "gravity", says="asphalt"),
    Trial("OUT-21", "caution", fast, "gravity", says="Lay an apron"),
    Trial("OUT-21", "caution", fast, "gravity", says="SCS TP-61"),
    Trial("OUT-21", "caution", every(fast, fall(surface="bare soil")), "gravity", says="by soil and cover"),
    Trial("OUT-21", "caution", every(fast, fall(apron_given=0.3)), "gravity", says="too short"),
    Trial("OUT-21", "ok", every(fast, fall(apron_given=0.6)), "gravity", says="of stone"),
    Trial("OUT-21", None, as_designed, "soak"),
    Trial("OUT-25", None, outlet(kind="daylight"), "gravity"),
    Trial("OUT-25", "fails", outlet(overflow_only=True), "gravity", says="an overflow only"),
    Trial("OUT-25", "ok", every(outlet(overflow_only=True), overflows_alone), "gravity"),
    Trial("OUT-22", "ok", way(), "gravity"),
    Trial("OUT-22", "caution", way(leaves_after=12.0, leaves_at=(0.0, -10.0)), "gravity", says="leaves the lot"),
    Trial("OUT-22", "caution", way(nearest_house=1.0), "gravity", says="comes back near"),
    Trial("OUT-22", "caution", way(soaked_near=0.2, nearest_house=9.0), "gravity", says="20 %"),
    Trial("OUT-22", "fails", way(nearest_house=1.0, soaked_near=0.3), "gravity", says="seeps to the drain"),
    Trial("OUT-22", None, fall(way=None), "gravity"),
    Trial("OUT-23", "ok", every(no_frost, fall(spread=0.6)), "gravity"),
    Trial("OUT-23", "caution", fall(spread=2.0), "gravity", says="far into"),
    Trial("OUT-23", "caution", every(frost, fall(spread=0.6)), "gravity", says="freeze"),
    Trial("OUT-23", None, as_designed, "gravity"),
    Trial("OUT-24", "ok", as_designed, "soak", where="works.discharge.SOAK", says="2 ft"),
    Trial("OUT-24", "fails", shifted(-4.0), "soak", where="works.runs.OF1", says="passes through"),
    Trial("OUT-24", "fails", shifted(-2.2), "soak", where="works.runs.OF1", says="'via'"),
    Trial("OUT-24", "ok", shifted(-0.7), "soak"),
    Trial("OUT-24", "ok", shifted(9.0), "soak"),
    Trial("OUT-24", "fails", across(0.0), "soak", where="works.runs.OF1", says="passes through"),
    Trial("OUT-24", "caution", across(2.0), "soak", where="works.runs.OF1", says="over the stone"),
    Trial("OUT-24", "caution", across(-5.0), "soak", where="works.runs.OF1", says="under the stone"),
    Trial("OUT-24", "fails", every(across(0.0), run("OF1", pressure=True)), "soak", says="passes through"),
    Trial("OUT-24", "ok", every(across(0.0), run("OF1", lower="SOAK")), "soak"),
    Trial("OUT-24", "fails", every(in_wells, across(0.0)), "soak", says="passes through"),
    Trial("OUT-24", "ok", in_wells, "soak"),
    Trial("OUT-24", None, as_designed, "gravity"),
    Trial("OUT-26", "ok", as_designed, "metric", says="twice the bore"),
    Trial("OUT-26", "fails", pipe_end(gap=0.05), "metric", says="too small"),
    Trial("OUT-26", "caution", pipe_end(receiver=0.04), "metric", says="goes beside it"),
    Trial("OUT-26", None, as_designed, "gravity"),
    Trial("OUT-27", "ok", pipe_end(**KERB), "gravity", says="enough concrete"),
    Trial("OUT-27", "caution", pipe_end(**KERB | {"opening": 4 * INCH, "core": 4.7 * INCH}), "gravity", says="breaks"),
    Trial("OUT-27", "caution", pipe_end(**KERB | {"kerb": 4 * INCH}), "gravity", says="4 in high"),
    Trial("OUT-27", None, as_designed, "gravity"),
    Trial("OUT-28", "ok", pipe_end(**LID), "gravity", says="deep enough"),
    Trial("OUT-28", "fails", pipe_end(**LID | {"elbow": 0.35}), "gravity", says="too shallow"),
    Trial("OUT-28", None, as_designed, "gravity"),
)  # fmt: skip
