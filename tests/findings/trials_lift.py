"""Trials of the rules of the pump, the basin and the storm test."""

from __future__ import annotations

from dataclasses import replace

from drainwright.findings.rules import Case
from drainwright.job.values import Basis, Fact
from drainwright.job.works import Battery

from .change import Change, Trial, as_designed, basin, every, job, pond, pump, put, run, station, storm

INCH = 0.0254
THERE = Fact[int](value=2, basis=Basis.STATED, source="by M. Tamarind")  # circuits that stand already
Q = 0.004  # what the pump delivers in these trials [m³/s]

#: Ten starts an hour allowed by the job, fifteen by the sheet.
LIMITS = every(job("criteria", "maximum_starts", to=10 / 3600), pump(starts_limit=15 / 3600), station(operating_flow=Q))


def battery(charge: float, current: float, usable: float = 0.5) -> Change:
    """A 12 V battery: charge [Ah], current [A]."""
    cell = Battery.model_construct(capacity=charge, volts=12.0, usable=usable, current=current)
    return basin(battery=cell)


def stands(key: str, over: float, above: float = -0.5) -> Change:
    """Water stands so far over CB1 and, at the house, above the lowest ground at a wall; nowhere else."""

    def change(case: Case) -> Case:
        result = case.storm.case(key)
        assert result is not None
        nodes = {
            name: replace(item, pond_depth=over if name == "CB1" else 0.0) for name, item in result.nodes.items()
        }  # fmt: skip
        ground = min(wall.ground_lowest for wall in case.site.walls)
        return storm(key, nodes=nodes, highest_at_house=ground + above)(case)

    return change


def wet(key: str) -> Change:
    """Water reaches the floor's underside after half an hour, and stands nowhere."""
    return every(storm(key, time_to_slab=1800.0), stands(key, 0.0))


def dry(key: str) -> Change:
    """Water never reaches the floor's underside, and stands nowhere."""
    return every(storm(key, time_to_slab=None), stands(key, 0.0))


def _floats(first: float, second: float, alarm: float) -> Change:
    """Pump, second pump and alarm start so far over the start level; an adjustable float, and no tape's marks. [m]"""
    levels = {"second_on": second, "alarm": alarm}
    over = {name: (lambda here, by=by: here.on + first + by) for name, by in levels.items()}
    return every(pump(float_kind="adjustable"), station(line=None, **over))


def _narrow(kind: str, band: float, under_inlet: float, alarm: float) -> Change:
    """A second pump between start and alarm: the alarm over the start level, that so far below the lowest pipe, and a
    band from 3 in over the floor; the pump delivers 0.1 L/s, for which the least band of 6 in is enough. [m]"""
    start = 3 * INCH + band
    return every(
        pump(float_kind=kind, float_band=None),
        station(
            line=None, operating_flow=1e-4, depth=1.5, off=lambda s: s.floor + 3 * INCH, on=lambda s: s.floor + start,
            second_on=lambda s: s.floor + start + alarm / 2, alarm=lambda s: s.floor + start + alarm,
            lowest_inlet=lambda s: s.floor + start + under_inlet,
        ),
    )  # fmt: skip


def _holes(first: float, second: float) -> Change:
    """Two holes of one height in the basin's wall, at two hours of the clock."""

    def change(case: Case) -> Case:
        one, other = (item for item in case.build.takeoff.holes if item.run in ("FD1", "FD2"))
        pair = (replace(one, clock=first, height=0.8), replace(other, clock=second, height=0.8))
        return put("build", "takeoff", "holes", to=pair)(case)

    return change


def _no_basin(case: Case) -> Case:
    return put("system", "stations", to=())(case)


#: Runs half of the time at the peak inflow, four hours without power.
HALF = every(station(operating_flow=Q, inflow=Q / 2), job("criteria", "power_cut", to=4 * 3600.0))

