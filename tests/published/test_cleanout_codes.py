"""Plumbing codes on cleanouts: IRC P3005.2 and IPC 708 (2018 and later), from memory.

They are written for sanitary drains; IPC 1101 asks the same of storm drains, subsoil drains excepted, from memory too.
"""

from __future__ import annotations

import pytest

from drainwright.system.fittings import BETWEEN, ONE_FOR, SHARP

FOOT = 0.3048


def test_no_more_than_a_hundred_feet_apart() -> None:
    """IRC P3005.2.1 and IPC 708.1.1: 100 feet."""
    assert pytest.approx(100 * FOOT) == BETWEEN


def test_at_turns_of_more_than_45_degrees() -> None:
    """IRC P3005.2.4 and IPC 708.1.4: more than 45 degrees; one serves all turns within 40 feet."""
    assert SHARP == 45.0
    assert pytest.approx(40 * FOOT) == ONE_FOR
