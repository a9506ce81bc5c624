"""Pipes by what people write, and the pumps of our own."""

from __future__ import annotations

import itertools
import math

import pytest

from drainwright.errors import InputError
from drainwright.job.works import Pump
from drainwright.sources import SOURCES
from drainwright.system.catalogue import PIPES, PRESSURE_PIPES, candidates, find_pipe, nominal_size
from drainwright.system.lift.pumps import GENERIC_PUMPS, GENERIC_UNITS, INTEGRAL_BAND, pump_of_job
from drainwright.system.model import PumpChoice


@pytest.mark.parametrize("key", PIPES)
def test_finds_each_pipe_by_its_own_key(key: str) -> None:
    assert find_pipe(key) is PIPES[key]
    assert find_pipe(f"  {key.upper()} ") is PIPES[key]


@pytest.mark.parametrize(
    ("text", "key"),
    [
        ("Schedule 40, 1.5 in", "sch40 1-1/2 in"),
        ("sch 40 1 1/2 inch", "sch40 1-1/2 in"),
        ('1-1/4" SCH40', "sch40 1-1/4 in"),
        ("SDR 35 DN 100", "d3034 4 in"),
        ("sdr-35 6 in", "d3034 6 in"),
        ("ASTM D2729 4 in perforated", "d2729 4 in perforated"),
        ("perforated corrugated 4 in", "corrugated 4 in perforated"),
        ("corrugated single wall 6 in", "corrugated 6 in"),
        ("corrugated smooth inside 8 in", "corrugated smooth 8 in"),
        ("wrapped aggregate 10 in", "wrapped 10 in"),
        ("DN 50 sch40", "sch40 2 in"),
    ],
)
def test_understands_other_spellings(text: str, key: str) -> None:
    assert find_pipe(text).key == key


@pytest.mark.parametrize(
    "text", ["", "4 in", "sch40", "sch40 5 in", "d3034 4 in perforated", "copper 2 in", "sch40 14 in"]
)
def test_refuses_what_is_not_there_and_offers_the_nearest(text: str) -> None:
    with pytest.raises(InputError, match="expected a pipe of the catalogue"):
        find_pipe(text)


def test_a_slip_of_the_keys_is_answered_with_the_right_pipe() -> None:
    with pytest.raises(InputError, match="'sch40 2 in'"):
        find_pipe("shc40 2 in")


@pytest.mark.parametrize("pipe", PIPES.values(), ids=lambda pipe: pipe.key)
def test_figures_hang_together(pipe: object) -> None:
    assert pipe.outside == pytest.approx(pipe.inside + 2.0 * pipe.wall)  # type: ignore[attr-defined]
    assert pipe.perforated == (pipe.perforation_area > 0.0)  # type: ignore[attr-defined]
    assert pipe.source in SOURCES  # type: ignore[attr-defined]


def test_candidates_grow_and_suit_their_duty() -> None:
    for perforated in (True, False):
        sizes = [nominal_size(pipe) for pipe in candidates(perforated)]
        assert sizes == sorted(sizes)
        assert all(pipe.perforated is perforated for pipe in candidates(perforated))
    assert all(pipe.hazen_williams is not None for pipe in PRESSURE_PIPES)


def test_a_subsoil_drain_is_never_under_4_in() -> None:
    """Permitted subsoil drains are at least 4 in: SEEN as quoted from the International Residential Code, ch. 33."""
    assert min(nominal_size(pipe) for pipe in candidates(perforated=True)) >= 4.0


def of_kind(kind: str) -> list[PumpChoice]:
    """The generic pumps of one kind, with their integral floats: "" is the common one."""
    integral = [pump.choice for pump in GENERIC_PUMPS if pump.choice.float_kind == "integral"]
    return [pump for pump in integral if (kind in pump.name if kind else "high-" not in pump.name)]


@pytest.mark.parametrize("kind", ["", "high-flow", "high-head"])
def test_generic_pumps_say_that_they_are_generic_and_rise_in_power_and_flow(kind: str) -> None:
    pumps = of_kind(kind)
    assert len(pumps) >= 2
    assert all("generic" in pump.name for pump in pumps)
    powers = [pump.label_power or 0.0 for pump in pumps]
    assert powers == sorted(powers)
    for small, large in itertools.pairwise(pumps):
        assert large.curve.flow(3.0) > small.curve.flow(3.0)


def test_the_catalogue_spans_the_trade() -> None:
    """1/6 to 2 hp, ports of 1-1/4 to 3 in, and kinds that trade flow for head: of one label, each best at its end."""
    labels = [round((pump.label_power or 0.0) / 745.7, 3) for pump in of_kind("")]
    assert (labels[0], labels[-1]) == (0.167, 2.0)
    assert {pump.choice.discharge_size for pump in GENERIC_PUMPS} == {"1-1/4 in", "1-1/2 in", "2 in", "3 in"}
    named = {pump.name: pump.curve for pump in (*of_kind(""), *of_kind("high-flow"), *of_kind("high-head"))}
    common, flow, head = (named[f"generic 1 hp{kind}, integral float"] for kind in ("", " high-flow", " high-head"))
    assert flow.flow(2.0) > common.flow(2.0) > head.flow(2.0)
    assert head.flow(18.0) > 0.0 == common.flow(18.0) == flow.flow(18.0)


def test_battery_units_are_weak_at_a_real_head() -> None:
    """Direct current: what 12 V and the current put in, with an efficiency at most 35 %; stronger ones draw more."""
    assert all(8.0 <= unit.current <= 40.0 for unit in GENERIC_UNITS)  # as seen of such units
    for unit in GENERIC_UNITS:
        curve = unit.choice.curve
        best = max(1000.0 * 9.80665 * flow * head for flow, head in zip(curve.flows, curve.heads, strict=True))
        assert best <= 0.35 * unit.volts * unit.current
    for weak, strong in itertools.pairwise(GENERIC_UNITS):
        assert strong.choice.curve.flow(3.0) > weak.choice.curve.flow(3.0)
        assert strong.current > weak.current


def test_generic_pumps_do_not_lift_more_than_their_label_power() -> None:
    """Hydraulic power rho g Q H under the label power, with an efficiency at most 55 %: no pump gives more."""
    for pump in GENERIC_PUMPS:
        curve = pump.choice.curve
        best = max(1000.0 * 9.80665 * flow * head for flow, head in zip(curve.flows, curve.heads, strict=True))
        assert best <= 0.55 * (pump.choice.label_power or math.nan)


def test_a_job_pump_keeps_its_sheet() -> None:
    sheet = [
        {"flow": "0 gpm", "head": "25 ft"},
        {"flow": "40 gpm", "head": "5 ft"},
        {"flow": "20 gpm", "head": "18 ft"},
    ]
    pump = pump_of_job(Pump.model_validate({"name": "P", "curve": sheet}))
    assert pump.chosen_by == "job"
    assert list(pump.curve.flows) == sorted(pump.curve.flows)
    assert pump.curve.shutoff == pytest.approx(25 * 0.3048)
    assert pump.float_band == INTEGRAL_BAND
    wide = Pump.model_validate({"name": "P", "curve": sheet, "float_kind": "adjustable"})
    assert pump_of_job(wide).float_band is None


def test_a_sheet_whose_heads_rise_is_refused() -> None:
    sheet = [{"flow": "0 gpm", "head": "5 ft"}, {"flow": "40 gpm", "head": "25 ft"}]
    with pytest.raises(InputError, match="fall as the flow rises"):
        pump_of_job(Pump.model_validate({"name": "P", "curve": sheet}))
