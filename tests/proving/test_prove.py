"""A finished job held against its design: what passes, what does not, what cannot be told, and why."""

from __future__ import annotations

import re
from fractions import Fraction

import pytest

from drainwright.design import Design
from drainwright.errors import JobError
from drainwright.job.proof import read_proof, read_proof_text
from drainwright.proving.basins import LEAK
from drainwright.proving.duty import duty_of, expected_table, over_the_valve
from drainwright.proving.lines import inlets_to_test, needed_grade
from drainwright.proving.model import Proven, Row
from drainwright.proving.prove import prove
from drainwright.proving.starter import BLANK, starter_text
from drainwright.proving.words import Words
from drainwright.storm.pump_tables import pump_table
from drainwright.system.catalogue import PRESSURE_PIPES
from drainwright.system.model import LiftStation

from ..conftest import designed
from .worlds import INCH, Truth, basin_record, leaves, record

FLOW, BACK = "Pump's flow by drawdown", "Comes back through the check valve"


def proven(design: Design, text: str) -> Proven:
    return prove(design, read_proof_text(text))


def row(found: Proven, what: str, where: str | None = None) -> Row:
    return next(one for one in found.rows if one.what == what and where in (None, one.where))


def only(design: Design) -> LiftStation:
    station = design.system.station
    assert station is not None
    return station


@pytest.mark.parametrize("job", ["block-wall-house/job", "metric-basement/job", "two-basins/job"])
def test_what_leaves_a_basin_is_that_of_a_solver_apart(job: str) -> None:
    """Pump, line and relief hole balanced by brentq on formulas written out anew: 0.2 %."""
    design = designed(job)
    for station in design.system.stations:
        duty = duty_of(station, design.system.run(station.discharge_run), design.job.works.basin_named(station.name))
        for level in (station.off, (station.off + station.on) / 2, station.alarm):
            assert duty.leaves(level) == pytest.approx(leaves(design, station, level, Truth()), rel=2e-3)


def test_without_a_relief_hole_it_is_the_storm_tests_table(pumped: Design) -> None:
    from dataclasses import replace

    station = only(pumped)
    run = pumped.system.run(station.discharge_run)
    levels, flows = pump_table(station, run, 1)
    duty = replace(duty_of(station, run, None), hole=0.0)
    for level, flow in list(zip(levels, flows, strict=True))[5:40:5]:
        assert duty.leaves(float(level)) == pytest.approx(flow, rel=1e-3)


def test_a_pump_as_designed_passes_and_its_band_holds_the_truth(metric: Design) -> None:
    station = only(metric)
    found = proven(metric, record(metric, basin_record(metric, station, Truth())))
    (basin,) = found.basins
    true = leaves(metric, station, basin.drawdown.level, Truth())
    assert row(found, FLOW).verdict == "pass"
    assert abs(basin.drawdown.pumped.flow - true) < 0.03 * true
    assert abs(basin.drawdown.pumped.flow - true) < basin.band
    assert basin.expected == pytest.approx(true, rel=0.01)
    assert not basin.reasons


def test_a_reading_noted_an_inch_wrong_is_named_and_left_out(metric: Design) -> None:
    station = only(metric)
    for slip, side in ((INCH, "higher"), (-INCH, "lower")):
        found = proven(metric, record(metric, basin_record(metric, station, Truth(slip=slip))))
        (basin,) = found.basins
        true = leaves(metric, station, basin.drawdown.level, Truth())
        assert abs(basin.drawdown.pumped.flow - true) < basin.band
        assert row(found, FLOW).verdict == "pass"
        assert re.search(rf"Reading 4 of stretch 2 has the water \d\d mm {side} than all", row(found, FLOW).said)
        assert "scatter" not in row(found, FLOW).said
    sound = proven(metric, record(metric, basin_record(metric, station, Truth())))
    assert "left out" not in row(sound, FLOW).said


def test_the_next_smaller_line_is_found_first(metric: Design) -> None:
    station = only(metric)
    bore = metric.system.run(station.discharge_run).pipe.inside
    smaller = [pipe for pipe in PRESSURE_PIPES if pipe.inside < bore - 1e-6][-1]
    found = proven(metric, record(metric, basin_record(metric, station, Truth(bore=smaller.inside))))
    shown = row(found, FLOW)
    assert shown.verdict == "not"
    reasons = found.basins[0].reasons
    line = next(one for one in reasons if one.key == "smaller line")
    assert line.fits
    assert line in reasons[:2]
    assert line.flow == pytest.approx(
        leaves(metric, station, found.basins[0].drawdown.level, Truth(bore=smaller.inside)), rel=0.01
    )


