"""Pumps worn, in pairs, on batteries, in the wet season, ranked, and against the downspouts."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from system_stations import GALLON, line_of, setting, station_of

from drainwright.errors import InputError
from drainwright.hydraulics.pump import operating_point
from drainwright.job.works import Pump
from drainwright.system.catalogue import PIPES
from drainwright.system.lift.battery import battery_hours, offered_unit
from drainwright.system.lift.choice import Setting, choose, exactly, judge_options
from drainwright.system.lift.downspouts import downspouts_carried, storms_carried
from drainwright.system.lift.duty import duty_points, worn
from drainwright.system.lift.pair import pump_pair
from drainwright.system.lift.pump_model import PumpPair, PumpStudy, RoofFlow, StormInflow
from drainwright.system.lift.pumps import GENERIC_PUMPS, pump_cost, pump_of_job, sheet_notes
from drainwright.system.lift.ranking import LINES, line_for_pump
from drainwright.system.lift.season import wet_season
from drainwright.system.lift.station import lift_station
from drainwright.system.model import LiftStation
from drainwright.water.model import Band

FOOT = 0.3048


def sheet(name: str = "ours", scale: float = 1.0, **more: Any) -> dict[str, Any]:
    flows, heads = (0.0, 15.0, 30.0, 45.0, 52.0), (26.0, 22.0, 16.0, 7.0, 1.0)
    points = [{"flow": f"{q * scale} gpm", "head": f"{h} ft"} for q, h in zip(flows, heads, strict=True)]
    return {"name": name, "curve": points, "float_kind": "adjustable"} | more


def firm(*pumps: dict[str, Any]) -> tuple[Pump, ...]:
    return tuple(Pump.model_validate(pump) for pump in pumps)


def study_of(item: Setting) -> PumpStudy:
    station, _ = station_of(item)
    assert station.study is not None
    return station.study


# the level and wear


def test_points_rise_with_the_water_and_meet_the_station() -> None:
    station, line = station_of(setting(basin={"pump": sheet()}))
    assert [point.place for point in station.points] == ["off", "middle", "on", "alarm", "rim"]
    for low, high in itertools.pairwise(station.points):
        assert low.level < high.level
        assert low.flow < high.flow
        assert low.head > high.head
    middle = station.points[1]
    assert middle.flow == station.operating_flow
    assert middle.velocity == pytest.approx(middle.flow / (math.pi / 4 * line.pipe.inside**2))
    for point in station.points:
        again = operating_point(station.pump.curve, line.curve(point.level, station.floor))
        assert point.flow == again.flow
        assert point.worn_flow < point.flow


def test_a_worn_pump_has_lost_its_share_of_head_at_each_flow() -> None:
    curve = pump_of_job(Pump.model_validate(sheet())).curve
    for flow in (0.0, 0.001, 0.002, 0.003):
        assert worn(curve, 0.15).head(flow) == pytest.approx(0.85 * curve.head(flow), rel=1e-12)
    assert worn(curve, 0.0) == curve
    line = line_of(PIPES["sch40 2 in"])
    dead = duty_points(curve, line, (("off", 28.0),), 27.9, 1.0)[0]
    assert dead.worn_flow == 0.0 < dead.flow


def test_a_pump_that_wear_would_leave_short_is_passed_over() -> None:
    """High over its outlet a pump near its greatest head loses much of its flow; a strict wear asks for more pump."""
    high = {"line": lambda pipe: line_of(pipe, start=33.0, end=32.9)}
    easy = setting(12 * GALLON, criteria=setting().criteria.model_copy(update={"pump_wear": 0.0}), **high)
    hard = setting(12 * GALLON, criteria=setting().criteria.model_copy(update={"pump_wear": 0.4}), **high)
    cheap, strong = choose(easy), choose(hard)
    assert not strong.short
    station, _, _ = lift_station(hard, strong)
    assert station.study is not None
    assert station.study.worn_flow >= station.inflow * (1 - 1e-6)
    assert strong.option.pump_cost > cheap.option.pump_cost
    weak, _, _ = lift_station(hard, cheap)
    assert weak.study is not None
    assert weak.study.worn_flow < weak.inflow <= weak.operating_flow


def test_a_pump_that_is_short_when_worn_is_named_with_its_figure() -> None:
    item = setting(24 * GALLON, criteria=setting().criteria.model_copy(update={"pump_wear": 0.75}),
                   line=lambda pipe: line_of(pipe, start=43.0, end=42.9))  # fmt: skip
    chosen = choose(item)
    assert "worn" in chosen.short
    _, _, notes = lift_station(item, chosen)
    assert any("worn, no longer lifts the 24.0 gpm" in note for note in notes)


# the firm's own


def test_the_firms_own_pump_comes_first_though_a_generic_one_costs_less() -> None:
    item = setting(pumps=firm(sheet("dear", price=5000.0)))
    chosen = choose(item)
    assert chosen.option.firms
    assert not chosen.short
    station, _ = station_of(item)
    assert station.pump.name == "dear"
    assert station.pump.price == 5000.0
    first, *others = station.ranking
    assert first.taken
    assert first.firms
    assert first.reason == "keeps every limit, of the firm's own pumps"
    assert any(item.reason == "keeps every limit, but is not one of the firm's own" for item in others)


def test_among_the_firms_own_the_price_decides_and_batteries_units_are_left_out() -> None:
    unit = sheet("unit", price=1.0, direct_current=True)
    chosen = choose(setting(pumps=firm(sheet("dear", price=900.0), sheet("cheap", 1.001, price=300.0), unit)))
    assert chosen.option.pump.name == "cheap"


def test_a_firms_pump_that_falls_short_gives_way_to_a_generic_one() -> None:
    item = setting(pumps=firm(sheet("weak", 0.2)))
    chosen = choose(item)
    assert not chosen.option.firms
    assert not chosen.short
    station, _ = station_of(item)
    weak = next((line for line in station.ranking if line.pump.name == "weak"), None)
    if weak is not None:  # it may come after six that keep every limit
        assert "flow" in weak.short
    tight = setting(400 * GALLON, pumps=firm(sheet("strong", 12.0, discharge_size="3 in")))
    assert choose(tight).option.firms  # nothing keeps every limit: that which falls least short


def test_cost_of_a_sheet_without_price_goes_by_its_label_or_its_curve() -> None:
    priced, half, three = firm(
        sheet(price=77.0), sheet(label_power="1/2 hp", float_kind="integral"), sheet(label_power="3 hp")
    )
    assert pump_cost(priced) == 77.0
    assert pump_cost(half) == pytest.approx(320.0, rel=1e-3)
    assert pump_cost(three) > pump_cost(half)
    bare, double = firm(sheet(), sheet(scale=2.0))
    assert pump_cost(double) > pump_cost(bare)


def test_what_is_thin_about_a_sheet_is_said() -> None:
    two = {"name": "two", "curve": [{"flow": "10 gpm", "head": "20 ft"}, {"flow": "30 gpm", "head": "10 ft"}]}
    said = " ".join(sheet_notes(*firm(two)))
    assert "no shutoff head" in said
    assert "two points only" in said
    assert "ends well above no head" in said
    assert sheet_notes(*firm(sheet())) == ()
    _, _, notes = lift_station(item := setting(basin={"pump": two}), choose(item))
    assert sum(note.startswith("SUMP: the pump's sheet") for note in notes) == 3


# ranking


def ranked() -> LiftStation:
    return station_of(setting(20 * GALLON))[0]


def test_ranking_is_short_ordered_and_gives_reasons() -> None:
    station = ranked()
    assert 2 <= len(station.ranking) <= LINES
    first, *others = station.ranking
    assert (first.taken, first.pump, first.flow) == (True, station.pump, station.operating_flow)
    assert not any(line.taken for line in others)
    keeping = [line.cost for line in others if not line.short]
    assert keeping == sorted(keeping)
    assert all(line.cost >= first.cost - 1e-6 for line in others if not line.short)
    assert all(line.reason and not line.reason.endswith(".") for line in station.ranking)
    assert len({line.pump.curve for line in station.ranking}) == len(station.ranking)


def test_each_ranked_line_is_what_that_pump_gives() -> None:
    """Worked out once more with only that pump, pipe and basin to choose from."""
    item = setting(20 * GALLON)
    for line in station_of(item)[0].ranking:
        pipe = next(pipe for pipe in PIPES.values() if pipe.key == f"sch40 {line.pipe}")
        sheet_points = [
            {"flow": q, "head": h} for q, h in zip(line.pump.curve.flows, line.pump.curve.heads, strict=True)
        ]
        own = Pump.model_construct(
            name="alone", curve=tuple(_point(point) for point in sheet_points), label_power=line.pump.label_power,
            float_kind=line.pump.float_kind, float_band=line.pump.float_band, minimum_depth=line.pump.minimum_depth,
            discharge_size=line.pump.discharge_size, starts_limit=None, current=None, solids=None, weight=9.0,
            input_power=None, price=None, direct_current=False,
        )  # fmt: skip
        basin = item.basin.model_copy(update={"pump": own, "diameter": line.diameter})
        station, _ = station_of(replace(item, basin=basin, line_pipe=pipe))
        assert station.operating_flow == pytest.approx(line.flow, rel=1e-4)
        assert station.velocity == pytest.approx(line.velocity, rel=1e-4)
        assert station.starts == pytest.approx(line.starts, rel=1e-3)
        assert station.study is not None
        assert station.study.worn_flow == pytest.approx(line.worn_flow, rel=1e-4)
        assert line.spare_head == pytest.approx(station.pump.curve.shutoff - station.static_head, abs=1e-6)
        assert line.port_fits


def _point(values: dict[str, float]) -> Any:
    from drainwright.job.works import PumpPoint

    return PumpPoint.model_construct(**values)


def test_a_larger_line_that_saves_a_bigger_pump_is_told() -> None:
    """A long line: through a small pipe only a stronger, dearer pump would do."""
    told = []
    for length in (30.0, 60.0, 120.0, 200.0):
        item = setting(30 * GALLON, line=lambda pipe, length=length: line_of(pipe, length))
        judged, chosen = judge_options(item), choose(item)
        said = line_for_pump(item, chosen, judged)
        if said is not None and "saves" in said:
            small = [
                entry
                for entry in judged
                if entry.short <= 0.0 and entry.option.line.pipe.inside < chosen.option.line.pipe.inside
            ]
            assert all(entry.option.pump_cost > chosen.option.pump_cost for entry in small)
            assert min(entry.cost for entry in small) > 0.0
            told.append(said)
    assert told
    item = setting(20 * GALLON)
    judged = judge_options(item)
    fitting = [entry for entry in judged if entry.short <= 0.0]
    thin = min(fitting, key=lambda entry: entry.option.line.pipe.inside).option
    needless = next(
        entry.option for entry in fitting
        if entry.option.line.pipe.inside > thin.line.pipe.inside and entry.option.pump_cost > thin.pump_cost
    )  # fmt: skip
    assert line_for_pump(item, exactly(item, needless), judged) is None  # a lesser pump does it through less
    given = setting(30 * GALLON, line_pipe=PIPES["sch40 3 in"])
    assert line_for_pump(given, choose(given), judge_options(given)) is None


# two pumps


def pair(length: float, key: str = "sch40 2 in", second: float = 1.0) -> PumpPair:
    one, other = (pump_of_job(pump) for pump in firm(sheet(), sheet("other", second)))
    return pump_pair(one, other, line_of(PIPES[key], length), 28.5, 27.9, 0.15, 0.001)


def test_two_equal_pumps_together_lie_where_doubling_the_curve_does() -> None:
    both = pair(30.0)
    one = pump_of_job(*firm(sheet()))
    line = line_of(PIPES["sch40 2 in"])
    doubled = operating_point(one.curve.scaled(flow_ratio=2.0), line.curve(28.5, 27.9, pumps=2))
    assert both.both_flow == pytest.approx(doubled.flow, rel=1e-6)
    assert both.flows[0] == pytest.approx(both.flows[1], rel=1e-9)
    assert both.alike
    assert both.gain == pytest.approx(both.both_flow / both.second_flow - 1.0)


def test_the_longer_and_narrower_the_line_the_less_a_second_pump_adds() -> None:
    gains = [pair(length).gain for length in (5.0, 30.0, 100.0, 300.0)]
    assert gains == sorted(gains, reverse=True)
    assert gains[-1] < 0.25
    assert pair(30.0, "sch40 4 in").gain > pair(30.0, "sch40 1-1/2 in").gain
    assert all(0.0 <= gain <= 1.0 for gain in gains)


def test_taking_turns_halves_the_starts() -> None:
    """US Army EI 11C201, Table 7-1: the volume may be halved for two alternating identical pumps. SEEN."""
    both = pair(30.0)
    most = max(both.second_flow, both.second_flow)
    assert both.starts_each == pytest.approx(most / (4 * 0.15) / 2)
    share = 0.001 / most
    assert both.starts_each_design == pytest.approx(0.001 * (1 - share) / 0.15 / 2)


def test_a_second_pump_of_another_make_is_worked_out_alone() -> None:
    item = setting(basin={"pump": sheet(), "second": sheet("small", 0.5)})
    station, line = station_of(item)
    assert station.second_on is not None
    assert station.study is not None
    both = station.study.pair
    assert both is not None
    assert not both.alike
    alone = operating_point(both.second.curve, line.curve((station.on + station.off) / 2, station.floor))
    assert both.second_flow == alone.flow < station.operating_flow
    assert station.operating_flow < both.both_flow < station.operating_flow + both.second_flow
    assert study_of(setting(basin={"pump": sheet()})).pair is None
    assert study_of(setting(basin={"pump": sheet(), "second_pump": True})).pair is not None


# battery


def test_battery_hours_by_hand() -> None:
    """Ah x usable / (A x duty): 75 Ah, half of it, 15 A, a quarter of the time: 10 h. 37 h and 10 h are seen on a
    trade page for one battery in ordinary rain and in a storm: duties of 0.068 and 0.25 give them."""
    inflows: dict[Any, float] = {"between rains": 0.068 * 0.001, "wet season": 0.25 * 0.001, "design rain": 0.002}
    easy, wet, storm = battery_hours(75.0, 0.5, 15.0, 0.001, inflows)
    assert easy.seconds / 3600 == pytest.approx(36.8, abs=0.1)
    assert wet.seconds / 3600 == pytest.approx(10.0)
    assert storm.seconds / 3600 == pytest.approx(2.5)
    assert (storm.duty, storm.keeps_up, wet.keeps_up) == (1.0, False, True)
    assert battery_hours(75.0, 0.5, 0.0, 0.001, inflows) == ()
    nothing = battery_hours(75.0, 0.5, 15.0, 0.001, {"between rains": 0.0})
    assert nothing[0].seconds == math.inf
    dead = battery_hours(75.0, 0.5, 15.0, 0.0, {"wet season": 0.001})
    assert (dead[0].duty, dead[0].keeps_up) == (1.0, False)


def test_a_battery_unit_runs_at_the_real_head() -> None:
    unit = {"capacity": "100 Ah", "current": "15 A", "pump": sheet("unit", 0.5, direct_current=True)}
    item = setting(basin={"pump": sheet(), "battery": unit}, ground_range=Band(low=0.5, middle=1.0, high=2.0))
    station, line = station_of(item)
    found = study_of(item).unit
    assert found is not None
    point = operating_point(found.pump.curve, line.curve((station.on + station.off) / 2, station.floor))
    assert found.flow == point.flow < station.operating_flow
    assert found.flow < found.open_flow
    wet = next(entry for entry in found.hours if entry.water == "wet season")
    assert wet.inflow == pytest.approx(2.0 * station.inflow_ground)
    assert wet.seconds == pytest.approx(3600 * 100 * 0.5 / (15 * wet.inflow / found.flow))
    bare = study_of(setting(basin={"pump": sheet(), "battery": {"capacity": "100 Ah", "current": "15 A"}})).unit
    assert bare is not None
    assert not bare.own_pump
    assert bare.flow == pytest.approx(station_of(setting(basin={"pump": sheet()}))[0].operating_flow)


def test_the_unit_offered_is_the_weakest_that_keeps_up() -> None:
    line = line_of(PIPES["sch40 2 in"])
    taken = []
    for gallons in (1.0, 8.0, 16.0, 24.0):
        wet = gallons * GALLON
        unit = offered_unit(line, 28.5, 27.9, {"between rains": wet, "wet season": wet, "design rain": wet})
        if unit is not None:
            assert unit.flow >= wet
            taken.append(unit.current)
    assert taken == sorted(taken)
    assert len(set(taken)) > 1
    assert offered_unit(line, 28.5, 27.9, {"between rains": 1.0, "wet season": 1.0, "design rain": 1.0}) is None


# wet season


def test_a_day_of_the_wet_season_by_hand() -> None:
    """A quarter of the pump's flow: 6 h a day; 0.1 m³ between floats: 86,400 s over the cycle time of MIL-HDBK."""
    (pump,) = firm(sheet(input_power="800 W"))
    season = wet_season(pump_of_job(pump), 0.002, 0.1, 0.0005, likely=0.0002)
    assert season.run_time == pytest.approx(6 * 3600)
    cycle = 0.1 / 0.002 * (1 / (1 - 0.25) + 1 / 0.25)
    assert season.starts == pytest.approx(86400 / cycle)
    assert season.energy == pytest.approx(800.0 * 6 * 3600 * season.days)
    assert not season.power_assumed
    assert season.cycles_years == pytest.approx(100_000 / (season.starts * season.days))
    # likely a tenth of the pump's flow: 0.1/0.002 (1/0.9 + 1/0.1) s
    assert season.likely_starts == pytest.approx(86400 / (50.0 * (1 / 0.9 + 10.0)))
    assert season.likely_years == pytest.approx(100_000 / (season.likely_starts * 120.0))


