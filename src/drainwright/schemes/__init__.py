"""Schemes: really different ways to drain one lot, from the same measurements, compared. The person picks."""

from __future__ import annotations

from drainwright.schemes.model import Comparison, Missing, Ranking, Scheme, SchemeSet
from drainwright.schemes.stage import schemes

__all__ = ["Comparison", "Missing", "Ranking", "Scheme", "SchemeSet", "schemes"]