def test_a_reason_without_a_figure_is_not_said_to_fit(metric: Design) -> None:
    station = only(metric)
    bore = metric.system.run(station.discharge_run).pipe.inside
    larger = next(pipe for pipe in PRESSURE_PIPES if pipe.inside > bore + 1e-6)
    (basin,) = proven(metric, record(metric, basin_record(metric, station, Truth(bore=larger.inside)))).basins
    reads = {one.key: one.reads for one in basin.reasons}
    assert reads["other pump"] == reads["area"] == "not ruled out"
    assert reads["larger line"] == "fits"
    assert {one.reads == "fits" for one in basin.reasons if one.flow is not None and one.off > 2.0} <= {False}


def test_a_half_open_valve_and_wear_are_told_with_their_figures(metric: Design) -> None:
    station = only(metric)
    worn = proven(metric, record(metric, basin_record(metric, station, Truth(wear=0.3)))).basins[0]
    wear = next(one for one in worn.reasons if one.key == "wear")
    assert wear.fits
    share = re.search(r"lost (\d+) %", wear.said)
    assert share
    assert int(share[1]) == pytest.approx(30, abs=3)
    valve = proven(metric, record(metric, basin_record(metric, station, Truth(extra=24.0)))).basins[0]
    assert next(one for one in valve.reasons if one.key == "valve a quarter open").fits
    assert not next(one for one in valve.reasons if one.key == "valve three quarters open").fits


def test_a_pump_that_lifts_nothing_is_locked_by_air_or_shut_off(metric: Design) -> None:
    station = only(metric)
    text = record(metric, basin_record(metric, station, Truth(extra=1e7))).replace("relief_squirts: true", "")
    found = proven(metric, text)
    assert row(found, FLOW).verdict == "not"
    assert [one.key for one in found.basins[0].reasons[:2]] == ["air lock", "shut"]


def test_too_few_readings_cannot_tell(metric: Design) -> None:
    station = only(metric)
    whole = basin_record(metric, station, Truth())
    short = re.sub(
        r"(while: pumping\n        readings: \[)(\[[^\]]*\], \[[^\]]*\])[^\n]*\]", r"\1\2]", whole
    )  # two looks at the tape, ten seconds apart
    rough = short.replace("    stretches:", "    tape_within: 1 in\n    stretches:")
    assert row(proven(metric, record(metric, rough)), FLOW).verdict == "cannot tell"
    alone = re.sub(r"      - while: (shut|open)\n[^\n]*\n", "", whole)
    found = proven(metric, record(metric, alone))
    assert row(found, FLOW).verdict == "cannot tell"


def test_a_leaking_check_valve_shows_where_the_line_holds_water() -> None:
    design = designed("two-basins/job")
    station = design.system.station_named("SUMP")
    assert station is not None
    holds = over_the_valve(station, design.system.run(station.discharge_run))
    found = proven(design, record(design, basin_record(design, station, Truth(leak=6e-5, holds=holds))))
    shown = row(found, BACK, "SUMP")
    assert shown.verdict == "not"
    assert shown.figures["found"] == pytest.approx(6e-5, rel=0.2)
    assert abs(shown.figures["found"] - 6e-5) < shown.figures["band"]
    proof = next(one for one in found.basins if one.name == "SUMP")
    rise = min(shown.figures["found"] * 3600.0, proof.returns) / proof.area  # of an hour, or of all that the line holds
    inches = re.search(r"in the hour after a stop the water rises ([^ ]+(?: \d+/\d+)?) in by it", shown.said, re.I)
    assert inches is not None
    assert sum(Fraction(part) for part in inches[1].split()) * 0.0254 == pytest.approx(rise, abs=0.0254 / 16)
    assert f"{100 * proof.returns / station.band_volume:.0f} % of what lies between its floats" in shown.said
    less = station.band_volume - proof.returns  # of other water, that a start pumps out
    assert f"up to {100 * (station.band_volume / less - 1):.0f} % more starts for the same water" in shown.said
    small = proven(design, record(design, basin_record(design, station, Truth(leak=1e-5, holds=holds))))
    dripping = row(small, BACK, "SUMP")
    assert dripping.verdict == "pass"
    assert dripping.figures["found"] > dripping.figures["band"]
    assert "A small leak. In the hour after a stop" in dripping.said
    sound = proven(design, record(design, basin_record(design, station, Truth())))
    assert row(sound, BACK, "SUMP").verdict == "pass"
    assert row(sound, BACK, "SUMP").said == ""
    assert LEAK < 6e-5