def test_the_sheet_of_a_pump_tells_how_long_its_switch_lasts() -> None:
    (told,) = firm(sheet(switch_starts=30_000))
    season = wet_season(pump_of_job(told), 0.002, 0.1, 0.0005, likely=0.0002)
    assert season.cycles == 30_000
    assert season.cycles_years == pytest.approx(30_000 / (season.starts * 120.0))
    with pytest.raises(ValueError, match="switch_starts"):
        firm(sheet(switch_starts=999))


def test_power_comes_from_the_label_only_where_the_sheet_gives_none() -> None:
    labelled, bare = firm(sheet(label_power="1/2 hp"), sheet())
    season = wet_season(pump_of_job(labelled), 0.002, 0.1, 0.0005, likely=0.0002)
    assert season.power_assumed
    assert season.power == pytest.approx(372.85 / 0.6, rel=1e-3)
    unknown = wet_season(pump_of_job(bare), 0.002, 0.1, 0.0005, likely=0.0002)
    assert unknown.power is None
    assert unknown.energy is None


def test_water_beyond_the_pump_and_no_water_at_all() -> None:
    pump = GENERIC_PUMPS[0].choice
    flooded = wet_season(pump, 0.001, 0.1, 0.002, likely=0.001)
    assert (flooded.share, flooded.starts, flooded.cycles_years) == (1.0, 0.0, math.inf)
    dry = wet_season(pump, 0.001, 0.1, 0.0, likely=0.0)
    assert (dry.share, dry.run_time, dry.starts) == (0.0, 0.0, 0.0)
    assert (dry.likely_starts, dry.likely_years) == (0.0, math.inf)
    dead = wet_season(pump, 0.0, 0.1, 0.0005, likely=0.0002)
    assert dead.share == 1.0


