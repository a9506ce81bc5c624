"""Cases for the ground water's rules."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

from drainwright.findings.rules import Case
from drainwright.job.ground_tests import DugHole, HoleTest, OpenWater, TakenOut
from drainwright.job.values import Basis, Place
from drainwright.water.model import Band, Cause

from .change import Change, Trial, as_designed, every, fact, job, put

FOOT = 0.3048


def lines(**values: Any) -> Change:
    """Change every line of the water table."""
    return lambda case: put(
        "inflows", "ground_lines", to=tuple(replace(line, **values) for line in case.inflows.ground_lines)
    )(case)


def over_floor(height: float) -> Change:
    """With the drains the water stands so far over the floor's underside; negative below it."""
    return lambda case: lines(level_with=case.floor_underside + height, capillary_rise=0.30)(case)


def pond(distance: float, bound: str = "pond", reach: float | None = None) -> Change:
    """Open water so far off, and how the drains stand to it."""
    water = OpenWater.model_construct(kind="pond", distance=distance, level=fact(31.0), tidal_range=0.0)

    def change(case: Case) -> Case:
        held = tuple(
            replace(item, bound=bound, influence=min(distance, 3.0) if reach is None else reach, far_level=31.0)
            for item in case.inflows.seepage
        )
        return every(job("ground", "open_water", to=water), put("inflows", "seepage", to=held))(case)

    return change


def hole(kind: str, soaked: bool, given: bool = False) -> Change:
    """One hole test, with or without a conductivity beside it."""
    test = HoleTest.model_construct(name="T1", kind=kind, soaked=soaked, hole_depth=0.9)
    conductivity = fact(1e-6) if given else None
    return every(job("ground", "hole_tests", to=(test,)), job("ground", "conductivity", to=conductivity))


def hole_elsewhere(case: Case) -> Case:
    """A hole whose place nobody gave."""
    test = HoleTest.model_construct(
        name="T1", kind="auger hole", soaked=False, at=None, hole_depth=0.9, water_depth=0.1
    )
    return job("ground", "hole_tests", to=(test,))(case)


def wet_hole(above: float) -> Change:
    """Water in an auger hole so far above the seasonal high water, or so far above 30 m where none is entered."""

    def change(case: Case) -> Case:
        table = case.site.water_table or 30.0
        at = Place(name="G2")
        ground = case.site.points["G2"].level or 0.0
        test = HoleTest.model_construct(
            name="T1", kind="auger hole", soaked=False, at=at, hole_depth=3.0, water_depth=ground - table - above
        )
        return job("ground", "hole_tests", to=(test,))(case)

    return change


def bored(east: float, north: float, depth: float, placed: bool = True) -> Change:
    """One percolation test at a place, the conductivity left to it [m]."""
    at = Place(east=east, north=north) if placed else None
    test = HoleTest.model_construct(name="T1", kind="percolation", soaked=True, at=at, hole_depth=depth)
    return every(job("ground", "hole_tests", to=(test,)), job("ground", "conductivity", to=None))


def dry_hole(below: float, *, known: bool = True) -> Change:
    """A hole at G2 that stayed dry, its bottom so far below the high water, or below 30 m where none is entered."""

    def change(case: Case) -> Case:
        table = (case.site.water_table if known else None) or 30.0
        depth = (case.site.points["G2"].level or 0.0) - table + below
        dug = DugHole.model_construct(name="D1", at=Place(name="G2"), depth=depth, water=None, date=date(2026, 8, 3))
        changed = job("ground", "dug_holes", to=(dug,))(case)
        return (
            changed
            if known
            else every(job("ground", "water_table", to=None), put("site", "water_table", to=None))(changed)
        )

    return change


def bailed(share: float, when: str = "wet season") -> Change:
    """So many times the likely ground water taken out of the house today."""

    def change(case: Case) -> Case:
        likely = case.inflows.by_cause()[Cause.GROUND]
        band = Band(low=0.5 * likely, middle=likely, high=3.0 * likely)
        out = TakenOut.model_construct(flow=fact(share * likely, Basis.STATED), when=when)
        return every(put("inflows", "bands", to={Cause.GROUND: band}), job("ground", "taken_out", to=out))(case)

    return change