def test_a_line_that_falls_away_gives_nothing_back_to_be_seen(metric: Design) -> None:
    found = proven(metric, record(metric, basin_record(metric, only(metric), Truth())))
    shown = row(found, BACK)
    assert "By the line's shape" in shown.said
    assert shown.found.split(" at most")[0][-1] == "L"  # an amount beside an amount, no flow
    assert re.fullmatch(r"less than [\d.]+ L, which nobody sees", shown.wanted)


def test_water_that_rises_faster_after_a_stop_is_a_likely_leak_whatever_the_line_s_shape(metric: Design) -> None:
    """It passed by the shape alone, with a rise four times that before the first start."""
    leak = 3.0 * Truth().inflow
    found = proven(metric, record(metric, basin_record(metric, only(metric), Truth(leak=leak))))
    shown = row(found, BACK)
    assert shown.verdict == "not"
    assert shown.figures["found"] == pytest.approx(leak, rel=0.2)
    times = re.search(r"rises (\d\.\d) times as fast as before the first start", shown.said)
    assert times is not None
    assert float(times[1]) == pytest.approx(4.0, abs=0.5)
    assert shown.said.startswith("Likely a leak")
    assert "more ground water runs in once the stone is drawn down" in shown.said


HOSES = """\
hoses:
  - {inlet: CB1, bucket: 5 gal, fills: [34 s, 35 s, 34 s], out_fills: [35 s, 34 s, 35 s], came: true}
  - {inlet: CB2, bucket: 5 gal, fills: [34 s, 35 s, 34 s], out_fills: [50 s, 51 s, 52 s], came: true}
  - {inlet: DS1, bucket: 5 gal, fills: [34 s], came: true, backed_up: true}
"""


def test_hoses_are_judged_inlet_by_inlet(pumped: Design) -> None:
    assert set(inlets_to_test(pumped)) == {"CB1", "CB2", "DS1"}
    found = proven(pumped, record(pumped, extra=HOSES))
    through = {one.where: one.verdict for one in found.rows if one.what == "Water of a hose comes through"}
    kept = {one.where: one.verdict for one in found.rows if one.what == "Comes out of what went in"}
    assert through == {"CB1": "pass", "CB2": "pass", "DS1": "not"}
    assert kept == {"CB1": "pass", "CB2": "not"}
    hose = row(found, "Water of a hose comes through", "CB1")
    assert hose.figures["hose"] == pytest.approx(5 * 0.003785411784 / (103 / 3), rel=1e-9)
    assert "of the design flow" in hose.said


def levels(design: Design, name: str, fall: float) -> str:
    run = design.system.run(name)
    lower = run.invert_lower
    return f"    - {{run: {name}, upper: {lower + fall * run.length:.4f} m, lower: {lower:.4f} m}}\n"


def test_grades_are_judged_with_the_rods_own_band(pumped: Design) -> None:
    run = pumped.system.run("YD1")
    least = max(pumped.job.criteria.least_grade, needed_grade(run))
    shown = {}
    for name, fall in (("good", run.grade), ("flat", least - 0.002), ("near", least), ("back", -0.01)):
        found = proven(pumped, record(pumped, extra="as_built:\n  runs:\n" + levels(pumped, "YD1", fall)))
        shown[name] = row(found, "Grade re-shot", "YD1")
    verdicts = {name: one.verdict for name, one in shown.items()}
    assert verdicts == {"good": "pass", "flat": "not", "near": "cannot tell", "back": "not"}
    assert shown["good"].figures["band"] == pytest.approx(1.96 * 2**0.5 * 0.003048 / run.length)
    assert shown["back"].said == "It falls the wrong way."
    assert row(found, "Grade re-shot", "FD1").verdict == "not done"


def test_the_grade_that_is_needed_carries_the_flow_by_manning(pumped: Design) -> None:
    run = pumped.system.run("L1")
    assert run.capacity * (needed_grade(run) / run.grade) ** 0.5 == pytest.approx(run.flow)


