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


def left_out_words(days: Sequence[datetime.date]) -> str:
    """Days of a season that are left out, for whoever noted them."""
    listed = ", ".join(day.isoformat() for day in days)
    these = "this day fits" if len(days) == 1 else "these days fit"
    return f"Left out, for {these} no soil (a count noted wrongly, a power cut, rain beside the gauge): {listed}."


__all__ = ["Words", "left_out_words"]
