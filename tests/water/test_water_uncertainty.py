"""Bands of the inflows: closed forms, another sampler, error propagation, and what a job's own ranges do."""

from __future__ import annotations

import math
import time
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from scipy.stats import lognorm, norm, qmc
from tests.water.site_of import RAIN as TABLE
from tests.water.site_of import job_of, site_of

from drainwright.field import survey
from drainwright.field.model import Site
from drainwright.hydraulics.influence import sichardt_influence
from drainwright.hydraulics.seepage import slot_inflow
from drainwright.job.reading import read_job
from drainwright.job.values import Basis
from drainwright.water import inflows
from drainwright.water.input_ranges import RAIN
from drainwright.water.model import Cause, Inflows, InputRange
from drainwright.water.uncertainty import COUNT, _sampled, factor_of, ranges_by_cause, share_of, shift_of, with_bands
from drainwright.worksheet import worksheet

EXAMPLES = ["block-wall-house", "sloping-lot", "wrong-choices", "metric-basement"]

NOTHING = {"discharge": [{"name": "OUT", "at": "90 ft, 90 ft", "kind": "street", "invert": "97 ft"}]}
LEVELS = {
    "texture": "loam, mapped", "water_table": "29.4 m, measured", "barrier": "27.5 m, assumed",
}  # fmt: skip


@cache
def example_site(name: str) -> Site:
    return survey(read_job(Path(__file__).resolve().parents[2] / "examples" / name / "job.yaml"))


def wet(**ground: Any) -> Inflows:
    """The house with water 0.55 m over its drain."""
    return inflows(site_of(job_of(ground={**LEVELS, **ground}), water_table=29.4, barrier=27.5))


def one_roof(area: Any = "1000 ft2", **rain: Any) -> Inflows:
    """One roof and nothing else, so that the flow is a product of two inputs."""
    job = job_of(
        rain={**TABLE, **rain}, roofs=[{"name": "R1", "area": area, "to": "DS1"}], yards=[],
        downspouts=[{"name": "DS1", "at": "A"}],
        works=NOTHING,
    )  # fmt: skip
    return inflows(site_of(job))


def only(name: str, found: Inflows) -> InputRange:
    return next(item for item in found.ranges if item.name == name)


def test_a_product_of_lognormals_is_lognormal() -> None:
    """Two factors of 1.5 and 1.3 each way give exp(sqrt(ln² 1.5 + ln² 1.3)) each way."""
    area = {"value": "1000 ft2", "low": f"{1000 / 1.3:.6f} ft2", "high": "1300 ft2"}
    bounds = [
        {**row, "low": [f"{float(d.split()[0]) / 1.5:.6f} in" for d in row["depths"]],
         "high": [f"{float(d.split()[0]) * 1.5:.6f} in" for d in row["depths"]]}
        for row in TABLE["table"]  # type: ignore[attr-defined]
    ]  # fmt: skip
    found = one_roof(area, table=bounds)
    (roof,) = found.contributions
    assert roof.low is not None
    assert roof.high is not None
    exact = math.exp(math.hypot(math.log(1.5), math.log(1.3)))
    assert roof.high / roof.flow == pytest.approx(exact, rel=0.02)
    assert roof.flow / roof.low == pytest.approx(exact, rel=0.02)
    assert found.bands[Cause.ROOF].middle == pytest.approx(roof.flow, rel=0.02)
    assert found.total == found.bands[Cause.ROOF]
    whole = (math.log(1.5) / 1.6449) ** 2 + (math.log(1.3) / 1.6449) ** 2
    assert only("rain depth", found).share == pytest.approx((math.log(1.5) / 1.6449) ** 2 / whole, abs=0.03)
    assert only("rain depth", found).why == "the table's own 90 % bounds"


def test_a_sum_of_independent_inputs_adds_in_squares() -> None:
    """Rain held still (spread 0): two equal roofs whose areas err by 20 % each err by 20 %/sqrt 2 together."""
    area = {"value": "1000 ft2", "low": "800 ft2", "high": "1200 ft2"}
    job = job_of(
        rain={**TABLE, "spread": "0 %"},
        roofs=[{"name": name, "area": area, "to": "DS1"} for name in ("R1", "R2")], yards=[],
        downspouts=[{"name": "DS1", "at": "A"}], works=NOTHING,
    )  # fmt: skip
    found = inflows(site_of(job))
    assert found.total is not None
    width = (found.total.high - found.total.low) / 2 / found.total.middle
    assert width == pytest.approx(0.2 / math.sqrt(2), rel=0.03)
    shares = {item.name: item.share for item in found.ranges}
    assert shares["area of R1"] == pytest.approx(0.5, abs=0.05)
    assert shares["area of R2"] == pytest.approx(0.5, abs=0.05)
    assert shares["rain depth"] == 0.0


