"""Values as the drawings write them, in the job's units."""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

from drainwright.quantities import Kind, System, convert, unit_label, write
from drainwright.system.model import SizedRun
from drainwright.system.trade import fall_words

FLOATS = {"off": "pump stops", "on": "pump starts", "second on": "second pump starts", "alarm": "alarm"}


@dataclass(frozen=True, slots=True)
class Wording:
    """How a job's drawings write values. All arguments are SI."""

    units: System

    @property
    def us(self) -> bool:
        """Whether the job is in feet and inches."""
        return self.units == "US"

    def length(self, value: float) -> str:
        """A tape length: ``42 ft 6 in``, ``12.95 m``."""
        return write(value, Kind.LENGTH, self.units)

    def small(self, value: float) -> str:
        """A small size: ``7 1/2 in`` below a yard, then feet and inches; millimetres."""
        if self.us:
            return write(value, Kind.LENGTH, "US", "in" if abs(value) < 0.6 else "ft-in")
        return write(value, Kind.LENGTH, "SI", "mm")

    def dug(self, value: float) -> str:
        """A depth of digging, rounded up to the whole inch or centimetre: ``2 ft 7 in``, ``0.79 m``."""
        if self.us:
            return write(math.ceil(value / 0.0254 - 1e-3) * 0.0254, Kind.LENGTH, "US")
        return write(math.ceil(value * 100 - 1e-3) / 100, Kind.LENGTH, "SI", "m", 2)

    def true(self, value: float) -> str:
        """A true size, as a calliper shows it: ``4.22 in``, ``107.1 mm``."""
        return write(value, Kind.LENGTH, self.units, "in" if self.us else "mm", 2 if self.us else 1)

    def drill(self, value: float) -> str:
        """The size of a drill: ``3/16 in``, ``4.8 mm (3/16 in)``."""
        return self._tool(value, 16, 1)

    def saw(self, value: float) -> str:
        """The size of a hole saw: ``4 3/8 in``, ``111 mm (4 3/8 in)``."""
        return self._tool(value, 8, 0)

    def _tool(self, value: float, parts: int, digits: int) -> str:
        """A size that tools are sold by; millimetres first for SI, alone where no tool in inches has that size."""
        count = round(value / 0.0254 * parts)
        whole, rest = divmod(count, parts)
        numbers = [str(whole)] if whole or not rest else []
        trade = " ".join([*numbers, *([str(Fraction(rest, parts))] if rest else []), "in"])
        if self.us:
            return trade
        metric = write(value, Kind.LENGTH, "SI", "mm", digits)
        return f"{metric} ({trade})" if count and abs(count * 0.0254 / parts - value) < 5e-5 else metric

    def level(self, value: float) -> str:
        """A level with its unit: ``97.42 ft``, ``29.693 m``."""
        return f"{self.level_number(value)} {self.level_unit}"

    def level_number(self, value: float) -> str:
        """A level without its unit, for tables and spot levels."""
        return write(value, Kind.LENGTH, self.units, "ft" if self.us else "m", 2 if self.us else 3).split(" ")[0]

    @property
    def level_unit(self) -> str:
        """The unit of levels."""
        return "ft" if self.us else "m"

    def distance(self, value: float) -> float:
        """A length as a number in feet or metres."""
        return convert(value, Kind.LENGTH, self.units, "ft" if self.us else "m")

    def from_distance(self, number: float) -> float:
        """Metres of a number of feet or metres."""
        return number * 0.3048 if self.us else number

    def grade(self, value: float) -> str:
        """A fall: ``1.04 %``."""
        return write(value, Kind.GRADE, self.units)

    def falls(self, run: SizedRun) -> str:
        """A run's fall: ``1.04 %``, ``5.04 % for 16 ft 3 1/2 in, then 1.47 %``; ``pumped``."""
        return "pumped" if run.pressure else fall_words(run, self.units)

    def flow(self, value: float) -> str:
        """A flow: ``22.4 gpm``."""
        return write(value, Kind.FLOW, self.units)

    def flow_number(self, value: float) -> float:
        """A flow as a number in ``flow_unit``."""
        return convert(value, Kind.FLOW, self.units)

    @property
    def flow_unit(self) -> str:
        """The unit of flows."""
        return unit_label(Kind.FLOW, self.units)

    def area(self, value: float) -> str:
        """An area."""
        return write(value, Kind.AREA, self.units)

    def speed(self, value: float) -> str:
        """A speed of water."""
        return write(value, Kind.SPEED, self.units)


__all__ = ["FLOATS", "Wording"]
