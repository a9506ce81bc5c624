"""Rates a year of one basin whose answer is known in closed form."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from scipy.integrate import quad

from drainwright.errors import InputError
from drainwright.storm.chances.yearly import NO_EVENTS, YEAR, Events, Outage, yearly_rates

ROOM, PUMP, HOURS = 0.5, 0.0012, 6 * 3600.0  # volume from rest to the slab, the pump's flow, the storm's duration
EVENTS = Events(cuts=1.2, cut_length=4 * 3600.0, cut_with_storm=0.1, failures=0.1, unnoticed=5 * 86400.0, season=0.25)
GROUND = 4e-6


def inflow(period: float) -> float:
    """Even through the storm [m³/s]."""
    return 1e-4 * math.sqrt(period)


def reach(period: float | None, outage: Outage | None) -> float:
    """A basin at rest, which fills by what comes less what the pump lifts; without the pump also after the storm."""
    if period is None:
        return ROOM / GROUND if outage is not None else math.inf
    if outage is None:
        span = ROOM / max(inflow(period) - PUMP, 1e-12)
        return span if span <= HOURS else math.inf
    kind, start = outage
    span = ROOM / inflow(period)
    return start + span if kind == "cut" or span <= HOURS else math.inf


def test_each_cause_in_closed_form() -> None:
    low, high = 1.0, 500.0
    found = yearly_rates(reach, EVENTS, low, high, HOURS, halvings=30, nodes=200, starts=3)
    alone = ((PUMP + ROOM / HOURS) / 1e-4) ** 2
    assert low < alone < high
    assert found["storm"] == pytest.approx(1.0 / alone, rel=1e-6)
    lasts = quad(lambda rate: math.exp(-ROOM / inflow(1.0 / rate) / EVENTS.cut_length), 1.0 / alone, 1.0 / low)[0]
    assert found["storm and power cut"] == pytest.approx(0.1 * lasts, rel=2e-3)
    dead = max(low, (ROOM / HOURS / 1e-4) ** 2)
    share = 1.0 - math.exp(-0.1 * 5.0 * 86400.0 / YEAR)
    assert found["storm and dead pump"] == pytest.approx(share * (1.0 / dead - 1.0 / alone), rel=1e-6)
    fills = ROOM / GROUND
    assert found["power cut in dry weather"] == pytest.approx(0.25 * 1.2 * math.exp(-fills / EVENTS.cut_length))
    assert found["dead pump in dry weather"] == pytest.approx(0.25 * 0.1 * math.exp(-fills / EVENTS.unnoticed))


def test_few_runs_come_near() -> None:
    fine = yearly_rates(reach, EVENTS, 1.0, 500.0, HOURS, halvings=30, nodes=200)
    calls = 0

    def counted(period: float | None, outage: Outage | None) -> float:
        nonlocal calls
        calls += 1
        return reach(period, outage)

    coarse = yearly_rates(counted, EVENTS, 1.0, 500.0, HOURS)
    assert calls <= 35
    assert coarse["storm"] == pytest.approx(fine["storm"], rel=0.06)
    assert coarse["storm and power cut"] == pytest.approx(fine["storm and power cut"], rel=0.35)
    better = yearly_rates(reach, EVENTS, 1.0, 500.0, HOURS, nodes=12)
    assert better["storm and power cut"] == pytest.approx(fine["storm and power cut"], rel=0.05)


def test_a_table_that_ends_early_counts_its_rarest_storm_for_all_beyond() -> None:
    found = yearly_rates(reach, EVENTS, 1.0, 50.0, HOURS, nodes=200)
    assert found["storm"] == 0.0
    lasts = quad(lambda rate: math.exp(-ROOM / inflow(1.0 / rate) / EVENTS.cut_length), 1.0 / 50.0, 1.0)[0]
    lasts += math.exp(-ROOM / inflow(50.0) / EVENTS.cut_length) / 50.0
    assert found["storm and power cut"] == pytest.approx(0.1 * lasts, rel=2e-3)


def test_no_pump_has_only_storms() -> None:
    found = yearly_rates(reach, NO_EVENTS, 1.0, 500.0, HOURS, halvings=30)
    assert found["storm"] > 0.0
    assert sum(found.values()) == found["storm"]


def test_more_of_anything_bad_is_never_less() -> None:
    usual = sum(yearly_rates(reach, EVENTS, 1.0, 500.0, HOURS).values())
    for key in ("cuts", "cut_length", "cut_with_storm", "failures", "unnoticed", "season"):
        worse = replace(EVENTS, **{key: 2.0 * getattr(EVENTS, key)})
        assert sum(yearly_rates(reach, worse, 1.0, 500.0, HOURS).values()) > usual
    with pytest.raises(InputError):
        yearly_rates(reach, EVENTS, 5.0, 5.0, HOURS)