def test_another_sampler_gives_the_same_bands_of_groundwater() -> None:
    """scipy's scrambled Sobol points through the slot formula, written out here; to 4 %."""
    found = wet()
    (seepage,) = found.seepage
    band = found.bands[Cause.GROUND]
    ranges = {item.name: item for item in found.ranges}
    names = ["soil conductivity", "depth of water-bearing soil below the drain", "reach of the lowering"]
    z = norm.ppf(qmc.Sobol(5, seed=5).random(2**13))
    factors = [
        np.exp(z[:, number] / 1.6449 * np.where(
            z[:, number] < 0, np.log(ranges[name].middle / ranges[name].low),
            np.log(ranges[name].high / ranges[name].middle),
        ))
        for number, name in enumerate(names)
    ]  # fmt: skip
    water = ranges["water table"].middle + z[:, 3] / 1.6449 * (
        ranges["water table"].high - ranges["water table"].middle
    )
    drain = ranges["level of the drain"]
    held = drain.middle + z[:, 4] / 1.6449 * (drain.high - drain.middle)
    floor = drain.middle - ranges[names[1]].middle * factors[1]
    fall = np.maximum(water - held, 0.0)
    speed = found.conductivity * factors[0]
    reach = np.maximum(np.asarray(sichardt_influence(fall, speed)), 3.0) * factors[2]
    head, low = np.maximum(water - floor, 0.0), np.maximum(held - floor, 0.0)
    flow = seepage.length * np.asarray(slot_inflow(speed, np.maximum(head, low), low, reach))
    for share, value in zip((0.05, 0.5, 0.95), (band.low, band.middle, band.high), strict=True):
        assert value == pytest.approx(np.quantile(flow, share), rel=0.04)


def test_narrow_ranges_follow_first_order_error_propagation(monkeypatch: pytest.MonkeyPatch) -> None:
    """With small errors the relative variance of groundwater is the sum of (d ln Q / d ln x · error)²."""
    monkeypatch.setattr("drainwright.water.uncertainty.REACH", 1.03)
    ground = {
        "texture": "loam, measured",
        "conductivity": {"value": "2 ft/day", "low": "1.96 ft/day", "high": "2.04 ft/day"},
        "water_table": {"value": "29.3 m", "low": "29.29 m", "high": "29.31 m", "basis": "measured"},
        "barrier": {"value": "27.5 m", "low": "27.45 m", "high": "27.55 m", "basis": "measured"},
    }
    job = job_of(ground=ground)
    found = inflows(site_of(job, water_table=29.3, barrier=27.5))
    by_cause = ranges_by_cause(site_of(job, water_table=29.3, barrier=27.5), found)[Cause.GROUND]
    share = {item.name: item.share for item in by_cause}
    (seepage,) = found.seepage
    high, low = 29.3 - 27.5, seepage.drain_level - 27.5
    whole = high**2 - low**2
    slopes = {  # change of ln Q with each input's error (5 to 95 of a hundred)
        "soil conductivity": 0.02,
        "water table": 0.01 * 2 * high / whole,
        "depth of water-bearing soil below the drain": 0.05 * 2 * (high - low) / whole,
        "reach of the lowering": math.log(1.03),
        "level of the drain": 0.03 * 2 * low / whole,
    }
    variance = sum(value**2 for value in slopes.values())
    for name, value in slopes.items():
        assert share[name] == pytest.approx(value**2 / variance, abs=0.04), name


@pytest.mark.parametrize("example", EXAMPLES)
def test_the_middle_agrees_with_the_design(example: str) -> None:
    """Within 3 % for roofs, yards and all together. Groundwater's median is up to 10 % below its design figure where
    the drawdown itself is unsure by half: a finding (the flow grows faster than it shrinks), left as it is."""
    found = inflows(example_site(example))
    by_cause = found.by_cause()
    assert found.total is not None
    assert found.total.middle == pytest.approx(sum(by_cause.values()), rel=0.03)
    for cause, band in found.bands.items():
        assert band.middle == pytest.approx(by_cause[cause], rel=0.10 if cause is Cause.GROUND else 0.03)
        assert band.low < by_cause[cause] < band.high
    for part in found.contributions:
        assert part.low is not None
        assert part.high is not None
        assert part.low < part.flow < part.high
    assert sum(item.share for item in found.ranges) == pytest.approx(1.0, abs=0.06)
    assert [item.share for item in found.ranges] == sorted((item.share for item in found.ranges), reverse=True)


def test_the_same_job_gives_the_same_digits_and_no_steps() -> None:
    site = example_site("sloping-lot")
    first, second = inflows(site), inflows(site)
    assert first.bands == second.bands
    assert first.ranges == second.ranges
    with worksheet() as steps:
        with_bands(site, first)
    assert not steps


def test_a_measured_soil_has_a_narrower_band_than_a_texture() -> None:
    def wide(ground: dict[str, Any]) -> float:
        band = wet(**ground).bands[Cause.GROUND]
        return band.high / band.low

    texture = wide({})
    tested = wide({"conductivity": "0.8 ft/day, measured"})
    own = {"value": "0.8 ft/day", "low": "0.7 ft/day", "high": "0.9 ft/day", "basis": "measured"}
    sure = wide({"conductivity": own})
    assert texture > 3 * tested > 6 * sure