LIFT = (
    Trial("LFT-01", "ok", change=station(operating_flow=Q, inflow=Q / 1.2)),
    Trial("LFT-01", "caution", change=station(operating_flow=Q, inflow=Q / 1.1)),
    Trial("LFT-01", "fails", change=station(operating_flow=Q, inflow=Q * 1.01)),
    Trial("LFT-01", "fails", says="label of 0.50 hp",
          change=every(station(operating_flow=Q, inflow=Q * 1.01), pump(label_power=372.85))),
    Trial("LFT-01", "fails", base="metric", says="label of 373 W",
          change=every(station(operating_flow=Q, inflow=Q * 1.01), pump(label_power=372.85))),
    Trial("LFT-01", None, change=station(reaches=False)),
    Trial("LFT-02", "ok", change=station(reaches=True)),
    Trial("LFT-02", "fails", change=station(reaches=False, static_head=20.0)),
    Trial("LFT-02", None, base="gravity", change=as_designed),
    Trial("LFT-03", "ok", change=every(LIMITS, station(starts=10 / 3600))),
    Trial("LFT-03", "caution", says="allows 15", change=every(LIMITS, station(starts=12 / 3600, inflow=Q * 0.6))),
    Trial("LFT-03", "fails", change=every(LIMITS, station(starts=16 / 3600, inflow=Q * 0.6))),
    # a sheet below the job's own limit rules
    Trial("LFT-03", "fails",
          change=every(LIMITS, pump(starts_limit=6 / 3600), station(starts=8 / 3600, inflow=Q * 0.6))),
    # half of the pump's rate never comes: its starts in the design rain are judged
    Trial("LFT-03", "caution", says="does not bring",
          change=every(LIMITS, station(starts=16 / 3600, inflow=Q * 0.1, starts_design=6 / 3600))),
    Trial("LFT-03", "fails",
          change=every(LIMITS, station(starts=30 / 3600, inflow=Q * 0.4, starts_design=29 / 3600))),
    # V = Q / (4 n): 4 L/s and ten starts an hour want 360 L, which is 95 gal
    Trial("LFT-03", "fails", says="Give it 95 gal",
          change=every(LIMITS, station(starts=16 / 3600, inflow=Q * 0.6))),
    Trial("LFT-03", "caution", says="never stops",
          change=every(LIMITS, station(starts=12 / 3600, inflow=Q * 1.2, starts_design=0.0))),
    Trial("LFT-03", None, change=station(reaches=False)),
    Trial("LFT-04", "ok", change=pump(float_kind="adjustable")),
    Trial("LFT-04", "ok",
          change=every(pump(float_kind="integral"), station(on=lambda s: s.off + 6 * INCH, inside_diameter=24 * INCH))),
    Trial("LFT-04", "caution", says="4 1/2 in only",
          change=every(LIMITS, pump(float_kind="integral"),
                       station(on=lambda s: s.off + 4.5 * INCH, inside_diameter=30 * INCH),
                       station(starts=9 / 3600, inflow=Q * 0.6))),
    Trial("LFT-04", "fails", says="basin 2 ft wide or more",
          change=every(LIMITS, pump(float_kind="integral"),
                       station(on=lambda s: s.off + 6 * INCH, inside_diameter=18 * INCH),
                       station(starts=60 / 3600, inflow=Q * 0.6))),
    Trial("LFT-05", "ok", change=station(operating_flow=Q, band_volume=Q * 60)),
    Trial("LFT-05", "caution", says="40 s", change=station(operating_flow=Q, band_volume=Q * 40)),
    Trial("LFT-05", None, change=station(reaches=False)),
    Trial("LFT-44", "caution", says="between on and second on", change=_floats(0.0, 0.03, 0.0635)),
    Trial("LFT-44", "caution", says="between second on and alarm", change=_floats(0.0, 0.06, 0.11)),
    Trial("LFT-44", "ok", change=_floats(0.0, 0.051, 0.102)),
    # what makes the room: two gaps of 2 in on 3 + 6 in, with the alarm as high as 1 in below the pipe
    Trial("LFT-44", "caution", says="Set the alarm 13 in above the floor",
          change=_narrow("adjustable", 6 * INCH, 6 * INCH, 2 * INCH)),
    # 2 in between start and alarm, and a band 3 in longer than it must be: the start goes down by two
    Trial("LFT-44", "caution", says="Set the start level 10 in above the floor",
          change=_narrow("adjustable", 9 * INCH, 3 * INCH, 2 * INCH)),
    # no room anywhere: 1.5 m and 2 in more
    Trial("LFT-44", "caution", says="5 ft 1 in deep, 2 in deeper",
          change=_narrow("adjustable", 6 * INCH, 3 * INCH, 2 * INCH)),
    # tethered: two gaps of 4 in; upright ones do with the 4 in that are there
    Trial("LFT-44", "caution", says="upright rod, which do with 2 in",
          change=_narrow("wide angle", 6 * INCH, 5 * INCH, 4 * INCH)),
    Trial("LFT-44", "ok", change=_narrow("adjustable", 6 * INCH, 5 * INCH, 4 * INCH)),
    Trial("LFT-06", "ok", change=station(velocity=1.0)),
    Trial("LFT-06", "fails", says="smaller discharge line", change=station(velocity=0.6)),
    Trial("LFT-06", "fails", says="larger discharge line", change=station(velocity=2.5)),
    Trial("LFT-06", None, change=station(reaches=False)),
    Trial("LFT-07", "ok", change=basin(check_valve=True)),
    Trial("LFT-07", "fails", change=basin(check_valve=False)),
    Trial("LFT-08", "ok", change=basin(relief_hole=0.1875 * INCH, relief_hole_place="below the check valve")),
    Trial("LFT-08", "ok", change=job("works", "basin", to="if needed")),
    Trial("LFT-08", "caution", says="0.50 in", change=basin(relief_hole=0.5 * INCH)),
    Trial("LFT-08", "caution", says="2.00 mm", base="metric", change=basin(relief_hole=0.002)),
    Trial("LFT-08", "fails", says="No relief hole", change=basin(relief_hole=None)),
    Trial("LFT-08", "fails", says="sprays", change=basin(relief_hole_place="outside the basin")),
    Trial("LFT-08", "fails", says="no air", change=basin(relief_hole_place="above the check valve")),
    Trial("LFT-09", "ok", change=station(alarm=lambda s: (s.on + s.lowest_inlet) / 2)),
    Trial("LFT-09", "caution", change=station(alarm=lambda s: s.lowest_inlet + 0.1)),
    Trial("LFT-09", "caution", change=station(alarm=lambda s: s.on - 0.1)),
    Trial("LFT-10", "ok", change=station(uplift=1000.0, resisting=1200.0)),
    Trial("LFT-10", "ok", says="no uplift", change=station(uplift=0.0)),
    # short by 200 N: 20.39 kg in water, and concrete weighs 1.4 of its 2.4 there: 34.96 kg, 77 lb
    Trial("LFT-10", "fails", says="Add 77 lb", change=station(uplift=1000.0, resisting=1000.0)),
    Trial("LFT-11", "ok", change=station(rim=lambda s: s.ground + 2 * INCH)),
    Trial("LFT-11", "caution", change=station(rim=lambda s: s.ground - 0.1), says="below the ground"),
    Trial("LFT-12", "ok", change=basin(circuit="dedicated GFCI")),
    Trial("LFT-12", "caution", change=basin(circuit="shared")),
    Trial("LFT-12", "caution", change=basin(circuit="unknown")),
    Trial("LFT-12", "ok", says="is there already (by M. Tamarind)", change=basin(circuits_there=THERE)),
    Trial("LFT-12", "caution", change=basin(circuits_there=THERE.model_copy(update={"basis": Basis.ASSUMED}))),
    Trial("LFT-12", "caution", change=basin(circuit="unknown", circuits_there=THERE.model_copy(update={"value": 0}))),
    # 100 Ah, half of it usable, 12.5 A half of the time: 8 h; by hand
    Trial("LFT-13", "ok", says="8 h in the design rain", change=every(HALF, battery(100.0, 12.5), dry("power out"))),
    Trial("LFT-13", "caution", says="more capacity", change=every(HALF, battery(100.0, 50.0), wet("power out"))),
    Trial("LFT-13", "caution", says="pump's flow", change=every(HALF, battery(100.0, 12.5), wet("power out"))),
    Trial("LFT-13", "ok", says="does not wet the floor", change=every(HALF, battery(100.0, 50.0), dry("power out"))),
    Trial("LFT-13", "caution", says="without the current", change=every(HALF, battery(100.0, 0.0))),
    Trial("LFT-13", "caution", says="no battery", change=every(basin(battery=None), wet("power out"))),
    Trial("LFT-13", "ok", says="even without", change=every(basin(battery=None), dry("power out"))),
    Trial("LFT-13", None, base="gravity", change=as_designed),
    Trial("LFT-14", "ok", change=station(drain_back=0.02, band_volume=0.1)),
    Trial("LFT-14", "fails", says="Fit a check valve", change=station(drain_back=0.03, band_volume=0.1)),
    Trial("LFT-14", "fails", says="Close the hole",
          change=every(station(drain_back=0.03, band_volume=0.1),
                       basin(check_valve=True, relief_hole_place="above the check valve"))),
    Trial("LFT-15", "ok", change=station(inside_diameter=18 * INCH, depth=24 * INCH)),
    Trial("LFT-15", "fails", change=station(inside_diameter=16 * INCH)),
    Trial("LFT-15", "fails", change=station(depth=20 * INCH)),
    Trial("LFT-16", "ok", change=station(lowest_inlet=lambda s: s.on + 0.05)),
    Trial("LFT-16", "fails", change=station(lowest_inlet=lambda s: s.on - 0.05)),
    Trial("LFT-17", "ok", change=every(pump(discharge_size="1-1/2 in"), run("DL", pipe={"nominal": "2 in"}))),
    Trial("LFT-17", "fails", change=every(pump(discharge_size="2 in"), run("DL", pipe={"nominal": "1-1/2 in"}))),
    Trial("LFT-17", None, change=pump(discharge_size="as the maker says")),
    Trial("LFT-19", "ok", change=_holes(10.0, 12.0), says="between"),
    Trial("LFT-19", "caution", change=_holes(10.0, 10.6), says="too close"),
    Trial("LFT-19", "fails", change=_holes(10.0, 10.2), says="into each other"),
    Trial("LFT-19", None, change=put("build", "takeoff", "holes", to=())),
    Trial("LFT-18", "caution", change=basin(screened=False)),
    Trial("LFT-18", None, change=basin(screened=True)),
    *(Trial(f"LFT-{number:02}", None, base="gravity", change=as_designed) for number in range(1, 19)),
)  # fmt: skip

