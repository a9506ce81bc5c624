"""Visits to a job in service: intervals by site and findings, pumps that drift, switches and silt."""

from __future__ import annotations

import datetime
import json
from dataclasses import replace
from pathlib import Path

import pytest
from typer.testing import CliRunner

from drainwright.cli import app
from drainwright.design import Design
from drainwright.errors import JobError
from drainwright.job.service import FULL, read_service_text
from drainwright.proving.service import Serviced, expected_troubles, serviced

from ..conftest import EXAMPLES

BEGAN = datetime.date(2026, 4, 1)
HEAD = "schema_version: 1\njob: {job}\nin_service: 2026-04-01\ninvented: true\nvisits:\n"


def told(design: Design, *visits: str) -> Serviced:
    text = HEAD.format(job=design.job.number) + "".join(f"  - {visit}\n" for visit in visits)
    return serviced(design, read_service_text(text))


def flow(design: Design, share: float, basin: str = "SUMP") -> str:
    station = design.system.station_named(basin)
    assert station is not None
    return f"basins: [{{basin: {basin}, flow: {station.inflow * share * 60000:.3f} L/min}}]"


def test_the_site_sets_the_first_interval(pumped: Design, metric: Design) -> None:
    for design in (pumped, metric):
        found = told(design, "{on: 2027-04-01}").interval
        assert found.months == (6 if expected_troubles(design) else 12)
        assert len(found.why) == max(len(expected_troubles(design)), 1)
    assert {"roots", "leaves"} & set(expected_troubles(pumped))