def test_the_mark_and_the_reason_travel() -> None:
    found = inflows(site_of(job_of(), water_table=29.2))
    soil = only("soil conductivity", found)
    assert soil.basis is Basis.ASSUMED
    assert "texture" in soil.why
    assert soil.high / soil.middle == pytest.approx(10.0)
    assert only("area of R1", found).basis is Basis.MEASURED
    assert only("rain depth", found).basis is Basis.MAPPED
    low, high = RAIN[Basis.MAPPED]
    assert only("rain depth", found).low / only("rain depth", found).middle == pytest.approx(low)
    assert only("rain depth", found).high / only("rain depth", found).middle == pytest.approx(high)


def test_hard_ground_never_sheds_more_than_falls() -> None:
    """Not in any sample: rain and area held still, the drive's flow is at most intensity times area."""
    sure = {"value": "600 ft2", "low": "600 ft2", "high": "600 ft2"}
    yards = [{"name": "DRIVE", "area": sure, "surface": "concrete", "to": "CB1"}]
    downspouts = [{"name": name, "at": "A"} for name in ("DS1", "DS2")]
    site = site_of(job_of(rain={**TABLE, "spread": "0 %"}, yards=yards, downspouts=downspouts))
    found = inflows(site)
    assert only("runoff coefficient of DRIVE", found).high == 1.0
    _, parts = _sampled(site, found)
    number = next(i for i, c in enumerate(found.contributions) if c.source == "DRIVE")
    drive = found.contributions[number]
    assert parts[number].max() == pytest.approx(drive.flow / drive.coefficient, rel=1e-9)


def test_no_groundwater_in_the_middle_may_still_come_at_the_high_end() -> None:
    ground = {**LEVELS, "water_table": "28.84 m, measured"}
    found = inflows(site_of(job_of(ground=ground), water_table=28.84, barrier=27.5))
    band = found.bands[Cause.GROUND]
    assert found.by_cause()[Cause.GROUND] == 0.0
    assert band.low == band.middle == 0.0
    assert band.high > 0.0


def test_the_water_under_the_house_has_a_band() -> None:
    """Water table and drain 0.1 m and 0.03 m each way, independent: by first-order propagation through the share that
    the level keeps of the way between them, since the level is straight in both."""
    site = example_site("wrong-choices")
    found = inflows(site)
    (seepage,) = found.seepage
    assert found.ground_lines
    for line in found.ground_lines:
        assert line.band is not None
        share = (line.level_with - seepage.drain_level) / (seepage.far_level - seepage.drain_level)
        half = math.hypot(share * 0.10, (1.0 - share) * 0.03)
        assert line.band.middle == pytest.approx(line.level_with, abs=0.003)
        assert line.band.high - line.band.low == pytest.approx(2.0 * half, rel=0.04)


def test_recharge_and_open_water_have_ranges_too() -> None:
    found = wet(recharge="0.001 in/h, stated")
    assert found.bands[Cause.GROUND].high > wet().bands[Cause.GROUND].high
    assert only("recharge", found).high / only("recharge", found).middle == pytest.approx(2.0)
    canal = {"kind": "canal", "distance": "8 ft", "level": {"value": "29.9 m", "low": "29.8 m", "high": "30.3 m"}}
    held = wet(open_water=canal)
    assert held.seepage[0].bound == "canal"
    water = only("open water", held)
    assert water.high - water.middle == pytest.approx(0.4)
    assert "reach of the lowering" not in {item.name for item in held.ranges}
    assert held.bands[Cause.GROUND].middle == pytest.approx(held.by_cause()[Cause.GROUND], rel=0.1)


def test_a_job_without_water_has_no_bands() -> None:
    job = job_of(roofs=[], yards=[], works=NOTHING)
    found = inflows(site_of(job))
    assert found.total is None
    assert found.ranges == ()


def test_two_sided_spreads_keep_middle_and_ends() -> None:
    z = norm.ppf((np.arange(COUNT) + 0.5) / COUNT)
    factor = factor_of(z, 0.5, 1.0, 4.0)
    assert np.quantile(factor, [0.05, 0.5, 0.95]) == pytest.approx([0.5, 1.0, 4.0], rel=0.01)
    assert np.quantile(factor[z > 0], 0.9) == pytest.approx(lognorm(math.log(4.0) / 1.6449).ppf(0.95), rel=0.01)
    assert np.quantile(shift_of(z, 9.0, 10.0, 10.5), [0.05, 0.5, 0.95]) == pytest.approx([-1.0, 0.0, 0.5], abs=0.01)


def test_a_share_is_one_for_a_straight_line_and_none_for_noise() -> None:
    generator = np.random.default_rng(1)
    x, y = generator.normal(size=(2, COUNT))
    assert share_of(x, 3 * x + 1) == pytest.approx(1.0, abs=1e-3)
    assert share_of(x, y) < 0.01
    assert share_of(x, np.ones(COUNT)) == 0.0


def test_it_is_quick() -> None:
    site = example_site("block-wall-house")
    found = inflows(site)
    taken = []
    for _ in range(5):
        start = time.perf_counter()
        with_bands(site, found)
        taken.append(time.perf_counter() - start)
    assert min(taken) < 0.03
