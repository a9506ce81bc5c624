"""How what was proven is written: values with their bands, in the job's units. All arguments are SI."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass

from drainwright.quantities import Kind, System, write


@dataclass(frozen=True, slots=True)
class Words:
    """Of one job's units."""

    units: System

    def flow(self, value: float) -> str:
        """A flow to a tenth of a gallon, or of a litre, a minute."""
        return write(value, Kind.FLOW, self.units, "gpm" if self.units == "US" else "L/min", 1)

    def flow_band(self, value: float, band: float) -> str:
        """A flow with its band: ``31.2 gpm ± 0.4 gpm``."""
        return f"{self.flow(value)} ± {self.flow(band)}"

    def small(self, value: float) -> str:
        """A small size by tape."""
        if self.units == "US":
            return write(value, Kind.LENGTH, "US", "in" if abs(value) < 0.6 else "ft-in")
        return write(value, Kind.LENGTH, "SI", "mm")

    def volume(self, value: float) -> str:
        """An amount of water."""
        return write(value, Kind.VOLUME, self.units, "gal" if self.units == "US" else "L", 1)

    def level(self, value: float) -> str:
        """A level."""
        us = self.units == "US"
        return write(value, Kind.LENGTH, self.units, "ft" if us else "m", 2 if us else 3)

    def conductivity(self, value: float) -> str:
        """How fast water goes through a soil."""
        us = self.units == "US"
        return write(value, "speed", self.units, "ft/day" if us else "m/day", 2 if us else 3)


def oddities(left_out: Sequence[datetime.date], rough: bool) -> str:
    """What of a season does not go together, for whoever noted it; nothing where all does."""
    told = []
    if left_out:
        listed = ", ".join(day.isoformat() for day in left_out)
        these = "this day fits" if len(left_out) == 1 else "these days fit"
        told.append(
            f"Left out, for {these} no soil (a count noted wrongly, a power cut, rain beside the gauge): {listed}."
        )
    if rough:
        told.append(
            "Rain and counts go together worse than they should: the gauge stands elsewhere, or the pump's cycle is "
            "not as built. The band is widened by it."
        )
    return " ".join(told)


__all__ = ["Words", "oddities"]
