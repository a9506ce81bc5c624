"""Trials of where spilled water runs to."""

from __future__ import annotations

from drainwright.findings.rules import Case
from drainwright.storm.model import Spilled

from .change import Change, Trial, as_designed, every, put, storm


def dry(case: Case) -> Case:
    """No case spills anything."""
    for group in ("cases", "further"):
        for place in range(len(getattr(case.storm, group))):
            case = put("storm", group, place, "spilled", to=())(case)
    return case


def spills(key: str, *spilled: tuple[str, str, str, float]) -> Change:
    """One case alone spills."""
    told = tuple(Spilled(place=place, to=to, name=name, volume=volume) for place, to, name, volume in spilled)
    return every(dry, storm(key, spilled=told))


EAST = ("CB1", "house", "east, north", 1.0)

TRIALS = (
    Trial("STM-30", None, change=dry),
    Trial("STM-30", "fails", change=spills("sound", EAST),
          says="264 gal spill over at CB1 and run to the east and north walls of the house"),
    Trial("STM-30", "caution", change=spills("pump dead", EAST, ("SUMP", "house", "east", 1.0)),
          says="Pump dead from the start: in the design storm 528 gal spill over at CB1 and SUMP"),
    Trial("STM-30", "ok", change=spills("sound", ("CB1", "house", "east", 0.09))),
    Trial("STM-30", "ok", change=spills("pump dead", ("CB1", "off the lot", "south side", 9.0)), says="none"),
    Trial("STM-30", "ok", change=spills("pump dead", ("OUT", "not known", "", 1.0)),
          says="264 gal run that come out at OUT"),
    Trial("STM-30", "caution", base="gravity", change=as_designed, says="wholly covered by leaves"),
)  # fmt: skip
