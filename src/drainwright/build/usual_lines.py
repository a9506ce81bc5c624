"""Lines that a house usually has: between what they run, and who finds them. Common practice, no source."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from drainwright.job.site import UtilityKind


@dataclass(frozen=True, slots=True, kw_only=True)
class UsualLine:
    """Where one kind of line usually lies, and who marks it."""

    runs: str
    finds: str


_CENTRE = "one-call centre"
_PRIVATE = "private locator: no locate ticket marks it"
USUAL: Mapping[UtilityKind, UsualLine] = MappingProxyType({
    "water": UsualLine(
        runs="from the meter or curb stop straight to the house; branches to taps, sheds, pool",
        finds=f"{_CENTRE} as far as the meter; beyond it a private locator",
    ),
    "gas": UsualLine(
        runs="from the main in the street square to the meter on the house wall; from the meter on to grill, "
        "pool heater, generator",
        finds=f"{_CENTRE} as far as the meter; beyond it a private locator",
    ),
    "electric": UsualLine(
        runs="from transformer or pole to the meter on the house wall; from the panel on to garage, shed, pump, lamps",
        finds=f"{_CENTRE} as far as the meter; beyond it a private locator",
    ),
    "communication": UsualLine(
        runs="with the power, or by itself to the box on the wall, often shallow", finds=_CENTRE,
    ),
    "sewer": UsualLine(
        runs="from the lowest bathroom out to the main, with a cleanout near the wall",
        finds="a plumber's camera and probe: few centres mark the lateral",
    ),
    "septic": UsualLine(
        runs="from the house to a tank and on to a field, on the low or the open side of the lot",
        finds="health department's drawing, then probe or camera",
    ),
    "irrigation": UsualLine(
        runs="from the meter or a backflow preventer to the valve boxes, then round every lawn and bed", finds=_PRIVATE,
    ),
    "irrigation control": UsualLine(
        runs="from the controller (garage or outside wall) to each valve box, beside the pipe or alone", finds=_PRIVATE,
    ),
    "low voltage lighting": UsualLine(
        runs="from the transformer on a wall along paths and beds, a spade's depth or less", finds=_PRIVATE,
    ),
    "pool": UsualLine(
        runs="between the pool and its equipment pad: suction, returns, heater gas, power and bonding wire",
        finds=_PRIVATE,
    ),
    "reclaimed": UsualLine(runs="from its own meter beside the water meter to the valve boxes", finds=_CENTRE),
    "storm drain": UsualLine(runs="from downspouts and grates to the street or a low place", finds=_PRIVATE),
    "propane": UsualLine(runs="from the tank to the house wall, grill or heater", finds=_PRIVATE),
    "oil": UsualLine(runs="from the tank to the boiler", finds=_PRIVATE),
})  # fmt: skip

#: Kinds that start where another line does: where that one is drawn, the search begins at its ends.
BEGINS_AT: Mapping[UtilityKind, tuple[UtilityKind, ...]] = MappingProxyType({
    "irrigation": ("water", "reclaimed"), "irrigation control": ("irrigation", "water"), "communication": ("electric",),
    "low voltage lighting": ("electric",), "water": ("reclaimed", "irrigation"), "pool": ("electric", "water"),
})  # fmt: skip

__all__ = ["BEGINS_AT", "USUAL", "UsualLine"]