STORM = (
    Trial("STM-01", "ok", change=dry("sound")),
    Trial("STM-01", "fails", says="30 min", change=wet("sound")),
    Trial("STM-01", "fails", says="before it rains", change=storm("sound", time_to_slab=0.0)),
    Trial("STM-01", None, change=storm("sound", highest_at_house=None)),
    Trial("STM-02", "ok", change=as_designed),
    Trial("STM-02", "fails", change=storm("sound", volume_in=10.0, volume_out=9.98, volume_lost=0.0,
                                                        volume_stored=0.0)),
    Trial("STM-03", "ok", change=pond("CB1", pond_depth=0.07, lost=0.0), where="works.inlets.CB1"),
    Trial("STM-03", "ok", change=pond("CB1", pond_depth=0.0, lost=0.0), where="works.inlets.CB1",
          says="none stands over it"),
    Trial("STM-03", "ok", change=pond("CB1", pond_depth=0.002, lost=0.0), where="works.inlets.CB1",
          says="standing in"),
    Trial("STM-03", "caution", change=pond("CB1", pond_depth=0.1, lost=0.0), where="works.inlets.CB1"),
    Trial("STM-03", "fails", change=pond("CB1", pond_depth=0.16, lost=0.0), where="works.inlets.CB1"),
    Trial("STM-03", "fails", change=pond("CB1", pond_depth=0.01, lost=0.2), where="works.inlets.CB1",
          says="run off"),
    Trial("STM-04", "ok", change=every(LIMITS, storm("sound", starts_busiest_hour=10))),
    Trial("STM-04", "caution", change=every(LIMITS, storm("sound", starts_busiest_hour=12))),
    Trial("STM-04", "fails", change=every(LIMITS, storm("sound", starts_busiest_hour=16))),
    Trial("STM-04", "fails",
          change=every(LIMITS, pump(starts_limit=6 / 3600), storm("sound", starts_busiest_hour=8))),
    Trial("STM-04", None, base="gravity", change=as_designed),
    *(
        trial
        for rule, key in (("STM-05", "pump dead"), ("STM-06", "power out"), ("STM-07", "discharge blocked"),
                          ("STM-08", "grate half clogged"))
        for trial in (
            Trial(rule, "ok", change=dry(key)),
            Trial(rule, "caution", says="reaches the underside of the floor after 30 min", change=wet(key)),
            # 0.05 m is 2.0 in, 0.1 m is 3.9 in: more than 3 in over a grate is minded though the floor stays dry
            Trial(rule, "ok", says="stands 2 in over CB1", change=every(dry(key), stands(key, 0.05))),
            Trial(rule, "caution", says="but water stands 3 7/8 in over CB1", change=every(dry(key), stands(key, 0.1))),
            Trial(rule, "caution", says="2 in over CB1 and 3 7/8 in above the ground at the ",
                  change=every(dry(key), stands(key, 0.05, 0.1))),
            Trial(rule, "caution", says="30 min and stands 3 7/8 in over CB1",
                  change=every(wet(key), stands(key, 0.1))),
            Trial(rule, "caution", says="still rises.", change=every(dry(key), storm(key, rising=1e-4))),
            Trial(rule, None, change=storm(key, highest_at_house=None)),
        )
    ),
)  # fmt: skip

TRIALS = (*LIFT, *STORM)
