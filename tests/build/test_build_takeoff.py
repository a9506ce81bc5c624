"""The takeoff against the design by hand, and every key against the price book."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import get_args

import pytest
from hypothesis import given
from hypothesis.strategies import floats

from drainwright.build import build_side
from drainwright.build.book import demonstration_book
from drainwright.build.fittings_count import key_of
from drainwright.build.holes import clock
from drainwright.build.stone import bed, fabric_area, stone_section
from drainwright.build.takeoff import pipe_key, pump_key, sold_size
from drainwright.build.takeoff.bodies import risers
from drainwright.build.units import CUBIC_YARD, FOOT, INCH, POUND, SQUARE_FOOT
from drainwright.system.fittings import Fitting, Kind, group

from ..conftest import designed
from .sample import GROUND, feet, make_node, make_pipe, make_run, make_site, make_system

PLAIN_GROUPS = ("sch40", "sewer", "corrugated")
PRESSURE_ONLY = ("check-valve", "union", "ball-valve", "male-adapter")


def quantities() -> dict[str, float]:
    return {line.key: line.quantity for line in build_side(make_site(), make_system()).takeoff.lines}


def test_pipe_by_the_stick() -> None:
    """28 ft of drain and a 1.9 ft riser; 18.5 ft of leader; 41 ft of line and a 3.4 ft riser."""
    found = quantities()
    assert found["pipe.d2729-4in-perforated.10ft"] == 3  # 20 + 8 straight on, 1 ft less in the basin: 10, 10, 7
    assert found["pipe.d2729-4in.10ft"] == 1  # the riser
    assert found["pipe.d3034-4in.20ft"] == 1
    assert found["pipe.sch40-1-1/2in.20ft"] == 2  # 20, and 19 of the 39
    assert found["pipe.sch40-1-1/2in.10ft"] == 1  # 2 ft and the riser


def test_stone_by_its_section() -> None:
    system = make_system()
    run = system.run("FD")
    section = 12 * INCH * (2 * INCH + run.pipe.outside + 6 * INCH) - math.pi / 4 * run.pipe.outside**2
    assert bed(run).stone == pytest.approx(section * 28 * FOOT)
    assert bed(run).displaced == pytest.approx(12 * INCH * (8 * INCH + run.pipe.outside) * 28 * FOOT)


def test_stone_section_of_the_trade_s_example() -> None:
    """Derived in the trade notes: 12 x 12 in of stone round a 4.215 in pipe is 0.90 ft² of stone."""
    outside = 4.215 * INCH
    assert stone_section(FOOT, 2 * INCH, outside, FOOT - outside - 2 * INCH) / SQUARE_FOOT == pytest.approx(
        0.90, abs=0.005
    )


def test_concrete_by_the_bag() -> None:
    """446 lb at 2400 kg/m³ are 2.98 ft³: 4.96 bags that make 0.6 ft³ each, 5 to buy and to mix."""
    system = make_system()
    assert system.station is not None
    collared = replace(system.station, collar=446 * POUND, collar_width=9 * INCH, collar_height=4 * INCH)
    built = build_side(make_site(), replace(system, stations=(collared,)))
    (line,) = [line for line in built.takeoff.lines if line.key == "concrete.bag"]
    assert line.net == pytest.approx(4.96, abs=0.01)
    assert line.quantity == 5
    (task,) = [task for task in built.plan.tasks if task.key == "collar"]
    assert task.quantity.startswith("5 at")


def test_a_wrapped_drain_displaces_its_sleeve_and_takes_no_stone() -> None:
    pipe = make_pipe(envelope=10 * INCH)
    run = make_run("W", (feet(0, 0), feet(10, 0)), GROUND - 1, GROUND - 1.1, ends=("a", "b"), pipe=pipe, stone=0.0)
    assert (bed(run).stone, bed(run).fabric) == (0.0, 0.0)
    assert bed(run).displaced == pytest.approx(math.pi / 4 * (10 * INCH) ** 2 * 10 * FOOT)


def test_stone_narrower_than_its_pipe_is_taken_as_wide_as_the_pipe() -> None:
    run = make_run("N", (feet(0, 0), feet(10, 0)), GROUND - 1, GROUND - 1.1, ends=("a", "b"), stone=2 * INCH)
    assert bed(run).stone > 0


def test_fabric_goes_round_and_laps() -> None:
    assert fabric_area(4 * FOOT, 50 * FOOT) == pytest.approx((4 + 1) * FOOT * (50 + 1.5) * FOOT)
    assert fabric_area(4 * FOOT, 150 * FOOT) == pytest.approx((4 + 1) * FOOT * (150 + 3) * FOOT)


def test_spoil_and_backfill_share_the_soil() -> None:
    dig = build_side(make_site(), make_system()).dig
    assert dig.loose_volume == pytest.approx(1.25 * dig.bank_volume)
    assert dig.backfill_volume + dig.haul_volume == pytest.approx(dig.loose_volume)
    assert 0 < dig.haul_volume < dig.loose_volume
    assert dig.trailer_loads == max(dig.trailer_loads_by_volume, dig.trailer_loads_by_mass)


def test_what_is_bought_is_never_less_than_what_is_needed() -> None:
    for line in build_side(make_site(), make_system()).takeoff.lines:
        assert line.quantity >= line.net * (1 - 1e-9)
        assert line.net > 0


def test_holes_by_hand() -> None:
    """The drain comes from the west, the leader from the north, the line leaves to the south."""
    system = make_system()
    holes = {hole.run: hole for hole in build_side(make_site(), system).takeoff.holes}
    assert {name: hole.clock for name, hole in holes.items()} == pytest.approx({"FD": 9.0, "L1": 12.0, "DL": 6.0})
    drain = system.run("FD")
    assert system.station is not None
    assert holes["FD"].height == pytest.approx(drain.invert_lower + drain.pipe.inside / 2 - system.station.floor)
    assert holes["DL"].diameter == system.run("DL").pipe.hole


@given(floats(0.0, 2 * math.pi))
def test_the_clock_turns_with_the_direction(bearing: float) -> None:
    hours = clock((3.0, 4.0), (3.0 + math.sin(bearing), 4.0 + math.cos(bearing)))
    assert 0 < hours <= 12
    assert math.isclose(math.cos(math.radians(hours * 30)), math.cos(bearing), abs_tol=1e-6)
    assert math.isclose(math.sin(math.radians(hours * 30)), math.sin(bearing), abs_tol=1e-6)


def test_every_pipe_of_the_catalogue_has_its_price() -> None:
    from drainwright.system.catalogue import PIPES

    book = demonstration_book()
    for pipe in PIPES.values():
        for stick in pipe.sticks:
            assert book.item(pipe_key(pipe, stick)).unit == f"stick {round(stick / FOOT)} ft"


def test_every_fitting_of_every_catalogue_pipe_has_its_price() -> None:
    from drainwright.system.catalogue import PIPES

    book = demonstration_book()
    for pipe in PIPES.values():
        assert group(pipe) in PLAIN_GROUPS
        for kind in get_args(Kind):
            if kind in PRESSURE_ONLY and group(pipe) != "sch40":
                continue
            assert book.item(key_of(Fitting(kind=kind, pipe=pipe, where=""))).unit == "each"


def test_every_generic_pump_has_its_price() -> None:
    from drainwright.system.lift.pumps import GENERIC_PUMPS

    book = demonstration_book()
    for pump in GENERIC_PUMPS:
        assert pump_key(pump.choice.label_power, pump.choice.float_kind) == pump.price_key
        assert book.item(pump.price_key).category == "material"


def test_pumps_are_bought_one_by_one_at_their_own_price() -> None:
    """The firm's pump at its own price, a second one of another make at the book's, a battery unit's pump besides."""
    from drainwright.job.works import Battery
    from drainwright.system.catalogue import PIPES
    from drainwright.system.lift.battery import battery_unit
    from drainwright.system.lift.pair import pump_pair
    from drainwright.system.lift.pressure_line import PressureLine
    from drainwright.system.lift.season import wet_season
    from drainwright.system.lift.study import PumpStudy

    system = make_system()
    station = system.stations[0]
    line = PressureLine(
        name="DL", distances=(0.0, 12.0), inverts=(station.ground - 0.1, station.ground - 0.2),
        pipe=PIPES["sch40 1-1/2 in"], tailwater=-math.inf, bends=(), check_valve=True,
    )  # fmt: skip
    first = replace(station.pump, name="ours", price=411.5)
    second = replace(station.pump, name="spare", label_power=186.4)
    sheet = [{"flow": "0 gpm", "head": "14 ft"}, {"flow": "20 gpm", "head": "2 ft"}]
    unit = {"name": "unit", "curve": sheet, "price": 250.0, "direct_current": True}
    battery = Battery.model_validate({"capacity": "75 Ah", "current": "9 A", "pump": unit})
    study = PumpStudy(
        wear=0.15, worn_flow=0.001, worn_shutoff=5.0, offered=None, storms=(),
        season=wet_season(first, 0.002, 0.1, 0.0, likely=0.002),
        pair=pump_pair(first, second, line, station.on, station.floor, 0.1, 0.001),
        unit=battery_unit(battery, first, line, station.on, station.floor, {"wet season": 0.0001}),
    )  # fmt: skip
    both = replace(station, pump=first, second_on=station.on + 0.05, study=study)
    side = build_side(make_site(), replace(system, stations=(both,)))
    bought = [line for line in side.takeoff.lines if line.description.startswith("pump: ")]
    assert [line.description for line in bought] == ["pump: ours", "pump: spare", "pump: unit"]
    assert [line.quantity for line in bought] == [1.0, 1.0, 1.0]
    priced = {line.description: float(line.unit_price) for line in side.price.lines}
    assert priced["pump: ours"] == 411.5
    assert priced["pump: spare"] == float(demonstration_book().item("pump.1/4hp.adjustable").price)
    assert priced["pump: unit"] == 250.0
    twice = replace(station, second_on=station.on + 0.05)
    pair = build_side(make_site(), replace(system, stations=(twice,))).takeoff.lines
    assert [line.quantity for line in pair if line.description.startswith("pump: ")] == [2.0]


