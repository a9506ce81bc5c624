"""Cases for the ground water's rules."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from drainwright.findings.rules import Case
from drainwright.job.ground_tests import HoleTest, OpenWater
from drainwright.job.values import Place

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
    test = HoleTest.model_construct(name="T1", kind=kind, soaked=soaked)
    conductivity = fact(1e-6) if given else None
    return every(job("ground", "hole_tests", to=(test,)), job("ground", "conductivity", to=conductivity))


def hole_elsewhere(case: Case) -> Case:
    """A hole whose place nobody gave."""
    test = HoleTest.model_construct(name="T1", kind="auger hole", soaked=False, at=None, water_depth=0.1)
    return job("ground", "hole_tests", to=(test,))(case)


def wet_hole(above: float) -> Change:
    """Water in an auger hole so far above the seasonal high water, or so far above 30 m where none is entered."""

    def change(case: Case) -> Case:
        table = case.site.water_table or 30.0
        at = Place(name="G2")
        ground = case.site.points["G2"].level or 0.0
        test = HoleTest.model_construct(
            name="T1", kind="auger hole", soaked=False, at=at, water_depth=ground - table - above
        )
        return job("ground", "hole_tests", to=(test,))(case)

    return change


TRIALS = (
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