# downspouts


def overflows(inflow: float, pump: float, area: float, band: float, room: float) -> bool:
    """Whether a basin ever fills to its lowest pipe: stepped second by second with floats, two hours of steady rain."""
    level, running = 0.0, False
    for _ in range(7200):
        running = level >= band or (running and level > 0.0)
        level = max(level + (inflow - (pump if running else 0.0)) / area, 0.0)
        if level >= band + room:
            return True
    return False


@given(
    roofs=st.lists(st.integers(2, 25), min_size=1, max_size=5),
    first=st.integers(0, 30),
    pump=st.integers(5, 60),
    area=st.sampled_from([0.164, 0.292, 0.657]),
)
def test_the_count_is_what_a_stepped_basin_finds(roofs: list[int], first: int, pump: int, area: float) -> None:
    """Flows in tenths of a litre a second; the basin is stepped by code of its own, downspout after downspout."""
    flows = [flow * 1e-4 for flow in roofs]
    count = downspouts_carried(first * 1e-4, flows, pump * 1e-4)
    brute = 0
    for number in range(1, len(flows) + 1):
        total = first * 1e-4 + math.fsum(flows[:number])
        if abs(total - pump * 1e-4) < 0.9e-4 and total != pytest.approx(pump * 1e-4):
            return  # so near that two hours may not fill the room
        if overflows(total, pump * 1e-4 * (1 + 1e-9), area, 0.3, 0.3):
            break
        brute = number
    assert count == brute