def test_ground_floats_photographs_and_signatures(pumped: Design) -> None:
    station = only(pumped)
    on = station.float_levels["on"] - station.floor
    extra = (
        "as_built:\n"
        f"  basins: [{{basin: {station.name}, on: {on + 0.02:.4f} m, off: {0.2:.4f} m}}]\n"
        "  ground:\n"
        "    - {wall: west, near: 100.00 ft, far: 99.40 ft}\n"
        "    - {wall: east, near: 100.00 ft, far: 99.80 ft}\n"
        "photos: [{checkpoint: 2, file: b.jpg}]\n"
        "signed: [{name: A. Lind, role: crew lead, on: 2026-09-02}]\n"
    )
    found = prove(pumped, read_proof_text(record(pumped, extra=extra)), ("first", "second"))
    assert row(found, "Pump starts at").verdict == "pass"
    assert row(found, "Pump stops at").verdict == "not"
    assert row(found, "Alarm sounds at").verdict == "not done"
    away = "Ground falls away from the wall"
    assert (row(found, away, "west").verdict, row(found, away, "east").verdict) == ("pass", "not")
    assert (row(found, "first").verdict, row(found, "second").verdict) == ("not done", "pass")
    assert row(found, "Signed").verdict == "pass"
    assert not found.whole


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("job: D-0117", "job: D-0118", "another job's record"),
        ("inlet: CB1", "inlet: CB9", "CB9"),
        ("came: true}", "came: true, basket: 1}", "basket"),
        ("on: 2026-09-01", "on: 2025-09-01", "visit"),
    ],
)
def test_a_wrong_record_is_refused_with_its_line(pumped: Design, old: str, new: str, says: str) -> None:
    text = record(pumped, extra=HOSES).replace(old, new, 1)
    assert old not in HOSES or new in text
    with pytest.raises(JobError, match=re.escape(says)) as caught:
        proven(pumped, text)
    assert all(problem.line for problem in caught.value.problems)


def test_readings_outside_the_basin_are_refused(metric: Design) -> None:
    text = record(metric, basin_record(metric, only(metric), Truth())).replace(
        "    stretches:", "    tape_from: floor\n    stretches:"
    )
    deep = re.sub(r"\[0\.0 s, [\d.]+ mm\]", "[0.0 s, 4000 mm]", text, count=1)
    with pytest.raises(JobError, match="above its rim"):
        proven(metric, deep)


def test_a_photograph_must_lie_beside_the_record(tmp_path, pumped: Design) -> None:  # type: ignore[no-untyped-def]
    path = tmp_path / "proof.yaml"
    path.write_text(record(pumped, extra="photos: [{checkpoint: 1, file: a.jpg}]\n"), encoding="utf-8")
    with pytest.raises(JobError, match=r"a\.jpg"):
        read_proof(path)
    (tmp_path / "a.jpg").write_bytes(b"x")
    assert read_proof(path).proof.photos[0].file == "a.jpg"


@pytest.mark.parametrize("job", ["block-wall-house/job", "metric-basement/job", "sloping-lot/job"])
def test_the_starter_reads_as_it_is_and_with_its_comments_taken_off(job: str) -> None:
    design = designed(job)
    text = starter_text(design)
    assert read_proof_text(text).proof.job == design.job.number
    worked = design.build.plan.dates  # it is measured when the work is done, not on the day of the visit
    assert read_proof_text(text).proof.on == (worked[-1] if worked else design.job.date)
    head, body = text.splitlines()[3:6], text.splitlines()[6:]
    bare = "\n".join([*head, *(re.sub(r"^# ?(?=[a-z ])", "", line) for line in body)])
    with pytest.raises(JobError, match=re.escape(repr(BLANK)[1:-1])):
        read_proof_text(bare)  # a blank that nobody filled proves nothing
    times = iter(range(1000))
    once = re.sub(rf"{BLANK} s\b", "34 s", bare)
    whole = read_proof_text(re.sub(rf"{BLANK} (ft|m|in|mm)\b", lambda unit: f"{next(times)} {unit[1]}", once)).proof
    assert {one.inlet for one in whole.hoses} == set(inlets_to_test(design))
    assert {one.basin for one in whole.basins} == {station.name for station in design.system.stations}
    for run in design.system.runs:
        if not run.pressure:
            found = Words(design.job.units).level(run.invert_upper)
            assert any(f"run: {run.name}," in line and f"# designed {found} and" in line for line in text.splitlines())
    prove(design, read_proof_text(text))  # nothing measured yet: everything is not done, nothing fails
    assert not prove(design, read_proof_text(text)).count("not")


def test_on_a_shared_main_the_others_rest() -> None:
    design = designed("two-basins/job")
    for station in design.system.stations:
        levels, flows = expected_table(design.system, station, design.job.works.basin_named(station.name))
        assert len(levels) == len(flows)
        assert flows[-1] > flows[0] >= 0.0
