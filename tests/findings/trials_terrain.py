"""Trials of the rules of the lie of the land: each trips, and its twin does not."""

from __future__ import annotations

from typing import Any

from drainwright.field.terrain_model import DrainedArea, LowSpot, NextShot, RunOn, StageCurve, WayOn
from drainwright.findings.rules import Case
from drainwright.job.site import YardArea

from .change import Change, Trial, as_designed, every, fact, job, put

W1, CB1, OUT = "survey.points.W1", "works.inlets.CB1", "works.discharge.OUT"


def spots(**values: Any) -> Change:
    """One low spot, at W1."""

    def change(case: Case) -> Case:
        point = case.site.points["W1"]
        bottom = case.site.surface.level(point.east, point.north)
        given = {
            "name": "W1", "at": (point.east, point.north), "bottom": bottom, "spill_level": bottom + 0.1,
            "spill_at": (point.east + 3.0, point.north), "area": 20.0, "volume": 0.7, "rings": (),
            "curve": StageCurve(level=(), area=(), volume=()), "inlet": "CB1",
        }  # fmt: skip
        return put("site", "terrain", "low_spots", to=(LowSpot(**(given | values)),))(case)

    return change


def drains(area: float | None, name: str = "CB1", cut_off: bool = False) -> Change:
    """So much ground to an inlet, or none."""
    found = () if area is None else (
        DrainedArea(
            to=name, kind="inlet", area=area, beyond=0.0, slope=0.02, longest=10.0, fall=0.2, path=(), rings=(),
            cut_off=cut_off,
        ),
    )  # fmt: skip
    return put("site", "terrain", "drained", to=found)


def comes_in(length: float, area: float, *goes: str, spilled: float = 0.0) -> Change:
    """One stretch over which water comes in."""
    ends = dict.fromkeys(goes, area / max(1, len(goes)))
    found = RunOn(side="north side", start=(0.0, 18.0), end=(length, 18.0), length=length, area=area, goes_to=ends,
                  spilled=spilled)  # fmt: skip
    return put("site", "terrain", "run_on", to=(found,))


def west_and_north(case: Case) -> Case:
    """Two stretches of the west side, 3 and 4 m, and one of the north side."""
    found = tuple(
        RunOn(side=side, start=(0.0, 0.0), end=(1.0, 0.0), length=length, area=area, goes_to={goes: area})
        for side, length, area, goes in (
            ("west side", 3.0, 200.0, "CB1"), ("north side", 5.0, 50.0, "CB2"), ("west side", 4.0, 100.0, "CB2"),
        )
    )  # fmt: skip
    return put("site", "terrain", "run_on", to=found)(case)


def way(**values: Any) -> Change:
    """Where the water goes that is let out at OUT."""
    given: dict[str, Any] = {
        "name": "OUT", "kind": "boundary", "to": "south side", "path": ((0.0, 0.0), (0.0, -9.0)), "length": 9.0,
        "fall": 0.3, "walls": (), "comes_back": False,
    }  # fmt: skip
    return put("site", "terrain", "ways_on", to=(WayOn(**(given | values)),))


def beyond(case: Case) -> Case:
    """A yard area that counts ground beyond the boundary."""
    yard = YardArea.model_construct(
        name="next door", area=fact(100.0), surface="lawn", slope=fact(0.02), to="CB1", outline=(), flow_path=(),
        from_ground=False, beyond=True,
    )  # fmt: skip
    return job("yards", to=(*case.job.yards, yard))(case)


def a_shot_beside(case: Case) -> Case:
    """A shot proposed near the low spot's bottom."""
    point = case.site.points["W1"]
    shot = NextShot(at=(point.east + 1.0, point.north), why="", bears_on="survey", doubt=0.03, after=0.003)
    return put("site", "terrain", "next_shots", to=(shot,))(case)


def entered(case: Case) -> Case:
    """West and east lawn with areas of their own, 864 and 532 ft², instead of off the shots."""
    yards = tuple(
        yard.model_copy(update={"from_ground": False, "area": fact(area)})
        for yard, area in zip(case.job.yards, (80.27, 49.42), strict=False)
    )
    return job("yards", to=yards)(case)


MEASURED = put("site", "terrain", "bare", to=20.0)  # 20 of 934 m²
NOTHING_KNOWN = put("site", "terrain", to=None)