def test_the_margin_and_the_order_count() -> None:
    assert downspouts_carried(0.001, (0.001, 0.001), 0.003) == 2
    assert downspouts_carried(0.001, (0.001, 0.001), 0.003, 1.2) == 1
    assert downspouts_carried(0.004, (0.001,), 0.003) == 0
    assert downspouts_carried(0.0, (0.002, 0.001), 0.0015) == 0
    assert downspouts_carried(0.0, (0.001, 0.002), 0.0015) == 1
    with pytest.raises(InputError, match="zero or more"):
        downspouts_carried(-0.001, (), 0.003)


@given(st.lists(st.floats(0.0, 0.01), max_size=6), st.floats(0.0, 0.01), st.floats(0.0, 0.05), st.floats(1.0, 2.0))
def test_more_pump_or_less_margin_never_carries_fewer(
    roofs: list[float], first: float, pump: float, margin: float
) -> None:
    count = downspouts_carried(first, roofs, pump, margin)
    assert 0 <= count <= len(roofs)
    assert downspouts_carried(first, roofs, pump * 1.1, margin) >= count
    assert downspouts_carried(first, roofs, pump) >= count
    assert downspouts_carried(first + 0.001, roofs, pump, margin) <= count


def test_each_rain_is_counted_new_and_worn_and_the_room_lasts_seconds() -> None:
    roofs = (RoofFlow(name="D1", flow=0.001, led=True), RoofFlow(name="D2", flow=0.0015, led=True),
             RoofFlow(name="D3", flow=0.001, led=False))  # fmt: skip
    storm = StormInflow(return_period=10.0, yards=0.0003, roofs=roofs)
    (found,) = storms_carried((storm,), 0.0002, 0.0025, 0.0016, 1.2, 0.1)
    assert found.first == pytest.approx(0.0005)
    assert (found.carried, found.carried_worn) == (1, 1)
    assert found.spare == pytest.approx(0.0025 / 1.2 - 0.0015)
    assert found.lasts == pytest.approx(0.1 / (0.003 - 0.0025))
    (easy,) = storms_carried((storm,), 0.0, 0.01, 0.009, 1.2, 0.1)
    assert (easy.carried, easy.lasts) == (3, math.inf)