TRIALS = (
    Trial("GWT-07", None, change=as_designed),
    Trial("GWT-07", "ok", change=bailed(0.9), where="ground.taken_out"),
    Trial("GWT-07", "ok", change=bailed(1.005)),
    Trial("GWT-07", "caution", change=bailed(1.5), says="not more than their range: soil or high water let more"),
    Trial("GWT-07", "caution", change=bailed(1.5, "during rain"), says="Part of it may be rain"),
    Trial("GWT-07", "fails", change=bailed(3.5), says="look for another source"),
    Trial("GWT-07", "fails", change=every(put("inflows", "contributions", to=()), bailed(0.0),
          job("ground", "taken_out", to=TakenOut.model_construct(flow=fact(1e-4), when="always"))), says="reckoned 0"),
    Trial("GWT-04", "caution", change=dry_hole(0.5), where="ground.dug_holes.D1",
          says="stayed dry on 2026-08-03, though"),
    Trial("GWT-04", None, change=dry_hole(0.04)),  # within what is read
    Trial("GWT-04", None, change=dry_hole(-0.5)),
    Trial("SOI-02", "caution", change=dry_hole(0.5, known=False),
          says="stayed dry on 2026-08-03: the water stood lower then"),
    Trial("SOI-01", "ok",
          change=every(put("inflows", "conductivity_basis", to=Basis.MEASURED), bored(-1.0, -1.0, 2.0)),
          says="was measured in hole 'T1', 6 ft 6 3/4 in deep"),
    Trial("GWT-06", None, change=as_designed),
    Trial("GWT-06", "ok", change=bored(-1.0, -1.0, 2.5), where="ground.hole_tests.T1"),
    Trial("GWT-06", "caution", change=bored(-1.0, -1.0, 0.3), says="above the drain"),
    Trial("GWT-06", "caution", change=bored(-8.0, -1.0, 2.5), says="from the house"),
    Trial("GWT-06", "ok", change=bored(-7.6, 1.0, 2.5)),  # 25 ft and no more
    Trial("GWT-06", "caution", change=bored(0.0, 0.0, 2.5, placed=False), says="Nobody told where"),
    Trial("GWT-06", None, change=every(bored(-8.0, -1.0, 2.5), job("ground", "conductivity", to=fact(1e-6)))),
    Trial("GWT-05", "ok", change=lines(drain_level=29.0, level_without=29.5), where="works.runs.FD1"),
    Trial("GWT-05", "caution", change=lines(drain_level=29.6, level_without=29.5), says="3 7/8 in above it"),
    Trial("GWT-05", "caution", change=lines(drain_level=29.49, level_without=29.5), says="3/8 in below it"),
    Trial("GWT-05", None, change=lines(run="")),
    Trial("GWT-05", None, change=put("inflows", "ground_lines", to=())),
    Trial("GWT-04", "ok", change=wet_hole(-0.1), where="ground.hole_tests.T1"),
    Trial("GWT-04", "ok", change=wet_hole(0.04)),
    Trial("GWT-04", "fails", change=wet_hole(0.06), says="2 3/8 in above"),
    Trial("GWT-04", "caution", change=every(put("site", "water_table", to=None), wet_hole(0.0)), says="98.43 ft"),
    Trial("GWT-04", None, change=as_designed),
    Trial("GWT-04", None, change=hole_elsewhere),
    Trial("GWT-01", "ok", change=over_floor(-0.31), says="does not rise in the soil"),
    Trial("GWT-01", "caution", change=over_floor(-0.29), says="a membrane under the slab"),
    Trial("GWT-01", "caution", base="gravity", change=over_floor(-0.29), says="sealed vapour barrier"),
    Trial("GWT-01", "caution", change=over_floor(0.02), says="Drain the opposite side"),
    Trial("GWT-01", "ok", where="works.runs.FD2",  # the lowest line counts: the others leave its drains out
          change=every(over_floor(0.02), lambda c: put("inflows", "ground_lines", -1, "level_with", to=25.0)(c))),
    Trial("GWT-01", None, change=put("inflows", "ground_lines", to=())),
    Trial("GWT-02", None, change=as_designed),
    Trial("GWT-02", "caution", change=pond(2.0), where="works.runs.FD1", says="without end"),
    Trial("GWT-02", "ok", change=pond(12.0), where="works.runs.FD1", says="ends before the pond"),
    Trial("GWT-02", "ok", change=pond(2.0, bound="", reach=3.0), where="works.runs.FD1", says="does not feed"),
    Trial("GWT-03", "caution", change=hole("inverse auger hole", soaked=False), says="was not soaked"),
    Trial("GWT-03", "caution", change=hole("percolation", soaked=False), where="ground.hole_tests.T1"),
    Trial("GWT-03", "ok", change=hole("percolation", soaked=True)),
    Trial("GWT-03", None, change=hole("auger hole", soaked=False)),
    Trial("GWT-03", None, change=hole("percolation", soaked=False, given=True)),
)  # fmt: skip