def test_what_is_found_again_halves_it_and_nothing_doubles_it(pumped: Design) -> None:
    first = told(pumped, "{on: 2027-04-01}").interval.months
    again = told(pumped, "{on: 2027-04-01, found: [roots, sand]}", "{on: 2027-10-01, found: [roots]}").interval
    assert again.months == first // 2
    assert again.why[-1] == "roots at the last two visits"
    assert again.next == datetime.date(2027, 10, 1) + datetime.timedelta(days=round(first // 2 * 30.4375))
    quiet = told(pumped, *(f"{{on: 20{year}-04-01}}" for year in (27, 28, 29))).interval
    assert quiet.months == 2 * first


def test_a_pump_that_loses_flow_has_a_date_to_be_replaced(metric: Design) -> None:
    visits = [
        f"{{on: {2027 + number}-04-01, {flow(metric, share)}}}" for number, share in enumerate((1.30, 1.25, 1.20, 1.15))
    ]
    (pump,) = told(metric, *visits).pumps
    assert pump.readings == 4
    assert pump.likely is not None
    assert abs((pump.likely - datetime.date(2033, 4, 1)).days) < 10  # 5 % of the limit a year, 30 % to lose
    assert pump.earliest is not None
    assert pump.earliest < pump.likely
    few = told(metric, *visits[:2]).pumps[0]
    assert few.last is None
    assert few.likely is None


def test_a_new_pump_begins_anew(metric: Design) -> None:
    shares = (1.2, 1.0, 0.9, 1.3, 1.3)
    visits = [
        f"{{on: {2027 + number}-04-01, {flow(metric, share)}{', new_pump: [SUMP]' if number == 3 else ''}}}"
        for number, share in enumerate(shares)
    ]
    pump = told(metric, *visits).pumps[0]
    assert pump.readings == 2


def test_starts_give_the_date_of_the_switch(metric: Design) -> None:
    looked = "basins: [{basin: SUMP, starts: %d}]"
    found = told(metric, "{on: 2027-04-01, " + looked % 10000 + "}", "{on: 2028-03-31, " + looked % 30000 + "}")
    (switch,) = found.switches
    assert switch.a_day == pytest.approx(20000 / 365)
    left = (100_000 - 30_000) / switch.a_day
    assert switch.worn_out == datetime.date(2028, 3, 31) + datetime.timedelta(days=round(left))


def test_a_switch_lasts_as_its_sheet_says(metric: Design) -> None:
    looked = "basins: [{basin: SUMP, starts: 10000}]"
    (station,) = metric.system.stations
    own = replace(station, pump=replace(station.pump, switch_starts=20_000))
    changed = replace(metric, system=replace(metric.system, stations=(own,)))
    (switch,) = told(changed, "{on: 2027-04-01, " + looked + "}").switches
    assert switch.lasts == 20_000
    assert switch.worn_out is not None
    half = (switch.worn_out - datetime.date(2027, 4, 1)).days  # the half that is left at the rate of that which is gone
    assert half == pytest.approx((datetime.date(2027, 4, 1) - BEGAN).days, abs=1)


def test_silt_that_was_not_taken_out_goes_on_lying(metric: Design) -> None:
    """Every catch basin was taken as emptied at the visit: of two, one was, and the other came due half a year late."""
    inlet = metric.job.works.inlets[0]
    full = FULL * inlet.sump_depth
    read = f"on: 2027-04-01, silt: [{{inlet: {inlet.name}, depth: 30 mm}}]"
    (left,) = told(metric, f"{{{read}, emptied: []}}").silt
    (out,) = told(metric, f"{{{read}, emptied: [{inlet.name}]}}").silt
    assert (left.lies, out.lies) == (pytest.approx(0.030), 0.0)
    assert left.due is not None
    assert out.due is not None
    assert (out.due - left.due).days == pytest.approx(365.25 * 0.030 / left.a_year, abs=2)  # what lies there already
    assert not left.overdue
    deep = f"on: 2027-04-01, silt: [{{inlet: {inlet.name}, depth: {1000 * full + 10:.0f} mm}}]"
    (over,) = told(metric, f"{{{deep}, emptied: []}}").silt
    assert over.overdue
    assert over.due == datetime.date(2027, 4, 1)
    again = f"{{on: 2028-04-01, silt: [{{inlet: {inlet.name}, depth: 50 mm}}]}}"
    (both,) = told(metric, f"{{{read}, emptied: []}}", again).silt
    assert both.a_year == pytest.approx(0.050 / 2, rel=2e-3)  # 30 mm of the 50 were there
    with pytest.raises(JobError, match="emptied"):
        told(metric, "{on: 2027-04-01, emptied: [NOWHERE]}")


def test_silt_gives_the_date_to_empty_a_catch_basin(metric: Design) -> None:
    inlet = metric.job.works.inlets[0]
    found = told(metric, f"{{on: 2027-04-01, silt: [{{inlet: {inlet.name}, depth: 30 mm}}]}}")
    (silt,) = found.silt
    assert silt.a_year == pytest.approx(0.030, rel=1e-3)
    assert silt.due is not None
    years = FULL * inlet.sump_depth / 0.030
    assert (silt.due - datetime.date(2027, 4, 1)).days == pytest.approx(365.25 * years, abs=1.5)


@pytest.mark.parametrize(
    ("visits", "says"),
    [
        (("{on: 2027-04-01}", "{on: 2027-03-01}"), "in turn"),
        (("{on: 2027-04-01, basins: [{basin: SAMP}]}",), "SUMP"),
        (("{on: 2027-04-01, found: [mice]}",), "roots"),
    ],
)
def test_a_wrong_record_is_refused(metric: Design, visits: tuple[str, ...], says: str) -> None:
    with pytest.raises(JobError, match=says) as caught:
        told(metric, *visits)
    assert caught.value.problems[0].line


def test_the_command_tells_it_all(tmp_path: Path, metric: Design) -> None:
    path = tmp_path / "service.yaml"
    visits = "".join(f"  - {{on: {year}-04-01, {flow(metric, 1.3)}}}\n" for year in (2027, 2028, 2029))
    path.write_text(HEAD.format(job=metric.job.number) + visits, encoding="utf-8")
    job = str(EXAMPLES / "metric-basement" / "job.yaml")
    shown = CliRunner().invoke(app, ["service", job, str(path)])
    assert shown.exit_code == 0, shown.output
    assert "Next visit" in shown.output
    assert "Checklist" in shown.output
    as_json = CliRunner().invoke(app, ["service", job, str(path), "--json"])
    assert json.loads(as_json.stdout)["pumps"][0]["readings"] == 3