def test_sizes_are_the_nearest_sold() -> None:
    assert sold_size(23.0 * INCH, (18.0, 24.0, 30.0)) == 24.0
    assert sold_size(27.0 * INCH, (18.0, 24.0, 30.0)) == 30.0


def test_a_deep_catch_basin_has_its_risers() -> None:
    """By hand: bodies of 14 in at 12 in across, risers of 6 in; 38 in from rim to invert and 6 in of sump take five."""
    for height, size, count in ((13.9, 12, 0), (18.1, 12, 1), (44.0, 12, 5), (44.1, 12, 6), (30.0, 24, 1), (9.0, 9, 0)):
        assert risers(height * INCH, float(size)) == count

    def of(invert: str) -> dict[str, tuple[float, str, str]]:
        inlet = {"name": "CB", "at": "10 ft, -20 ft", "size": "12 in"}
        works = {**make_site().job.works.model_dump(by_alias=True, exclude_unset=True), "inlets": [inlet]}
        site = make_site(works=works)
        drop = {"high": 1.0, "low": 38.0 / 12.0}[invert] * FOOT
        node = make_node("CB", "inlet", feet(10, -20), GROUND - drop)
        system = replace(make_system(), nodes={**make_system().nodes, "CB": node})
        lines = build_side(site, system).takeoff.lines
        return {line.key: (line.quantity, line.where, line.note) for line in lines if "catch-basin" in line.key}

    high, low = of("high"), of("low")
    assert high["catch-basin-riser.12in"][:2] == (1.0, "CB")
    assert low["catch-basin-riser.12in"][:2] == (5.0, "CB")
    assert "CB 3 ft 8 in" in low["catch-basin-riser.12in"][2]


