"""Cycle volume and time in the military pumping manuals."""

from __future__ import annotations

import pytest

from drainwright.hydraulics.wetwell import active_volume, cycle_time, most_starts_per_hour, starts_per_hour


@pytest.mark.parametrize("minutes", [10, 15, 20, 30])
def test_cycle_volume(minutes: float) -> None:
    """US Army EI 11C201 (1 Mar 1997) ch. 7, Table 7-1: V = t q / 4, t in minutes, q in gpm, V in gallons.

    SEEN https://buildingcriteria1.tpub.com/ufc_3_240_04a/ufc_3_240_04a0053.htm.
    """
    gallon = 3.785411784e-3
    volume = active_volume(minutes * 60.0, 100 * gallon / 60.0) / gallon
    assert volume == pytest.approx(minutes * 100 / 4)
    assert most_starts_per_hour(volume * gallon, 100 * gallon / 60.0) == pytest.approx(60 / minutes)


@pytest.mark.parametrize(("share", "factor"), [(0.25, 5.333), (0.75, 5.333), (0.4, 4.167), (0.6, 4.167), (0.5, 4.0)])
def test_cycle_time_at_any_inflow(share: float, factor: float) -> None:
    """MIL-HDBK-1005/9A sec. 2.5.3.6, eq. 1-2, p. 32: t D / V; least, 4, at half the pump's flow.

    SEEN https://ufgscriteria.tpub.com/4_832_01/4_832_010053.htm; the factors are computed from its equation.
    """
    assert cycle_time(0.2, 0.01, share * 0.01) * 0.01 / 0.2 == pytest.approx(factor, abs=0.0005)
    assert starts_per_hour(0.2, 0.01, share * 0.01) == pytest.approx(3600 * 0.01 / (0.2 * factor), rel=1e-4)