TRIALS = (
    Trial("GRD-01", "ok", change=as_designed),
    Trial("GRD-01", "ok", change=spots()),
    Trial("GRD-01", "fails", change=spots(walls=("west", "south"), inlet=None), where=W1, says="west and south walls"),
    Trial("GRD-01", "caution", change=spots(walls=("west",)), where=W1, says="when CB1 clogs"),
    Trial("GRD-01", "fails", change=spots(name="low spot 1", walls=("west",), inlet=None), where="survey.points"),
    Trial("GRD-01", None, change=NOTHING_KNOWN),
    Trial("GRD-01", None, change=put("site", "walls", to=())),
    Trial("GRD-02", "ok", change=spots()),
    Trial("GRD-02", "caution", change=spots(inlet=None), where=W1, says="185 gal"),
    Trial("GRD-02", "ok", change=every(spots(inlet=None, bottom=0.0, spill_level=0.024))),
    Trial("GRD-02", "caution", change=every(spots(inlet=None, bottom=0.0, spill_level=0.026))),
    Trial("GRD-02", "ok", change=every(spots(inlet=None, at=(5.0, -400.0)))),  # the street's gutter is not the owner's
    Trial("GRD-02", None, change=NOTHING_KNOWN),
    Trial("GRD-03", "ok", change=as_designed, where=CB1),
    Trial("GRD-03", "caution", change=spots(bottom=29.0), where=CB1, says="above the lowest place"),
    Trial("GRD-03", "ok", change=every(entered, spots(), drains(9.0)), where=CB1),
    Trial("GRD-03", "caution", change=every(entered, spots(), drains(7.0)), where=CB1, says="Hardly any ground"),
    Trial("GRD-03", "caution", change=every(entered, spots(inlet=None), drains(None)), where=CB1, says="0 ft² drain"),
    Trial(
        "GRD-03", "caution", base="gravity", where=CB1, says="swale",
        change=every(entered, put("site", "terrain", "low_spots", to=()), drains(1.8)),
    ),
    Trial("GRD-03", None, change=job("works", "inlets", to=())),
    Trial("GRD-03", None, change=NOTHING_KNOWN),
    Trial("GRD-04", "ok", change=every(entered, drains(100.0)), where=CB1),  # 864 ft² are 80.3 m²
    Trial("GRD-04", "ok", change=every(entered, drains(60.0)), where=CB1),
    Trial("GRD-04", "caution", change=every(entered, drains(110.0)), where=CB1, says="too low"),
    Trial("GRD-04", "caution", change=every(entered, drains(50.0)), where=CB1, says="safe side"),
    Trial("GRD-04", "caution", change=every(entered, drains(50.0, cut_off=True)), where=CB1, says="nobody measured"),
    Trial("GRD-04", None, change=every(entered, drains(5.0)), where=CB1),
    Trial("GRD-04", None, change=every(drains(50.0), job("yards", to=()))),
    Trial("GRD-04", None, change=NOTHING_KNOWN),
    Trial("GRD-05", "caution", change=as_designed, says="nobody measured"),
    Trial("GRD-05", "caution", change=every(entered, comes_in(8.0, 200.0, "CB1")), says="at least 2,153 ft²"),
    Trial("GRD-05", "caution", change=every(entered, comes_in(8.0, 200.0, "CB1", spilled=199.5)), says="only when"),
    Trial("GRD-05", "caution", change=every(entered, comes_in(8.0, 200.0, "CB1", spilled=150.0)), says="at least"),
    Trial("GRD-05", "caution", change=every(entered, west_and_north),
          says="23 ft of the west side, in 2 stretches, and goes to CB1 and CB2: at least 3,229 ft²"),
    Trial("GRD-05", "ok", change=every(entered, comes_in(8.0, 200.0, "CB1"), beyond)),
    Trial("GRD-05", "caution", change=every(entered, comes_in(8.0, 200.0, "CB2"), beyond)),  # that yard goes to CB1
    Trial("GRD-05", "ok", change=comes_in(8.0, 200.0, "CB1")),
    Trial("GRD-05", "caution", change=every(comes_in(8.0, 0.0, "CB1"), job("yards", 0, "from_ground", to=True))),
    Trial("GRD-05", "ok", change=every(comes_in(8.0, 200.0, "south side"), MEASURED), says="no water comes in"),
    Trial("GRD-05", "ok", change=every(comes_in(2.0, 0.0, "CB1"), MEASURED)),
    Trial("GRD-05", "caution", change=comes_in(2.0, 0.0, "CB1"), says="1,032 ft² of the lot lie beyond the shots"),
    Trial("GRD-05", "caution", base="gravity", change=as_designed, says="first on the uphill side"),
    Trial("GRD-05", None, change=every(comes_in(8.0, 200.0, "CB1"), put("site", "terrain", "bounded", to=False))),
    Trial("GRD-05", None, change=NOTHING_KNOWN),
    Trial("GRD-06", "ok", base="gravity", change=way(), where=OUT),
    Trial("GRD-06", "ok", base="gravity", change=as_designed, where=OUT,
          says="to where the shots end; beyond that nothing is measured"),
    Trial("GRD-06", "ok", base="gravity", change=way(), where=OUT, says="30 ft over the ground and away"),
    Trial("GRD-06", "fails", base="gravity", change=way(walls=("north",), comes_back=True), says="the north wall"),
    Trial("GRD-06", "fails", base="gravity", change=way(kind="inlet", to="CB1", comes_back=True), says="CB1"),
    Trial("GRD-06", "caution", base="gravity", change=way(kind="low spot", to="G7"), says="stands in the low spot"),
    Trial("GRD-06", None, change=as_designed),  # into a storm line
    Trial("GRD-06", None, base="gravity", change=NOTHING_KNOWN),
    Trial("GRD-07", "ok", change=spots(), where=W1),
    Trial("GRD-07", "caution", change=spots(sure=False, why_unsure="Only one shot lies in it."), says="Only one shot"),
    Trial("GRD-07", "caution", change=every(spots(sure=False, why_unsure="Only one shot lies in it."), a_shot_beside),
          says=" west, "),
    Trial("GRD-07", None, change=spots(sure=False, why_unsure="Only one shot lies in it.", at=(5.0, -400.0))),
    Trial("GRD-07", "caution", change=spots(sure=False, why_unsure="One shot.", at=(5.0, -400.0), walls=("west",))),
    Trial("GRD-07", None, change=put("site", "terrain", "low_spots", to=())),
    Trial("GRD-07", None, change=NOTHING_KNOWN),
)  # fmt: skip