def test_the_same_again_to_the_last_digit() -> None:
    assert build_side(make_site(), make_system()) == build_side(make_site(), make_system())


def test_stone_is_ordered_with_waste_in_half_yards() -> None:
    line = next(line for line in build_side(make_site(), make_system()).takeoff.lines if line.key == "stone.57")
    assert line.quantity * 2 == round(line.quantity * 2)
    assert line.quantity >= line.net * 1.08
    assert line.net * CUBIC_YARD > bed(make_system().run("FD")).stone


@pytest.mark.parametrize(
    ("permission", "bought"), [("permit granted", False), ("allowed", False), ("permit needed", True)]
)
def test_a_permit_that_is_granted_is_not_bought_again(permission: str, bought: bool) -> None:
    site = make_site()
    works = site.job.works
    said = works.discharge[0].permission.model_copy(update={"value": permission})
    points = tuple(point.model_copy(update={"permission": said}) for point in works.discharge)
    job = site.job.model_copy(update={"works": works.model_copy(update={"discharge": points})})
    system = make_system()
    assert system.discharge in {point.name for point in points}
    keys = {line.key for line in build_side(replace(site, job=job), system).takeoff.lines}
    assert ("permit.discharge" in keys) is bought


@pytest.mark.parametrize(("path", "ends"), [("long-house/job", 2), ("block-wall-house/job", 1), ("soak-lot/job", 1)])
def test_each_way_out_is_made_and_asked_for(path: str, ends: int) -> None:
    """Two outlets had the hours of one, and one permission."""
    design = designed(path)
    soaked = {soak.name for soak in design.system.soaks}
    out = {run.lower for run in design.system.runs if design.system.nodes[run.lower].kind == "discharge"}
    assert max(1, len(out - soaked)) == ends
    (work,) = [task for task in design.build.plan.tasks if task.key == "outlet"]
    assert work.hours == pytest.approx(2.0 * ends)  # the demonstration book's rate, each
    known = ("allowed", "permit granted")
    asked = [item for item in design.job.works.discharge if item.name in out and item.permission.value not in known]
    lines = [one for one in design.build.takeoff.lines if one.key == "permit.discharge"]
    assert sum(one.quantity for one in lines) == len(asked)
